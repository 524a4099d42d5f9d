//! An office of any size, for benchmarks and large tests: a pure function of the counts asked for.
//!
//! The floor plate is 60 m × 40 m at 280 walls and grows with the square root of the count, so the
//! density of walls stays the same. It is cut into bays, each a corridor between two bands of rooms:
//!
//! ```text
//! +--------------------------------------+   outside: brick-cavity, a glass-double window a room
//! |  room | room | room | room | room    |   north band
//! |--- --- front walls, one a room --- --|   stud-partition or glass-single, each with a door
//! |  corridor, 2 m                       |
//! |--- --- --- --- --- --- --- --- --- --|
//! |  room | room | core | core | room    |   south band; in the middle bay a core of block-dense
//! +--------------------------------------+   spine to the next bay, with one doorway
//! ```
//!
//! The count of wall segments is met exactly from [`FEWEST_WALLS`] up (fewer gives that many):
//! 4 outside, a spine between bays, and 2k − 1 for a band of k rooms (k fronts, k − 1 partitions).
//! Rooms are shared out over the bands until at most one segment is left over; that one becomes a
//! back room in the first room. All sizes are common practice, no source.

#![allow(
    dead_code,
    reason = "each bench that includes this module uses only the functions it needs"
)]

use std::fmt::Write as _;

/// The smallest office: four outer walls and one room on each side of a corridor.
pub const FEWEST_WALLS: usize = 6;

const PLATE_M: [f64; 2] = [60.0, 40.0];
const PLATE_WALLS: f64 = 280.0;
/// Depth of a corridor and its two bands of rooms when the plate has its nominal size.
const BAY_M: f64 = 40.0 / 3.0;
const CORRIDOR_M: f64 = 2.0;
const CEILING_M: f64 = 3.0;
const DOOR_M: f64 = 0.85;
const DOOR_HEAD_M: f64 = 2.03;
/// From a partition's centre line to the nearest door jamb.
const JAMB_M: f64 = 0.25;
/// How far a partition may stand from an even division, as a share of the room's width.
const JITTER: f64 = 0.15;
/// The core reaches this share of the plate's width to either side of its middle.
const CORE_SHARE: f64 = 1.0 / 12.0;
/// From an outer wall's or spine's centre line to a device on its inner face: half of a cavity wall
/// and 20 mm.
const OFF_WALL_M: f64 = 0.16;

