//! What is tried at every device, and the reading that the panel should then show.

use serde::Serialize;

use super::role::{Sort, sort_of};
use diagnose::METER_SIGMA;
use forecast::{Assessment, DeviceLosses, DeviceResult, FadeMoments, Ledger, Model, Site};
use plan::DeviceKind;
use units::{Db, Dbm};

/// Standard normal deviate within which nine in ten lie, both sides together (from memory;
/// Φ(1.644854) = 0.95).
pub const NINE_IN_TEN_Z: f64 = 1.644_853_626_951_47;

/// How a device is tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TestStep {
    /// A sensor of this sort.
    Sensor(Sort),
    /// A keypad.
    Keypad,
    /// A siren.
    Siren,
    /// A repeater.
    Repeater,
}

/// The reading that a panel should show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expected {
    /// Expected level: the mean of readings in decibels.
    pub level: Dbm,
    /// Nine readings in ten lie above this and below `high`.
    pub low: Dbm,
    /// See `low`.
    pub high: Dbm,
}

/// One device on the test sheet.
#[derive(Debug, Clone)]
pub struct TestRow {
    /// The device and its radio.
    pub result: DeviceResult,
    /// How it is tried.
    pub step: TestStep,
    /// What the panel, or the repeater that it goes over, should show.
    pub expected: Expected,
    /// The least reading that passes, a whole number.
    pub pass: Dbm,
}

/// One reading at the listener that hears a device: the level of what arrives *there*, also for a
/// device of which the way back is the weaker.
///
/// The mean is the level of the link budget and the mean of fading in decibels; the spread adds up,
/// as squares, what is not known of the house, the fading of one burst and the error of the meter
/// ([`METER_SIGMA`]), as independent normal deviates (fading is not normal: its lower tail is
/// longer). `fades` are the moments of all fades of the model.
#[must_use]
pub fn expected_reading(result: &DeviceResult, model: &Model, fades: &FadeMoments) -> Expected {
    let told = &result.hop.ledger;
    let inbound = DeviceLosses {
        mount: told.mount_loss_db,
        aerials: told.aerial_loss_db,
        body: told.body_loss_db,
        calibrated: told.calibrated_loss_db,
        two_way: false,
    };
    let ledger = Ledger::new(&result.link, model, result.hop.path_loss, inbound);
    let (fade_mean, fade_sigma) = fades.of(result.hop.fading);
    let squares = [result.hop.sigma, fade_sigma, METER_SIGMA].map(|sigma| sigma.0 * sigma.0);
    let half = Db(squares.iter().sum::<f64>().sqrt() * NINE_IN_TEN_Z);
    let level = ledger.received_dbm + fade_mean;
    Expected { level, low: level - half, high: level + half }
}

/// The margin that a device needs whose reading is known, by the chances of a fault of its link.
///
/// The house is in the reading; what is left open is the fading of that burst and the error of the
/// meter. A link that does not check in passes where nineteen readings in twenty would still be
/// heard.
fn margin_needed(site: &Site<'_>, result: &DeviceResult, fades: &FadeMoments) -> Db {
    let (_, fade_sigma) = fades.of(result.hop.fading);
    let sigma = Db(fade_sigma.0.hypot(METER_SIGMA.0));
    site.fault_curves(&result.link).map_or(sigma * NINE_IN_TEN_Z, |curves| {
        curves.margin_for(site.model.findings.sound_below, sigma, result.hop.fading)
    })
}

/// The reading from which a device passes, rounded up to a whole decibel: were it the only thing
/// known of this hop, the chance of a supervision fault would be that of a sound device at most.
///
/// The weaker of the two ways of a two-way device counts, as in its margin.
fn pass_limit(result: &DeviceResult, level: Dbm, needed: Db) -> Dbm {
    Dbm((level - (result.hop.ledger.margin_db - needed)).0.ceil())
}

/// The test sheet: sensors and two-way devices by number, those without one last, in the plan's
/// order.
#[must_use]
pub fn test_rows(assessment: &Assessment, site: &Site<'_>) -> Vec<TestRow> {
    let fades = FadeMoments::new(&site.model);
    let all = assessment.sensors.iter().chain(&assessment.two_way);
    let mut rows: Vec<TestRow> = all
        .map(|result| (result, expected_reading(result, &site.model, &fades)))
        .map(|(result, expected)| TestRow {
            step: match result.device.kind {
                DeviceKind::Keypad => TestStep::Keypad,
                DeviceKind::Siren => TestStep::Siren,
                DeviceKind::Repeater => TestStep::Repeater,
                DeviceKind::Sensor | DeviceKind::Panel => TestStep::Sensor(sort_of(&result.device)),
            },
            expected,
            pass: pass_limit(result, expected.level, margin_needed(site, result, &fades)),
            result: result.clone(),
        })
        .collect();
    rows.sort_by_key(|row| (row.result.device.number.is_none(), row.result.device.number));
    rows
}
