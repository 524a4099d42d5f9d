//! Maps: their bytes, their stages, and that they are the forecast's own.

use crate::client::{Map, Page, Served, moves};
use forecast::{
    Assessment, MAP_MISSES, covering, level_box, margins_over, sensor_height, vocabulary,
};
use plan::read_file;
use proptest::prelude::*;
use serde_json::json;
use serve::{Stages, cell};
use siting::map::worst_over;
use siting::reach::Reach;
use trace::{Grid, Point};

/// Distance of the cells of the finest map, metres.
const FINEST_M: f64 = 0.125;

/// All stages of the next map of a number.
fn stages(page: &mut Page, seq: u32, kind: u8) -> Vec<Map> {
    let mut maps = Vec::new();
    loop {
        let map = page.map();
        if (map.seq, map.kind) == (seq, kind) {
            let is_last = map.stage == 255;
            maps.push(map);
            if is_last {
                return maps;
            }
        }
    }
}

fn as_bytes(reserve_db: &[f64]) -> Vec<u8> {
    reserve_db.iter().map(|reserve| cell(*reserve)).collect()
}

/// The sensor of the workshop that is hardest to hear from most places.
const HARDEST: &str = "c-machine-window";

#[test]
fn the_last_map_is_the_field_worked_out_at_once() {
    let served = Served::shipped("bungalow");
    let plan = read_file(&served.plan, &vocabulary()).unwrap().plan;
    let site = fixtures::site(&plan);
    let level = &plan.levels[0];
    let (low, high) = level_box(&plan, level).unwrap();
    let findings = Assessment::new(&site).unwrap().repeater_findings();
    let mut page = served.page("t");
    let maps = stages(&mut page, 0, 0);
    let last = maps.last().unwrap();
    let grid = covering(low, high, FINEST_M, sensor_height(&plan, level));
    let whole = margins_over(&site, &grid, &findings, &|_| {}).unwrap();
    same(last, &grid, &whole);

    page.say(&json!({"type": "map", "kind": "anywhere", "level": level.number}));
    let maps = stages(&mut page, 0, 1);
    let last = maps.last().unwrap();
    let grid = covering(low, high, FINEST_M, site.panel.device.height_m);
    let whole = worst_over(&Reach::new(&site).unwrap(), &grid, &[], MAP_MISSES, &|_| {});
    same(last, &grid, &whole);
}

/// Checks that a map holds the values of the finest grid, or of every so many of its cells: how
/// fine a map becomes depends on how busy the machine is.
#[track_caller]
fn same(map: &Map, grid: &Grid, whole: &[f64]) {
    let stride = (f64::from(map.cell) / grid.cell).round() as usize;
    let rows = (0..grid.rows).step_by(stride);
    let columns = || (0..grid.columns).step_by(stride);
    let cells = rows.flat_map(|row| columns().map(move |column| row * grid.columns + column));
    let wanted: Vec<f64> = cells.map(|cell| whole[cell]).collect();
    assert!(map.bytes == as_bytes(&wanted), "stages and one pass differ, every {stride}th cell");
    let corner = grid.origin.x - f64::from(map.cell) / 2.0;
    assert!((f64::from(map.corner[0]) - corner).abs() < 1e-5);
}

#[test]
fn maps_follow_what_is_tried() {
    let served = Served::shipped("workshop");
    let plan = read_file(&served.plan, &vocabulary()).unwrap().plan;
    let panel = plan.panel().unwrap();
    let mut page = served.page("t");
    let home = stages(&mut page, 0, 0);
    page.say(&moves("try", 5, &panel.id, [panel.position.x + 1.0, panel.position.y + 1.0]));
    let away = stages(&mut page, 5, 0);
    let (home, away) = (home.last().unwrap(), away.last().unwrap());
    assert_ne!(home.bytes, away.bytes);
    page.say(&json!({"type": "drop"}));
    loop {
        let map = page.map();
        if map.seq == 0 && map.stage == 255 {
            assert_eq!(map.bytes, home.bytes);
            break;
        }
    }
}

/// The cells of the last map that lie 0.5 m apart: how fine it becomes depends on the machine.
fn coarse(maps: &[Map]) -> Vec<u8> {
    let map = maps.last().unwrap();
    let stride = (0.5 / map.cell).round() as usize;
    let rows = map.bytes.chunks(map.columns).step_by(stride);
    rows.flat_map(|row| row.iter().step_by(stride).copied()).collect()
}

