//! Promises of the map of spots and of the picture of links.

use super::sample::{house, linked, spots, tiny};
use super::{check_drawn, check_layout, check_refused, check_says, drawn, laid_out, words};
use crate::base::distance;
use crate::parts::links;
use crate::parts::mark::Badge;
use crate::*;

#[test]
fn labels_keep_off_badges_outlets_and_the_tips_of_pins() {
    for picture in [spots(), linked()] {
        let fixed = laid_out(&picture, 1600);
        let size = fixed.view.size;
        let mut seen = 0;
        for label in &fixed.labels.placed {
            for mark in &fixed.places {
                if let Some(badge) = mark.badge_box(size) {
                    assert!(!badge.overlaps(&label.rect), "{label:?}");
                    seen += 1;
                }
                if mark.rank.is_some() {
                    let near = label.rect.nearest(mark.spot);
                    assert!(distance(near, mark.spot) > 3.0);
                    seen += 1;
                }
            }
            for &outlet in &picture.outlets {
                let outlet = fixed.view.place(outlet);
                assert!(distance(label.rect.nearest(outlet), outlet) > 10.0, "{label:?}");
            }
        }
        assert!(seen > 20);
    }
}

#[test]
fn labels_keep_off_walks() {
    let picture = spots();
    let fixed = laid_out(&picture, 1600);
    let walks = picture.lines.iter().filter(|line| line.kind == LineKind::Walk);
    let walks: Vec<_> = walks.map(|line| fixed.view.places(&line.points)).collect();
    assert!(walks.len() > 1 && fixed.labels.placed.len() > 5);
    for label in &fixed.labels.placed {
        let pieces = walks.iter().flat_map(|walk| walk.windows(2));
        let met = pieces.filter(|pair| label.rect.meets(pair[0], pair[1]));
        assert_eq!(met.count(), 0, "{label:?}");
    }
}

#[test]
fn the_map_says_what_everything_is_with_units() {
    let picture = spots();
    let wanted = "\
        Worst margin over all devices if the | panel hung there, dB over the floor | \
        +13 dB | worst is failing | best spot; the cross marks where | the panel \
        hangs | the panel may not hang here: | metal near | over an | within reach of a way \
        in | power outlet | walk from an entry to the spot | wire from an outlet to the spot | panel, \
        where the plan has it now | entry door | 2 m | m wire";
    let said = check_says(&drawn(&picture), wanted);
    // A ranked spot's number stands between its brackets, once; those of the first two in the
    // legend, too.
    for rank in 1..=5_u32 {
        let sensors = picture.devices.iter();
        let sensors = sensors.filter(|device| device.number == Some(rank)).count();
        let pins = said.matches(&format!("\n{rank}\n")).count();
        assert_eq!(pins, 1 + sensors + usize::from(rank < 3), "spot {rank}");
    }
}

#[test]
fn outlets_alone_make_no_map_of_spots() {
    let mut picture = linked();
    let before = words(&drawn(&picture));
    picture.outlets = vec![[7.33, 2.6], [4.9, 8.0]];
    let after = words(&drawn(&picture));
    assert!(!before.contains("power outlet") && after.contains("power outlet"));
    assert!(!after.contains("may hang") && !after.contains("has it now"));
}

#[test]
fn the_first_spot_is_told_by_its_shape() {
    let places = laid_out(&spots(), 1600).places;
    let pins = places.iter().filter(|mark| mark.rank.is_some());
    let radii: Vec<f64> = pins.map(|pin| pin.radius).collect();
    assert_eq!(radii.len(), 5);
    assert!(radii[1..].iter().all(|radius| *radius < 0.8 * radii[0]));
}

