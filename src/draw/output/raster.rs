//! A raster to draw on, and its way into a PNG file.
//!
//! plotters' own bitmap back end fills wide polygons column by column and leaves streaks in ragged
//! ones; contour bands are both. This one fills by scan lines with the even-odd rule, blends the
//! two ends of each run by how much of the pixel they cover, and is averaged down at the end.
//! plotters sets the text on the same pixels.

use plotters::backend::{BitMapBackend, DrawingBackend};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{FontDesc, FontFamily, TextStyle};

use super::svg::{color, failed, whole};
use crate::base::font::{FAMILY, HEIGHT_PER_EM};
use crate::base::{DrawError, Ink, Point, Shape, Type, edges};

/// Raster pixels along the side of one pixel of the picture: averaging smooths edges and text. The
/// averaging is written out for this number.
pub(crate) const FINENESS: u32 = 2;

/// Pixels of three bytes, row by row.
pub(crate) struct Raster {
    width: u32,
    height: u32,
    pixels: Vec<u8>,
}

impl Raster {
    /// A white raster for a picture of this size.
    pub fn new(width: u32, height: u32) -> Self {
        let (width, height) = (width * FINENESS, height * FINENESS);
        Self { width, height, pixels: vec![255; 3 * width as usize * height as usize] }
    }

    /// Mixes a share of a colour into a pixel of a row; at the right edge there is none.
    fn blend(&mut self, x: f64, y: i64, rgb: [u8; 3], share: f64) {
        if x < f64::from(self.width) {
            let start = (y as usize * self.width as usize + x as usize) * 3;
            mix(&mut self.pixels[start..start + 3], rgb, in_256ths(share));
        }
    }

    /// Paints a run of a row from `from` to `to`, which need not be whole pixels.
    fn run(&mut self, y: i64, from: f64, to: f64, ink: Ink) {
        if y < 0 || y >= i64::from(self.height) || to <= from {
            return;
        }
        let (from, to) = (from.max(0.0), to.min(f64::from(self.width)));
        let (first, last) = (from.ceil(), to.floor());
        if last < first {
            return self.blend(from.floor(), y, ink.rgb, ink.alpha * (to - from));
        }
        self.blend(from.floor(), y, ink.rgb, ink.alpha * (first - from));
        self.blend(last, y, ink.rgb, ink.alpha * (to - last));
        let start = y as usize * self.width as usize;
        let (begin, end) = (start + first as usize, start + last as usize);
        let pixels = &mut self.pixels[begin * 3..end * 3];
        if ink.alpha < 1.0 {
            let share = in_256ths(ink.alpha);
            pixels.chunks_exact_mut(3).for_each(|pixel| mix(pixel, ink.rgb, share));
            return;
        }
        // What is painted already is copied behind itself: quicker than pixel by pixel.
        let mut done = pixels.len().min(3);
        pixels[..done].copy_from_slice(&ink.rgb[..done]);
        while done < pixels.len() {
            let more = done.min(pixels.len() - done);
            pixels.copy_within(..more, done);
            done += more;
        }
    }

    /// Fills a polygon given in real numbers, by the even-odd rule.
    fn fill_polygon(&mut self, corners: &[Point], ink: Ink) {
        let mut edges: Vec<([f64; 2], [f64; 2])> = edges(corners)
            .map(|(&a, &b)| if a[1] <= b[1] { (a, b) } else { (b, a) })
            .filter(|(top, bottom)| top[1] < bottom[1])
            .collect();
        edges.sort_by(|one, other| one.0[1].total_cmp(&other.0[1]));
        let Some(first) = edges.first() else { return };
        let lowest = edges.iter().map(|edge| edge.1[1]).fold(f64::MIN, f64::max);
        let from = (first.0[1] - 0.5).ceil().max(0.0) as i64;
        let to = ((lowest - 0.5).ceil() as i64).min(i64::from(self.height));
        let mut waiting = edges.iter().peekable();
        let mut active: Vec<&([f64; 2], [f64; 2])> = Vec::new();
        let mut crossings: Vec<f64> = Vec::new();
        for y in from..to {
            let line = y as f64 + 0.5;
            while let Some(edge) = waiting.next_if(|edge| edge.0[1] <= line) {
                active.push(edge);
            }
            active.retain(|edge| edge.1[1] > line);
            crossings.clear();
            crossings.extend(
                active.iter().map(|([x0, y0], [x1, y1])| x0 + (x1 - x0) * (line - y0) / (y1 - y0)),
            );
            crossings.sort_by(f64::total_cmp);
            for pair in crossings.chunks_exact(2) {
                self.run(y, pair[0], pair[1], ink);
            }
        }
    }

