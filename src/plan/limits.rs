//! Limits of a plan: what protects against hostile files, and what no site reaches.
//!
//! All of them are our own choice (common sense, no source): wide enough for a large site, narrow
//! enough that reading costs little memory and that a slip of the pen stands out.

/// Largest plan that is read, in bytes: 16 MiB.
pub const MAX_FILE_BYTES: usize = 16 * 1024 * 1024;

/// Deepest nesting of lists and objects; a plan needs eight.
pub const MAX_NESTING: usize = 32;

/// Most JSON values in a plan: enough for [`MAX_POSITIONS`] in [`MAX_FEATURES`].
pub const MAX_VALUES: usize = 1_200_000;

/// Most features of a plan.
pub const MAX_FEATURES: usize = 20_000;

/// Most positions of all features together.
pub const MAX_POSITIONS: usize = 200_000;

/// Most positions of one polygon: whether it crosses itself takes a time that may grow with the
/// square of this.
pub const MAX_OUTLINE_POSITIONS: usize = 5_000;

/// Most levels of a plan.
pub const MAX_LEVELS: usize = 200;

/// Farthest that a coordinate may lie from the plan's zero, metres either way.
pub const MAX_COORDINATE_M: f64 = 100_000.0;

/// Widest that a plan may be, metres: beyond it a position is misplaced.
pub const MAX_EXTENT_M: f64 = 2_000.0;

/// Largest height, base, top, floor or ceiling, metres either way.
pub const MAX_HEIGHT_M: f64 = 1_000.0;

/// Shortest segment of a wall, metres; what is shorter has no length.
pub const MIN_SEGMENT_M: f64 = 0.001;

/// How far an opening's ends may lie off its wall, metres (the plan format says so).
pub const ON_WALL_TOLERANCE_M: f64 = 0.05;
