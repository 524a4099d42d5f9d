//! Archives changed anyhow keep what their reader promises.

use proptest::prelude::*;
use serde_json::Value;

use super::made::text_of;
use crate::promises::{REPLACED, survives, survives_imdf, with_file};
use import::Kind;

/// Texts that say more to a reader of maps than random bytes do.
const PIECES: [&str; 12] = [
    "null",
    "[]",
    "{}",
    "\"Polygon\"",
    "\"\\u0007\\u202e\"",
    "\u{1b}",
    "1e300",
    "-1e999",
    "-38.4",
    "\"",
    "]]]",
    "{\"en\": \"\\n\"}",
];

/// Words that mean something where a text stands.
const WORDS: [&str; 14] = [
    "opentobelow",
    "structure",
    "column",
    "drywall",
    "walkway",
    "terrace",
    "wall",
    "wood",
    "open",
    "pedestrian.principal",
    "MultiPolygon",
    "00000000-0000-4000-8000-000000000004",
    "00000000-0000-4000-8000-000000000005",
    "a\u{202e}\u{7}\n\u{0}b \u{1f600}",
];

/// A file of the archive with pieces of its text replaced: most of it is refused.
fn torn() -> impl Strategy<Value = Vec<u8>> {
    let changes = prop::collection::vec((any::<u32>(), 0_usize..12, 0..PIECES.len()), 1..3);
    (0..REPLACED.len(), changes).prop_map(|(which, changes)| {
        let mut text = text_of(REPLACED[which]).to_owned();
        for (at, length, piece) in changes {
            let starts: Vec<usize> = text.char_indices().map(|(at, _)| at).collect();
            let start = starts[at as usize % starts.len()];
            let rest = &text[start..];
            let end = rest.char_indices().nth(length).map_or(rest.len(), |(end, _)| end);
            text.replace_range(start..start + end, PIECES[piece]);
        }
        let mut bytes = vec![u8::try_from(which).unwrap()];
        bytes.extend(text.into_bytes());
        bytes
    })
}

/// Every number and text in a value.
fn leaves<'v>(value: &'v mut Value, found: &mut Vec<&'v mut Value>) {
    match value {
        Value::Array(items) => items.iter_mut().for_each(|item| leaves(item, found)),
        Value::Object(members) => members.values_mut().for_each(|member| leaves(member, found)),
        Value::Null | Value::Bool(_) => {}
        leaf => found.push(leaf),
    }
}

/// A file of the archive in which places have moved and words stand for others: most of it is
/// taken.
fn moved() -> impl Strategy<Value = Vec<u8>> {
    let shift = prop_oneof![
        4 => -3e-4..3e-4_f64,
        2 => -3e-7..3e-7_f64,
        1 => prop::sample::select(vec![0.0, 1e-8, 0.01, 1.0, -300.0, 152.4]),
    ];
    let change = (any::<u32>(), any::<u32>(), shift, 0..WORDS.len(), 0..4_u8);
    let changes = prop::collection::vec(change, 1..40);
    (0..REPLACED.len(), changes).prop_map(|(which, changes)| {
        let which = if which > 4 { 1 } else { which.max(1) };
        let mut value: Value = serde_json::from_str(text_of(REPLACED[which])).unwrap();
        let mut found = Vec::new();
        leaves(&mut value, &mut found);
        for (at, other, shift, word, how) in changes {
            let count = found.len();
            let copy = found[other as usize % count].clone();
            let leaf = &mut found[at as usize % count];
            // The first words of a file say what it is; without them there is nothing to test.
            match leaf {
                Value::Number(number) if how == 0 && copy.is_number() => {
                    let _ = number;
                    **leaf = copy;
                }
                Value::Number(number) => **leaf = (number.as_f64().unwrap() + shift).into(),
                Value::String(text) if how == 0 && text != "FeatureCollection" => {
                    **leaf = WORDS[word].into();
                }
                _ => {}
            }
        }
        let mut bytes = vec![u8::try_from(which).unwrap()];
        bytes.extend(value.to_string().into_bytes());
        bytes
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    #[test]
    fn torn_files_keep_the_promise(bytes in torn()) {
        survives_imdf(&bytes);
    }

    #[test]
    fn moved_places_and_changed_words_keep_the_promise(bytes in moved()) {
        survives_imdf(&bytes);
    }

    #[test]
    fn changed_archives_keep_the_promise(
        changes in prop::collection::vec((any::<u32>(), any::<u8>()), 1..8),
        cut in any::<u32>(),
    ) {
        // Number 255 replaces no file, for there are fewer: the archive stays as it is.
        let mut bytes = with_file(usize::MAX, b"");
        for (at, byte) in changes {
            // Most changes at the end, where the list of members is.
            let length = bytes.len();
            let back = at as usize % 1_000;
            let place = if at % 3 == 0 { at as usize % length } else { length - 1 - back % length };
            bytes[place] = byte;
        }
        if cut % 4 == 0 {
            bytes.truncate(cut as usize % bytes.len());
        }
        survives(Kind::Imdf, &bytes);
    }

    #[test]
    fn any_bytes_keep_the_promise(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        survives_imdf(&bytes);
    }
}
