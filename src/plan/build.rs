//! From features to the plan's walls, slabs, obstacles, areas and devices. Openings come after
//! all walls are known: see `openings`.

use geo::Geometry;

use super::devices::DEFAULT_OUTLET_HEIGHT_M;
use super::feature::Feature;
use super::frame::{Frame, from_zero};
use super::limits::MIN_SEGMENT_M;
use super::measure::apart;
use super::members::{JOINTS, Kind};
use super::openings::Loose;
use super::{
    DEFAULT_DEVICE_HEIGHT_M, Level, Mountable, Obstacle, Outlet, Plan, Roam, Slab, Wall, outline,
};

#[derive(Debug, Default)]
pub(super) struct Built {
    pub(super) plan: Plan,
    pub(super) openings: Vec<Loose>,
    /// Where the position of each device stands in the text, each wall, each name of a room.
    pub(super) devices_at: Vec<usize>,
    pub(super) walls_at: Vec<usize>,
    pub(super) room_names_at: Vec<usize>,
}

impl Frame<'_> {
    /// Adds a feature to what is built; one with a fault is left out.
    pub(super) fn build(&mut self, feature: &Feature<'_>, built: &mut Built) {
        let plan = &mut built.plan;
        match feature.kind {
            Kind::Wall => {
                let wall = self.wall(feature).inspect(|_| built.walls_at.push(feature.at));
                plan.walls.extend(wall);
            }
            Kind::Opening => built.openings.extend(self.loose_opening(feature)),
            Kind::Slab => plan.slabs.extend(self.slab(feature)),
            Kind::Obstacle => plan.obstacles.extend(self.obstacle(feature)),
            Kind::Device(kind) => {
                if let Some((device, at)) = self.device(kind, feature) {
                    plan.devices.push(device);
                    built.devices_at.push(at);
                }
            }
            Kind::Roam => plan.roams.extend(self.roam(feature)),
            Kind::Mountable => plan.mountables.extend(self.mountable(feature)),
            Kind::Outlet => plan.outlets.extend(self.outlet(feature)),
            Kind::Room => self.room_name(feature, built),
            Kind::Stairs => plan.stairs.extend(self.stairs(feature)),
        }
    }

    fn wall(&mut self, feature: &Feature<'_>) -> Option<Wall> {
        let construction = self.construction(&feature.properties, "wall");
        let level = self.required_level(&feature.properties);
        let span = level.as_ref().and_then(|level| self.span(feature, level));
        let thickness_mm = feature.properties.within("thickness_mm", &mut self.faults);
        let shape = feature.shape.as_ref()?;
        let line = shape.line()?;
        if self.lengths_make_sense {
            for (index, segment) in line.lines().enumerate() {
                if apart(segment.start, segment.end) < MIN_SEGMENT_M {
                    let mut what = "the wall has the same point twice in a row";
                    let mut fix = "remove one of them";
                    if line.0.len() == 2 {
                        what = "the wall has no length";
                        fix = "draw it from end to end, or remove it";
                    }
                    let at = shape.place(0, index + 1);
                    self.faults.fault(at, Some(&feature.id), || (what, fix));
                }
            }
        }
        // A wall with a fault still stands in, or its openings would be said to be on no wall.
        let level = level.or_else(|| self.levels.first().cloned())?;
        let (base_m, top_m) = span.unwrap_or((level.floor_m, level.ceiling_m));
        Some(Wall {
            id: feature.id.clone(),
            level: level.number,
            construction: construction.unwrap_or_default(),
            thickness_mm,
            line: line.clone(),
            base_m,
            top_m,
        })
    }

    /// The members `base` and `top`; without them the level's floor and ceiling.
    fn span(&mut self, feature: &Feature<'_>, level: &Level) -> Option<(f64, f64)> {
        let (fields, unit) = (&feature.properties, self.unit);
        let base = fields.height_m("base", self.unit.metres, &mut self.faults);
        let top = fields.height_m("top", self.unit.metres, &mut self.faults);
        let (base_m, top_m) = (base.unwrap_or(level.floor_m), top.unwrap_or(level.ceiling_m));
        let (from, to) = (unit.show(base_m), unit.show(top_m));
        if base_m >= top_m {
            let at = if top.is_some() { "top" } else { "base" };
            let what = format!("the top, {to}, is not above the base, {from}");
            fields.fault(at, &mut self.faults, || (what, from_zero(level, unit)));
            return None;
        }
        if base_m >= level.ceiling_m || top_m <= level.floor_m {
            let at = if base.is_some() { "base" } else { "top" };
            let (number, low) = (level.number, unit.show(level.floor_m));
            let reach = format!("{low} to {}", unit.show(level.ceiling_m));
            let what = format!("from {from} to {to}, it lies outside level {number} ({reach})");
            fields.warning(at, &mut self.faults, || (what, from_zero(level, unit)));
        }
        Some((base_m, top_m))
    }

    fn outline(&mut self, feature: &Feature<'_>) -> Option<geo::Polygon<f64>> {
        let shape = feature.shape.as_ref()?;
        if !self.lengths_make_sense {
            return None;
        }
        outline::checked(shape, self.unit.metres, &feature.id, &mut self.faults)
    }

    fn slab(&mut self, feature: &Feature<'_>) -> Option<Slab> {
        let construction = self.construction(&feature.properties, "slab");
        let level = self.required_level(&feature.properties);
        let outline = self.outline(feature);
        let joint = feature.properties.word("joint", &JOINTS, &mut self.faults);
        let level = level?;
        Some(Slab {
            id: feature.id.clone(),
            level: level.number,
            height_m: level.floor_m,
            construction: construction?,
            outline: outline?,
            is_tight: joint == Some("tight"),
        })
    }

    fn obstacle(&mut self, feature: &Feature<'_>) -> Option<Obstacle> {
        let construction = self.construction(&feature.properties, "obstacle");
        let level = self.required_level(&feature.properties);
        let span = level.as_ref().and_then(|level| self.span(feature, level));
        let outline = self.outline(feature);
        let (base_m, top_m) = span?;
        Some(Obstacle {
            id: feature.id.clone(),
            level: level?.number,
            construction: construction?,
            outline: outline?,
            base_m,
            top_m,
        })
    }

    fn roam(&mut self, feature: &Feature<'_>) -> Option<Roam> {
        let fields = &feature.properties;
        let level = self.required_level(fields);
        let height_m = self.height_above_floor(fields, level.as_ref(), DEFAULT_DEVICE_HEIGHT_M);
        let link = self.link(fields);
        let name = fields.text("name", &mut self.faults);
        let worn = fields.boolean("worn", &mut self.faults).unwrap_or(false);
        let outline = self.outline(feature);
        Some(Roam {
            id: feature.id.clone(),
            name: name.unwrap_or_else(|| feature.id.clone()),
            level: level?.number,
            height_m,
            outline: outline?,
            link,
            worn,
        })
    }

    fn mountable(&mut self, feature: &Feature<'_>) -> Option<Mountable> {
        let level = self.optional_level(&feature.properties);
        let shape = match &feature.shape.as_ref()?.geometry {
            Geometry::Polygon(_) => Geometry::Polygon(self.outline(feature)?),
            other => other.clone(),
        };
        Some(Mountable { id: feature.id.clone(), level: level?.number, shape })
    }

    fn outlet(&mut self, feature: &Feature<'_>) -> Option<Outlet> {
        let fields = &feature.properties;
        let level = self.optional_level(fields);
        let height_m = self.height_above_floor(fields, level.as_ref(), DEFAULT_OUTLET_HEIGHT_M);
        Some(Outlet {
            id: feature.id.clone(),
            level: level?.number,
            position: feature.shape.as_ref()?.point()?,
            height_m,
        })
    }
}
