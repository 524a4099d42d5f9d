//! Every object of a plan but a feature's properties.

use super::Holds::{
    A, Above, Absent, Always, Anything, Coordinate, Height, Id, Level, List, Losses, Map, Number,
    OneOf, OwnLevel, Properties, Text, Whole,
};
use super::{Holds, Object, members};
use crate::limits::{
    FREQUENCY_MHZ, LOSS_DB, MAX_FEATURES, MAX_LAYERS, MAX_LEVELS, MAX_OUTLINE_POSITIONS,
    MAX_POSITIONS, MAX_THICKNESS_MM, MAX_TRANSFORM, SCALE, SCALE_SIGMA, SIGMA_DB,
};

/// Every object here, in the order of a reference.
pub(crate) const OBJECTS: [&Object; 15] = [
    &PLAN,
    &LEVEL,
    &BACKDROP,
    &LINK,
    &LAYERED,
    &MEASURED,
    &BULK,
    &FILM,
    &CALIBRATION,
    &CALIBRATED_CONSTRUCTION,
    &CALIBRATED_DEVICE,
    &FEATURE,
    &POINT,
    &LINE,
    &AREA,
];

const COLLECTION: &str = "FeatureCollection";

const NUMBERS: Holds = List(&Number(f64::NEG_INFINITY, f64::INFINITY), 0, usize::MAX);

pub(crate) static PLAN: Object = Object {
    name: "Plan",
    thing: "top-level member",
    says: "A floor plan for the forecast of radio links: a `GeoJSON` `FeatureCollection` in a \
           local frame (x to the right, y up) that says what the walls are built of and where the \
           devices hang. A member that is null counts as absent.",
    members: &[members! {
        /// Always `FeatureCollection`.
        must "type": Always(COLLECTION);
        /// Walls, openings, floors, devices and whatever else the plan holds, in any order.
        must "features": List(&A("Feature"), 0, MAX_FEATURES);
        /// The unit of every coordinate and height in this file: metres (`m`) or feet (`ft`).
        /// Metres where it is left out. Thicknesses are in millimetres whatever it says.
        may "units": OneOf(&["m", "ft"]);
        /// The storeys, 1 to 200. Left out, there is one: level 0, from 0 to 2.4 m.
        may "levels": List(&A("Level"), 1, MAX_LEVELS);
        /// The radio link that the sensors use: the name of a built-in one, or an object that says
        /// what to change of one. A device may have another.
        may "link": A("Link");
        /// Constructions of your own by name, beside the built-in ones that `drillonce catalogue`
        /// lists. One with the name of a built-in construction hides that.
        may "constructions": Map("Construction");
        /// What readings taken on site showed of this house. `drillonce diagnose` writes it.
        may "calibration": A("Calibration");
        /// A picture that the page shows under the plan. Nothing else reads it.
        may "backdrop": A("Backdrop");
        /// The plan's title. Left out, it is the file's name.
        may "name": Text;
        /// The bounding box that some programs write. Not used.
        may "bbox": Anything;
        /// Where an editor finds this schema. Not used otherwise.
        may "$schema": Anything;
    }],
};

/// A picture's way into the plan: how far a pixel goes, and where the first one is.
const TRANSFORM: Holds = List(&Number(-MAX_TRANSFORM, MAX_TRANSFORM), 6, 6);

pub(crate) static BACKDROP: Object = Object {
    name: "Backdrop",
    thing: "backdrop member",
    says: "A picture under the plan, to draw over. Only the page shows it; no forecast reads it.",
    members: &[members! {
        /// The bare name of a PNG or JPEG beside the plan's file.
        must "file": Text;
        /// How the picture is put into the plan: [a, b, c, d, e, f] put the pixel at column and
        /// row, counted from the picture's upper left corner, at x = a·column + b·row + c and
        /// y = d·column + e·row + f, in the plan's unit.
        must "transform": TRANSFORM;
        /// How strongly it is shown, 0 to 1; 0.5 where it is left out.
        may "opacity": Number(0.0, 1.0);
        /// The level under which it is shown; the lowest where it is left out.
        may "level": Level;
    }],
};

/// What can be below the lowest floor.
pub(crate) const UNDER: [&str; 2] = ["soil", "air"];

