//! The causes, and the prior chance of each. Their words are in the language files.

/// Chance that a sensor which is not asked about has a fault of its own (our choice, no source).
pub const OTHERS_FAULTY: f64 = 0.1;

/// What may be wrong with a sensor that is not heard well. `TooWeak`: the forecast's own spread
/// explains the readings; `Obstruction`: something near the sensor that is not on the plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "the names in words say it")]
pub enum Cause {
    TooWeak,
    Obstruction,
    Null,
    WeakTransmitter,
    Noise,
    PanelLoss,
    Clashes,
    NotRadio,
}

impl Cause {
    /// All of them, in the order in which equals are listed.
    pub const ALL: [Self; 8] = [
        Self::TooWeak,
        Self::Obstruction,
        Self::Null,
        Self::WeakTransmitter,
        Self::Noise,
        Self::PanelLoss,
        Self::Clashes,
        Self::NotRadio,
    ];

    /// How much work it is to look for it and put it right.
    #[must_use]
    pub const fn effort(self) -> Effort {
        match self {
            Self::WeakTransmitter | Self::NotRadio => Effort::BatteryAndCover,
            Self::Obstruction => Effort::Mounting,
            Self::Null => Effort::Moving,
            Self::TooWeak | Self::Noise | Self::PanelLoss | Self::Clashes => Effort::Hardware,
        }
    }

    /// Whether it strikes one sensor only.
    pub(crate) const fn is_local(self) -> bool {
        !matches!(self, Self::Noise | Self::PanelLoss | Self::Clashes)
    }
}

/// Work in an installer's order, the least first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Effort {
    /// Change the battery, look under the cover, read once more.
    BatteryAndCover,
    /// Mount it clear of what is in the way.
    Mounting,
    /// Hang it elsewhere.
    Moving,
    /// Change or add a device, or work at the panel.
    Hardware,
}

impl Effort {
    /// The word for it in files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::BatteryAndCover => "battery-and-cover",
            Self::Mounting => "mounting",
            Self::Moving => "moving",
            Self::Hardware => "hardware",
        }
    }
}

/// The prior chance of each cause for a sensor of which somebody complains.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shares([f64; 8]);

impl Default for Shares {
    /// Our choice, no source. Clashes are rare where check-ins alone are on the air: forty sensors
    /// with bursts of 0.1 s once an hour fill 0.1 % of it.
    fn default() -> Self {
        Self::new([0.24, 0.18, 0.14, 0.16, 0.09, 0.05, 0.03, 0.11])
    }
}

impl Shares {
    /// Shares, none below zero, in the order of [`Cause::ALL`], made to add to one.
    #[must_use]
    pub fn new(shares: [f64; 8]) -> Self {
        let sum: f64 = shares.iter().sum();
        Self(shares.map(|share| share / sum))
    }

    /// Share of a cause.
    #[must_use]
    pub const fn of(&self, cause: Cause) -> f64 {
        self.0[cause as usize]
    }

    /// The same for a sensor that the forecast has failing as drawn. It needs no fault to be
    /// heard badly, so that [`Cause::TooWeak`] gets the chance that a sensor has no fault at all,
    /// one less [`OTHERS_FAULTY`]; the others share the rest as before.
    #[must_use]
    pub fn of_failing(&self) -> Self {
        let no_fault = self.of(Cause::TooWeak);
        let mut shares = self.0.map(|share| share * OTHERS_FAULTY / (1.0 - no_fault).max(1e-12));
        shares[Cause::TooWeak as usize] = 1.0 - OTHERS_FAULTY;
        Self::new(shares)
    }

    /// The same where transmitters of the link offer a load to the air: their number times the
    /// airtime of a check-in over the check-in interval. By the vulnerable period of unslotted
    /// random access (two bursts long; Abramson 1970, from memory) a check-in clashes with chance 1
    /// − exp(−2·load); the share of clashes grows by ten times that, at most by a half (our
    /// choice).
    pub(crate) fn with_load(&self, load: f64) -> Self {
        let clash = -libm::expm1(-2.0 * load.clamp(0.0, 10.0));
        let mut shares = self.0;
        shares[Cause::Clashes as usize] += (10.0 * clash).min(0.5);
        Self::new(shares)
    }
}
