//! Tables: how wide the columns are, and their rows as pieces.

use std::num::NonZeroU32;

use krilla::tagging::{TableHeaderScope, Tag, TagKind};

use super::face::{
    ACCENT, BODY, Face, Fonts, GROUP_FILL, HEAD_FILL, INK, LABEL, MUTED, RULE, Style,
};
use super::flow::Flow;
use super::pages::Piece;
use super::paint::{Mark, Part, frame};
use crate::{Align, Cell, Column, Row, RowKind, widest};

const TEXT: Style = Style { size: 8.5, leading: 12.0, ..BODY };
const STRONG: Style = Style { face: Face::Bold, ..TEXT };
const HEAD: Style = Style { colour: ACCENT, size: 8.0, leading: 11.5, ..LABEL };
/// Beside and above the words of a cell, points.
const SIDE: f32 = 5.0;
const ABOVE: f32 = 3.5;
/// Edge of a box to tick, and the least height of a row with something to write in, points.
const TICK: f32 = 9.5;
const WRITING: f32 = 21.0;
const LEAST_BLANK: f32 = 54.0;
/// A table that takes no more than this share of a page is not torn; of others, so many rows at
/// least stand below the head (our own choice).
const SMALL_TABLE: f32 = 0.4;
const FIRST_ROWS: usize = 3;

/// Appends a table to the flow.
pub(super) fn set(flow: &mut Flow<'_>, caption: Option<&str>, columns: &[Column], rows: &[Row]) {
    if columns.is_empty() {
        return;
    }
    let widths = widths(flow.fonts, columns, rows, flow.width);
    let table = flow.structure.add(None, Tag::Table);
    let mut gap = 11.0;
    if let Some(caption) = caption.filter(|caption| !caption.is_empty()) {
        let part = flow.structure.add(Some(table), Tag::Caption);
        for line in flow.fonts.lines(caption, LABEL, flow.width) {
            let height = line.style.leading;
            let mark = flow.text(line, 0.0, 0.0, Some(part));
            flow.push(Piece { keep: true, ..Piece::new(height, gap, vec![mark]) });
            gap = 0.0;
        }
        gap = 4.0;
    }
    let head = head(flow, columns, &widths, table);
    let number = flow.heads.len();
    let mut repeated = head.clone();
    for mark in &mut repeated.marks {
        mark.part = None;
    }
    let room = flow.height - repeated.height;
    flow.heads.push(repeated);
    flow.push(Piece { gap, keep: !rows.is_empty(), ..head });
    let body = flow.structure.add(Some(table), Tag::TBody);
    let first = flow.pieces.len();
    for (at, row) in rows.iter().enumerate() {
        let next = rows.get(at + 1).map(|row| row.kind);
        let keep = next.is_some()
            && (row.kind == RowKind::Group
                || (next == Some(RowKind::Total) && row.kind != RowKind::Total));
        for mut piece in row_pieces(flow, columns, &widths, row, body, room) {
            piece.head = Some(number);
            piece.keep = keep;
            flow.push(piece);
        }
    }
    keep_together(flow.pieces.get_mut(first..).unwrap_or_default(), flow.height);
}

/// A small table is not torn; of a larger one, the first rows stay with its head and the last ones
/// with each other.
fn keep_together(rows: &mut [Piece], page: f32) {
    let [before @ .., _] = rows else {
        return;
    };
    let height: f32 = before.iter().map(|row| row.height).sum();
    let small = height <= page * SMALL_TABLE;
    let count = before.len();
    for (number, row) in before.iter_mut().enumerate() {
        row.keep |= small || number + 1 < FIRST_ROWS || number + 2 > count;
    }
}

/// Where the words of a cell stand in a column that begins at `x`.
fn start(align: Align, x: f32, width: f32, words: f32) -> f32 {
    match align {
        Align::Left => x + SIDE,
        Align::Right => x + width - SIDE - words,
        Align::Centre => x + (width - words) / 2.0,
    }
}

fn head(flow: &mut Flow<'_>, columns: &[Column], widths: &[f32], table: Part) -> Piece {
    let group = flow.structure.add(Some(table), Tag::THead);
    let row = flow.structure.add(Some(group), Tag::TR);
    let mut cells = Vec::new();
    for (column, width) in columns.iter().zip(widths) {
        let part = flow.structure.add(Some(row), Tag::TH(TableHeaderScope::Column));
        cells.push((flow.fonts.lines(&column.title, HEAD, width - 2.0 * SIDE), part));
    }
    let most = cells.iter().map(|(lines, _)| lines.len()).max().unwrap_or(1);
    let height = most as f32 * HEAD.leading + 2.0 * ABOVE;
    let mut marks = vec![
        Mark::fill(0.0, 0.0, flow.width, height, HEAD_FILL),
        Mark::fill(0.0, height - 0.9, flow.width, 0.9, ACCENT),
    ];
    let mut x = 0.0;
    for ((column, width), (lines, part)) in columns.iter().zip(widths).zip(cells) {
        // Short headings stand at the foot, next to what they are about.
        let mut top = ABOVE + (most - lines.len()) as f32 * HEAD.leading;
        for line in lines {
            let at = start(column.align, x, *width, line.width);
            marks.push(flow.text(line, at, top, Some(part)));
            top += HEAD.leading;
        }
        x += width;
    }
    Piece::new(height, 0.0, marks)
}