pub(crate) static LEVEL: Object = Object {
    name: "Level",
    thing: "level member",
    says: "A storey: its number, floor and ceiling. No two may overlap.",
    members: &[members! {
        /// The number by which features name this level, -1000 to 1000; no two levels have the
        /// same.
        must "level": Level;
        /// What people call the level.
        may "name": Text;
        /// Height of the floor above the plan's zero, in the plan's unit, within 1000 m.
        must "floor": Height;
        /// Height of the ceiling above the plan's zero, in the plan's unit, within 1000 m; above
        /// the floor.
        must "ceiling": Height;
        /// What is below its floor if that is the plan's lowest: `soil`, or `air` for a cellar that
        /// is not drawn, an open undercroft or a house on posts. Left out, soil. It matters behind
        /// metal walls only.
        may "under": OneOf(&UNDER);
    }],
};

/// The ranges are our own choice: anything outside is a slip of the sign or the unit, not a radio.
pub(crate) static LINK: Object = Object {
    name: "ChangedLink",
    thing: "link member",
    says: "A built-in link (the default one without `like`) with whatever is given here in place \
           of its own figures. Data sheets of the devices at hand have them.",
    members: &[members! {
        /// The built-in link to start from.
        may "like": A("LinkName");
        /// Centre frequency, MHz.
        may "frequency_mhz": Number(FREQUENCY_MHZ.0, FREQUENCY_MHZ.1);
        /// Power that the device radiates, dBm EIRP.
        may "eirp_dbm": Number(-100.0, 60.0);
        /// Weakest level that the panel's receiver decodes, dBm: a negative number.
        may "sensitivity_dbm": Number(-160.0, 0.0);
        /// Noise bandwidth of the receiver, kHz.
        may "bandwidth_khz": Number(0.001, 1_000_000.0);
        /// Noise figure of the receiver, dB.
        may "noise_figure_db": Number(0.0, 60.0);
        /// Signal-to-noise ratio that the receiver needs, dB.
        may "snr_needed_db": Number(-60.0, 60.0);
        /// Time between two check-ins of a device, minutes.
        may "checkin_min": Number(0.001, 100_000.0);
        /// Supervision window, minutes: how long the panel waits for a check-in before it reports a
        /// fault. No shorter than `checkin_min`.
        may "window_min": Number(0.001, 1_000_000.0);
        /// Bursts of one check-in that are far enough apart to fade one by one, 1 to 1000.
        may "bursts": Whole(1.0, 1_000.0);
        /// Power that the panel radiates towards a keypad, siren or repeater, dBm EIRP.
        may "panel_eirp_dbm": Number(-100.0, 60.0);
        /// Weakest level that a keypad, siren or repeater decodes, dBm: a negative number.
        may "device_sensitivity_dbm": Number(-160.0, 0.0);
    }],
};

pub(crate) static LAYERED: Object = Object {
    name: "LayeredConstruction",
    thing: "construction member",
    says: "A construction that is known by its layers.",
    members: &[members! {
        /// The layers in order, 1 to 50: of an outside wall from outside in, of a slab from the
        /// upper side down, of a wall between rooms from the left of the wall as it is drawn.
        must "layers": List(&A("Layer"), 1, MAX_LAYERS);
        /// Not allowed beside layers.
        may "loss_db": Absent;
        /// A remark. Not used.
        may "name": Anything;
    }],
};

pub(crate) static MEASURED: Object = Object {
    name: "MeasuredConstruction",
    thing: "construction member",
    says: "A construction that is known by its measured loss.",
    members: &[members! {
        /// Not allowed beside a measured loss.
        may "layers": Absent;
        /// Loss in dB, 0 to 300, at each frequency in MHz, 1 to 100000: `{"868.3": 9.5}`. Between
        /// two frequencies it is interpolated.
        must "loss_db": Losses;
        /// A remark. Not used.
        may "name": Anything;
    }],
};

pub(crate) static BULK: Object = Object {
    name: "BulkLayer",
    thing: "layer member",
    says: "A layer of a material.",
    members: &[members! {
        /// What the layer is made of.
        must "material": A("MaterialName");
        /// Thickness in millimetres, whatever the plan's unit: above zero, at most 5000.
        must "thickness_mm": Above(MAX_THICKNESS_MM);
        /// Not allowed beside a thickness.
        may "sheet_resistance_ohm": Absent;
    }],
};

pub(crate) static FILM: Object = Object {
    name: "FilmLayer",
    thing: "layer member",
    says: "A thin conducting film: the foil of a board, the coating of a pane. What carries it is \
           a layer of its own.",
    members: &[members! {
        /// What the film is made of. Not used.
        may "material": Text;
        /// Not allowed beside a sheet resistance.
        may "thickness_mm": Absent;
        /// Sheet resistance, ohm per square: above zero.
        must "sheet_resistance_ohm": Above(f64::INFINITY);
    }],
};

