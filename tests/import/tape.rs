//! Lists of lengths become plans.

mod lengths;
mod shipped;
mod sound;

use approx::assert_abs_diff_eq;
use geo::{Coord, LineString};
use import::{Kind, Settings, draft};
use plan::Plan;
use proptest::prelude::*;

use super::known::{imported, plain, refused};
use super::promises::survives;

/// A cottage: hall in the middle, living room left, kitchen right, bath behind the hall.
const COTTAGE: &str = "\
name Heron Cottage
walls outside brick-cavity
walls inside stud-partition
room Hall 2.0 x 5.0
room \"Living room\" 4 x 5 left-of Hall
room Kitchen 3.6 x 4.2 right-of Hall
room Bath 2 x 1.8 behind Hall
door Hall front 0.9 at 0.6 entry
door Hall Kitchen 0.8
door Hall \"Living room\" 0.8 at 3
door Bath front 0.7
window Kitchen back 1.5 at 1.0 sill 1.1 head 2.1
window \"Living room\" left 1.8
panel Hall left at 1
contact Hall front
contact Kitchen back
motion \"Living room\" back-left
smoke Hall
outlet Hall right at 0.4
";

fn plan(list: &str) -> Plan {
    imported(Kind::Tape, "list.txt", list.as_bytes(), &plain()).1
}

fn thickness_m(construction: &str) -> f64 {
    plain().thickness_m(construction)
}

/// The distance from a place to the nearest inner face of a wall in a direction, metres: what a
/// tape gives.
fn tape(plan: &Plan, from: (f64, f64), direction: (f64, f64)) -> f64 {
    let mut nearest = f64::INFINITY;
    for wall in &plan.walls {
        for line in wall.line.lines() {
            let (rx, ry) = (line.dx(), line.dy());
            let cross = direction.0 * ry - direction.1 * rx;
            if cross.abs() < 1e-9 {
                continue;
            }
            let (qx, qy) = (line.start.x - from.0, line.start.y - from.1);
            let along = (qx * ry - qy * rx) / cross;
            let on_wall = (qx * direction.1 - qy * direction.0) / cross;
            if along > 0.0 && (-1e-9..=1.0 + 1e-9).contains(&on_wall) {
                nearest = nearest.min(along - thickness_m(&wall.construction) / 2.0);
            }
        }
    }
    nearest
}

/// Width and depth of the room round a place, between faces.
fn inner_size(plan: &Plan, at: (f64, f64)) -> (f64, f64) {
    (
        tape(plan, at, (1.0, 0.0)) + tape(plan, at, (-1.0, 0.0)),
        tape(plan, at, (0.0, 1.0)) + tape(plan, at, (0.0, -1.0)),
    )
}

#[test]
fn a_tape_held_in_the_plan_gives_the_sizes_of_the_list() {
    let plan = plan(COTTAGE);
    let half = thickness_m("stud-partition") / 2.0;
    // The zero is the corner of the Hall's walls' middles; each place lies well inside its room.
    for (at, size) in [
        ((1.0, 2.0), (2.0, 5.0)),
        ((-2.0, 2.0), (4.0, 5.0)),
        ((2.0 + 3.0 * half + 1.0, 2.0), (3.6, 4.2)),
        ((1.0, 5.0 + 3.0 * half + 0.5), (2.0, 1.8)),
    ] {
        let (width, depth) = inner_size(&plan, at);
        // Lengths in the plan are rounded to a millimetre, a size depends on two.
        assert_abs_diff_eq!(width, size.0, epsilon = 0.0011);
        assert_abs_diff_eq!(depth, size.1, epsilon = 0.0011);
    }
}

