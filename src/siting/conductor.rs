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

use units::Metres;

/// A voltage; of alternating current its effective value.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Volts(pub f64);

/// A current; of alternating current its effective value.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Amperes(pub f64);

/// A resistance.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Ohms(pub f64);

/// A resistance per kilometre of one conductor.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct OhmsPerKilometre(pub f64);

/// An apparent power: volts times amperes.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct VoltAmperes(pub f64);

/// A temperature on the Celsius scale.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Celsius(pub f64);

impl fmt::Display for Volts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.1} V", self.0)
    }
}

impl fmt::Display for Amperes {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.2} A", self.0)
    }
}

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

/// A size of solid copper conductor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs, reason = "the names say it: AWG number, or square millimetres")]
pub enum Gauge {
    Awg24,
    Awg22,
    Mm2Half,
    Awg20,
    Mm2ThreeQuarters,
    Awg18,
    Mm2One,
    Awg16,
    Mm2OneAndHalf,
    Awg14,
    Mm2TwoAndHalf,
    Awg12,
}

/// How far a conductor's resistance is confirmed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// NEC chapter 9, table 8 (uncoated copper, solid, 75 °C): seen in a secondary source, a public
    /// table of conductor properties that cites it.
    NecTable8,
    /// IEC 60228, class 1 (solid), plain copper, the *largest* resistance allowed at 20 °C: seen in
    /// secondary sources, two pages of makers and one of reference that agree; the standard itself
    /// was not opened. A real wire has up to 6 % less.
    Iec60228,
    /// Calculated from [`COPPER_NANOOHM_METRES`] at 20 °C. It agrees with one published table of
    /// wires; another gives 1.9 % more, so tables differ by about 2 %.
    Calculated,
}

impl Gauge {
    /// All sizes, from thin to thick.
    pub const ALL: [Self; 12] = [
        Self::Awg24,
        Self::Awg22,
        Self::Mm2Half,
        Self::Awg20,
        Self::Mm2ThreeQuarters,
        Self::Awg18,
        Self::Mm2One,
        Self::Awg16,
        Self::Mm2OneAndHalf,
        Self::Awg14,
        Self::Mm2TwoAndHalf,
        Self::Awg12,
    ];

    /// The American sizes, from thin to thick.
    pub const AWG: [Self; 7] =
        [Self::Awg24, Self::Awg22, Self::Awg20, Self::Awg18, Self::Awg16, Self::Awg14, Self::Awg12];

    /// Its name, its number (AWG) or section (mm²), how far its resistance is confirmed, and the
    /// value of the table: NEC chapter 9, table 8 gives ohms per 1000 ft, IEC 60228 per km.
    const fn row(self) -> (&'static str, f64, Origin, f64) {
        match self {
            Self::Awg24 => ("24 AWG", 24.0, Origin::Calculated, 0.0),
            Self::Awg22 => ("22 AWG", 22.0, Origin::Calculated, 0.0),
            Self::Mm2Half => ("0.5 mm²", 0.5, Origin::Iec60228, 36.0),
            Self::Awg20 => ("20 AWG", 20.0, Origin::Calculated, 0.0),
            Self::Mm2ThreeQuarters => ("0.75 mm²", 0.75, Origin::Iec60228, 24.5),
            Self::Awg18 => ("18 AWG", 18.0, Origin::NecTable8, 7.77),
            Self::Mm2One => ("1 mm²", 1.0, Origin::Iec60228, 18.1),
            Self::Awg16 => ("16 AWG", 16.0, Origin::NecTable8, 4.89),
            Self::Mm2OneAndHalf => ("1.5 mm²", 1.5, Origin::Iec60228, 12.1),
            Self::Awg14 => ("14 AWG", 14.0, Origin::NecTable8, 3.07),
            Self::Mm2TwoAndHalf => ("2.5 mm²", 2.5, Origin::Iec60228, 7.41),
            Self::Awg12 => ("12 AWG", 12.0, Origin::NecTable8, 1.93),
        }
    }

    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        self.row().0
    }

    /// The size of a name, however it is spaced and spelt: `18 AWG`, `awg18`, `18`, `0.75 mm2`.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let bare =
            |text: &str| text.to_lowercase().replace("mm²", "mm2").replace(char::is_whitespace, "");
        let wanted = bare(text);
        Self::ALL.into_iter().find(|gauge| {
            let name = bare(gauge.name());
            let number = name.trim_end_matches("awg");
            let is_awg = number != name;
            wanted == name || (is_awg && (wanted == number || wanted == format!("awg{number}")))
        })
    }

    /// How far its resistance is confirmed.
    #[must_use]
    pub const fn origin(self) -> Origin {
        self.row().2
    }

    /// Nominal cross-section, mm². Of AWG n: the diameter is 0.127 mm · 92^((36 − n)/39) (ASTM
    /// B258: from memory).
    #[must_use]
    pub fn area_mm2(self) -> f64 {
        let size = self.row().1;
        if self.origin() == Origin::Iec60228 {
            return size;
        }
        let diameter_mm = 0.127 * libm::pow(92.0, (36.0 - size) / 39.0);
        std::f64::consts::PI / 4.0 * diameter_mm * diameter_mm
    }

    /// The value of the table, and the temperature for which it holds; see [`Gauge::origin`].
    #[must_use]
    pub fn tabled(self) -> (OhmsPerKilometre, Celsius) {
        let (per_km, at) = match self.row() {
            (.., Origin::NecTable8, per_kilofoot) => {
                (per_kilofoot * FEET_PER_KILOMETRE / 1_000.0, 75.0)
            }
            (.., Origin::Iec60228, per_km) => (per_km, 20.0),
            _ => (COPPER_NANOOHM_METRES / self.area_mm2(), 20.0),
        };
        (OhmsPerKilometre(per_km), Celsius(at))
    }

    /// Resistance of one conductor at a temperature, by [`COPPER_PER_KELVIN`] from the table's.
    #[must_use]
    pub fn resistance(self, conductor: Celsius) -> OhmsPerKilometre {
        let (tabled, at) = self.tabled();
        OhmsPerKilometre(tabled.0 * from_20(conductor) / from_20(at))
    }
}

