//! The user's own constructions, and links.

use super::diagnostic::Diagnostics;
use super::fields::Fields;
use super::frame::Frame;
use super::json::{Member, Sort, Value};
use super::names::{mend_name, quoted, shown};
use super::{Construction, Layer, LinkChoice};

/// Thickest layer, millimetres: thicker than any wall of a building.
pub(super) const MAX_THICKNESS_MM: f64 = 5_000.0;

/// Most layers of one construction.
pub(super) const MAX_LAYERS: usize = 50;

/// Most loss of a measured construction, dB.
pub(super) const MAX_LOSS_DB: f64 = 300.0;

/// Lowest and highest frequency, MHz.
const FREQUENCY_MHZ: (f64, f64) = (1.0, 100_000.0);

/// The members of an inline link that are quantities, with their sane range. The ranges are our own
/// choice: anything outside is a slip of the sign or the unit, not a radio.
pub(super) const LINK_QUANTITIES: [(&str, f64, f64); 10] = [
    ("frequency_mhz", FREQUENCY_MHZ.0, FREQUENCY_MHZ.1),
    ("eirp_dbm", -100.0, 60.0),
    ("sensitivity_dbm", -160.0, 0.0),
    ("bandwidth_khz", 0.001, 1_000_000.0),
    ("noise_figure_db", 0.0, 60.0),
    ("snr_needed_db", -60.0, 60.0),
    ("checkin_min", 0.001, 100_000.0),
    ("window_min", 0.001, 1_000_000.0),
    ("panel_eirp_dbm", -100.0, 60.0),
    ("device_sensitivity_dbm", -160.0, 0.0),
];

/// Fewest and most bursts of one check-in (our own choice, no source).
pub(super) const BURSTS: (f64, f64) = (1.0, 1_000.0);

/// Every member of a construction.
pub(super) const CONSTRUCTION_MEMBERS: [&str; 3] = ["layers", "loss_db", "name"];

/// Every member of a layer.
pub(super) const LAYER_MEMBERS: [&str; 3] = ["material", "thickness_mm", "sheet_resistance_ohm"];

/// Every member of an inline link.
pub(super) const LINK_MEMBERS: [&str; 12] = [
    "like",
    "frequency_mhz",
    "eirp_dbm",
    "sensitivity_dbm",
    "bandwidth_khz",
    "noise_figure_db",
    "snr_needed_db",
    "checkin_min",
    "window_min",
    "bursts",
    "panel_eirp_dbm",
    "device_sensitivity_dbm",
];

