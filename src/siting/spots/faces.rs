//! Spots along wall faces and along the plan's `mountable` features.

use std::collections::BTreeSet;

use geo::{BoundingRect as _, Contains as _, Coord, Geometry, Line};

use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use super::spot::{MAX_SPOTS, Spot, SpotError, SpotSettings};
use crate::{distance_to_line, nearest_on};
use forecast::thickness;
use plan::{Inside, Level, Plan};

/// A mountable line or point this far from a wall's face still belongs to that wall, metres.
const BELONGS_M: f64 = 0.5;

/// How far beyond a face the room behind it is looked for, metres.
pub(super) const INTO_ROOM_M: f64 = 0.2;

/// A straight piece of wall.
#[derive(Debug, Clone, Copy)]
pub(super) struct Face {
    pub wall: usize,
    pub segment: usize,
    pub line: Line<f64>,
    pub half_m: f64,
    base_m: f64,
    top_m: f64,
}

/// The straight pieces of wall of one level.
pub(super) fn faces(plan: &Plan, level: &Level) -> Vec<Face> {
    let walls = plan.walls.iter().enumerate().filter(|(_, wall)| wall.level == level.number);
    let pieces = walls.flat_map(|(number, wall)| {
        let half_m = thickness(plan, &wall.construction).0 / 2.0;
        wall.line.lines().enumerate().map(move |(segment, line)| Face {
            wall: number,
            segment,
            line,
            half_m,
            base_m: wall.base_m,
            top_m: wall.top_m,
        })
    });
    pieces.collect()
}

/// Boxes round walls as thick as they are, with the number of the piece.
pub(super) type FaceIndex = RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>;

pub(super) fn index(faces: &[Face]) -> FaceIndex {
    let boxed = |(number, face): (usize, &Face)| {
        let (low, high) = (face.line.bounding_rect().min(), face.line.bounding_rect().max());
        let low = [low.x - face.half_m, low.y - face.half_m];
        let high = [high.x + face.half_m, high.y + face.half_m];
        GeomWithData::new(Rectangle::from_corners(low, high), number)
    };
    RTree::bulk_load(faces.iter().enumerate().map(boxed).collect())
}

impl Face {
    pub(super) fn length(&self) -> f64 {
        self.line.dx().hypot(self.line.dy())
    }

    /// Whether the wall shares a height with something that reaches from one to another.
    pub(super) fn is_at(&self, (base_m, top_m): (f64, f64)) -> bool {
        self.base_m < top_m && self.top_m > base_m
    }

    fn point(&self, along_m: f64) -> Coord<f64> {
        self.line.start + self.line.delta() * (along_m / self.length())
    }
}

/// Unit vector to the left of a line, or to the right for `side` −1.
pub(super) fn normal(line: Line<f64>, side: f64) -> Coord<f64> {
    let length = line.dx().hypot(line.dy());
    Coord { x: -line.dy() / length * side, y: line.dx() / length * side }
}

/// Drafts spots of one level.
pub(super) struct Drafts<'a> {
    pub(super) plan: &'a Plan,
    pub(super) level: &'a Level,
    pub(super) settings: &'a SpotSettings,
    pub(super) inside: &'a Inside,
    pub(super) faces: &'a [Face],
    pub(super) index: &'a FaceIndex,
}

