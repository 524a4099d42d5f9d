//! The link budget of one sensor, line by line.
//!
//! A two-way device has one margin, that of the worse direction; the path loss is the same in both.

use serde::Serialize;

use super::model::Model;
use plan::{LinkChoice, Plan, Vocabulary};
use radio::{self, ConstructionClass, DEFAULT_LINK, Link};
use units::{Db, Dbm, Hertz};

/// Ways to mount a device, with the loss of each.
///
/// `metal`: an antenna along a metal face and nearer to it than a tenth of the wavelength is
/// shorted by its mirror image, typically 6–15 dB (from memory, no source confirmed). `recessed`:
/// sunk into a frame. The others count as part of the site offset (common practice, no source).
pub const MOUNTS: [(&str, Db); 5] = [
    ("wall", Db(0.0)),
    ("ceiling", Db(0.0)),
    ("frame", Db(0.0)),
    ("recessed", Db(3.0)),
    ("metal", Db(10.0)),
];

/// The names that a plan may refer to.
#[must_use]
pub fn vocabulary() -> Vocabulary {
    Vocabulary {
        constructions: radio::catalogue().iter().map(|c| c.name.to_owned()).collect(),
        thickness_m: radio::catalogue()
            .iter()
            .map(|c| (c.name.to_owned(), c.thickness().0))
            .collect(),
        metal: radio::catalogue()
            .iter()
            .filter(|c| c.class == ConstructionClass::Metal)
            .map(|c| c.name.to_owned())
            .collect(),
        materials: radio::materials().iter().map(|m| m.name.to_owned()).collect(),
        links: radio::links().iter().map(|link| link.name.clone()).collect(),
        mounts: MOUNTS.iter().map(|(name, _)| (*name).to_owned()).collect(),
    }
}

/// What the user asks to change of the plan's link.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct LinkOverride {
    /// Name of a built-in link to use in place of the plan's.
    pub link: Option<String>,
    /// Frequency to use in place of the link's.
    pub frequency: Option<Hertz>,
}

/// The link of a device. The plan's link is the one that `over` names, else the plan's choice, else
/// [`DEFAULT_LINK`], at the frequency that `over` gives. A device that chooses for itself starts
/// from the link that it names, else from the plan's, and keeps what it sets. `None` if a link is
/// named that does not exist.
pub(crate) fn resolve_link(
    plan: &Plan,
    own: Option<&LinkChoice>,
    over: &LinkOverride,
) -> Option<Link> {
    let own_name = own.and_then(|choice| choice.like.as_deref());
    let mut link = match own_name {
        Some(name) => radio::link(name)?,
        None => plan_link(plan, over)?,
    };
    if let Some(own) = own {
        apply(own, &mut link);
    }
    Some(link)
}

fn plan_link(plan: &Plan, over: &LinkOverride) -> Option<Link> {
    let chosen = plan.link.as_ref();
    let named = chosen.and_then(|choice| choice.like.as_deref());
    let name = over.link.as_deref().or(named).unwrap_or(DEFAULT_LINK);
    let mut link = radio::link(name)?;
    // A link named in place of the plan's replaces what the plan changes of its own, too.
    if let (Some(chosen), None) = (chosen, &over.link) {
        apply(chosen, &mut link);
    }
    if let Some(frequency) = over.frequency {
        link.frequency = frequency;
    }
    Some(link)
}

/// Puts what a choice sets into a link.
fn apply(choice: &LinkChoice, link: &mut Link) {
    let set = |field: &mut f64, value: Option<f64>| *field = value.unwrap_or(*field);
    let frequency = choice.frequency_mhz.map(Hertz::from_mhz);
    link.frequency = frequency.unwrap_or(link.frequency);
    set(&mut link.eirp.0, choice.eirp_dbm);
    set(&mut link.sensitivity.0, choice.sensitivity_dbm);
    set(&mut link.bandwidth_khz, choice.bandwidth_khz);
    set(&mut link.noise_figure.0, choice.noise_figure_db);
    set(&mut link.snr_needed.0, choice.snr_needed_db);
    set(&mut link.checkin_min, choice.checkin_min);
    set(&mut link.window_min, choice.window_min);
    set(&mut link.panel_eirp.0, choice.panel_eirp_dbm);
    set(&mut link.device_sensitivity.0, choice.device_sensitivity_dbm);
    link.bursts = choice.bursts.unwrap_or(link.bursts);
}

/// Which way a message goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Direction {
    /// From the device to the panel.
    Inbound,
    /// From the panel to the device.
    Outbound,
}

/// Every decibel between transmitter and receiver that is not path loss, and what comes of it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Ledger {
    /// The direction that it holds for: of two-way devices the worse.
    pub direction: Direction,
    /// Power radiated.
    pub eirp_dbm: Dbm,
    /// Gain of the panel's antenna.
    pub antenna_gain_db: Db,
    /// Loss of the way the device is mounted.
    pub mount_loss_db: Db,
    /// Loss of aerials that stand as these do against the mean over all that the site offset holds
    /// ([`POLARISATION_LOSS`](super::POLARISATION_LOSS)), negative for a gain; zero unless the plan
    /// says how one of them stands.
    pub aerial_loss_db: Db,
    /// Loss of the body that wears the device.
    pub body_loss_db: Db,
    /// Mean loss of the site that no wall explains.
    pub site_offset_db: Db,
    /// Calibrated loss of this very device, beyond walls and site; zero without a calibration.
    pub calibrated_loss_db: Db,
    /// Level at the receiver.
    pub received_dbm: Dbm,
    /// Level that the receiver needs.
    pub level_needed_dbm: Dbm,
    /// Received level less level needed.
    pub margin_db: Db,
}

