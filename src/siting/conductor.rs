//! Resistance of copper conductors, and the voltage that is left at the end of a run.
//!
//! Both conductors count: the resistance of a run is twice its length's. The load draws a given
//! current, whatever voltage is left.
//!
//! Alternating current is given by its effective (RMS) value. Then the same sum holds, current
//! times resistance: it is the worst case, since what power factor a load has is not known, and a
//! load that draws its current out of phase with the voltage loses less. The reactance of the pair
//! is left out. Calculated here: two wires of 2.5 mm² (radius 0.892 mm), 3.4 mm apart, have
//! μ₀/π · (ln(3.4/0.892) + 1/4) = 0.635 μH per metre of pair, at 60 Hz 0.24 mΩ/m, against a
//! resistance of the loop of 14.8 mΩ/m: the impedance is greater than the resistance by 0.013 %.
//! For thinner wires it is less.

use std::fmt;

use units::Lengths;

/// A voltage; of alternating current its effective value.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Volts(pub f64);

/// A current; of alternating current its effective value.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Amperes(pub f64);

/// An apparent power: volts times amperes.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct VoltAmperes(pub f64);

/// A temperature on the Celsius scale.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Celsius(pub f64);

/// Change of copper's resistance with temperature, per kelvin, as a share of that at 20 °C
/// (annealed copper, International Annealed Copper Standard: from memory).
pub const COPPER_PER_KELVIN: f64 = 0.003_93;

/// Resistivity of annealed copper at 20 °C, nΩ·m (International Annealed Copper Standard: from
/// memory).
pub const COPPER_NANOOHM_METRES: f64 = 17.241;

/// Default temperature of the conductors. The half ampere of a panel does not warm them, so they
/// are as warm as the house; 30 °C is the ambient for which cables in air are commonly rated (from
/// memory). A loft in summer is warmer: + 20 K make + 8 % resistance.
pub const DEFAULT_CONDUCTOR: Celsius = Celsius(30.0);

const FEET_PER_KILOMETRE: f64 = 1_000.0 / 0.304_8;

/// A size of solid copper conductor, by its AWG number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Gauge(pub u8);

impl Gauge {
    /// The sizes to choose from, from thin to thick.
    pub const AWG: [Self; 7] =
        [Self(24), Self(22), Self(20), Self(18), Self(16), Self(14), Self(12)];

    /// The thinnest that a panel is fed over unless asked otherwise (common practice, no source).
    pub const THINNEST_USUAL: Self = Self(18);

    /// The sizes to choose from, from this one on.
    #[must_use]
    pub fn and_thicker(self) -> Vec<Self> {
        Self::AWG.into_iter().filter(|gauge| gauge.0 <= self.0).collect()
    }

    /// Nominal cross-section, mm². Of AWG n: the diameter is 0.127 mm · 92^((36 − n)/39) (ASTM
    /// B258: from memory).
    #[must_use]
    pub fn area_mm2(self) -> f64 {
        let diameter_mm = 0.127 * libm::pow(92.0, (36.0 - f64::from(self.0)) / 39.0);
        std::f64::consts::PI / 4.0 * diameter_mm * diameter_mm
    }

    /// Resistance of one conductor, ohms per kilometre, by [`COPPER_PER_KELVIN`].
    ///
    /// From 18 AWG on from NEC chapter 9, table 8 (uncoated copper, solid, 75 °C; ohms per 1000
    /// ft): seen in a secondary source, a public table of conductor properties that cites it.
    /// Thinner ones from [`COPPER_NANOOHM_METRES`] at 20 °C: that agrees with one published table
    /// of wires; another gives 1.9 % more, so tables differ by about 2 %.
    #[must_use]
    pub fn ohms_per_km(self, conductor: Celsius) -> f64 {
        let per_kilofoot = match self.0 {
            18 => 7.77,
            16 => 4.89,
            14 => 3.07,
            12 => 1.93,
            _ => {
                let at_20 = COPPER_NANOOHM_METRES / self.area_mm2();
                return at_20 * from_20(conductor) / from_20(Celsius(20.0));
            }
        };
        let at_75 = per_kilofoot * FEET_PER_KILOMETRE / 1_000.0;
        at_75 * from_20(conductor) / from_20(Celsius(75.0))
    }
}

impl Gauge {
    /// Its size as it is sold: by cross-section first in metric plans, by number in those in feet.
    #[must_use]
    pub fn size(self, lengths: Lengths) -> String {
        let area = self.area_mm2();
        match lengths {
            Lengths::Metric => format!("{area:.2} mm² ({self})"),
            Lengths::Feet => format!("{self} ({area:.2} mm²)"),
        }
    }
}

impl fmt::Display for Gauge {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} AWG", self.0)
    }
}

/// Resistance of copper at a temperature as a share of that at 20 °C.
fn from_20(at: Celsius) -> f64 {
    1.0 + COPPER_PER_KELVIN * (at.0 - 20.0)
}

/// The sort of current of a supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Current {
    /// Alternating, 50 or 60 Hz.
    Ac,
    /// Direct.
    Dc,
}

impl Current {
    /// The highest voltage that is still extra-low: 50 V AC, 120 V DC (voltage band I of IEC 60449
    /// and IEC 61140: from memory).
    #[must_use]
    pub const fn highest_extra_low(self) -> Volts {
        match self {
            Self::Ac => Volts(50.0),
            Self::Dc => Volts(120.0),
        }
    }

    /// Its two letters.
    #[must_use]
    pub const fn letters(self) -> &'static str {
        match self {
            Self::Ac => "AC",
            Self::Dc => "DC",
        }
    }
}

/// A supply above extra-low voltage.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error(
    "a supply of {} V {} is too high: only extra-low voltage, up to {} V {}, is planned here; \
     above that, wiring is for an electrician",
    volts.0, current.letters(), current.highest_extra_low().0, current.letters()
)]
pub struct NotExtraLow {
    volts: Volts,
    current: Current,
}

/// A checked supply of extra-low voltage at the outlet: a plug-in transformer or power unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Supply {
    volts: Volts,
    current: Current,
    rating: VoltAmperes,
}

impl Default for Supply {
    /// 9 V AC, 25 VA (common practice, no source).
    fn default() -> Self {
        Self { volts: Volts(9.0), current: Current::Ac, rating: VoltAmperes(25.0) }
    }
}

impl Supply {
    /// A supply of some volts, above 0; of direct current the rating is in watts.
    ///
    /// # Errors
    /// [`NotExtraLow`] if the voltage is above [`Current::highest_extra_low`].
    pub fn new(volts: Volts, current: Current, rating: VoltAmperes) -> Result<Self, NotExtraLow> {
        if volts > current.highest_extra_low() {
            return Err(NotExtraLow { volts, current });
        }
        Ok(Self { volts, current, rating })
    }

    /// Its voltage.
    #[must_use]
    pub const fn volts(self) -> Volts {
        self.volts
    }

    /// Its sort of current.
    #[must_use]
    pub const fn current(self) -> Current {
        self.current
    }

    /// A warning if a load asks for more than the supply can give.
    #[must_use]
    pub fn overload(self, load: Amperes) -> Option<String> {
        let asked = self.volts.0 * load.0;
        (asked > self.rating.0).then(|| {
            format!(
                "the load of {:.2} A at {:.1} V {} takes {asked:.1} VA, more than the {} VA of the supply; \
                 choose a larger supply",
                load.0,
                self.volts.0,
                self.current.letters(),
                self.rating.0
            )
        })
    }
}