#[test]
fn where_the_panel_may_hang_does_not_depend_on_where_it_does() {
    let served = Served::shipped("workshop");
    let plan = read_file(&served.plan, &vocabulary()).unwrap().plan;
    let panel = plan.panel().unwrap();
    let mut page = served.page("t");
    page.say(&json!({"type": "map", "kind": "anywhere", "level": 0}));
    let home = stages(&mut page, 0, 1);
    let to = [panel.position.x + 1.0, panel.position.y + 1.0];
    page.say(&moves("try", 5, &panel.id, to));
    let away = stages(&mut page, 5, 1);
    assert_eq!(coarse(&away), coarse(&home));
    // At another height it is another map.
    let change = json!({"do": "move", "id": panel.id, "to": to, "height": 0.3});
    page.say(&json!({"type": "try", "seq": 6, "changes": [change]}));
    let low = stages(&mut page, 6, 1);
    assert_ne!(coarse(&low), coarse(&home));
    // With a sensor elsewhere, too; and what was kept for the text is not mixed up with that.
    let sensor = plan.devices.iter().find(|one| one.id == HARDEST).unwrap();
    let there = [sensor.position.x + 0.8, sensor.position.y + 0.8];
    page.say(&moves("try", 7, &sensor.id, there));
    let other = stages(&mut page, 7, 1);
    page.say(&moves("try", 8, &panel.id, to));
    let again = stages(&mut page, 8, 1);
    assert_ne!(coarse(&other), coarse(&home));
    assert_eq!(coarse(&again), coarse(&home));
}

#[test]
fn where_a_panel_may_hang_is_shown_before_there_is_one() {
    let served = Served::shipped("workshop");
    let plan = read_file(&served.plan, &vocabulary()).unwrap().plan;
    let panel = plan.panel().unwrap();
    let mut page = served.page("t");
    page.say(&json!({"type": "map", "kind": "anywhere", "level": 0}));
    let with = stages(&mut page, 0, 1);
    let remove = json!({"do": "remove", "id": panel.id});
    page.say(&json!({"type": "edit", "seq": 1, "changes": [remove]}));
    let shown = page.wait_for("plan", |plan| plan["version"] == 2);
    assert_eq!(shown["faults"], json!([]));
    let without = stages(&mut page, 1, 1);
    // The panel hung at the usual height, and is no device that it must hear.
    assert_eq!(coarse(&without), coarse(&with));
    // What is tried shows, too, and nothing is refused.
    let sensor = plan.devices.iter().find(|one| one.id == HARDEST).unwrap();
    let there = [sensor.position.x + 0.8, sensor.position.y + 0.8];
    page.say(&moves("try", 2, &sensor.id, there));
    assert_ne!(coarse(&stages(&mut page, 2, 1)), coarse(&with));
    let add = json!({"do": "add", "feature": {
        "type": "Feature", "id": "p", "properties": {"kind": "panel", "level": 0},
        "geometry": {"type": "Point", "coordinates": [panel.position.x, panel.position.y]},
    }});
    page.say(&json!({"type": "edit", "seq": 3, "changes": [add]}));
    page.table(3);
}

#[test]
fn each_page_gets_the_map_that_it_asked_for_last() {
    let served = Served::shipped("workshop");
    let (mut a, mut b) = (served.page("a"), served.page("b"));
    let ask = |kind: &str| json!({"type": "map", "kind": kind, "level": 0});
    for round in 0..6_u8 {
        for kind in ["anywhere", "here", "anywhere", "here"] {
            a.say(&ask(kind));
        }
        let (kind, number) = if round % 2 == 0 { ("anywhere", 1) } else { ("here", 0) };
        b.say(&ask(kind));
        if round % 3 == 0 {
            a.say(&ask("anywhere"));
        }
        let last = |page: &mut Page, kind: u8| loop {
            let map = page.map();
            if (map.kind, map.stage) == (kind, 255) {
                break;
            }
        };
        last(&mut b, number);
        last(&mut a, u8::from(round % 3 == 0));
    }
}

#[test]
fn a_reserve_is_a_byte_of_half_decibels() {
    let bytes = [f64::NAN, f64::NEG_INFINITY, -49.5, 0.0, 0.24, 0.26, 34.6, 77.5, f64::INFINITY];
    assert_eq!(bytes.map(cell), [0, 1, 1, 100, 100, 101, 169, 255, 255]);
}

proptest! {
    #[test]
    fn stages_work_out_every_cell_once(
        columns in 1usize..40,
        rows in 1usize..40,
        stride in 1usize..9,
    ) {
        let origin = Point { x: 3.0, y: -2.0 };
        let fine = Grid { origin, cell: 0.125, columns, rows, height: 1.5 };
        let mut stages = Stages::new(fine, stride);
        let value = |p: Point| (p.x * 8.0 + p.y * 8000.0).round();
        let (mut asked, mut last) = (0, None);
        while !stages.is_done() {
            let part = stages.next();
            let cells = (0..part.rows).flat_map(|row| (0..part.columns).map(move |c| (c, row)));
            let values: Vec<f64> = cells.map(|(c, row)| value(part.centre(c, row))).collect();
            asked += values.len();
            if let Some((grid, values)) = stages.put(&values) {
                for (number, one) in values.iter().enumerate() {
                    let centre = grid.centre(number % grid.columns, number / grid.columns);
                    prop_assert_eq!(*one, value(centre));
                }
                last = Some(grid);
            }
        }
        prop_assert_eq!(asked, columns * rows);
        prop_assert_eq!(last, Some(fine));
    }
}