    /// A straight line as a filled rectangle.
    fn stroke(&mut self, from: Point, to: Point, width: f64, ink: Ink) {
        let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
        let length = dx.hypot(dy);
        if length == 0.0 {
            return;
        }
        let (nx, ny) = (-dy / length * width / 2.0, dx / length * width / 2.0);
        self.fill_polygon(
            &[
                [from[0] + nx, from[1] + ny],
                [to[0] + nx, to[1] + ny],
                [to[0] - nx, to[1] - ny],
                [from[0] - nx, from[1] - ny],
            ],
            ink,
        );
    }

    /// A disc by its chords.
    fn fill_disc(&mut self, [x, y]: Point, radius: f64, ink: Ink) {
        let from = (y - radius - 0.5).ceil() as i64;
        let to = (y + radius - 0.5).ceil() as i64;
        for row in from..to {
            let off = row as f64 + 0.5 - y;
            let half = (radius * radius - off * off).max(0.0).sqrt();
            self.run(row, x - half, x + half, ink);
        }
    }

    /// Averages squares of [`FINENESS`] pixels into one and encodes the result as PNG: as a small
    /// file if `dense`, else quickly.
    pub fn encode(self, dense: bool) -> Result<Vec<u8>, DrawError> {
        let (width, height) = (self.width / FINENESS, self.height / FINENESS);
        let mut bytes = Vec::new();
        let mut encoder = png::Encoder::new(&mut bytes, width, height);
        encoder.set_color(png::ColorType::Rgb);
        encoder.set_depth(png::BitDepth::Eight);
        encoder.set_compression(png::Compression::Fast);
        if dense {
            // Large plain areas: without a filter the file is a quarter smaller (measured on the
            // quotes of the plans that ship).
            encoder.set_compression(png::Compression::Default);
            encoder.set_filter(png::FilterType::NoFilter);
        }
        let mut writer = encoder.write_header().map_err(failed)?;
        writer.write_image_data(&self.averaged()).map_err(failed)?;
        writer.finish().map_err(failed)?;
        Ok(bytes)
    }

    fn averaged(&self) -> Vec<u8> {
        let stride = self.width as usize * 3;
        let mut small = vec![0; self.pixels.len() / 4];
        let mut sums = vec![0_u16; stride];
        let rows = self.pixels.chunks_exact(2 * stride).zip(small.chunks_exact_mut(stride / 2));
        for (rows, out) in rows {
            // Down first, then across: the compiler makes wide steps of the longer loop.
            let (upper, lower) = rows.split_at(stride);
            for ((sum, upper), lower) in sums.iter_mut().zip(upper).zip(lower) {
                *sum = u16::from(*upper) + u16::from(*lower);
            }
            for (pair, out) in sums.chunks_exact(6).zip(out.chunks_exact_mut(3)) {
                for channel in 0..3 {
                    out[channel] = ((pair[channel] + pair[channel + 3] + 2) / 4) as u8;
                }
            }
        }
        small
    }
}

/// A share from 0 to 1 in 256ths: whole numbers are exact, and quick enough for text.
fn in_256ths(share: f64) -> u32 {
    (share.clamp(0.0, 1.0) * 256.0).round() as u32
}

/// Mixes a share of a colour, in 256ths, into a pixel.
fn mix(pixel: &mut [u8], rgb: [u8; 3], share: u32) {
    for (byte, new) in pixel.iter_mut().zip(rgb) {
        let mixed = u32::from(*byte) * (256 - share) + u32::from(new) * share;
        *byte = ((mixed + 128) >> 8) as u8;
    }
}

