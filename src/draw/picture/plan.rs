//! What the caller fills in: everything in metres and decibels.

use units::Finding;
use units::Lengths;

/// One level's picture, before it is laid out. Whatever is left empty is left out.
#[derive(Debug, Clone, Default)]
pub struct Picture {
    /// The plan's name.
    pub title: String,
    /// The level's name, shown after the title; empty for none.
    pub level_name: String,
    /// Second line: the link and the panel's spot.
    pub subtitle: String,
    /// The caution at the foot of the picture.
    pub caution: String,
    /// Lines of the drawing that the plan was made of, under everything else.
    pub original: Vec<OriginalMark>,
    /// Numbered notes of a report, with the places of which they speak.
    pub notes: Vec<NoteMark>,
    /// Walls of the level.
    pub walls: Vec<WallMark>,
    /// Openings in those walls.
    pub openings: Vec<OpeningMark>,
    /// Obstacles: tanks, fridges, chimney breasts.
    pub obstacles: Vec<AreaMark>,
    /// Rooms with their names, which stand in them; the outlines are not drawn.
    pub rooms: Vec<AreaMark>,
    /// Areas in which a portable transmitter must work.
    pub roams: Vec<AreaMark>,
    /// Devices on the level.
    pub devices: Vec<DeviceMark>,
    /// Margin over the floor; without one only the plan is drawn.
    pub field: Option<Field>,
    /// Margins at which the finding changes.
    pub thresholds: Thresholds,
    /// Unit of the scale bar.
    pub length_unit: Lengths,
    /// One bold line under the subtitle; empty for none.
    pub headline: String,
    /// What the field is, for the legend; empty for "Reserve over the floor, dB".
    pub field_title: String,
    /// What the colours of sound, thin and failing mean; each, if empty, is the finding's word.
    pub field_words: [String; 3],
    /// Places where the panel may hang.
    pub spots: Vec<SpotMark>,
    /// Pieces of wall face where it may not.
    pub forbidden: Vec<ForbiddenMark>,
    /// Power outlets, metres.
    pub outlets: Vec<[f64; 2]>,
    /// Walks and wires.
    pub lines: Vec<LineMark>,
    /// Paths by which the power of one transmitter comes, in the order of their numbers. With any,
    /// sensors without a finding are drawn lightly, the device at the end of the first path has a
    /// halo, and no count of findings stands in the header. Give a name, a finding and a margin to
    /// that device alone, and leave `field` empty so that the paths can be seen.
    pub paths: Vec<PathMark>,
    /// For readers without training: labels hold names alone, the field has one tone for each
    /// finding, and the digits of all marks are about equally large.
    pub plain: bool,
}

impl Picture {
    /// Whether it shows spots rather than coverage: what is there already is then drawn lightly.
    pub(crate) fn sites(&self) -> bool {
        !self.spots.is_empty() || !self.forbidden.is_empty()
    }

    /// How many devices have a finding.
    pub(crate) fn count(&self, finding: Finding) -> usize {
        self.devices.iter().filter(|device| device.finding == Some(finding)).count()
    }

    /// Whether a device is only there to show where things are.
    pub(crate) fn faint(&self, device: &DeviceMark) -> bool {
        let heard = !matches!(device.kind, DeviceKind::Panel | DeviceKind::Repeater);
        device.finding.is_none() && (self.sites() || (heard && !self.paths.is_empty()))
    }
}

/// Margins on a grid of square cells.
#[derive(Debug, Clone, PartialEq)]
pub struct Field {
    /// Centre of the cell in column 0 of row 0, metres.
    pub origin: [f64; 2],
    /// Side of a cell, metres; more than zero.
    pub cell_m: f64,
    /// Cells along x.
    pub columns: usize,
    /// Cells along y; row 0 has the least y.
    pub rows: usize,
    /// Margin of each cell in dB, row by row, never NaN; infinities count as the ends of the colour
    /// bar.
    pub margin_db: Vec<f64>,
}

/// Margins at which the finding changes, dB.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thresholds {
    /// Below this margin a sensor is failing.
    pub failing_below_db: f64,
    /// From this margin up a sensor is sound; not less than `failing_below_db`.
    pub sound_from_db: f64,
}

