//! What must hold of any bytes that a page sends.

use import::tape::length_m;
use serde_json::Value;
use serve::{Asked, Session, changed, command_line};
use units::Lengths;

/// A plan in which some of the things are that messages name.
const PLAN: &str = r#"{"type": "FeatureCollection", "units": "ft", "features": [
  {"type": "Feature", "properties": {"kind": "wall", "construction": "brick-half"}, "geometry": {"type": "LineString", "coordinates": [[0, 0], [9, 0]]}},
  {"type": "Feature", "id": "panel", "properties": {"kind": "panel"}, "geometry": {"type": "Point", "coordinates": [1, 1]}},
  {"type": "Feature", "id": "s1", "properties": {"kind": "sensor", "role": "fire"}, "geometry": {"type": "Point", "coordinates": [2, 1]}},
  {"type": "Feature", "id": "s2", "properties": {"kind": "sensor"}, "geometry": {"type": "Point", "coordinates": [3, 1]}}
]}"#;

/// A message is understood or refused in words; an edit makes JSON of the text, and undo gives the
/// first bytes back; no option of a command names another file than its papers.
pub fn survives_message(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    match Asked::read(text) {
        Err(why) => assert!(!why.what.is_empty() && !why.fix.is_empty()),
        Ok(Asked::Edit { changes, .. } | Asked::Try { changes, .. }) => {
            match changed(PLAN, &changes) {
                Ok(new) => {
                    assert!(serde_json::from_str::<Value>(&new).is_ok(), "{new}");
                    let mut session = Session::new(PLAN.to_owned());
                    session.step_to(new.clone());
                    assert_eq!(session.undo(), new != PLAN);
                    assert_eq!(session.text(), PLAN);
                    assert_eq!(session.redo(), new != PLAN);
                    assert_eq!(session.text(), new);
                }
                Err(why) => assert!(!why.what.is_empty() && !why.fix.is_empty()),
            }
        }
        Ok(Asked::Take { what, options, .. }) => {
            let papers = &[("business", None), ("prices", None)];
            match command_line(what, &options, papers, "plan.geojson") {
                Ok(line) => {
                    let words: Vec<&str> = line.iter().map(|word| word.to_str().unwrap()).collect();
                    assert!(["check", "quote", "handover"].contains(&words[0]), "{words:?}");
                    assert_eq!(words[words.len() - 2..], ["--", "plan.geojson"]);
                    let begins =
                        |begin: &str| words.iter().filter(|it| it.starts_with(begin)).count();
                    assert_eq!((begins("--out"), begins("--write")), (1, 0), "{words:?}");
                    let options = &words[1..words.len() - 2];
                    assert!(options.iter().all(|word| word.starts_with("--")), "{words:?}");
                }
                Err(why) => assert!(!why.what.is_empty() && !why.fix.is_empty()),
            }
        }
        Ok(Asked::Measure { texts, .. }) => {
            assert!(texts.len() <= 20);
            for text in texts {
                match length_m(&text, Lengths::Feet) {
                    Ok(metres) => assert!(metres.is_finite() && metres >= 0.0, "{text}"),
                    Err(why) => assert!(!why.is_empty()),
                }
            }
        }
        Ok(_) => {}
    }
}
