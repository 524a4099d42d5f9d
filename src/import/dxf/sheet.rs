//! The drawings on one sheet, and whether the walls of each close off rooms.

use geo::{
    Area as _, Contains as _, Coord, Distance as _, Euclidean, InteriorPoint as _, Line, Polygon,
    Rect,
};

use crate::line::{LineIndex, around, index, seen_from};
use crate::union::root;

/// Walls nearer than this to one another belong to one drawing, metres (our own choice: less than
/// draughtsmen leave between two drawings, more than a hall is wide beside a wall that ends).
const APART_M: f64 = 1.5;
/// A drawing is at least so wide and deep, metres: less is a loose piece of wall.
const LEAST_M: f64 = 2.0;
/// A room of less is a cupboard, a shaft or a pane, square metres (our own choice).
const WIDE_M2: f64 = 2.5;
/// Most looks at a neighbour in all (our own choice: it bounds the time of a hostile file).
const MOST_LOOKS: usize = 4_000_000;
/// Most drawings of one sheet (our own choice).
const MOST_DRAWINGS: usize = 500;
/// Places of all drawings at which it is asked whether they are inside, and of each at least (our
/// own choice).
const PLACES: (f64, f64) = (2_000.0, 100.0);

/// The drawings on a sheet, from left to right.
pub(super) struct Sheet {
    boxes: Vec<Rect<f64>>,
}

/// What the walls of one drawing close off.
#[derive(Clone, Copy)]
pub(super) struct Closed {
    pub(super) rooms: usize,
    /// Of these, the ones in which somebody can stand and walk.
    pub(super) wide_rooms: usize,
    pub(super) rooms_m2: f64,
    /// What the outline holds, gaps in it left aside, square metres.
    pub(super) outline_m2: f64,
}

impl Closed {
    /// Whether the rooms are at least half of what the outline holds.
    pub(super) fn is_closed(&self) -> bool {
        self.rooms > 0 && self.rooms_m2 >= 0.5 * self.outline_m2
    }
}

impl Sheet {
    /// Groups walls by the space between them, which may be so wide if that is more than usual;
    /// what lies within the box of another belongs to it.
    pub(super) fn of(lines: &[Line<f64>], apart_m: f64) -> Self {
        let apart_m = apart_m.max(APART_M);
        let mut above: Vec<usize> = (0..lines.len()).collect();
        let by_place = index(lines.iter().copied());
        let mut looks = 0;
        for (number, line) in lines.iter().enumerate() {
            for found in by_place.locate_in_envelope_intersecting(&around(*line, apart_m)) {
                looks += 1;
                if looks > MOST_LOOKS {
                    return Self { boxes: Vec::new() };
                }
                let (a, b) = (root(&mut above, number), root(&mut above, found.data));
                if a != b && Euclidean.distance(line, &lines[found.data]) <= apart_m {
                    above[a.max(b)] = a.min(b);
                }
            }
        }
        let mut boxes: Vec<Option<Rect<f64>>> = vec![None; lines.len()];
        for (number, line) in lines.iter().enumerate() {
            let own = Rect::new(line.start, line.end);
            let whole = &mut boxes[root(&mut above, number)];
            *whole = Some(whole.map_or(own, |whole| both(whole, own)));
        }
        let is_drawing = |one: &Rect<f64>| one.width() >= LEAST_M && one.height() >= LEAST_M;
        let mut boxes: Vec<Rect<f64>> = boxes.into_iter().flatten().filter(is_drawing).collect();
        if boxes.len() > MOST_DRAWINGS {
            return Self { boxes: Vec::new() };
        }
        while let Some((a, b)) = overlapping(&boxes) {
            boxes[a] = both(boxes[a], boxes[b]);
            boxes.swap_remove(b);
        }
        boxes.sort_by(|a, b| a.min().x.total_cmp(&b.min().x).then(a.min().y.total_cmp(&b.min().y)));
        Self { boxes }
    }

    pub(super) fn boxes(&self) -> &[Rect<f64>] {
        &self.boxes
    }

