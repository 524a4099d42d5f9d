//! Where everything goes on the picture of a plan.

use crate::base::{Canvas, DrawError, FRAME, INK, Rect, View};
use crate::output::Drawing;
use crate::parts::bands::Bands;
use crate::parts::bar::{SAMPLE, draw_bar};
use crate::parts::field::{self, Shapes};
use crate::parts::labels::{self, Labels};
use crate::parts::mark::Mark;
use crate::parts::marks;
use crate::parts::sketch::Sketch;
use crate::parts::{
    areas, heading, key, legend, links, original, paths, rows, scale, siting, walls,
};
use crate::picture::{Picture, Size, extent};

/// The laid-out picture: everything has its place, nothing is drawn yet.
#[derive(Debug, Clone)]
pub struct Layout {
    /// The whole page, from (0, 0); its edges are whole pixels.
    pub(crate) page: Rect,
    /// The frame of the plan.
    pub(crate) plan: Rect,
    pub(crate) labels: Labels,
    pub(crate) view: View,
    pub(crate) shapes: Option<Shapes>,
    pub(crate) places: Vec<Mark>,
    /// What stands round the plan: legend, key, texts, scale bar.
    pub(crate) front: Canvas,
}

impl Layout {
    /// Width and height in whole pixels.
    #[must_use]
    pub fn size_px(&self) -> (u32, u32) {
        (self.page.x1 as u32, self.page.y1 as u32)
    }

    /// Draws the picture that this layout was made for as a PNG file in memory.
    ///
    /// # Errors
    /// [`DrawError::Backend`] for failures of the machine.
    pub fn png(&self, picture: &Picture) -> Result<Vec<u8>, DrawError> {
        self.drawing(picture).png()
    }

    /// Draws the picture that this layout was made for as the text of an SVG file.
    ///
    /// # Errors
    /// As [`Layout::png`].
    pub fn svg(&self, picture: &Picture) -> Result<String, DrawError> {
        self.drawing(picture).svg()
    }

    pub(crate) fn drawing(&self, picture: &Picture) -> Drawing {
        let mut canvas = Canvas::default();
        self.draw(&mut canvas, picture);
        Drawing { page: self.page, canvas, dense: picture.plain }
    }

    /// Draws everything, from the back to the front.
    pub(crate) fn draw(&self, canvas: &mut Canvas, picture: &Picture) {
        let view = &self.view;
        field::draw(canvas, self.shapes.as_ref(), view.size);
        original::draw(canvas, picture, view);
        areas::draw(canvas, picture, view);
        siting::draw_strips(canvas, picture, view);
        walls::draw(canvas, picture, view);
        siting::draw(canvas, picture, view);
        paths::draw(canvas, picture, &self.places, view);
        links::draw(canvas, picture, &self.places, view);
        marks::draw(canvas, &self.places, view.size);
        labels::draw(canvas, &self.labels.placed, view.size);
        if !picture.plain {
            canvas.outline(&self.plan.corners(), 1.0, FRAME);
            canvas.append(self.front.clone());
        }
    }
}

/// Pages are no higher than this, pixels.
const MOST_HEIGHT_PX: f64 = 4000.0;

/// Lays the picture out without drawing it.
///
/// # Errors
/// [`DrawError::Number`] for a number that is not usable; [`DrawError::Font`] for the carried font.
pub fn layout(picture: &Picture, size: Size) -> Result<Layout, DrawError> {
    let mut sketch = Sketch::new(size)?;
    let (width, edge, size) = (sketch.width, sketch.edge, sketch.size);
    let extent = extent(picture)?;
    let bands = Bands::new(picture.field.as_ref(), picture.thresholds);

    let head = heading::header(&mut sketch, picture);
    let foot_height = edge + 20.0 * size * sketch.lines(&picture.caution).len() as f64;

    // The legend stands beside the plan as far as it fits there, the rest below; all of it below if
    // the plan is wide or the picture narrow.
    let room = sketch.room();
    let (metres_wide, metres_high) = (extent.width(), extent.height());
    let beside = width >= 1000.0 * size.min(1.0) && metres_wide < 2.1 * metres_high;
    let column = 320.0 * size;
    let gap = 18.0 * size;
    let strip = 44.0 * size;
    let columns = ((room + gap) / (column + gap)) as usize;
    let mut longest = rows::blocks(picture, &bands, size, column, true);
    let spare = MOST_HEIGHT_PX
        - head
        - strip
        - foot_height
        - key::height(marks::listed(picture), room, size)
        - legend::flow(&mut longest, columns, column, gap)
        - gap
        - edge;
    let frame_width = room - if beside { column + gap } else { 0.0 };
    let pad = 44.0 * size;
    let most_height = spare.min(1.3 * frame_width).max(160.0);
    let scale =
        ((frame_width - 2.0 * pad) / metres_wide).min((most_height - 2.0 * pad) / metres_high);
    let mut frame_height = metres_high * scale + 2.0 * pad;
    let view = |frame: &Rect| View::new(frame, extent.middle(), scale, size);
    let frame = |height: f64| Rect {
        x0: edge,
        y0: head.round(),
        x1: (edge + frame_width).round(),
        y1: (head + height).round(),
    };

    // Marks are pushed apart alike wherever the frame lies, so a first guess tells whether any is.
    let guess = frame(frame_height);
    let moved = marks::place(picture, &view(&guess), &guess)
        .iter()
        .any(|mark| mark.moved() && !mark.is_note);
    let mut blocks = rows::blocks(picture, &bands, size, column, moved);
    let fitting = legend::fitting(&blocks, 1.15 * frame_height + strip, gap);
    let (side, rest) = blocks.split_at_mut(if beside { fitting } else { 0 });
    frame_height = frame_height.max(legend::flow(side, 1, column, gap) - strip);
    legend::flow(rest, columns, column, gap);
    let plan = frame(frame_height);
    let view = view(&plan);
    let legend_end = legend::settle(side, [plan.x1 + gap, plan.y0])
        .max(legend::settle(rest, [edge, plan.y1 + strip]));

    let mut fixed = on_plan(picture, &bands, view, plan);
    let mut front = Canvas::default();
    let bar = |pen: &mut Canvas, rect| draw_bar(pen, &bands, picture, rect, size);
    legend::draw(&mut front, &blocks, column, [SAMPLE / 2.0, SAMPLE + 10.0], &bar, size);
    let y = (plan.y1 + strip).max(legend_end + gap);
    let y = key::draw(&mut front, picture, &fixed.places, &fixed.labels, [edge, y], room, size);
    let y = sketch.note(&picture.caution, INK, y);
    fixed.page = sketch.page(y, MOST_HEIGHT_PX);
    front.append(sketch.pen);
    front.append(std::mem::take(&mut fixed.front));
    fixed.front = front;
    Ok(fixed)
}

/// What lies in the plan's frame, and the scale bar under it; legend, key and texts are to come.
pub(crate) fn on_plan(picture: &Picture, bands: &Bands, view: View, plan: Rect) -> Layout {
    let mut front = Canvas::default();
    scale::draw(&mut front, picture, &view, &plan);
    let shapes = Shapes::new(picture, bands, &view);
    let places = marks::place(picture, &view, &plan);
    let labels = labels::place(picture, &view, &plan, &places, shapes.as_ref());
    Layout { page: plan, plan, labels, view, shapes, places, front }
}
