//! Walls by class, and openings.

use crate::base::{
    CONCRETE, Canvas, INK, Ink, MASONRY, PAPER, PARTITION, Point, QUIET, TIMBER, View, arrow,
    distance,
};
use crate::picture::{OpeningMark, Picture, WallClass, WallMark};

/// How near two wall ends are to be one corner, metres.
const CORNER_M: f64 = 0.05;

/// Classes in the order in which they are drawn: where two meet, the heavier lies on top.
pub(crate) const ORDER: [WallClass; 8] = [
    WallClass::Light,
    WallClass::Door,
    WallClass::Timber,
    WallClass::Glass,
    WallClass::CoatedGlass,
    WallClass::Concrete,
    WallClass::Masonry,
    WallClass::Metal,
];

/// A straight body on the picture: centre line and width, pixels.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Body {
    pub a: Point,
    pub b: Point,
    pub thick: f64,
}

impl Body {
    fn length(&self) -> f64 {
        distance(self.b, self.a)
    }

    /// Unit vectors along and across.
    fn axes(&self) -> ([f64; 2], [f64; 2]) {
        let length = self.length();
        if length == 0.0 {
            return ([1.0, 0.0], [0.0, 1.0]);
        }
        let along = [(self.b[0] - self.a[0]) / length, (self.b[1] - self.a[1]) / length];
        (along, [-along[1], along[0]])
    }

    /// The place `along` pixels from `a` and `across` pixels to the side.
    pub fn at(&self, along: f64, across: f64) -> Point {
        let (u, n) = self.axes();
        [self.a[0] + u[0] * along + n[0] * across, self.a[1] + u[1] * along + n[1] * across]
    }

    /// Its outline, grown by `by` on every side (or shrunk, if negative).
    pub fn outline(&self, by: f64) -> [Point; 4] {
        let (half, end) = (self.thick / 2.0 + by, self.length() + by);
        [self.at(-by, -half), self.at(end, -half), self.at(end, half), self.at(-by, half)]
    }

    /// Offsets along the body of marks about `spacing` apart.
    fn marks(&self, spacing: f64) -> impl Iterator<Item = f64> {
        let count = (self.length() / spacing).round().clamp(1.0, 5000.0);
        let step = self.length() / count;
        (0..count as usize).map(move |mark| (mark as f64 + 0.5) * step)
    }
}

/// A wall's body, at corners run on by half the other wall's thickness so that no notch is left.
pub(crate) fn body(picture: &Picture, wall: &WallMark, view: &View) -> Body {
    let (a, b) = (view.place(wall.a), view.place(wall.b));
    let plain = Body { a, b, thick: (wall.thickness_m * view.scale).max(2.0) };
    let (along, _) = plain.axes();
    let run_on = |end: [f64; 2]| {
        let near = |one: [f64; 2]| distance(one, end) < CORNER_M;
        picture
            .walls
            .iter()
            .filter(|other| near(other.a) != near(other.b))
            .filter(|other| {
                let body = Body { a: view.place(other.a), b: view.place(other.b), thick: 1.0 };
                let (other, _) = body.axes();
                (along[0] * other[1] - along[1] * other[0]).abs() > 0.3
            })
            .map(|other| other.thickness_m / 2.0 * view.scale)
            .fold(0.0, f64::max)
    };
    let (before, after) = (run_on(wall.a), run_on(wall.b));
    Body {
        a: [a[0] - along[0] * before, a[1] - along[1] * before],
        b: [b[0] + along[0] * after, b[1] + along[1] * after],
        ..plain
    }
}

/// What sets a body off from the ground and its neighbours.
fn draw_outline(canvas: &mut Canvas, body: &Body, class: WallClass) {
    let ink = if class == WallClass::Masonry { MASONRY } else { INK };
    canvas.polygon(&body.outline(0.0), ink);
}

