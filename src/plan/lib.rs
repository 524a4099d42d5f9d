//! The site as the user drew it: levels, walls, openings, slabs, obstacles, devices, areas.
//!
//! A [`Plan`] holds checked facts only: every length is in metres, every level exists, every
//! opening lies on a wall. [`read`] makes one from `GeoJSON` text, or says everything that is wrong
//! with it; [`read_leniently`] makes one of what is sound in a plan that is still being drawn. This
//! module knows nothing of radio: whether a construction, material, mount or link
//! exists it learns from the [`Vocabulary`] that the caller hands in.

mod as_written;
mod backdrop;
mod build;
pub mod calibration;
mod constructions;
mod crowd;
mod devices;
mod divided;
pub mod edit;
mod feature;
mod fields;
mod frame;
mod inside;
mod layout;
mod lenient;
mod limits;
mod measure;
mod members;
mod openings;
mod outline;
mod read;
pub mod reference;
mod room_names;
mod rooms;
pub mod schema;
mod shape;
mod site;
mod sketch;
mod source;
mod spelling;
mod splice;
mod stairs;
mod strips;
pub mod tidy;
mod unit;
mod whereabouts;

use std::collections::{BTreeMap, BTreeSet};

use geo::{Coord, Line, LineString, Polygon};
use units::Lengths;

pub use backdrop::{Backdrop, OPACITY, is_picture_name};
pub use calibration::{Calibration, ConstructionScale, DeviceCalibration, SAME_PLACE_M};
pub use devices::DEFAULT_OUTLET_HEIGHT_M;
pub use input::json::outside_strings;
pub use input::{
    AsWritten, Diagnostic, MAX_LISTED, Severity, fix_name, nearest, one_of, place_of_byte, quoted,
    tame,
};
pub use inside::{Inside, LEAST_ROOM_M2};
pub use lenient::{LenientReading, PlacedFault, read_leniently};
pub use limits::{
    MAX_COORDINATE_M, MAX_EXTENT_M, MAX_FEATURES, MAX_FILE_BYTES, MAX_HEIGHT_M, MAX_LEVELS,
    MAX_NESTING, MAX_OUTLINE_POSITIONS, MAX_POSITIONS, MAX_VALUES, MIN_SEGMENT_M,
    ON_WALL_TOLERANCE_M,
};
pub use members::{Aerial, MAX_CAPACITY, MAX_NUMBER, ROLES};
pub use outline::{hole_lies_in, rings_cross};
pub use read::{Reading, read, read_file, read_house, title_of};
pub use rooms::{Room, RoomName, Rooms};
pub use sketch::Sketch;
pub use strips::{GAP_M, Gap, Thickness};
pub use unit::thousandths;
pub use whereabouts::{Behind, Beside, Compass, Landmark, OnWall, Side, Surroundings, Whereabouts};

/// Height above the level's floor of a device or roam area that gives none, in metres.
/// (Common practice, no source: a panel's display stands at about eye level.)
pub const DEFAULT_DEVICE_HEIGHT_M: f64 = 1.5;

/// The names that a plan may refer to, handed in by the caller.
#[derive(Debug, Clone, Default)]
pub struct Vocabulary {
    /// Built-in constructions.
    pub constructions: Vec<String>,
    /// How thick each of them is, metres.
    pub thickness_m: BTreeMap<String, f64>,
    /// Those of them that are metal: what is mounted on their leaf is mounted on metal.
    pub metal: BTreeSet<String>,
    /// Materials of layers.
    pub materials: Vec<String>,
    /// Built-in links.
    pub links: Vec<String>,
    /// Ways to mount a device.
    pub mounts: Vec<String>,
}

