//! Pictures of floor plans, PNG or JPEG: a photograph of a drawing, a scan, a screenshot. What is
//! found is pencil: walls to look at, to take or to leave.
//!
//! The light is made even, ink told from paper (`ink`), the picture turned upright; a coarse one is
//! read with pixels between its own (`raster`). Walls that are drawn solid or grey are found by
//! how thick they are (`faces`); walls that are drawn with two lines, hatched or not, by the strips
//! between the lines, which run on into one another as those of furniture do not (`strips`), and
//! are filled. Leaves that stand open have the way of their tip drawn (`swings`). The outlines of
//! all go the way of a drawing, whose reader pairs faces, closes corners, leaves out what stands
//! by itself and says what stands in gaps. Lines that are neither level nor upright are read of
//! solid walls only. Texts and colours are not read.
//!
//! A picture has no unit: the user gives a length that is known, or several ([`Fit`]), and may give
//! four corners of something rectangular, if it was taken askew ([`Square`]).

mod faces;
mod ink;
mod raster;
mod scale;
mod square;
mod strips;
mod swings;

use std::collections::BTreeSet;

use geo::{Coord, Line};

use self::faces::Faces;
use self::ink::Ink;
pub use self::raster::{MAX_PICTURE_BYTES, MAX_PIXELS, Picture, Trouble, size_of};
pub use self::scale::Fit;
pub use self::square::{Homography, Square, Squared};
use self::swings::Swing;
use crate::dxf::{self, Body, Drawn, Groups, Round, Stroke, Strokes};
use crate::guess::Guesses;
use crate::{Draft, Ground, Settings, whole_file};
use plan::Diagnostic;

/// Most pixels to a metre in which walls are looked for (our own choice: a thin wall is five wide).
const MOST_TO_A_METRE: f64 = 60.0;
/// Fewest pixels to a metre in which a wall can be told from a line (our own choice).
const FEWEST_TO_A_METRE: f64 = 12.0;
/// Walls of one plan are no farther apart, metres: fronts of glass are thin lines here (our own
/// choice).
const APART_M: f64 = 2.5;
/// Layer of outlines, whose name does not say walls, so that the reader of drawings leaves out what
/// stands by itself; of the same where that leaves nothing; and of thin lines.
const OUTLINES: &str = "outlines";
const WALLS: &str = "walls";
const SYMBOLS: &str = "symbols";

/// Reads a picture as a draft.
///
/// # Errors
/// A file that is none, or is too large; no known length; nothing that looks like walls; and all
/// faults of a drawing.
pub fn draft(name: &str, bytes: &[u8], settings: &Settings) -> Result<Draft, Vec<Diagnostic>> {
    let trouble = |(what, fix): Trouble| vec![whole_file(name, what, fix)];
    let mut picture = Picture::read(bytes).map_err(trouble)?;
    let mut guesses = Guesses::default();
    let mut metres = None;
    if let Some(square) = &settings.square {
        let squared = square.squared(&picture).map_err(trouble)?;
        picture = squared.picture;
        metres = squared.metres_per_pixel;
    }
    if let Some(fit) = Fit::of(&settings.lengths) {
        metres = Some(fit.metres_per_pixel);
        if settings.lengths.len() > 1 {
            let taken = format!("they disagree by {:.1} % at most", fit.off * 100.0);
            let fix = "measure again, or give --corners if the picture was taken askew";
            guesses.add("the lengths that are given", taken, fix, settings.lengths.len());
        }
    }
    let Some(metres) = metres else {
        let fix = "give one length that you know: --length \"3.6 m = 412 px\"";
        return Err(trouble(("a picture has no scale".to_owned(), fix)));
    };
    let mut draft = grounded(name, &picture, metres, settings)?;
    draft.guesses.splice(0..0, guesses.0);
    Ok(draft)
}

/// The draft of a picture, which lies under it.
///
/// # Errors
/// Those of [`draft`].
pub(crate) fn grounded(
    name: &str,
    picture: &Picture,
    metres_per_pixel: f64,
    settings: &Settings,
) -> Result<Draft, Vec<Diagnostic>> {
    let (mut draft, transform) = of_picture(name, picture, metres_per_pixel, settings)?;
    let encoded = picture.encoded();
    let (bytes, ending) = encoded.map_err(|(what, fix)| vec![whole_file(name, what, fix)])?;
    draft.ground = Some(Ground { file: String::new(), transform, bytes, ending });
    Ok(draft)
}

/// The draft of a picture, and what puts its pixels into it.
///
/// # Errors
/// Those of [`draft`].
pub fn of_picture(
    name: &str,
    picture: &Picture,
    metres_per_pixel: f64,
    settings: &Settings,
) -> Result<(Draft, [f64; 6]), Vec<Diagnostic>> {
    let trouble = |(what, fix): Trouble| vec![whole_file(name, what, fix)];
    let to_a_metre = 1.0 / metres_per_pixel;
    if !(FEWEST_TO_A_METRE..=20_000.0).contains(&to_a_metre) {
        let what = format!("the picture has {to_a_metre:.1} pixels to a metre");
        let fix = "check the length that is given, or take a picture with at least 30 pixels to a \
                   metre";
        return Err(trouble((what, fix)));
    }
    let (page, to_page) = picture.page(to_a_metre / MOST_TO_A_METRE);
    let to_a_metre = to_a_metre * to_page[0].hypot(to_page[3]);
    let ink = Ink::of(&page, to_a_metre).map_err(trouble)?;
    let (ink, turned) = ink.upright();
    let found = Faces::of(&ink, to_a_metre, to_page[0].max(1.0));
    let page = Upright { rows: ink.rows() as f64, metres: 1.0 / to_a_metre };
    let into = after(turned, to_page);
    let solid = |layer| {
        let seen = (&found.walls[..], &found.lines[..], &found.swings[..]);
        page.draft(name, layer, seen, settings)
    };
    // A plan of single lines has no walls but these.
    let faces = || {
        let faces = [&found.walls[..], &found.lines].concat();
        page.draft(name, WALLS, (&faces, &[], &[]), settings)
    };
    let found = solid(OUTLINES).or_else(|_| solid(WALLS));
    let (draft, placed) = found.or_else(|fault| faces().map_err(|_| fault))?;
    Ok((draft, after(placed, into)))
}

