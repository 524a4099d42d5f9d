//! A page as pixels: what an interpreter of its content draws, painted.
//!
//! Painted are paths, letters of outline fonts and pictures, with clips and what can be seen
//! through. A shading or pattern is grey, as a hatch is from afar; what a mask fades is pale. Left
//! out are letters that are drawings themselves, notes on the page, and scripts.
//!
//! Every call looks at the clock: once the time is up nothing more is painted, and the interpreter
//! soon comes to its end, since the steps of the page have been counted before.

use std::rc::Rc;
use std::time::{Duration, Instant};

use hayro_interpret::font::{Glyph, GlyphRun};
use hayro_interpret::kurbo::{Affine, BezPath, Cap, Join, PathEl, Point, Rect, Shape};
use hayro_interpret::{
    BlendMode, ClipPath, Device, DrawMode, DrawProps, FillRule, Image, ImageData, ImageDrawProps,
    LumaData, Paint, SoftMask, StrokeProps,
};
use hayro_syntax::object::{Array, Dict, Stream};
use image::imageops::thumbnail;
use image::{RgbImage, Rgba, RgbaImage};
use tiny_skia::{
    Color, FilterQuality, IntSize, LineCap, LineJoin, Mask, Path, PathBuilder, Pixmap, PixmapPaint,
    Stroke, StrokeDash, Transform,
};

use super::guard::{filters, unpacks_to};
use crate::picture::MAX_PIXELS;

/// Longest time that a page is painted (our own choice).
const LONGEST: Duration = Duration::from_secs(12);
/// Most clips in one another that are not upright rectangles, and most of all kinds: each of the
/// first takes as many bytes as the page has pixels (our own choice).
const MOST_MASKS: usize = 12;
const MOST_CLIPS: usize = 10_000;
/// Most bytes that a picture may unpack to: all pixels with four channels of sixteen bits.
const MOST_UNPACKED: u64 = MAX_PIXELS * 8;
/// A line is at least so wide, pixels: thinner ones would be too pale to see.
const THINNEST: f32 = 1.0;
/// How much of what a mask fades is seen, and how light a pattern is (our own choice).
const FADED: f32 = 0.4;
const PATTERN: f32 = 0.7;

/// What is drawn over a part of the page alone.
#[derive(Clone)]
struct Clip {
    bounds: Rect,
    mask: Option<Rc<Mask>>,
    /// Whether the mask covers nothing outside the bounds.
    is_whole: bool,
}

/// The page that is being painted.
pub(super) struct Canvas {
    pixels: Pixmap,
    clips: Vec<Clip>,
    /// Of groups in one another, how much of them is seen.
    seen: Vec<f32>,
    until: Instant,
    /// Whether the page could not be painted to its end.
    pub(super) is_torn: bool,
}

impl Canvas {
    /// A white page; nothing where there is no memory for it.
    pub(super) fn new((columns, rows): (u32, u32)) -> Option<Self> {
        let mut pixels = Pixmap::new(columns, rows)?;
        pixels.fill(Color::WHITE);
        let bounds = Rect::new(0.0, 0.0, f64::from(columns), f64::from(rows));
        let clips = vec![Clip { bounds, mask: None, is_whole: true }];
        let until = Instant::now() + LONGEST;
        Some(Self { pixels, clips, seen: vec![1.0], until, is_torn: false })
    }

    /// What has been painted; nothing on a page that stayed white.
    pub(super) fn painted(&self) -> Option<RgbImage> {
        let white = |pixel: &tiny_skia::PremultipliedColorU8| {
            pixel.red() & pixel.green() & pixel.blue() == u8::MAX
        };
        let (columns, rows) = (self.pixels.width(), self.pixels.height());
        let pixels = self.pixels.pixels();
        let bytes = pixels.iter().flat_map(|one| [one.red(), one.green(), one.blue()]).collect();
        if pixels.iter().all(white) { None } else { RgbImage::from_raw(columns, rows, bytes) }
    }

    /// Whether there is time for more.
    fn goes_on(&mut self) -> bool {
        self.is_torn |= Instant::now() > self.until || self.clips.len() > MOST_CLIPS;
        !self.is_torn
    }

