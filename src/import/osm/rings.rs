//! Multipolygon relations: ways strung together to rings, holes put into what they lie in.

use std::collections::{BTreeMap, BTreeSet};

use geo::{Contains, Coord, LineString, MultiPolygon, Point, Polygon};

pub(super) struct Member {
    /// The way's id; nothing for a node or relation, which a multipolygon does not have.
    pub(super) way: Option<String>,
    pub(super) inner: bool,
}

/// Most rings of one relation: each hole is looked for in each outline.
const MAX_RINGS: usize = 500;

type Line<'m> = Vec<(&'m str, Coord<f64>)>;

/// The areas of a relation, or why there are none. `left` is how many positions all relations may
/// still have: many may name the same way.
pub(super) fn multipolygon(
    members: &[Member],
    lines: &BTreeMap<&str, Line<'_>>,
    left: &mut usize,
) -> Result<MultiPolygon<f64>, &'static str> {
    let mut named = BTreeSet::new();
    for way in members.iter().filter_map(|member| member.way.as_deref()) {
        if !named.insert(way) {
            return Err("it names a way twice");
        }
        let positions = lines.get(way).map_or(0, Vec::len);
        *left =
            left.checked_sub(positions).ok_or("all relations together have too many positions")?;
    }
    let of = |inner: bool| -> Result<Vec<LineString<f64>>, &'static str> {
        let ways = members.iter().filter(|member| member.inner == inner);
        let ways: Option<Vec<&Line<'_>>> =
            ways.filter_map(|member| member.way.as_deref()).map(|way| lines.get(way)).collect();
        rings(&ways.ok_or("the file lacks some of its ways")?)
    };
    let (outer, inner) = (of(false)?, of(true)?);
    if outer.is_empty() {
        return Err("it has no outer way");
    }
    if outer.len() + inner.len() > MAX_RINGS {
        return Err("it has too many rings");
    }
    let mut areas: Vec<Polygon<f64>> =
        outer.into_iter().map(|ring| Polygon::new(ring, Vec::new())).collect();
    for hole in inner {
        let corner = hole.0.first().copied().unwrap_or_default();
        let around = |area: &Polygon<f64>| {
            Polygon::new(area.exterior().clone(), Vec::new()).contains(&Point(corner))
        };
        let Some(area) = areas.iter_mut().find(|area| around(area)) else {
            return Err("a hole is in none of its outlines");
        };
        area.interiors_push(hole);
    }
    Ok(MultiPolygon::new(areas))
}

/// Ways strung together at nodes that they share.
fn rings(ways: &[&Line<'_>]) -> Result<Vec<LineString<f64>>, &'static str> {
    let ends = |way: &Line<'_>| Some((way.first()?.0.to_owned(), way.last()?.0.to_owned()));
    let mut at_node: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (number, way) in ways.iter().enumerate() {
        let Some((from, to)) = ends(way) else { continue };
        at_node.entry(from).or_default().push(number);
        at_node.entry(to).or_default().push(number);
    }
    let mut used = vec![false; ways.len()];
    let mut take =
        |number: usize| used.get_mut(number).is_some_and(|used| !std::mem::replace(used, true));
    let mut found = Vec::new();
    for (number, way) in ways.iter().enumerate() {
        if !take(number) {
            continue;
        }
        let mut ring: Line<'_> = (*way).clone();
        while ring.first().map(|end| end.0) != ring.last().map(|end| end.0) {
            let end = ring.last().map_or("", |end| end.0);
            // A node at which many ways end is looked at once for each of them.
            let waiting = at_node.get_mut(end).and_then(|waiting| {
                while let Some(next) = waiting.pop() {
                    if take(next) {
                        return Some(next);
                    }
                }
                None
            });
            let Some(next) = waiting.and_then(|next| ways.get(next)) else {
                return Err("its outline is not closed");
            };
            if next.first().map(|first| first.0) == Some(end) {
                ring.extend(next.iter().skip(1));
            } else {
                ring.extend(next.iter().rev().skip(1));
            }
        }
        if ring.len() < 4 {
            return Err("one of its rings has fewer than three corners");
        }
        found.push(ring.into_iter().map(|(_, at)| at).collect());
    }
    Ok(found)
}
