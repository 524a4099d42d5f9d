//! What lenient reading and changes promise of any bytes whatever. The fuzz target checks the same.

use geo::Coord;
use input::{Diagnostics, decoded};
use plan::edit::{Change, edited_leniently};
use plan::{LenientReading, Vocabulary, read_house, read_leniently};

/// Most bytes of a text that is changed here: the largest ones cost too much time.
const MOST_BYTES: usize = 200_000;

fn read(bytes: &[u8], names: &Vocabulary) -> LenientReading {
    read_leniently("plan.geojson", bytes, names)
}

/// Reads and changes the bytes, and checks what must hold for any outcome.
pub fn survives_leniently(bytes: &[u8], names: &Vocabulary) {
    let reading = read(bytes, names);
    let said: Vec<_> = reading.faults.iter().map(|fault| fault.diagnostic.clone()).collect();
    match read_house("plan.geojson", bytes, names) {
        Ok(sound) => {
            assert_eq!(said, sound.warnings);
            assert_eq!(format!("{:?}", reading.plan), format!("{:?}", Some(sound.plan)));
            assert!(reading.features.iter().all(|feature| !feature.is_faulty));
        }
        Err(faults) => assert_eq!(said, faults),
    }
    for fault in &reading.faults {
        assert!(fault.feature.is_none_or(|number| number < reading.features.len()));
        assert!(fault.at.is_none_or(|at| at.x.is_finite() && at.y.is_finite()));
        assert!(fault.feature.is_some() || fault.at.is_none());
    }
    if let Some(plan) = &reading.plan {
        for (id, level) in plan.features() {
            assert!(plan.level(level).is_some(), "no level {level}");
            let mut drawn = reading.features.iter().filter(|it| it.id == id && it.is_used);
            assert!(drawn.next().is_some_and(|it| !it.is_faulty), "{id} is in the plan");
        }
        for opening in &plan.openings {
            assert!(plan.opening_line(opening).is_some() && opening.base_m < opening.top_m);
        }
    }
    let text = decoded(bytes, &mut Diagnostics::new("")).unwrap_or_default();
    if text.len() <= MOST_BYTES {
        for number in (0..reading.features.len()).take(6) {
            changes(&text, number, &reading, names);
        }
    }
}

/// Changes one feature in every way; what can be made has been made, and all others are as before.
fn changes(text: &str, number: usize, before: &LenientReading, names: &Vocabulary) {
    let feature = &before.features[number];
    let id = || feature.id.clone();
    let per_unit = before.metres_per_unit;
    let made = |change: Change| {
        let after = edited_leniently(text, &[change]).ok()?;
        Some(read(after.as_bytes(), names).features)
    };
    let drawn = |after: &[plan::Sketch], left_out: Option<usize>| {
        let others = |all: &[plan::Sketch]| -> Vec<_> {
            let all = all.iter().enumerate().filter(|(it, _)| *it != number);
            all.map(|(_, it)| (it.kind.clone(), it.lines.clone(), it.properties.clone())).collect()
        };
        let mut after = after.to_vec();
        if let Some(gone) = left_out {
            after.insert(gone, feature.clone());
        }
        assert_eq!(others(&before.features), others(&after));
    };
    let near = |a: Coord<f64>, b: Coord<f64>| {
        let far = (a.x - b.x).abs().max((a.y - b.y).abs());
        assert!(far <= 0.000_501 * per_unit, "{a:?} is not {b:?}");
    };
    let to = Coord { x: 1.25, y: -2.5 };
    let (level, height_above_floor_m) = (None, Some(1.25));
    if let Some(after) = made(Change::Move { id: id(), position: to, level, height_above_floor_m })
    {
        drawn(&after, None);
        near(after[number].lines[0][0], to);
        assert!(after[number].properties.contains("height"));
    }
    let corners = vec![to, Coord { x: 4.0, y: 0.5 }, Coord { x: 3.0, y: 7.0 }];
    if let Some(after) = made(Change::Shape { id: id(), corners: corners.clone() }) {
        drawn(&after, None);
        let line = &after[number].lines[0];
        assert_eq!(line.len(), if feature.geometry == "Polygon" { 4 } else { 3 });
        line.iter().zip(&corners).for_each(|(a, b)| near(*a, *b));
    }
    let properties = vec![("é".to_owned(), Some("[1.50]".to_owned())), ("kind".to_owned(), None)];
    if let Some(after) = made(Change::Set { id: id(), properties }) {
        assert!(after[number].properties.contains("1.50"));
        assert_eq!(after.len(), before.features.len());
    }
    let feature = "{\"id\": \"#1\", \"geometry\": null, \"properties\": {\"kind\": \"sensor\"}}";
    if let Some(after) = made(Change::Add { feature: feature.to_owned() }) {
        assert_eq!(after.len(), before.features.len() + 1);
        drawn(&after[..before.features.len()], None);
        assert!(before.features.iter().all(|it| Some(&it.id) != after.last().map(|it| &it.id)));
    }
    if let Some(after) = made(Change::Remove { id: id() }) {
        assert_eq!(after.len() + 1, before.features.len());
        drawn(&after, Some(number));
    }
}