    fn clip(&self) -> Clip {
        let none = || Clip { bounds: Rect::ZERO, mask: None, is_whole: true };
        self.clips.last().cloned().unwrap_or_else(none)
    }

    fn masks(&self) -> usize {
        let alone = |pair: &&[Clip]| match (&pair[0].mask, &pair[1].mask) {
            (Some(a), Some(b)) => !Rc::ptr_eq(a, b),
            (a, b) => a.is_some() != b.is_some(),
        };
        self.clips.windows(2).filter(alone).count()
    }

    /// A mask cut to a path: a new one, or one that is there.
    fn cut(&self, mask: Option<&Mask>, path: &Path, rule: FillRule) -> Option<Mask> {
        if self.masks() >= MOST_MASKS {
            return None;
        }
        let (rule, at) = (filled(rule), Transform::identity());
        let Some(mask) = mask else {
            let mut mask = Mask::new(self.pixels.width(), self.pixels.height())?;
            mask.fill_path(path, rule, true, at);
            return Some(mask);
        };
        let mut mask = mask.clone();
        mask.intersect_path(path, rule, true, at);
        Some(mask)
    }

    /// The mask for what covers a part of the page; nothing where the part is not seen at all.
    fn mask(&mut self, covers: Rect) -> Option<Option<Rc<Mask>>> {
        let clip = self.clip();
        if !(covers.x1 > clip.bounds.x0
            && covers.x0 < clip.bounds.x1
            && covers.y1 > clip.bounds.y0
            && covers.y0 < clip.bounds.y1)
        {
            return None;
        }
        if clip.is_whole || clip.bounds.contains_rect(covers) {
            return Some(clip.mask);
        }
        let edge = outline(&clip.bounds.to_path(0.1), Affine::IDENTITY)?;
        let cut = self.cut(clip.mask.as_deref(), &edge, FillRule::NonZero).map(Rc::new);
        let mask = cut.or(clip.mask);
        if let Some(last) = self.clips.last_mut() {
            (last.mask, last.is_whole) = (mask.clone(), true);
        }
        Some(mask)
    }

    fn fill(&mut self, path: &Path, rule: FillRule, paint: &tiny_skia::Paint<'_>) {
        if let Some(mask) = self.mask(bounds(path, 1.0)) {
            let mask = mask.as_deref();
            self.pixels.fill_path(path, paint, filled(rule), Transform::identity(), mask);
        }
    }

    /// Draws along a path that is where the page has it; `grows` is by how much the pen is larger.
    fn stroke(&mut self, path: &Path, pen: &StrokeProps, grows: f32, with: &tiny_skia::Paint<'_>) {
        let width = (pen.line_width * grows).max(THINNEST);
        let dashes: Vec<f32> = pen.dash_array.iter().map(|one| one * grows).collect();
        let dashes = if dashes.len() % 2 == 1 { dashes.repeat(2) } else { dashes };
        // Dashes that nobody could tell apart are a line.
        let is_seen = dashes.iter().sum::<f32>() > THINNEST * 2.0;
        let stroke = Stroke {
            width,
            miter_limit: pen.miter_limit.max(1.0),
            line_cap: match pen.line_cap {
                Cap::Butt => LineCap::Butt,
                Cap::Round => LineCap::Round,
                Cap::Square => LineCap::Square,
            },
            line_join: match pen.line_join {
                Join::Bevel => LineJoin::Bevel,
                Join::Miter => LineJoin::Miter,
                Join::Round => LineJoin::Round,
            },
            dash: is_seen.then(|| StrokeDash::new(dashes, pen.dash_offset * grows)).flatten(),
        };
        if let Some(mask) = self.mask(bounds(path, width * stroke.miter_limit)) {
            let mask = mask.as_deref();
            self.pixels.stroke_path(path, with, &stroke, Transform::identity(), mask);
        }
    }

