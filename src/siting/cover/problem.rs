//! What is asked: places, sensors and the chance of a fault on every hop between them.

/// A dense table of numbers, row by row.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Matrix {
    columns: usize,
    values: Vec<f64>,
}

impl Matrix {
    /// A table whose entry at row r and column c is `entry(r, c)`.
    pub fn from_fn(
        rows: usize,
        columns: usize,
        mut entry: impl FnMut(usize, usize) -> f64,
    ) -> Self {
        let values = (0..rows)
            .flat_map(|row| (0..columns).map(move |column| (row, column)))
            .map(|(row, column)| entry(row, column))
            .collect();
        Self { columns, values }
    }

    /// The entry at `row` and `column`; not a number outside the table.
    #[must_use]
    pub fn get(&self, row: usize, column: usize) -> f64 {
        if column >= self.columns {
            return f64::NAN;
        }
        self.values.get(row * self.columns + column).copied().unwrap_or(f64::NAN)
    }
}

/// A candidate place for a repeater.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct RepeaterOption {
    /// The most sensors that a repeater here passes on: those that it hears itself and those that
    /// reach it over another repeater. `None`: no limit.
    pub capacity: Option<u32>,
    /// Whether a repeater is there already: it costs nothing and is always open.
    pub given: bool,
}

/// The most repeaters between a sensor and the panel.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Hops {
    /// A sensor is heard directly or over one repeater.
    #[default]
    One,
    /// A sensor is heard directly, over one repeater, or over two.
    Two,
}

/// Which repeaters are to be chosen among which places.
///
/// Every entry of the tables is the chance, 0 to below 1, of at least one supervision fault in a
/// year on that hop. A hop is *sound* when its chance lies below
/// [`sound_below`](Self::sound_below). A chance that is not a number, below 0, or 1 or more is
/// never sound, nor is one that lies outside its table.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CoverProblem {
    /// The number of places for the panel; 1 when it is fixed.
    pub panels: usize,
    /// The candidate places for repeaters.
    pub sites: Vec<RepeaterOption>,
    /// The number of sensors, all of which must be heard.
    pub sensors: usize,
    /// Row: sensor, column: panel place.
    pub sensor_panel: Matrix,
    /// Row: sensor, column: site.
    pub sensor_site: Matrix,
    /// Row: site, column: panel place.
    pub site_panel: Matrix,
    /// Row: the site that sends, column: the site that passes on. Used with [`Hops::Two`] only.
    pub site_site: Matrix,
    /// The chance below which a hop may be used.
    pub sound_below: f64,
    /// For sensors that cannot be sound, in their order, the chance below which their own first hop
    /// may be used; a sensor beyond its end has [`sound_below`](Self::sound_below).
    pub sensor_below: Vec<f64>,
    /// The most repeaters on a way.
    pub hops: Hops,
    /// Whether every sensor must still reach the panel after any one open repeater fails, the given
    /// ones too; all ways may be chosen anew then.
    pub lose_one: bool,
}

impl CoverProblem {
    /// The weight −ln(1 − chance) of a hop, infinite when the hop is not sound.
    pub(super) fn weight(&self, chance: f64) -> f64 {
        weight(chance, self.sound_below)
    }

    /// The weight of the first hop of a sensor.
    pub(super) fn first_weight(&self, sensor: usize, chance: f64) -> f64 {
        weight(chance, self.sensor_below.get(sensor).copied().unwrap_or(self.sound_below))
    }
}

fn weight(chance: f64, below: f64) -> f64 {
    if (0.0..1.0).contains(&chance) && chance < below { -(-chance).ln_1p() } else { f64::INFINITY }
}
