//! A PDF as others read it: poppler's programs.

use std::path::Path;
use std::process::Command;

use super::browser::find;

/// Pixels to the inch; a pixel is a point.
const RESOLUTION: &str = "72";

/// That the programs are there.
pub struct Tools;

/// A page in grey, a byte a pixel, 0 is black.
pub struct Page {
    width: usize,
    height: usize,
    pixels: Vec<u8>,
}

fn run(program: &str, arguments: &[&str], file: &Path) -> Vec<u8> {
    let (before, after) =
        if program == "pdftotext" { (arguments, vec!["-"]) } else { (arguments, Vec::new()) };
    let output = Command::new(program).args(before).arg(file).args(after).output().unwrap();
    let complaints = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{program}: {complaints}");
    let complaints: Vec<&str> = complaints
        .lines()
        // Up to 22 at least, poppler takes `/Suspects false` for a fault, which ISO 32000-1, table
        // 321 (from memory), says it may be.
        .filter(|line| !line.is_empty() && !line.contains("Suspects object is wrong type"))
        .collect();
    assert!(complaints.is_empty(), "{program}: {complaints:?}");
    output.stdout
}

impl Tools {
    pub fn find() -> Option<Self> {
        find("reader of PDF", &["pdftoppm"]).map(|_| Self)
    }

    pub fn pages(&self, file: &Path) -> Vec<Page> {
        let mut rest = run("pdftoppm", &["-r", RESOLUTION, "-gray"], file);
        let mut pages = Vec::new();
        while !rest.is_empty() {
            // PGM: `P5`, width, height, 255, each followed by one blank, then the pixels.
            let mut words = Vec::new();
            let mut at = 0;
            while words.len() < 4 {
                let end = at + rest[at..].iter().position(u8::is_ascii_whitespace).unwrap();
                words.push(String::from_utf8(rest[at..end].to_vec()).unwrap());
                at = end + 1;
            }
            assert_eq!((words[0].as_str(), words[3].as_str()), ("P5", "255"));
            let (width, height): (usize, usize) =
                (words[1].parse().unwrap(), words[2].parse().unwrap());
            let end = at + width * height;
            pages.push(Page { width, height, pixels: rest[at..end].to_vec() });
            rest.drain(..end);
        }
        pages
    }

    pub fn text(&self, file: &Path) -> String {
        String::from_utf8(run("pdftotext", &["-layout"], file)).unwrap()
    }

    pub fn properties(&self, file: &Path) -> String {
        String::from_utf8(run("pdfinfo", &[], file)).unwrap()
    }

    /// A line for each font, with its blanks made single.
    pub fn fonts(&self, file: &Path) -> Vec<String> {
        String::from_utf8(run("pdffonts", &[], file))
            .unwrap()
            .lines()
            .skip(2)
            .map(|line| line.split_whitespace().collect::<Vec<_>>().join(" "))
            .collect()
    }
}

impl Page {
    /// All that is not white lies between margins, given in points: left and right, above, below;
    /// and there is some.
    pub fn assert_ink_within(&self, number: usize, side: f64, above: f64, below: f64) {
        let mut ink = 0;
        for (at, grey) in self.pixels.iter().enumerate() {
            if *grey > 250 {
                continue;
            }
            ink += 1;
            // The pixel's middle.
            let x = (at % self.width) as f64 + 0.5;
            let y = (at / self.width) as f64 + 0.5;
            let inside = x > side
                && x < self.width as f64 - side
                && y > above
                && y < self.height as f64 - below;
            assert!(
                inside,
                "ink outside the margins on page {}, at {x}, {y} of {} by {}",
                number + 1,
                self.width,
                self.height
            );
        }
        assert!(ink > 100, "page {} is empty", number + 1);
    }
}