    /// Draws a path that lies by `place`.
    fn draw(&mut self, path: &BezPath, place: Affine, props: &DrawProps<'_>, mode: &DrawMode) {
        if !self.goes_on() {
            return;
        }
        let (mut paint, seen) = (tiny_skia::Paint::default(), self.seen(props.soft_mask.is_some()));
        paint.set_color(colour(&props.paint, seen));
        paint.blend_mode = blended(props.blend_mode);
        let Some(path) = outline(path, place) else { return };
        if let DrawMode::Fill(rule) | DrawMode::FillAndStroke(rule, _) = mode {
            self.fill(&path, *rule, &paint);
        }
        if let DrawMode::Stroke(pen) | DrawMode::FillAndStroke(_, pen) = mode {
            #[expect(clippy::cast_possible_truncation, reason = "a scale of the page")]
            let grows = props.transform.determinant().abs().sqrt() as f32;
            self.stroke(&path, pen, grows, &paint);
        }
    }

    /// How much is seen of what is drawn now.
    fn seen(&self, is_masked: bool) -> f32 {
        let seen = self.seen.last().copied().unwrap_or(1.0);
        if is_masked { seen * FADED } else { seen }
    }

    /// Lays pixels on the unit square that lies by `place`.
    fn lay(&mut self, pixels: &RgbaImage, place: Affine, paint: PixmapPaint) {
        let covers = place.transform_rect_bbox(Rect::new(0.0, 0.0, 1.0, 1.0));
        let Some(mask) = self.mask(covers) else { return };
        // Finer pixels than those of the page are put together first.
        let [a, b, c, d, ..] = place.as_coeffs();
        let fits = |side: u32, on_page: f64| {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
            let least = on_page.ceil().clamp(1.0, f64::from(side)) as u32;
            least
        };
        let (wide, high) = pixels.dimensions();
        let (wide, high) = (fits(wide, a.hypot(b)), fits(high, c.hypot(d)));
        let smaller;
        let pixels = if (wide, high) == pixels.dimensions() {
            pixels
        } else {
            smaller = thumbnail(pixels, wide, high);
            &smaller
        };
        let lit = pixels.pixels().flat_map(|Rgba([r, g, b, alpha])| {
            let lit = tiny_skia::ColorU8::from_rgba(*r, *g, *b, *alpha).premultiply();
            [lit.red(), lit.green(), lit.blue(), lit.alpha()]
        });
        let size = IntSize::from_wh(wide, high);
        let Some(lit) = size.and_then(|size| Pixmap::from_vec(lit.collect(), size)) else { return };
        let place = place * Affine::scale_non_uniform(1.0 / f64::from(wide), 1.0 / f64::from(high));
        self.pixels.draw_pixmap(0, 0, lit.as_ref(), &paint, placed(place), mask.as_deref());
    }
}

impl<'a> Device<'a> for Canvas {
    fn draw_path(&mut self, path: &BezPath, props: DrawProps<'a>, mode: &DrawMode) {
        self.draw(path, props.transform, &props, mode);
    }

    fn push_clip_path(&mut self, cut: &ClipPath) {
        let mut clip = self.clip();
        if self.goes_on()
            && let Some(path) = outline(&cut.path, Affine::IDENTITY)
        {
            let edge = cut.path.bounding_box();
            let is_upright = (cut.path.area().abs() - edge.area()).abs() <= 1e-6 * edge.area();
            let is_covered = clip.bounds.contains_rect(edge);
            if !is_upright && let Some(mask) = self.cut(clip.mask.as_deref(), &path, cut.fill) {
                clip.mask = Some(Rc::new(mask));
                clip.is_whole |= is_covered;
            } else {
                clip.is_whole &= edge.contains_rect(clip.bounds);
            }
            clip.bounds = clip.bounds.intersect(edge);
        }
        self.clips.push(clip);
    }

    fn pop_clip(&mut self) {
        self.clips.pop();
    }

    fn push_transparency_group(&mut self, seen: f32, mask: Option<SoftMask<'a>>, _: BlendMode) {
        self.seen.push(self.seen(mask.is_some()) * seen);
    }

    fn pop_transparency_group(&mut self) {
        self.seen.pop();
    }

    fn draw_glyph_run(&mut self, run: &GlyphRun<'_, 'a>, props: DrawProps<'a>, mode: &DrawMode) {
        for one in run.glyphs() {
            if let (Glyph::Outline(glyph), true) = (&**one, self.goes_on()) {
                self.draw(&glyph.outline(), props.transform * one.transform(), &props, mode);
            }
        }
    }