/// A wall segment: two ends of its centre line in metres, and its construction.
pub type Segment = ([f64; 2], [f64; 2], &'static str);

/// The wall segments of an office, without doors or windows, in metres.
///
/// Exactly `n` of them, for `n` of [`FEWEST_WALLS`] or more. The same `n` always gives the same walls.
pub fn office_walls(n: usize) -> Vec<Segment> {
    Layout::new(n).walls
}

/// The same office as a floor plan (`GeoJSON` text, metres): the walls of [`office_walls`], each a
/// feature of its own, with a door to every room (about half of them open), windows, a ground slab, an
/// outlet at every third room, one panel in the corridor beside the core, and exactly `sensors`
/// sensors spread over the rooms.
pub fn office_geojson(walls: usize, sensors: usize) -> String {
    let layout = Layout::new(walls);
    let mut features = Vec::new();
    for (i, &(a, b, construction)) in layout.walls.iter().enumerate() {
        features.push(line(
            &format!("wall-{}", i + 1),
            a,
            b,
            &format!(r#""kind": "wall", "construction": "{construction}", "level": 0"#),
        ));
    }
    for (i, opening) in layout.openings.iter().enumerate() {
        let entry = if opening.entry {
            r#", "entry": true"#
        } else {
            ""
        };
        features.push(line(
            &format!("opening-{}", i + 1),
            opening.from,
            opening.to,
            &format!(
                r#""kind": "opening", "construction": "{}", "level": 0, "state": "{}", "base": {:.2}, "top": {:.2}{entry}"#,
                opening.construction,
                if opening.open { "open" } else { "closed" },
                opening.base_m,
                opening.top_m,
            ),
        ));
    }
    let [w, h] = layout.plate_m;
    features.push(format!(
        r#"{{"type": "Feature", "id": "ground-slab", "geometry": {{"type": "Polygon", "coordinates": [[[0.0, 0.0], [{w:.3}, 0.0], [{w:.3}, {h:.3}], [0.0, {h:.3}], [0.0, 0.0]]]}}, "properties": {{"kind": "slab", "construction": "floor-concrete", "level": 0}}}}"#
    ));
    features.push(point(
        "panel",
        layout.panel,
        r#""kind": "panel", "name": "Panel", "level": 0, "height": 1.5, "mount": "wall""#,
    ));
    for (i, at) in layout.sensor_spots(sensors).into_iter().enumerate() {
        let number = i + 1;
        let (device, height) = if i % 3 == 2 {
            ("glass-break", 2.6)
        } else {
            ("motion", 2.2)
        };
        features.push(point(
            &format!("sensor-{number}"),
            at,
            &format!(
                r#""kind": "sensor", "name": "Office {number} {device}", "number": {number}, "role": "interior", "device": "{device}", "level": 0, "height": {height:.1}, "mount": "wall""#
            ),
        ));
    }
    for (i, room) in layout.rooms.iter().step_by(3).enumerate() {
        features.push(point(
            &format!("outlet-{}", i + 1),
            [room.x1 - JAMB_M, room.beside_front()],
            r#""kind": "outlet", "level": 0"#,
        ));
    }
    format!(
        "{{\n  \"type\": \"FeatureCollection\",\n  \"name\": \"Office of {} walls\",\n  \"units\": \"m\",\n  \
         \"levels\": [{{\"level\": 0, \"name\": \"Office\", \"floor\": 0.0, \"ceiling\": {CEILING_M:.1}}}],\n  \
         \"link\": \"eu-868.65\",\n  \"features\": [\n    {}\n  ]\n}}\n",
        layout.walls.len(),
        features.join(",\n    ")
    )
}

/// One room: from `x0` to `x1` along its corridor, from the back wall to the front at the corridor.
struct Room {
    x0: f64,
    x1: f64,
    back: f64,
    front: f64,
    core: bool,
    door_open: bool,
}

impl Room {
    /// The y just inside the back wall.
    fn inside_back(&self) -> f64 {
        self.back + OFF_WALL_M * (self.front - self.back).signum()
    }

    /// The y just off the front wall, on the corridor's side.
    fn beside_front(&self) -> f64 {
        self.front + OFF_WALL_M * (self.front - self.back).signum()
    }
}

struct Opening {
    from: [f64; 2],
    to: [f64; 2],
    construction: &'static str,
    open: bool,
    entry: bool,
    base_m: f64,
    top_m: f64,
}

impl Opening {
    fn door(from: [f64; 2], to: [f64; 2], construction: &'static str, open: bool) -> Self {
        Self {
            from,
            to,
            construction,
            open,
            entry: false,
            base_m: 0.0,
            top_m: DOOR_HEAD_M,
        }
    }

    fn window(from: [f64; 2], to: [f64; 2]) -> Self {
        Self {
            from,
            to,
            construction: "glass-double",
            open: false,
            entry: false,
            base_m: 0.9,
            top_m: 2.1,
        }
    }
}

struct Layout {
    plate_m: [f64; 2],
    walls: Vec<Segment>,
    openings: Vec<Opening>,
    /// Band by band from south to north, west to east within a band.
    rooms: Vec<Room>,
    panel: [f64; 2],
}

impl Layout {
    #[allow(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "counts of walls are far below 2^52, and the bay count is a small positive number"
    )]
    fn new(walls: usize) -> Self {
        let count = walls.max(FEWEST_WALLS);
        let scale = (count as f64 / PLATE_WALLS).sqrt();
        let plate_m = PLATE_M.map(|side| millimetre(side * scale));
        let [w, h] = plate_m;
        let bays = ((h / BAY_M).round() as usize).max(1);
        let bands = 2 * bays;
        // 4 outside + (bays − 1) spines + Σ(2k − 1) = count, less the one that may be left over.
        let segments_for_rooms = count - 4 - (bays - 1);
        let rooms_wanted = (segments_for_rooms + bands) / 2;
        let left_over = (segments_for_rooms + bands) % 2;

        let mut chance = Lcg::new();
        let mut layout = Self {
            plate_m,
            walls: Vec::new(),
            openings: Vec::new(),
            rooms: Vec::new(),
            panel: [0.0; 2],
        };
        let corners = [[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]];
        for (i, &corner) in corners.iter().enumerate() {
            layout
                .walls
                .push((corner, corners[(i + 1) % 4], "brick-cavity"));
        }
        let bay_m = h / bays as f64;
        let depth = (bay_m - CORRIDOR_M) / 2.0;
        for bay in 1..bays {
            let y = millimetre(bay as f64 * bay_m);
            layout.walls.push(([0.0, y], [w, y], "stud-partition"));
        }
        let mut bands_rooms = Vec::new();
        for band in 0..bands {
            let (bay, north) = (band / 2, band % 2 == 1);
            let (back, front) = if north {
                let y = (bay + 1) as f64 * bay_m;
                (y, y - depth)
            } else {
                let y = bay as f64 * bay_m;
                (y, y + depth)
            };
            let rooms = rooms_wanted / bands + usize::from(band < rooms_wanted % bands);
            let has_core = band == 2 * (bays / 2);
            let first = layout.rooms.len();
            layout.add_band(
                rooms,
                millimetre(back),
                millimetre(front),
                has_core,
                &mut chance,
            );
            bands_rooms.push(first..layout.rooms.len());
        }
        if left_over == 1 {
            layout.add_back_room();
        }
        for bay in 1..bays {
            layout.add_spine_door(
                bands_rooms[2 * bay - 1].clone(),
                bands_rooms[2 * bay].clone(),
            );
        }
        layout.add_doors();
        for bay in 0..bays {
            layout.add_corridor_ends((bay as f64 + 0.5) * bay_m, bay == 0, bay + 1 == bays);
        }
        layout.panel = layout.panel_spot(bands_rooms[2 * (bays / 2)].clone());
        layout
    }

    /// Adds a band's rooms, their partitions, fronts and outer windows.
    #[allow(clippy::cast_precision_loss, reason = "room counts are small")]
    fn add_band(&mut self, rooms: usize, back: f64, front: f64, has_core: bool, chance: &mut Lcg) {
        let [w, h] = self.plate_m;
        let even = w / rooms as f64;
        let mut x0 = 0.0;
        let mut core_before = false;
        for i in 0..rooms {
            let x1 = if i + 1 == rooms {
                w
            } else {
                millimetre(even * ((i + 1) as f64 + JITTER * (2.0 * chance.unit() - 1.0)))
            };
            let middle = f64::midpoint(x0, x1);
            let core = has_core && (middle - w / 2.0).abs() <= (w * CORE_SHARE).max(even / 2.0);
            if i > 0 {
                let partition = if core || core_before {
                    "block-dense"
                } else {
                    "stud-partition"
                };
                self.walls.push(([x0, back], [x0, front], partition));
            }
            let glazed = chance.unit() < 1.0 / 3.0;
            let front_wall = match (core, glazed) {
                (true, _) => "block-dense",
                (false, true) => "glass-single",
                (false, false) => "stud-partition",
            };
            self.walls.push(([x0, front], [x1, front], front_wall));
            if back == 0.0 || back >= h {
                let half = 0.275 * (x1 - x0);
                let (a, b) = (millimetre(middle - half), millimetre(middle + half));
                self.openings.push(Opening::window([a, back], [b, back]));
            }
            self.rooms.push(Room {
                x0,
                x1,
                back,
                front,
                core,
                door_open: chance.unit() < 0.5,
            });
            core_before = core;
            x0 = x1;
        }
    }

    /// Splits the first room into a front and a back room: one wall and one door.
    fn add_back_room(&mut self) {
        let Some(room) = self.rooms.first() else {
            return;
        };
        let y = millimetre(f64::midpoint(room.back, room.front));
        let (a, b) = (room.x0, room.x1);
        self.walls.push(([a, y], [b, y], "stud-partition"));
        let jamb = millimetre(b - JAMB_M);
        self.openings.push(Opening::door(
            [jamb - DOOR_M, y],
            [jamb, y],
            "door-hollow",
            true,
        ));
    }

    /// A doorway through the spine where a room to its south and one to its north overlap most;
    /// the doors of those two rooms stand open, so that the bays are joined.
    fn add_spine_door(&mut self, south: std::ops::Range<usize>, north: std::ops::Range<usize>) {
        let mut best: Option<(f64, f64, usize, usize)> = None;
        for s in south {
            for n in north.clone() {
                let (a, b) = (&self.rooms[s], &self.rooms[n]);
                let from = a.x0.max(b.x0);
                let overlap = a.x1.min(b.x1) - from;
                if !a.core && !b.core && best.is_none_or(|(most, ..)| overlap > most) {
                    best = Some((overlap, from, s, n));
                }
            }
        }
        let Some((overlap, from, s, n)) = best else {
            return;
        };
        let y = self.rooms[s].back;
        let a = millimetre(from + (overlap - DOOR_M) / 2.0);
        self.openings.push(Opening::door(
            [a, y],
            [millimetre(a + DOOR_M), y],
            "door-hollow",
            true,
        ));
        self.rooms[s].door_open = true;
        self.rooms[n].door_open = true;
    }

    /// A door from every room to its corridor, near the room's western partition.
    fn add_doors(&mut self) {
        for room in &self.rooms {
            let a = millimetre(room.x0 + JAMB_M);
            let leaf = if room.core {
                "door-solid"
            } else {
                "door-hollow"
            };
            let (from, to) = ([a, room.front], [millimetre(a + DOOR_M), room.front]);
            self.openings
                .push(Opening::door(from, to, leaf, room.door_open));
        }
    }

    /// A window at either end of a corridor; the first corridor's west end and the last one's east end
    /// are ways in.
    fn add_corridor_ends(&mut self, y: f64, first: bool, last: bool) {
        for (x, way_in) in [(0.0, first), (self.plate_m[0], last)] {
            let (from, to) = ([x, millimetre(y - 0.475)], [x, millimetre(y + 0.475)]);
            self.openings.push(if way_in {
                Opening {
                    entry: true,
                    ..Opening::door(from, to, "door-glazed", false)
                }
            } else {
                Opening::window(from, to)
            });
        }
    }

    /// On the corridor's side of a core room's front, clear of its door.
    fn panel_spot(&self, band: std::ops::Range<usize>) -> [f64; 2] {
        let middle = self.plate_m[0] / 2.0;
        let off = |room: &Room| (f64::midpoint(room.x0, room.x1) - middle).abs();
        self.rooms[band]
            .iter()
            .min_by(|a, b| off(a).total_cmp(&off(b)))
            .map_or([middle, self.plate_m[1] / 2.0], |room| {
                [room.x1 - 0.4, room.beside_front()]
            })
    }

    /// Spots on the back walls, spread evenly over the rooms; several in one room stand side by side.
    #[allow(clippy::cast_precision_loss, reason = "sensor counts are small")]
    fn sensor_spots(&self, sensors: usize) -> Vec<[f64; 2]> {
        let rooms = self.rooms.len();
        let mut spots = Vec::with_capacity(sensors);
        for (r, room) in self.rooms.iter().enumerate() {
            let here = (r + 1) * sensors / rooms - r * sensors / rooms;
            for j in 0..here {
                let share = (j as f64 + 0.5) / here as f64;
                let clear = room.x1 - room.x0 - 2.0 * OFF_WALL_M;
                spots.push([room.x0 + OFF_WALL_M + share * clear, room.inside_back()]);
            }
        }
        spots
    }
}

