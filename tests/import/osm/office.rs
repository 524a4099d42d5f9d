//! An invented office of two levels, in both forms.
//!
//! Lengths and areas against `pyosmium` 4.3.2 as the reader, `pyproj` 3.7.2 (azimuthal equidistant
//! around the lower left corner, WGS 84) and `shapely` 2.2.0 as the geometry.

use std::collections::BTreeMap;

use drillonce::import::{Draft, Kind, What};
use drillonce::plan::Plan;
use geo::{Area, Euclidean, Geometry, Length};

use crate::known::{imported, plain};

const XML: &[u8] = include_bytes!("files/office.osm");
const GEOJSON: &[u8] = include_bytes!("files/office.geojson");

fn office() -> (Draft, Plan) {
    imported(Kind::OsmXml, "office.osm", XML, &plain())
}

/// Metres of wall of a level by construction, to a centimetre.
fn walls(draft: &Draft, on: i32) -> BTreeMap<&str, f64> {
    let mut all: BTreeMap<&str, f64> = BTreeMap::new();
    for piece in &draft.pieces {
        if let (What::Wall { construction, .. }, Geometry::LineString(line), true) =
            (&piece.what, &piece.shape, piece.level == on)
        {
            *all.entry(construction).or_default() += Euclidean.length(line);
        }
    }
    all
}

#[test]
fn both_forms_give_the_same_draft() {
    let (from_xml, _) = office();
    let (from_json, _) = imported(Kind::IndoorGeojson, "office.geojson", GEOJSON, &plain());
    assert_eq!(from_xml.levels, from_json.levels);
    assert_eq!(from_xml.pieces, from_json.pieces);
    assert_eq!(from_xml.guesses, from_json.guesses);
}

#[test]
fn print_office() {
    let (draft, _) = office();
    println!("{}", draft.text());
    for level in [0, 1] {
        println!("{:?}", walls(&draft, level));
    }
    for guess in &draft.guesses {
        println!("{guess:?}");
    }
    for piece in &draft.pieces {
        if let Geometry::Polygon(area) = &piece.shape {
            println!("{}", area.unsigned_area());
        }
    }
}
