//! Plans and gains for the comparison.

use drillonce::forecast::{LinkOverride, Model, Site, hop, power_gain};
use drillonce::plan::{Aerial, Device, DeviceKind, Level, Plan, Slab, Wall};
use drillonce::units::{Db, Hertz};
use geo::{Coord, LineString, Polygon};

use super::Diagnostic;

/// The built-in link at whose frequency the 2.4 GHz data are compared.
pub const LINK: &str = "world-2440";

/// A point with its height above the floor, metres.
pub type Spot = (Coord<f64>, f64);

/// One storey with walls of one construction up to the ceiling and, if `floors` names a
/// construction, a floor and a ceiling of it.
pub fn storey(
    lines: Vec<LineString<f64>>,
    construction: &str,
    floors: Option<&str>,
    ceiling_m: f64,
) -> Plan {
    let corners = || lines.iter().flat_map(|line| line.0.iter());
    let low = corners().fold((f64::MAX, f64::MAX), |a, p| (a.0.min(p.x), a.1.min(p.y)));
    let high = corners().fold((f64::MIN, f64::MIN), |a, p| (a.0.max(p.x), a.1.max(p.y)));
    let outline = Polygon::new(
        LineString::from(vec![low, (high.0, low.1), high, (low.0, high.1), low]),
        vec![],
    );
    let level = |number: i32, floor_m: f64| Level {
        number,
        name: format!("level {number}"),
        floor_m,
        ceiling_m: floor_m + ceiling_m,
        is_over_air: false,
    };
    let slab = |level: i32, height_m: f64, name: &str| Slab {
        id: format!("slab-{level}"),
        level,
        height_m,
        construction: name.to_owned(),
        outline: outline.clone(),
        is_tight: false,
    };
    Plan {
        name: "measured".to_owned(),
        metres_per_unit: 1.0,
        levels: vec![level(0, 0.0), level(1, ceiling_m)],
        slabs: floors
            .map_or_else(Vec::new, |name| vec![slab(0, 0.0, name), slab(1, ceiling_m, name)]),
        walls: lines
            .into_iter()
            .enumerate()
            .map(|(number, line)| Wall {
                thickness_mm: None,
                id: format!("wall-{number}"),
                level: 0,
                construction: construction.to_owned(),
                line,
                base_m: 0.0,
                top_m: ceiling_m,
            })
            .collect(),
        ..Plan::default()
    }
}

fn device(kind: DeviceKind, (position, height_m): Spot) -> Device {
    let (id, name) = (kind.word().to_owned(), kind.word().to_owned());
    Device { id, name, position, height_m, ..Device::bare(kind, 0) }
}

/// A receiver in a plan, with all paths to it ready; how its aerial stands, if that is to count.
pub fn listener(
    plan: &Plan,
    model: Model,
    receiver: Spot,
    aerial: Option<Aerial>,
) -> Result<Site<'_>, Diagnostic> {
    let over = LinkOverride { link: Some(LINK.to_owned()), frequency: None };
    let panel = Device { aerial, ..device(DeviceKind::Panel, receiver) };
    Ok(Site::new(plan, model, over, Some(panel))?)
}

/// The gain of all paths from a transmitter to the receiver, less what the receiver's aerial loses
/// by the way it stands, dB.
pub fn gain(site: &Site<'_>, transmitter: Spot) -> Result<f64, Diagnostic> {
    let link = site.link(None)?;
    let to = device(DeviceKind::Sensor, transmitter);
    let gain = power_gain(site, &site.panel, &to, &link).to_db();
    let lost = site
        .panel
        .device
        .aerial
        .map_or(Db(0.0), |_| hop(site, &site.panel, &to, &link).ledger.aerial_loss_db);
    Ok((gain - lost).0)
}

/// What each of some constructions costs the level from a transmitter, dB for each unit of a factor
/// on its loss.
pub fn slopes(
    site: &Site<'_>,
    transmitter: Spot,
    names: &[String],
) -> Result<Vec<f64>, Diagnostic> {
    use drillonce::forecast::{Follower, View};
    use drillonce::trace::HeightProfile;
    const STEP: f64 = 0.05;
    let view = site.view(frequency()?).ok_or("the site knows nothing of the link's frequency")?;
    let from = site.panel.device.height_m;
    let climbs =
        HeightProfile::all(&site.scene.floors, from, transmitter.1, site.model.reflections);
    let mut follower = Follower::default();
    let mut loss = |name: &String, factor: f64| {
        let surfaces = view.surfaces.rescaled(name, factor);
        let surfaces = &surfaces;
        let view = View { surfaces, ..view };
        let gain = view.gain(&mut follower, &site.panel.tree, &climbs, transmitter.0);
        gain.to_loss().0
    };
    let slopes =
        names.iter().map(|name| (loss(name, 1.0 + STEP) - loss(name, 1.0 - STEP)) / (2.0 * STEP));
    Ok(slopes.collect())
}

/// Walls that the straight line crosses.
pub fn walls_between(site: &Site<'_>, transmitter: Spot) -> Result<usize, Diagnostic> {
    use drillonce::forecast::Follower;
    use drillonce::trace::HeightProfile;
    let view = site.view(frequency()?).ok_or("the site knows nothing of the link's frequency")?;
    let climbs =
        HeightProfile::all(&site.scene.floors, site.panel.device.height_m, transmitter.1, 0);
    let height_profile = climbs.first().ok_or("no way up")?;
    let tree = &site.panel.tree;
    Ok(view.crossings(&mut Follower::default(), tree, height_profile, transmitter.0).len())
}

/// The frequency at which the 2.4 GHz data are compared.
pub fn frequency() -> Result<Hertz, Diagnostic> {
    Ok(radio::link(LINK).ok_or("no such link")?.frequency)
}
