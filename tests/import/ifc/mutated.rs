//! Models spoilt at random, and of great size.

use std::time::Instant;

use import::{Kind, draft};
use proptest::prelude::*;

use super::made::{METRE, Model};
use crate::known::plain;
use crate::promises::survives;

const SEED: &str = include_str!("../../fuzz/models/house.ifc");

/// What an argument is changed to.
const PART: &str = "#[0-9]{1,3}|-?[0-9]{1,7}\\.[0-9]{0,3}|\\$|\\(\\)|1e11";

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn a_model_with_numbers_and_references_changed_is_refused_or_sound(
        changes in prop::collection::vec((any::<prop::sample::Index>(), PART), 1..20),
    ) {
        let mut parts: Vec<String> = SEED.split_inclusive([',', '(']).map(str::to_owned).collect();
        for (at, part) in changes {
            let at = at.index(parts.len());
            let end = parts[at].pop().unwrap_or(',');
            if parts[at].contains(['=', ';', '\'']) {
                parts[at].push(end);
            } else {
                parts[at] = format!("{part}{end}");
            }
        }
        survives(Kind::Ifc, parts.concat().as_bytes());
    }
}

#[test]
fn the_seed_of_the_fuzzer_is_sound() {
    let draft = draft(Kind::Ifc, "house.ifc", SEED.as_bytes(), &plain()).unwrap();
    let count = |word: &str| draft.pieces.iter().filter(|it| it.what.word() == word).count();
    assert_eq!((count("wall"), count("opening"), count("slab")), (8, 3, 1));
    assert_eq!((count("stairs"), count("room"), count("obstacle")), (1, 1, 1));
}

#[test]
fn a_large_model_takes_time_with_its_size() {
    let mut model = Model::new(METRE, 1.0);
    let storey = model.storey("Ground", 0.0, Some(0.0));
    for at in 0..500_u32 {
        let (x, y) = (f64::from(at % 25) * 7.0, f64::from(at / 25) * 7.0);
        let wall = model.wall(storey, [x, y], 0.0, 6.0);
        model.opening(wall, (1.0, 2.0), (0.0, 2.1), Some("IFCDOOR"));
    }
    // What most of a file is: properties, which are not read.
    for _ in 0..300_000 {
        model.add("IFCPROPERTYSINGLEVALUE('Reference',$,IFCIDENTIFIER('Some name'),$)");
    }
    let text = model.text();
    let begun = Instant::now();
    let draft = draft(Kind::Ifc, "large.ifc", text.as_bytes(), &plain()).unwrap();
    // A second is ten times what it takes without optimisation.
    assert!(begun.elapsed().as_secs() < 20, "{:?}", begun.elapsed());
    assert_eq!(draft.pieces.len(), 1_000);
}
