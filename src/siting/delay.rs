//! Entry and exit delay from the walk to the panel.
//!
//! The entry delay must last for the longest walk from an entry to the panel and for disarming; the
//! exit delay for arming and the same walk out, and never less than the longest entry delay.

/// Delays are set in steps of this many seconds (common practice, no source).
pub const STEP_S: f64 = 5.0;

/// What the settings of a control panel allow, in whole seconds: the least, what is there if nobody
/// sets one, and the most.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs, reason = "the names say it")]
pub struct DelayLimits {
    pub entry_least_s: u32,
    pub entry_usual_s: u32,
    pub entry_most_s: u32,
    pub exit_least_s: u32,
    pub exit_usual_s: u32,
    pub exit_most_s: u32,
}

impl DelayLimits {
    /// ANSI/SIA CP-01: entry 30 to 240 s, usually 30; exit 45 to 255 s, usually 60 (from memory,
    /// not confirmed: the standard itself not opened).
    pub const CP_01: Self = Self {
        entry_least_s: 30,
        entry_usual_s: 30,
        entry_most_s: 240,
        exit_least_s: 45,
        exit_usual_s: 60,
        exit_most_s: 255,
    };

    /// Where the limits come from, for people.
    pub const SOURCE: &'static str = "ANSI/SIA CP-01, from memory, not confirmed";
}

/// What a person does at the panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DelaySettings {
    /// Time from standing before the panel until it is disarmed, s, not negative.
    pub disarm_s: f64,
    /// Time from arming until the person sets off, s, not negative.
    pub arm_s: f64,
    /// What the panel allows.
    pub limits: DelayLimits,
}

impl DelaySettings {
    /// 10 s to disarm, 10 s to turn round and leave after arming (common practice, no source), and
    /// the limits of [`DelayLimits::CP_01`].
    pub const USUAL: Self = Self { disarm_s: 10.0, arm_s: 10.0, limits: DelayLimits::CP_01 };
}

impl Default for DelaySettings {
    fn default() -> Self {
        Self::USUAL
    }
}

/// A delay, as needed and as proposed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Delay {
    /// Time that the walk and the handling take, s.
    pub time_s: f64,
    /// That time rounded up to a step of [`STEP_S`], s.
    pub needed_s: f64,
    /// What to set: at least what is needed and what is usual, s.
    pub proposed_s: f64,
}

/// Which of the two delays.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs, reason = "the names say it")]
pub enum DelayKind {
    Entry,
    Exit,
}

/// A delay that must be longer than panels allow, all in seconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TooLong {
    /// Which one.
    pub kind: DelayKind,
    /// How long it must be.
    pub needs_s: f64,
    /// How long it may be.
    pub most_s: u32,
    /// What the walk takes of it.
    pub walk_s: f64,
    /// What disarming or arming takes of it.
    pub at_panel_s: f64,
}

/// Both delays of a spot.
#[derive(Debug, Clone, PartialEq)]
pub struct Delays {
    /// Entry delay.
    pub entry: Delay,
    /// Exit delay.
    pub exit: Delay,
    /// What the limits do not allow; empty if all is well.
    pub too_long: Vec<TooLong>,
}

/// The delays for a walk of some time, s.
///
/// The needed exit delay is that of the walk out alone; the proposed one is also no less than the
/// proposed entry delay.
#[must_use]
pub fn delays_for(walk_s: f64, settings: &DelaySettings) -> Delays {
    let limits = &settings.limits;
    let delay = |time_s: f64, least_s: f64| {
        let needed_s = rounded_up_s(time_s);
        Delay { time_s, needed_s, proposed_s: needed_s.max(least_s) }
    };
    let entry = delay(walk_s + settings.disarm_s, f64::from(limits.entry_usual_s));
    let least_s = f64::from(limits.exit_usual_s).max(entry.proposed_s);
    let exit = delay(walk_s + settings.arm_s, least_s);
    let both = [
        (DelayKind::Entry, entry.needed_s, limits.entry_most_s, settings.disarm_s),
        // An exit delay shorter than the entry delay does not help.
        (DelayKind::Exit, exit.needed_s.max(entry.needed_s), limits.exit_most_s, settings.arm_s),
    ];
    let over = both.into_iter().filter(|(_, needs_s, most_s, _)| *needs_s > f64::from(*most_s));
    let too_long = over.map(|(kind, needs_s, most_s, at_panel_s)| TooLong {
        kind,
        needs_s,
        most_s,
        walk_s,
        at_panel_s,
    });
    Delays { entry, exit, too_long: too_long.collect() }
}

/// A time rounded up to a step of [`STEP_S`]; what is over a step by less than a microsecond is
/// rounding noise and counts as the step. Never less than zero.
fn rounded_up_s(time_s: f64) -> f64 {
    let steps = ((time_s - 1e-6) / STEP_S).ceil();
    // Also turns minus zero into zero.
    (steps * STEP_S).max(0.0) + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_round_up_to_five_seconds_and_noise_does_not_count() {
        for (time_s, up_s) in [
            (0.0, 0.0),
            (0.1, 5.0),
            (5.0, 5.0),
            (29.999, 30.0),
            (30.0, 30.0),
            (30.000_000_001, 30.0),
            (30.001, 35.0),
            (3.0 * 0.1 * 100.0, 30.0),
        ] {
            assert_eq!(rounded_up_s(time_s), up_s, "{time_s}");
        }
        assert!(rounded_up_s(-3.0).is_sign_positive());
    }

    #[test]
    fn a_walk_gets_what_it_needs_or_the_usual_and_the_exit_no_less_than_the_entry() {
        for (walk_s, disarm_s, entry, exit) in
            [(7.5, 10.0, (20.0, 30.0), (20.0, 60.0)), (61.0, 30.0, (95.0, 95.0), (75.0, 95.0))]
        {
            let found = delays_for(walk_s, &DelaySettings { disarm_s, ..DelaySettings::USUAL });
            assert_eq!((found.entry.needed_s, found.entry.proposed_s), entry);
            assert_eq!((found.exit.needed_s, found.exit.proposed_s), exit);
            assert!(found.too_long.is_empty());
        }
    }

    #[test]
    fn what_the_limits_do_not_allow_is_said() {
        let at_limit = delays_for(230.0, &DelaySettings::USUAL);
        assert_eq!(at_limit.entry.needed_s, 240.0);
        assert!(at_limit.too_long.is_empty());
        let beyond = delays_for(231.0, &DelaySettings::USUAL);
        assert_eq!(
            beyond.too_long,
            [TooLong {
                kind: DelayKind::Entry,
                needs_s: 245.0,
                most_s: 240,
                walk_s: 231.0,
                at_panel_s: 10.0
            }]
        );
        let far_beyond = delays_for(250.0, &DelaySettings::USUAL);
        assert_eq!(far_beyond.too_long.len(), 2);
        assert_eq!(far_beyond.too_long[1].kind, DelayKind::Exit);
        assert_eq!(far_beyond.too_long[1].needs_s, 260.0);
    }
}
