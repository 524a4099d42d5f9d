//! Built-in links: the radio settings of a family of devices at one band.
//!
//! A link is a typical device of its band, not a product. The regulator's limits are figures of the
//! rules; what a device makes of them is practice, and says so: replace it by the data sheet.
//!
//! # References
//! - 47 CFR 15.231(b), field strength at 3 m, 3750 µV/m at 260 MHz to 12500 µV/m at 470 MHz, linear
//!   (end points and 433.92 MHz seen in a secondary source; the closed form calculated here), as an
//!   average over at most 0.1 s with a peak at most 20 dB higher (15.35, from memory).
//! - 47 CFR 15.249, 50 mV/m at 3 m in 902-928 and 2400-2483.5 MHz (read in public texts of the
//!   CFR).
//! - CEPT ERC Recommendation 70-03, annex on alarms (read at the CEPT's own server); general
//!   short-range rows 868.0-868.6 and 433.05-434.79 MHz from memory. ERP + 2.15 dB = EIRP.

use std::sync::LazyLock;

use crate::free_space::eirp_from_field_strength;
use crate::noise::{NoiseEnvironment, noise_floor};
use units::{Db, Dbm, Hertz};

/// The link of a plan that names none.
pub const DEFAULT_LINK: &str = "us-345";

/// Where a link's band is open for alarms.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Region {
    /// United States (FCC part 15).
    UnitedStates,
    /// Europe (CEPT ERC/REC 70-03).
    Europe,
    /// Both, and most other places.
    World,
}

impl std::fmt::Display for Region {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(match self {
            Self::UnitedStates => "United States",
            Self::Europe => "Europe",
            Self::World => "world",
        })
    }
}

/// Radio settings of one device family at one band.
#[derive(Debug, Clone, PartialEq)]
pub struct Link {
    /// The name by which a plan calls it.
    pub name: String,
    /// What it stands for, in a few words.
    pub describe: String,
    /// Where it may be used.
    pub region: Region,
    /// Carrier frequency.
    pub frequency: Hertz,
    /// Typical EIRP of a device while the carrier is on.
    pub eirp: Dbm,
    /// The regulator's limit as EIRP; for 15.231 the average over 0.1 s, else the limit while on.
    pub regulatory_limit: Dbm,
    /// The panel receiver's sensitivity.
    pub sensitivity: Dbm,
    /// The panel receiver's noise bandwidth, kHz.
    pub bandwidth_khz: f64,
    /// The panel receiver's noise figure.
    pub noise_figure: Db,
    /// Signal-to-noise ratio needed to decode.
    pub snr_needed: Db,
    /// Bursts that carry one check-in, so far apart that each meets fresh fading. Repeats of the
    /// code word within one burst fade together and are not counted.
    pub bursts: u32,
    /// Check-in interval, minutes.
    pub checkin_min: f64,
    /// Supervision window, minutes.
    pub window_min: f64,
    /// EIRP of the panel towards a device that listens (siren, keypad, two-way sensor).
    pub panel_eirp: Dbm,
    /// Sensitivity of a device that listens.
    pub device_sensitivity: Dbm,
    /// Where each value comes from.
    pub sources: LinkSources,
}

/// Where each value of a [`Link`] comes from, and how far that was confirmed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LinkSources {
    /// Of the frequency.
    pub frequency: &'static str,
    /// Of the device's EIRP.
    pub eirp: &'static str,
    /// Of the regulator's limit.
    pub regulatory_limit: &'static str,
    /// Of the panel's sensitivity.
    pub sensitivity: &'static str,
    /// Of the bandwidth.
    pub bandwidth: &'static str,
    /// Of the noise figure.
    pub noise_figure: &'static str,
    /// Of the signal-to-noise ratio.
    pub snr_needed: &'static str,
    /// Of the number of bursts.
    pub bursts: &'static str,
    /// Of the check-in interval.
    pub checkin: &'static str,
    /// Of the supervision window.
    pub window: &'static str,
    /// Of the panel's EIRP and the device's sensitivity.
    pub downlink: &'static str,
}

impl Link {
    /// The level needed at the panel: the larger of its sensitivity and of the noise floor plus the
    /// signal-to-noise ratio needed.
    #[must_use]
    pub fn level_needed(&self, environment: NoiseEnvironment) -> Dbm {
        self.level_needed_with(self.sensitivity, environment)
    }

