//! Links: a name, or what to change of one.

use schemars::{JsonSchema, Schema};

use super::plain;
use crate::constructions::{BURSTS, LINK_QUANTITIES};

/// A radio link: the name of a built-in one, or an object that says what to change of one.
#[derive(JsonSchema)]
#[schemars(rename = "Link", untagged)]
pub(super) enum LinkEntry {
    /// The name of a built-in link.
    Named(LinkName),
    /// A link that differs from a built-in one.
    Changed(Box<ChangedLink>),
}

/// The name of a built-in link; `drillonce catalogue` lists them.
#[derive(JsonSchema)]
pub(super) struct LinkName(String);

/// A built-in link (the default one without `like`) with whatever is given here in place of its own
/// figures. Data sheets of the devices at hand have them.
#[derive(JsonSchema)]
#[schemars(transform = give_ranges)]
pub(super) struct ChangedLink {
    /// The built-in link to start from.
    like: Option<LinkName>,
    /// Centre frequency, MHz.
    frequency_mhz: Option<f64>,
    /// Power that the device radiates, dBm EIRP.
    eirp_dbm: Option<f64>,
    /// Weakest level that the panel's receiver decodes, dBm: a negative number.
    sensitivity_dbm: Option<f64>,
    /// Noise bandwidth of the receiver, kHz.
    bandwidth_khz: Option<f64>,
    /// Noise figure of the receiver, dB.
    noise_figure_db: Option<f64>,
    /// Signal-to-noise ratio that the receiver needs, dB.
    snr_needed_db: Option<f64>,
    /// Time between two check-ins of a device, minutes.
    checkin_min: Option<f64>,
    /// Supervision window, minutes: how long the panel waits for a check-in before it reports a fault. No
    /// shorter than `checkin_min`.
    window_min: Option<f64>,
    /// Bursts of one check-in that are far enough apart to fade one by one, 1 to 1000.
    #[schemars(extend("minimum" = BURSTS.0, "maximum" = BURSTS.1))]
    bursts: Option<u32>,
    /// Power that the panel radiates towards a keypad, siren or repeater, dBm EIRP.
    panel_eirp_dbm: Option<f64>,
    /// Weakest level that a keypad, siren or repeater decodes, dBm: a negative number.
    device_sensitivity_dbm: Option<f64>,
}

/// Gives each quantity the range that the reader allows.
fn give_ranges(schema: &mut Schema) {
    for (name, least, most) in LINK_QUANTITIES {
        let pointer = format!("/properties/{name}");
        if let Some(quantity) =
            schema.pointer_mut(&pointer).and_then(serde_json::Value::as_object_mut)
        {
            quantity.insert("minimum".to_owned(), plain(least));
            quantity.insert("maximum".to_owned(), plain(most));
        }
    }
}
