//! An address as a QR code: for the terminal, and for the page.

use qrcodegen::{QrCode, QrCodeEcc};

/// Light modules that must stand around a code (ISO/IEC 18004, from memory).
const MARGIN: usize = 4;

/// The modules of a code, row by row from the top, margin included; true is dark. Empty for a text
/// that is too long for any code.
#[must_use]
pub fn modules(text: &str) -> Vec<Vec<bool>> {
    let Ok(code) = QrCode::encode_text(text, QrCodeEcc::Medium) else { return Vec::new() };
    let margin = MARGIN as i32;
    let all = -margin..code.size() + margin;
    // Beyond its edges a code is light.
    all.clone().map(|y| all.clone().map(|x| code.get_module(x, y)).collect()).collect()
}

/// Rows of modules as lines of text, two rows in a line; what is dark is printed.
#[must_use]
pub fn half_blocks(modules: &[Vec<bool>]) -> Vec<String> {
    let line = |rows: &[Vec<bool>]| {
        let below = |x: usize| rows.get(1).is_some_and(|row| row[x]);
        let half = |(x, above): (usize, &bool)| match (above, below(x)) {
            (true, true) => '█',
            (true, false) => '▀',
            (false, true) => '▄',
            (false, false) => ' ',
        };
        rows[0].iter().enumerate().map(half).collect()
    };
    modules.chunks(2).map(line).collect()
}
