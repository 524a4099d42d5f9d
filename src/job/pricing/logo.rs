//! The installer's logo, as rows of red, green and blue: read from PNG, made smaller, written as
//! PNG.

use std::fmt::Display;
use std::io::Cursor;
use std::path::Path;

use super::MAX_LOGO_BYTES;
use input::file_bytes;

/// Most pixels of a picture that is read, either way (our own choice).
const MOST_SIDE: u32 = 6000;

/// Most memory that reading may take, bytes: a picture of the largest size, four bytes a pixel.
const MOST_BYTES: usize = 4 * (MOST_SIDE as usize) * (MOST_SIDE as usize);

/// A picture without transparency.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Bitmap {
    width: u32,
    height: u32,
    /// Three bytes a pixel, row by row from the top.
    rgb: Vec<u8>,
}

/// What is wrong with a picture, and how to fix it.
pub(super) type Fault = (String, String);

fn no_png(why: impl Display) -> Fault {
    (format!("the logo is not a PNG that can be read: {why}"), "save the logo as PNG".to_owned())
}

fn unusable(why: impl Display) -> Fault {
    (
        format!("the logo cannot be used: {why}"),
        "save the logo smaller; 600 pixels across are plenty".to_owned(),
    )
}

impl Bitmap {
    /// Reads a PNG. What is transparent is laid on white.
    fn read(bytes: &[u8]) -> Result<Self, Fault> {
        const SIGNATURE: [u8; 8] = [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n'];
        if !bytes.starts_with(&SIGNATURE) {
            return Err(no_png("it does not start like a PNG"));
        }
        let limits = png::Limits { bytes: MOST_BYTES };
        let mut decoder = png::Decoder::new_with_limits(Cursor::new(bytes), limits);
        decoder.set_transformations(png::Transformations::normalize_to_color8());
        let (width, height) = decoder.read_header_info().map_err(no_png)?.size();
        if width > MOST_SIDE || height > MOST_SIDE {
            let size = format!("{width} × {height} pixels");
            return Err(unusable(format!("it is {size}, more than {MOST_SIDE} one way")));
        }
        let mut reader = decoder.read_info().map_err(no_png)?;
        let mut data = vec![0; reader.output_buffer_size()];
        let frame = reader.next_frame(&mut data).map_err(no_png)?;
        let on_white = |value: u8, alpha: u8| {
            let (value, alpha) = (u32::from(value), u32::from(alpha));
            let mixed = (value * alpha + 255 * (255 - alpha) + 127) / 255;
            u8::try_from(mixed).unwrap_or(u8::MAX)
        };
        let pixels = data.chunks_exact(frame.color_type.samples());
        let rgb = pixels.flat_map(|pixel| match *pixel {
            [grey] => [grey; 3],
            [grey, alpha] => [on_white(grey, alpha); 3],
            [red, green, blue] => [red, green, blue],
            [red, green, blue, alpha] => [red, green, blue].map(|value| on_white(value, alpha)),
            _ => [255; 3],
        });
        let (width, height) = (frame.width, frame.height);
        let most = 3 * width as usize * height as usize;
        Ok(Self { width, height, rgb: rgb.take(most).collect() })
    }

    /// Pixels across and down.
    const fn size(&self) -> (u32, u32) {
        (self.width, self.height)
    }

    fn row(&self, y: u32) -> &[u8] {
        let length = 3 * self.width as usize;
        let start = y as usize * length;
        self.rgb.get(start..start + length).unwrap_or_default()
    }

    /// Made to fit a box, by the mean over the area that a new pixel covers; as it is if it fits.
    fn within(&self, most_wide: u32, most_high: u32) -> Self {
        let (width, height) = (f64::from(self.width), f64::from(self.height));
        let scale = (f64::from(most_wide) / width).min(f64::from(most_high) / height);
        if scale >= 1.0 || !scale.is_finite() {
            return self.clone();
        }
        let new = |side: f64| (side * scale).round().max(1.0) as u32;
        let (across, down) = (new(width), new(height));
        let mut rgb = Vec::with_capacity(3 * across as usize * down as usize);
        for y in 0..down {
            let rows = shares(y, f64::from(down), height);
            for x in 0..across {
                let columns = shares(x, f64::from(across), width);
                let (mut sum, mut weight) = ([0.0; 3], 0.0);
                for (row, part) in &rows {
                    let line = self.row(*row);
                    for (column, share) in &columns {
                        let at = 3 * *column as usize;
                        let pixel = line.get(at..at + 3).unwrap_or(&[255; 3]);
                        for (total, value) in sum.iter_mut().zip(pixel) {
                            *total += part * share * f64::from(*value);
                        }
                        weight += part * share;
                    }
                }
                rgb.extend(sum.map(|total| (total / weight).round() as u8));
            }
        }
        Self { width: across, height: down, rgb }
    }

    /// The same with white to its right, so wide in all.
    fn widened(&self, width: u32) -> Self {
        let width = width.max(self.width);
        let white = 3 * (width - self.width) as usize;
        let mut rgb = Vec::with_capacity(3 * width as usize * self.height as usize);
        for y in 0..self.height {
            rgb.extend_from_slice(self.row(y));
            rgb.resize(rgb.len() + white, 255);
        }
        Self { width, height: self.height, rgb }
    }

    /// The picture as PNG. The same picture always gives the same bytes.
    fn png(&self) -> Result<Vec<u8>, Fault> {
        let failed =
            |error: png::EncodingError| unusable(format!("the picture cannot be encoded: {error}"));
        let mut bytes = Vec::new();
        let mut encoder = png::Encoder::new(&mut bytes, self.width, self.height);
        encoder.set_color(png::ColorType::Rgb);
        encoder.set_depth(png::BitDepth::Eight);
        encoder.set_compression(png::Compression::Fast);
        let mut writer = encoder.write_header().map_err(failed)?;
        writer.write_image_data(&self.rgb).map_err(failed)?;
        writer.finish().map_err(failed)?;
        Ok(bytes)
    }
}

/// Which old rows (or columns) a new one covers, and how much of each.
fn shares(new: u32, new_count: f64, old_count: f64) -> Vec<(u32, f64)> {
    let step = old_count / new_count;
    let (from, to) = (f64::from(new) * step, (f64::from(new) + 1.0) * step);
    let last = (to.ceil() as u32).min(old_count as u32);
    let covered = |old: u32| (to.min(f64::from(old) + 1.0) - from.max(f64::from(old))).max(0.0);
    (from as u32..last).map(|old| (old, covered(old))).collect()
}

/// Widest and highest that the logo is printed, and the width of the text beside which it stands,
/// mm.
const BOX_MM: (f64, f64) = (60.0, 22.0);
const TEXT_WIDTH_MM: f64 = 170.0;

/// Most pixels of the logo as printed: 60 × 22 mm at about 240 to the inch.
const MOST_PX: (u32, u32) = (566, 208);

/// A picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Image {
    /// The file, PNG.
    pub png: Vec<u8>,
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
}