#[test]
fn walls_openings_and_devices_are_those_of_the_list() {
    let (draft, plan) = imported(Kind::Tape, "list.txt", COTTAGE.as_bytes(), &plain());
    assert_eq!(plan.name, "Heron Cottage");
    assert_eq!(plan.openings.len(), 6);
    assert_eq!(plan.devices.len(), 5);
    assert_eq!(plan.outlets.len(), 1);
    // Inside: Hall to Living room 5 m, Hall to Kitchen 4.2 m, Hall to Bath 2 m, each with half a
    // wall of 0.1 or so at its ends; that is 11.2 m and a little.
    let length = |construction: &str| -> f64 {
        let walls = plan.walls.iter().filter(|wall| wall.construction == construction);
        walls.flat_map(|wall| wall.line.lines()).map(|line| line.dx().hypot(line.dy())).sum()
    };
    let inside = length("stud-partition");
    assert!((11.2..12.2).contains(&inside), "{inside}");
    // Outside: once round, without what is shared. Of each room W + D twice, less the shared parts
    // twice: 2 (7 + 9 + 7.8 + 3.8) − 2 × 11.2 = 32.8 m between faces, and eight outer corners of a
    // wall each.
    let outside = length("brick-cavity");
    assert!((32.8..36.0).contains(&outside), "{outside}");
    let door = plan.openings.iter().find(|o| o.entry).unwrap();
    assert_abs_diff_eq!(door.to_m - door.from_m, 0.9, epsilon = 0.0011);
    let contact = plan.devices.iter().find(|d| d.name == "Hall door").unwrap();
    assert_eq!(contact.role.as_deref(), Some("entry-exit"));
    assert_eq!(contact.room.as_deref(), Some("Hall"));
    let window = plan.devices.iter().find(|d| d.name == "Kitchen window").unwrap();
    assert_eq!(window.role.as_deref(), Some("perimeter"));
    assert_abs_diff_eq!(window.height_m, 2.0, epsilon = 1e-9);
    // The door between Hall and Living room begins 3 m from the Hall's inner front corner.
    let half = thickness_m("stud-partition") / 2.0;
    let lines: Vec<LineString<f64>> =
        plan.openings.iter().map(|o| plan.opening_line(o).unwrap().into()).collect();
    let at = |line: &LineString<f64>, place: Coord<f64>| {
        line.coords().any(|c| (c.x - place.x).hypot(c.y - place.y) < 0.002)
    };
    assert!(lines.iter().any(|line| at(line, Coord { x: 0.0, y: half + 3.0 })), "{lines:?}");
    // Three openings are without a place, one window without heights: both are told.
    let about: Vec<&str> = draft.guesses.iter().map(|guess| guess.about.as_str()).collect();
    assert!(about.contains(&"doors without a place"), "{about:?}");
    assert!(about.contains(&"windows without a place"), "{about:?}");
    assert!(!about.contains(&"inside walls"), "{about:?}");
}

#[test]
fn feet_and_inches_give_the_same_house_as_metres() {
    // 12 ft 6 in are 3.81 m, 10 ft 3.048 m, 3 ft 0.9144 m.
    let metric = plan("room A 3.81 x 3.048\nroom B 3.048 x 3.048 right-of A\ndoor A B 0.9144\n");
    let feet = plan("units ft\nroom A 12' 6\" x 10\nroom B 10 x 10ft right-of A\ndoor A B 36in\n");
    assert_eq!(metric.walls.len(), feet.walls.len());
    assert_eq!(feet.metres_per_unit, 0.3048);
    for (a, b) in metric.walls.iter().zip(&feet.walls) {
        for (a, b) in a.line.coords().zip(b.line.coords()) {
            assert_abs_diff_eq!(a.x, b.x, epsilon = 0.0015);
            assert_abs_diff_eq!(a.y, b.y, epsilon = 0.0015);
        }
    }
}

#[test]
fn the_order_of_rooms_does_not_matter() {
    let one = plan("room A 3 x 3\nroom B 2 x 3 right-of A\nroom C 2 x 2 behind B\n");
    let other = plan("room C 2 x 2 behind B\nroom B 2 x 3 right-of A\nroom A 3 x 3\n");
    let ends = |plan: &Plan| {
        let lines = plan.walls.iter().flat_map(|wall| wall.line.lines());
        let ends = lines.map(|line| [line.start.x, line.start.y, line.end.x, line.end.y]);
        let mut all: Vec<_> = ends.map(|ends| ends.map(|m| (m * 1e3).round() as i64)).collect();
        all.sort_unstable();
        all
    };
    assert_eq!(ends(&one), ends(&other));
}

#[test]
fn storeys_stand_on_one_another_with_a_floor_between() {
    let plan = plan(
        "ceiling 2.5\nroom Hall 3 x 4\nlevel 1 First floor ceiling 2.3\nroom Landing 3 x 4 above Hall\n\
         room Loft 2 x 4 right-of Landing\nlevel -1 Cellar\nroom Store 3 x 2 above Hall\n",
    );
    let heights: Vec<(i32, f64, f64)> =
        plan.levels.iter().map(|level| (level.number, level.floor_m, level.ceiling_m)).collect();
    // Cellar: 2.4 m and 0.3 m of floor below the zero. First: 0.3 m above 2.5 m.
    assert_eq!(heights[0].0, -1);
    assert_abs_diff_eq!(heights[0].1, -2.7, epsilon = 1e-9);
    assert_abs_diff_eq!(heights[1].1, 0.0, epsilon = 1e-9);
    assert_abs_diff_eq!(heights[2].1, 2.8, epsilon = 1e-9);
    assert_abs_diff_eq!(heights[2].2, 5.1, epsilon = 1e-9);
    let slabs: Vec<i32> = plan.slabs.iter().map(|slab| slab.level).collect();
    assert_eq!(slabs, [0, 1]);
    assert_eq!(plan.level(1).unwrap().name, "First floor");
}

