//! Paths of the power.

/// One path on the plan.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PathMark {
    /// Its corners from the listener to the sensor, metres, as seen from above; fewer than two are
    /// not drawn.
    pub points: Vec<[f64; 2]>,
    /// Its part in the sum of the powers of all paths, 0 to 1.
    pub share: f64,
    /// Whether it comes straight from the one to the other (a solid line) or by way of something
    /// that reflects it (a broken line).
    pub direct: bool,
    /// What it is, for the legend, such as "off the brick-cavity wall"; empty for "direct" or
    /// "reflected".
    pub label: String,
    /// Where it goes through walls; meant for the direct path, and best left empty for the others.
    pub crossings: Vec<CrossingMark>,
}

/// A place at which a path goes through a wall, drawn as a short stroke across the path.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct CrossingMark {
    /// Where, metres.
    pub position: [f64; 2],
    /// What is lost there, dB: written with a minus. A gain is negative.
    pub loss_db: f64,
}
