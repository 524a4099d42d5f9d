//! What the reader accepts, the plan's reader accepts; what no plan can hold is refused at its
//! line.

use import::{Draft, Kind, draft};
use plan::{Diagnostic, read_house};
use proptest::prelude::*;

use super::super::known::{imported, plain, refused};

/// A list is refused, or its plan can be read.
fn sound(list: &str) -> Result<Draft, Vec<Diagnostic>> {
    let settings = plain();
    let draft = draft(Kind::Tape, "list.txt", list.as_bytes(), &settings)?;
    let text = draft.text();
    if let Err(faults) = read_house("plan", text.as_bytes(), &settings.known.vocabulary) {
        panic!("{list}\n{text}\n{}", faults[0]);
    }
    Ok(draft)
}

/// Each list with the line at fault and what its message must hold.
#[test]
fn what_no_plan_can_hold_is_said_at_its_line() {
    let deep: String =
        (1..=3).map(|n| format!("level -{n} ceiling 400\nroom C{n} 3 x 3\n")).collect();
    // Eleven rooms of 199 m and their walls: six to the right of M, four to the left.
    let row = |word: &str, row: &str, rooms: usize| -> String {
        let by = |n: usize| {
            if n == 1 { "M".to_owned() } else { format!("{row}{}", n - 1) }
        };
        (1..=rooms).map(|n| format!("room {row}{n} 199 x 3 {word} {}\n", by(n))).collect()
    };
    let wide = row("right-of", "R", 6) + &row("left-of", "L", 4);
    for (list, line, says) in [
        (
            "room A 3 x 3\nmotion A number 4\nsmoke A number 4".to_owned(),
            3,
            "the device of line 2 already has number 4",
        ),
        ("room A 3 x 3\nwindow A front 1 sill 1 head 1.001".to_owned(), 2, "not below the head"),
        ("ceiling 1.5\nroom KÜCHE 3 x 3\ndoor Küche front 0.9".to_owned(), 3, "above the ceiling"),
        (format!("room A 3 x 3\n{deep}"), 6, "below level 0"),
        (format!("room M 199 x 3\n{wide}"), 7, "with R6 the plan is over 1990 m wide"),
        ("room A 3 x 3\nroom \u{7}B 3 x 3 behind A".to_owned(), 2, "control character"),
        ("room A 3 x 3\rroom B 3 x 3 behind A".to_owned(), 1, "control character"),
        (format!("room A 3 x 3\n# {}", "x".repeat(20_000)), 2, "16384 bytes"),
        ("room A 3 x 3\nmotion A at 1".to_owned(), 2, "no wall is named"),
        ("room A 3 x 3\ncontact A number 1".to_owned(), 2, "on which wall"),
        ("room A 3 x 3\nsmoke A role fir".to_owned(), 2, "did you mean fire?"),
        ("room A 3 x 3\nsmoke A mount glued".to_owned(), 2, "glued\" is not a known mount"),
        ("room A 3 x 3\nstairs A left".to_owned(), 2, "no level above"),
        ("room A 3 x 3\nstairs A 0.9 x 3".to_owned(), 2, "along which wall"),
        (
            "room A 3 x 3\nstairs A left 0.9 x 3.5\nlevel 1\nroom B 3 x 3 above A".to_owned(),
            2,
            "reach out of A",
        ),
        ("floors brick\nroom A 3 x 3".to_owned(), 1, "is not known"),
        (
            "walls inside brick-half\nroom A 3 x 3\nwalls inside brick-solid".to_owned(),
            3,
            "line 1 already says walls inside",
        ),
    ] {
        let faults = refused(Kind::Tape, "list.txt", list.as_bytes());
        assert!(
            faults.iter().any(|fault| fault.line == line && fault.to_string().contains(says)),
            "{says}\n{faults:#?}"
        );
    }
}

#[test]
fn a_remark_behind_inches_is_a_remark() {
    let list = "units ft\nroom A 12' 6\" x 10' # 6\" more behind the sofa\nroom “B # 2” 9’ 3” x 10 right-of A # it is \"old\"\n";
    let (draft, plan) = imported(Kind::Tape, "l.txt", list.as_bytes(), &plain());
    assert_eq!(plan.walls.len(), 7);
    assert!(draft.pieces.iter().any(|piece| piece.name.as_deref() == Some("B # 2")));
}