/// A row as one piece; as several only where it is higher than the `room` of a page.
fn row_pieces(
    flow: &mut Flow<'_>,
    columns: &[Column],
    widths: &[f32],
    row: &Row,
    body: Part,
    room: f32,
) -> Vec<Piece> {
    let part = flow.structure.add(Some(body), Tag::TR);
    let mut cells = Vec::new();
    if row.kind == RowKind::Group {
        let span = u32::try_from(columns.len()).ok().and_then(NonZeroU32::new);
        let tag = Tag::TH(TableHeaderScope::Row).with_col_span(span);
        let words = row.cells.first().and_then(Cell::text).unwrap_or_default();
        let cell = flow.structure.add(Some(part), tag);
        let lines = flow.fonts.lines(words, STRONG, flow.width - 2.0 * SIDE);
        cells.push((0.0, flow.width, Align::Left, None, lines, cell));
    } else {
        let mut x = 0.0;
        for (at, (column, width)) in columns.iter().zip(widths).enumerate() {
            let first_of_total = at == 0 && row.kind == RowKind::Total;
            let tag: TagKind =
                if first_of_total { Tag::TH(TableHeaderScope::Row).into() } else { Tag::TD.into() };
            let mut cell_part = flow.structure.add(Some(part), tag);
            let inner = width - 2.0 * SIDE;
            let cell = row.cells.get(at);
            let lines =
                cell.and_then(|cell| Some(flow.fonts.lines(cell.text()?, style(cell, row), inner)));
            if cell == Some(&Cell::Tick) {
                // The box is a picture whose meaning is the heading of its column.
                let alt = Tag::Figure(Some(crate::clean(&column.title)));
                cell_part = flow.structure.add(Some(cell_part), alt);
            }
            cells.push((x, *width, column.align, cell, lines.unwrap_or_default(), cell_part));
            x += width;
        }
    }
    let most = cells.iter().map(|(.., lines, _)| lines.len()).max().unwrap_or_default().max(1);
    let blank = |cell: &Option<&Cell>| cell.is_some_and(|cell| cell.text().is_none());
    let by_hand = cells.iter().any(|(_, _, _, cell, ..)| blank(cell));
    let a_page = (((room - 2.0 * ABOVE) / TEXT.leading).floor()).max(1.0) as usize;
    let mut pieces = Vec::new();
    for from in (0..most).step_by(a_page) {
        let count = (most - from).min(a_page);
        let text_height = count as f32 * TEXT.leading + 2.0 * ABOVE;
        let height = if by_hand { text_height.max(WRITING) } else { text_height };
        let words_at = ABOVE + (height - text_height) / 2.0;
        let mut marks = Vec::new();
        match row.kind {
            RowKind::Plain => {}
            RowKind::Group => marks.push(Mark::fill(0.0, 0.0, flow.width, height, GROUP_FILL)),
            RowKind::Total => marks.push(Mark::fill(0.0, 0.0, flow.width, 0.9, INK)),
        }
        marks.push(Mark::fill(0.0, height - 0.4, flow.width, 0.4, RULE));
        for (x, width, align, cell, lines, part) in &cells {
            let part = Some(*part);
            let mut top = words_at;
            for line in lines.iter().skip(from).take(count) {
                let at = start(*align, *x, *width, line.width);
                marks.push(flow.text(line.clone(), at, top, part));
                top += TEXT.leading;
            }
            match cell {
                Some(Cell::Tick) if from == 0 => {
                    let at = start(*align, *x, *width, TICK);
                    // Beside the first line of the words.
                    let top = words_at + (TEXT.leading - TICK) / 2.0;
                    let edges = frame(at, top, TICK, TICK, 0.9, INK);
                    marks.extend(edges.map(|edge| Mark { part, ..edge }));
                }
                Some(Cell::Blank) if from == 0 => {
                    let wide = (width - 2.0 * SIDE).max(1.0);
                    let line = Mark::fill(x + SIDE, height - 4.5, wide, 0.5, MUTED);
                    marks.push(Mark { part, ..line });
                }
                _ => {}
            }
        }
        pieces.push(Piece::new(height, 0.0, marks));
    }
    pieces
}

/// How the text of a cell is set.
fn style(cell: &Cell, row: &Row) -> Style {
    let plain = matches!(cell, Cell::Text(_)) && row.kind != RowKind::Total;
    if plain { TEXT } else { STRONG }
}

/// What a column needs, points.
#[derive(Debug, Clone, Copy)]
struct Need {
    /// So that no word is broken.
    least: f32,
    /// So that no line is broken.
    most: f32,
    share: f32,
}

