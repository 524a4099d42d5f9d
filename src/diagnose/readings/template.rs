//! A table to fill in.

use std::borrow::Cow;

use input::table::{line, text_cell};
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

/// The cells to be filled in.
const BLANK: [Cow<'_, str>; 8] = [const { Cow::Borrowed("") }; 8];

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
        let number = device.number.map(|number| number.to_string());
        let id = number.map_or_else(|| text_cell(&device.id), Cow::Owned);
        text.push_str(&line([id, text_cell(&device.name)].into_iter().chain(BLANK)));
    }
    text
}
