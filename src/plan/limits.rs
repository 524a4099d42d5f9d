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

/// How often boxes around pieces of walls may meet: a few hundred times for each of
/// [`MAX_FEATURES`]; in a large office it is some five times.
pub(crate) const MAX_WALLS_OVER_WALLS: usize = 5_000_000;

/// Most positions of a polygon: to see whether it crosses itself may take a time with its square.
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

/// Lowest and highest number of a level.
pub(crate) const LEVEL_NUMBERS: (f64, f64) = (-1_000.0, 1_000.0);

/// Thinnest wall, millimetres: thinner is metres or inches by mistake.
pub(crate) const MIN_WALL_MM: f64 = 1.0;

/// Thickest wall or layer, millimetres: thicker than any wall of a building.
pub(crate) const MAX_THICKNESS_MM: f64 = 5_000.0;

/// Most layers of one construction.
pub(crate) const MAX_LAYERS: usize = 50;

/// Most loss of a measured construction, dB.
pub(crate) const MAX_LOSS_DB: f64 = 300.0;

/// Lowest and highest frequency, MHz.
pub(crate) const FREQUENCY_MHZ: (f64, f64) = (1.0, 100_000.0);

/// Least and greatest factor that readings may put on a construction's loss.
pub const SCALE: (f64, f64) = (0.05, 5.0);

/// Least and greatest spread of that factor.
pub const SCALE_SIGMA: (f64, f64) = (0.0, 5.0);

/// Least and greatest loss that readings may find, dB.
pub const LOSS_DB: (f64, f64) = (-60.0, 60.0);

/// Least and greatest spread of a level, dB.
pub const SIGMA_DB: (f64, f64) = (0.0, 60.0);
/// Largest number in the transform of a picture (our own choice: twice as far as a plan may reach).
pub(crate) const MAX_TRANSFORM: f64 = 1e6;
