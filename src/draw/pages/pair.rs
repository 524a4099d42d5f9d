//! Two pictures of one level side by side, in the same colours and at the same scale.

use crate::base::{Canvas, DrawError, INK, Rect, Type, View, clean};
use crate::output::Drawing;
use crate::pages::page::{Layout, on_plan};
use crate::parts::bands::Bands;
use crate::parts::bar::{SAMPLE, draw_bar};
use crate::parts::key::KeyRow;
use crate::parts::legend::Block;
use crate::parts::mark::Mark;
use crate::parts::plate::verdict;
use crate::parts::sketch::Sketch;
use crate::parts::{legend, mark, rows};
use crate::picture::{DeviceKind, DeviceMark, Finding, Picture, Size, extent};

/// Two pictures of one level, before they are laid out. Their titles, subtitles, headlines and
/// cautions are not shown: the pair's own are. The words of the legend, the thresholds and the unit
/// of length are those of the first. Devices are matched by kind, number and name; their names
/// stand in a list under the plans, with the findings of both, and not on the plans.
#[derive(Debug, Clone, Default)]
pub struct Pair {
    /// Title: the plan's name and the level's.
    pub title: String,
    /// Second line: the link and the panel's spot.
    pub subtitle: String,
    /// One bold line under the subtitle; empty for none.
    pub headline: String,
    /// The caution at the foot of the page.
    pub caution: String,
    /// What stands over each of the pictures, such as "before the readings".
    pub titles: [String; 2],
    /// The two pictures, left and right.
    pub pictures: [Picture; 2],
}

const ROW: f64 = 21.0;
const HEAD: f64 = 34.0;
const COLUMN: f64 = 500.0;
const INDENT: f64 = 39.0;

/// Plans are no higher than this, pixels.
const MOST_HIGH_PX: f64 = 2400.0;

impl Pair {
    /// Lays the page out.
    ///
    /// # Errors
    /// As [`layout`](crate::layout) for each of the pictures.
    pub fn layout(&self, size: Size) -> Result<Drawing, DrawError> {
        let [left, right] = self.pictures.each_ref();
        let extent = extent(left)?.union(&extent(right)?);
        let mut sketch = Sketch::new(size)?;
        let (size, edge) = (sketch.size, sketch.edge);
        let y = sketch.open(&self.title, &self.subtitle, &self.headline);
        let thresholds = left.thresholds;
        let fields = self.pictures.iter().filter_map(|one| one.field.as_ref());
        let bands = Bands::new(fields, thresholds);
        let listed = self.listed();
        let bare = [left, right].map(|one| Picture {
            devices: one.devices.iter().map(nameless).collect(),
            thresholds,
            length_unit: left.length_unit,
            ..one.clone()
        });

        // Both plans at one scale, which the union of what is on them settles.
        let gap = 28.0 * size;
        let room = sketch.room();
        let wide = ((room - gap) / 2.0).floor();
        let pad = 34.0 * size;
        let most_high = (1.3 * wide).min(MOST_HIGH_PX);
        let scale = ((wide - 2.0 * pad) / extent.width())
            .min((most_high - 2.0 * pad) / extent.height())
            .max(1e-9);
        let top = (y + 62.0 * size).round();
        let high = (extent.height() * scale + 2.0 * pad).round();
        // Many marks in half a page's width must be smaller.
        let most = bare.iter().map(|one| one.devices.len()).max();
        let marks_size = size * if most > Some(30) { 0.78 } else { 1.0 };
        let mut halves: Vec<Layout> = Vec::new();
        for (picture, x0) in bare.iter().zip([edge, edge + wide + gap]) {
            let frame = Rect { x0, y0: top, x1: x0 + wide, y1: top + high };
            let view = View::new(&frame, extent.middle(), scale, marks_size);
            halves.push(on_plan(picture, &bands, view, frame));
        }

        let mut y = top + high + 40.0 * size;
        let moved = halves.iter().any(|half| half.places.iter().any(Mark::moved));
        let column = 320.0 * size;
        let spacing = 24.0 * size;
        let mut blocks: Vec<Block> = rows::blocks(&merged(&bare), &bands, size, column, moved);
        let columns = (((room + spacing) / (column + spacing)) as usize).max(1);
        legend::flow(&mut blocks, columns, column, spacing);
        y = legend::settle(&mut blocks, [edge, y]).max(y);
        let bar = |pen: &mut Canvas, rect| draw_bar(pen, &bands, left, rect, size);
        let along = [SAMPLE / 2.0, SAMPLE + 10.0];
        legend::draw(&mut sketch.pen, &blocks, column, along, &bar, size);

        for ((half, picture), title) in halves.iter().zip(&bare).zip(&self.titles) {
            half.draw(&mut sketch.pen, picture);
            let x = half.plan.x0;
            let kind = Type::bold(18.0 * size);
            sketch.pen.write(&kind.fit(&clean(title), wide), [x, top - 32.0 * size], kind, INK);
            let kind = Type::regular(15.0 * size);
            sketch.pen.write(&kind.fit(&counts(picture), wide), [x, top - 11.0 * size], kind, INK);
        }
        y = self.draw_list(&mut sketch, &listed, y);
        Ok(sketch.close(&self.caution, y))
    }

