//! The installer's logo.

use std::path::Path;

use super::MAX_LOGO_BYTES;
use super::bitmap::{Bitmap, Fault};
use input::file_bytes;

/// Widest and highest that the logo is printed, and the width of the text beside which it stands,
/// mm.
const BOX_MM: (f64, f64) = (60.0, 22.0);
const TEXT_WIDTH_MM: f64 = 170.0;

/// Most pixels of the logo as printed: 60 × 22 mm at about 240 to the inch.
const MOST_PX: (u32, u32) = (566, 208);

/// A logo made ready for the head of a page: at the left of a white strip that is as wide as the
/// text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Logo {
    /// The strip, PNG.
    pub png: Vec<u8>,
    /// Its width, pixels.
    pub width: u32,
    /// Its height, pixels.
    pub height: u32,
}

/// Reads a logo.
pub(super) fn read(path: &Path) -> Result<Logo, Fault> {
    let bytes = file_bytes(path, MAX_LOGO_BYTES, "a PNG file", "save the logo smaller")
        .map_err(|fault| (fault.what, fault.mend))?;
    let logo = Bitmap::read(&bytes)?.within(MOST_PX.0, MOST_PX.1);
    let (width, height) = logo.size();
    let strip = (f64::from(width) / BOX_MM.0).max(f64::from(height) / BOX_MM.1) * TEXT_WIDTH_MM;
    let strip = logo.widened(strip.ceil() as u32);
    let (width, height) = strip.size();
    Ok(Logo { png: strip.png()?, width, height })
}