impl fmt::Display for Gauge {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// Resistance of copper at a temperature as a share of that at 20 °C.
fn from_20(at: Celsius) -> f64 {
    1.0 + COPPER_PER_KELVIN * (at.0 - 20.0)
}

/// Resistance of both conductors of a run.
#[must_use]
pub fn loop_resistance(conductor: OhmsPerKilometre, length: Metres) -> Ohms {
    Ohms(2.0 * conductor.0 * length.0 / 1_000.0)
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

/// Why a supply or a load is refused.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum SupplyFault {
    /// Above extra-low voltage.
    #[error(
        "a supply of {} V {}: only extra-low voltage, up to {} V {}, is planned here; above it, wiring is for an electrician",
        volts.0, current.letters(), current.highest_extra_low().0, current.letters()
    )]
    NotExtraLow {
        /// What was asked for.
        volts: Volts,
        /// Of which sort.
        current: Current,
    },
    /// Zero, negative or not a number.
    #[error("a supply of {} V: it must be above 0", .0.0)]
    NoVoltage(Volts),
    /// A rating of zero, negative or not a number.
    #[error("a rating of {} VA: it must be above 0", .0.0)]
    NoRating(VoltAmperes),
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
    /// A supply; of direct current the rating is in watts.
    ///
    /// # Errors
    /// [`SupplyFault`] if the voltage is not above zero, or above
    /// [`Current::highest_extra_low`], or the rating is not above zero.
    pub fn new(volts: Volts, current: Current, rating: VoltAmperes) -> Result<Self, SupplyFault> {
        if volts.0.is_nan() || volts.0 <= 0.0 {
            return Err(SupplyFault::NoVoltage(volts));
        }
        if volts > current.highest_extra_low() {
            return Err(SupplyFault::NotExtraLow { volts, current });
        }
        if rating.0.is_nan() || rating.0 <= 0.0 {
            return Err(SupplyFault::NoRating(rating));
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
                "the load of {load} at {} {} takes {asked:.1} VA: more than the {} VA of the supply",
                self.volts,
                self.current.letters(),
                self.rating.0
            )
        })
    }
}

/// What is left at the end of a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtPanel {
    /// Voltage at the panel.
    pub volts: Volts,
    /// Voltage lost on both conductors, not more than the supply's.
    pub drop: Volts,
    /// The drop as a share of the supply's voltage, per cent: 0 to 100.
    pub drop_percent: f64,
}

/// The voltage at the panel: the supply's less load current times [`loop_resistance`]. A drop that
/// would be more than the supply's voltage means that the load cannot draw its current: then
/// nothing is left.
#[must_use]
pub fn voltage_at_panel(
    supply: Supply,
    load: Amperes,
    gauge: Gauge,
    length: Metres,
    conductor: Celsius,
) -> AtPanel {
    let resistance = loop_resistance(gauge.resistance(conductor), length);
    let drop = (load.0 * resistance.0).clamp(0.0, supply.volts.0);
    AtPanel {
        volts: Volts(supply.volts.0 - drop),
        drop: Volts(drop),
        drop_percent: 100.0 * drop / supply.volts.0,
    }
}

/// The conductor with the greatest resistance of some whose drop stays within a limit, and what it
/// leaves at the panel; `None` if none does. The limit itself is still allowed.
#[must_use]
pub fn thinnest(
    gauges: &[Gauge],
    supply: Supply,
    load: Amperes,
    length: Metres,
    conductor: Celsius,
    limit_percent: f64,
) -> Option<(Gauge, AtPanel)> {
    let thin_first = by_resistance(gauges, conductor);
    thin_first
        .into_iter()
        .map(|gauge| (gauge, voltage_at_panel(supply, load, gauge, length, conductor)))
        .find(|(_, left)| left.drop_percent <= limit_percent)
}

/// Gauges from the greatest resistance to the least.
pub(super) fn by_resistance(gauges: &[Gauge], conductor: Celsius) -> Vec<Gauge> {
    let mut sorted = gauges.to_vec();
    sorted.sort_by(|a, b| {
        let (a, b) = (a.resistance(conductor).0, b.resistance(conductor).0);
        b.total_cmp(&a)
    });
    sorted
}
