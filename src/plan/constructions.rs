//! The user's own constructions, and links.

use super::fields::Fields;
use super::frame::Frame;
use super::limits::{FREQUENCY_MHZ, MAX_LAYERS, MAX_LOSS_DB, MAX_THICKNESS_MM};
use super::members::{BULK, LAYERED, LINK};
use super::{Construction, Layer, LinkChoice};
use input::json::{Member, Sort, Value};
use input::{Diagnostics, quoted, shown};

impl Frame<'_> {
    /// Reads the top-level member `constructions`.
    pub(super) fn read_constructions(&mut self, top: &Fields<'_>) {
        let Some(value) = top.value("constructions") else {
            return;
        };
        let (thing, holder) = ("construction", "\"constructions\"");
        let own = Fields::named_freely(value, thing, holder, None, &mut self.faults);
        for member in own.members() {
            self.own_names.insert(member.key.to_string());
            if self.vocabulary.constructions.iter().any(|known| *known == member.key) {
                let what = format!(
                    "{} replaces the built-in construction of that \
                             name",
                    quoted(&member.key)
                );
                let fix = "rename it if you need both";
                self.faults.warning(member.key_at, None, || (what, fix));
            }
            if let Some(construction) = self.read_construction(member) {
                self.constructions.insert(member.key.to_string(), construction);
            }
        }
    }

    fn read_construction(&mut self, member: &Member<'_>) -> Option<Construction> {
        let holder = format!("construction {}", quoted(&member.key));
        let fields = Fields::of(member.value, &LAYERED, &holder, None, &mut self.faults)?;
        match (fields.value("layers"), fields.value("loss_db")) {
            (Some(layers), None) => self.read_layers(layers, &holder),
            (None, Some(loss)) => read_measured(loss, &holder, &mut self.faults),
            (both, _) => {
                let said = if both.is_some() { "both" } else { "neither" };
                let what = format!("{holder} has {said} of \"layers\" and \"loss_db\"");
                let fix = "give its layers or its measured loss, one of the two";
                self.faults.fault(fields.at, None, || (what, fix));
                None
            }
        }
    }

    fn read_layers(&mut self, list: Value<'_>, holder: &str) -> Option<Construction> {
        let items = list.items();
        if items.is_empty() || items.len() > MAX_LAYERS {
            let what = if list.sort() == Sort::List {
                format!("{holder} has {} layers", items.len())
            } else {
                format!("the layers of {holder} must be a list, but here is {}", list.described())
            };
            let fix = format!("give 1 to {MAX_LAYERS} layers, from one face to the other");
            self.faults.fault(list.at, None, || (what, fix));
            return None;
        }
        let read: Vec<Option<Layer>> =
            items.into_iter().map(|item| self.read_layer(item, holder)).collect();
        read.into_iter().collect::<Option<_>>().map(Construction::Layers)
    }

    fn read_layer(&mut self, item: Value<'_>, holder: &str) -> Option<Layer> {
        let faults = &mut self.faults;
        let holder = format!("a layer of {holder}");
        let fields = Fields::of(item, &BULK, &holder, None, faults)?;
        let material = fields.text("material", faults);
        if fields.value("sheet_resistance_ohm").is_some() {
            if fields.value("thickness_mm").is_some() {
                let what = format!("{holder} has both a thickness and a sheet resistance");
                let fix = "give a thin film its sheet resistance only, and make its carrier a \
                           separate layer";
                fields.fault("thickness_mm", faults, || (what, fix));
                return None;
            }
            let ohm = fields.number("sheet_resistance_ohm", faults)?;
            if ohm <= 0.0 {
                let what = format!("the sheet resistance of {holder} is {ohm} Ω");
                let fix = "give a resistance above zero, in ohms per square";
                fields.fault("sheet_resistance_ohm", faults, || (what, fix));
                return None;
            }
            return Some(Layer::Film { sheet_resistance_ohm: ohm });
        }
        fields.need("material", "say what the layer is made of", faults);
        let material = material.filter(|name| {
            let known = self.vocabulary.materials.iter().map(String::as_str);
            let fix = "`drillonce catalogue --sources` lists every material";
            fields.must_be_known("material", ("material", name), known, Some(fix), faults)
        });
        fields.need("thickness_mm", "give it in millimetres, whatever the plan's unit", faults);
        let thickness_mm = fields.number("thickness_mm", faults)?;
        if thickness_mm <= 0.0 || thickness_mm > MAX_THICKNESS_MM {
            let what = format!("the thickness of {holder} is {thickness_mm} mm");
            let fix = format!("give more than 0 and at most {MAX_THICKNESS_MM} mm");
            fields.fault("thickness_mm", faults, || (what, fix));
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
                let fields = Fields::of(value, &LINK, "a link", feature, &mut self.faults)?;
                Some(self.inline_link(&fields))
            }
            _ => {
                let found = value.described();
                let what = format!("\"link\" must be a name or an object, not {found}");
                let fix = "name a link of `drillonce catalogue`, or write {\"like\": NAME, …}";
                holder.fault("link", &mut self.faults, || (what, fix));
                None
            }
        }
    }

    fn check_link_name(&mut self, holder: &Fields<'_>, member: &str, name: &str) {
        let known = self.vocabulary.links.iter().map(String::as_str);
        let fix = Some("`drillonce catalogue` lists every link");
        holder.must_be_known(member, ("link", name), known, fix, &mut self.faults);
    }

    fn inline_link(&mut self, fields: &Fields<'_>) -> LinkChoice {
        let like = fields.text("like", &mut self.faults);
        if let Some(name) = &like {
            self.check_link_name(fields, "like", name);
        }
        let bursts = fields.count("bursts", &mut self.faults);
        let mut quantity = |name| fields.within(name, &mut self.faults);
        let link = LinkChoice {
            like,
            frequency_mhz: quantity("frequency_mhz"),
            eirp_dbm: quantity("eirp_dbm"),
            sensitivity_dbm: quantity("sensitivity_dbm"),
            bandwidth_khz: quantity("bandwidth_khz"),
            noise_figure_db: quantity("noise_figure_db"),
            snr_needed_db: quantity("snr_needed_db"),
            checkin_min: quantity("checkin_min"),
            window_min: quantity("window_min"),
            bursts,
            panel_eirp_dbm: quantity("panel_eirp_dbm"),
            device_sensitivity_dbm: quantity("device_sensitivity_dbm"),
        };
        if let (Some(checkin), Some(window)) = (link.checkin_min, link.window_min)
            && window < checkin
        {
            let what = format!(
                "the supervision window of {window} min is shorter than the check-in \
                         interval of {checkin} min"
            );
            let fix = "make the window at least as long as the interval";
            fields.fault("window_min", &mut self.faults, || (what, fix));
        }
        link
    }
}

