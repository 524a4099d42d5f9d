//! The JSON report holds what it promises, and its figures add up.

use serde_json::Value;

use super::PLANS;
use crate::run::{close, list, number, numbers, plan_json, report, sensor, sensors, text};

/// Half a unit of the last digit that a report gives.
const ROUNDING: f64 = 0.5e-4;

#[test]
fn warnings_are_texts_and_crossings_have_names_and_lose_something() {
    for plan in PLANS {
        let report = report(plan, &[]);
        assert!(list(&report, "warnings").iter().all(Value::is_string));
        assert!(sensors(&report).len() >= 8);
        for sensor in sensors(&report) {
            assert!(sensor["via"].is_null(), "no shipped plan has a repeater");
            for crossing in list(sensor, "crossings") {
                assert!(!text(crossing, "feature").is_empty());
                assert!(!text(crossing, "construction").is_empty());
                assert!((0.0..=90.0).contains(&number(crossing, "incidence_deg")));
                let losses = ["slab_db", "excess_db", "loss_db"];
                assert!(losses.iter().all(|loss| number(crossing, loss) >= 0.0), "{crossing}");
            }
        }
    }
}

#[test]
fn sensors_are_the_plan_s_with_their_numbers_and_names() {
    for plan in PLANS {
        let (drawn, report) = (plan_json(plan), report(plan, &[]));
        let drawn: Vec<&Value> = list(&drawn, "features")
            .iter()
            .filter(|feature| feature["properties"]["kind"] == "sensor")
            .collect();
        assert_eq!(drawn.len(), sensors(&report).len());
        for (drawn, told) in drawn.iter().zip(sensors(&report)) {
            assert_eq!(drawn["id"], told["id"]);
            assert_eq!(drawn["properties"]["name"], told["name"]);
            assert_eq!(drawn["properties"]["number"], told["number"]);
        }
    }
}

#[test]
fn positions_are_metres_whatever_the_plan_s_unit() {
    let mut in_feet = 0;
    for plan in PLANS {
        let (drawn, report) = (plan_json(plan), report(plan, &[]));
        // The international foot is 0.3048 m exactly (agreement of 1959).
        let unit = if drawn["units"] == "ft" {
            in_feet += 1;
            0.3048
        } else {
            1.0
        };
        for feature in list(&drawn, "features") {
            let properties = &feature["properties"];
            let told = match properties["kind"].as_str() {
                Some("panel") => &report["panel"],
                Some("sensor") => sensor(&report, text(feature, "id")),
                _ => continue,
            };
            let floor = list(&drawn, "levels")
                .iter()
                .find(|level| level["level"] == properties["level"])
                .map(|level| number(level, "floor"))
                .unwrap();
            let at = numbers(&feature["geometry"], "coordinates");
            let want = [at[0], at[1], floor + number(properties, "height")];
            for (told, want) in numbers(told, "position_m").iter().zip(want) {
                close(*told, want * unit, 1.01 * ROUNDING, plan);
            }
        }
    }
    assert_eq!(in_feet, 1);
}

#[test]
fn the_ledger_adds_up() {
    for plan in PLANS {
        for options in [
            &[][..],
            &["--walls", "ideal", "--openings", "sharp"],
            &["--site-offset", "11.5", "--reflections", "2"],
        ] {
            let report = report(plan, options);
            let panel = numbers(&report["panel"], "position_m");
            for sensor in sensors(&report) {
                let id = text(sensor, "id");
                let of = |member| number(sensor, member);
                let square: f64 = panel
                    .iter()
                    .zip(numbers(sensor, "position_m"))
                    .map(|(a, b)| (a - b).powi(2))
                    .sum();
                close(of("distance_m"), square.sqrt(), 4.0 * ROUNDING, id);
                // ITU-R P.525 in its exact form, 20·log10(4πd/λ), from the speed of light; what
                // rounding the distance costs is added to the tolerance.
                let wavelength = 299.792_458 / of("frequency_mhz");
                let free =
                    20.0 * (4.0 * std::f64::consts::PI * of("distance_m") / wavelength).log10();
                let tolerance = ROUNDING * (1.01 + 8.7 / of("distance_m"));
                close(of("free_space_db"), free, tolerance, id);
                let crossings = list(sensor, "crossings");
                let walls: f64 = crossings.iter().map(|c| number(c, "loss_db")).sum();
                let tolerance = ROUNDING * (2.01 + crossings.len() as f64);
                close(of("direct_loss_db"), of("free_space_db") + walls, tolerance, id);
                for crossing in crossings {
                    let sum = number(crossing, "slab_db") + number(crossing, "excess_db");
                    close(number(crossing, "loss_db"), sum, 3.01 * ROUNDING, id);
                }
                let received = of("eirp_dbm") - of("path_loss_db") + of("antenna_gain_db")
                    - of("mount_loss_db")
                    - of("site_offset_db");
                close(of("received_dbm"), received, 6.01 * ROUNDING, id);
                let margin = of("received_dbm") - of("level_needed_dbm");
                close(of("margin_db"), margin, 3.01 * ROUNDING, id);
                // The tenth percentile of a normal spread lies 1.2816 σ below its mean.
                let p10 = of("margin_db") - 1.281_552 * of("sigma_db");
                close(of("margin_p10_db"), p10, 3.5 * ROUNDING, id);
            }
        }
    }
}