/// A page that stands upright.
struct Upright {
    rows: f64,
    /// Metres to a pixel.
    metres: f64,
}

impl Upright {
    /// The draft of faces of walls and other lines, and what puts the page into it.
    fn draft(
        &self,
        name: &str,
        layer: &str,
        (walls, lines, swings): (&[Line<f64>], &[Line<f64>], &[Swing]),
        settings: &Settings,
    ) -> Result<(Draft, [f64; 6]), Vec<Diagnostic>> {
        let up = |at: Coord<f64>| Coord { x: at.x, y: self.rows - at.y };
        let line = |line: &Line<f64>| Drawn::line(up(line.start), up(line.end));
        let stroke = |drawn: Drawn, layer: usize| Stroke {
            drawn,
            body: Body::Line,
            is_broken: false,
            layer,
            block: None,
            insert: None,
        };
        let ends = walls.iter().flat_map(|line| [up(line.start), up(line.end)]);
        let low = ends.reduce(|a, b| Coord { x: a.x.min(b.x), y: a.y.min(b.y) });
        let Some(low) = low else {
            let fix = "take the picture from straight above in even light, larger; or draw the \
                       walls over it in `drillonce serve`";
            return Err(vec![whole_file(name, "nothing in the picture looks like walls", fix)]);
        };
        let walls = walls.iter().map(|wall| stroke(line(wall), 0));
        let lines = lines.iter().map(|thin| stroke(line(thin), 1));
        let leaves = swings.iter().flat_map(|swing| {
            let [middle, tip, shut] = [swing.hinge, swing.tip, swing.shut].map(up);
            let (leaf, way) = (tip - middle, shut - middle);
            let sweep_deg = 90.0 * (leaf.x * way.y - leaf.y * way.x).signum();
            let arc = Drawn::arc(tip, shut, Round { middle, sweep_deg });
            [stroke(Drawn::line(middle, tip), 1), stroke(arc, 1)]
        });
        let drawn = Strokes {
            strokes: walls.chain(lines).chain(leaves).collect(),
            layers: [layer, SYMBOLS].map(str::to_owned).to_vec(),
            apart_m: APART_M,
            ..Strokes::default()
        };
        let settings = Settings { metres_per_unit: Some(self.metres), ..settings.clone() };
        let groups = Groups::with_hidden(BTreeSet::new());
        let mut draft = dxf::of_strokes(name, &groups, &drawn, &settings)?;
        draft.guesses.retain(|guess| !guess.about.starts_with("layer"));
        let metres = self.metres;
        let (x, y) = (-low.x * metres, (self.rows - low.y) * metres);
        Ok((draft, [metres, 0.0, x, 0.0, -metres, y]))
    }
}

/// What one transform and then another do together: `second` after `first`.
#[must_use]
pub fn after(second: [f64; 6], first: [f64; 6]) -> [f64; 6] {
    let [a, b, c, d, e, f] = second;
    let [g, h, i, j, k, l] = first;
    [
        a * g + b * j,
        a * h + b * k,
        a * i + b * l + c,
        d * g + e * j,
        d * h + e * k,
        d * i + e * l + f,
    ]
}

/// The transform back; nothing where there is none.
#[must_use]
pub fn inverse([a, b, c, d, e, f]: [f64; 6]) -> Option<[f64; 6]> {
    let area = a * e - b * d;
    let one = 1.0 / area;
    let back = [e * one, -b * one, (b * f - c * e) * one, -d * one, a * one, (c * d - a * f) * one];
    back.iter().all(|number| number.is_finite()).then_some(back)
}

/// Where a transform puts a place.
#[must_use]
pub fn put([a, b, c, d, e, f]: [f64; 6], at: Coord<f64>) -> Coord<f64> {
    Coord { x: a * at.x + b * at.y + c, y: d * at.x + e * at.y + f }
}

/// The bare name of a picture's file beside a plan that no other file has: `house-picture.png`,
/// `house-picture-2.png`, …
#[must_use]
pub fn free_name(plan: &str, ending: &str, is_taken: impl Fn(&str) -> bool) -> String {
    /// Longest part of the plan's own name, characters.
    const LONGEST: usize = 60;
    let plain = |c: char| if c.is_alphanumeric() || "-_".contains(c) { c } else { '-' };
    let stem: String = plan.chars().take(LONGEST).map(plain).collect();
    let stem = stem.trim_matches('-');
    let stem = if stem.is_empty() { "plan" } else { stem };
    let name = |number: usize| match number {
        1 => format!("{stem}-picture.{ending}"),
        number => format!("{stem}-picture-{number}.{ending}"),
    };
    (1..).map(name).find(|name| !is_taken(name)).unwrap_or_default()
}