/// A linear congruential generator (Knuth's MMIX constants, from memory; any full-period pair would do).
struct Lcg(u64);

impl Lcg {
    const fn new() -> Self {
        Self(1)
    }

    /// The next number in 0..1.
    #[allow(clippy::cast_precision_loss, reason = "53 bits fit a double exactly")]
    fn unit(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// To whole millimetres, so that the walls and the text of the plan agree.
fn millimetre(metres: f64) -> f64 {
    (metres * 1000.0).round() / 1000.0
}

fn line(id: &str, a: [f64; 2], b: [f64; 2], properties: &str) -> String {
    feature(
        id,
        "LineString",
        &format!("[[{:.3}, {:.3}], [{:.3}, {:.3}]]", a[0], a[1], b[0], b[1]),
        properties,
    )
}

fn point(id: &str, at: [f64; 2], properties: &str) -> String {
    feature(
        id,
        "Point",
        &format!("[{:.3}, {:.3}]", at[0], at[1]),
        properties,
    )
}

fn feature(id: &str, geometry: &str, coordinates: &str, properties: &str) -> String {
    let mut text = String::new();
    // Writing to a String cannot fail.
    let _ = write!(
        text,
        r#"{{"type": "Feature", "id": "{id}", "geometry": {{"type": "{geometry}", "coordinates": {coordinates}}}, "properties": {{{properties}}}}}"#
    );
    text
}

#[cfg(test)]
#[path = "office_checks.rs"]
mod tests;
