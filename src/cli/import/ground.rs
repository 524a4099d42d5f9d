//! What is asked of a picture: lengths that are known and corners to square it up by; and the
//! picture that is kept beside the plan.

use std::path::Path;

use crate::error::{CommandError, text_of};
use crate::files::{NewFile, stem};
use import::Draft;
use import::pdf::Scale;
use import::picture::{Square, free_name};
use import::tape::length_m;
use units::Lengths;

/// A length of the house, and how long it is on a page or in a picture.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Known {
    Page(Scale),
    /// In metres and in pixels.
    Picture(f64, f64),
}

impl Known {
    pub(crate) fn on_paper(&self) -> Option<Scale> {
        match *self {
            Self::Page(scale) => Some(scale),
            Self::Picture(..) => None,
        }
    }

    pub(crate) fn in_picture(&self) -> Option<(f64, f64)> {
        match *self {
            Self::Page(_) => None,
            Self::Picture(metres, pixels) => Some((metres, pixels)),
        }
    }
}

/// A length of the house and how long it is on paper or in a picture.
pub(crate) fn known_length(text: &str) -> Result<Known, String> {
    const FIX: &str = "write both lengths, for example \"3.6 m = 412 pt\", of a picture in px";
    let (house, paper) = text.split_once('=').ok_or(FIX)?;
    let house_m = length_m(house.trim(), Lengths::Metric)?;
    let paper = paper.trim();
    // Points of a page: 72 in an inch.
    let units = [("pt", 1.0), ("mm", 72.0 / 25.4), ("in", 72.0), ("px", 1.0)];
    let found = units.iter().find_map(|(unit, points)| {
        let number: f64 = paper.strip_suffix(unit)?.trim().parse().ok()?;
        Some((*unit, number * points))
    });
    let found = found.filter(|(_, points)| (1.0..=100_000.0).contains(points));
    let (unit, long) = found.filter(|_| house_m > 0.0).ok_or(FIX)?;
    Ok(if unit == "px" {
        Known::Picture(house_m, long)
    } else {
        Known::Page(Scale::MetresPerPoint(house_m / long))
    })
}

/// The corners in a file: four lines of column and row, and perhaps one with the rectangle's size.
pub(crate) fn corners(path: &Path) -> Result<Square, CommandError> {
    const MOST: usize = 4 * 1024;
    let fix = "write four lines \"column row\", clockwise from the upper left corner, and perhaps \
               one such as \"4.2 m by 3 m\"";
    let (name, text) = text_of(path, MOST, "a list of corners", "check that it is the right file")?;
    let wrong = |what: String| CommandError::file(&name, what, fix);
    let (mut corners, mut size_m) = (Vec::new(), None);
    let lines = text.lines().map(str::trim).zip(1..);
    for (line, number) in lines.filter(|(line, _)| !line.is_empty() && !line.starts_with('#')) {
        let size = line.split_once(" by ");
        let metres = |text: &str| {
            let metres = length_m(text.trim(), Lengths::Metric);
            let metres = metres.map_err(|why| wrong(format!("line {number}: {why}")))?;
            if metres > 0.0 { Ok(metres) } else { Err(wrong(format!("line {number} is no size"))) }
        };
        if let Some((wide, high)) = size {
            size_m = Some([metres(wide)?, metres(high)?]);
            continue;
        }
        let numbers = line.split([' ', ',', '\t']).filter(|word| !word.is_empty());
        let numbers: Option<Vec<f64>> = numbers.map(|word| word.parse().ok()).collect();
        match numbers.as_deref() {
            Some(&[x, y]) if x.is_finite() && y.is_finite() => corners.push([x, y]),
            _ => return Err(wrong(format!("line {number} is no corner"))),
        }
    }
    let count = corners.len();
    let corners = <[[f64; 2]; 4]>::try_from(corners);
    let corners = corners.map_err(|_| wrong(format!("the file has {count} corners, not four")))?;
    Ok(Square { corners, size_m })
}

/// The picture of a draft that was made of one, as a file beside the plan; the draft names it.
pub(crate) fn kept(draft: &mut Draft, plan: &Path) -> Option<NewFile> {
    let ground = draft.ground.as_mut()?;
    let is_there = |name: &str| plan.with_file_name(name).symlink_metadata().is_ok();
    ground.file = free_name(&stem(plan), ground.ending, is_there);
    Some(NewFile::new(ground.file.clone(), std::mem::take(&mut ground.bytes)))
}
