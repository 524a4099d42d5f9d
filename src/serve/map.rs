//! Maps: which cells are worked out when, and the bytes in which they travel.

use trace::Grid;

/// What a map shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum MapKind {
    /// What a sensor has in reserve, with the panel where it hangs.
    #[default]
    Here,
    /// What the worst of all devices has in reserve, if the panel hung there.
    Anywhere,
}

impl MapKind {
    /// Its number in the header.
    #[must_use]
    pub const fn number(self) -> u8 {
        match self {
            Self::Here => 0,
            Self::Anywhere => 1,
        }
    }
}

/// The stage of a map after which none follows.
pub const LAST_STAGE: u8 = 255;

/// Bytes before the cells.
pub const HEADER_BYTES: usize = 36;

/// What the header of a map says beside its cells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MapHead {
    /// Version of the text.
    pub version: u32,
    /// Number of the edit or try.
    pub seq: u32,
    /// Number of the level.
    pub level: i32,
    /// What it shows.
    pub kind: MapKind,
    /// From 0, coarse, to [`LAST_STAGE`].
    pub stage: u8,
}

/// A map in bytes, little endian; the cells row by row from the south west, in half decibels from
/// -50 dB, as byte 0 to 100 is for what is short and above for what is in reserve. What is lower
/// or higher than a byte can say is held at 1 or 255.
#[must_use]
pub fn bytes(head: &MapHead, grid: &Grid, reserve_db: &[f64]) -> Vec<u8> {
    let count = |cells: usize| u16::try_from(cells).unwrap_or(u16::MAX);
    let mut bytes = Vec::with_capacity(HEADER_BYTES + reserve_db.len());
    bytes.extend(*b"DM1\0");
    bytes.extend(head.version.to_le_bytes());
    bytes.extend(head.seq.to_le_bytes());
    bytes.extend(head.level.to_le_bytes());
    bytes.extend([head.kind.number(), head.stage]);
    bytes.extend([count(grid.columns), count(grid.rows), 0].into_iter().flat_map(u16::to_le_bytes));
    // The corner of the first cell, not its middle.
    let corner = [grid.origin.x - grid.cell / 2.0, grid.origin.y - grid.cell / 2.0, grid.cell];
    bytes.extend(corner.into_iter().flat_map(|metres| (metres as f32).to_le_bytes()));
    bytes.extend(reserve_db.iter().map(|reserve| cell(*reserve)));
    bytes
}

/// Whether none follows after a map in bytes.
#[must_use]
pub fn is_last(map: &[u8]) -> bool {
    map.get(17) == Some(&LAST_STAGE)
}

/// A reserve as a byte; 0 where there is none.
#[must_use]
pub fn cell(reserve_db: f64) -> u8 {
    if reserve_db.is_nan() {
        return 0;
    }
    (reserve_db * 2.0 + 100.0).round().clamp(1.0, 255.0) as u8
}

/// A field that is worked out from coarse to fine, no cell twice: each stage halves the distance of
/// the cells and works out the three quarters that are new.
#[derive(Debug, Clone)]
pub struct Stages {
    fine: Grid,
    /// Distance of the cells once this stage is complete, in cells of the fine grid.
    stride: usize,
    /// Which of its parts comes next: of the first stage there is one, of all others three.
    part: usize,
    is_first: bool,
    is_done: bool,
    values: Vec<f64>,
}

impl Stages {
    /// The stages of a grid; in the first every `stride`th cell, rounded up to a power of two, is
    /// worked out.
    #[must_use]
    pub fn new(fine: Grid, stride: usize) -> Self {
        Self {
            fine,
            stride: stride.next_power_of_two(),
            part: 0,
            is_first: true,
            is_done: false,
            values: vec![f64::NAN; fine.columns * fine.rows],
        }
    }

    /// Whether every cell is known.
    #[must_use]
    pub const fn is_done(&self) -> bool {
        self.is_done
    }

    /// The cells to work out next; there may be none of them.
    #[must_use]
    pub fn next(&self) -> Grid {
        let (column, row) = self.first();
        self.every(if self.is_first { self.stride } else { 2 * self.stride }, column, row)
    }

    /// The first cell of the next part.
    fn first(&self) -> (usize, usize) {
        let step = self.stride;
        if self.is_first { (0, 0) } else { [(step, 0), (0, step), (step, step)][self.part] }
    }

    fn every(&self, step: usize, column: usize, row: usize) -> Grid {
        let fine = &self.fine;
        let count = |cells: usize, first: usize| cells.saturating_sub(first).div_ceil(step);
        Grid {
            origin: fine.centre(column, row),
            cell: fine.cell * step as f64,
            columns: count(fine.columns, column),
            rows: count(fine.rows, row),
            height: fine.height,
        }
    }

    /// Takes what [`Self::next`] came to, row by row; gives the whole stage, if it is complete with
    /// that.
    pub fn put(&mut self, values: &[f64]) -> Option<(Grid, Vec<f64>)> {
        let ((column, row), part) = (self.first(), self.next());
        let step = if self.is_first { self.stride } else { 2 * self.stride };
        for (number, value) in values.iter().enumerate().take(part.columns * part.rows) {
            let x = column + number % part.columns * step;
            let y = row + number / part.columns * step;
            self.values[y * self.fine.columns + x] = *value;
        }
        if !self.is_first && self.part < 2 {
            self.part += 1;
            return None;
        }
        let known = self.every(self.stride, 0, 0);
        let rows = (0..self.fine.rows).step_by(self.stride);
        let columns = || (0..self.fine.columns).step_by(self.stride);
        let cells = rows.flat_map(|row| columns().map(move |column| (column, row)));
        let values = cells.map(|(column, row)| self.values[row * self.fine.columns + column]);
        let values = values.collect();
        (self.part, self.is_first) = (0, false);
        self.is_done = self.stride == 1;
        self.stride = (self.stride / 2).max(1);
        Some((known, values))
    }

    /// How many cells the next whole stage works out.
    #[must_use]
    pub fn cells_of_next(&self) -> usize {
        if self.is_done {
            return 0;
        }
        let count = |grid: Grid| grid.columns * grid.rows;
        count(self.every(self.stride, 0, 0)) - count(self.every(2 * self.stride, 0, 0))
    }
}
