//! What is the building: its outline with gaps bridged, and the drawings on one sheet.

use geo::{Geometry, Line};
use import::{Draft, Kind, Settings, What, draft};

use super::super::known::{imported, plain};
use super::drawing::{Drawing, arc, line, rectangle};

fn read(drawing: &Drawing, settings: &Settings) -> Draft {
    imported(Kind::Dxf, "test.dxf", drawing.text().as_bytes(), settings).0
}

fn outside_walls(draft: &Draft) -> Vec<Line<f64>> {
    let walls = draft.pieces.iter().filter_map(|piece| match (&piece.shape, &piece.what) {
        (Geometry::Line(line), What::Wall { construction, .. }) => {
            (construction == "brick-cavity").then_some(*line)
        }
        _ => None,
    });
    walls.collect()
}

fn ways_in(draft: &Draft) -> usize {
    let is_entry = |what: &What| matches!(what, What::Opening { entry: true, .. });
    draft.pieces.iter().filter(|piece| is_entry(&piece.what)).count()
}

/// A rectangle of walls 0.2 m thick, closed.
fn ring(drawing: &mut Drawing, (x, y): (f64, f64), (wide, deep): (f64, f64)) {
    drawing.add(&rectangle("WALL", (x, y), (x + wide, y + deep)));
    drawing.add(&rectangle("WALL", (x + 0.2, y + 0.2), (x + wide - 0.2, y + deep - 0.2)));
}

/// Both faces of a wall 0.2 m thick.
fn wall(drawing: &mut Drawing, (x, y): (f64, f64), (to_x, to_y): (f64, f64)) {
    let (dx, dy) = if x == to_x { (0.2, 0.0) } else { (0.0, 0.2) };
    drawing.add(&line("WALL", (x, y), (to_x, to_y)));
    drawing.add(&line("WALL", (x + dx, y + dy), (to_x + dx, to_y + dy)));
}

/// A house of 12 by 8 m with seven metres of its front not drawn, in which only a cupboard of 1.5
/// by 1.5 m, with a door, is closed.
fn only_the_cupboard_is_closed() -> Drawing {
    let mut drawing = Drawing::in_unit(6);
    wall(&mut drawing, (0.0, 0.0), (0.0, 8.0));
    wall(&mut drawing, (11.8, 0.0), (11.8, 8.0));
    wall(&mut drawing, (0.0, 7.8), (12.0, 7.8));
    wall(&mut drawing, (0.0, 0.0), (2.5, 0.0));
    wall(&mut drawing, (9.5, 0.0), (12.0, 0.0));
    ring(&mut drawing, (5.0, 4.5), (1.5, 1.5));
    drawing.add(&arc("DOOR", (5.4, 4.5), 0.7, 0.0, 90.0));
    drawing
}

#[test]
fn a_cupboard_is_not_the_house() {
    let draft = read(&only_the_cupboard_is_closed(), &plain());
    let first = &draft.guesses[0];
    assert_eq!(first.about, "the outline", "{:#?}", draft.guesses);
    assert!(first.taken.contains("closed rooms cover 1 of about"), "{}", first.taken);
    assert!(first.taken.contains("(2.5, 0.1), (9.5, 0.1)"), "{}", first.taken);
    assert!(draft.not_closed.is_some());
    // The cupboard's door is no way in, and its walls stand inside.
    assert_eq!(ways_in(&draft), 0);
    let outside = outside_walls(&draft);
    assert!(outside.iter().all(|wall| !(4.9..6.6).contains(&wall.start.x)), "{outside:?}");
    assert!(outside.len() >= 3, "{outside:?}");
}

#[test]
fn a_closed_house_has_no_such_warning() {
    let mut drawing = Drawing::in_unit(6);
    ring(&mut drawing, (0.0, 0.0), (12.0, 8.0));
    let draft = read(&drawing, &plain());
    assert_eq!(draft.not_closed, None, "{:#?}", draft.guesses);
    assert!(draft.guesses.iter().all(|guess| guess.about != "the outline"));
}

/// Three storeys side by side, 8 by 6, 7 by 6 and 6 by 6 m, and an elevation without rooms.
fn sheet() -> Drawing {
    let mut drawing = Drawing::in_unit(6);
    ring(&mut drawing, (0.0, 0.0), (8.0, 6.0));
    ring(&mut drawing, (10.0, 0.0), (7.0, 6.0));
    ring(&mut drawing, (20.0, 0.0), (6.0, 6.0));
    // A wall of the first ends 2 m before the second: that is no gap of one house.
    wall(&mut drawing, (0.0, 3.0), (8.0, 3.0));
    wall(&mut drawing, (30.0, 0.0), (30.0, 5.0));
    wall(&mut drawing, (30.0, 0.0), (36.0, 0.0));
    drawing
}

#[test]
fn three_storeys_on_one_sheet_are_listed_and_an_elevation_is_left_out() {
    let draft = read(&sheet(), &plain());
    let first = &draft.guesses[0];
    assert_eq!((first.about.as_str(), first.pieces), ("drawings on one sheet", 2));
    // From middle to middle of the walls.
    let all = "only group 1 is read, the one with the most rooms and openings; left out: \
               group 2 (6.8 by 5.8 m, 1 room), group 3 (5.8 by 5.8 m, 1 room)";
    assert!(first.taken.contains(all), "{}", first.taken);
    assert!(first.fix.contains("--group N"));
    let left = draft.guesses.iter().find(|guess| guess.about.contains("no rooms")).unwrap();
    assert_eq!(left.pieces, 2);
    let is_opening = |what: &What| matches!(what, What::Opening { .. });
    assert!(draft.pieces.iter().all(|piece| !is_opening(&piece.what)));
}

#[test]
fn one_group_is_read_alone_and_one_that_is_not_there_is_refused() {
    let settings = |group| Settings { group: Some(group), ..plain() };
    let second = read(&sheet(), &settings(2));
    assert_eq!(second.pieces.len(), 4);
    assert!(second.guesses.iter().all(|guess| guess.about != "drawings on one sheet"));
    let text = sheet().text();
    let faults = draft(Kind::Dxf, "t.dxf", text.as_bytes(), &settings(9)).unwrap_err();
    assert!(faults[0].what.contains("no group 9"), "{}", faults[0]);
    assert!(faults[0].what.contains("group 3"), "{}", faults[0]);
}
