//! The large room without inner walls at 2.4 GHz.

use std::collections::BTreeMap;
use std::io::Write;
use std::path::Path;

use drillonce::forecast::{Model, Walls};
use drillonce::plan::Aerial;
use drillonce::radio::free_space_loss;
use drillonce::units::Metres;
use geo::{Coord, LineString};
use nalgebra::{DMatrix, DVector};

use super::Diagnostic;
use super::files::{Place, rows};
use super::fit::{Forecast, Levels, score};
use super::readings::{self, Measured, Survey};
use super::scene::{LINK, Spot, frequency, gain, listener, storey};

/// Outer walls, floor and ceiling (a choice; the data do not tell).
const WALLS: &str = "brick-half";
const FLOORS: &str = "floor-concrete";

/// Height of the ceiling, metres (a choice; transmitters stood up to 2.35 m high).
const CEILING_M: f64 = 3.0;

/// How far the outer walls stand beyond the outermost place in the data, metres (a choice).
const BEYOND_M: f64 = 0.3;

/// Prints the table of the room.
pub fn compare(folder: &Path, out: &mut impl Write) -> Result<(), Diagnostic> {
    let places: Vec<Place> = rows(&folder.join("links.csv"))?;
    let receivers = receivers(&places)?;
    writeln!(
        out,
        "## Room, 2.4 GHz: {} links, {} receivers\n\n\
         | forecast | fitted (an offset for each set) | in sample | left out |\n\
         | --- | --- | --- | --- |",
        places.len(),
        receivers.len()
    )?;
    let levels = Levels {
        receiver: places.iter().map(|place| place.sensor.clone()).collect(),
        level: places.iter().map(|place| place.rssi_mean).collect(),
    };
    let sets = |number: u32| -> Vec<f64> {
        let own = places.iter().map(|p| if p.set == number { 1.0 } else { 0.0 });
        own.collect()
    };
    let offsets = || vec![sets(1), sets(2)];
    let frequency = frequency()?;
    let mut try_out =
        |name: &str, known: Vec<f64>, slope: Option<Vec<f64>>| -> Result<(), Diagnostic> {
            let mut columns = offsets();
            let fitted = if slope.is_some() { "exponent" } else { "" };
            columns.extend(slope);
            let score = score(&levels, &Forecast { known, columns })?;
            let value = score.factors.get(2).map_or_else(String::new, |x| format!(" {x:.2}"));
            writeln!(
                out,
                "| {name} | {fitted}{value} | {:.2} | {:.2} |",
                score.in_sample, score.left_out
            )?;
            Ok(())
        };
    let distance = places.iter().map(|place| -10.0 * place.d.log10()).collect();
    try_out("log-distance", vec![0.0; places.len()], Some(distance))?;
    let free_space = places.iter().map(|place| -free_space_loss(Metres(place.d), frequency).0);
    try_out("free space", free_space.collect(), None)?;
    for floors in [None, Some(FLOORS)] {
        for reflections in 0..=3 {
            let known = predicted(&places, &receivers, floors, (reflections, None))?;
            let with = if floors.is_some() { "walls, floor and ceiling" } else { "walls" };
            try_out(&format!("{with}, {reflections} reflections"), known, None)?;
        }
    }
    let upright = (1, Some(Aerial::Upright));
    let known = predicted(&places, &receivers, Some(FLOORS), upright)?;
    try_out("walls, floor and ceiling, 1 reflection, receivers' aerials upright", known, None)?;
    writeln!(out)?;
    for (reflections, aerial) in [(1, None), (2, None), (1, Some(Aerial::Upright))] {
        let known = predicted(&places, &receivers, Some(FLOORS), (reflections, aerial))?;
        let names: Vec<&String> = receivers.keys().collect();
        let links = places.iter().zip(known).map(|(place, predicted)| Measured {
            level: place.rssi_mean,
            set: place.set.saturating_sub(1) as usize,
            receiver: names.iter().position(|one| **one == place.sensor).unwrap_or(0),
            place: [place.x, place.y, place.z],
            distance_m: place.d,
            walls: [0.0; 2],
            predicted,
            slopes: Vec::new(),
        });
        let survey = Survey {
            title: &format!("Room, {reflections} reflections, aerials {aerial:?}, with readings"),
            links: links.collect(),
            constructions: Vec::new(),
            exponent: readings::OFFICE_EXPONENT,
            wall_losses: readings::COST_231,
            link: LINK,
            counts: &readings::COUNTS,
        };
        readings::compare(&survey, out)?;
    }
    Ok(())
}

