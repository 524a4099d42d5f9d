//! What stands beside the plot: the legend, and the ranked spots in figures.

use super::{Tradeoff, TradeoffSpot};
use crate::base::{Align, Canvas, FRAME, INK, Point, QUIET, Rect, Type, level_line};
use crate::pages::tradeoff::paint::{Reach, draw_dot, draw_limit, draw_steps, reach};
use crate::parts::axis::percent;
use crate::parts::legend::{self, Block, Rows};
use crate::parts::mark::{Mark, pin_reach};
use crate::parts::marks::draw_pin;

pub(crate) struct Side {
    blocks: Vec<Block>,
    /// Head and rows of the table, each of as many cells.
    table: Vec<Vec<String>>,
    width: f64,
}

/// Rows that the table has at most.
const MOST_ROWS: usize = 12;

/// Height of a heading, of a table's row, and between blocks, pixels at size 1.
const HEAD: f64 = 28.0;
const ROW: f64 = 22.0;
const GAP: f64 = 18.0;

/// Half the width of a line as a sample, pixels at size 1.
const HALF: f64 = 26.0;

/// Height of most samples, pixels at size 1.
const LOW: f64 = 26.0;

/// Room for the sample, pixels at size 1.
const SAMPLE: f64 = 62.0;

impl Side {
    /// Legend and table; `shapes` are the limits of the wires' classes, if shapes show them.
    pub fn new(tradeoff: &Tradeoff, shapes: Option<[f64; 2]>, stepped: bool, size: f64) -> Self {
        let width = 330.0 * size;
        let none = || Rows::new(size, width - (SAMPLE + 8.0) * size, 8.0);
        let dot = |unbeaten: bool| {
            move |pen: &mut Canvas, at: Point, size: f64| {
                draw_dot(pen, at, Reach::Near, unbeaten, size);
            }
        };
        let any = |holds: fn(&TradeoffSpot) -> bool| tradeoff.spots.iter().any(holds);
        let mut rows = none();
        let unbeaten = any(|spot| spot.unbeaten);
        rows.add(unbeaten, LOW, "no other spot beats it in everything", dot(true));
        rows.add(any(|spot| !spot.unbeaten), LOW, "beaten by another spot", dot(false));
        let text = "ranked spot, with its number on the map";
        rows.add(any(|spot| spot.rank.is_some()), 58.0, text, |pen, [x, y], size| {
            let tip = [x, y + 24.0 * size];
            let head = [x, tip[1] - pin_reach(2) * size];
            draw_pin(pen, &Mark::pin(2, tip, head, size), size);
        });
        let text = "no spot is below and left of this";
        rows.add(stepped && unbeaten, LOW, text, |pen, at, size| {
            draw_steps(pen, &level_line(at, HALF * size), size);
        });
        let least = percent(tradeoff.keeps_below.unwrap_or_default());
        let text = format!("below the line, {least} a year, every sensor is kept");
        rows.add(tradeoff.keeps_below.is_some(), LOW, &text, |pen, [x, y], size| {
            let [x0, x1] = [x - HALF * size, x + HALF * size];
            let area = Rect { x0, y0: y - 14.0 * size, x1, y1: y + 8.0 * size };
            draw_limit(pen, &area, area.y1, size);
        });
        let mut wires = none();
        if let Some(limits) = shapes {
            let sign = tradeoff.length_unit.sign();
            let [near, middle] = limits.map(|limit| {
                let digits = usize::from(limit.fract().abs() > 1e-9);
                format!("{limit:.digits$}")
            });
            for (class, text) in [
                (Reach::Near, format!("up to {near} {sign}")),
                (Reach::Middle, format!("over {near} and up to {middle} {sign}")),
                (Reach::Far, format!("over {middle} {sign}")),
                (Reach::Untold, "no wire reaches it".to_owned()),
            ] {
                let length = |wire: f64| wire / tradeoff.length_unit.metres();
                let mut lengths = tradeoff.spots.iter().map(|spot| spot.wire_m.map(length));
                let occurs = lengths.any(|length| reach(length, limits) == class);
                wires.add(occurs, LOW, &text, move |pen, [x, y], size| {
                    draw_dot(pen, [x - 10.0 * size, y], class, true, size);
                    draw_dot(pen, [x + 10.0 * size, y], class, false, size);
                });
            }
        }
        let blocks = [("Spots", rows), ("Wire from an outlet", wires)].into_iter();
        let blocks = blocks.filter_map(|(head, rows)| Block::new(head, rows, width, size));
        Self { blocks: blocks.collect(), table: table(tradeoff), width }
    }