impl Raster {
    pub fn draw(&mut self, shape: &Shape) -> Result<(), DrawError> {
        let scale = f64::from(FINENESS);
        let scaled = |points: &[Point]| -> Vec<Point> {
            points.iter().map(|point| point.map(|value| value * scale)).collect()
        };
        match shape {
            Shape::Fill(corners, ink) => self.fill_polygon(&scaled(corners), *ink),
            Shape::Disc(centre, radius, ink) => {
                self.fill_disc(centre.map(|value| value * scale), radius * scale, *ink);
            }
            Shape::Line(points, width, ink) => self.line(&scaled(points), width * scale, *ink),
            Shape::Text(text, place, kind, align, ink) => {
                let kind = Type { em: kind.em * scale, ..*kind };
                let [x, y] = place.map(|value| value * scale);
                return self.text(text, [kind.left(text, x, *align), y], kind, *ink);
            }
        }
        Ok(())
    }

    fn line(&mut self, points: &[Point], width: f64, ink: Ink) {
        for pair in points.windows(2) {
            self.stroke(pair[0], pair[1], width, ink);
        }
        // Round joints; on a see-through line they would show twice.
        if width > 2.0 && ink.alpha >= 1.0 {
            for &joint in points.iter().skip(1).take(points.len().saturating_sub(2)) {
                self.fill_disc(joint, width / 2.0, ink);
            }
        }
    }

    /// Sets a text that begins at a place on its base line.
    fn text(&mut self, text: &str, base: Point, kind: Type, ink: Ink) -> Result<(), DrawError> {
        // plotters sets the base line at half the size below the top and cuts to whole pixels glyph
        // by glyph: an even size keeps all glyphs on one line. The pen keeps to the true size.
        let size = (kind.em * HEIGHT_PER_EM / 2.0).round() * 2.0;
        let font = FontDesc::new(FontFamily::Name(FAMILY), size, kind.style());
        let color = color(ink);
        let style = TextStyle::from(font).color(&color).pos(Pos::new(HPos::Left, VPos::Top));
        let mut pen = base[0];
        let mut backend = BitMapBackend::with_buffer(&mut self.pixels, (self.width, self.height));
        let mut letters = [0; 4];
        for letter in text.chars() {
            let (advance, bearing) = kind.letter(letter);
            if !letter.is_whitespace() {
                let x = pen.round() + (bearing * size / HEIGHT_PER_EM).floor();
                let top = whole([x, base[1] - size / 2.0]);
                let letter: &str = letter.encode_utf8(&mut letters);
                backend.draw_text(letter, &style, top).map_err(failed)?;
            }
            pen += advance * kind.em;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn painted(raster: &Raster, x: usize, y: usize) -> u8 {
        raster.pixels[(y * raster.width as usize + x) * 3]
    }

    #[test]
    fn a_polygon_fills_its_inside_only() {
        let black = Ink { rgb: [0; 3], alpha: 1.0 };
        let mut raster = Raster::new(10, 5);
        raster.fill_polygon(&[[-5.0, 2.0], [10.5, 2.0], [10.5, 6.0], [-5.0, 6.0]], black);
        assert_eq!(painted(&raster, 0, 2), 0);
        assert_eq!(painted(&raster, 9, 5), 0);
        assert_eq!(painted(&raster, 10, 4), 128, "half covered");
        assert_eq!(painted(&raster, 11, 4), 255);
        assert_eq!(painted(&raster, 5, 1), 255);
        assert_eq!(painted(&raster, 5, 6), 255);
    }

    #[test]
    fn nothing_outside_is_touched_and_nothing_panics() {
        let black = Ink { rgb: [0; 3], alpha: 0.5 };
        let mut raster = Raster::new(2, 2);
        raster.fill_polygon(&[[1e4, 1e4], [2e4, 1e4], [2e4, 2e4]], black);
        raster.fill_disc([-50.0, -50.0], 10.0, black);
        raster.stroke([2.0, 2.0], [2.0, 2.0], 3.0, black);
        assert!(raster.pixels.iter().all(|&byte| byte == 255));
    }
}
