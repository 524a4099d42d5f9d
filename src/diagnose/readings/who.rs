//! Which device of the plan a reading means.

use std::collections::BTreeMap;

use super::column::Words;
use input::{fix_name, one_line, one_of, quoted};
use plan::{Device, DeviceKind, Plan};

/// The devices of a plan by id, number and name, case left out.
#[derive(Debug)]
pub(super) struct Who<'p> {
    plan: &'p Plan,
    by_id: BTreeMap<String, usize>,
    by_number: BTreeMap<u32, usize>,
    by_name: BTreeMap<String, Vec<usize>>,
}

impl<'p> Who<'p> {
    pub(super) fn new(plan: &'p Plan) -> Self {
        let mut who = Self {
            plan,
            by_id: BTreeMap::new(),
            by_number: BTreeMap::new(),
            by_name: BTreeMap::new(),
        };
        for (place, device) in plan.devices.iter().enumerate() {
            who.by_id.entry(device.id.clone()).or_insert(place);
            if let Some(number) = device.number {
                who.by_number.entry(number).or_insert(place);
            }
            let name = device.name.trim().to_lowercase();
            who.by_name.entry(name).or_default().push(place);
        }
        // Ids that differ in case alone keep their own.
        for (place, device) in plan.devices.iter().enumerate() {
            let lower = device.id.to_lowercase();
            who.by_id.entry(lower).or_insert(place);
        }
        who
    }

    /// The device of an id, a number or a name, if there is just one.
    pub(super) fn find(&self, text: &str) -> Option<&'p Device> {
        let line = one_line(text.trim());
        let text = &*line;
        let lower = text.to_lowercase();
        let digits = lower.strip_prefix('#').unwrap_or(&lower);
        let of_number = || self.by_number.get(&digits.parse().ok()?);
        let place = self.by_id.get(text).or_else(|| self.by_id.get(&lower));
        let place = place.or_else(of_number).or_else(|| {
            match self.by_name.get(&lower).map(Vec::as_slice) {
                Some([one]) => Some(one),
                _ => None,
            }
        });
        self.plan.devices.get(*place?)
    }

    /// Why there is no device of that name. Looking for the nearest one takes time, so this is
    /// asked only for what will be shown.
    pub(super) fn not_found(&self, text: &str) -> Words {
        let text = text.trim();
        let several = self.by_name.get(&text.to_lowercase());
        if let Some(several) = several.filter(|several| several.len() > 1) {
            let of = |place: &usize| self.plan.devices.get(*place);
            let ids = several.iter().filter_map(of).map(|d| d.id.as_str());
            return (
                format!("{} devices are called {}", several.len(), quoted(text)),
                format!("write the number or the id: {}", one_of(ids)),
            );
        }
        let heard = (self.plan.devices.iter()).filter(|d| d.kind != DeviceKind::Panel);
        let names = heard.flat_map(|device| [device.id.as_str(), device.name.as_str()]);
        (
            format!("the plan has no device {}", quoted(text)),
            fix_name(text, names, "write a device's number, id or name"),
        )
    }

    /// The listener of a cell that is not blank: `Some(None)` for the panel, else the repeater's
    /// id.
    pub(super) fn listener(&self, text: &str) -> Option<Option<String>> {
        let device = self.find(text);
        match device.map(|device| device.kind) {
            Some(DeviceKind::Panel) => Some(None),
            Some(DeviceKind::Repeater) => Some(device.map(|device| device.id.clone())),
            None if text.trim().eq_ignore_ascii_case("panel") => Some(None),
            _ => None,
        }
    }

    /// Why a cell names no listener.
    pub(super) fn no_listener(&self, text: &str) -> Words {
        if let Some(device) = self.find(text) {
            return (
                format!(
                    "{} is a {}, and only repeaters hear sensors",
                    quoted(text.trim()),
                    device.kind.word()
                ),
                "write a repeater, or leave it blank for the panel".to_owned(),
            );
        }
        let (what, fix) = self.not_found(text);
        let has_repeater = (self.plan.devices.iter()).any(|d| d.kind == DeviceKind::Repeater);
        let blank = || "leave it blank: the plan has no repeater".to_owned();
        (what, if has_repeater { fix } else { blank() })
    }
}