    fn draw_image(&mut self, image: Image<'a, '_>, props: ImageDrawProps<'a>) {
        let stream = match &image {
            Image::Raster(raster) => raster.stream(),
            Image::Stencil(stencil) => stencil.stream(),
        };
        if !self.goes_on() || !is_sane(stream, (image.width(), image.height())) {
            self.is_torn = true;
            return;
        }
        let opacity = self.seen(props.soft_mask.is_some());
        let quality = FilterQuality::Bilinear;
        let paint = PixmapPaint { opacity, blend_mode: blended(props.blend_mode), quality };
        // The place is that of pixels; that of the unit square holds for any size of them.
        let (wide, high) = (f64::from(image.width()), f64::from(image.height()));
        let place = props.transform * Affine::scale_non_uniform(wide, high);
        match image {
            Image::Raster(raster) => raster.with_rgba(
                |colours, alpha| {
                    if let Some(pixels) = pixels(&colours, alpha.as_ref()) {
                        self.lay(&pixels, place, paint);
                    }
                },
                None,
            ),
            Image::Stencil(stencil) => stencil.with_stencil(
                |shape, ink| {
                    let ink = colour(ink, 1.0).to_color_u8();
                    let pixel = |x: u32, y: u32| shape.data.get((y * shape.width + x) as usize);
                    let pixels = RgbaImage::from_fn(shape.width, shape.height, |x, y| {
                        let alpha = pixel(x, y).copied().unwrap_or_default();
                        Rgba([ink.red(), ink.green(), ink.blue(), alpha])
                    });
                    self.lay(&pixels, place, paint);
                },
                None,
            ),
        }
    }
}

