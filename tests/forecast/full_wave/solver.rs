//! A two-dimensional finite-difference time-domain solver, electric field upright.
//!
//! # Model
//! Maxwell's curl equations on Yee's staggered grid (Yee 1966, IEEE Trans. Antennas Propag. 14,
//! 302–307), field components Ez, Hx, Hy. Ez lies on the nodes, and every material face is parallel
//! to it, so a node takes the area mean of permittivity and conductivity over its cell. The grid
//! is closed by a convolutional perfectly matched layer (Roden and Gedney 2000, Microw. Opt.
//! Technol. Lett. 27, 334–339), here with κ = 1. (Both papers cited from memory.)
//!
//! H is kept multiplied by the impedance of free space, so that one Courant number stands in both
//! updates.

use std::f64::consts::{PI, TAU};

/// Speed of light, m/s (exact by definition of the metre).
pub const C: f64 = 299_792_458.0;
/// Electric constant, F/m (CODATA 2018).
pub const EPSILON_0: f64 = 8.854_187_812_8e-12;

/// Courant number c·dt/cell; the two-dimensional limit is 1/√2 = 0.7071.
const COURANT: f64 = 0.7;
/// Depth of the absorbing layer in cells.
pub const ABSORBER_CELLS: usize = 12;

/// Relative permittivity and conductivity on every node, row by row, x fastest.
pub struct Medium {
    /// Nodes along x.
    pub nx: usize,
    /// Nodes along y.
    pub ny: usize,
    /// Cell size, m.
    pub cell_m: f64,
    /// Relative permittivity.
    pub permittivity: Vec<f64>,
    /// Conductivity, S/m.
    pub conductivity: Vec<f64>,
}

impl Medium {
    /// Empty space of so many nodes.
    pub fn vacuum(nx: usize, ny: usize, cell_m: f64) -> Self {
        Self { nx, ny, cell_m, permittivity: vec![1.0; nx * ny], conductivity: vec![0.0; nx * ny] }
    }
}

/// What is radiated, and for how long the field is followed.
#[derive(Clone, Copy)]
pub struct Pulse {
    /// Centre frequency, Hz; the field is evaluated at this frequency.
    pub frequency_hz: f64,
    /// Time followed after the pulse's peak, s.
    pub follow_s: f64,
}

impl Pulse {
    /// Standard deviation of the Gaussian envelope, s: the spectrum is 20 dB down at ±35 % of the
    /// centre frequency, and nothing to speak of is left at zero frequency.
    fn width_s(self) -> f64 {
        2.146 / (TAU * 0.35 * self.frequency_hz)
    }

    fn peak_s(self) -> f64 {
        5.0 * self.width_s()
    }

    fn value(self, time_s: f64) -> f64 {
        let t = time_s - self.peak_s();
        let width = self.width_s();
        (-0.5 * (t / width).powi(2)).exp() * (TAU * self.frequency_hz * t).sin()
    }
}

/// How the absorbing layer's memory ψ moves on at one depth: ψ ← decay·ψ + feed·(difference).
#[derive(Clone, Copy)]
struct Absorber {
    decay: f32,
    feed: f32,
}

impl Absorber {
    /// At a position (in cells) on an axis of `n` nodes; outside the layer nothing is fed.
    fn at(position: f64, n: usize) -> Self {
        let depth = ABSORBER_CELLS as f64;
        let inside = (depth - position).max(position - (n as f64 - 1.0 - depth)).min(depth) / depth;
        if inside <= 0.0 {
            return Self { decay: 0.0, feed: 0.0 };
        }
        // Cubic grading to the usual optimum 0.8·(m + 1)/(η0·cell), in units of dt/ε0.
        let sigma = 3.2 * COURANT * inside.powi(3);
        let alpha = 0.02 * (1.0 - inside);
        let decay = (-(sigma + alpha)).exp();
        Self { decay: decay as f32, feed: (sigma / (sigma + alpha) * (decay - 1.0)) as f32 }
    }
}

/// The two ends of every row that lie in the absorbing layer, for one field component.
struct Strips {
    starts: [usize; 2],
    absorbers: [[Absorber; STRIP]; 2],
    /// ψ, two strips a row.
    memory: Vec<[[f32; STRIP]; 2]>,
}

/// Cells of a row at either end in which the absorbing layer acts.
const STRIP: usize = ABSORBER_CELLS + 1;

impl Strips {
    /// For nodes 1 to n − 2 (`shift` 0) or the half places 0.5 to n − 1.5 (`shift` 0.5); `starts`
    /// count from the first of them.
    fn new(nx: usize, ny: usize, shift: f64) -> Self {
        let cells = if shift == 0.0 { nx - 2 } else { nx - 1 };
        let starts = [0, cells - STRIP];
        let first = (nx - 1 - cells) as f64 + shift;
        let absorbers = starts
            .map(|start| std::array::from_fn(|k| Absorber::at(first + (start + k) as f64, nx)));
        Self { starts, absorbers, memory: vec![[[0.0; STRIP]; 2]; ny] }
    }

    /// Adds the layer's term to one row: target ← target + scale·ψ, ψ fed by high − low.
    fn absorb(&mut self, row: usize, target: &mut [f32], high: &[f32], low: &[f32], scale: &[f32]) {
        let ends = self.memory[row].iter_mut().zip(&self.absorbers).zip(self.starts);
        for ((memory, absorbers), start) in ends {
            let cells = start..start + STRIP;
            let difference =
                high[cells.clone()].iter().zip(&low[cells.clone()]).map(|(h, l)| h - l);
            let field = target[cells.clone()].iter_mut().zip(&scale[cells]);
            for (((psi, a), d), (t, s)) in
                memory.iter_mut().zip(absorbers).zip(difference).zip(field)
            {
                *psi = a.decay * *psi + a.feed * d;
                *t += s * *psi;
            }
        }
    }
}

