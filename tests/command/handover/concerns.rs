//! Every conflict and doubt, with its words.

use drillonce::job::schedule::{Matter, Role, Sort, concerns};
use drillonce::plan::{DeviceKind, Severity};
use drillonce::report::concern_words;
use drillonce::words::{Language, Words};

use crate::handover::{house, plan, shipped};

/// The words of all concerns of a plan, faults marked.
fn words(plan: &plan::Plan) -> String {
    let words = Words { language: Language::English };
    let found = concerns(plan);
    let said = concern_words(&words, plan, &found);
    let lines = found.iter().zip(said).map(|(concern, said)| {
        let severity = match concern.matter.severity() {
            Severity::Error => "fault",
            Severity::Warning => "warning",
        };
        format!("{severity} {said}")
    });
    let lines: Vec<String> = lines.collect();
    lines.join("\n")
}

/// The properties of a device with its number, type and role.
fn zone(name: &str, number: u32, device: &str, role: &str) -> String {
    format!(r#""name":"{name}","number":{number},"device":"{device}","role":"{role}""#)
}

#[test]
fn the_shipped_plans_have_nothing_to_settle() {
    for (name, text) in shipped() {
        assert_eq!(words(&plan(&text)), "", "{name}");
    }
}

#[test]
fn every_conflict_and_doubt_is_said() {
    let text = house(&[
        ("front", 5.1, 0.2, &zone("Front door", 1, "contact", "perimeter")),
        ("back", 5.1, 7.8, &zone("Back door", 2, "contact", "entry-exit")),
        ("bare", 9.8, 4.0, r#""name":"Kitchen window","number":3,"device":"contact""#),
        ("blank", 6.0, 4.0, r#""name":"Thing","number":4"#),
        ("odd-word", 6.0, 4.5, &zone("Hall motion", 5, "motion", "guard")),
        ("smoke", 6.0, 5.0, &zone("Hall smoke", 6, "smoke", "perimeter")),
        ("motion", 6.0, 5.5, &zone("Study motion", 7, "motion", "fire")),
        ("leak", 6.0, 6.0, &zone("Boiler leak", 8, "leak", "interior")),
        (
            "shy",
            6.0,
            6.5,
            r#""name":"Den motion","device":"motion","role":"interior","supervised":false"#,
        ),
        ("keys", 6.0, 7.0, r#""kind":"keypad","name":"Keypad","number":9,"role":"panic""#),
    ]);
    let mut plan = plan(&text);
    // What the reader of plans refuses already is caught here, too, when a plan comes from
    // elsewhere.
    let mut copy = plan.devices.iter().find(|d| d.id == "smoke").unwrap().clone();
    copy.id = "smoke-2".to_owned();
    copy.name = "Loft smoke".to_owned();
    copy.role = Some("fire".to_owned());
    copy.supervised = false;
    plan.devices.push(copy);
    insta::assert_snapshot!(words(&plan));
}

#[test]
fn without_any_entry_door_it_is_said_so() {
    let text = house(&[
        ("front", 5.1, 0.2, &zone("Front door", 1, "contact", "entry-exit")),
        ("motion", 6.0, 5.5, &zone("Motion", 2, "motion", "interior")),
    ]);
    let text = text.replace(r#","entry":true"#, "");
    insta::assert_snapshot!(
        words(&plan(&text)),
        @r#"warning Front door: its role is "entry-exit", but no door of its level is marked "entry"; mark its own door, or make it "perimeter""#
    );
    let no_delay = house(&[("motion", 6.0, 5.5, &zone("Motion", 2, "motion", "interior"))]);
    let said = words(&plan(&no_delay));
    let lines: Vec<&str> = said.lines().collect();
    assert!(lines[0].starts_with("warning door, Unnamed room, south outside wall, "), "{said}");
    assert!(lines[0].ends_with("but no entry-exit device starts the entry delay"), "{said}");
    let nothing = "no device has the role \"entry-exit\", so nothing gives people time to disarm";
    assert_eq!(lines[1..], [format!("warning {nothing}")]);
    // What is always on needs no time to disarm; the door is told of all the same.
    let smoke_only = house(&[("smoke", 6.0, 5.5, &zone("Smoke", 2, "smoke", "fire"))]);
    let found = concerns(&plan(&smoke_only));
    assert!(found.iter().all(|concern| concern.matter != Matter::NothingDelayed));
}

#[test]
fn faults_come_first_and_are_those_that_endanger_life_or_clash() {
    let against = |never, role, sort| Matter::RoleAgainstDevice { never, role, sort, suits: None };
    for (matter, severity) in [
        (Matter::NumberTwice { number: 1, first: String::new() }, Severity::Error),
        (Matter::LifeUnsupervised(Role::Fire), Severity::Error),
        (against(true, Role::Fire, Sort::Motion), Severity::Error),
        (against(false, Role::Panic, Sort::Contact), Severity::Warning),
        (Matter::NoRole(None), Severity::Warning),
        (Matter::NoNumber, Severity::Warning),
        (Matter::FarFromEntry(None), Severity::Warning),
        (Matter::EntryWithoutDevice(None), Severity::Warning),
        (Matter::NothingDelayed, Severity::Warning),
        (Matter::Unsupervised, Severity::Warning),
        (Matter::RoleOnOther(DeviceKind::Siren), Severity::Warning),
    ] {
        assert_eq!(matter.severity(), severity, "{matter:?}");
    }
}

#[test]
fn a_detector_of_smoke_or_gas_takes_no_role_but_its_own() {
    for (device, own) in [("smoke", "fire"), ("heat", "fire"), ("co", "carbon-monoxide")] {
        for role in plan::ROLES {
            let more = zone("X", 1, device, role);
            let found = concerns(&plan(&house(&[("x", 6.0, 5.0, &more)])));
            let faulty = found.iter().any(|concern| concern.matter.severity() == Severity::Error);
            assert_eq!(faulty, role != own, "{device} as {role}: {found:?}");
        }
    }
}