impl Frame<'_> {
    /// Reads the top-level member `constructions`.
    pub(super) fn read_constructions(&mut self, top: &Fields<'_>) {
        let Some(value) = top.value("constructions") else {
            return;
        };
        let own = Fields::of(value, "construction", "\"constructions\"", None, &mut self.faults);
        for member in own.members() {
            self.own_names.insert(member.key.to_string());
            if self.vocabulary.constructions.iter().any(|known| *known == member.key) {
                self.faults.warning(member.key_at, None, || {
                    (
                        format!(
                            "{} hides the built-in construction of that name",
                            quoted(&member.key)
                        ),
                        "give it another name if both are meant".to_owned(),
                    )
                });
            }
            if let Some(construction) = self.read_construction(member) {
                self.constructions.insert(member.key.to_string(), construction);
            }
        }
    }

    fn read_construction(&mut self, member: &Member<'_>) -> Option<Construction> {
        let holder = format!("construction {}", quoted(&member.key));
        let fields =
            Fields::of(member.value, "construction member", &holder, None, &mut self.faults);
        if member.value.sort() != Sort::Object {
            return None;
        }
        fields.warn_unknown(&CONSTRUCTION_MEMBERS, &mut self.faults);
        match (fields.value("layers"), fields.value("loss_db")) {
            (Some(layers), None) => self.read_layers(layers, &holder),
            (None, Some(loss)) => read_measured(loss, &holder, &mut self.faults),
            (both, _) => {
                let said = if both.is_some() { "both" } else { "neither" };
                self.faults.fault(fields.at, None, || {
                    (
                        format!("{holder} has {said} of \"layers\" and \"loss_db\""),
                        "give its layers, or its measured loss at each frequency".to_owned(),
                    )
                });
                None
            }
        }
    }

    fn read_layers(&mut self, list: Value<'_>, holder: &str) -> Option<Construction> {
        let items = list.items();
        if items.is_empty() || items.len() > MAX_LAYERS {
            self.faults.fault(list.at, None, || {
                let what = if list.sort() == Sort::List {
                    format!("{holder} has {} layers", items.len())
                } else {
                    format!(
                        "the layers of {holder} must be a list, but here is {}",
                        list.described()
                    )
                };
                (what, format!("give 1 to {MAX_LAYERS} layers from one face to the other"))
            });
            return None;
        }
        let read: Vec<Option<Layer>> =
            items.into_iter().map(|item| self.read_layer(item, holder)).collect();
        read.into_iter().collect::<Option<Vec<Layer>>>().map(Construction::Layers)
    }

    fn read_layer(&mut self, item: Value<'_>, holder: &str) -> Option<Layer> {
        let faults = &mut self.faults;
        let holder = format!("a layer of {holder}");
        let fields = Fields::of(item, "layer member", &holder, None, faults);
        if item.sort() != Sort::Object {
            return None;
        }
        fields.warn_unknown(&LAYER_MEMBERS, faults);
        let material = fields.text("material", faults);
        if fields.value("sheet_resistance_ohm").is_some() {
            if fields.value("thickness_mm").is_some() {
                fields.fault("thickness_mm", faults, || {
                    (
                        format!("{holder} has both a thickness and a sheet resistance"),
                        "a thin film has a sheet resistance only; give what carries it as a layer \
                         of its own"
                            .to_owned(),
                    )
                });
                return None;
            }
            let ohm = fields.number("sheet_resistance_ohm", faults)?;
            if ohm <= 0.0 {
                fields.fault("sheet_resistance_ohm", faults, || {
                    (
                        format!("the sheet resistance of {holder} is {ohm} Ω"),
                        "give a resistance above zero, in ohm per square".to_owned(),
                    )
                });
                return None;
            }
            return Some(Layer::Film { sheet_resistance_ohm: ohm });
        }
        if fields.value("material").is_none() {
            fields.missing("material", "say what the layer is made of", faults);
        }
        let material = material.filter(|name| {
            let known = self.vocabulary.materials.contains(name);
            if !known {
                fields.fault("material", faults, || {
                    (
                        format!("material {} is not known", quoted(name)),
                        mend_name(
                            name,
                            self.vocabulary.materials.iter().map(String::as_str),
                            "`drillonce catalogue --sources` lists every material",
                        ),
                    )
                });
            }
            known
        });
        if fields.value("thickness_mm").is_none() {
            fields.missing(
                "thickness_mm",
                "give it in millimetres, whatever the plan's units",
                faults,
            );
        }
        let thickness_mm = fields.number("thickness_mm", faults)?;
        if thickness_mm <= 0.0 || thickness_mm > MAX_THICKNESS_MM {
            fields.fault("thickness_mm", faults, || {
                (
                    format!("the thickness of {holder} is {thickness_mm} mm"),
                    format!("give millimetres, above zero and at most {MAX_THICKNESS_MM}"),
                )
            });
            return None;
        }
        Some(Layer::Bulk { material: material?, thickness_mm })
    }

    /// A link under a member `link`: a name, or an object.
    pub(super) fn link(&mut self, holder: &Fields<'_>) -> Option<LinkChoice> {
        let value = holder.value("link")?;
        let feature = holder.feature.as_deref();
        match value.sort() {
            Sort::Text => {
                let name = holder.text("link", &mut self.faults)?;
                self.check_link_name(holder, "link", &name);
                Some(LinkChoice { like: Some(name), ..LinkChoice::default() })
            }
            Sort::Object => {
                let fields = Fields::of(value, "link member", "a link", feature, &mut self.faults);
                Some(self.inline_link(&fields))
            }
            _ => {
                holder.fault("link", &mut self.faults, || {
                    (
                        format!(
                            "\"link\" must be a name or an object, but here is {}",
                            value.described()
                        ),
                        "name a link of `drillonce catalogue`, or write {\"like\": NAME, …}"
                            .to_owned(),
                    )
                });
                None
            }
        }
    }

    fn check_link_name(&mut self, holder: &Fields<'_>, member: &str, name: &str) {
        let known = &self.vocabulary.links;
        if !known.iter().any(|known| known == name) {
            holder.fault(member, &mut self.faults, || {
                (
                    format!("link {} is not known", quoted(name)),
                    mend_name(
                        name,
                        known.iter().map(String::as_str),
                        "`drillonce catalogue` lists every link",
                    ),
                )
            });
        }
    }

    fn inline_link(&mut self, fields: &Fields<'_>) -> LinkChoice {
        fields.warn_unknown(&LINK_MEMBERS, &mut self.faults);
        let like = fields.text("like", &mut self.faults);
        if let Some(name) = &like {
            self.check_link_name(fields, "like", name);
        }
        let mut link = LinkChoice { like, ..LinkChoice::default() };
        for (name, least, most) in LINK_QUANTITIES {
            let value = fields.within(name, least, most, &mut self.faults);
            match name {
                "frequency_mhz" => link.frequency_mhz = value,
                "eirp_dbm" => link.eirp_dbm = value,
                "sensitivity_dbm" => link.sensitivity_dbm = value,
                "bandwidth_khz" => link.bandwidth_khz = value,
                "noise_figure_db" => link.noise_figure_db = value,
                "snr_needed_db" => link.snr_needed_db = value,
                "checkin_min" => link.checkin_min = value,
                "window_min" => link.window_min = value,
                "panel_eirp_dbm" => link.panel_eirp_dbm = value,
                _ => link.device_sensitivity_dbm = value,
            }
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a whole number within BURSTS"
        )]
        let bursts = fields.whole("bursts", BURSTS.0, BURSTS.1, &mut self.faults).map(|n| n as u32);
        link.bursts = bursts;
        if let (Some(checkin), Some(window)) = (link.checkin_min, link.window_min)
            && window < checkin
        {
            fields.fault("window_min", &mut self.faults, || {
                (
                    format!(
                        "the supervision window of {window} min is shorter than the check-in \
                         interval of {checkin} min"
                    ),
                    "every window must hold at least one check-in".to_owned(),
                )
            });
        }
        link
    }
}

