//! Every option does what it says, and is refused with a reason.

use serde_json::Value;

use crate::run::{close, list, number, on, plan_json, report, sensor, sensors, text};

/// Checks that a run is refused as bad usage, and what it says.
#[track_caller]
fn refused(options: &[&str], says: &[&str]) {
    on("bungalow", "check", options).refused(says);
}

#[test]
fn link_replaces_the_plan_s() {
    let report = report("bungalow", &["--link", "eu-868.3"]);
    assert_eq!(report["model"]["link"], "eu-868.3");
    for sensor in sensors(&report) {
        assert_eq!(sensor["link"], "eu-868.3");
        assert_eq!(sensor["frequency_mhz"], 868.3);
    }
    refused(&["--link", "nosuch"], &["\"nosuch\"", "drillonce catalogue"]);
}

#[test]
fn frequency_replaces_the_link_s() {
    let (usual, moved) = (report("bungalow", &[]), report("bungalow", &["--frequency", "690"]));
    for (usual, moved) in sensors(&usual).iter().zip(sensors(&moved)) {
        assert_eq!(usual["frequency_mhz"], 345.0);
        assert_eq!(moved["frequency_mhz"], 690.0);
        // Twice the frequency is 20·log10 2 dB more of free space.
        let more = number(moved, "free_space_db") - number(usual, "free_space_db");
        close(more, 6.0206, 1.5e-4, text(moved, "id"));
    }
    refused(&["--frequency", "abc"], &["--frequency", "not a number"]);
    refused(&["--frequency", "NaN"], &["--frequency", "30", "6000 MHz"]);
    refused(&["--frequency", "1e9"], &["--frequency", "30", "6000 MHz"]);
}

#[test]
fn panel_moves_in_the_plan_s_unit() {
    let moved = report("bungalow", &["--panel", "10,20,5"]);
    let at = |part: usize| moved["panel"]["position_m"][part].as_f64().unwrap();
    close(at(0), 3.048, 1e-9, "x in feet");
    close(at(1), 6.096, 1e-9, "y in feet");
    close(at(2), 1.524, 1e-9, "height in feet");
    // Without a height it keeps its own; with a level it stands on that floor.
    let kept = report("brick-house", &["--panel", "3,3"]);
    let raised = report("brick-house", &["--panel", "3,3,1.4,1"]);
    assert_eq!(kept["panel"]["position_m"][2], 1.4);
    let levels = plan_json("brick-house");
    let floor = list(&levels, "levels")
        .iter()
        .find(|level| level["level"] == 1)
        .map(|level| number(level, "floor"))
        .unwrap();
    let height = raised["panel"]["position_m"][2].as_f64().unwrap();
    close(height, floor + 1.4, 1e-9, "height on the upper floor");
    let downstairs = sensor(&raised, "c-front-door");
    assert!(number(downstairs, "margin_db") < number(sensor(&kept, "c-front-door"), "margin_db"));
}

#[test]
fn a_bad_panel_spot_is_refused() {
    refused(&["--panel", "1"], &["write x,y"]);
    refused(&["--panel", "1,b"], &["y is \"b\", not a number"]);
    refused(&["--panel", "1,NaN"], &["far outside any building"]);
    refused(&["--panel", "1,2,3,4,5"], &["write x,y"]);
    refused(&["--panel", "1,2,3,up"], &["level is \"up\""]);
    refused(&["--panel", "1,2,3,9"], &["level 9", "it has 0"]);
}

#[test]
fn the_panel_moved_near_a_failing_sensor_fixes_it() {
    let (drawn, moved) =
        (report("foil-garage", &[]), report("foil-garage", &["--panel", "5.4,2.5"]));
    for (id, before) in [("c-office-window", "failing"), ("m-office", "failing")] {
        assert_eq!(sensor(&drawn, id)["finding"], before);
        assert_eq!(sensor(&moved, id)["finding"], "sound");
    }
}

