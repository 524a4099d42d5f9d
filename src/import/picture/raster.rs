//! A picture's file as pixels, within bounds, and back.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder as _, ImageFormat, ImageReader, Limits, Rgb, RgbImage};

/// What is wrong, and how to fix it.
pub type Trouble = (String, &'static str);

/// Largest file that is read, bytes (our own choice: a photograph of a good telephone).
pub const MAX_PICTURE_BYTES: usize = 25 << 20;
/// Most pixels of a picture (our own choice: the same).
pub const MAX_PIXELS: u64 = 40_000_000;
/// Fewest columns and rows.
const FEWEST: u32 = 16;
/// Most pixels in which walls are looked for.
const MOST_OF_PAGE: u64 = 12_000_000;
/// Most pixels of a page for one of a coarse picture, each way (our own choice).
const MOST_FINER: f64 = 4.0;
/// Most memory that a decoder may ask for, bytes: all pixels with four channels of sixteen bits.
const MOST_MEMORY: u64 = MAX_PIXELS * 8 + (16 << 20);
/// How well a JPEG is kept, of 100 (our own choice).
const QUALITY: u8 = 88;

const SMALLER: &str = "make the picture smaller, or cut it to the floor plan";
const ANOTHER: &str = "save it again as PNG or JPEG in a picture program";

/// A picture, upright, without what else was in its file.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    pixels: RgbImage,
    format: ImageFormat,
}

/// Grey pixels, row by row from the top.
pub(super) struct Page {
    pub(super) columns: usize,
    pub(super) rows: usize,
    pub(super) grey: Vec<u8>,
}

impl Page {
    /// With so many pixels for each, along smooth curves between them (cubic, Catmull and Rom).
    fn finer(&self, times: usize) -> Self {
        let wide = stretched(&self.grey, self.columns, times);
        let (columns, rows) = (self.columns * times, self.rows * times);
        let turned = turned(&wide, columns);
        let grey = stretched(&turned, self.rows, times);
        Self { columns, rows, grey: self::turned(&grey, rows) }
    }
}

/// Rows as columns.
fn turned(grey: &[u8], columns: usize) -> Vec<u8> {
    (0..columns).flat_map(|column| grey[column..].iter().step_by(columns).copied()).collect()
}

/// Rows with so many pixels for each.
fn stretched(grey: &[u8], columns: usize, times: usize) -> Vec<u8> {
    let weights: Vec<[f64; 4]> = (0..times)
        .map(|step| {
            // Places between the middles of pixels, from half a pixel before to half behind.
            let t = (step as f64 + 0.5) / times as f64 + 0.5;
            let t = if t >= 1.0 { t - 1.0 } else { t };
            let (t2, t3) = (t * t, t * t * t);
            [
                (2.0 * t2 - t - t3) / 2.0,
                (3.0 * t3 - 5.0 * t2 + 2.0) / 2.0,
                (4.0 * t2 + t - 3.0 * t3) / 2.0,
                (t3 - t2) / 2.0,
            ]
        })
        .collect();
    let mut out = Vec::with_capacity(grey.len() * times);
    for row in grey.chunks_exact(columns) {
        for column in 0..columns {
            for (step, weights) in weights.iter().enumerate() {
                // The first of the four lies two before where it is in the left half of its pixel.
                let first = column + usize::from(2 * step + 1 >= times);
                let at = |number: usize| {
                    f64::from(row[(first + number).saturating_sub(2).min(columns - 1)])
                };
                let sum: f64 = weights.iter().enumerate().map(|(n, w)| w * at(n)).sum();
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "grey"
                )]
                out.push(sum.round().clamp(0.0, 255.0) as u8);
            }
        }
    }
    out
}

