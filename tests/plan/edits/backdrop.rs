//! A picture put under a plan, replaced and taken away; all else byte for byte.

use plan::edit::{Change, edited, edited_leniently};
use plan::{Backdrop, Vocabulary, is_picture_name, read_house, read_leniently};

const PLAN: &str = r#"{
  "type": "FeatureCollection",
  "units": "ft",
  "features": [
  ]
}
"#;

fn picture() -> Backdrop {
    let transform = [0.02, 0.001, -1.5, 0.001, -0.02, 9.0];
    Backdrop { file: "house-picture.png".to_owned(), transform, opacity: 0.4, level: 0 }
}

fn with(text: &str, picture: Option<Backdrop>) -> String {
    edited_leniently(text, &[Change::Backdrop(picture)]).unwrap()
}

#[test]
fn a_picture_is_laid_down_in_the_plans_unit_and_goes_without_a_trace() {
    let laid = with(PLAN, Some(picture()));
    assert!(laid.contains(r#""backdrop": {"#), "{laid}");
    let read = read_house("t", laid.as_bytes(), &Vocabulary::default()).unwrap().plan;
    let found = read.backdrop.clone().unwrap();
    let wanted = picture();
    for (a, b) in found.transform.iter().zip(wanted.transform) {
        assert!((a - b).abs() < 1e-8, "{found:?}");
    }
    assert_eq!((&found.file, found.opacity, found.level), (&wanted.file, 0.4, 0));
    let fainter = with(&laid, Some(Backdrop { opacity: 0.1, ..picture() }));
    assert_eq!(fainter.matches("backdrop").count(), 1);
    assert_eq!(with(&fainter, None), PLAN);
    assert_eq!(with(PLAN, None), PLAN);
}

#[test]
fn other_changes_leave_the_picture_where_it_is() {
    let laid = with(PLAN, Some(picture()));
    let feature = r#"{"type": "Feature", "properties": {"kind": "outlet", "level": 0},
        "geometry": {"type": "Point", "coordinates": [1, 2]}}"#;
    let add = Change::Add { feature: feature.to_owned() };
    let plan = read_leniently("t", laid.as_bytes(), &Vocabulary::default()).plan.unwrap();
    let text = edited_leniently(&laid, std::slice::from_ref(&add)).unwrap();
    let again = read_leniently("t", text.as_bytes(), &Vocabulary::default()).plan.unwrap();
    assert_eq!(again.backdrop, plan.backdrop);
    assert!(edited(&laid, &plan, &[Change::Backdrop(None)]).is_err(), "no sensor, no plan");
}

#[test]
fn what_puts_it_nowhere_or_leads_elsewhere_is_refused() {
    let refused = |picture: Backdrop| {
        edited_leniently(PLAN, &[Change::Backdrop(Some(picture))]).unwrap_err().to_string()
    };
    let nowhere = "no bare name, or its numbers put it nowhere";
    let flat = Backdrop { transform: [1.0, 1.0, 0.0, 1.0, 1.0, 0.0], ..picture() };
    assert!(refused(flat).contains(nowhere));
    let endless = Backdrop { transform: [f64::NAN; 6], ..picture() };
    assert!(refused(endless).contains(nowhere));
    let elsewhere = Backdrop { file: "../house.png".to_owned(), ..picture() };
    assert!(refused(elsewhere).contains(nowhere));
    assert_eq!(refused(Backdrop { level: 7, ..picture() }), "the plan has no level 7");
    for (name, is_bare) in [
        ("house.png", true),
        ("Grundriss EG.JPG", true),
        ("house.gif", false),
        ("a/house.png", false),
        ("a\\house.png", false),
        ("..png", false),
        (".png", false),
        ("con:house.png", false),
    ] {
        assert_eq!(is_picture_name(name), is_bare, "{name}");
    }
}

#[test]
fn a_picture_that_is_written_by_hand_is_checked() {
    let said = |backdrop: &str| {
        let text = PLAN.replace("\"units\"", &format!("\"backdrop\": {backdrop}, \"units\""));
        let faults = read_house("t", text.as_bytes(), &Vocabulary::default()).unwrap_err();
        faults.iter().map(|fault| fault.what.clone()).collect::<Vec<_>>().join("; ")
    };
    assert!(said(r#"{"file": "x.png"}"#).contains("\"transform\" is missing"));
    let numbers = r#""transform": [1, 0, 0, 0, 1, 0]"#;
    assert!(said(&format!(r#"{{"file": "/x.png", {numbers}}}"#)).contains("no bare name"));
    assert!(said(r#"{"file": "x.png", "transform": [1, 0, 0, 0, 1]}"#).contains("six finite"));
    assert!(said(r#"{"file": "x.png", "transform": [1, 2, 0, 2, 4, 0]}"#).contains("six finite"));
    assert!(said(&format!(r#"{{"file": "x.png", {numbers}, "opacity": 2}}"#)).contains("opacity"));
}