    pub fn height(&self, size: f64) -> f64 {
        let blocks: f64 = self.blocks.iter().map(|block| block.height + GAP * size).sum();
        let table = match self.table.len() {
            0 => 0.0,
            rows => (HEAD + ROW * rows as f64) * size,
        };
        blocks + table
    }

    /// Draws it from its upper left corner on; returns where it ends.
    pub fn draw(mut self, canvas: &mut Canvas, [x, top]: Point, size: f64) -> f64 {
        let gap = GAP * size;
        let end = top + self.height(size);
        legend::flow(&mut self.blocks, 1, self.width, gap);
        let mut y = legend::settle(&mut self.blocks, [x, top]) + gap;
        let along = [SAMPLE / 2.0, SAMPLE + 8.0];
        legend::draw(canvas, &self.blocks, self.width, along, &|_, _| {}, size);
        let Some(cells) = self.table.first().map(Vec::len) else {
            return end;
        };
        let (bold, kind) = (Type::bold(15.0 * size), Type::regular(14.0 * size));
        canvas.write("The ranked spots in figures", [x, y + 14.0 * size], bold, INK);
        y += HEAD * size;
        // The first column is narrow, the others share the rest; figures stand to the right.
        let first = 52.0 * size;
        let across = (self.width - first) / (cells as f64 - 1.0).max(1.0);
        for (count, row) in self.table.iter().enumerate() {
            let base = y + 15.0 * size;
            let kind = Type { bold: count == 1, ..kind };
            let ink = if count == 0 { QUIET } else { INK };
            for (column, cell) in row.iter().enumerate() {
                if column == 0 {
                    canvas.write(cell, [x, base], kind, ink);
                } else {
                    let right = x + first + across * column as f64;
                    canvas.text(cell, [right - 8.0 * size, base], kind, Align::Right, ink);
                }
            }
            y += ROW * size;
            if count == 0 {
                let rule = [[x, y - 1.0 * size], [x + self.width - 8.0 * size, y - 1.0 * size]];
                canvas.line(&rule, size, FRAME);
            }
        }
        end
    }
}

/// The ranked spots in figures, the best first. Only quantities that occur have a column.
fn table(tradeoff: &Tradeoff) -> Vec<Vec<String>> {
    let mut ranked: Vec<(u32, &TradeoffSpot)> =
        tradeoff.spots.iter().filter_map(|spot| Some((spot.rank?, spot))).collect();
    if ranked.is_empty() {
        return Vec::new();
    }
    ranked.sort_by_key(|(rank, _)| *rank);
    let unit = tradeoff.length_unit;
    let walks = tradeoff.spots.iter().any(|spot| spot.walk_s.is_some());
    let wires = tradeoff.spots.iter().any(|spot| spot.wire_m.is_some());
    let left_out = ranked.len().saturating_sub(MOST_ROWS);
    ranked.truncate(MOST_ROWS);
    let number =
        |value: Option<f64>| value.map_or_else(|| "none".to_owned(), |v| format!("{v:.1}"));
    let row = |cells: [String; 4]| -> Vec<String> {
        let shown = cells.into_iter().zip([true, walks, true, wires]);
        shown.filter_map(|(cell, shown)| shown.then_some(cell)).collect()
    };
    let wire = format!("wire, {}", unit.sign());
    let mut rows = vec![row(["Spot".into(), "walk, s".into(), "chance".into(), wire])];
    rows.extend(ranked.iter().map(|(rank, spot)| {
        let wire = number(spot.wire_m.map(|wire| wire / unit.metres()));
        row([rank.to_string(), number(spot.walk_s), percent(spot.fault_chance), wire])
    }));
    if left_out > 0 {
        rows.push(vec![format!("and {left_out} more, in the table")]);
    }
    rows
}
