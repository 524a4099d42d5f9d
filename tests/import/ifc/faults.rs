//! Models that are refused: each fault has its line.

use import::Kind;
use plan::Diagnostic;

use super::made::{METRE, Model};
use crate::known::refused;

fn fault(text: &str) -> Diagnostic {
    let mut faults = refused(Kind::Ifc, "small.ifc", text.as_bytes());
    assert_eq!(faults.len(), 1, "{faults:?}");
    faults.remove(0)
}

fn house() -> String {
    let mut model = Model::new(METRE, 1.0);
    let storey = model.storey("Ground", 0.0, Some(0.0));
    model.room(storey);
    model.text()
}

fn line_of(text: &str, part: &str) -> usize {
    text.lines().position(|line| line.contains(part)).unwrap() + 1
}

#[test]
fn a_placement_relative_to_itself_is_a_fault_at_its_line() {
    let mut model = Model::new(METRE, 1.0);
    let storey = model.storey("Ground", 0.0, Some(0.0));
    let axes = model.add("IFCAXIS2PLACEMENT3D($,$,$)");
    let first = model.add(format!("IFCLOCALPLACEMENT(#{},#{axes})", axes + 2));
    let second = model.add(format!("IFCLOCALPLACEMENT(#{first},#{axes})"));
    let axis = model.axis([0.0, 0.0], [4.0, 0.0]);
    let wall = model.element("IFCWALL", second, &[axis], "$");
    model.keep(wall);
    let _ = storey;
    let text = model.text();
    let fault = fault(&text);
    assert!(fault.what.contains("relative to itself"), "{fault}");
    assert_eq!(fault.line, line_of(&text, &format!("#{second}=")));
}

#[test]
fn broken_text_is_a_fault_at_its_line() {
    let sound = house();
    let line = line_of(&sound, "IFCBUILDINGSTOREY");
    for (from, to, what) in [
        ("'Ground'", "'Ground", "text that does not end"),
        (".ELEMENT.,0.0);", ".ELEMENT.,0.0;", "ends within a list"),
        (".ELEMENT.,0.0);", ".ELEMENT.,0.0));", "closes a list that it did not open"),
        (".ELEMENT.,0.0);", ".ELEMENT.,0.0)", "does not end with a semicolon"),
        (".ELEMENT.,0.0)", ".ELEMENT.,((((((((((((0.0)))))))))))))", "lists in lists"),
    ] {
        let broken = sound.replacen(from, to, 1);
        assert_ne!(broken, sound);
        let fault = fault(&broken);
        assert!(fault.what.contains(what), "{fault}");
        assert!(fault.line == line || what.contains("does not end"), "{fault}");
    }
    let twice = sound.replacen("#2=", "#1=", 1);
    assert!(fault(&twice).what.contains("#1 is given again; line 8 gave it first"));
    let cut = &sound[..sound.find("ENDSEC;\nEND-ISO").unwrap()];
    assert!(fault(cut).what.contains("part of it is missing"));
}

#[test]
fn what_is_no_building_model_is_refused() {
    let other = house().replace("'IFC4'", "'AUTOMOTIVE_DESIGN'");
    assert!(fault(&other).what.contains("not one of buildings"));
    assert!(fault("PK\u{3}\u{4}").what.contains("not a building model"));
    let empty = Model::new(METRE, 1.0).text();
    assert!(fault(&empty).what.contains("no wall"));
}

#[test]
fn shapes_that_hold_one_another_end() {
    let mut model = Model::new(METRE, 1.0);
    let storey = model.storey("Ground", 0.0, Some(0.0));
    let origin = model.add("IFCAXIS2PLACEMENT3D($,$,$)");
    let map = model.add(format!("IFCREPRESENTATIONMAP(#{origin},#{})", origin + 3));
    let item = model.add(format!("IFCMAPPEDITEM(#{map},$)"));
    let items = format!("#{item},").repeat(50);
    let items = items.trim_end_matches(',');
    let body = model.add(format!("IFCSHAPEREPRESENTATION($,'Body','SweptSolid',({items}))"));
    for _ in 0..50 {
        let wall = model.element("IFCWALL", storey, &[body], "$");
        model.keep(wall);
    }
    assert!(fault(&model.text()).what.contains("no wall"));
}