/// A measured loss: MHz as the members' names, dB as their values.
fn read_measured(value: Value<'_>, holder: &str, faults: &mut Diagnostics) -> Option<Construction> {
    let what = format!("the loss of {holder}");
    let fields = Fields::named_freely(value, "loss member", &what, None, faults);
    if value.sort() != Sort::Object {
        return None;
    }
    let fix = "write the frequency in MHz and the loss in dB: {\"868.3\": 9.5}";
    if fields.members().is_empty() {
        faults.fault(value.at, None, || (format!("{what} is empty"), fix.to_owned()));
        return None;
    }
    let mut pairs = Vec::new();
    let mut sound = true;
    for member in fields.members() {
        let mhz = member.key.parse().ok();
        let mhz = mhz.filter(|mhz| (FREQUENCY_MHZ.0..=FREQUENCY_MHZ.1).contains(mhz));
        if mhz.is_none() {
            let what = format!("{} is not a frequency in MHz", quoted(&member.key));
            faults.fault(member.key_at, None, || (what, fix));
        }
        let loss = member.value.number().filter(|loss| (0.0..=MAX_LOSS_DB).contains(loss));
        if loss.is_none() {
            let (mhz, found) = (shown(&member.key), member.value.described());
            let what = format!("the loss at {mhz} MHz must be 0 to {MAX_LOSS_DB} dB, not {found}");
            let fix = "give the loss as a positive number";
            faults.fault(member.value.at, None, || (what, fix));
        }
        match (mhz, loss) {
            (Some(mhz), Some(loss)) => pairs.push((mhz, loss)),
            _ => sound = false,
        }
    }
    pairs.sort_by(|a: &(f64, f64), b| a.0.total_cmp(&b.0));
    for pair in pairs.windows(2).filter(|pair| pair[0].0 == pair[1].0) {
        let what = format!("{what} gives {} MHz twice", pair[0].0);
        faults.fault(value.at, None, || (what, "keep one"));
        sound = false;
    }
    sound.then_some(Construction::Measured(pairs))
}
