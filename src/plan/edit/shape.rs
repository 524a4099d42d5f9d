//! A line, or the outer ring of an outline, given other corners.

use geo::Coord;

use super::super::Plan;
use super::super::feature::Named;
use super::super::fields::Fields;
use super::super::layout::{Layout, Node};
use super::super::measure::rounded;
use super::super::spelling::{Now, Spelt, all_spelt, around, changed};
use super::super::splice::Splice;
use super::error::EditError;
use input::json::Value;

/// What gives a feature other corners, in metres. A corner that is as it was, to a thousandth of
/// the unit, keeps its spelling.
pub(super) fn splices(
    text: &str,
    feature: &Named<'_>,
    corners: &[Coord<f64>],
    sheet: &Plan,
) -> Result<Vec<Splice>, EditError> {
    let no_line = || EditError::NoLine(feature.id.clone());
    let geometry = feature.fields.value("geometry").map(Fields::quietly).ok_or_else(no_line)?;
    let kind = geometry.value("type").and_then(|it| it.text()).unwrap_or_default();
    let is_ring = match kind.as_ref() {
        "LineString" => false,
        "Polygon" => true,
        _ => return Err(no_line()),
    };
    let mut corners: Vec<Coord<f64>> =
        corners.iter().map(|corner| rounded(*corner / sheet.metres_per_unit)).collect();
    if corners.iter().any(|corner| !corner.x.is_finite() || !corner.y.is_finite()) {
        return Err(EditError::NotFinite);
    }
    let least = if is_ring {
        if corners.len() > 1 && corners.first() == corners.last() {
            corners.pop();
        }
        3
    } else {
        2
    };
    if corners.len() < least {
        return Err(EditError::TooFewCorners { id: feature.id.clone(), least });
    }
    if is_ring {
        corners.extend(corners.first().copied());
    }
    let boxes: Vec<Value<'_>> =
        [&feature.fields, &geometry].iter().filter_map(|it| it.value("bbox")).collect();
    let coordinates = geometry.value("coordinates");
    let list = if is_ring {
        // Holes stay if they are lists of positions; if not, all is written anew.
        let rings = coordinates.map(|rings| rings.items()).unwrap_or_default();
        let holes = rings.iter().skip(1);
        rings.first().copied().filter(|_| holes.clone().all(|hole| all_spelt(*hole).is_some()))
    } else {
        coordinates
    };
    if let Some(list) = list
        && let Some(before) = all_spelt(list)
    {
        return Ok(changed(text, list, &before, &matched(&before, &corners), &boxes));
    }
    // What stands there is no list of positions: all is written anew.
    let line = Node::List(corners.iter().map(|it| Node::position(it.x, it.y)).collect());
    let layout = Layout::of(text, &geometry).ok_or_else(no_line)?;
    let mut splices: Vec<Splice> = if let Some(list) = list.filter(|_| is_ring) {
        vec![Splice::value(list, layout.write_member(&line, 0))]
    } else {
        let node = if is_ring { Node::List(vec![line]) } else { line };
        let value = layout.write_member(&node, 0);
        Layout::set(text, &geometry, "coordinates", &value).into_iter().collect()
    };
    let now: Vec<Now<'_>> = corners.iter().map(|corner| (*corner, None)).collect();
    splices.extend(around(&now, &boxes));
    Ok(splices)
}

/// Each new corner with the one of the text that it was: from both ends as far as they are the
/// same, and one by one in between if there are as many.
fn matched<'t>(before: &[Spelt<'t>], corners: &[Coord<f64>]) -> Vec<Now<'t>> {
    let same = |(spelt, corner): &(&Spelt<'_>, &Coord<f64>)| rounded(spelt.said) == **corner;
    let shorter = before.len().min(corners.len());
    let head = before.iter().zip(corners).take_while(same).count();
    let tail = before.iter().rev().zip(corners.iter().rev()).take_while(same).count();
    let tail = tail.min(shorter - head);
    let (from_end, is_moved) = (corners.len() - tail, before.len() == corners.len());
    let now = |(index, corner): (usize, &Coord<f64>)| {
        let spelt = if index < head || is_moved {
            before.get(index)
        } else if index >= from_end {
            before.get(before.len() - (corners.len() - index))
        } else {
            None
        };
        let kept = |said: Coord<f64>| Coord {
            x: if rounded(said).x == corner.x { said.x } else { corner.x },
            y: if rounded(said).y == corner.y { said.y } else { corner.y },
        };
        (spelt.map_or(*corner, |spelt| kept(spelt.said)), spelt.copied())
    };
    corners.iter().enumerate().map(now).collect()
}
