//! The check of every number, and the space that the plan takes.

use std::ops::RangeInclusive;

use crate::base::{DrawError, Rect};
use crate::picture::plan::{LinkEnd, Picture};

/// Beyond this a coordinate is no plan's; it keeps all sums in range.
const FAR_M: f64 = 1e6;

/// Thicker than this no wall is.
const THICKEST_M: f64 = 20.0;

/// Checks every number and returns the box of everything, metres, at least a metre each way.
pub(crate) fn extent(picture: &Picture) -> Result<Rect, DrawError> {
    let mut corners: Vec<[f64; 2]> = Vec::new();
    let mut add = |what: &'static str, points: &[[f64; 2]], around: f64| {
        for &[x, y] in points {
            check_pair(what, [x, y])?;
            corners.extend([[x - around, y - around], [x + around, y + around]]);
        }
        Ok::<(), DrawError>(())
    };
    for wall in &picture.walls {
        check("a wall's thickness", wall.thickness_m, 0.0..=THICKEST_M)?;
        add("a wall's end", &[wall.a, wall.b], wall.thickness_m / 2.0)?;
    }
    for opening in &picture.openings {
        check("an opening's thickness", opening.thickness_m, 0.0..=THICKEST_M)?;
        add("an opening's jamb", &[opening.a, opening.b], 0.0)?;
    }
    for area in picture.obstacles.iter().chain(&picture.roams) {
        add("an area's corner", &area.outline, 0.0)?;
    }
    for line in &picture.original {
        add("a drawn line's end", &line.points, 0.0)?;
    }
    for note in &picture.notes {
        add("a note's place", &note.places, 0.0)?;
    }
    for device in &picture.devices {
        add("a device's position", &[device.position], 0.0)?;
        add("a repeater's position", device.via.as_slice(), 0.0)?;
        match device.link.end() {
            Some(LinkEnd::Here(place)) => add("a link's end", &[*place], 0.0)?,
            Some(LinkEnd::Elsewhere { towards, .. }) => check_pair("a link's end", *towards)?,
            None => {}
        }
    }
    for spot in &picture.spots {
        add("a spot's position", &[spot.position], 0.0)?;
        check_pair("a spot's facing", spot.facing)?;
    }
    for strip in &picture.forbidden {
        check_pair("a forbidden strip's facing", strip.facing)?;
        add("a forbidden strip's corner", &strip.line, 0.0)?;
    }
    add("an outlet's position", &picture.outlets, 0.0)?;
    for line in &picture.lines {
        add("a line's corner", &line.points, 0.0)?;
    }
    for path in &picture.paths {
        check("a path's share", path.share, 0.0..=1.0)?;
        add("a path's corner", &path.points, 0.0)?;
        for crossing in &path.crossings {
            add("a crossing's position", &[crossing.position], 0.0)?;
            check("a crossing's loss", crossing.loss_db, -1e4..=1e4)?;
        }
    }
    if let Some(field) = &picture.field {
        check("the field's cell", field.cell_m, 1e-4..=FAR_M)?;
        let found = field.margin_db.len();
        if field.columns.checked_mul(field.rows) != Some(found) {
            let what = "the number of the field's margins";
            return Err(DrawError::Number { what, value: found as f64 });
        }
        if field.margin_db.iter().any(|margin| margin.is_nan()) {
            return Err(DrawError::Number { what: "a margin of the field", value: f64::NAN });
        }
        if !field.margin_db.is_empty() {
            let far = |origin: f64, count: usize| origin + (count as f64 - 1.0) * field.cell_m;
            let [x, y] = field.origin;
            add("the field's origin", &[field.origin], field.cell_m / 2.0)?;
            let end = [far(x, field.columns), far(y, field.rows)];
            add("the field's end", &[end], field.cell_m / 2.0)?;
        }
    }
    let thresholds = picture.thresholds;
    check("the failing threshold", thresholds.failing_below_db, -1e4..=1e4)?;
    check("the sound threshold", thresholds.sound_from_db, thresholds.failing_below_db..=1e4)?;
    let Rect { x0, y0, x1, y1 } = Rect::round(corners);
    let [wider, higher] = [x1 - x0, y1 - y0].map(|side| (1.0 - side).max(0.0) / 2.0);
    Ok(Rect { x0: x0 - wider, y0: y0 - higher, x1: x1 + wider, y1: y1 + higher })
}

/// Checks that a number lies within a range.
pub(crate) fn check(
    what: &'static str,
    value: f64,
    range: RangeInclusive<f64>,
) -> Result<(), DrawError> {
    if range.contains(&value) { Ok(()) } else { Err(DrawError::Number { what, value }) }
}

/// Checks a place, or a direction, that takes no room of its own.
fn check_pair(what: &'static str, pair: [f64; 2]) -> Result<(), DrawError> {
    pair.into_iter().try_for_each(|value| check(what, value, -FAR_M..=FAR_M))
}