fn format_of(bytes: &[u8]) -> Result<ImageFormat, Trouble> {
    if bytes.len() > MAX_PICTURE_BYTES {
        let what = format!("the picture is larger than {} MB", MAX_PICTURE_BYTES >> 20);
        return Err((what, SMALLER));
    }
    if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        Ok(ImageFormat::Png)
    } else if bytes.starts_with(b"\xff\xd8\xff") {
        Ok(ImageFormat::Jpeg)
    } else {
        Err(("this is no PNG or JPEG".to_owned(), ANOTHER))
    }
}

/// A decoder that has read no more than the head of a file.
fn decoder(bytes: &[u8]) -> Result<(impl image::ImageDecoder, ImageFormat, (u32, u32)), Trouble> {
    let format = format_of(bytes)?;
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_MEMORY);
    reader.limits(limits);
    let decoder = reader.into_decoder().map_err(|why| damaged(&why))?;
    let (columns, rows) = decoder.dimensions();
    if u64::from(columns) * u64::from(rows) > MAX_PIXELS {
        let what = format!(
            "the picture has {columns} by {rows} pixels, more than {} million",
            MAX_PIXELS / 1_000_000
        );
        return Err((what, SMALLER));
    }
    if columns < FEWEST || rows < FEWEST {
        return Err((format!("the picture has {columns} by {rows} pixels"), "take a larger one"));
    }
    Ok((decoder, format, (columns, rows)))
}

fn damaged(why: &image::ImageError) -> Trouble {
    let why: String = why.to_string().chars().take(120).collect();
    (format!("the picture cannot be read: {}", input::one_line(&why)), ANOTHER)
}

/// Columns and rows of a picture's file as it is to be looked at, by its head alone.
///
/// # Errors
/// It is none, or too large.
pub fn size_of(bytes: &[u8]) -> Result<(u32, u32), Trouble> {
    let (mut decoder, _, (columns, rows)) = decoder(bytes)?;
    let turned = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let lies = matches!(
        turned,
        Orientation::Rotate90
            | Orientation::Rotate270
            | Orientation::Rotate90FlipH
            | Orientation::Rotate270FlipH
    );
    Ok(if lies { (rows, columns) } else { (columns, rows) })
}

impl Picture {
    /// Reads a PNG or JPEG, turned upright. The head is looked at before anything is decoded.
    ///
    /// # Errors
    /// It is none, too large or damaged. No bytes make it panic, and its memory is bounded.
    pub fn read(bytes: &[u8]) -> Result<Self, Trouble> {
        let (mut decoder, format, _) = decoder(bytes)?;
        let turned = decoder.orientation().unwrap_or(Orientation::NoTransforms);
        let mut image = DynamicImage::from_decoder(decoder).map_err(|why| damaged(&why))?;
        image.apply_orientation(turned);
        let pixels = if image.color().has_alpha() { on_paper(image) } else { image.into_rgb8() };
        Ok(Self { pixels, format })
    }

    /// A picture of pixels, to be kept as PNG.
    #[must_use]
    pub const fn of(pixels: RgbImage) -> Self {
        Self { pixels, format: ImageFormat::Png }
    }

    pub(super) const fn with(&self, pixels: RgbImage) -> Self {
        Self { pixels, format: self.format }
    }

    /// Columns and rows.
    #[must_use]
    pub fn size(&self) -> (u32, u32) {
        self.pixels.dimensions()
    }

    /// Its file, with pixels and nothing else, and the ending of its name.
    ///
    /// # Errors
    /// It cannot be written.
    pub fn encoded(&self) -> Result<(Vec<u8>, &'static str), Trouble> {
        let mut bytes = Vec::new();
        let (written, ending) = if self.format == ImageFormat::Png {
            let fast = (CompressionType::Fast, FilterType::Adaptive);
            let encoder = PngEncoder::new_with_quality(&mut bytes, fast.0, fast.1);
            (self.pixels.write_with_encoder(encoder), "png")
        } else {
            let encoder = JpegEncoder::new_with_quality(&mut bytes, QUALITY);
            (self.pixels.write_with_encoder(encoder), "jpg")
        };
        written.map_err(|why| damaged(&why))?;
        Ok((bytes, ending))
    }

