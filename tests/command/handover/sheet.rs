//! The test sheet: what the panel should show, and the file that is filled in.

use std::collections::{BTreeMap, BTreeSet};

use drillonce::diagnose::readings::{Scales, read_readings};
use drillonce::diagnose::{METER_SIGMA, Seen};
use drillonce::forecast::{Assessment, Direction, FadeMoments, Fading, Model};
use drillonce::job::schedule::{PanelDelays, expected_reading, panel_delays, test_rows};
use drillonce::plan::{DeviceKind, Plan};
use drillonce::report::{HandoverInput, HandoverReport, READINGS_HEADER, readings_csv};
use drillonce::siting::delay::DelaySettings;
use drillonce::siting::walk::WalkSettings;
use drillonce::words::{Language, Words};
use fixtures::{Dice, site};

use crate::handover::{house, plan, shipped};

pub fn report(plan: &Plan) -> HandoverReport {
    report_in(Language::English, plan)
}

/// The walks and delays of a plan.
pub fn delays(plan: &Plan) -> PanelDelays {
    panel_delays(plan, plan.panel().unwrap(), &WalkSettings::USUAL, &DelaySettings::USUAL).unwrap()
}

/// What a hand-over is made from when nothing is asked for.
pub fn input<'a>(words: &'a Words, delays: &'a PanelDelays) -> HandoverInput<'a> {
    HandoverInput {
        words,
        date: "2026-11-25".to_owned(),
        delays: Some(delays),
        battery: None,
        numbered: &[],
        bars: None,
        take_over: None,
        sheet: BTreeMap::new(),
        doubts: Vec::new(),
    }
}

/// The hand-over of a plan in a language.
pub fn report_in(language: Language, plan: &Plan) -> HandoverReport {
    let site = site(plan);
    let assessment = Assessment::new(&site).unwrap();
    let (words, delays) = (Words { language }, delays(plan));
    HandoverReport::new(&site, &assessment, input(&words, &delays)).unwrap()
}

#[test]
fn nine_readings_in_ten_lie_within_the_range() {
    let text = &shipped()[1].1;
    let plan = plan(text);
    let (model, site) = (Model::default(), site(&plan));
    let assessment = Assessment::new(&site).unwrap();
    let result = &assessment.sensors[0];
    let expected = expected_reading(result, &model, &FadeMoments::new(&model));
    let Fading { followed, scattered, weight } = result.hop.fading;
    assert!((0.05..0.95).contains(&weight), "both ways of fading count: {weight}");
    let mut dice = Dice::new(20_261_125);
    const READINGS: usize = 200_000;
    let mut within = 0;
    let mut sum = 0.0;
    for _ in 0..READINGS {
        let [house, meter, x, y] = std::array::from_fn(|_| dice.normal());
        // Each way of fading as often as it weighs.
        let k_factor = if dice.chance(weight) { scattered } else { followed };
        let k = k_factor.to_ratio().0;
        // Mean power one: K parts steady, one part scattered.
        let scatter = (0.5 / (k + 1.0)).sqrt();
        let power = ((k / (k + 1.0)).sqrt() + scatter * x).powi(2) + (scatter * y).powi(2);
        let level = result.hop.ledger.received_dbm.0
            + result.hop.sigma.0 * house
            + 10.0 * power.log10()
            + METER_SIGMA.0 * meter;
        sum += level;
        within += usize::from((expected.low.0..=expected.high.0).contains(&level));
    }
    // Sampling error 4 × 0.0007; the rest is that fading is not normal, some tenths of a per cent.
    let share = within as f64 / READINGS as f64;
    assert!((share - 0.9).abs() < 0.006, "{share}");
    let mean = sum / READINGS as f64;
    // Four times the standard error of the mean, 10 dB / √200000.
    assert!((mean - expected.level.0).abs() < 0.1, "{mean} {expected:?}");
}

