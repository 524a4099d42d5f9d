//! However a table is written, the readings are the same.

use diagnose::readings::{BarScale, Scales, read_readings, template};
use diagnose::{Circumstance, Reading, Remark, Seen};
use units::Dbm;

use super::promises::plan;
use super::{outcome, read};

const PLAIN: &str = "\
# bars: -105, -95, -85, -75
# percent: -110 to -50
sensor,time,at,level_dbm,bars,percent,heard,noise_dbm,note
1,2026-03-01T18:20:00Z,,-87.5,,,,,battery low
3,2026-03-01T18:20:00Z,landing,,3,,,,fresh battery
2,,,,,60,,,
2,,,,,,no,,
left,,,,,,lost,,
,,,,,,,-112.5,other hour
4,,,,,,,,tamper
2,,,-70,,,yes,-110,
";

fn same(readings: &[Reading]) -> Vec<Reading> {
    let strip = |reading: &Reading| Reading { line: 0, ..reading.clone() };
    readings.iter().map(strip).collect()
}

#[test]
fn the_plain_table_is_read_as_it_says() {
    let file = read(PLAIN);
    assert_eq!(file.faults, []);
    let level = |dbm| Some(Dbm(dbm));
    // 2026-03-01T18:20Z, minutes since 1970 (calculated here).
    let time = Some(20_513.0 * 1_440.0 + 1_100.0);
    let one = |sensor: &str, seen, line| Reading {
        sensor: (!sensor.is_empty()).then(|| sensor.to_owned()),
        listener: None,
        time_min: None,
        seen,
        circumstance: Circumstance::AsFound,
        remarks: Vec::new(),
        line,
    };
    let expected = [
        Reading {
            time_min: time,
            remarks: vec![Remark::BatteryLow],
            ..one("front-door", Seen::Level(Dbm(-87.5)), 4)
        },
        Reading {
            time_min: time,
            listener: Some("landing".to_owned()),
            circumstance: Circumstance::FreshBattery,
            ..one("küche", Seen::Between { low: level(-85.0), high: level(-75.0) }, 5)
        },
        one("back-door", Seen::Between { low: level(-74.3), high: level(-73.7) }, 6),
        one("back-door", Seen::CheckIn { heard: false }, 7),
        one("left", Seen::Lost, 8),
        Reading {
            circumstance: Circumstance::OtherHour,
            ..one("", Seen::NoiseFloor(Dbm(-112.5)), 9)
        },
        Reading { remarks: vec![Remark::Tamper], ..one("left", Seen::Nothing, 10) },
        one("", Seen::NoiseFloor(Dbm(-110.0)), 11),
        one("back-door", Seen::CheckIn { heard: true }, 11),
        one("back-door", Seen::Level(Dbm(-70.0)), 11),
    ];
    assert_eq!(file.readings, expected);
    assert_eq!((file.rows, file.unused.len()), (8, 0));
}

