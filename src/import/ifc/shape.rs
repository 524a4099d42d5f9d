//! The bodies of elements: their corners in space, and what they cover in plan.

use geo::orient::{Direction, Orient};
use geo::{
    Area, BooleanOps, ConvexHull, Coord, LineString, MinimumRotatedRect, MultiPoint, MultiPolygon,
    Polygon, unary_union,
};

use super::curves::{flat, indexed};
use super::space::{Frame, Place, Space, WORLD, cross, scaled, sum, unit};
use super::value::{Args, Value};

/// Most corners of one element (our own choice: what is finer is no wall).
const MAX_CORNERS: usize = 60_000;
/// Most parts in one another (our own choice: an attic is cut by each face of its roof).
const MAX_DEPTH: usize = 100;
/// Most parts of one element.
const MAX_PARTS: usize = 5_000;
/// Most corners of areas that are united: crossings cost time with their square.
const MAX_UNITED: usize = 1_500;
/// A face leans at most so far that it still covers something in plan: the upright share of its
/// normal.
const LEAST_UPRIGHT: f64 = 0.05;

/// What an element is made of, in the frame of the site, metres.
#[derive(Debug, Default, Clone)]
pub(super) struct Body {
    pub(super) points: Vec<Place>,
    /// What its parts cover in plan.
    pub(super) areas: Vec<Polygon<f64>>,
}

impl Body {
    /// The lowest and the highest corner of the box around it; nothing for a body that was not
    /// read.
    pub(super) fn bounds(&self) -> Option<(Place, Place)> {
        let first = *self.points.first()?;
        let each = |pick: fn(f64, f64) -> f64| {
            self.points.iter().fold(first, |a, b| [0, 1, 2].map(|i| pick(a[i], b[i])))
        };
        Some((each(f64::min), each(f64::max)))
    }

    /// Lowest and highest height, metres; nothing for a body that was not read.
    pub(super) fn heights(&self) -> Option<(f64, f64)> {
        self.bounds().map(|(low, high)| (low[2], high[2]))
    }

    fn hull(&self) -> Polygon<f64> {
        let flat = self.points.iter().map(|at| Coord { x: at[0], y: at[1] });
        MultiPoint::from_iter(flat).convex_hull()
    }

    /// What it covers in plan; and whether that is the hull alone, for want of better.
    pub(super) fn footprint(&self) -> (MultiPolygon<f64>, bool) {
        let corners: usize = self.areas.iter().map(|area| area.exterior().0.len()).sum();
        if self.areas.is_empty() || corners > MAX_UNITED {
            return (self.hull().into(), true);
        }
        if let [area] = self.areas.as_slice() {
            return (area.orient(Direction::Default).into(), false);
        }
        let areas: Vec<Polygon<f64>> =
            self.areas.iter().map(|area| area.orient(Direction::Default)).collect();
        (unary_union(&areas), false)
    }

    /// The narrowest rectangle around it in plan, if it has an extent.
    pub(super) fn rectangle(&self) -> Option<[Coord<f64>; 4]> {
        let around = self.hull().minimum_rotated_rect()?;
        let corners: [Coord<f64>; 4] = around.exterior().0.get(..4)?.try_into().ok()?;
        Some(corners)
    }

    pub(super) fn extend(&mut self, other: Self) {
        self.points.extend(other.points);
        self.areas.extend(other.areas);
    }
}

/// An area cut out of others, within bounds.
pub(super) fn without(whole: MultiPolygon<f64>, holes: &[Polygon<f64>]) -> MultiPolygon<f64> {
    use geo::CoordsIter;
    let corners = whole.coords_count() + holes.iter().map(|it| it.coords_count()).sum::<usize>();
    if holes.is_empty() || corners > MAX_UNITED {
        return whole;
    }
    let holes: Vec<_> = holes.iter().map(|hole| hole.orient(Direction::Default)).collect();
    whole.difference(&unary_union(&holes))
}

/// Representations that are no bodies.
const NO_BODIES: [&[u8]; 8] =
    [b"Axis", b"FootPrint", b"Footprint", b"Box", b"Annotation", b"Profile", b"Clearance", b"CoG"];

