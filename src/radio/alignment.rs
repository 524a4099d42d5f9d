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
    /// One upright, the other as it may be.
    OneUpright,
    /// One level, the other as it may be.
    OneLevel,
}

/// The part of the direct path's share that arrives with the polarisation it was sent with; the
/// rest is held by interference with what floors and near walls reflect (from the solutions named
/// at [`dipole_alignment_loss`]; 0.3 to 0.7 do as well there, and the most does best for measured
/// levels, tests/measured/README.md).
const DIRECT_PART: f64 = 0.7;

/// Power of a small aerial in the polarisation that it is not meant for, of all that it has: 10 dB
/// down (from memory, no source confirmed: the ground plane and the leads beside it radiate, too).
const IMPURITY: f64 = 0.1;

impl Alignment {
    /// Received power, 1 that of free space at broadside as for the path loss, of a direct wave
    /// that rises by an angle (its sine squared) between two short dipoles: |a·b − (a·u)(b·u)|² for
    /// dipoles along a and b and a wave along u, the mean over the headings of level ones. Of a
    /// dipole that may stand anyhow it is the mean over all ways in which it can stand, 9/2 of it,
    /// since 2/9 are the mean of any two.
    fn direct(self, sine2: f64) -> f64 {
        let cosine2 = 1.0 - sine2;
        match self {
            Self::Upright => cosine2 * cosine2,
            Self::Level => (1.0 + sine2 * sine2) / 4.0,
            Self::Crossed => sine2 * cosine2 / 2.0,
            Self::OneUpright => 1.5 * cosine2,
            Self::OneLevel => 0.75 * (1.0 + sine2),
        }
    }

    /// The same of all other ways together: −4, −7 and −13 dB (from the solutions named at
    /// [`dipole_alignment_loss`]); of one that may stand anyhow, the mean over all.
    const fn by_other_ways(self) -> f64 {
        match self {
            Self::Upright => 0.398_107_170_553_497,
            Self::Level => 0.199_526_231_496_888,
            Self::Crossed => 0.050_118_723_362_727_2,
            Self::OneUpright | Self::OneLevel => 1.0,
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
/// 13.6 and 5.1; what this gives is within 2.5 dB in the mean of any of the houses, away from
/// metal.
#[must_use]
pub fn dipole_alignment_loss(alignment: Alignment, direct: PowerRatio, sine: f64) -> Db {
    PowerRatio(alignment.share(direct, sine * sine)).to_loss()
}

/// The same of small aerials as they are in cases, which send and hear a tenth of their power in
/// the other polarisation.
#[must_use]
pub fn alignment_loss(alignment: Alignment, direct: PowerRatio, sine: f64) -> Db {
    let share = |alignment: Alignment| alignment.share(direct, sine * sine);
    let (upright, level) = (share(Alignment::Upright), share(Alignment::Level));
    let crossed = share(Alignment::Crossed);
    let (pure, impure) = (1.0 - IMPURITY, IMPURITY);
    // Each end by itself picks one of the two polarisations.
    let alike = |own: f64, other: f64| {
        pure * pure * own + 2.0 * pure * impure * crossed + impure * impure * other
    };
    let one = |own, other| pure * share(own) + impure * share(other);
    let mixed = match alignment {
        Alignment::Upright => alike(upright, level),
        Alignment::Level => alike(level, upright),
        Alignment::Crossed => {
            pure * impure * (upright + level) + (pure * pure + impure * impure) * crossed
        }
        Alignment::OneUpright => one(Alignment::OneUpright, Alignment::OneLevel),
        Alignment::OneLevel => one(Alignment::OneLevel, Alignment::OneUpright),
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
            // Of one end alone: one axis in three of the other is like it or across.
            let one = |alignment: Alignment| alignment.direct(sine2) * 2.0 / 9.0;
            let with_upright = (upright + 2.0 * crossed) / 3.0;
            assert_relative_eq!(one(Alignment::OneUpright), with_upright, max_relative = 1e-12);
            let with_level = (crossed + 2.0 * level) / 3.0;
            assert_relative_eq!(one(Alignment::OneLevel), with_level, max_relative = 1e-12);
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