#[test]
fn other_ways_to_write_it() {
    let plain = read(PLAIN);
    let expected = same(&plain.readings);
    let semicolon = PLAIN.replace(',', ";").replace("-87.5", "-87,5").replace("-112.5", "-112,5");
    let spelt = "sep=,\n\n#bars:-105, -95, -85, -75 dBm,,,\n\"# percent: -110 to -50\",,\n\
        Note, HEARD ,Zone,\"Level (dBm)\",Noise floor,Percentage,Read at,When,Bars,Colour\n\
        \"Battery-low!\",,#1,\"−87,5 dBm\",,,Panel,2026-03-01t18:20:00+00:00,,red\n\
        with a fresh battery,,KÜCHE,,,,Landing Repeater,2026-03-01T19:20:00+01:00,3 bars\n\
        \n,,Back Door,,,60 %,panel,,,\n,MISSED, back-door ,,,,,,\n,Lost,LEFT\n\
        another hour,,panel,,-112.50dBm,,,,\n,,,,,,,,,\nTAMPER,,4,,,,,,,\n\
        ,heard,2,-70,\"-110\",,hall panel,,,\n";
    let json = r#"[{"sensor": 1, "time": "2026-03-01T18:20:00Z", "level_dbm": -87.5, "note": "battery low"},
        {"sensor": 3, "at": "landing", "time": "2026-03-01T18:20:00Z", "bars": 3, "note": "fresh battery"},
        {"sensor": "2", "percent": 60, "heard": null}, {"sensor": 2, "heard": false},
        {"Sensor": "left", "heard": "lost"}, {"noise_dbm": -112.5, "note": "other hour"},
        {"sensor": 4, "note": "tamper"}, {"sensor": 2, "level_dbm": -70, "heard": true, "noise": -110}]"#;
    let object = format!(
        "\n {{\"readings\": {json}, \"scales\": {{\"bars\": [-105, -95, -85, -75], \"percent\": [-110, -50]}}}}"
    );
    let utf_16 = |bytes: fn(u16) -> [u8; 2]| -> Vec<u8> {
        "\u{feff}".encode_utf16().chain(PLAIN.encode_utf16()).flat_map(bytes).collect()
    };
    let latin_1: Vec<u8> = PLAIN
        .replace("\n3,", "\nküche,")
        .chars()
        .map(|c| u8::try_from(u32::from(c)).unwrap())
        .collect();
    // A scale keeps its commas whatever stands between fields.
    let between = |sign: &str| -> Vec<u8> {
        let line = |line: &str| match line.starts_with('#') {
            true => format!("{line}\n"),
            false => format!("{}\n", line.replace(',', sign)),
        };
        PLAIN.lines().map(line).collect::<String>().into_bytes()
    };
    let variants: Vec<(&str, Vec<u8>)> = vec![
        ("BOM", format!("\u{feff}{PLAIN}").into_bytes()),
        ("CRLF", PLAIN.replace('\n', "\r\n").into_bytes()),
        ("CR", PLAIN.replace('\n', "\r").into_bytes()),
        ("blank lines", PLAIN.replace('\n', "\n\n  \n").into_bytes()),
        ("comments", PLAIN.replace("\n2", "\n# here, too\n2").into_bytes()),
        ("tabs", between("\t")),
        ("bars", between("|")),
        ("semicolons", semicolon.into_bytes()),
        ("spelt otherwise", spelt.as_bytes().to_vec()),
        ("UTF-16 LE", utf_16(u16::to_le_bytes)),
        ("UTF-16 BE", utf_16(u16::to_be_bytes)),
        ("Latin-1", latin_1),
        ("JSON object", object.into_bytes()),
    ];
    for (name, bytes) in variants {
        let file = read_readings("readings.csv", &bytes, &plan(), &Scales::default());
        assert!(file.faults.is_empty(), "{name}: {}", outcome(&file));
        assert_eq!(same(&file.readings), expected, "{name}");
    }
    // The list alone, with scales of the caller's.
    let file = read_readings("readings.json", json.as_bytes(), &plan(), &plain.scales);
    assert!(file.faults.is_empty(), "{}", outcome(&file));
    assert_eq!(same(&file.readings), expected);
    assert_eq!(file.readings.last().unwrap().line, 8);
}

#[test]
fn the_callers_scales_go_before_the_files() {
    let bars: BarScale = "-100, -90, -80, -70".parse().unwrap();
    let given = Scales { bars: Some(bars), percent: None };
    let file = read_readings("readings.csv", PLAIN.as_bytes(), &plan(), &given);
    let seen = Seen::Between { low: Some(Dbm(-80.0)), high: Some(Dbm(-70.0)) };
    assert_eq!(file.readings[1].seen, seen);
    assert_eq!(same(&file.readings)[2..], same(&read(PLAIN).readings)[2..]);
}

#[test]
fn the_template_reads_back_and_can_be_filled_in() {
    let empty = template(&plan());
    let file = read(&empty);
    assert_eq!(outcome(&file), "0 rows; readings of ");
    insta::assert_snapshot!("template", empty);
    let filled = empty.replace(",,,,,,,,\n", ",,,-80,,,,,\n");
    let file = read(&filled);
    assert!(file.faults.is_empty() && file.warnings.is_empty(), "{}", outcome(&file));
    let sensors: Vec<_> = file.readings.iter().filter_map(|r| r.sensor.as_deref()).collect();
    assert_eq!(sensors, ["front-door", "back-door", "küche", "left", "right", "keypad", "landing"]);
}

#[test]
fn a_date_and_a_time_in_columns_of_their_own() {
    let file = read("date,time,sensor,rssi\n2026-03-01,18:20,1,-80\n");
    assert_eq!(file.readings[0].time_min, Some(20_513.0 * 1_440.0 + 1_100.0));
    assert_eq!(file.warnings.len(), 1);
}
