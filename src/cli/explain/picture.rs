//! An explanation put into the terms of pictures: the paths over the plan, and the profile of the
//! level along the direct one.

use crate::error::CommandError;
use crate::files::{NewFile, both_kinds, drawn};
use crate::picture::{device_mark, drawn_level, heard_mark};
use draw::{
    CrossingMark, Drawing, Likely, PathMark, Picture, Profile as Chart, ProfileSensor, ProfileWall,
    Size,
};
use explain::{Explanation, LEAST_SHARE, TracedPath};
use forecast::{Site, thickness};
use job::schedule::NINE_IN_TEN_Z;
use plan::{Device, DeviceKind};
use report::{PICTURE_CAUTION, margin_words, numbered};
use units::{Chance, Db};
use words::Words;

/// The pictures of an explanation, named after `stem` and the device.
pub(crate) fn pictures(
    site: &Site<'_>,
    told: &Explanation,
    stem: &str,
) -> Result<Vec<NewFile>, CommandError> {
    let name = format!("{stem}-{}", plain(&told.result.device.id));
    let mut files = Vec::new();
    if let Some(picture) = paths_picture(site, told) {
        files.extend(drawn(&format!("{name}-paths"), &picture)?);
    }
    let page = chart(site, told).layout(Size::default());
    files.extend(both_kinds(&format!("{name}-profile"), page, Drawing::png, Drawing::svg)?);
    Ok(files)
}

/// An id as part of a file's name: what is neither letter nor digit becomes a hyphen.
pub(crate) fn plain(id: &str) -> String {
    let kept = id.chars().take(60);
    kept.map(|c| if c.is_ascii_alphanumeric() || matches!(c, '_' | '.') { c } else { '-' })
        .collect()
}

/// What stands in bold over both pictures.
fn headline(told: &Explanation) -> String {
    let result = &told.result;
    let via = result.via.as_ref();
    format!(
        "{}: chance of a fault in a year {}, {}, {}{}",
        numbered(&result.device),
        Chance(result.fault_per_year),
        result.finding.word(),
        margin_words(&Words::default(), result.hop.ledger.margin_db.0),
        via.map_or_else(String::new, |via| format!(", over {via}"))
    )
}

/// A level with the interval in which it lies in nine cases of ten.
pub(crate) fn likely(level_dbm: f64, sigma: Db) -> Likely {
    let off = NINE_IN_TEN_Z * sigma.0;
    Likely { level_dbm, low_dbm: level_dbm - off, high_dbm: level_dbm + off }
}

/// The paths over the plan of the device's level; `None` if the plan has no such level.
fn paths_picture(site: &Site<'_>, told: &Explanation) -> Option<Picture> {
    let (plan, result) = (site.plan, &told.result);
    let level = plan.level(result.device.level)?;
    let link = &told.budget.link;
    let listener = &told.budget.listener;
    let mark = |device: &Device| {
        if device.id == result.device.id {
            return heard_mark(result);
        }
        let mut mark = device_mark(device);
        if device.kind != DeviceKind::Panel && device.id != *listener {
            mark.name.clear();
        }
        mark
    };
    let others = plan.devices.iter().filter(|device| {
        device.kind != DeviceKind::Panel && (device.level == level.number || device.id == *listener)
    });
    let hears_from_panel = !told.budget.is_repeater;
    let panel =
        Some(&site.panel.device).filter(|panel| panel.level == level.number || hears_from_panel);
    let account = &told.budget;
    let unlisted = match account.rest.count {
        0 => String::new(),
        1 => format!(" One more path brings {}.", Chance(account.rest.share)),
        count => format!(" {count} more paths bring {} together.", Chance(account.rest.share)),
    };
    let scattered = match account.rest.scattered_share {
        share if share >= LEAST_SHARE => format!(" {} is scattered.", Chance(share)),
        _ => String::new(),
    };
    Some(Picture {
        subtitle: format!(
            "Link {} at {}. How the power comes, with each path's share.{unlisted}{scattered}",
            link.name, link.frequency
        ),
        headline: headline(told),
        devices: panel.into_iter().chain(others).map(mark).collect(),
        paths: account.paths.iter().map(|path| path_mark(told, path)).collect(),
        ..drawn_level(plan, level)
    })
}

fn path_mark(told: &Explanation, path: &TracedPath) -> PathMark {
    let is_direct = path.order == 0;
    let crossings = if is_direct {
        let length = told.budget.hop.distance.0.max(f64::MIN_POSITIVE);
        let at = |t: f64| match path.points_m[..] {
            [[x, y, _], .., [to_x, to_y, _]] => [x + (to_x - x) * t, y + (to_y - y) * t],
            _ => [0.0, 0.0],
        };
        let crossed = told.profile.crossings.iter();
        crossed
            .map(|crossing| CrossingMark {
                position: at(crossing.distance_m.0 / length),
                loss_db: crossing.loss_db.0,
            })
            .collect()
    } else {
        Vec::new()
    };
    PathMark {
        points: path.points_m.iter().map(|[x, y, _]| [*x, *y]).collect(),
        share: path.share,
        direct: is_direct,
        label: path.label.clone(),
        crossings,
    }
}

/// The profile of the level along the direct path.
fn chart(site: &Site<'_>, told: &Explanation) -> Chart {
    let result = &told.result;
    let account = &told.budget;
    let ledger = &account.hop.ledger;
    let points = &told.profile.points;
    let level = ledger.received_dbm.0;
    Chart {
        title: format!("{}: level along the straight line", site.plan.name),
        subtitle: format!(
            "Link {} at {}, from {} to {}. It is heard if the line of all paths ends above the \
             level needed.",
            account.link.name,
            account.link.frequency,
            account.listener,
            numbered(&result.device)
        ),
        headline: headline(told),
        caution: PICTURE_CAUTION.to_owned(),
        together: points.iter().map(|p| [p.distance_m.0, p.level_dbm.0]).collect(),
        direct: points.iter().map(|p| [p.distance_m.0, p.direct_dbm.0]).collect(),
        walls: told
            .profile
            .crossings
            .iter()
            .map(|crossing| ProfileWall {
                distance_m: crossing.distance_m.0,
                thickness_m: thickness(site.plan, &crossing.construction).0,
                loss_db: crossing.loss_db.0,
                label: crossing.construction.clone(),
            })
            .collect(),
        needed_dbm: Some(told.profile.level_needed.0),
        sensor: Some(ProfileSensor {
            distance_m: account.hop.distance.0,
            level: likely(level, account.hop.sigma),
            label: numbered(&result.device),
        }),
        length_unit: site.plan.lengths(),
    }
}