/// The complex amplitude (real, imaginary) of Ez on the `probes` (node indices), at the pulse's
/// frequency, for a line source of unit strength on the node `source`.
///
/// The last value is the share of the field's peak that was still there at the end, over all
/// probes: what the cut in time can have cost.
pub fn radiate(
    medium: &Medium,
    source: usize,
    probes: &[usize],
    pulse: Pulse,
) -> (Vec<(f64, f64)>, f64) {
    let (nx, ny) = (medium.nx, medium.ny);
    let dt = COURANT * medium.cell_m / C;
    let steps = ((pulse.peak_s() + pulse.follow_s) / dt) as usize;
    // Samples for the Fourier sum: at least 8 a period.
    let stride = ((1.0 / (8.0 * pulse.frequency_hz * dt)) as usize).max(1);
    let courant = COURANT as f32;

    let mut keep = Vec::with_capacity(nx * ny);
    let mut gain = Vec::with_capacity(nx * ny);
    for (&permittivity, &conductivity) in medium.permittivity.iter().zip(&medium.conductivity) {
        let loss = conductivity * dt / (2.0 * EPSILON_0 * permittivity);
        keep.push(((1.0 - loss) / (1.0 + loss)) as f32);
        gain.push((COURANT / permittivity / (1.0 + loss)) as f32);
    }

    let mut ez = vec![0f32; nx * ny];
    let mut hx = vec![0f32; nx * ny];
    let mut hy = vec![0f32; nx * ny];
    let mut strips_of_ez = Strips::new(nx, ny, 0.0);
    let mut strips_of_hy = Strips::new(nx, ny, 0.5);
    let mut psi_ez = vec![0f32; nx * ny];
    let mut psi_hx = vec![0f32; nx * ny];
    let even = vec![courant; nx];

    let mut sums = vec![(0f64, 0f64); probes.len()];
    let (mut peak, mut late) = (0f32, 0f32);
    for step in 0..steps {
        // One sweep: the magnetic field of row j needs the old electric field of rows j and j + 1;
        // once it is there, the electric field of row j can move on.
        for j in 0..ny - 1 {
            let row = j * nx..(j + 1) * nx;
            let (ez_here, ez_above) = ez.split_at_mut((j + 1) * nx);
            let (e, above) = (&mut ez_here[j * nx..], &ez_above[..nx]);
            let y = &mut hy[row.clone()];
            for ((h, e0), e1) in y.iter_mut().zip(e.iter()).zip(&e[1..]) {
                *h += courant * (e1 - e0);
            }
            strips_of_hy.absorb(j, y, &e[1..], e, &even);
            let (hx_below, hx_here) = hx.split_at_mut(j * nx);
            let x = &mut hx_here[..nx];
            for ((h, e0), e1) in x.iter_mut().zip(e.iter()).zip(above) {
                *h -= courant * (e1 - e0);
            }
            let absorber = Absorber::at(j as f64 + 0.5, ny);
            if absorber.feed != 0.0 {
                let psi = &mut psi_hx[row.clone()];
                for (((h, p), e0), e1) in x.iter_mut().zip(psi).zip(e.iter()).zip(above) {
                    *p = absorber.decay * *p + absorber.feed * (e1 - e0);
                    *h -= courant * *p;
                }
            }
            if j == 0 {
                continue;
            }
            let below = &hx_below[(j - 1) * nx..];
            let (keep, gain) = (&keep[row.clone()], &gain[row.clone()]);
            update_row(e, keep, gain, y, x, below);
            strips_of_ez.absorb(j, &mut e[1..], &y[1..], y, &gain[1..]);
            let absorber = Absorber::at(j as f64, ny);
            if absorber.feed != 0.0 {
                let psi = &mut psi_ez[row];
                for i in 1..nx - 1 {
                    psi[i] = absorber.decay * psi[i] + absorber.feed * (x[i] - below[i]);
                    e[i] -= gain[i] * psi[i];
                }
            }
        }
        let time = (step as f64 + 0.5) * dt;
        ez[source] += gain[source] * pulse.value(time) as f32;
        if step % stride == 0 {
            let (sin, cos) = (TAU * pulse.frequency_hz * step as f64 * dt).sin_cos();
            let last = step * 20 > steps * 19;
            for (sum, &probe) in sums.iter_mut().zip(probes) {
                let value = ez[probe];
                peak = peak.max(value.abs());
                if last {
                    late = late.max(value.abs());
                }
                sum.0 += f64::from(value) * cos;
                sum.1 -= f64::from(value) * sin;
            }
        }
    }
    // Per sample of the Fourier sum and per cell: the same line current whatever the grid.
    let scale = stride as f64 * dt / PI;
    for sum in &mut sums {
        *sum = (sum.0 * scale, sum.1 * scale);
    }
    (sums, f64::from(late / peak))
}

/// Ez of one row from the magnetic field around it.
fn update_row(e: &mut [f32], keep: &[f32], gain: &[f32], y: &[f32], x: &[f32], below: &[f32]) {
    // Slices of one length each, so that the compiler can drop the bounds checks and vectorise.
    let n = e.len() - 2;
    let (e, keep, gain) = (&mut e[1..=n], &keep[1..=n], &gain[1..=n]);
    let (right, left) = (&y[1..=n], &y[..n]);
    let (x, below) = (&x[1..=n], &below[1..=n]);
    for i in 0..n {
        e[i] = keep[i] * e[i] + gain[i] * ((right[i] - left[i]) - (x[i] - below[i]));
    }
}