fn draw_inside(canvas: &mut Canvas, body: &Body, class: WallClass, size: f64) {
    let face = match class {
        WallClass::Concrete => 2.2,
        WallClass::Glass => 1.1,
        _ => 1.3,
    } * size;
    let inside = body.thick - 2.0 * face;
    let ground = match class {
        WallClass::Light => Some(PARTITION),
        WallClass::Timber => Some(TIMBER),
        WallClass::Concrete => Some(CONCRETE),
        WallClass::Glass | WallClass::CoatedGlass | WallClass::Door => Some(PAPER),
        WallClass::Masonry | WallClass::Metal => None,
    };
    if let Some(ground) = ground
        && inside > 0.8
    {
        canvas.polygon(&body.outline(-face), ground);
    }
    let end = body.length();
    match class {
        WallClass::Timber if inside > 3.0 => {
            let half = inside / 2.0;
            for along in body.marks(9.0 * size) {
                let (from, to) = ((along - half).max(face), (along + half).min(end - face));
                canvas.line(&[body.at(from, -half), body.at(to, half)], 1.2 * size, INK);
            }
        }
        WallClass::Concrete if inside > 3.0 => {
            for (count, along) in body.marks(7.0 * size).enumerate() {
                let across = if count % 2 == 0 { inside / 5.0 } else { -inside / 5.0 };
                canvas.disc(body.at(along, across), 1.4 * size, INK);
            }
        }
        WallClass::CoatedGlass => {
            let centre = [body.at(0.0, 0.0), body.at(end, 0.0)];
            let width = (inside - 2.0).clamp(1.5 * size, 3.5 * size);
            canvas.dashed(&centre, &[8.0 * size, 5.0 * size], width, INK);
        }
        WallClass::Metal => {
            let reach = body.thick / 2.0 + 4.0 * size;
            for along in body.marks(11.0 * size) {
                let tick = [body.at(along, -reach), body.at(along, reach)];
                canvas.line(&tick, 2.0 * size, INK);
            }
        }
        _ => {}
    }
}

/// Draws one body alone, as in the legend.
pub(crate) fn draw_body(canvas: &mut Canvas, body: &Body, class: WallClass, size: f64) {
    draw_outline(canvas, body, class);
    draw_inside(canvas, body, class, size);
}

/// Draws a gap that nothing fills: its jambs, and dots where a leaf would be.
pub(crate) fn draw_gap(canvas: &mut Canvas, gap: &Body, size: f64) {
    let wide = Body { thick: gap.thick + 2.0 * size, ..*gap };
    canvas.polygon(&wide.outline(0.0), PAPER);
    let line = [gap.at(0.0, 0.0), gap.at(gap.length(), 0.0)];
    canvas.dashed(&line, &[2.0 * size, 4.0 * size], 1.6 * size, QUIET);
    draw_jambs(canvas, gap, size);
}

fn draw_jambs(canvas: &mut Canvas, gap: &Body, size: f64) {
    let half = gap.thick / 2.0 + size;
    for along in [0.0, gap.length()] {
        canvas.line(&[gap.at(along, -half), gap.at(along, half)], 2.0 * size, INK);
    }
}

/// Draws an opening: the gap, its jambs, and the leaf or pane in it.
pub(crate) fn draw_opening(
    canvas: &mut Canvas,
    gap: &Body,
    class: WallClass,
    open_towards: Option<f64>,
    size: f64,
) {
    let end = gap.length();
    let wide = Body { thick: gap.thick + 2.0 * size, ..*gap };
    canvas.polygon(&wide.outline(0.0), PAPER);
    let leaf_thick = match class {
        WallClass::Glass | WallClass::CoatedGlass => {
            (0.5 * gap.thick).clamp(4.0 * size, 8.0 * size)
        }
        WallClass::Metal => 3.0 * size,
        WallClass::Masonry | WallClass::Concrete => 0.7 * gap.thick,
        _ => (0.35 * gap.thick).clamp(3.5 * size, 7.0 * size),
    };
    if let Some(side) = open_towards {
        let leaf = Body { a: gap.at(0.0, 0.0), b: gap.at(0.0, side * end), thick: leaf_thick };
        let swing: Vec<Point> = (0..=12)
            .map(|step| {
                let turn = f64::from(step) / 12.0 * std::f64::consts::FRAC_PI_2;
                gap.at(end * turn.cos(), side * end * turn.sin())
            })
            .collect();
        canvas.polygon(&leaf.outline(1.5 * size), PAPER);
        canvas.line(&swing, 2.6 * size, PAPER);
        canvas.dashed(&swing, &[3.0 * size, 3.0 * size], 1.2 * size, QUIET);
        draw_body(canvas, &leaf, class, size);
    } else {
        match class {
            // Panes: a frame as thick as the wall, and the pane as a line in it.
            WallClass::Glass | WallClass::CoatedGlass => {
                canvas.outline(&gap.outline(0.0), 1.2 * size, INK);
                let pane = [gap.at(0.0, 0.0), gap.at(end, 0.0)];
                if class == WallClass::Glass {
                    canvas.line(&pane, 1.2 * size, INK);
                } else {
                    canvas.dashed(&pane, &[6.0 * size, 3.0 * size], 2.4 * size, INK);
                }
            }
            // Leaves: a thin dark bar with handles, so that a door differs in print, too.
            WallClass::Light | WallClass::Timber | WallClass::Door => {
                let leaf = Body { thick: 3.4 * size, ..*gap };
                canvas.polygon(&leaf.outline(0.0), INK);
                draw_handles(canvas, gap, size);
            }
            WallClass::Metal => {
                draw_body(canvas, &Body { thick: leaf_thick, ..*gap }, class, size);
                draw_handles(canvas, gap, size);
            }
            WallClass::Masonry | WallClass::Concrete => {
                draw_body(canvas, &Body { thick: leaf_thick, ..*gap }, class, size);
            }
        }
    }
    draw_jambs(canvas, gap, size);
}