    /// The same at a device that listens to the panel, with the device's own sensitivity.
    #[must_use]
    pub fn device_level_needed(&self, environment: NoiseEnvironment) -> Dbm {
        self.level_needed_with(self.device_sensitivity, environment)
    }

    /// Noise floor of the receiver in its bandwidth, man-made noise included.
    #[must_use]
    pub fn noise_floor(&self, environment: NoiseEnvironment) -> Dbm {
        noise_floor(self.bandwidth_khz, self.noise_figure, self.frequency, environment)
    }

    fn level_needed_with(&self, sensitivity: Dbm, environment: NoiseEnvironment) -> Dbm {
        let floor = self.noise_floor(environment);
        Dbm((floor + self.snr_needed).0.max(sensitivity.0))
    }
}

/// All built-in links, by region and rising frequency.
#[must_use]
pub fn links() -> &'static [Link] {
    &LINKS
}

/// A copy of the built-in link of that name.
#[must_use]
pub fn link(name: &str) -> Option<Link> {
    LINKS.iter().find(|link| link.name == name).cloned()
}

/// What devices of one kind of modulation and rule share.
struct Family {
    region: Region,
    bandwidth_khz: f64,
    noise_figure: f64,
    snr_needed: f64,
    sensitivity: f64,
    bursts: u32,
    checkin_min: f64,
    window_min: f64,
    device_sensitivity: f64,
    sources: LinkSources,
}

const PRACTICE: &str = "common practice, no source";
const RECEIVER: &str = "common practice, no source: receivers of this kind have 6-10 dB";
const SNR: &str =
    "common practice, no source: 10-13 dB without a coherent receiver at a bit error ratio of 1e-3";
const DUTY: &str = "common practice, no source: a code word keeps the carrier on for about 20 ms \
    of the worst 100 ms, \
    which lets it be 14 dB above the average limit; a small antenna in its case and spread of \
    production take off about 5 dB";
const BELOW_LIMIT: &str = "common practice, no source: a few decibels below the limit, lost in a \
    small antenna inside its case";
const TOTAL_TWO_SECONDS: &str = "common practice, no source: once in 60-70 min; 47 CFR 15.231(a)(3) allows 2 s on the air an hour";
const WINDOW_DAY: &str = "common practice, no source (household burglary supervision is spoken of \
    as 24 h; from memory, low confidence)";
const WINDOW_TWO_HOURS: &str = "EN 50131-1 grade 2, at most 120 min between verifications, from \
    memory; the 2017 edition of \
    EN 50131-5-3 may ask for less";

/// One-way on-off keying under 47 CFR 15.231.
const US_ONE_WAY: Family = Family {
    region: Region::UnitedStates,
    bandwidth_khz: 100.0,
    noise_figure: 8.0,
    snr_needed: 12.0,
    sensitivity: -103.0,
    bursts: 1,
    checkin_min: 65.0,
    window_min: 1440.0,
    device_sensitivity: -100.0,
    sources: LinkSources {
        frequency: "common practice, no source; in the 260-470 MHz range of 47 CFR 15.231(b)",
        eirp: DUTY,
        regulatory_limit: "47 CFR 15.231(b), average over at most 0.1 s; end points seen in a \
            secondary source",
        sensitivity: "common practice, no source: on-off keying, -100 to -110 dBm",
        bandwidth: PRACTICE,
        noise_figure: RECEIVER,
        snr_needed: SNR,
        bursts: PRACTICE,
        checkin: TOTAL_TWO_SECONDS,
        window: WINDOW_DAY,
        downlink: PRACTICE,
    },
};

/// Frequency-shift keying in a 25 kHz channel under CEPT ERC/REC 70-03.
const EU_NARROW: Family = Family {
    region: Region::Europe,
    bandwidth_khz: 25.0,
    noise_figure: 8.0,
    snr_needed: 12.0,
    sensitivity: -109.0,
    bursts: 1,
    checkin_min: 18.0,
    window_min: 120.0,
    device_sensitivity: -106.0,
    sources: LinkSources {
        frequency: "centre of the band",
        eirp: BELOW_LIMIT,
        regulatory_limit: "CEPT ERC/REC 70-03, annex on alarms, read at the CEPT's server; ERP + \
            2.15 dB",
        sensitivity: "common practice, no source: low-rate frequency-shift keying, -105 to -115 \
            dBm",
        bandwidth: "the 25 kHz channel of ERC/REC 70-03",
        noise_figure: RECEIVER,
        snr_needed: SNR,
        bursts: PRACTICE,
        checkin: PRACTICE,
        window: WINDOW_TWO_HOURS,
        downlink: PRACTICE,
    },
};