/// What a device adds to the budget.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DeviceLosses {
    /// Loss of its mount.
    pub mount: Db,
    /// Loss of how its aerial and the listener's stand, against the mean over all.
    pub aerials: Db,
    /// Loss of a body.
    pub body: Db,
    /// Whether traffic must get through both ways.
    pub two_way: bool,
    /// Calibrated loss of this device, see [`plan::DeviceCalibration`]; zero without.
    pub calibrated: Db,
}

impl DeviceLosses {
    /// No loss, one way.
    pub const NONE: Self = Self {
        mount: Db(0.0),
        aerials: Db(0.0),
        body: Db(0.0),
        two_way: false,
        calibrated: Db(0.0),
    };
}

/// Loss of a mount by its name; none for no name.
#[must_use]
pub fn mount_loss(mount: Option<&str>) -> Db {
    let known = |name: &str| MOUNTS.iter().find(|(known, _)| *known == name).map(|(_, loss)| *loss);
    mount.and_then(known).unwrap_or(Db(0.0))
}

impl Ledger {
    /// Adds up a budget: margin = EIRP − path loss + antenna gain − mount, aerials, body,
    /// site and calibrated loss − level needed.
    #[must_use]
    pub fn new(link: &Link, model: &Model, path_loss: Db, device: DeviceLosses) -> Self {
        let add_up = |direction, eirp: Dbm, needed: Dbm| {
            let received = eirp - path_loss + model.antenna_gain_db
                - device.mount
                - device.aerials
                - device.body
                - model.site_offset_db
                - device.calibrated;
            Self {
                direction,
                eirp_dbm: eirp,
                antenna_gain_db: model.antenna_gain_db,
                mount_loss_db: device.mount,
                aerial_loss_db: device.aerials,
                body_loss_db: device.body,
                site_offset_db: model.site_offset_db,
                calibrated_loss_db: device.calibrated,
                received_dbm: received,
                level_needed_dbm: needed,
                margin_db: received - needed,
            }
        };
        let needed = link.level_needed(model.noise);
        let inbound = add_up(Direction::Inbound, link.eirp, needed);
        if !device.two_way {
            return inbound;
        }
        let needed = link.device_level_needed(model.noise);
        let outbound = add_up(Direction::Outbound, link.panel_eirp, needed);
        if outbound.margin_db < inbound.margin_db { outbound } else { inbound }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn choice(like: Option<&str>, eirp_dbm: Option<f64>) -> LinkChoice {
        LinkChoice { like: like.map(str::to_owned), eirp_dbm, ..LinkChoice::default() }
    }

    #[test]
    fn a_device_keeps_its_own_link_and_fills_it_from_the_plans() {
        let plan = Plan { link: Some(choice(Some("eu-868.3"), Some(3.5))), ..Plan::default() };
        let none = LinkOverride::default();
        let plans = resolve_link(&plan, None, &none).expect("it exists");
        assert_eq!((plans.name.as_str(), plans.eirp), ("eu-868.3", Dbm(3.5)));
        let louder = choice(None, Some(9.0));
        let louder = resolve_link(&plan, Some(&louder), &none).expect("it exists");
        assert_eq!((louder.name.as_str(), louder.eirp), ("eu-868.3", Dbm(9.0)));
        let own = choice(Some("eu-869.225"), None);
        let over = LinkOverride {
            link: Some("us-345".to_owned()),
            frequency: Some(Hertz::from_mhz(344.0)),
        };
        let kept = resolve_link(&plan, Some(&own), &over).expect("it exists");
        assert_eq!(kept.name, "eu-869.225");
        let other = resolve_link(&plan, None, &over).expect("it exists");
        assert_eq!((other.name.as_str(), other.frequency.mhz()), ("us-345", 344.0));
        assert_ne!(other.eirp, Dbm(3.5));
        assert!(resolve_link(&plan, Some(&choice(Some("no-such"), None)), &none).is_none());
    }

    #[test]
    fn a_two_way_device_takes_the_worse_direction() {
        let link = Link {
            panel_eirp: Dbm(-20.0),
            ..radio::link(DEFAULT_LINK).expect("the default link exists")
        };
        let aerials = Db(0.5);
        let own = DeviceLosses { mount: Db(1.0), aerials, body: Db(2.0), ..DeviceLosses::NONE };
        let losses = |two_way| DeviceLosses { two_way, ..own };
        let model = Model::default();
        let one = Ledger::new(&link, &model, Db(60.0), losses(false));
        let two = Ledger::new(&link, &model, Db(60.0), losses(true));
        assert_eq!((one.direction, two.direction), (Direction::Inbound, Direction::Outbound));
        assert!(two.margin_db < one.margin_db);
        let expected = -20.0 - 60.0 - 1.0 - 0.5 - 2.0 - model.site_offset_db.0;
        assert!((two.received_dbm.0 - expected).abs() < 1e-12);
    }
}