/// A checked floor plan. All lengths in metres, whatever unit the file used.
#[derive(Debug, Clone, Default)]
pub struct Plan {
    /// The plan's title: the top-level member `name`, else the file's name without its ending.
    pub name: String,
    /// Metres in one unit of the file's coordinates: 1, or 0.3048 for feet.
    pub metres_per_unit: f64,
    /// Levels in ascending order of their number; never empty.
    pub levels: Vec<Level>,
    /// The plan's link, if it names one.
    pub link: Option<LinkChoice>,
    /// The user's own constructions by name.
    pub constructions: BTreeMap<String, Construction>,
    /// What readings showed of the house, if they were taken and written down.
    pub calibration: Option<Calibration>,
    /// A picture that is shown under the plan while it is drawn.
    pub backdrop: Option<Backdrop>,
    /// Walls, each a polyline of its centre line.
    pub walls: Vec<Wall>,
    /// Doors and windows, each already placed on its wall.
    pub openings: Vec<Opening>,
    /// Floors.
    pub slabs: Vec<Slab>,
    /// Solid things that stand in the rooms.
    pub obstacles: Vec<Obstacle>,
    /// Panel, sensors, repeaters, keypads, sirens, in file order.
    pub devices: Vec<Device>,
    /// Areas in which a portable transmitter must work.
    pub roams: Vec<Roam>,
    /// Where a panel may hang.
    pub mountables: Vec<Mountable>,
    /// Mains outlets.
    pub outlets: Vec<Outlet>,
    /// Flights of stairs.
    pub stairs: Vec<Stairs>,
    /// Names of rooms.
    pub room_names: Vec<RoomName>,
    /// Names and other texts as the file has them, where they are read as another line.
    pub as_written: AsWritten,
}

/// One storey.
#[derive(Debug, Clone, PartialEq)]
pub struct Level {
    /// The level's number in the plan.
    pub number: i32,
    /// Its name for people.
    pub name: String,
    /// Height of its floor above the plan's zero, metres.
    pub floor_m: f64,
    /// Height of its ceiling above the plan's zero, metres.
    pub ceiling_m: f64,
    /// Whether air and not soil is below its floor, if that is the lowest.
    pub is_over_air: bool,
}

/// A wall: every segment of the line is a vertical sheet on the wall's centre line.
#[derive(Debug, Clone)]
pub struct Wall {
    /// Feature id.
    pub id: String,
    /// Level number.
    pub level: i32,
    /// Name of the construction.
    pub construction: String,
    /// How thick it was drawn or measured, millimetres, where the plan says so: rooms end at its
    /// faces. The radio goes by the construction alone.
    pub thickness_mm: Option<f64>,
    /// Centre line, metres; no two neighbouring points coincide.
    pub line: LineString<f64>,
    /// Height of the lower edge above the plan's zero, metres.
    pub base_m: f64,
    /// Height of the upper edge above the plan's zero, metres.
    pub top_m: f64,
}

/// A door or window: it replaces its wall over its extent.
#[derive(Debug, Clone)]
pub struct Opening {
    /// Feature id.
    pub id: String,
    /// Index of its wall in [`Plan::walls`].
    pub wall: usize,
    /// Index of the segment of that wall's line.
    pub segment: usize,
    /// Where it begins, metres along the segment from the segment's first point.
    pub from_m: f64,
    /// Where it ends, metres along the segment; always more than `from_m`.
    pub to_m: f64,
    /// Name of the construction of the leaf.
    pub construction: String,
    /// Whether it stands open: then nothing fills it.
    pub open: bool,
    /// Whether people come in by it.
    pub entry: bool,
    /// Height of its sill above the plan's zero, metres (default: the wall's base).
    pub base_m: f64,
    /// Height of its head above the plan's zero, metres (default: the wall's top).
    pub top_m: f64,
}

/// The floor of a level.
#[derive(Debug, Clone)]
pub struct Slab {
    /// Feature id.
    pub id: String,
    /// The level whose floor it is.
    pub level: i32,
    /// Height above the plan's zero, metres: that level's floor.
    pub height_m: f64,
    /// Name of the construction.
    pub construction: String,
    /// Its outline, with holes for stairs.
    pub outline: Polygon<f64>,
    /// Whether it is joined to metal walls all round, if it is of metal itself.
    pub is_tight: bool,
}

/// A solid thing: tank, fridge, chimney breast, shelving.
#[derive(Debug, Clone)]
pub struct Obstacle {
    /// Feature id.
    pub id: String,
    /// Level number.
    pub level: i32,
    /// Name of the construction of its faces.
    pub construction: String,
    /// Its outline.
    pub outline: Polygon<f64>,
    /// Height of its foot above the plan's zero, metres (default: the level's floor).
    pub base_m: f64,
    /// Height of its top above the plan's zero, metres (default: the level's ceiling).
    pub top_m: f64,
}

/// What a device is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DeviceKind {
    /// The control panel with the receiver.
    Panel,
    /// A transmitter that only talks.
    #[default]
    Sensor,
    /// Hears sensors and passes on what they say.
    Repeater,
    /// A keypad: talks and listens.
    Keypad,
    /// A sounder: talks and listens.
    Siren,
}

