//! Promises of plain pictures on paper.

use super::sample::{house, linked, office};
use super::{check_apart, check_labels, check_refused};
use crate::base::ink::contrast;
use crate::base::{INK, Ink, Shape};
use crate::parts::bands::Bands;
use crate::parts::labels::PLAIN_EM;
use crate::parts::mark;
use crate::*;

const HALF: Print = Print { room_pt: [232.0, 560.0], digits_pt: 6.7, px_per_pt: 3.0 };

fn plain(mut picture: Picture) -> Picture {
    picture.plain = true;
    picture.roams.clear();
    for obstacle in &mut picture.obstacles {
        obstacle.label.clear();
    }
    picture
}

/// Every text with its em, as it is drawn.
fn ems(picture: &Picture, print: Print) -> Vec<(String, f64)> {
    let drawing = printed(picture, print).expect("a layout").drawing(picture);
    let texts = drawing.canvas.shapes.iter().filter_map(|shape| match shape {
        Shape::Text(text, _, kind, _, _) => Some((text.clone(), kind.em)),
        _ => None,
    });
    texts.collect()
}

#[test]
fn digits_and_names_are_as_large_on_paper_as_told() {
    for (name, picture) in [("house", house()), ("office", office()), ("linked", linked())] {
        let mut picture = plain(picture);
        // Numbers of three digits are set smaller in their marks.
        for long in [false, true] {
            if long && let Some(device) = picture.devices.last_mut() {
                device.number = Some(128);
            }
            let texts = ems(&picture, HALF);
            assert!(texts.len() > 8, "{name}: {texts:?}");
            for (text, em) in texts {
                let points = em / HALF.px_per_pt;
                let mark = text.chars().count() < 4 && text.chars().all(|c| !c.is_lowercase());
                let least = if mark { 6.5 } else { 6.0 };
                assert!(points >= least, "{name}: {text} is {points:.2} points");
            }
        }
    }
}

#[test]
fn a_plain_picture_says_names_and_nothing_else() {
    for picture in [house(), linked()] {
        let picture = plain(picture);
        for (text, _) in ems(&picture, HALF) {
            let device = picture.devices.iter().any(|device| {
                let words: Vec<&str> = text.trim_end_matches('…').split_whitespace().collect();
                device.name.contains(&words.join(" "))
            });
            let tag = mark::tags(&picture).contains(&text);
            assert!(device || tag || text == "new", "{text}");
        }
    }
}

#[test]
fn names_cover_no_mark_and_no_other_name() {
    for picture in [house(), office(), linked()] {
        for print in [HALF, Print { room_pt: [480.0, 560.0], ..HALF }] {
            let layout = printed(&plain(picture.clone()), print).expect("a layout");
            // Sixty marks in eight centimetres leave no room for names.
            let crowded = print == HALF && picture.devices.len() > 60;
            assert!(crowded || !layout.labels.placed.is_empty(), "{}", picture.devices.len());
            check_labels(&layout, &layout.page);
            let [wide, high] = print.room();
            let (width, height) = layout.size_px();
            assert!(f64::from(width) <= wide && f64::from(height) <= high);
            assert!(f64::from(width) > 0.98 * wide || f64::from(height) > 0.98 * high);
        }
    }
}

#[test]
fn the_key_keeps_its_words_apart_and_within_the_room() {
    let all = [
        KeySample::Finding(Finding::Sound),
        KeySample::Finding(Finding::Thin),
        KeySample::Finding(Finding::Failing),
        KeySample::Device(DeviceKind::Panel),
        KeySample::Device(DeviceKind::Repeater),
        KeySample::Device(DeviceKind::Keypad),
        KeySample::Device(DeviceKind::Siren),
        KeySample::Direct,
        KeySample::Ways,
    ];
    for text in ["short", "no llega con seguridad", &"very long ".repeat(30)] {
        let entries = all.map(|sample| KeyEntry { sample, text: text.to_owned() });
        let drawing = print_key(&entries, HALF).expect("a key");
        let texts = drawing.texts();
        // The samples' own letters are the others.
        assert!(texts.len() > all.len());
        check_apart(&drawing.page, &texts, 0.0);
    }
    assert!(PLAIN_EM * HALF.size() / HALF.px_per_pt >= 6.0);
}

#[test]
fn the_three_tones_are_told_apart_in_grey() {
    let bands = Bands::findings(Thresholds::default());
    let tones = [0, 1, 2].map(|band| bands.ink(band));
    assert!(contrast(tones[0], tones[1]) > 2.0 && contrast(tones[1], tones[2]) > 2.0);
    // Names stand on black, on white (see the inks), or on white that lets a tenth through.
    for tone in tones {
        let plate = Ink {
            rgb: tone.rgb.map(|value| (0.9 * 255.0 + 0.1 * f64::from(value)) as u8),
            alpha: 1.0,
        };
        assert!(contrast(INK, plate) >= 4.5);
    }
}

#[test]
fn numbers_that_cannot_be_drawn_are_told() {
    let mut picture = plain(house());
    picture.devices[0].position = [f64::NAN, 0.0];
    check_refused(printed(&picture, HALF));
    // An empty plan is no reason to fail.
    printed(&Picture::default(), HALF).expect("a layout");
}