#[test]
fn a_contact_may_name_the_rooms_on_both_sides_and_a_role_of_its_own() {
    let list = "room A 3 x 3\nroom B 3 x 3 right-of A\ndoor A B 0.8 at 1\ncontact A B role entry-exit number 7\ncontact B A height 1\n";
    let (_, plan) = imported(Kind::Tape, "l.txt", list.as_bytes(), &plain());
    let [one, other] = plan.devices.as_slice() else { panic!("{:?}", plan.devices) };
    assert_eq!(one.role.as_deref(), Some("entry-exit"));
    assert_eq!(other.role.as_deref(), Some("interior"));
    assert_eq!((one.room.as_deref(), other.room.as_deref()), (Some("A"), Some("B")));
    // The wall's middle is 3 m and a wall from the zero; one hangs 0.1 m on this side of it, the
    // other 0.1 m beyond.
    let middle = 3.0 + plain().thickness_m("brick-half");
    assert!((one.position.x - (middle - 0.1)).abs() < 0.0011, "{one:?}");
    assert!((other.position.x - (middle + 0.1)).abs() < 0.0011, "{other:?}");
}

#[test]
fn rooms_without_a_wall_between_them_are_one_space_with_one_name() {
    let list = "room A 3 x 3\nroom B 3 x 3 right-of A\nroom C 2 x 3 right-of B\nno-wall A B\nmotion B back-right\nsmoke C\n";
    let (draft, plan) = imported(Kind::Tape, "l.txt", list.as_bytes(), &plain());
    let rooms: Vec<Option<&str>> = plan.devices.iter().map(|d| d.room.as_deref()).collect();
    assert_eq!(rooms, [Some("A, B"), Some("C")]);
    assert!(draft.guesses.iter().any(|guess| guess.about == "room A, B" && guess.pieces == 2));
    // The plan's reader finds nothing to say of names either.
    let reading = read_house("plan", draft.text().as_bytes(), &plain().known.vocabulary).unwrap();
    assert!(reading.warnings.is_empty(), "{:?}", reading.warnings);
}

#[test]
fn openings_at_a_corner_between_thick_walls_stay_on_their_wall() {
    // The Hall's right wall goes on behind the Kitchen, from 4.2 m and a wall on; the Kitchen's
    // back wall, half a metre of stone, takes more of it than an inside wall would.
    let list = "walls outside stone-wall\nwalls inside stud-partition\nroom Hall 2 x 6\nroom Kitchen 3 x 4.2 right-of Hall\n";
    let tight = format!("{list}window Hall right 0.5 at 4.36\n");
    let faults = sound(&tight).expect_err("the window would are in the Kitchen's wall");
    assert_eq!(faults[0].line, 5);
    sound(&format!("{list}window Hall right 0.5 at 5\n")).unwrap();
    sound(&format!("{list}window Hall right 1\n")).unwrap();
}

#[test]
fn rooms_with_a_slit_between_them_have_sound_walls() {
    // Outside walls of 0.275 m on either side of slits of all widths: where they meet, no wall is
    // left at the slit's end.
    for slit_mm in 0..400 {
        let slit_m = f64::from(slit_mm) / 1e3;
        let list = format!(
            "walls outside brick-cavity\nwalls inside stud-partition\nroom A 6 x 3\nroom B 2 x 2 behind A\nroom C 2 x 2 behind A shift {}\n",
            2.1 + slit_m
        );
        sound(&list).unwrap();
    }
}

#[test]
fn edges_moved_to_one_place_stay_together() {
    // The left of B is the right of A, 3 m and a wall; C ends 5 cm before it, D 2 cm behind: A and
    // B must still meet.
    let list = "walls inside stud-partition\nroom C 2.95 x 2\nroom A 3 x 2 behind C\nroom D 3.02 x 2 behind A\nroom B 2 x 2 right-of A\n";
    let draft = sound(list).unwrap();
    let shared = draft.pieces.iter().filter(|piece| piece.id == "A B").count();
    assert_eq!(shared, 1);
}

fn room() -> impl Strategy<Value = (usize, usize, u32, u32, i32)> {
    (0_usize..5, 0_usize..8, 3_u32..45, 3_u32..45, -40_i32..40)
}