impl DeviceKind {
    /// The word for it, which is also the `kind` of its feature.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Panel => "panel",
            Self::Sensor => "sensor",
            Self::Repeater => "repeater",
            Self::Keypad => "keypad",
            Self::Siren => "siren",
        }
    }

    /// Whether traffic must get through in both directions.
    #[must_use]
    pub const fn is_two_way(self) -> bool {
        matches!(self, Self::Repeater | Self::Keypad | Self::Siren)
    }
}

/// A device at a point.
#[derive(Debug, Clone, Default)]
pub struct Device {
    /// Feature id.
    pub id: String,
    /// What it is.
    pub kind: DeviceKind,
    /// Level number.
    pub level: i32,
    /// Where it hangs, metres.
    pub position: Coord<f64>,
    /// Height above the plan's zero, metres (the level's floor plus the `height` of the file).
    pub height_m: f64,
    /// Its name for people (default: its id).
    pub name: String,
    /// The room it is in: as the plan says, else as the room is named in which it lies.
    pub room: Option<String>,
    /// Its number in the panel, where it has one.
    pub number: Option<u32>,
    /// The number printed on its transmitter, where the plan has it.
    pub serial: Option<String>,
    /// What the panel does when it trips, as the plan says it.
    pub role: Option<String>,
    /// What sort of device it is, as the plan says it: contact, motion, smoke…
    pub device: Option<String>,
    /// Its own link, if it has one.
    pub link: Option<LinkChoice>,
    /// How it is mounted, a name of [`Vocabulary::mounts`].
    pub mount: Option<String>,
    /// How its aerial stands, where the plan says it.
    pub aerial: Option<Aerial>,
    /// Whether the panel watches that it checks in.
    pub supervised: bool,
    /// Of a repeater: how many sensors it can pass on, where the plan says it.
    pub capacity: Option<u32>,
}

impl Device {
    /// A device of a kind on a level that is still to get a place; supervised, and nothing else.
    #[must_use]
    pub fn bare(kind: DeviceKind, level: i32) -> Self {
        Self { kind, level, supervised: true, ..Self::default() }
    }
}

/// An area in which a portable transmitter must work.
#[derive(Debug, Clone)]
pub struct Roam {
    /// Feature id.
    pub id: String,
    /// Its name for people (default: its id).
    pub name: String,
    /// Level number.
    pub level: i32,
    /// Height above the plan's zero, metres.
    pub height_m: f64,
    /// Outline of the area.
    pub outline: Polygon<f64>,
    /// Link of the portable transmitter.
    pub link: Option<LinkChoice>,
    /// Whether it is worn on the body.
    pub worn: bool,
}

/// A place where a panel may hang.
#[derive(Debug, Clone)]
pub struct Mountable {
    /// Feature id.
    pub id: String,
    /// Level number.
    pub level: i32,
    /// Point, line or area, metres.
    pub shape: geo::Geometry<f64>,
}

/// A mains outlet.
#[derive(Debug, Clone)]
pub struct Outlet {
    /// Feature id.
    pub id: String,
    /// Level number.
    pub level: i32,
    /// Where it is, metres.
    pub position: Coord<f64>,
    /// Height above the plan's zero, metres (default 0.3 m above the floor).
    pub height_m: f64,
}

/// A flight of stairs between two levels.
#[derive(Debug, Clone)]
pub struct Stairs {
    /// Feature id.
    pub id: String,
    /// The level at which its line begins.
    pub level: i32,
    /// The level at which its line ends; always another one, by default the next above `level`.
    pub to_level: i32,
    /// The line that a person walks in plan, from `level` to `to_level`, metres.
    pub line: LineString<f64>,
}

/// A user-defined construction.
#[derive(Debug, Clone, PartialEq)]
pub enum Construction {
    /// Layers in order, from one face to the other; never empty.
    Layers(Vec<Layer>),
    /// A measured loss: pairs of frequency in MHz (ascending) and loss in dB; never empty.
    Measured(Vec<(f64, f64)>),
}

impl Construction {
    /// The thickness of all its layers, millimetres; nothing for a measured loss.
    pub(crate) fn thickness_mm(&self) -> Option<f64> {
        let Self::Layers(layers) = self else { return None };
        let bulk = layers.iter().map(|layer| match layer {
            Layer::Bulk { thickness_mm, .. } => *thickness_mm,
            Layer::Film { .. } => 0.0,
        });
        Some(bulk.sum())
    }
}