/// A measured loss: MHz as the members' names, dB as their values.
fn read_measured(value: Value<'_>, holder: &str, faults: &mut Diagnostics) -> Option<Construction> {
    let what = format!("the loss of {holder}");
    let fields = Fields::of(value, "loss member", &what, None, faults);
    if value.sort() != Sort::Object {
        return None;
    }
    let mend = "write the frequency in MHz and the loss in dB: {\"868.3\": 9.5}";
    if fields.members().is_empty() {
        faults.fault(value.at, None, || (format!("{what} is empty"), mend.to_owned()));
        return None;
    }
    let mut pairs = Vec::new();
    let mut sound = true;
    for member in fields.members() {
        let mhz = member.key.parse().ok();
        let mhz = mhz.filter(|mhz| (FREQUENCY_MHZ.0..=FREQUENCY_MHZ.1).contains(mhz));
        if mhz.is_none() {
            faults.fault(member.key_at, None, || {
                (format!("{} is not a frequency in MHz", quoted(&member.key)), mend.to_owned())
            });
        }
        let loss = member.value.number().filter(|loss| (0.0..=MAX_LOSS_DB).contains(loss));
        if loss.is_none() {
            faults.fault(member.value.at, None, || {
                (
                    format!(
                        "the loss at {} MHz must be a number from 0 to {MAX_LOSS_DB} dB, but here is {}",
                        shown(&member.key),
                        member.value.described()
                    ),
                    "a loss is positive: it says how much weaker the signal is behind".to_owned(),
                )
            });
        }
        match (mhz, loss) {
            (Some(mhz), Some(loss)) => pairs.push((mhz, loss)),
            _ => sound = false,
        }
    }
    pairs.sort_by(|a: &(f64, f64), b| a.0.total_cmp(&b.0));
    for pair in pairs.windows(2) {
        if let [first, second] = pair
            && first.0 == second.0
        {
            faults.fault(value.at, None, || {
                (format!("{what} has the frequency {} MHz twice", first.0), "keep one".to_owned())
            });
            sound = false;
        }
    }
    sound.then_some(Construction::Measured(pairs))
}