/// The handles of a closed door, on both sides of its leaf near one jamb.
fn draw_handles(canvas: &mut Canvas, gap: &Body, size: f64) {
    let along = gap.length() * 0.82;
    for side in [-1.0, 1.0] {
        canvas.disc(gap.at(along, side * 3.6 * size), 2.3 * size, INK);
    }
}

fn gap(opening: &OpeningMark, view: &View) -> Body {
    let thick = (opening.thickness_m * view.scale).max(3.0 * view.size);
    Body { a: view.place(opening.a), b: view.place(opening.b), thick }
}

/// Which side of an opening faces away from the middle of the plan: the factor to go across by.
fn outside(gap: &Body, view: &View) -> f64 {
    let middle = view.place(view.middle);
    let centre = gap.at(gap.length() / 2.0, 0.0);
    let (_, across) = gap.axes();
    let side = (centre[0] - middle[0]) * across[0] + (centre[1] - middle[1]) * across[1];
    if side >= 0.0 { 1.0 } else { -1.0 }
}

/// The arrow head outside an entry door, its tip towards the door.
pub(crate) fn entry_arrow(tip: Point, away: [f64; 2], size: f64) -> [Point; 3] {
    let [tip, left, right] = arrow(tip, [-away[0], -away[1]], 17.0 * size, 9.0 * size);
    [tip, right, left]
}

pub(crate) fn entries(picture: &Picture, view: &View) -> Vec<[Point; 3]> {
    // Where walks begin, the way in matters more.
    let size = view.size * if picture.sites() { 1.4 } else { 1.0 };
    picture
        .openings
        .iter()
        .filter(|opening| opening.entry)
        .map(|opening| {
            let gap = gap(opening, view);
            let side = outside(&gap, view);
            let (_, across) = gap.axes();
            let away = [across[0] * side, across[1] * side];
            let tip = gap.at(gap.length() / 2.0, side * (gap.thick / 2.0 + 5.0 * view.size));
            entry_arrow(tip, away, size)
        })
        .collect()
}

pub(crate) fn draw_entry(canvas: &mut Canvas, arrow: &[Point; 3], size: f64) {
    canvas.rimmed_polygon(arrow, 4.0 * size, INK);
}

pub(crate) fn draw(canvas: &mut Canvas, picture: &Picture, view: &View) {
    let rim: Ink = PAPER.at(0.85);
    let bodies: Vec<(Body, WallClass)> =
        picture.walls.iter().map(|wall| (body(picture, wall, view), wall.class)).collect();
    for (body, _) in &bodies {
        canvas.polygon(&body.outline(1.5 * view.size), rim);
    }
    for class in ORDER {
        // All outlines of a class first: its walls then run into one another without a seam.
        for (body, _) in bodies.iter().filter(|(_, own)| *own == class) {
            draw_outline(canvas, body, class);
        }
        for (body, _) in bodies.iter().filter(|(_, own)| *own == class) {
            draw_inside(canvas, body, class, view.size);
        }
    }
    for opening in &picture.openings {
        let gap = gap(opening, view);
        if opening.empty {
            draw_gap(canvas, &gap, view.size);
            continue;
        }
        let open = opening.open.then(|| -outside(&gap, view));
        draw_opening(canvas, &gap, opening.class, open, view.size);
    }
    for arrow in entries(picture, view) {
        draw_entry(canvas, &arrow, view.size);
    }
}
