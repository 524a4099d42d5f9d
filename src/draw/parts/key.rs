//! The key under the plan: devices and spots whose label found no room.

use crate::base::{Align, Canvas, INK, Point, QUIET, Type, clean};
use crate::parts::labels::Labels;
use crate::parts::mark::Mark;
use crate::parts::plate::verdict;
use crate::picture::{Finding, Picture};

/// One line of a list of devices.
#[derive(Debug, Clone)]
pub(crate) struct KeyRow {
    /// The letters in its mark.
    pub tag: String,
    pub name: String,
    pub verdict: String,
    /// Whether it stands out.
    pub loud: bool,
}

impl KeyRow {
    /// Draws the line from `x` on, its name `indent` further and cut to `room`.
    pub fn draw(&self, canvas: &mut Canvas, [x, y]: Point, indent: f64, room: f64, size: f64) {
        let kind = Type { em: 13.5 * size, bold: self.loud };
        let tag = Type::bold(13.5 * size);
        canvas.text(&self.tag, [x + indent - 9.0 * size, y], tag, Align::Right, INK);
        let name = kind.fit(&self.name, room);
        canvas.write(&name, [x + indent, y], kind, INK);
        let after = x + indent + kind.width(&name) + 10.0 * size;
        let ink = if self.loud { INK } else { QUIET };
        canvas.write(&self.verdict, [after, y], kind, ink);
    }
}

const ROW: f64 = 21.0;
const HEAD: f64 = 30.0;
const COLUMN: f64 = 370.0;

/// Rows are cut off beyond this share of the largest page.
const MOST_HEIGHT: f64 = 1400.0;

fn columns(width: f64, size: f64) -> usize {
    ((width / (COLUMN * size)) as usize).max(1)
}

/// Height that a key of `count` devices takes, with its head.
pub(crate) fn height(count: usize, width: f64, size: f64) -> f64 {
    if count == 0 {
        return 0.0;
    }
    let rows = count.div_ceil(columns(width, size)) as f64;
    (HEAD * size + rows * ROW * size).min(MOST_HEIGHT)
}

/// Draws the key of what found no room; returns where the foot of the page may begin.
pub(crate) fn draw(
    canvas: &mut Canvas,
    picture: &Picture,
    marks: &[Mark],
    labels: &Labels,
    corner: Point,
    width: f64,
    size: f64,
) -> f64 {
    let [x, y] = corner;
    let all = labels.devices_left.len() + labels.spots_left.len();
    if all == 0 {
        return y;
    }
    let height = height(all, width, size);
    let columns = columns(width, size);
    let most = ((height - HEAD * size) / (ROW * size)).round().max(1.0) as usize;
    let count = all.div_ceil(columns).min(most);
    let across = width / columns as f64;
    let spots = labels.spots_left.iter().filter_map(|&index| picture.spots.get(index));
    let spots = spots.map(|spot| {
        let rank = spot.rank.unwrap_or_default();
        let (tag, name) = (format!("spot {rank}"), clean(&spot.label));
        KeyRow { tag, name, verdict: String::new(), loud: rank == 1 }
    });
    let devices = picture.devices.iter().zip(marks).enumerate();
    let devices = devices.filter(|(index, _)| labels.devices_left.contains(index));
    let devices = devices.map(|(_, (device, mark))| KeyRow {
        tag: mark.tag.clone(),
        name: clean(&device.name),
        verdict: verdict(device, picture.thresholds),
        loud: device.finding == Some(Finding::Failing),
    });
    let mut rows: Vec<KeyRow> = spots.chain(devices).take(columns * count).collect();
    let left_out = all - rows.len();
    if left_out > 0
        && let Some(last) = rows.last_mut()
    {
        last.name = format!("and {} more, in the table", left_out + 1);
        last.tag.clear();
        last.verdict.clear();
    }
    let head = Type::bold(15.0 * size);
    canvas.write("Not labelled on the plan", [x, y + 18.0 * size], head, INK);
    for (place, row) in rows.iter().enumerate() {
        let at = [
            x + across * (place / count) as f64,
            y + HEAD * size + ROW * size * ((place % count) as f64 + 0.75),
        ];
        let kind = Type { em: 13.5 * size, bold: row.loud };
        let indent = (40.0 * size).max(Type::bold(kind.em).width(&row.tag) + 9.0 * size);
        let room = across - 16.0 * size - indent - kind.width(&row.verdict) - 10.0 * size;
        row.draw(canvas, at, indent, room, size);
    }
    y + height + 6.0 * size
}