#[test]
fn a_two_way_device_is_read_where_the_panel_hears_it() {
    // A panel that whispers: the way back to the siren is the weaker one, and decides its margin.
    let text = house(&[
        ("a", 5.0, 4.0, r#""name":"A""#),
        ("siren", 9.0, 6.0, r#""kind":"siren","link":{"panel_eirp_dbm":-40}"#),
    ]);
    let plan = plan(&text);
    let (model, site) = (Model::default(), site(&plan));
    let assessment = Assessment::new(&site).unwrap();
    let siren = &assessment.two_way[0];
    assert_eq!(siren.hop.ledger.direction, Direction::Outbound);
    let fades = FadeMoments::new(&model);
    let (fade_mean, _) = fades.of(siren.hop.fading);
    let expected = expected_reading(siren, &model, &fades);
    let inbound = siren.link.eirp.0 - siren.hop.path_loss.0 + model.antenna_gain_db.0
        - model.site_offset_db.0;
    assert!((expected.level.0 - inbound - fade_mean.0).abs() < 1e-9);
    assert!(expected.level.0 > siren.hop.ledger.received_dbm.0 + 10.0);
}

#[test]
fn every_device_but_the_panel_is_tested_by_number() {
    for (name, text) in shipped() {
        let plan = plan(&text);
        let site = site(&plan);
        let rows = test_rows(&Assessment::new(&site).unwrap(), &site);
        let devices = plan.devices.iter().filter(|d| d.kind != DeviceKind::Panel);
        let wanted: BTreeSet<&str> = devices.map(|device| device.id.as_str()).collect();
        let got: BTreeSet<&str> = rows.iter().map(|row| row.result.device.id.as_str()).collect();
        assert_eq!(got, wanted, "{name}");
        let numbers: Vec<Option<u32>> = rows.iter().map(|row| row.result.device.number).collect();
        assert!(numbers.is_sorted(), "{name}: {numbers:?}");
        for row in rows {
            let expected = row.expected;
            assert!(expected.low < expected.level && expected.level < expected.high);
        }
    }
}

#[test]
fn the_file_of_readings_has_the_columns_and_a_line_for_each_device() {
    for (name, text) in shipped() {
        let report = report(&plan(&text));
        let file = readings_csv(&report);
        let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(file.as_bytes());
        let header: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
        assert_eq!(
            header,
            ["sensor", "time", "at", "level_dbm", "bars", "percent", "heard", "noise_dbm", "note"],
            "{name}"
        );
        let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        let ids: Vec<&str> = rows.iter().map(|row| &row[0]).collect();
        let wanted: Vec<&str> =
            report.tests.iter().map(|row| row.result.device.id.as_str()).collect();
        assert_eq!(ids, wanted, "{name}");
        for (row, test) in rows.iter().zip(&report.tests) {
            assert_eq!(row.len(), READINGS_HEADER.len());
            assert_eq!(&row[2], test.result.via.as_deref().unwrap_or_default());
            assert!(row.iter().skip(3).all(str::is_empty), "{name}: {row:?}");
        }
        // A comment with the pass limit stands before each.
        assert_eq!(file.matches("passes from").count(), report.tests.len(), "{name}");
    }
}

#[test]
fn odd_names_neither_become_comments_nor_break_a_line() {
    let text =
        house(&[("#1", 5.0, 4.0, r#""number":7,"name":"A\nB,\"C\"\r# D""#), ("x,y", 5.0, 5.0, "")]);
    let file = readings_csv(&report(&plan(&text)));
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(file.as_bytes());
    let ids: Vec<String> = reader.records().map(|row| row.unwrap()[0].to_owned()).collect();
    // An id that would make its line a comment has an apostrophe before it; reading takes it off.
    assert_eq!(ids, ["'#1", "x,y"]);
    // Four lines of head, the header, and two lines for each device.
    assert_eq!(file.lines().count(), 4 + 1 + 2 * 2, "{file}");
}

#[test]
fn a_device_over_a_repeater_is_read_at_the_repeater() {
    let text = &shipped()[0].1;
    let text = text.replace(
        r#"{"type": "Feature", "id": "m-annexe""#,
        r#"{"type": "Feature", "id": "rep", "geometry": {"type": "Point", "coordinates": [20.3, 9.92]}, "properties": {"kind": "repeater", "level": 0, "height": 0.3}},
    {"type": "Feature", "id": "m-annexe""#,
    );
    let report = report(&plan(&text));
    let over: Vec<&str> = report
        .tests
        .iter()
        .filter(|row| row.result.via.as_deref() == Some("rep"))
        .map(|row| row.result.device.id.as_str())
        .collect();
    assert!(over.contains(&"smoke-annexe"), "{over:?}");
    let file = readings_csv(&report);
    assert!(file.contains("smoke-annexe,,rep,,,,,,"), "{file}");
}

#[test]
fn the_file_reads_back_without_a_fault_and_with_what_was_filled_in() {
    let mut plans = shipped();
    // Names that the reader of readings knows, and an id that looks like a comment.
    plans.push((
        "odd".to_owned(),
        house(&[
            ("#1", 5.0, 4.0, r#""name":"bars""#),
            ("y", 5.0, 5.0, r#""name":"percent: 5","number":3"#),
        ]),
    ));
    let languages = plans
        .iter()
        .flat_map(|plan| [Language::English, Language::Spanish].map(|language| (language, plan)));
    for (language, (name, text)) in languages {
        let plan = plan(text);
        let report = report_in(language, &plan);
        let file = readings_csv(&report);
        let told = read_readings("r.csv", file.as_bytes(), &plan, &Scales::default());
        assert!(told.faults.is_empty(), "{name}: {:?}", told.faults);
        assert!(told.warnings.is_empty(), "{name}: {:?}", told.warnings);
        assert_eq!(told.readings.len(), 0, "{name}");
        // Every reading as foretold, in the column of levels.
        let mut rows = report.tests.iter();
        let mut after_header = false;
        let filled: Vec<String> = file
            .lines()
            .map(|line| {
                if line.starts_with('#') || !after_header {
                    after_header |= line.starts_with("sensor,");
                    return line.to_owned();
                }
                let (told, rest) = line.split_at(line.len() - ",,,,,,".len());
                assert_eq!(rest, ",,,,,,", "{name}: {line}");
                let level = rows.next().unwrap().expected.level.0;
                format!("{told},{level:.1},,,,,")
            })
            .collect();
        let filled = filled.join("\n");
        let told = read_readings("r.csv", filled.as_bytes(), &plan, &Scales::default());
        assert!(told.faults.is_empty(), "{name}: {:?}", told.faults);
        assert_eq!(told.readings.len(), report.tests.len(), "{name}");
        for (reading, row) in told.readings.iter().zip(&report.tests) {
            assert_eq!(reading.sensor.as_deref(), Some(row.result.device.id.as_str()), "{name}");
            let Seen::Level(level) = reading.seen else {
                panic!("{name}: {reading:?}");
            };
            assert!((level.0 - row.expected.level.0).abs() <= 0.05 + 1e-9, "{name}");
        }
    }
}