impl Default for Thresholds {
    /// Placeholders of no physical meaning: 0 dB and 10 dB.
    fn default() -> Self {
        Self { failing_below_db: 0.0, sound_from_db: 10.0 }
    }
}

/// What a wall or the leaf of an opening is built of, as far as pictures tell it apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum WallClass {
    /// Plasterboard on studs and other light partitions.
    #[default]
    Light,
    /// Timber frame or solid timber.
    Timber,
    /// Brick, block and stone.
    Masonry,
    /// Concrete, plain or reinforced.
    Concrete,
    /// Plain glass.
    Glass,
    /// Glass with a metal coating, or foil-faced board: a thin conducting sheet.
    CoatedGlass,
    /// Sheet metal.
    Metal,
    /// A door's leaf of wood or plastic.
    Door,
}

/// One straight piece of wall.
#[derive(Debug, Clone, Default)]
pub struct WallMark {
    /// One end of the centre line, metres.
    pub a: [f64; 2],
    /// The other end of the centre line, metres.
    pub b: [f64; 2],
    /// Thickness, metres; drawn at least 2 pixels wide.
    pub thickness_m: f64,
    /// What it is built of.
    pub class: WallClass,
    /// Name of the construction, for the legend; empty for the class's own name.
    pub label: String,
}

/// One opening, drawn as a gap in the wall with its leaf or glass.
#[derive(Debug, Clone, Default)]
pub struct OpeningMark {
    /// One jamb on the wall's centre line, metres.
    pub a: [f64; 2],
    /// The other jamb, metres.
    pub b: [f64; 2],
    /// Thickness of the wall that it is in, metres.
    pub thickness_m: f64,
    /// What the leaf or pane is made of.
    pub class: WallClass,
    /// Whether the leaf stands open.
    pub open: bool,
    /// Whether nothing fills it: drawn without a leaf.
    pub empty: bool,
    /// Whether people come into the building by it.
    pub entry: bool,
}

/// A polygon with a name: an obstacle or a roam area.
#[derive(Debug, Clone, Default)]
pub struct AreaMark {
    /// Corners, metres, the last joined to the first; fewer than three are not drawn.
    pub outline: Vec<[f64; 2]>,
    /// Name, and whatever else is to stand beside it; may be empty.
    pub label: String,
    /// How large a room is, under its name; may be empty.
    pub size: String,
}

/// A line of a drawing.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct OriginalMark {
    /// Its ends, metres.
    pub points: [[f64; 2]; 2],
    /// Whether no wall or opening was made of it: drawn in dashes.
    pub left_out: bool,
}

/// A note of a report.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct NoteMark {
    /// Its number in the report.
    pub number: u32,
    /// What it says, for the legend.
    pub text: String,
    /// Where on the level it is true, metres: its number stands beside each place.
    pub places: Vec<[f64; 2]>,
}

/// What a device is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum DeviceKind {
    /// The control panel.
    Panel,
    /// A sensor.
    #[default]
    Sensor,
    /// A repeater.
    Repeater,
    /// A keypad.
    Keypad,
    /// A siren.
    Siren,
}

/// One device.
#[derive(Debug, Clone, Default)]
pub struct DeviceMark {
    /// Where it hangs, metres.
    pub position: [f64; 2],
    /// What it is.
    pub kind: DeviceKind,
    /// Its number at the panel. A sensor without one gets a letter in the picture.
    pub number: Option<u32>,
    /// Its name; shortened where there is little room.
    pub name: String,
    /// Its finding, if it has one.
    pub finding: Option<Finding>,
    /// Its margin in dB, if it has one.
    pub margin_db: Option<f64>,
    /// Its chance of a supervision fault in a year, if that is to be said, 0 to 1.
    pub fault_per_year: Option<f64>,
    /// Where the repeater is that hears it, metres: the same as [`Link::OverRepeater`] to there.
    pub via: Option<[f64; 2]>,
    /// How it is heard.
    pub link: Link,
    /// Whether it is not there yet: the mark is tagged "new".
    pub new: bool,
}