#[test]
fn edges_that_all_but_meet_are_put_together_and_told() {
    let list = "room A 3 x 3\nroom B 2 x 3.03 right-of A\n";
    let (draft, plan) = imported(Kind::Tape, "l.txt", list.as_bytes(), &plain());
    assert_eq!(plan.walls.len(), 7);
    let mut told = draft.guesses.iter().filter(|guess| guess.about == "line 2, room B");
    assert!(told.any(|guess| guess.taken.contains("0.03 m")));
}

#[test]
fn a_wall_can_be_left_out_or_built_otherwise() {
    let rooms = "room A 3 x 3\nroom B 2 x 3 right-of A\n";
    assert_eq!(plan(rooms).walls.len(), 7);
    let open = plan(&format!("{rooms}no-wall A B\n"));
    assert_eq!(open.walls.len(), 6);
    let foil = plan(&format!("{rooms}wall A right foil-board-stud\nwall B back sheet-metal\n"));
    let of = |name: &str| foil.walls.iter().filter(|wall| wall.construction == name).count();
    assert_eq!((of("foil-board-stud"), of("sheet-metal")), (1, 1));
}

/// Each list with the line at fault and what its message must hold.
#[test]
fn what_is_wrong_is_said_at_its_line() {
    for (list, line, says) in [
        ("rom A 3 x 3", 1, "did you mean room?"),
        ("", 1, "no room"),
        ("room A 3 x 3 right-of A", 1, "circle: A (line 1) by A"),
        (
            "room A 3 x 3 right-of B\nroom B 3 x 3 right-of C\nroom C 2 x 2 right-of A",
            1,
            "circle: A (line 1) by B (line 2) by C (line 3) by A",
        ),
        ("room A 3 x 3\nroom B 3 x 3", 2, "the list does not say where B is"),
        ("room A 3 x 3\nroom a 3 x 3 behind A", 2, "line 1 already has a room \"a\""),
        ("room A 3 x 3\nroom B 3 x 3 right-of Aa", 2, "did you mean \"A\"?"),
        (
            "room A 3 x 3\nroom B 3 x 3 right-of A\nroom C 4 x 4 behind A\nroom D 4 x 4 behind B",
            4,
            "overlaps C (line 3) by",
        ),
        ("room A 3", 1, "depth"),
        ("room A 3 x 0", 1, "cannot be 0 m wide or deep"),
        ("room A 3 x 4e9", 1, "not a unit"),
        ("room A 3 x 3\ndoor A front 3.5", 2, "3.5 m wide, but its wall is only 3 m long"),
        ("room A 3 x 3\ndoor A front 0.9 at 2.5", 2, "from 2.5 m to 3.4 m, the door"),
        (
            "room A 3 x 3\ndoor A front 0.9 at 1\nwindow A front 1 at 1.5",
            3,
            "overlaps the door of line 2",
        ),
        ("room A 3 x 3\ndoor A B 0.9", 2, "no room \"B\""),
        (
            "room A 3 x 3\nroom B 3 x 3 right-of A\nroom C 3 x 3 right-of B\ndoor A C 0.8",
            4,
            "A and C share no wall",
        ),
        ("room A 3 x 3\nwindow A front 1 sill 2.2", 2, "not below the head"),
        ("room A 3 x 3\nwindow A front 1 head 2.6", 2, "above the ceiling"),
        ("room A 3 x 3\ndoor A front 0.9 door-holow", 2, "did you mean door-hollow?"),
        ("room A 3 x 3\ncontact A front", 2, "this wall has no door or window"),
        (
            "room A 3 x 3\ndoor A front 0.5 at 0\ndoor A front 0.5 at 2\ncontact A front",
            4,
            "more than one door",
        ),
        ("room A 3 x 3\npanel A", 2, "on which wall"),
        ("room A 3 x 3\nsmoke A height 9", 2, "above the ceiling"),
        (
            "room A 3 x 3\nroom B 3 x 3 right-of A\ndoor A B 0.8\nno-wall A B",
            3,
            "line 4 says that there is no wall",
        ),
        ("room A 3 x 3\nunits ft", 2, "too late"),
        ("level 0\nlevel 0", 2, "already listed"),
        ("room A 3 x 3\nlevel 1 floor 1\nroom B 3 x 3 above A", 2, "below the ceiling"),
        ("link us-34\nroom A 3 x 3", 1, "did you mean us-345?"),
        ("room \"A 3 x 3", 1, "quotation mark"),
        ("room A 3 x 3 middle-of B", 1, "does not say where the room is"),
    ] {
        let faults = refused(Kind::Tape, "list.txt", list.as_bytes());
        assert!(
            faults.iter().any(|fault| fault.line == line && fault.to_string().contains(says)),
            "{list}\n{faults:#?}"
        );
    }
    let faults = refused(Kind::Tape, "list.txt", b"room A 3 x 3\n\xff\xfe");
    assert_eq!(faults[0].line, 2);
}

