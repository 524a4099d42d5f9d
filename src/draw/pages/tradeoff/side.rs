//! What stands beside the plot: the legend, and the ranked spots in figures.

use super::{Tradeoff, TradeoffSpot};
use crate::base::{Point, Rect, Type};
use crate::pages::tradeoff::classes::{Across, Reach, reach};
use crate::parts::axis::{in_unit, percent, sign};

/// The sample beside a line of the legend.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Sample {
    Unbeaten,
    Beaten,
    Pin,
    Wire(Reach),
    Steps,
    Limit,
}

/// A line of the legend, set in several if need be.
#[derive(Debug, Clone)]
pub(crate) struct Entry {
    pub sample: Sample,
    pub lines: Vec<String>,
    pub height: f64,
}

/// Legend and table.
#[derive(Debug, Clone)]
pub(crate) struct Side {
    pub corner: Point,
    pub width: f64,
    pub blocks: Vec<(&'static str, Vec<Entry>)>,
    /// Head and rows of the table, each of as many cells.
    pub table: Vec<Vec<String>>,
    size: f64,
}

/// Rows that the table has at most.
const MOST_ROWS: usize = 12;

/// Height of a heading, of a table's row, and between blocks, pixels at size 1.
pub(crate) const HEAD: f64 = 28.0;
pub(crate) const ROW: f64 = 22.0;
pub(crate) const GAP: f64 = 18.0;

/// Room for the sample, pixels at size 1.
pub(crate) const SAMPLE: f64 = 62.0;

impl Side {
    /// Legend and table of a chart, with the wires' two class limits in the chart's unit.
    pub fn new(
        tradeoff: &Tradeoff,
        across: Across,
        limits: [f64; 2],
        corner: Point,
        size: f64,
    ) -> Self {
        let width = 330.0 * size;
        let kind = Type::regular(14.0 * size);
        let entry = |sample: Sample, text: &str| {
            let lines = kind.wrap(text, width - (SAMPLE + 8.0) * size, 3);
            let least = if sample == Sample::Pin { 58.0 } else { 26.0 };
            let height = (18.0 * lines.len() as f64 + 8.0).max(least) * size;
            Entry { sample, lines, height }
        };
        let spots = &tradeoff.spots;
        let mut entries = Vec::new();
        if spots.iter().any(|spot| spot.unbeaten) {
            let text = "no other spot beats it in everything";
            entries.push(entry(Sample::Unbeaten, text));
        }
        if spots.iter().any(|spot| !spot.unbeaten) {
            entries.push(entry(Sample::Beaten, "beaten by another spot"));
        }
        if spots.iter().any(|spot| spot.rank.is_some()) {
            let text = "ranked spot, with its number on the map";
            entries.push(entry(Sample::Pin, text));
        }
        let shapes = across == Across::Walk && spots.iter().any(|spot| spot.wire_m.is_some());
        if !shapes && across != Across::Order && spots.iter().any(|spot| spot.unbeaten) {
            entries.push(entry(Sample::Steps, "no spot lies below and left of this"));
        }
        if tradeoff.keeps_below.is_some() {
            let text = "hatched above the line: not every sensor is kept";
            entries.push(entry(Sample::Limit, text));
        }
        let mut blocks = vec![("Spots", entries)];
        if shapes {
            let sign = sign(tradeoff.length_unit);
            let [near, middle] = limits.map(|limit| {
                let digits = usize::from(limit.fract().abs() > 1e-9);
                format!("{limit:.digits$}")
            });
            let found = |own: Reach| {
                let class = |spot: &TradeoffSpot| {
                    let length = spot.wire_m.map(|wire| in_unit(wire, tradeoff.length_unit));
                    reach(length, limits) == own
                };
                spots.iter().any(class)
            };
            let mut wires = vec![
                entry(Sample::Wire(Reach::Near), &format!("up to {near} {sign}")),
                entry(
                    Sample::Wire(Reach::Middle),
                    &format!("over {near} and up to {middle} {sign}"),
                ),
                entry(Sample::Wire(Reach::Far), &format!("over {middle} {sign}")),
            ];
            wires.push(entry(Sample::Wire(Reach::Untold), "no wire reaches it"));
            wires.retain(|wire| matches!(wire.sample, Sample::Wire(class) if found(class)));
            blocks.push(("Wire from an outlet", wires));
        }
        blocks.retain(|(_, entries)| !entries.is_empty());
        Self { corner, width, blocks, table: table(tradeoff), size }
    }

    /// Its height, pixels.
    pub fn height(&self) -> f64 {
        let blocks: f64 = self
            .blocks
            .iter()
            .map(|(_, entries)| {
                let rows: f64 = entries.iter().map(|entry| entry.height).sum();
                (HEAD + GAP) * self.size + rows
            })
            .sum();
        let table = match self.table.len() {
            0 => 0.0,
            rows => (HEAD + ROW * rows as f64) * self.size,
        };
        blocks + table
    }

    /// Its box.
    pub fn rect(&self) -> Rect {
        let [x, y] = self.corner;
        Rect { x0: x, y0: y, x1: x + self.width, y1: y + self.height() }
    }

    /// Puts it elsewhere.
    pub fn move_to(&mut self, corner: Point) {
        self.corner = corner;
    }
}

/// The ranked spots in figures, the best first; empty if there are none. Only quantities that occur
/// have a column.
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
    let row = |spot: String, walk: String, chance: String, wire: String| {
        let mut cells = vec![spot];
        if walks {
            cells.push(walk);
        }
        cells.push(chance);
        if wires {
            cells.push(wire);
        }
        cells
    };
    let mut rows = vec![row(
        "Spot".to_owned(),
        "walk, s".to_owned(),
        "chance".to_owned(),
        format!("wire, {}", sign(unit)),
    )];
    rows.extend(ranked.iter().map(|(rank, spot)| {
        row(
            rank.to_string(),
            number(spot.walk_s),
            percent(spot.fault_chance),
            number(spot.wire_m.map(|wire| in_unit(wire, unit))),
        )
    }));
    if left_out > 0 {
        rows.push(vec![format!("and {left_out} more, in the table")]);
    }
    rows
}