impl Space<'_, '_> {
    /// The representations of a product with their names.
    fn representations(&self, shape: Option<u32>) -> Vec<Args<'_>> {
        let shape = shape.and_then(|it| self.model.get_as(it, "IFCPRODUCTDEFINITIONSHAPE"));
        let all = shape.map(|shape| shape.references(2)).unwrap_or_default();
        let all = all.into_iter().take(MAX_PARTS);
        all.filter_map(|it| self.model.get_as(it, "IFCSHAPEREPRESENTATION")).collect()
    }

    /// The axis of a wall in its own frame, metres; none if it has none.
    pub(super) fn axis(&self, shape: Option<u32>) -> Vec<Place> {
        let all = self.representations(shape);
        let named = all.into_iter().find(|it| *it.at(1) == Value::Text(b"Axis"));
        let items = named.map(|it| it.references(3)).unwrap_or_default();
        let mut drawn = items.into_iter().map(|item| self.curve(item));
        drawn.find(|corners| corners.len() >= 2).unwrap_or_default()
    }

    /// The body of a product whose frame is given.
    pub(super) fn body(&self, shape: Option<u32>, frame: &Frame) -> Body {
        let all = self.representations(shape);
        let is_body = |it: &&Args<'_>| *it.at(1) == Value::Text(b"Body");
        let mut parts: Vec<u32> =
            all.iter().filter(is_body).flat_map(|it| it.references(3)).collect();
        if parts.is_empty() {
            let other = |it: &&Args<'_>| match it.at(1) {
                Value::Text(name) => !NO_BODIES.contains(name),
                _ => true,
            };
            parts = all.iter().filter(other).flat_map(|it| it.references(3)).collect();
        }
        let mut body = Body::default();
        let mut open: Vec<(u32, Frame, usize)> =
            parts.into_iter().rev().map(|part| (part, *frame, 0)).collect();
        let mut looks = 0;
        while let Some((part, frame, depth)) = open.pop() {
            looks += 1;
            if depth > MAX_DEPTH || looks > MAX_PARTS || body.points.len() > MAX_CORNERS {
                break;
            }
            let Some(args) = self.model.get(part) else { continue };
            match args.kind {
                "IFCEXTRUDEDAREASOLID" => {
                    self.extrusion(&args, &frame, &mut body);
                }
                // What is cut off, and what is added, is left out: the wall is the first.
                "IFCBOOLEANCLIPPINGRESULT" | "IFCBOOLEANRESULT" => {
                    open.extend(args.reference(1).map(|first| (first, frame, depth + 1)));
                }
                "IFCMAPPEDITEM" => {
                    let source = args.reference(0);
                    let map = source.and_then(|it| self.model.get_as(it, "IFCREPRESENTATIONMAP"));
                    let Some(map) = map else { continue };
                    let target = args.reference(1).map_or(WORLD, |it| self.operator(it));
                    let frame = frame.holding(&target).holding(&self.axes(map.reference(0)));
                    let items = map.reference(1).and_then(|it| self.model.get(it));
                    let items = items.map(|items| items.references(3)).unwrap_or_default();
                    let items = items.into_iter().take(MAX_PARTS);
                    open.extend(items.map(|item| (item, frame, depth + 1)));
                }
                "IFCFACETEDBREP" => {
                    open.extend(args.reference(0).map(|shell| (shell, frame, depth + 1)));
                }
                "IFCSHELLBASEDSURFACEMODEL" | "IFCFACEBASEDSURFACEMODEL" => {
                    let shells = args.references(0).into_iter().take(MAX_PARTS);
                    open.extend(shells.map(|shell| (shell, frame, depth + 1)));
                }
                "IFCCLOSEDSHELL" | "IFCOPENSHELL" | "IFCCONNECTEDFACESET" => {
                    self.faces(&args, &frame, &mut body);
                }
                "IFCPOLYGONALFACESET" | "IFCTRIANGULATEDFACESET" => {
                    self.indexed_faces(&args, &frame, &mut body);
                }
                _ => {}
            }
        }
        body
    }

    fn extrusion(&self, args: &Args<'_>, frame: &Frame, body: &mut Body) -> Option<()> {
        let profile = self.profile(args.reference(0)?)?;
        let frame = frame.holding(&self.axes(args.reference(1)));
        let along = unit(self.direction(args.reference(2)?)?)?;
        let depth = args.number(3)? * self.metres;
        let run = frame.turned(scaled(along, depth));
        let placed = |ring: &LineString<f64>| -> Vec<Place> {
            ring.0.iter().map(|at| frame.place([at.x, at.y, 0.0])).collect()
        };
        let outer = placed(profile.exterior());
        body.points.extend(outer.iter().copied());
        body.points.extend(outer.iter().map(|at| sum(*at, run)));
        let upright = unit(run)?[2].abs();
        if upright > 0.98 {
            let holes = profile.interiors().iter().map(|hole| flat(&placed(hole)));
            body.areas.push(Polygon::new(flat(&outer), holes.collect()));
        } else {
            // Each side of it, and both ends, cover something.
            let ends = [outer.clone(), outer.iter().map(|at| sum(*at, run)).collect()];
            let sides = outer
                .windows(2)
                .map(|pair| vec![pair[0], pair[1], sum(pair[1], run), sum(pair[0], run)]);
            ends.into_iter().chain(sides).for_each(|side| cover(&[side], body));
        }
        Some(())
    }

    fn faces(&self, shell: &Args<'_>, frame: &Frame, body: &mut Body) {
        for face in shell.references(0) {
            let bounds = self.model.get_as(face, "IFCFACE").map(|face| face.references(0));
            let mut rings: Vec<Vec<Place>> = Vec::new();
            for bound in bounds.unwrap_or_default() {
                let Some(bound) = self.model.get(bound) else { continue };
                let ring = bound.reference(0).map(|ring| self.curve(ring)).unwrap_or_default();
                let ring = ring.into_iter().map(|at| frame.place(at)).collect();
                let first = bound.kind == "IFCFACEOUTERBOUND";
                rings.insert(if first { 0 } else { rings.len() }, ring);
            }
            body.points.extend(rings.first().into_iter().flatten());
            cover(&rings, body);
            if body.points.len() > MAX_CORNERS {
                break;
            }
        }
    }

    fn indexed_faces(&self, set: &Args<'_>, frame: &Frame, body: &mut Body) {
        let points = set.reference(0).map(|at| self.points(at)).unwrap_or_default();
        let points: Vec<Place> = points.into_iter().map(|at| frame.place(at)).collect();
        body.points.extend(points.iter().take(MAX_CORNERS));
        let ring = |value: &Value<'_>| -> Vec<Place> {
            value.numbers().into_iter().filter_map(|index| indexed(&points, index)).collect()
        };
        if set.kind == "IFCTRIANGULATEDFACESET" {
            for triangle in set.at(3).items().iter().take(MAX_CORNERS) {
                cover(&[ring(triangle)], body);
            }
            return;
        }
        for face in set.references(2).into_iter().take(MAX_CORNERS) {
            let Some(face) = self.model.get(face) else { continue };
            let mut rings = vec![ring(face.at(0))];
            rings.extend(face.at(1).items().iter().map(ring));
            cover(&rings, body);
        }
    }
}

/// Adds what a face that looks up covers in plan.
fn cover(rings: &[Vec<Place>], body: &mut Body) {
    let Some(outer) = rings.first().filter(|ring| ring.len() >= 3) else { return };
    // Newell's normal of a face, which need not be quite flat (from memory).
    let around = outer.iter().zip(outer.iter().cycle().skip(1));
    let normal = around.fold([0.0; 3], |normal, (a, b)| sum(normal, cross(*a, *b)));
    let Some(normal) = unit(normal) else { return };
    if normal[2].abs() < LEAST_UPRIGHT {
        return;
    }
    let holes = rings[1..].iter().filter(|ring| ring.len() >= 3).map(|ring| flat(ring));
    let area = Polygon::new(flat(outer), holes.collect());
    if area.unsigned_area() > 1e-6 {
        body.areas.push(area);
    }
}