    /// All devices but panels and repeaters that have a finding or a margin in either picture.
    fn listed(&self) -> Vec<KeyRow> {
        let [left, right] = self.pictures.each_ref();
        let same = |one: &DeviceMark, other: &DeviceMark| {
            (one.kind, one.number, &one.name) == (other.kind, other.number, &other.name)
        };
        let [before, after] = [left, right]
            .map(|picture| picture.devices.iter().zip(mark::tags(picture)).collect::<Vec<_>>());
        let pairs = before.iter().map(|(then, tag)| {
            let now = after.iter().find(|(now, _)| same(then, now));
            (Some(*then), now.map(|(now, _)| *now), tag)
        });
        let added = after.iter().filter(|(now, _)| !before.iter().any(|(then, _)| same(then, now)));
        let added = added.map(|(now, tag)| (None, Some(*now), tag));
        let words = |device: Option<&DeviceMark>| {
            let text = device.map(|device| verdict(device, left.thresholds)).unwrap_or_default();
            if text.is_empty() { "none".to_owned() } else { text }
        };
        let finding = |device: Option<&DeviceMark>| device.and_then(|device| device.finding);
        let rows = pairs.chain(added).filter_map(|(then, now, tag)| {
            let device = now.or(then)?;
            let verdict = format!("{} → {}", words(then), words(now));
            if verdict == "none → none" || keeps_name(device) {
                return None;
            }
            Some(KeyRow {
                tag: tag.clone(),
                name: clean(&device.name),
                verdict,
                loud: finding(then) != finding(now),
            })
        });
        rows.collect()
    }

    /// The list of devices; returns where it ends.
    fn draw_list(&self, sketch: &mut Sketch, listed: &[KeyRow], y: f64) -> f64 {
        let (size, edge) = (sketch.size, sketch.edge);
        if listed.is_empty() {
            return y;
        }
        let room = sketch.room();
        let columns = ((room / (COLUMN * size)) as usize).max(1);
        let count = listed.len().div_ceil(columns);
        let across = room / columns as f64;
        let y = y + 14.0 * size;
        let [before, after] = self.titles.each_ref().map(|title| clean(title));
        let heading = format!("Devices: {before} → {after}; bold if the finding changes");
        let kind = Type::bold(15.0 * size);
        sketch.pen.write(&kind.fit(&heading, room), [edge, y + 18.0 * size], kind, INK);
        for (place, one) in listed.iter().enumerate() {
            let x = edge + across * (place / count) as f64;
            let base = y + (HEAD + ROW * ((place % count) as f64 + 0.75)) * size;
            let kind = Type { em: 13.5 * size, bold: one.loud };
            let row =
                KeyRow { verdict: kind.fit(&one.verdict, across - 70.0 * size), ..one.clone() };
            let spare = across - INDENT * size - kind.width(&row.verdict) - 26.0 * size;
            let room = spare.max(20.0 * size);
            row.draw(&mut sketch.pen, [x, base], INDENT * size, room, size);
        }
        y + (HEAD + ROW * count as f64 + 8.0) * size
    }
}

/// Whether a device's name stands on the plan, and not in the list.
fn keeps_name(device: &DeviceMark) -> bool {
    matches!(device.kind, DeviceKind::Panel | DeviceKind::Repeater)
}

/// A device without the words that stand in the list.
fn nameless(device: &DeviceMark) -> DeviceMark {
    let name = if keeps_name(device) { device.name.clone() } else { String::new() };
    DeviceMark { name, ..device.clone() }
}

/// How many devices have each finding.
pub(crate) fn counts(picture: &Picture) -> String {
    let [failing, thin, sound] =
        [Finding::Failing, Finding::Thin, Finding::Sound].map(|finding| picture.count(finding));
    if failing + thin + sound == 0 {
        return String::new();
    }
    let word = if failing == 0 { "failing" } else { "FAILING" };
    format!("{word} {failing} · thin {thin} · sound {sound}")
}

/// All that occurs in either picture of the level, for the legend.
fn merged([left, right]: &[Picture; 2]) -> Picture {
    let mut all = left.clone();
    all.devices.extend(right.devices.iter().cloned());
    all.field = all.field.or_else(|| right.field.clone());
    all
}