#[test]
fn without_reflections_edges_and_excess_the_direct_path_is_all() {
    let sharp = ["--openings", "sharp"];
    let bare = [&sharp[..], &["--reflections", "0", "--walls", "ideal"]].concat();
    for plan in PLANS {
        let powers = [&sharp[..], &["--adding", "powers"]].concat();
        let (bare, full) = (report(plan, &bare), report(plan, &powers));
        let mut slabs = 0;
        for (sensor, usual) in sensors(&bare).iter().zip(sensors(&full)) {
            let id = text(sensor, "id");
            let direct = number(sensor, "direct_loss_db");
            close(number(sensor, "path_loss_db"), direct, 1e-3, id);
            for crossing in list(sensor, "crossings") {
                assert_eq!(crossing["loss_db"], crossing["slab_db"], "{id}");
                assert_eq!(number(crossing, "excess_db"), 0.0, "{id}");
                slabs += 1;
            }
            // Walls as they usually are lose more; reflected paths add power to the direct one.
            let usual_direct = number(usual, "direct_loss_db");
            assert!(usual_direct >= direct, "{id}");
            assert!(number(usual, "path_loss_db") < usual_direct, "{id}");
        }
        assert!(slabs > 10, "{plan} has {slabs} crossings");
    }
}

#[test]
fn findings_follow_the_chance_of_a_fault() {
    let mut seen = std::collections::BTreeSet::new();
    for (options, sound, thin) in [
        (&[][..], 0.01, 0.2),
        (&["--sound-below", "1e-9", "--thin-below", "0.01"], 1e-9, 0.01),
        (&["--sound-below", "0.9", "--thin-below", "0.9"], 0.9, 0.9),
    ] {
        for plan in PLANS {
            let report = report(plan, options);
            assert_eq!(report["model"]["findings"]["sound_below"], sound);
            assert_eq!(report["model"]["findings"]["thin_below"], thin);
            for sensor in sensors(&report) {
                let chance = number(sensor, "fault_per_year");
                assert!((0.0..=1.0).contains(&chance), "{sensor}");
                let finding = if chance < sound {
                    "sound"
                } else if chance < thin {
                    "thin"
                } else {
                    "failing"
                };
                assert_eq!(sensor["finding"], finding, "{sensor}");
                seen.insert(finding);
            }
        }
    }
    assert_eq!(seen.len(), 3);
}

#[test]
fn the_model_s_settings_reproduce_the_run() {
    let first = report("bungalow", &["--polarisation", "te", "--k-factor", "9", "--sigma", "5"]);
    let model = &first["model"];
    let set = |member: &str| number(model, member).to_string();
    let options = [
        ("--link", text(model, "link").to_owned()),
        ("--frequency", set("frequency_mhz")),
        ("--reflections", model["reflections"].to_string()),
        ("--openings", text(model, "openings").to_owned()),
        ("--walls", text(model, "walls").to_owned()),
        ("--polarisation", text(model, "polarisation").to_owned()),
        ("--wall-cap", set("wall_cap_db")),
        ("--sigma", set("sigma_db")),
        ("--k-factor", set("k_factor_db")),
        ("--site-offset", set("site_offset_db")),
        ("--noise", text(model, "noise").to_owned()),
        ("--sound-below", number(&model["findings"], "sound_below").to_string()),
        ("--thin-below", number(&model["findings"], "thin_below").to_string()),
        ("--cell", set("cell_m")),
    ];
    let options: Vec<&str> = options.iter().flat_map(|(name, value)| [*name, value]).collect();
    assert_eq!(report("bungalow", &options), first);
    assert_ne!(report("bungalow", &[]), first);
}