#[test]
fn links_end_at_marks_and_say_what_they_are() {
    let picture = linked();
    let fixed = laid_out(&picture, 1600);
    let lines = links::lines(&picture, &fixed.places, &fixed.view);
    let heard = picture.devices.iter().filter(|d| links::link(d).is_some());
    assert_eq!(lines.len(), heard.count());
    let centres: Vec<[f64; 2]> = fixed.places.iter().map(|mark| mark.centre).collect();
    for line in &lines {
        assert!(centres.contains(&line.from));
        assert_eq!(centres.contains(&line.to), !line.stub);
    }
    assert_eq!(lines.iter().filter(|line| line.stub).count(), 3);
    let badges = |badge: Badge| {
        let marks = fixed.places.iter();
        marks.filter(|mark| mark.badge == Some(badge)).count()
    };
    assert_eq!((badges(Badge::New), badges(Badge::NotHeard)), (2, 1));
    let wanted = "\
        heard by the panel directly | heard through the repeater | from a repeater \
        onward | the other end is on another level | no sound way to the panel | not there \
        yet | to Upstairs | no sound way | new";
    check_says(&drawn(&picture), wanted);
}

#[test]
fn a_place_to_repeat_is_the_same_as_a_link_over_a_repeater() {
    let old = house();
    let mut new = old.clone();
    for device in &mut new.devices {
        if let Some(place) = device.via.take() {
            device.link = Link::OverRepeater(LinkEnd::Here(place));
        }
    }
    assert_ne!(old.devices[15].via, new.devices[15].via);
    assert_eq!(drawn(&old).svg().ok(), drawn(&new).svg().ok());
}

#[test]
fn poor_spots_and_links_are_drawn_or_refused_but_never_panic() {
    let mut picture = tiny();
    let spot = |rank: Option<u32>| SpotMark {
        position: [2.0, 1.0],
        rank,
        label: "x · ".repeat(200),
        ..SpotMark::default()
    };
    picture.spots = (0..60).map(|rank| spot(Some(rank))).collect();
    picture.spots.extend((0..9_000).map(|_| spot(None)));
    picture.spots.push(spot(Some(u32::MAX)));
    picture.outlets = vec![[2.0, 1.0]; 9];
    picture.headline = "word ".repeat(500);
    picture.field_title = "word ".repeat(500);
    picture.field_words = ["x"; 3].map(|word| word.repeat(300));
    for points in [0, 1, 2, 5] {
        let line = vec![[1.0, 1.0]; points];
        picture.lines.push(LineMark {
            points: line.clone(),
            label: "6 s".to_owned(),
            ..LineMark::default()
        });
        picture.forbidden.push(ForbiddenMark {
            line,
            facing: [0.0, 0.0],
            reason: "<&>".repeat(points * 100),
        });
    }
    picture.forbidden.push(ForbiddenMark {
        line: vec![[0.0, 0.0], [4.0, 3.0], [0.0, 0.1]],
        ..ForbiddenMark::default()
    });
    let stub =
        LinkEnd::Elsewhere { towards: [0.0, 0.0], text: "to nowhere \u{202e}<b>".to_owned() };
    for link in [
        Link::Direct(stub.clone()),
        Link::RepeaterToPanel(stub),
        Link::OverRepeater(LinkEnd::Here([2.0, 1.0])),
        Link::NotHeard,
    ] {
        picture.devices.push(DeviceMark {
            position: [2.0, 1.0],
            link,
            new: true,
            ..DeviceMark::default()
        });
    }
    check_layout(&picture, 1600);
    check_drawn(Ok(laid_out(&picture, 480).drawing(&picture)));
    let nan = f64::NAN;
    let spoilt: [fn(&mut Picture, f64); 6] = [
        |picture, nan| picture.spots[0].position[1] = nan,
        |picture, nan| picture.spots[0].facing[0] = nan,
        |picture, nan| picture.forbidden[2].line[0][0] = nan,
        |picture, nan| picture.outlets[3][1] = nan,
        |picture, nan| picture.lines[3].points[1][0] = nan,
        |picture, nan| picture.devices[0].link = Link::Direct(LinkEnd::Here([0.0, nan])),
    ];
    for spoil in spoilt {
        let mut bad = picture.clone();
        spoil(&mut bad, nan);
        check_refused(layout(&bad, Size::default()));
    }
}
