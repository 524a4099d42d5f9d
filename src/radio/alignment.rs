//! What two aerials lose by the way they stand.
//!
//! Walls stand upright, and what they reflect or let through stays upright or level as it was
//! sent: a level aerial hears little of an upright one, however many ways lead to it.

use units::{Db, PowerRatio};

/// How the aerials at both ends of a path stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Alignment {
    /// Both upright.
    Upright,
    /// Both level, their headings unknown.
    Level,
    /// One upright, the other level.
    Crossed,
}

/// The part of the direct path's share that arrives with the polarisation it was sent with; the
/// rest is held by interference with what floors and near walls reflect (from the solutions named
/// at [`dipole_alignment_loss`]; 0.3 to 0.7 do as well).
const DIRECT_PART: f64 = 0.5;

/// Power of a small aerial in the polarisation that it is not meant for, of all that it has: 10 dB
/// down (from memory, no source confirmed: the ground plane and the leads beside it radiate, too).
const IMPURITY: f64 = 0.1;

impl Alignment {
    /// Received power over the mean of all orientations of both aerials, of a direct wave that
    /// rises by an angle (its sine squared) between two short dipoles: |a·b − (a·u)(b·u)|² for
    /// dipoles along a and b and a wave along u, the mean over level headings; 2/9 of the full
    /// power is the mean over all orientations (spherical means of that square), 1 stands for free
    /// space at broadside as it does for the path loss.
    fn direct(self, sine2: f64) -> f64 {
        let cosine2 = 1.0 - sine2;
        match self {
            Self::Upright => cosine2 * cosine2,
            Self::Level => (1.0 + sine2 * sine2) / 4.0,
            Self::Crossed => sine2 * cosine2 / 2.0,
        }
    }

    /// The same of all other ways together: −3.5, −6.5 and −13 dB (from the solutions named at
    /// [`dipole_alignment_loss`]).
    const fn by_other_ways(self) -> f64 {
        match self {
            Self::Upright => 0.446_683_592_150_963,
            Self::Level => 0.223_872_113_856_834,
            Self::Crossed => 0.050_118_723_362_727_2,
        }
    }

    fn share(self, direct: PowerRatio, sine2: f64) -> f64 {
        let direct = DIRECT_PART * direct.0.clamp(0.0, 1.0);
        direct * self.direct(sine2) + (1.0 - direct) * self.by_other_ways()
    }
}

/// What two short dipoles lose beyond the mean over all orientations of both, where the direct path
/// brings the share `direct` (0 to 1) of the power and rises or falls by an angle whose sine is
/// `sine` (−1 to 1).
///
/// Fitted to full-wave solutions of three houses (18,337 points, 319.5 to 868.65 MHz, calculated
/// here): both upright 3.1 dB with a standard deviation of 3.8, both level 6.4 and 2.6, crossed
/// 13.6 and 5.1; what this gives is within 2 dB in the mean of any of the houses, away from metal.
#[must_use]
pub fn dipole_alignment_loss(alignment: Alignment, direct: PowerRatio, sine: f64) -> Db {
    PowerRatio(alignment.share(direct, sine * sine)).to_loss()
}

/// The same of small aerials as they are in cases, which send and hear a tenth of their power in
/// the other polarisation.
#[must_use]
pub fn alignment_loss(alignment: Alignment, direct: PowerRatio, sine: f64) -> Db {
    let share = |alignment: Alignment| alignment.share(direct, sine * sine);
    let [upright, level, crossed] =
        [Alignment::Upright, Alignment::Level, Alignment::Crossed].map(share);
    let (pure, impure) = (1.0 - IMPURITY, IMPURITY);
    // Each end by itself picks one of the two polarisations.
    let mixed = match alignment {
        Alignment::Upright => {
            pure * pure * upright + 2.0 * pure * impure * crossed + impure * impure * level
        }
        Alignment::Level => {
            pure * pure * level + 2.0 * pure * impure * crossed + impure * impure * upright
        }
        Alignment::Crossed => {
            pure * impure * (upright + level) + (pure * pure + impure * impure) * crossed
        }
    };
    PowerRatio(mixed).to_loss()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const ALL: [Alignment; 3] = [Alignment::Upright, Alignment::Level, Alignment::Crossed];

    #[test]
    fn over_all_orientations_a_direct_wave_loses_the_same_however_it_rises() {
        for step in 0..=20 {
            let sine2 = f64::from(step) / 20.0;
            let [upright, level, crossed] = ALL.map(|alignment| alignment.direct(sine2));
            // One pair of three axes at either end is upright, four are level, four crossed.
            let mean = (upright + 4.0 * level + 4.0 * crossed) / 9.0;
            assert_relative_eq!(mean, 2.0 / 9.0, max_relative = 1e-12);
        }
    }

    /// The field of a short dipole along `a` in the direction `u`, picked up along `b`.
    fn coupled(a: [f64; 3], b: [f64; 3], u: [f64; 3]) -> f64 {
        let dot = |x: [f64; 3], y: [f64; 3]| x.iter().zip(&y).map(|(x, y)| x * y).sum::<f64>();
        (dot(a, b) - dot(a, u) * dot(b, u)).powi(2)
    }

    #[test]
    fn dipoles_couple_by_their_directions() {
        let (sin, cos) = 0.4_f64.sin_cos();
        let u = [cos, 0.0, sin];
        let upright = [0.0, 0.0, 1.0];
        let turns = 360;
        let level = |turn: i32| {
            let (sin, cos) = (f64::from(turn) * std::f64::consts::TAU / f64::from(turns)).sin_cos();
            [cos, sin, 0.0]
        };
        let sum = |of: &dyn Fn(i32) -> f64| (0..turns).map(of).sum::<f64>() / f64::from(turns);
        let found = [
            coupled(upright, upright, u),
            sum(&|a| sum(&|b| coupled(level(a), level(b), u))),
            sum(&|a| coupled(upright, level(a), u)),
        ];
        for (alignment, found) in ALL.into_iter().zip(found) {
            assert_relative_eq!(alignment.direct(sin * sin), found, max_relative = 1e-9);
        }
    }

    #[test]
    fn cases_blur_what_dipoles_keep_apart_and_crossed_stays_the_worst() {
        for (direct, sine) in [(0.0, 0.0), (0.5, 0.3), (1.0, 0.0), (1.0, 0.5)] {
            let of = |loss: fn(Alignment, PowerRatio, f64) -> Db| {
                ALL.map(|alignment| loss(alignment, PowerRatio(direct), sine).0)
            };
            let (pure, real) = (of(dipole_alignment_loss), of(alignment_loss));
            assert!(real[2] < pure[2] && real[0] > pure[0], "{pure:?} {real:?}");
            assert!(real[2] > real[0] && real[2] > real[1], "{real:?}");
        }
    }
}
