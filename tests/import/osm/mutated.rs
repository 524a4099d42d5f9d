//! Maps with random changes, and random maps.

use import::Kind;
use proptest::prelude::*;

use crate::promises::survives;

const XML: &str = include_str!("files/office.osm");
const GEOJSON: &str = include_str!("files/office.geojson");

/// What a slip of the pen or a hostile hand may put into a file.
const PIECES: &str = "<|>|/>|\"|'|&|&#0;|&a;|<!DOCTYPE a>|</osm>|{|}|[|]|,|null|-|9|0|.|e9|1e999|0;1|-3--1|room|door|wall|\u{202e}";

/// A change at a place: so many bytes out, a piece in.
fn changed(text: &str, changes: &[(f64, usize, usize)]) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    for (at, out, piece) in changes {
        let at = ((bytes.len() as f64 * at) as usize).min(bytes.len());
        let end = (at + out).min(bytes.len());
        let piece = PIECES.split('|').cycle().nth(piece % 28).unwrap_or_default();
        let new = piece.as_bytes().to_vec();
        bytes.splice(at..end, new);
    }
    bytes
}

/// One word in place of another, everywhere or here and there.
fn swapped(text: &str, swaps: &[(usize, usize, usize)]) -> String {
    const WORDS: [&str; 24] = [
        "room", "corridor", "area", "wall", "yes", "0;1", "0-1", "-3--1", "0.5", "1.5", "main",
        "brick", "steps", "0.9", "indoor", "door", "level", "window", "entrance", "building",
        "stairs", "height", "width", "100",
    ];
    let mut text = text.to_owned();
    for (from, to, nth) in swaps {
        let (from, to) = (WORDS[from % WORDS.len()], WORDS[to % WORDS.len()]);
        for quote in ['\'', '"'] {
            let (old, new) = (format!("{quote}{from}{quote}"), format!("{quote}{to}{quote}"));
            let places: Vec<usize> = text.match_indices(&old).map(|(at, _)| at).collect();
            if let Some(at) = places.get(nth % places.len().max(1)) {
                text.replace_range(*at..at + old.len(), &new);
            }
        }
    }
    text
}

/// A random feature: its positions on a coarse grid of metres, so that walls meet, cross and
/// coincide.
fn feature() -> impl Strategy<Value = String> {
    let tags = prop::sample::select(vec![
        r#""indoor": "room""#,
        r#""indoor": "room", "name": "A""#,
        r#""indoor": "corridor""#,
        r#""indoor": "area", "room": "stairs""#,
        r#""indoor": "wall""#,
        r#""indoor": "wall", "height": "1.1", "min_height": "0.4""#,
        r#""indoor": "wall", "material": "steel""#,
        r#""door": "yes""#,
        r#""door": "no", "width": "2.2", "height": "9""#,
        r#""entrance": "main", "door": "yes""#,
        r#""window": "yes", "min_height": "2.2""#,
        r#""window": "yes", "height": "0.3""#,
        r#""building": "yes", "building:levels": "3", "height": "9""#,
        r#""highway": "steps""#,
        r#""indoor": "level", "height": "4""#,
    ]);
    let level = prop::sample::select(vec!["0", "1", "0;1", "-1-1", "0.5", "", "x", "80", "-20"]);
    let at = (0..6_i32, 0..6_i32, prop::sample::select(vec![0.0, 0.03, 0.2, 0.5]));
    let points = prop::collection::vec(at, 1..6);
    (tags, level, points, 0..3_u8).prop_map(|(tags, level, points, form)| {
        let place = |(x, y, off): &(i32, i32, f64)| {
            let (x, y) = (f64::from(*x) + off, f64::from(*y) - off / 3.0);
            format!("[{:.7}, {:.7}]", -30.0 + x * 1.315e-5, 47.0 + y * 8.995e-6)
        };
        let all: Vec<String> = points.iter().map(place).collect();
        let (form, at) = match (form, points.len()) {
            (0, _) | (_, 1) => ("Point", all[0].clone()),
            (1, _) => ("LineString", format!("[{}]", all.join(", "))),
            (_, 2) => {
                // Two opposite corners: a room as one draws it.
                let ((x, y, off), (u, v, _)) = (points[0], points[1]);
                let ring = [(x, y, off), (u, y, off), (u, v, off), (x, v, off), (x, y, off)];
                let ring: Vec<String> = ring.iter().map(place).collect();
                ("Polygon", format!("[[{}]]", ring.join(", ")))
            }
            _ => ("Polygon", format!("[[{}, {}]]", all.join(", "), all[0])),
        };
        format!(
            r#"{{"type": "Feature", "properties": {{{tags}, "level": "{level}"}}, "geometry": {{"type": "{form}", "coordinates": {at}}}}}"#
        )
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, ..ProptestConfig::default() })]

    #[test]
    fn changed_files_never_panic_and_what_is_accepted_is_sound(
        changes in prop::collection::vec((0.0_f64..1.0, 0_usize..12, any::<usize>()), 1..6),
    ) {
        survives(Kind::OsmXml, &changed(XML, &changes));
        survives(Kind::IndoorGeojson, &changed(GEOJSON, &changes));
    }

    #[test]
    fn other_tags_never_panic_and_what_is_accepted_is_sound(
        swaps in prop::collection::vec((any::<usize>(), any::<usize>(), any::<usize>()), 1..24),
    ) {
        survives(Kind::OsmXml, swapped(XML, &swaps).as_bytes());
        survives(Kind::IndoorGeojson, swapped(GEOJSON, &swaps).as_bytes());
    }

    #[test]
    fn random_maps_are_sound(features in prop::collection::vec(feature(), 1..24)) {
        let text = format!(r#"{{"type": "FeatureCollection", "features": [{}]}}"#, features.join(",\n"));
        survives(Kind::IndoorGeojson, text.as_bytes());
    }

    #[test]
    fn any_bytes_are_survived(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        survives(Kind::OsmXml, &bytes);
        survives(Kind::IndoorGeojson, &bytes);
    }
}
