//! The table of `check` on narrow terminals.

use drillonce::forecast::{Assessment, LinkOverride, Model, Site};
use drillonce::plan::{Device, DeviceKind, Plan};
use drillonce::report::{CheckReport, check_table};

fn with_report(check: impl FnOnce(&Site<'_>, CheckReport)) {
    let device = |id: &str, kind, x| Device {
        id: id.to_owned(),
        position: geo::Coord { x, y: 0.0 },
        height_m: 1.5,
        name: "Window of the long corridor".to_owned(),
        number: Some(7),
        ..Device::bare(kind, 0)
    };
    let devices =
        vec![device("panel", DeviceKind::Panel, 0.0), device("s", DeviceKind::Sensor, 3.0)];
    let plan = Plan { devices, ..Plan::default() };
    let site = Site::new(&plan, Model::default(), LinkOverride::default(), None).unwrap();
    let assessment = Assessment::new(&site).unwrap();
    check(&site, CheckReport::new(&site, &assessment, Vec::new()));
}

#[test]
fn a_narrow_terminal_loses_columns_but_never_the_finding() {
    with_report(|site, report| {
        let whole = check_table(&report, site, None);
        assert!(whole.contains("heaviest wall") && !whole.contains("wider terminal"));
        for width in [120, 100, 80, 65] {
            let table = check_table(&report, site, Some(width));
            let lines = table.lines().skip_while(|line| !line.contains("fault/year"));
            let rows: Vec<&str> = lines.take(2).collect();
            assert!(rows.iter().all(|row| row.chars().count() <= width.into()), "{table}");
            assert!(rows[0].contains("reserve dB") && rows[0].contains("finding"), "{table}");
            assert!(rows[1].contains("sound"), "{table}");
        }
        assert!(!check_table(&report, site, Some(80)).contains("level dBm"));
    });
}

#[test]
fn the_way_over_a_repeater_is_not_left_out() {
    with_report(|site, mut report| {
        report.forecast.sensors[0].via = Some("repeater-2".to_owned());
        assert!(check_table(&report, site, Some(80)).contains("repeater-2"));
    });
}