/// Frequency-shift keying, wide enough for a cheap crystal, under CEPT ERC/REC 70-03.
const EU_WIDE: Family = Family {
    bandwidth_khz: 100.0,
    sensitivity: -103.0,
    device_sensitivity: -100.0,
    sources: LinkSources {
        regulatory_limit: "CEPT ERC/REC 70-03, general short-range devices, from memory; ERP + \
            2.15 dB",
        sensitivity: "common practice, no source: -100 to -110 dBm",
        bandwidth: PRACTICE,
        ..EU_NARROW.sources
    },
    ..EU_NARROW
};

/// Two-way frequency-shift keying with acknowledgement and repeats.
const TWO_WAY: Family = Family {
    region: Region::UnitedStates,
    bandwidth_khz: 100.0,
    noise_figure: 7.0,
    snr_needed: 12.0,
    sensitivity: -102.0,
    bursts: 3,
    checkin_min: 60.0,
    window_min: 1440.0,
    device_sensitivity: -102.0,
    sources: LinkSources {
        frequency: PRACTICE,
        eirp: BELOW_LIMIT,
        regulatory_limit: "47 CFR 15.249, 50 mV/m at 3 m, read in public texts of the CFR; spread \
            spectrum under 15.247 may be \
            far stronger, from memory",
        sensitivity: "common practice, no source: -100 to -110 dBm",
        bandwidth: PRACTICE,
        noise_figure: RECEIVER,
        snr_needed: SNR,
        bursts: "common practice, no source: two repeats when no acknowledgement comes",
        checkin: PRACTICE,
        window: WINDOW_DAY,
        downlink: "both ends alike; common practice, no source",
    },
};

/// Two-way in the 2.4 GHz band: wider, with more interference than noise.
const TWO_WAY_2440: Family = Family {
    region: Region::World,
    bandwidth_khz: 2000.0,
    noise_figure: 8.0,
    snr_needed: 10.0,
    sensitivity: -92.0,
    device_sensitivity: -92.0,
    sources: LinkSources {
        regulatory_limit: "47 CFR 15.249, 50 mV/m at 3 m, read in public texts of the CFR; digital \
            modulation under 15.247 and \
            EN 300 328 (10 dBm EIRP and more) may be stronger, from memory",
        sensitivity: "common practice, no source: -90 to -97 dBm at 1 Mbit/s or 250 kbit/s",
        snr_needed: PRACTICE,
        ..TWO_WAY.sources
    },
    ..TWO_WAY
};

impl Family {
    /// A link of this family; `eirp` and `panel_eirp` in dBm.
    fn at(
        &self,
        name: &str,
        describe: &str,
        mhz: f64,
        limit: Dbm,
        eirp: f64,
        panel_eirp: f64,
    ) -> Link {
        Link {
            name: name.to_owned(),
            describe: describe.to_owned(),
            region: self.region,
            frequency: Hertz::from_mhz(mhz),
            eirp: Dbm(eirp),
            regulatory_limit: limit,
            sensitivity: Dbm(self.sensitivity),
            bandwidth_khz: self.bandwidth_khz,
            noise_figure: Db(self.noise_figure),
            snr_needed: Db(self.snr_needed),
            bursts: self.bursts,
            checkin_min: self.checkin_min,
            window_min: self.window_min,
            panel_eirp: Dbm(panel_eirp),
            device_sensitivity: Dbm(self.device_sensitivity),
            sources: self.sources,
        }
    }
}

/// Average limit of 47 CFR 15.231(b) in 260-470 MHz as EIRP: 3750 to 12500 µV/m at 3 m, linear.
fn limit_15_231(mhz: f64) -> Dbm {
    let share = (mhz - 260.0) / (470.0 - 260.0);
    eirp_from_field_strength(3750.0 + share * (12500.0 - 3750.0))
}

/// Limit of 47 CFR 15.249 as EIRP: 50 mV/m at 3 m.
fn limit_15_249() -> Dbm {
    eirp_from_field_strength(50_000.0)
}

