//! A device that nothing hears: which wall is named.

use serde_json::{Value, json};
use siting::reach::Reach;
use siting::relays::{RelaySettings, Relays, at_outlets};

use crate::relays::case::{self, wall};
use fixtures::plan_of;

fn point(id: &str, at: [f64; 2], kind: &str) -> Value {
    case::point(id, at, json!({"kind": kind, "level": 0, "height": 1.2}))
}

fn square(x: f64, y: f64, side: f64) -> [[f64; 2]; 5] {
    [[x, y], [x + side, y], [x + side, y + side], [x, y + side], [x, y]]
}

/// A metal slab over a square, joined to the metal walls round it.
fn closed(id: &str, level: i32, ring: [[f64; 2]; 5]) -> Value {
    json!({"type": "Feature", "id": id,
        "geometry": {"type": "Polygon", "coordinates": [ring]},
        "properties": {"kind": "slab", "level": level, "construction": "sheet-metal",
            "joint": "tight"}})
}

/// A house with a brick partition; a strong room of sheet metal, closed above and below, with a
/// sensor in it at one end. The panel is at the other end, behind a metal screen of its own, closed
/// alike, if asked, and otherwise beside a second outlet.
fn house(screen_before_panel: bool, box_of: &str) -> String {
    let round = [[0.0, 0.0], [16.0, 0.0], [16.0, 6.0], [0.0, 6.0], [0.0, 0.0]];
    let mut features = vec![
        wall("outside", &round, "brick-cavity"),
        wall("partition", &[[9.0, 0.0], [9.0, 6.0]], "brick-solid"),
        wall("box", &square(1.0, 1.0, 3.0), box_of),
        closed("box-floor", 0, square(1.0, 1.0, 3.0)),
        closed("box-roof", 1, square(1.0, 1.0, 3.0)),
        point("panel", [14.5, 3.0], "panel"),
        point("locked-in", [2.5, 2.5], "sensor"),
        point("free", [6.0, 5.4], "sensor"),
        point("outlet-near-box", [7.6, 2.5], "outlet"),
    ];
    if screen_before_panel {
        features.push(wall("screen", &square(13.5, 2.0, 2.0), "metal-panel-insulated"));
        features.push(closed("screen-floor", 0, square(13.5, 2.0, 2.0)));
        features.push(closed("screen-roof", 1, square(13.5, 2.0, 2.0)));
    } else {
        features.push(point("outlet-by-panel", [13.0, 5.0], "outlet"));
    }
    json!({"type": "FeatureCollection", "name": "House with a strong room", "units": "m",
        "levels": [{"level": 0, "name": "Ground", "floor": 0.0, "ceiling": 2.4},
            {"level": 1, "name": "Roof", "floor": 2.4, "ceiling": 3.6}],
        "link": "us-345", "features": features})
    .to_string()
}

/// A device's id, the outlet of its best way, and the wall named.
type Named = (String, Option<String>, Option<String>);

/// Each device that is not sound: its id, the outlet of its best way, and the wall named; and how
/// many new repeaters make how many of them thin.
fn unheard(plan: &str) -> (Vec<Named>, [usize; 2]) {
    let plan = plan_of(plan);
    let site = fixtures::site(&plan);
    let reach = Reach::new(&site).unwrap();
    let settings = RelaySettings::default();
    let panel = plan.panel().unwrap().clone();
    let candidates = at_outlets(&plan, &settings);
    let mut relays =
        Relays::new(&reach, settings, vec![panel], candidates, &|_| {}, &|| false).unwrap();
    let answer = relays.solve(&|| false).unwrap();
    let thin = answer.unheard.iter().filter(|left| left.is_thin).count();
    let named = answer.unheard.iter().map(|left| {
        let over = left.over.as_ref().map(|(site, _)| &relays.candidates[*site]);
        (
            reach.transmitters[left.transmitter].device.id.clone(),
            over.and_then(|candidate| candidate.outlet.clone()),
            left.wall.as_ref().map(|wall| wall.feature.clone()),
        )
    });
    (named.collect(), [answer.new.len(), thin])
}

fn row(id: &str, outlet: &str, wall: &str) -> Named {
    (id.to_owned(), Some(outlet.to_owned()), Some(wall.to_owned()))
}

#[test]
fn a_metal_box_is_named_and_not_the_bricks_on_the_way() {
    // A repeater beside the box makes it thin at least.
    let (named, counts) = unheard(&house(false, "sheet-metal"));
    assert_eq!(named, [row("locked-in", "outlet-near-box", "box")]);
    assert_eq!(counts, [1, 1]);
}

#[test]
fn a_screen_before_the_panel_is_named_where_it_costs_more_than_the_box() {
    let (named, counts) = unheard(&house(true, "glass-wired"));
    assert_eq!(named.len(), 2, "nothing gets out of the screen: {named:?}");
    // One of them is thin as it is.
    assert_eq!(counts, [0, 1]);
    for (id, _, wall) in named {
        assert_eq!(wall.as_deref(), Some("screen"), "{id}");
    }
}