    /// The colour at a place between pixels; white outside.
    pub(super) fn between(&self, [x, y]: [f64; 2]) -> Rgb<u8> {
        let (columns, rows) = self.pixels.dimensions();
        let (x, y) = (x - 0.5, y - 0.5);
        let (left, top) = (x.floor(), y.floor());
        let inside = |at: f64, most: u32| at >= -1.0 && at <= f64::from(most);
        if !inside(left, columns) || !inside(top, rows) {
            return Rgb([255; 3]);
        }
        let pixel = |dx: f64, dy: f64| {
            let (x, y) = (left + dx, top + dy);
            let within = x >= 0.0 && y >= 0.0 && x < f64::from(columns) && y < f64::from(rows);
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "within")]
            let known = within.then(|| self.pixels.get_pixel(x as u32, y as u32).0);
            known.unwrap_or([255; 3]).map(f64::from)
        };
        let [a, b, c, d] = [pixel(0.0, 0.0), pixel(1.0, 0.0), pixel(0.0, 1.0), pixel(1.0, 1.0)];
        let (u, v) = (x - left, y - top);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 255")]
        let mixed = |at: usize| {
            let (above, below) = (a[at] * (1.0 - u) + b[at] * u, c[at] * (1.0 - u) + d[at] * u);
            (above * (1.0 - v) + below * v).round() as u8
        };
        Rgb([mixed(0), mixed(1), mixed(2)])
    }

    /// Its greys, in squares of pixels where it is so many times finer than is of use, and with
    /// pixels between them where it is coarser; and what puts its pixels on that page.
    pub(super) fn page(&self, finer: f64) -> (Page, [f64; 6]) {
        let (wide, high) = self.pixels.dimensions();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 1000")]
        let side = (finer + 0.3).floor().clamp(1.0, 1_000.0) as u32;
        let side = side.min(wide.min(high) / FEWEST).max(1);
        // So that a page takes little time and memory, however fine it is.
        let side = if u64::from(wide) * u64::from(high) > MOST_OF_PAGE * u64::from(side).pow(2) {
            side + 1
        } else {
            side
        };
        let (columns, rows) = (wide / side, high / side);
        let mut grey = Vec::with_capacity(columns as usize * rows as usize);
        for row in 0..rows {
            for column in 0..columns {
                let mut sum = 0_u64;
                for (x, y) in (0..side).flat_map(|y| (0..side).map(move |x| (x, y))) {
                    let [r, g, b] = self.pixels.get_pixel(column * side + x, row * side + y).0;
                    // Luma of ITU-R BT.601, from memory.
                    sum += 299 * u64::from(r) + 587 * u64::from(g) + 114 * u64::from(b);
                }
                let mean = sum / (1_000 * u64::from(side) * u64::from(side));
                grey.push(u8::try_from(mean).unwrap_or(u8::MAX));
            }
        }
        let page = Page { columns: columns as usize, rows: rows as usize, grey };
        let room = MOST_OF_PAGE as f64 / (f64::from(columns) * f64::from(rows));
        let wanted = (1.0 / finer).round().min(room.sqrt().floor()).clamp(1.0, MOST_FINER);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 4")]
        let times = wanted as usize;
        let page = if times > 1 { page.finer(times) } else { page };
        let share = wanted / f64::from(side);
        (page, [share, 0.0, 0.0, 0.0, share, 0.0])
    }
}

/// What can be seen through is laid on white paper.
fn on_paper(image: DynamicImage) -> RgbImage {
    let pixels = image.into_rgba8();
    RgbImage::from_fn(pixels.width(), pixels.height(), |column, row| {
        let [r, g, b, alpha] = pixels.get_pixel(column, row).0.map(u32::from);
        let mixed = |ink: u32| u8::try_from((ink * alpha + 255 * (255 - alpha)) / 255);
        Rgb([r, g, b].map(|ink| mixed(ink).unwrap_or(u8::MAX)))
    })
}