    /// The number of the drawing to which the middle of a wall belongs; none for a loose piece.
    pub(super) fn at(&self, line: Line<f64>) -> Option<usize> {
        let middle = (line.start + line.end) * 0.5;
        self.boxes.iter().position(|one| {
            let (low, high) = (one.min(), one.max());
            let within = |at: f64, low: f64, high: f64| at >= low - 0.3 && at <= high + 0.3;
            within(middle.x, low.x, high.x) && within(middle.y, low.y, high.y)
        })
    }
}

/// The box around two.
pub(super) fn both(a: Rect<f64>, b: Rect<f64>) -> Rect<f64> {
    let low = |a: Coord<f64>, b: Coord<f64>| Coord { x: a.x.min(b.x), y: a.y.min(b.y) };
    let high = |a: Coord<f64>, b: Coord<f64>| Coord { x: a.x.max(b.x), y: a.y.max(b.y) };
    Rect::new(low(a.min(), b.min()), high(a.max(), b.max()))
}

fn overlapping(boxes: &[Rect<f64>]) -> Option<(usize, usize)> {
    let meet = |a: &Rect<f64>, b: &Rect<f64>| {
        a.min().x < b.max().x
            && b.min().x < a.max().x
            && a.min().y < b.max().y
            && b.min().y < a.max().y
    };
    (0..boxes.len()).find_map(|a| {
        let later = (a + 1..boxes.len()).find(|b| meet(&boxes[a], &boxes[*b]))?;
        Some((a, later))
    })
}

/// The outline of a building whose walls may have gaps: a place is within it if walls stand on at
/// least three of its four sides.
pub(super) struct Shell {
    lines: Vec<Line<f64>>,
    index: LineIndex,
}

impl Shell {
    pub(super) fn new(lines: Vec<Line<f64>>) -> Self {
        let index = index(lines.iter().copied());
        Self { lines, index }
    }

    pub(super) fn holds(&self, at: Coord<f64>) -> bool {
        let far = 1e4;
        let sides = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)];
        let hits = sides.iter().filter(|&&(x, y)| {
            let ray = Line::new(at, at + Coord { x: x * far, y: y * far });
            let mut near = self.index.locate_in_envelope_intersecting(&around(ray, 1e-9));
            near.any(|found| crosses(self.lines[found.data], ray))
        });
        hits.count() >= 3
    }

    /// What the outline of a drawing holds and what of it is closed off.
    pub(super) fn closed(&self, whole: Rect<f64>, rooms: &[&Polygon<f64>], of: usize) -> Closed {
        let middle =
            |room: &&&Polygon<f64>| room.interior_point().is_some_and(|at| whole.contains(&at));
        let own: Vec<&&Polygon<f64>> = rooms.iter().filter(middle).collect();
        let rooms_m2 = own.iter().fold(0.0, |sum, room| sum + room.unsigned_area());
        let places = (PLACES.0 / of as f64).max(PLACES.1);
        let step = (whole.width() * whole.height() / places).sqrt().max(0.1);
        let (mut y, mut inside) = (whole.min().y + step / 2.0, 0.0);
        while y < whole.max().y {
            let mut x = whole.min().x + step / 2.0;
            while x < whole.max().x {
                inside += f64::from(u8::from(self.holds(Coord { x, y })));
                x += step;
            }
            y += step;
        }
        let is_wide = |room: &&&&Polygon<f64>| room.unsigned_area() >= WIDE_M2;
        let wide_rooms = own.iter().filter(is_wide).count();
        Closed { rooms: own.len(), wide_rooms, rooms_m2, outline_m2: inside * step * step }
    }
}

/// Whether a line crosses a level or upright ray.
fn crosses(line: Line<f64>, ray: Line<f64>) -> bool {
    let ((p, off), (q, then_off)) = (seen_from(ray, line.start), seen_from(ray, line.end));
    if (off > 0.0) == (then_off > 0.0) {
        return false;
    }
    p + (q - p) * off / (off - then_off) > 0.0
}
