//! What published codes ask of a panel's battery.

use serde::Serialize;

/// A code, or a part of one: its words say what it is for, and where it was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Code {
    /// A household's fire alarm.
    HouseholdFire,
    /// The fire alarm of protected premises.
    ProtectedPremises,
    /// An intruder alarm of a low grade.
    IntruderLow,
    /// An intruder alarm of a high grade.
    IntruderHigh,
    /// The same in the United Kingdom.
    IntruderUk,
    /// The fire alarm of a building.
    BuildingFire,
}

/// One requirement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Requirement {
    /// The document.
    pub document: &'static str,
    /// What of it; the messages `code_…` of each language say what it is for, `source_…` how far
    /// it was confirmed.
    pub code: Code,
    /// Standby, hours.
    pub standby_h: f64,
    /// Alarm after it, minutes; `None` where none was found.
    pub alarm_min: Option<f64>,
    /// By how much the capacity must exceed what is drawn; `None` where none was found.
    pub factor: Option<f64>,
}

/// Requirements that were found. None of the documents could be opened, so that the message
/// `source_…` of each says where it was seen; which of them holds for a site, its own codes say.
pub const REQUIREMENTS: [Requirement; 6] = [
    required("NFPA 72 (2007), 11.6.2(2)", Code::HouseholdFire, 24.0, Some(4.0), None),
    required("NFPA 72 (2022), 10.6", Code::ProtectedPremises, 24.0, Some(5.0), Some(1.25)),
    required("EN 50131-1", Code::IntruderLow, 12.0, None, None),
    required("EN 50131-1", Code::IntruderHigh, 60.0, None, None),
    required("PD 6662", Code::IntruderUk, 24.0, None, None),
    required("BS 5839-1", Code::BuildingFire, 24.0, Some(30.0), Some(1.25)),
];

/// A requirement: standby in hours, alarm in minutes, factor.
const fn required(
    document: &'static str,
    code: Code,
    standby_h: f64,
    alarm_min: Option<f64>,
    factor: Option<f64>,
) -> Requirement {
    Requirement { document, code, standby_h, alarm_min, factor }
}
