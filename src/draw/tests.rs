//! Promises of the pictures as a whole.

use std::time::Instant;

use super::sample::{house, office, tiny};
use super::*;

#[test]
fn a_look() {
    for (name, picture) in [("house", house()), ("office", office()), ("tiny", tiny())] {
        for _ in 0..3 {
            let start = Instant::now();
            let fixed = layout(&picture, Size::default()).expect("layout");
            let laid = start.elapsed();
            let png = fixed.png(&picture).expect("png");
            let pngd = start.elapsed();
            let svg = fixed.svg(&picture).expect("svg");
            eprintln!("{name}: layout {laid:?} +png {pngd:?} +svg {:?}; {} {} key {:?}", start.elapsed(), png.len(), svg.len(), fixed.in_key.len());
            std::fs::write(format!("/tmp/draw_{name}.png"), png).expect("write");
            std::fs::write(format!("/tmp/draw_{name}.svg"), svg).expect("write");
        }
    }
}