pub(crate) static CALIBRATION: Object = Object {
    name: "Calibration",
    thing: "calibration member",
    says: "What readings taken on site showed of this house. `drillonce diagnose` writes it.",
    members: &[members! {
        /// The id of the panel that heard the readings.
        must "panel": Text;
        /// Where that panel hung, in the plan's unit: [x, y].
        must "panel_at": List(&Coordinate, 2, 2);
        /// The level on which it hung; may be left out if the plan has one level only.
        may "level": OwnLevel;
        /// Its height above that level's floor, in the plan's unit; 1.5 m where it is left out.
        may "height": Height;
        /// Mean loss of the site that no wall explains, -60 to 60 dB.
        must "site_offset_db": Number(LOSS_DB.0, LOSS_DB.1);
        /// Spread of that loss, 0 to 60 dB.
        must "site_sigma_db": Number(SIGMA_DB.0, SIGMA_DB.1);
        /// What each construction loses here against the catalogue, by the construction's name.
        may "constructions": Map("CalibratedConstruction");
        /// What each device loses beyond that, by the device's id.
        may "devices": Map("CalibratedDevice");
    }],
};

pub(crate) static CALIBRATED_CONSTRUCTION: Object = Object {
    name: "CalibratedConstruction",
    thing: "calibration member",
    says: "How much more or less than typical a construction loses in this house.",
    members: &[members! {
        /// Factor on all decibels of the construction, 0.05 to 5.
        must "scale": Number(SCALE.0, SCALE.1);
        /// Standard deviation of that factor, 0 to 5.
        must "sigma": Number(SCALE_SIGMA.0, SCALE_SIGMA.1);
    }],
};

pub(crate) static CALIBRATED_DEVICE: Object = Object {
    name: "CalibratedDevice",
    thing: "calibration member",
    says: "What readings showed of one device.",
    members: &[members! {
        /// Loss beyond walls and site as long as the panel hangs where it was read, -60 to 60 dB.
        must "loss_db": Number(LOSS_DB.0, LOSS_DB.1);
        /// The part of it that stays wherever the panel hangs, -60 to 60 dB.
        must "own_db": Number(LOSS_DB.0, LOSS_DB.1);
        /// Spread of the level that is left, 0 to 60 dB.
        must "sigma_db": Number(SIGMA_DB.0, SIGMA_DB.1);
    }],
};

pub(crate) static FEATURE: Object = Object {
    name: "Feature",
    thing: "feature member",
    says: "A feature of whatever kind. Its kind decides how it is drawn and which properties it \
           has.",
    members: &[members! {
        /// Always `Feature`.
        must "type": Always("Feature");
        /// A short name by which messages and other parts of the plan call the feature; no two have
        /// the same. Left out, it is the kind and a number in file order: `wall-1`.
        may "id": Id;
        /// How the feature is drawn; its kind says which types may draw it.
        may "geometry": Anything;
        /// What the feature is.
        must "properties": Properties;
        /// The bounding box that some programs write. Not used.
        may "bbox": Anything;
    }],
};

pub(crate) static POINT: Object = Object {
    name: "PointGeometry",
    thing: "geometry member",
    says: "A point.",
    members: &[members! {
        /// Always `Point`.
        must "type": Always("Point");
        /// Where it is.
        must "coordinates": A("Position");
        /// The bounding box that some programs write. Not used.
        may "bbox": NUMBERS;
    }],
};

pub(crate) static LINE: Object = Object {
    name: "LineGeometry",
    thing: "geometry member",
    says: "A line of two or more positions.",
    members: &[members! {
        /// Always `LineString`.
        must "type": Always("LineString");
        /// The line from end to end: [[x, y], [x, y], …].
        must "coordinates": List(&A("Position"), 2, MAX_POSITIONS);
        /// The bounding box that some programs write. Not used.
        may "bbox": NUMBERS;
    }],
};

pub(crate) static AREA: Object = Object {
    name: "AreaGeometry",
    thing: "geometry member",
    says: "An area.",
    members: &[members! {
        /// Always `Polygon`.
        must "type": Always("Polygon");
        /// The outline first, then its holes.
        must "coordinates": List(&A("Ring"), 1, MAX_OUTLINE_POSITIONS);
        /// The bounding box that some programs write. Not used.
        may "bbox": NUMBERS;
    }],
};
