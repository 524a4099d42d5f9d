//! A table to fill in.

use std::fmt::Write as _;

use plan::{DeviceKind, Plan};

const HEAD: &str = "\
# Readings of this plan's devices. Lines that begin with # are passed over, and so are rows in which
# nothing is filled in. One row is one reading; copy a row to give several.
# time       when it was read, 2026-03-01T18:20:00+01:00; may stay blank
# at         the repeater at which it was read; blank for the panel
# level_dbm  level that the panel shows, in dBm
# bars       or bars; say from which level 1, 2, 3 ... of them show, in a line such as
#              bars = -105, -95, -85, -75     (with a colon for the equals sign, # in front)
# percent    or per cent; say the levels at 0 and 100 %, likewise
#              percent = -110 to -50
# heard      yes or no for one check-in or test; lost where supervision was lost
# noise_dbm  noise floor at the panel (or at the repeater) in dBm; it needs no sensor
# note       battery low, tamper; or what was changed for this reading only: fresh battery, moved (by a
#            quarter wavelength), swapped (for a sensor that is sound), door open, other hour
";

const HEADER: &str = "sensor,name,time,at,level_dbm,bars,percent,heard,noise_dbm,note";

/// A CSV table with a row for every sensor of the plan, and every other device that reports: its
/// number, or its id if it has none, and its name. It reads back without a fault and without a
/// reading.
#[must_use]
pub fn template(plan: &Plan) -> String {
    let mut text = format!("{HEAD}{HEADER}\n");
    for device in &plan.devices {
        if device.kind == DeviceKind::Panel {
            continue;
        }
        let id = device.number.map_or_else(|| field(&device.id), |n| n.to_string());
        let _ = writeln!(text, "{id},{},,,,,,,,", field(&device.name));
    }
    text
}

/// A field, in quotation marks where it needs them. A line end within one becomes a space.
fn field(text: &str) -> String {
    let line: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let is_plain = |c: char| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_' | '.');
    if line.chars().all(is_plain) && line.trim() == line {
        line
    } else {
        format!("\"{}\"", line.replace('"', "\"\""))
    }
}
