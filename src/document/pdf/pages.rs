//! Pages: which piece goes on which, and how far down.

use super::paint::Mark;

/// A part that is never torn: a line, a row, a picture.
#[derive(Debug, Clone, Default)]
pub(super) struct Piece {
    /// Points.
    pub(super) height: f32,
    /// Room above it, points; none at the top of a page.
    pub(super) gap: f32,
    /// The next piece is to stand on the same page.
    pub(super) keep: bool,
    /// It begins a new page.
    pub(super) new_page: bool,
    pub(super) marks: Vec<Mark>,
    /// Number of the head that is repeated above it where it is the first on a page.
    pub(super) head: Option<usize>,
    /// Level and words for the list of contents that a reader shows beside the pages.
    pub(super) bookmark: Option<(u8, String)>,
}

impl Piece {
    pub(super) fn new(height: f32, gap: f32, marks: Vec<Mark>) -> Self {
        Self { height, gap, marks, ..Self::default() }
    }
}

/// A piece in its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Placed {
    /// Number of the piece, or of the head.
    pub(super) number: usize,
    pub(super) is_head: bool,
    /// From the upper edge of the text, points.
    pub(super) top: f32,
}

/// Deals the pieces to pages whose text is `height` points high. Pieces that are kept together move
/// to the next page together; where they are higher than a page, only their order is kept.
pub(super) fn paginate(pieces: &[Piece], heads: &[Piece], height: f32) -> Vec<Vec<Placed>> {
    let mut pages = Pages { done: Vec::new(), open: Vec::new(), used: 0.0, heads, height };
    let mut rest = pieces.iter().enumerate().peekable();
    while let Some((number, piece)) = rest.next() {
        let mut chain = vec![(number, piece)];
        while chain.last().is_some_and(|(_, last)| last.keep)
            && let Some(next) = rest.next_if(|(_, next)| !next.new_page)
        {
            chain.push(next);
        }
        if piece.new_page || !pages.fits(&chain) {
            pages.turn();
        }
        for (number, piece) in chain {
            if !pages.fits(&[(number, piece)]) {
                pages.turn();
            }
            pages.place(number, piece);
        }
    }
    pages.turn();
    pages.done
}

struct Pages<'a> {
    done: Vec<Vec<Placed>>,
    open: Vec<Placed>,
    used: f32,
    heads: &'a [Piece],
    height: f32,
}

impl Pages<'_> {
    fn head(&self, piece: &Piece) -> Option<(usize, f32)> {
        let number = piece.head?;
        Some((number, self.heads.get(number)?.height))
    }

    fn fits(&self, chain: &[(usize, &Piece)]) -> bool {
        let mut used = self.used;
        let mut fresh = self.open.is_empty();
        for (_, piece) in chain {
            if fresh {
                used += self.head(piece).map_or(0.0, |(_, height)| height);
                fresh = false;
            } else {
                used += piece.gap;
            }
            used += piece.height;
        }
        used <= self.height + 0.01
    }

    fn turn(&mut self) {
        if !self.open.is_empty() {
            self.done.push(std::mem::take(&mut self.open));
            self.used = 0.0;
        }
    }

    fn place(&mut self, number: usize, piece: &Piece) {
        if !self.open.is_empty() {
            self.used += piece.gap;
        } else if let Some((head, height)) = self.head(piece) {
            self.open.push(Placed { number: head, is_head: true, top: 0.0 });
            self.used = height;
        }
        self.open.push(Placed { number, is_head: false, top: self.used });
        self.used += piece.height;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn piece(height: f32) -> Piece {
        Piece::new(height, 5.0, Vec::new())
    }

    fn numbers(pages: &[Vec<Placed>]) -> Vec<Vec<usize>> {
        let own = |page: &Vec<Placed>| {
            page.iter().filter(|placed| !placed.is_head).map(|placed| placed.number).collect()
        };
        pages.iter().map(own).collect()
    }

    #[test]
    fn pieces_are_dealt_in_order() {
        /// Heights and what is kept with the next; the numbers on each page.
        type Case = (&'static [(f32, bool)], &'static [&'static [usize]]);
        let cases: [Case; 5] = [
            // A page is filled to its last point: 45 + 5 + 50 = 100; the third begins a page.
            (&[(45.0, false), (50.0, false), (1.0, false)], &[&[0, 1], &[2]]),
            // A heading goes with what follows.
            (&[(70.0, false), (10.0, true), (30.0, false)], &[&[0], &[1, 2]]),
            // What is higher than a page is placed all the same, and what is kept together.
            (&[(10.0, false), (300.0, false), (10.0, false)], &[&[0], &[1], &[2]]),
            (&[(60.0, true), (60.0, true), (60.0, false)], &[&[0], &[1], &[2]]),
            (&[], &[]),
        ];
        for (pieces, wanted) in cases {
            let pieces = pieces.iter().map(|&(height, keep)| Piece { keep, ..piece(height) });
            let pages = paginate(&pieces.collect::<Vec<_>>(), &[], 100.0);
            assert_eq!(numbers(&pages), wanted);
            assert!(pages.iter().all(|page| page[0].top == 0.0));
        }
        // A break at the beginning makes no empty page.
        let new = Piece { new_page: true, ..piece(10.0) };
        assert_eq!(numbers(&paginate(&[new.clone(), new], &[], 100.0)), [[0], [1]]);
    }

    #[test]
    fn the_head_of_a_table_comes_again() {
        let row = Piece { head: Some(0), gap: 0.0, ..piece(40.0) };
        let pages = paginate(&vec![row; 5], &[piece(20.0)], 100.0);
        assert_eq!(numbers(&pages), [vec![0, 1], vec![2, 3], vec![4]]);
        assert!(pages[1][0].is_head);
        assert_eq!(pages[1][1].top, 20.0);
    }
}