/// One layer of a user-defined construction.
#[derive(Debug, Clone, PartialEq)]
pub enum Layer {
    /// A material, a name of [`Vocabulary::materials`], of a thickness in millimetres, above zero.
    Bulk {
        /// Name of the material.
        material: String,
        /// Thickness, mm.
        thickness_mm: f64,
    },
    /// A thin conducting film.
    Film {
        /// Sheet resistance, ohm per square, above zero.
        sheet_resistance_ohm: f64,
    },
}

/// Which link a plan or device uses: a built-in one, with whatever it changes.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LinkChoice {
    /// Name of a built-in link ([`Vocabulary::links`]); `None` for the default link.
    pub like: Option<String>,
    /// Centre frequency, MHz.
    pub frequency_mhz: Option<f64>,
    /// Radiated power of the device, dBm EIRP.
    pub eirp_dbm: Option<f64>,
    /// Weakest level that the panel's receiver decodes, dBm.
    pub sensitivity_dbm: Option<f64>,
    /// Noise bandwidth of the receiver, kHz.
    pub bandwidth_khz: Option<f64>,
    /// Noise figure of the receiver, dB.
    pub noise_figure_db: Option<f64>,
    /// Signal-to-noise ratio that the receiver needs, dB.
    pub snr_needed_db: Option<f64>,
    /// Time between two check-ins, minutes.
    pub checkin_min: Option<f64>,
    /// Supervision window, minutes.
    pub window_min: Option<f64>,
    /// Bursts of one check-in, far enough apart to fade one by one.
    pub bursts: Option<u32>,
    /// Radiated power of the panel towards a two-way device, dBm EIRP.
    pub panel_eirp_dbm: Option<f64>,
    /// Weakest level that a two-way device decodes, dBm.
    pub device_sensitivity_dbm: Option<f64>,
}

impl Plan {
    /// The unit that people read: the one that the plan is drawn in.
    #[must_use]
    pub fn lengths(&self) -> Lengths {
        Lengths::of(self.metres_per_unit)
    }

    /// The level of a number, if the plan has it.
    #[must_use]
    pub fn level(&self, number: i32) -> Option<&Level> {
        self.levels.iter().find(|level| level.number == number)
    }

    /// Where a device is, as people say it: its room, with the level if there are several; without
    /// a room the level alone.
    #[must_use]
    pub fn place_of(&self, device: &Device) -> String {
        let level = self.level(device.level);
        let level = level.map_or_else(|| device.level.to_string(), |level| level.name.clone());
        match &device.room {
            None => level,
            Some(room) if self.levels.len() == 1 => room.clone(),
            Some(room) => format!("{level}, {room}"),
        }
    }

    /// The line of an opening on its wall's centre line, metres; nothing if its wall is not there.
    #[must_use]
    pub fn opening_line(&self, opening: &Opening) -> Option<Line<f64>> {
        let wall = self.walls.get(opening.wall)?;
        let line = wall.line.lines().nth(opening.segment)?;
        let length = line.dx().hypot(line.dy());
        let at = |metres: f64| line.start + line.delta() * (metres / length);
        Some(Line::new(at(opening.from_m), at(opening.to_m)))
    }

    /// Id and level of every feature; of an opening in several pieces once for each.
    pub fn features(&self) -> impl Iterator<Item = (&str, i32)> {
        let of_wall = |wall: usize| self.walls.get(wall).map_or(0, |wall| wall.level);
        let drawn = self.walls.iter().map(|it| (&it.id, it.level));
        drawn
            .chain(self.openings.iter().map(move |it| (&it.id, of_wall(it.wall))))
            .chain(self.slabs.iter().map(|it| (&it.id, it.level)))
            .chain(self.obstacles.iter().map(|it| (&it.id, it.level)))
            .chain(self.devices.iter().map(|it| (&it.id, it.level)))
            .chain(self.roams.iter().map(|it| (&it.id, it.level)))
            .chain(self.mountables.iter().map(|it| (&it.id, it.level)))
            .chain(self.outlets.iter().map(|it| (&it.id, it.level)))
            .chain(self.stairs.iter().map(|it| (&it.id, it.level)))
            .chain(self.room_names.iter().map(|it| (&it.id, it.level)))
            .map(|(id, level)| (id.as_str(), level))
    }

    /// Whether some feature has this id.
    #[must_use]
    pub fn has_feature(&self, id: &str) -> bool {
        self.features().any(|(known, _)| known == id)
    }

    /// The panel: the first device of that kind.
    #[must_use]
    pub fn panel(&self) -> Option<&Device> {
        self.devices.iter().find(|device| device.kind == DeviceKind::Panel)
    }
}