/// Reads a logo and makes it ready for the head of a page: at the left of a white strip that is as
/// wide as the text.
pub(super) fn read_logo(path: &Path) -> Result<Image, Fault> {
    let bytes = file_bytes(path, MAX_LOGO_BYTES, "a PNG file", "save the logo smaller")
        .map_err(|fault| (fault.what, fault.fix))?;
    let logo = Bitmap::read(&bytes)?.within(MOST_PX.0, MOST_PX.1);
    let (width, height) = logo.size();
    let strip = (f64::from(width) / BOX_MM.0).max(f64::from(height) / BOX_MM.1) * TEXT_WIDTH_MM;
    let strip = logo.widened(strip.ceil() as u32);
    let (width, height) = strip.size();
    Ok(Image { png: strip.png()?, width, height })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 4 × 2 pixels: left half black, right half white.
    fn halves() -> Bitmap {
        let row = [[0; 6], [255; 6]].concat();
        Bitmap { width: 4, height: 2, rgb: [row.clone(), row].concat() }
    }

    #[test]
    fn what_is_written_is_read_again() {
        let bytes = halves().png().expect("it is written");
        assert_eq!(Bitmap::read(&bytes), Ok(halves()));
    }

    #[test]
    fn widened_and_made_smaller() {
        let wide = halves().widened(6);
        assert_eq!((wide.size(), wide.row(1)[9..].iter().all(|v| *v == 255)), ((6, 2), true));
        let small = halves().within(1, 1);
        assert_eq!((small.size(), small.rgb), ((1, 1), vec![128; 3]));
        // The middle one covers as much black as white: 127.5, to either side.
        let mixed = halves().within(3, 9);
        let row: Vec<u8> = mixed.rgb.chunks(3).map(|p| p[0]).take(3).collect();
        assert!(row == [0, 127, 255] || row == [0, 128, 255], "{row:?}");
        assert_eq!(halves().within(4, 2), halves());
    }

    #[test]
    fn broken_pictures_are_refused() {
        let whole = halves().png().expect("it is written");
        for length in 0..whole.len() - 12 {
            assert!(Bitmap::read(&whole[..length]).is_err(), "{length} bytes");
        }
        let mut huge = whole;
        huge[16..20].copy_from_slice(&u32::MAX.to_be_bytes());
        assert!(Bitmap::read(&huge).is_err());
    }
}