/// Whether a picture and the mask of one can be unpacked within bounds, by what their heads say.
fn is_sane(stream: &Stream<'_>, (columns, rows): (u32, u32)) -> bool {
    let is_small = |wide: u32, high: u32| u64::from(wide) * u64::from(high) <= MAX_PIXELS;
    let dict = stream.dict();
    let columns_of = |parts: Dict<'_>| parts.get::<f64>("Columns");
    let parts = ["DecodeParms", "DP"].into_iter().flat_map(|name| {
        let all = dict.get::<Array<'_>>(name);
        let all = all.iter().flat_map(|all| all.iter::<Dict<'_>>().collect::<Vec<_>>());
        all.chain(dict.get::<Dict<'_>>(name)).collect::<Vec<_>>()
    });
    let own = match filters(stream).last().map(String::as_str) {
        Some("Jbig2Decode") => {
            let settings = hayro_jbig2::DecodeSettings { strict: false };
            let data = stream.raw_data();
            // Where other filters come before it nothing is known of its size.
            let page = hayro_jbig2::Page::new_embedded(&data, None, &settings);
            page.is_ok_and(|page| is_small(page.width(), page.height()))
        }
        Some("JpxDecode") => {
            let data = stream.raw_data();
            let image =
                hayro_jpeg2000::Image::new(&data, &hayro_jpeg2000::DecodeSettings::default());
            image.is_ok_and(|image| is_small(image.width(), image.height()))
        }
        _ => true,
    };
    let mut masks = ["SMask", "Mask"].into_iter().filter_map(|name| dict.get::<Stream<'_>>(name));
    own && unpacks_to(stream, MOST_UNPACKED) <= MOST_UNPACKED
        && is_small(columns, rows)
        && parts
            .filter_map(columns_of)
            .all(|columns| columns * f64::from(rows) <= MAX_PIXELS as f64)
        && masks.all(|mask| {
            let [columns, rows] = ["Width", "Height"].map(|name| mask.dict().get::<u32>(name));
            // A mask of a mask is none.
            let is_plain = !mask.dict().contains_key("SMask") && !mask.dict().contains_key("Mask");
            is_plain && is_sane(&mask, (columns.unwrap_or(1), rows.unwrap_or(1)))
        })
}

/// Colours with how far each can be seen through.
fn pixels(colours: &ImageData, alpha: Option<&LumaData>) -> Option<RgbaImage> {
    let (wide, high) = (colours.width(), colours.height());
    let alpha_at = |x: u32, y: u32| {
        let Some(alpha) = alpha else { return u8::MAX };
        // Masks may be finer or coarser than what they are of.
        let scaled = |at: u32, of: u32, side: u32| u64::from(at) * u64::from(side) / u64::from(of);
        let (x, y) = (scaled(x, wide, alpha.width), scaled(y, high, alpha.height));
        let at = y * u64::from(alpha.width) + x;
        usize::try_from(at).ok().and_then(|at| alpha.data.get(at)).copied().unwrap_or(u8::MAX)
    };
    let (bytes, per) = match colours {
        ImageData::Rgb(colours) => (&colours.data, 3),
        ImageData::Luma(greys) => (&greys.data, 1),
    };
    let mut pixels = bytes.chunks_exact(per);
    if wide == 0 || high == 0 || pixels.len() < wide as usize * high as usize {
        return None;
    }
    Some(RgbaImage::from_fn(wide, high, |x, y| match pixels.next() {
        Some(&[r, g, b]) => Rgba([r, g, b, alpha_at(x, y)]),
        Some(&[grey]) => Rgba([grey, grey, grey, alpha_at(x, y)]),
        _ => Rgba([0; 4]),
    }))
}

fn colour(paint: &Paint<'_>, seen: f32) -> Color {
    let [r, g, b, alpha] = match paint {
        Paint::Color(colour) => colour.to_rgba().components(),
        Paint::Pattern(_) => [PATTERN, PATTERN, PATTERN, 1.0],
    };
    let part = |part: f32| if part.is_finite() { part.clamp(0.0, 1.0) } else { 0.0 };
    let [r, g, b, alpha] = [r, g, b, alpha * seen].map(part);
    Color::from_rgba(r, g, b, alpha).unwrap_or(Color::BLACK)
}

const fn filled(rule: FillRule) -> tiny_skia::FillRule {
    match rule {
        FillRule::NonZero => tiny_skia::FillRule::Winding,
        FillRule::EvenOdd => tiny_skia::FillRule::EvenOdd,
    }
}

/// What darkens lets through what is below; all else covers it.
const fn blended(mode: BlendMode) -> tiny_skia::BlendMode {
    match mode {
        BlendMode::Multiply | BlendMode::Darken | BlendMode::ColorBurn => {
            tiny_skia::BlendMode::Multiply
        }
        _ => tiny_skia::BlendMode::SourceOver,
    }
}

#[expect(clippy::cast_possible_truncation, reason = "pixels of a page")]
fn placed(place: Affine) -> Transform {
    let [a, b, c, d, e, f] = place.as_coeffs().map(|part| part as f32);
    Transform::from_row(a, b, c, d, e, f)
}

/// A path where the page has it; nothing of one that has no place there.
#[expect(clippy::cast_possible_truncation, reason = "pixels of a page")]
fn outline(path: &BezPath, place: Affine) -> Option<Path> {
    let mut outline = PathBuilder::new();
    let put = |at: Point| {
        let at = place * at;
        (at.x as f32, at.y as f32)
    };
    for piece in path {
        match piece {
            PathEl::MoveTo(to) => {
                let (x, y) = put(to);
                outline.move_to(x, y);
            }
            PathEl::LineTo(to) => {
                let (x, y) = put(to);
                outline.line_to(x, y);
            }
            PathEl::QuadTo(a, to) => {
                let ((a, b), (x, y)) = (put(a), put(to));
                outline.quad_to(a, b, x, y);
            }
            PathEl::CurveTo(a, b, to) => {
                let ((a, b), (c, d), (x, y)) = (put(a), put(b), put(to));
                outline.cubic_to(a, b, c, d, x, y);
            }
            PathEl::ClosePath => outline.close(),
        }
    }
    outline.finish()
}

/// What a path covers, and so much round it.
fn bounds(path: &Path, around: f32) -> Rect {
    let covers = path.bounds();
    let sides = [covers.left(), covers.top(), covers.right(), covers.bottom()].map(f64::from);
    let [x0, y0, x1, y1] = sides;
    Rect::new(x0, y0, x1, y1).inflate(f64::from(around), f64::from(around))
}