fn thing() -> impl Strategy<Value = (usize, usize, usize, u32, u32)> {
    (0_usize..9, 0_usize..6, 0_usize..4, 1_u32..20, 0_u32..40)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Rooms of any size about one another, thick and thin walls, with whatever hangs in them.
    #[test]
    fn houses_of_any_shape_are_refused_or_sound(
        outside in 0_usize..5, inside in 0_usize..5, feet in any::<bool>(),
        rooms in prop::collection::vec(room(), 1..7), things in prop::collection::vec(thing(), 0..8),
    ) {
        const WALLS: [&str; 5] = ["stone-wall", "brick-cavity", "stud-partition", "sheet-metal", "brick-solid"];
        const SIDES: [&str; 4] = ["front", "right", "back", "left"];
        let mut list = format!("{}walls outside {}\nwalls inside {}\n", if feet { "units ft\n" } else { "" }, WALLS[outside], WALLS[inside]);
        for (number, (place, by, width, depth, shift)) in rooms.iter().enumerate() {
            let size = format!("room R{number} {}m x {}m", f64::from(*width) / 10.0, f64::from(*depth) / 10.0);
            let place = match (number, ["right-of", "left-of", "behind", "before"].get(*place)) {
                (0, _) => String::new(),
                (_, Some(word)) => format!(" {word} R{} shift {}m", by % number, f64::from(*shift) / 10.0),
                (_, None) => format!(" right-of R{}", number - 1),
            };
            list.push_str(&format!("{size}{place}\n"));
        }
        for (sort, room, side, width, at) in things {
            let (room, side) = (room % rooms.len(), SIDES[side]);
            let (width, at) = (f64::from(width) / 10.0, f64::from(at) / 10.0);
            list.push_str(&match sort {
                0 => format!("door R{room} {side} {width}m at {at}m entry\n"),
                1 => format!("window R{room} {side} {width}m\n"),
                2 => format!("gap R{room} R{} {width}m\n", room + 1),
                3 => format!("wall R{room} {side} {}\n", WALLS[(side.len() + room) % 5]),
                4 => format!("no-wall R{room} R{}\n", room + 1),
                5 => format!("contact R{room} {side}\n"),
                6 => format!("panel R{room} {side} at {at}m\n"),
                7 => format!("motion R{room} {side}\n"),
                _ => format!("outlet R{room} {side}\n"),
            });
        }
        // Without the lines at fault it is a list that is accepted, sooner or later: the last one
        // has its first room.
        let mut kept: Vec<&str> = list.lines().collect();
        while let Err(faults) = sound(&kept.join("\n")) {
            let before = kept.len();
            let at_fault = |number: usize| faults.iter().any(|fault| fault.line == number + 1);
            kept = kept.iter().enumerate().filter(|(n, _)| !at_fault(*n)).map(|(_, line)| *line).collect();
            prop_assert!(kept.len() < before, "{:?}", faults);
        }
        prop_assert!(kept.iter().any(|line| line.starts_with("room R0 ")));
    }
}

/// A flight of 0.9 by 2 m along the left wall of a hall of 3 by 4 m, from 0.5 m on.
const WITH_STAIRS: &str = "walls outside timber-frame-exterior\nwalls inside stud-partition\n\
                           room Hall 3 x 4\nstairs Hall left 0.9 x 2 at 0.5\nlevel 1 First\n\
                           room Landing 3 x 4 above Hall";

#[test]
fn stairs_cut_their_hole_and_lead_up_a_level() {
    for (list, climbs) in
        [(WITH_STAIRS.to_owned(), 2.0), (WITH_STAIRS.replace("at 0.5", "at 0.5 reversed"), -2.0)]
    {
        let text = sound(&list).unwrap().text();
        let plan = read_house("plan", text.as_bytes(), &plain().known.vocabulary).unwrap().plan;
        let [slab] = plan.slabs.as_slice() else { panic!("{:?}", plan.slabs) };
        // The hall and half of its inside walls round it, less the flight.
        let whole = geo::Area::unsigned_area(&geo::Polygon::new(
            slab.outline.exterior().clone(),
            Vec::new(),
        ));
        let hole = whole - geo::Area::unsigned_area(&slab.outline);
        // Plans are written to a millimetre, so each side may be half of one off.
        approx::assert_abs_diff_eq!(hole, 0.9 * 2.0, epsilon = 3e-3);
        assert_eq!(slab.construction, "floor-timber", "a framed house has framed floors");
        let [stairs] = plan.stairs.as_slice() else { panic!("{:?}", plan.stairs) };
        let (first, last) = (stairs.line.0[0], stairs.line.0[stairs.line.0.len() - 1]);
        approx::assert_abs_diff_eq!(last.y - first.y, climbs, epsilon = 1e-6);
        assert_eq!((stairs.level, stairs.to_level), (0, 1));
    }
}

#[test]
fn a_contact_on_a_metal_door_is_mounted_on_metal_unless_the_list_says_otherwise() {
    for (more, mount, guesses) in [("", "metal", 1), (" mount frame", "frame", 0)] {
        let list = format!("room A 3 x 3\ndoor A front 0.9 door-steel\ncontact A front{more}");
        let draft = sound(&list).unwrap();
        let said = draft.guesses.iter().filter(|guess| guess.about.contains("metal doors"));
        assert_eq!(said.count(), guesses);
        let text = draft.text();
        let plan = read_house("plan", text.as_bytes(), &plain().known.vocabulary).unwrap().plan;
        assert_eq!(plan.devices[0].mount.as_deref(), Some(mount));
    }
}

#[test]
fn hints_speak_the_unit_of_the_list() {
    for (units, other) in [("ft", " m"), ("m", "'")] {
        let list = format!("units {units}\nroom A 9 x 9\nwindow A front 3\nmotion A");
        for guess in sound(&list).unwrap().guesses {
            let said = format!("{} {}", guess.taken, guess.fix);
            let said = said.replace(" mm", "");
            let foreign = said.split(['.', ',', ';']).any(|part| part.ends_with(other));
            assert!(!foreign && !said.contains(&format!("{other} ")), "{said}");
        }
    }
}