impl Drafts<'_> {
    /// Spots on both faces of every wall, as far as they look into the building.
    pub(super) fn along_faces(&self) -> Result<Vec<Spot>, SpotError> {
        let mut spots = Vec::new();
        for face in self.faces {
            let room = self.settings.half_size_m;
            for along in stations(face.length(), room, self.settings.spacing_m)? {
                for side in [1.0, -1.0] {
                    spots.extend(self.on_face(face, along, side));
                }
            }
            too_many(spots.len())?;
        }
        Ok(spots)
    }

    /// The spot on one face, if the wall is there at the panel's height and the face looks into the
    /// building and is no other wall's inside.
    fn on_face(&self, face: &Face, along_m: f64, side: f64) -> Option<Spot> {
        let height_m = self.level.floor_m + self.settings.height_m;
        let half = self.settings.half_size_m;
        let wall = self.plan.walls.get(face.wall)?;
        if height_m - half < wall.base_m || height_m + half > wall.top_m {
            return None;
        }
        let out = normal(face.line, side);
        let position = face.point(along_m) + out * (face.half_m + self.settings.stand_off_m);
        let in_room = position + out * INTO_ROOM_M;
        if self.inside.is_closed() && !self.inside.holds(in_room) {
            return None;
        }
        let Coord { x, y } = position;
        let around = AABB::from_corners([x - half, y - half], [x + half, y + half]);
        let near = self.index.locate_in_envelope_intersecting(&around);
        let covered = near.filter_map(|other| self.faces.get(other.data)).any(|other| {
            let is_self = other.wall == face.wall && other.segment == face.segment;
            !is_self
                && other.is_at((height_m - half, height_m + half))
                && distance_to_line(position, other.line) < other.half_m + half * 0.9
        });
        (!covered).then_some(Spot {
            level: self.level.number,
            position,
            height_m,
            facing: Some(out),
            wall: Some(face.wall),
        })
    }

    /// Spots along the level's `mountable` features.
    pub(super) fn along_mountables(&self) -> Result<Vec<Spot>, SpotError> {
        let mut spots = Vec::new();
        let top_m = self.settings.height_m + self.settings.half_size_m;
        if self.level.floor_m + top_m > self.level.ceiling_m {
            return Ok(spots);
        }
        let mut on_faces: Option<Vec<Spot>> = None;
        let features = self.plan.mountables.iter();
        for mountable in features.filter(|m| m.level == self.level.number) {
            match &mountable.shape {
                Geometry::Point(point) => spots.push(self.near_wall(point.0, None)),
                Geometry::LineString(line) => {
                    for piece in line.lines() {
                        let length = piece.dx().hypot(piece.dy());
                        let direction = (length > 0.0).then(|| piece.delta() / length);
                        for along in stations(length, 0.0, self.settings.spacing_m)? {
                            let part = if length > 0.0 { along / length } else { 0.0 };
                            let drawn = piece.start + piece.delta() * part;
                            spots.push(self.near_wall(drawn, direction));
                        }
                    }
                }
                Geometry::Polygon(area) => {
                    if on_faces.is_none() {
                        on_faces = Some(self.along_faces()?);
                    }
                    let inside = on_faces.iter().flatten().filter(|s| area.contains(&s.position));
                    let before = spots.len();
                    spots.extend(inside.copied());
                    if spots.len() == before {
                        spots.extend(self.over_area(area)?);
                    }
                }
                _ => {}
            }
            too_many(spots.len())?;
        }
        // Two features may share a corner.
        let mut seen = BTreeSet::new();
        let key = |spot: &Spot| [spot.position.x, spot.position.y].map(f64::to_bits);
        spots.retain(|spot| seen.insert((key(spot), spot.wall)));
        Ok(spots)
    }

    /// A spot at a place that the user has drawn: on the face of the nearest wall, if one is near.
    /// One that runs `along` the line that was drawn is chosen first: at that line's end, another
    /// may be nearer.
    fn near_wall(&self, drawn: Coord<f64>, along: Option<Coord<f64>>) -> Spot {
        let mut spot = Spot {
            level: self.level.number,
            position: drawn,
            height_m: self.level.floor_m + self.settings.height_m,
            facing: None,
            wall: None,
        };
        let half = self.settings.half_size_m;
        let heights_m = (spot.height_m - half, spot.height_m + half);
        let Some(face) = self.nearest(drawn, heights_m, along) else {
            return spot;
        };
        let foot = nearest_on(face.line, drawn);
        let left = normal(face.line, 1.0);
        let across = (drawn - foot).x * left.x + (drawn - foot).y * left.y;
        // Drawn on the centre line: the face that looks into the building, the left one for choice.
        let inward = |side: f64| {
            self.inside.holds(foot + normal(face.line, side) * (face.half_m + INTO_ROOM_M))
        };
        let side = if across.abs() > 1e-6 {
            across.signum()
        } else if inward(1.0) || !inward(-1.0) {
            1.0
        } else {
            -1.0
        };
        let out = normal(face.line, side);
        let least = face.half_m + self.settings.stand_off_m;
        if across.abs() < least {
            spot.position = foot + out * least;
        }
        spot.facing = Some(out);
        spot.wall = Some(face.wall);
        spot
    }

    /// The nearest piece of wall at some heights whose face is near enough for a spot to hang on
    /// it. One that runs along the unit vector `along` goes before others.
    fn nearest(
        &self,
        p: Coord<f64>,
        heights_m: (f64, f64),
        along: Option<Coord<f64>>,
    ) -> Option<&Face> {
        let off = |face: &Face| distance_to_line(p, face.line) - face.half_m;
        let near = self.faces.iter().filter(|f| f.is_at(heights_m) && off(f) <= BELONGS_M);
        let runs_across = |face: &Face| {
            let left = normal(face.line, 1.0);
            // More than some thirty degrees off.
            along.is_some_and(|along| (along.x * left.x + along.y * left.y).abs() > 0.5)
        };
        near.min_by(|a, b| {
            let by_direction = runs_across(a).cmp(&runs_across(b));
            by_direction.then(off(a).total_cmp(&off(b)))
        })
    }

    /// Spots all over an area in which no wall face lies.
    fn over_area(&self, area: &geo::Polygon<f64>) -> Result<Vec<Spot>, SpotError> {
        let Some(bounds) = area.bounding_rect() else {
            return Ok(Vec::new());
        };
        let across = stations(bounds.width(), 0.0, self.settings.spacing_m)?;
        let up = stations(bounds.height(), 0.0, self.settings.spacing_m)?;
        too_many(across.len().saturating_mul(up.len()))?;
        let mut spots = Vec::new();
        for y in &up {
            for x in &across {
                let place = bounds.min() + Coord { x: *x, y: *y };
                if area.contains(&place) {
                    spots.push(self.near_wall(place, None));
                }
            }
        }
        Ok(spots)
    }
}

fn too_many(count: usize) -> Result<(), SpotError> {
    if count > MAX_SPOTS {
        return Err(SpotError::TooMany);
    }
    Ok(())
}

/// Places along a length, `spacing` apart, as many as fit, in its middle, and `room` clear of both
/// ends.
fn stations(length: f64, room: f64, spacing: f64) -> Result<Vec<f64>, SpotError> {
    let free = length - 2.0 * room;
    if free < 0.0 {
        return Ok(Vec::new());
    }
    let gaps = (free / spacing + 1e-9).floor();
    if gaps >= MAX_SPOTS as f64 {
        return Err(SpotError::TooMany);
    }
    let first = (length - gaps * spacing) / 2.0;
    Ok((0..=gaps as usize).map(|number| first + number as f64 * spacing).collect())
}
