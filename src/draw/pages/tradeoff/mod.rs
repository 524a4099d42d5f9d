//! The chart of what is gained and lost from spot to spot: the walk to the panel against the chance
//! of a supervision fault, with the wire as the mark's shape.
//!
//! A spot that no other beats is filled; the rest are small and hollow. Ranked spots carry the same
//! pins as on the map. With two quantities, the steps beyond which no spot lies are drawn; while
//! the wire is a third, such a line would claim too much.

mod chart;
mod paint;
mod side;

pub use chart::layout;
use units::Lengths;

/// Spots against one another, before they are laid out.
#[derive(Debug, Clone, Default)]
pub struct Tradeoff {
    /// The plan's name.
    pub title: String,
    /// Second line.
    pub subtitle: String,
    /// One bold line under the subtitle; empty for none.
    pub headline: String,
    /// The caution at the foot of the chart.
    pub caution: String,
    /// The spots.
    pub spots: Vec<TradeoffSpot>,
    /// A spot with less than this chance of any supervision fault in a year keeps every sensor: a
    /// line is drawn at it. More than 0, at most 1.
    pub keeps_below: Option<f64>,
    /// Wire lengths, metres, up to which a wire is near and up to which it is of middle length.
    /// Without them they are taken from the spots, a third of them in each class.
    pub wire_classes_m: Option<[f64; 2]>,
    /// Unit in which wire lengths are written.
    pub length_unit: Lengths,
}

/// One spot of the chart.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct TradeoffSpot {
    /// Time of the walk from the farthest entry, seconds, 0 or more; none without entry or way.
    pub walk_s: Option<f64>,
    /// Chance that any supervised sensor faults within a year, 0 to 1.
    pub fault_chance: f64,
    /// Length of the wire from the nearest outlet, metres, 0 or more; none if there is no outlet.
    pub wire_m: Option<f64>,
    /// Its place in the order of merit, if it is one of those offered, the best being 1.
    pub rank: Option<u32>,
    /// Whether no other spot beats it in every quantity.
    pub unbeaten: bool,
}