/// Where the receivers hang. The data give the distance to every place instead: x² + y² + z² − d²
/// is linear in the receiver's place and so gives it by least squares. Only the first set varies
/// the height, so it alone is used.
fn receivers(places: &[Place]) -> Result<BTreeMap<String, Spot>, Diagnostic> {
    let mut own: BTreeMap<String, Vec<&Place>> = BTreeMap::new();
    for place in places.iter().filter(|place| place.set == 1) {
        own.entry(place.sensor.clone()).or_default().push(place);
    }
    own.into_iter()
        .map(|(sensor, places)| {
            let matrix = DMatrix::from_fn(places.len(), 4, |row, column| {
                let p = places[row];
                [2.0 * p.x, 2.0 * p.y, 2.0 * p.z, 1.0][column]
            });
            let wanted = DVector::from_fn(places.len(), |row, _| {
                let p = places[row];
                p.x * p.x + p.y * p.y + p.z * p.z - p.d * p.d
            });
            let found = matrix.svd(true, true).solve(&wanted, 1e-9)?;
            Ok((sensor, (Coord { x: found[0], y: found[1] }, found[2])))
        })
        .collect()
}

fn predicted(
    places: &[Place],
    receivers: &BTreeMap<String, Spot>,
    floors: Option<&str>,
    (reflections, aerial): (u8, Option<Aerial>),
) -> Result<Vec<f64>, Diagnostic> {
    let spots = || {
        let own = places.iter().map(|place| Coord { x: place.x, y: place.y });
        own.chain(receivers.values().map(|spot| spot.0))
    };
    let low = spots().fold(f64::MAX, |a, p| a.min(p.x).min(p.y)) - BEYOND_M;
    let right = spots().fold(f64::MIN, |a, p| a.max(p.x)) + BEYOND_M;
    let back = spots().fold(f64::MIN, |a, p| a.max(p.y)) + BEYOND_M;
    let outline = vec![(low, low), (right, low), (right, back), (low, back), (low, low)];
    let plan = storey(vec![LineString::from(outline)], WALLS, floors, CEILING_M);
    let model = Model { reflections, walls: Walls::Ideal, ..Model::default() };
    let mut sites = BTreeMap::new();
    for (sensor, spot) in receivers {
        sites.insert(sensor.clone(), listener(&plan, model, *spot, aerial)?);
    }
    places
        .iter()
        .map(|place| {
            let site = sites.get(&place.sensor).ok_or("a receiver without a place")?;
            gain(site, (Coord { x: place.x, y: place.y }, place.z))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_receiver_is_found_from_its_distances() {
        let hung = [7.0_f64, 7.09, 1.22];
        let stood =
            [[0.0, 0.0, 1.9], [9.0, 1.0, 1.9], [4.0, 12.0, 2.3], [2.0, 3.0, 2.3], [8.0, 8.0, 2.0]];
        let places: Vec<Place> = stood
            .iter()
            .map(|[x, y, z]| Place {
                set: 1,
                sensor: "a".to_owned(),
                x: *x,
                y: *y,
                z: *z,
                d: (x - hung[0]).hypot(y - hung[1]).hypot(z - hung[2]),
                rssi_mean: -60.0,
            })
            .collect();
        let found = receivers(&places).expect("five places fix a point");
        let (at, height) = found["a"];
        assert!((at.x - hung[0]).hypot(at.y - hung[1]) < 1e-9, "{at:?}");
        assert!((height - hung[2]).abs() < 1e-9, "{height}");
    }
}