/// Widths of the columns, together as wide as the page.
fn widths(fonts: &Fonts, columns: &[Column], rows: &[Row], page: f32) -> Vec<f32> {
    let needs: Vec<Need> = columns
        .iter()
        .enumerate()
        .map(|(at, column)| {
            let (mut most, mut least) = fonts.widths(&column.title, HEAD);
            for row in rows.iter().filter(|row| row.kind != RowKind::Group) {
                let (line, word) = match row.cells.get(at) {
                    Some(cell @ (Cell::Text(text) | Cell::Strong(text))) => {
                        fonts.widths(text, style(cell, row))
                    }
                    Some(Cell::Tick) => (TICK, TICK),
                    Some(Cell::Blank) => (LEAST_BLANK, LEAST_BLANK),
                    None => (0.0, 0.0),
                };
                most = most.max(line);
                least = least.max(word);
            }
            Need {
                least: least + 2.0 * SIDE,
                most: most + 2.0 * SIDE,
                share: if column.share.is_finite() { column.share.max(0.0) as f32 } else { 0.0 },
            }
        })
        .collect();
    divide(&needs, page)
}

/// Divides a page among columns: none less than its longest word while there is room for that;
/// columns without a share as wide as they need; what is left by shares.
fn divide(needs: &[Need], page: f32) -> Vec<f32> {
    let least: Vec<f32> = needs.iter().map(|need| need.least).collect();
    let widest = widest(&least, page);
    if widest.is_finite() {
        // Not even the longest words fit.
        return least.iter().map(|least| least.min(widest)).collect();
    }
    let shares: f32 = needs.iter().map(|need| need.share).sum();
    let sum = |pick: fn(&Need) -> f32, shared: bool| -> f32 {
        needs.iter().filter(|need| (need.share > 0.0) == shared).map(pick).sum()
    };
    let (free_least, free_most) = (sum(|n| n.least, false), sum(|n| n.most, false));
    let for_free = page - sum(|n| n.least, true);
    // From every word on its own line (0) to every line whole (1).
    let ease = if free_most > free_least {
        ((for_free - free_least) / (free_most - free_least)).min(1.0)
    } else {
        1.0
    };
    let eased = |need: &Need| need.least + ease * (need.most - need.least);
    if shares <= 0.0 {
        // Room that nobody needs goes to those who have most to say.
        let used: f32 = needs.iter().map(eased).sum();
        return needs
            .iter()
            .map(|need| eased(need) + (page - used).max(0.0) * need.most / free_most.max(1.0))
            .collect();
    }
    let free: f32 = needs.iter().filter(|need| need.share <= 0.0).map(eased).sum();
    // Columns whose share is less than their longest word keep that; the others divide the rest.
    let mut fixed = vec![false; needs.len()];
    loop {
        let (mut rest, mut open) = (page - free, 0.0);
        for (need, fixed) in needs.iter().zip(&fixed) {
            if *fixed {
                rest -= need.least;
            } else {
                open += need.share;
            }
        }
        let width = |need: &Need| rest * need.share / open.max(f32::MIN_POSITIVE);
        let narrow = |need: &Need| need.share > 0.0 && width(need) < need.least - 0.01;
        let pairs = needs.iter().zip(&fixed);
        let next: Vec<bool> = pairs.map(|(need, fixed)| *fixed || narrow(need)).collect();
        if next == fixed {
            let width = |(need, fixed): (&Need, bool)| match (need.share > 0.0, fixed) {
                (false, _) => eased(need),
                (true, true) => need.least,
                (true, false) => width(need),
            };
            return needs.iter().zip(fixed).map(width).collect();
        }
        fixed = next;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_is_divided_by_needs_and_shares() {
        /// Least and most of what a column needs, and its share.
        type Columns = &'static [[f32; 3]];
        let cases: [(&str, Columns, f32, &[f32]); 4] = [
            (
                "shares divide what the others leave",
                &[[20.0, 40.0, 0.0], [10.0, 90.0, 1.0], [10.0, 90.0, 3.0]],
                200.0,
                &[40.0, 40.0, 120.0],
            ),
            (
                "a share is never less than the longest word",
                &[[80.0, 90.0, 1.0], [10.0, 90.0, 9.0]],
                200.0,
                &[80.0, 120.0],
            ),
            // Half way between 60 and 260 points.
            (
                "without shares lines are broken where they must",
                &[[20.0, 20.0, 0.0], [40.0, 240.0, 0.0]],
                160.0,
                &[20.0, 140.0],
            ),
            (
                "words too long for all cut the widest first",
                &[[10.0, 10.0, 0.0], [300.0, 300.0, 0.0], [90.0, 90.0, 1.0]],
                150.0,
                &[10.0, 70.0, 70.0],
            ),
        ];
        for (what, columns, page, wanted) in cases {
            let need = |&[least, most, share]: &[f32; 3]| Need { least, most, share };
            let found = divide(&columns.iter().map(need).collect::<Vec<_>>(), page);
            assert_eq!(found.len(), wanted.len(), "{what}");
            let close = found.iter().zip(wanted).all(|(one, other)| (one - other).abs() < 0.02);
            assert!(close, "{what}: {found:?} is not {wanted:?}");
        }
    }
}