#[test]
fn polarisation_changes_the_slab_and_mean_lies_between() {
    let by = |word| {
        report("brick-house", &["--polarisation", word, "--walls", "ideal", "--wall-cap", "200"])
    };
    let (te, tm, mean) = (by("te"), by("tm"), by("mean"));
    let mut oblique = 0;
    for ((te, tm), mean) in sensors(&te).iter().zip(sensors(&tm)).zip(sensors(&mean)) {
        let crossings = list(te, "crossings").iter().zip(list(tm, "crossings"));
        for ((te, tm), mean) in crossings.zip(list(mean, "crossings")) {
            let share = |row| 10f64.powf(-number(row, "slab_db") / 10.0);
            let want = -10.0 * f64::midpoint(share(te), share(tm)).log10();
            close(number(mean, "slab_db"), want, 2e-3, "mean of the two powers");
            let between = (number(te, "slab_db") - number(tm, "slab_db")).abs();
            if number(te, "incidence_deg") > 30.0 && number(mean, "slab_db") > 1.0 {
                oblique += 1;
                assert!(between > 0.05, "{te} and {tm}");
            }
        }
    }
    assert!(oblique > 5, "{oblique}");
    refused(&["--polarisation", "left"], &["te, tm, mean"]);
}

#[test]
fn wall_cap_bounds_every_wall() {
    let foil = |report: &Value| -> Vec<f64> {
        let crossings = list(sensor(report, "c-office-window"), "crossings");
        let foil = crossings.iter().filter(|c| text(c, "construction").starts_with("foil-"));
        foil.map(|c| number(c, "loss_db")).collect()
    };
    for cap in [25.0, 33.0] {
        let report = report("foil-garage", &["--wall-cap", &cap.to_string()]);
        assert!(!foil(&report).is_empty());
        assert!(foil(&report).iter().all(|loss| *loss == cap), "{:?}", foil(&report));
        for crossing in sensors(&report).iter().flat_map(|s| list(s, "crossings")) {
            assert!(number(crossing, "loss_db") <= cap, "{crossing}");
        }
    }
    refused(&["--wall-cap=-1"], &["--wall-cap"]);
}

#[test]
fn less_spread_makes_good_margins_surer() {
    // A site where more is lost, so that good margins still leave a chance of a fault.
    let site = ["--site-offset", "24"];
    let usual = report("corner-shop", &site);
    let narrow = report("corner-shop", &[&site[..], &["--sigma", "0"]].concat());
    assert_eq!(narrow["model"]["sigma_db"], 0.0);
    let mut surer = 0;
    for (usual, narrow) in sensors(&usual).iter().zip(sensors(&narrow)) {
        assert_eq!(usual["margin_db"], narrow["margin_db"]);
        // The luck of the spot stays, so p10 comes nearer to the margin but does not reach it.
        assert!(number(narrow, "margin_p10_db") > number(usual, "margin_p10_db"));
        assert!(number(narrow, "margin_p10_db") < number(narrow, "margin_db"));
        if number(usual, "margin_db") > 20.0 && number(usual, "fault_per_year") > 1e-4 {
            surer += 1;
            assert!(number(narrow, "fault_per_year") < number(usual, "fault_per_year") / 10.0);
        }
    }
    assert!(surer >= 2, "{surer}");
}

/// Path loss of every sensor of the bungalow, the powers of the paths added.
fn path_losses(reflections: &str, openings: &str) -> Vec<f64> {
    let options = ["--adding", "powers", "--reflections", reflections, "--openings", openings];
    let report = report("bungalow", &options);
    let sensors = sensors(&report).iter();
    sensors.map(|sensor| number(sensor, "path_loss_db")).collect()
}

#[test]
fn reflections_only_add_power() {
    let by_order = ["0", "1", "2"].map(|order| path_losses(order, "sharp"));
    for pair in by_order.windows(2) {
        let mut pairs = pair[0].iter().zip(&pair[1]);
        assert!(pairs.all(|(fewer, more)| *more <= fewer + 1e-3), "{pair:?}");
    }
    let mut pairs = by_order[0].iter().zip(&by_order[1]);
    assert!(pairs.any(|(none, one)| *one < none - 1.0), "{by_order:?}");
    refused(&["--reflections", "4"], &["0..=3"]);
}

