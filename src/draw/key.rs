//! The key under the plan: devices and spots whose label found no room, by the letters in their
//! marks.

use super::DrawError;
use super::canvas::{Align, Canvas, Point, Surface};
use super::font::{Type, clean};
use super::marks::Mark;
use super::page::Layout;
use super::picture::{Finding, Picture};
use super::plate::verdict;
use super::ramp::{INK, QUIET};
use super::rect::Rect;

/// One line of the key.
#[derive(Debug, Clone)]
pub(super) struct KeyRow {
    tag: String,
    name: String,
    verdict: String,
    loud: bool,
    /// Left end of the base line.
    at: Point,
    width: f64,
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
pub(super) fn height(count: usize, width: f64, size: f64) -> f64 {
    if count == 0 {
        return 0.0;
    }
    let rows = count.div_ceil(columns(width, size)) as f64;
    (HEAD * size + rows * ROW * size).min(MOST_HEIGHT)
}

/// The key's box and lines, with its upper left corner at `corner`.
pub(super) fn rows(
    picture: &Picture,
    marks: &[Mark],
    in_key: &[usize],
    spots: &[usize],
    corner: Point,
    width: f64,
    size: f64,
) -> (Option<Rect>, Vec<KeyRow>) {
    let all = in_key.len() + spots.len();
    if all == 0 {
        return (None, Vec::new());
    }
    let height = height(all, width, size);
    let columns = columns(width, size);
    let most = ((height - HEAD * size) / (ROW * size)).round().max(1.0) as usize;
    let count = all.div_ceil(columns).min(most);
    let across = width / columns as f64;
    let spots = spots.iter().filter_map(|&index| picture.spots.get(index));
    let spots = spots.map(|spot| {
        let rank = spot.rank.unwrap_or_default();
        (format!("spot {rank}"), clean(&spot.label), String::new(), rank == 1)
    });
    let devices =
        in_key.iter().filter_map(|&index| picture.devices.get(index).zip(marks.get(index)));
    let devices = devices.map(|(device, mark)| {
        (
            mark.tag.clone(),
            clean(&device.name),
            verdict(device, picture.thresholds),
            device.finding == Some(Finding::Failing),
        )
    });
    let mut rows: Vec<KeyRow> = spots
        .chain(devices)
        .take(columns * count)
        .enumerate()
        .map(|(place, (tag, name, verdict, loud))| KeyRow {
            tag,
            name,
            verdict,
            loud,
            at: [
                corner[0] + across * (place / count) as f64,
                corner[1] + HEAD * size + ROW * size * ((place % count) as f64 + 0.75),
            ],
            width: across - 16.0 * size,
        })
        .collect();
    let left_out = all - rows.len();
    if left_out > 0
        && let Some(last) = rows.last_mut()
    {
        last.name = format!("and {} more, in the table", left_out + 1);
        last.tag.clear();
        last.verdict.clear();
    }
    let rect = Rect { x0: corner[0], y0: corner[1], x1: corner[0] + width, y1: corner[1] + height };
    (Some(rect), rows)
}

/// Draws the key.
pub(super) fn draw<S: Surface>(canvas: &mut Canvas<S>, layout: &Layout) -> Result<(), DrawError> {
    let Some(key) = layout.key else { return Ok(()) };
    let size = layout.view.size;
    let head = Type::bold(15.0 * size);
    let at = [key.x0, key.y0 + 18.0 * size];
    canvas.text("Not labelled on the plan", at, head, Align::Left, INK)?;
    for row in &layout.key_rows {
        let kind = Type { em: 13.5 * size, bold: row.loud };
        let tag = Type::bold(13.5 * size);
        let [x, y] = row.at;
        let tag_width = (40.0 * size).max(tag.width(&row.tag) + 9.0 * size);
        canvas.text(&row.tag, [x + tag_width - 9.0 * size, y], tag, Align::Right, INK)?;
        let verdict_width = kind.width(&row.verdict);
        let name = kind.fit(&row.name, row.width - tag_width - verdict_width - 10.0 * size);
        canvas.text(&name, [x + tag_width, y], kind, Align::Left, INK)?;
        let after = x + tag_width + kind.width(&name) + 10.0 * size;
        let ink = if row.loud { INK } else { QUIET };
        canvas.text(&row.verdict, [after, y], kind, Align::Left, ink)?;
    }
    Ok(())
}