#[test]
fn a_thousand_faults_are_bounded_and_a_long_chain_is_no_recursion() {
    let faults = refused(Kind::Tape, "list.txt", "rooom A 3 x 3\n".repeat(1_000).as_bytes());
    assert!(faults.len() <= plan::MAX_LISTED);
    let mut chain = "room R0 1 x 1\n".to_owned();
    for number in (1..400).rev() {
        chain.push_str(&format!("room R{number} 1 x 1 right-of R{}\n", number - 1));
    }
    // 401 walls across, and 400 pieces in front and behind.
    assert_eq!(plan(&chain).walls.len(), 401 + 800);
    let settings = Settings::default();
    assert!(draft(Kind::Tape, "l", &b"x".repeat(70 << 20), &settings).is_err());
}

const WORDS: &str = "room door window A B C front back left right right-of left-of behind before above \
         shift flush at entry open x 3 2.5 0.9 12' 6\" -1 level 1 wall no-wall contact panel \
         smoke \" brick-half ceiling height number units ft";

fn word() -> impl Strategy<Value = String> {
    let words: Vec<&str> = WORDS.split_whitespace().collect();
    prop_oneof![prop::sample::select(words).prop_map(str::to_owned), "\\PC{0,4}"]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// Rooms of any size in a row, with openings wherever they fit, give a plan that can be read.
    #[test]
    fn any_list_is_refused_or_gives_a_sound_plan(lines in prop::collection::vec(prop::collection::vec(word(), 0..9), 0..12)) {
        let text: Vec<String> = lines.iter().map(|line| line.join(" ")).collect();
        survives(Kind::Tape, text.join("\n").as_bytes());
    }

    #[test]
    fn lines_of_a_sound_list_in_any_order_or_number_are_survived(order in prop::collection::vec(0_usize..20, 0..40)) {
        let lines: Vec<&str> = COTTAGE.lines().collect();
        let text: Vec<&str> = order.iter().filter_map(|&line| lines.get(line).copied()).collect();
        survives(Kind::Tape, text.join("\n").as_bytes());
    }

    #[test]
    fn any_bytes_are_survived(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        survives(Kind::Tape, &bytes);
    }

    /// Whatever the sizes, a tape gives them back.
    #[test]
    fn sizes_come_back(a in (0.5_f64..9.0, 0.5_f64..9.0), b in (0.5_f64..9.0, 0.5_f64..9.0), c in (0.5_f64..9.0, 0.5_f64..9.0)) {
        let list = format!(
            "walls inside stud-partition\nroom A {} x {}\nroom B {} x {} right-of A\nroom C {} x {} before A flush right\n",
            a.0, a.1, b.0, b.1, c.0, c.1
        );
        // Edges that all but meet are moved together, which is another promise.
        let depths_meet = (a.1 - b.1).abs() < 0.07;
        let half = thickness_m("stud-partition") / 2.0;
        let lefts_meet = [a.0 - c.0, a.0 - c.0 + a.0].iter().any(|off| off.abs() < 0.07);
        prop_assume!(!depths_meet && !lefts_meet);
        let (draft, plan) = imported(Kind::Tape, "list.txt", list.as_bytes(), &plain());
        prop_assume!(!draft.guesses.iter().any(|guess| guess.taken.contains("moved")));
        let (width, depth) = inner_size(&plan, (half + 0.4 * a.0, half + 0.4 * a.1));
        prop_assert!((width - a.0).abs() < 0.0011 && (depth - a.1).abs() < 0.0011, "{} {}", width, depth);
        let (width, depth) = inner_size(&plan, (3.0 * half + a.0 + 0.4 * b.0, half + 0.4 * b.1));
        prop_assert!((width - b.0).abs() < 0.0011 && (depth - b.1).abs() < 0.0011, "{} {}", width, depth);
    }
}