/// How a device is heard.
#[derive(Debug, Clone, Default, PartialEq)]
pub enum Link {
    /// Nothing is shown.
    #[default]
    NotShown,
    /// The panel hears it directly: a thin line.
    Direct(LinkEnd),
    /// A repeater hears it: a dotted line.
    OverRepeater(LinkEnd),
    /// It is a repeater, which the panel or another repeater hears: a heavy double line.
    RepeaterToPanel(LinkEnd),
    /// Nothing hears it: the mark is crossed out, and its label says so.
    NotHeard,
}

impl Link {
    /// Its far end, if a line is drawn to it.
    pub(crate) const fn end(&self) -> Option<&LinkEnd> {
        match self {
            Self::Direct(end) | Self::OverRepeater(end) | Self::RepeaterToPanel(end) => Some(end),
            Self::NotShown | Self::NotHeard => None,
        }
    }
}

/// The far end of a link.
#[derive(Debug, Clone, PartialEq)]
pub enum LinkEnd {
    /// On this level, metres. If a mark stands there, the line ends at that mark.
    Here([f64; 2]),
    /// On another level: a short stub with an arrow is drawn, and the device's label says where to.
    Elsewhere {
        /// Direction of the stub on the plan, of any length; zero for straight up the page.
        towards: [f64; 2],
        /// Where to, such as "to Upstairs".
        text: String,
    },
}

/// A place on a wall's face where the panel may hang.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct SpotMark {
    /// Where the panel would hang, metres.
    pub position: [f64; 2],
    /// Direction from the wall into the room, of any length; zero if there is none.
    pub facing: [f64; 2],
    /// Its place in the order of merit, the best being 1: drawn as a numbered pin. A spot without
    /// one, or with one beyond 40, is drawn as a small tick.
    pub rank: Option<u32>,
    /// Short text beside a ranked spot. Parts that are divided by " · " may come to stand under one
    /// another.
    pub label: String,
}

impl SpotMark {
    /// The number in its pin, if it has one.
    pub(crate) fn pin(&self) -> Option<u32> {
        self.rank.filter(|&rank| rank <= MOST_PINS)
    }
}

/// Spots of a worse rank get no pin: so many would hide the plan.
pub(crate) const MOST_PINS: u32 = 40;

/// A piece of wall face where the panel may not hang.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ForbiddenMark {
    /// The line of the face, metres; fewer than two points are not drawn.
    pub line: Vec<[f64; 2]>,
    /// Direction from the wall into the room, of any length: the strip is hatched on that side.
    /// Zero for a strip across the line.
    pub facing: [f64; 2],
    /// Why, in a few words; each reason is listed once in the legend.
    pub reason: String,
}

/// What a line on the plan is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum LineKind {
    /// The way of a person, from an entry to a spot.
    #[default]
    Walk,
    /// The wire from an outlet to a spot.
    Wire,
    /// From a spot to the fixed thing that it is measured from.
    Dimension,
}

/// A line on the plan.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct LineMark {
    /// Its corners in order, metres; fewer than two are not drawn.
    pub points: Vec<[f64; 2]>,
    /// What it is.
    pub kind: LineKind,
    /// Short text beside it; may be empty.
    pub label: String,
}

/// One path on the plan.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PathMark {
    /// Its corners from the listener to the sensor, metres, as seen from above; fewer than two are
    /// not drawn.
    pub points: Vec<[f64; 2]>,
    /// Its part in the sum of the powers of all paths, 0 to 1.
    pub share: f64,
    /// Whether it comes straight (a solid line) or by way of something that reflects it.
    pub direct: bool,
    /// What it is, for the legend, such as "off the brick-cavity wall"; empty for "direct" or
    /// "reflected".
    pub label: String,
    /// Where it goes through walls; meant for the direct path, and best left empty for the others.
    pub crossings: Vec<CrossingMark>,
}

/// A place at which a path goes through a wall, drawn as a short stroke across the path.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct CrossingMark {
    /// Where, metres.
    pub position: [f64; 2],
    /// What is lost there, dB: written with a minus. A gain is negative.
    pub loss_db: f64,
}

/// How large the picture is to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size {
    /// Width in pixels, held between 480 and 6000. The height follows from the plan's shape and is
    /// held between 200 and 4000.
    pub width_px: u32,
}

impl Default for Size {
    fn default() -> Self {
        Self { width_px: 1600 }
    }
}