/// A limit in milliwatts ERP as EIRP: a half-wave dipole has 1.64 times (2.15 dB) the isotropic
/// gain.
fn erp_mw(milliwatt: f64) -> Dbm {
    Dbm(10.0 * milliwatt.log10() + 2.15)
}

static LINKS: LazyLock<Vec<Link>> = LazyLock::new(|| {
    let us = |name, mhz, eirp| {
        US_ONE_WAY.at(
            name,
            "one-way sensors, on-off keying",
            mhz,
            limit_15_231(mhz),
            eirp,
            eirp + 4.0,
        )
    };
    let eu = |name, describe, mhz, milliwatt, eirp| {
        EU_NARROW.at(name, describe, mhz, erp_mw(milliwatt), eirp, eirp + 3.0)
    };
    vec![
        us("us-319.5", 319.5, -10.0),
        us("us-345", 345.0, -9.0),
        us("us-433.92", 433.92, -5.5),
        EU_WIDE.at(
            "eu-433.92",
            "433.05-434.79 MHz, 10 mW ERP, duty 10 %",
            433.92,
            erp_mw(10.0),
            3.0,
            8.0,
        ),
        EU_WIDE.at(
            "eu-868.3",
            "868.0-868.6 MHz, 25 mW ERP, duty 1 %",
            868.3,
            erp_mw(25.0),
            10.0,
            13.0,
        ),
        eu("eu-868.65", "868.6-868.7 MHz, alarms, 10 mW ERP, duty 1 %", 868.65, 10.0, 8.0),
        eu(
            "eu-869.225",
            "869.2-869.25 MHz, social alarms only, 10 mW ERP, duty 0.1 %",
            869.225,
            10.0,
            8.0,
        ),
        eu("eu-869.275", "869.25-869.3 MHz, alarms, 10 mW ERP, duty 0.1 %", 869.275, 10.0, 8.0),
        eu("eu-869.35", "869.3-869.4 MHz, alarms, 10 mW ERP, duty 1 %", 869.35, 10.0, 8.0),
        eu("eu-869.675", "869.65-869.7 MHz, alarms, 25 mW ERP, duty 10 %", 869.675, 25.0, 10.0),
        TWO_WAY.at(
            "us-908.4",
            "two-way sensors, frequency-shift keying",
            908.4,
            limit_15_249(),
            -4.0,
            -2.0,
        ),
        TWO_WAY.at(
            "us-915",
            "two-way sensors, frequency-shift keying",
            915.0,
            limit_15_249(),
            -4.0,
            -2.0,
        ),
        TWO_WAY_2440.at(
            "world-2440",
            "two-way sensors, 2400-2483.5 MHz",
            2440.0,
            limit_15_249(),
            -3.0,
            -1.5,
        ),
    ]
});

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_and_the_default_is_there() {
        for one in links() {
            assert_eq!(link(&one.name).as_ref(), Some(one), "{} stands twice", one.name);
        }
        assert!(link(DEFAULT_LINK).is_some());
        assert_eq!(link("moon-1"), None);
    }

    #[test]
    fn no_device_is_above_what_its_rule_allows() {
        for one in links() {
            // 15.35: while on, at most 20 dB above the average limit of 15.231.
            let averaged = one.frequency.mhz() < 470.0 && one.region == Region::UnitedStates;
            let allowed = one.regulatory_limit + Db(if averaged { 20.0 } else { 0.0 });
            assert!(one.eirp < allowed && one.panel_eirp < allowed, "{}", one.name);
        }
    }

    #[test]
    fn a_window_holds_more_than_one_checkin() {
        for one in links() {
            assert!(one.window_min >= 2.0 * one.checkin_min, "{}", one.name);
        }
    }

    #[test]
    fn the_level_needed_is_the_larger_of_sensitivity_and_noise() {
        for mut one in links().to_vec() {
            one.sensitivity = Dbm(-60.0);
            assert_eq!(one.level_needed(NoiseEnvironment::City), Dbm(-60.0));
            one.sensitivity = Dbm(-200.0);
            let floor = noise_floor(
                one.bandwidth_khz,
                one.noise_figure,
                one.frequency,
                NoiseEnvironment::City,
            );
            assert_eq!(one.level_needed(NoiseEnvironment::City), floor + one.snr_needed);
        }
    }
}