#[test]
fn waves_add_up_where_powers_do_not() {
    // Of two lines of the ledger: what waves in step take or bring, and what is scattered.
    let lines = |sensor: &Value, more: &[&str]| {
        let options = [&[text(sensor, "id"), "--format", "json"], more].concat();
        let ledger = on("bungalow", "explain", &options).json();
        ["near-reflections", "scattered"].map(|line| {
            let mut lines = list(&ledger["hop"], "ledger").iter();
            number(lines.find(|one| one["line"] == line).unwrap(), "adds_db")
        })
    };
    let (waves, powers) = (report("bungalow", &[]), report("bungalow", &["--adding", "powers"]));
    assert_eq!(
        (&waves["model"]["adding"], &powers["model"]["adding"]),
        (&"waves".into(), &"powers".into())
    );
    let (mut more, mut less) = (0, 0);
    for sensor in sensors(&waves) {
        assert_eq!(lines(sensor, &["--adding", "powers"]), [0.0, 0.0], "{sensor}");
        let [near, scattered] = lines(sensor, &[]);
        // A quarter of the power is left at the least.
        assert!(near >= -6.0207, "{near} dB at {sensor}");
        assert!(scattered >= 0.0, "{scattered} dB at {sensor}");
        more += usize::from(near > 0.3);
        less += usize::from(near < -0.3);
    }
    assert!(more >= 1 && less >= 2, "{more} gain, {less} lose");
    refused(&["--adding", "phases"], &["waves, powers"]);
}

#[test]
fn soft_edges_let_waves_round_what_is_opaque() {
    // A ray that grazes a jamb may lose a little by the edge (6 dB on the edge itself, knife edge);
    // one that metal stops gains much by the way round it.
    let (sharp, soft) = (path_losses("0", "sharp"), path_losses("0", "soft"));
    let gains: Vec<f64> = sharp.iter().zip(&soft).map(|(sharp, soft)| sharp - soft).collect();
    let report = report("bungalow", &["--openings", "sharp"]);
    let mut stopped = 0;
    for (sensor, gain) in sensors(&report).iter().zip(&gains) {
        let opaque = list(sensor, "crossings").iter().any(|c| number(c, "loss_db") >= 40.0);
        if opaque {
            stopped += 1;
            assert!(*gain > 20.0, "{gain} dB at {sensor}");
        } else {
            assert!((-6.03..20.0).contains(gain), "{gain} dB at {sensor}");
        }
    }
    assert_eq!(stopped, 2);
    refused(&["--openings", "round"], &["soft, sharp"]);
}

#[test]
fn noise_and_site_offset_move_the_margin() {
    let margin = |options: &[&str]| {
        let report = report("bungalow", options);
        number(&sensors(&report)[0], "margin_db")
    };
    let usual = margin(&[]);
    close(margin(&["--site-offset", "16"]), usual - 10.0, 2e-4, "10 dB more of site");
    // Man-made noise falls with frequency: at the lowest that is taken it rules.
    let by = ["city", "residential", "rural", "quiet"]
        .map(|noise| margin(&["--frequency", "30", "--noise", noise]));
    assert!(by.is_sorted_by(|louder, quieter| louder < quieter), "{by:?}");
}

#[test]
fn cell_is_told_and_bounded() {
    let (fine, coarse) = (report("bungalow", &[]), report("bungalow", &["--cell", "0.5"]));
    assert_eq!(coarse["model"]["cell_m"], 0.5);
    assert_eq!(fine["sensors"], coarse["sensors"]);
    for (fine, coarse) in list(&fine, "roams").iter().zip(list(&coarse, "roams")) {
        close(number(coarse, "share"), number(fine, "share"), 0.05, "share of a roam area");
    }
    refused(&["--cell", "0"], &["0.01 m", "5 m"]);
    refused(&["--cell", "-1"], &["it must be a length, not \"-1\"; write 3.6, 3.6m"]);
    refused(&["--cell", "1m 2"], &["more follows the length"]);
}

#[test]
fn limits_the_wrong_way_round_are_refused() {
    refused(
        &["--sound-below", "0.5", "--thin-below", "0.1"],
        &["--sound-below 0.5", "--thin-below 0.1"],
    );
    refused(&["--nonsense"], &["--nonsense", "--help"]);
}
