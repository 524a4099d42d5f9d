//! `drillonce place`: find the best spots for the panel, and draw them.

use rayon::prelude::*;

use super::args::Format;
use super::check::{new_panel, table_width};
use super::output::{NewFile, PlanCopy, both_kinds, drawn, stem, undrawn, write_all};
use super::progress::progress;
use super::siting_args::PlaceOptions;
use super::siting_picture::{spot_picture, tradeoff};
use super::{CommandError, EXIT_FAILING, EXIT_FINE, complain};
use draw::{self, Size};
use forecast::{LinkOverride, Model, Site, finding_margins, vocabulary};
use plan::edit::Change;
use plan::{Device, Plan, Reading, read_file};
use report::{PlaceReport, place_csv, place_geojson, place_table};
use siting::map::worst_field;
use siting::reach::Reach;
use siting::siting::{Siting, SitingSettings};
use siting::spots::Spot;

/// Runs the command; what is to be printed goes to `text`.
pub(super) fn run(options: &PlaceOptions, text: &mut String) -> Result<u8, CommandError> {
    let model = options.radio.model().map_err(CommandError::Usage)?;
    let settings = options.settings().map_err(CommandError::Usage)?;
    let Reading { plan, warnings, .. } =
        read_file(&options.plan, &vocabulary()).map_err(CommandError::Plan)?;
    let model = options.radio.on(&plan, model);
    let over = options.radio.over();
    let site = site(&plan, model, over)?;
    let reach = Reach::new(&site)?;
    let bar = progress("spots");
    let siting = Siting::new(&reach, &settings, &|done| bar.set_position(done))
        .map_err(|error| CommandError::Usage(error.to_string()))?;
    bar.finish_and_clear();
    let doubts = warnings.iter().map(ToString::to_string).chain(site.warnings());
    let report = PlaceReport::new(&reach, &siting, &settings, doubts.collect());
    let unprintable = |why: &dyn std::fmt::Display| CommandError::Output {
        what: "the spots".to_owned(),
        why: why.to_string(),
    };
    let printed = match options.format {
        Format::Table => place_table(&report, table_width()),
        Format::Json => report.json().map_err(|error| unprintable(&error))?,
        Format::Csv => place_csv(&report).map_err(|error| unprintable(&error))?,
        Format::Geojson => place_geojson(&report).map_err(|error| unprintable(&error))?,
    };
    let copy = copy(options, &plan, &siting)?;
    if !options.no_pictures {
        let files = pictures(&reach, &siting, &settings, options)?;
        write_all(&options.out, &files)?;
    }
    if let Some(copy) = copy {
        copy.write()?;
    }
    // The other two formats carry the doubts themselves.
    if matches!(options.format, Format::Csv | Format::Geojson) {
        report.warnings.iter().for_each(|warning| complain(warning));
    }
    text.push_str(&printed);
    let first = siting.best.first().map(|number| &siting.radio[*number]);
    Ok(if first.is_none_or(|radio| radio.failing > 0) { EXIT_FAILING } else { EXIT_FINE })
}

/// The plan made ready; where its panel hangs does not matter, so one without a panel will do.
pub(super) fn site(
    plan: &Plan,
    model: Model,
    over: LinkOverride,
) -> Result<Site<'_>, CommandError> {
    let level = plan.levels.first().map_or(0, |level| level.number);
    let panel = plan.panel().cloned().unwrap_or_else(|| new_panel(level));
    Ok(Site::new(plan, model, over, Some(panel))?)
}

/// The copy of the plan with the panel at the spot that is to be written.
fn copy(
    options: &PlaceOptions,
    plan: &Plan,
    siting: &Siting,
) -> Result<Option<PlanCopy>, CommandError> {
    let Some(to) = &options.write else {
        return Ok(None);
    };
    let number = siting.best.get(usize::from(options.spot) - 1).ok_or_else(|| {
        CommandError::Usage(format!(
            "--spot {}: only {} spots are offered; ask for more with --best, or nearer together \
             with --apart",
            options.spot,
            siting.best.len()
        ))
    })?;
    let changes = [moved_to(plan, &siting.spots.allowed[*number])];
    PlanCopy::new(&options.plan, plan, &changes, to).map(Some)
}

/// The panel hung at a spot.
pub(super) fn moved_to(plan: &Plan, spot: &Spot) -> Change {
    let floor_m = plan.level(spot.level).map_or(0.0, |level| level.floor_m);
    Change::MovePanel {
        level: spot.level,
        position: spot.position,
        height_above_floor_m: spot.height_m - floor_m,
    }
}

/// The plan's panel, or a new one, at a spot.
pub(super) fn panel_at(plan: &Plan, spot: &Spot) -> Device {
    let panel = plan.panel().cloned();
    Device {
        level: spot.level,
        position: spot.position,
        height_m: spot.height_m,
        ..panel.unwrap_or_else(|| new_panel(spot.level))
    }
}

/// A map of every level that has walls, and the chart.
fn pictures(
    reach: &Reach<'_, '_>,
    siting: &Siting,
    settings: &SitingSettings,
    options: &PlaceOptions,
) -> Result<Vec<NewFile>, CommandError> {
    let stem = stem(&options.plan);
    let thresholds = finding_margins(reach.site)?;
    let mut pictures = Vec::new();
    for level in &reach.site.plan.levels {
        let bar = progress(&level.name);
        let height_m = level.floor_m + settings.spots.height_m;
        let field = worst_field(reach, level, height_m, &|done| bar.set_position(done))?;
        bar.finish_and_clear();
        if let Some(field) = field {
            let picture = spot_picture(reach, siting, settings, level, field, thresholds);
            pictures.push((format!("{stem}-spots-level{}", level.number), picture));
        }
    }
    let chart = tradeoff(reach, siting);
    let mut files: Vec<Result<[NewFile; 2], CommandError>> =
        pictures.par_iter().map(|(name, picture)| drawn(name, picture)).collect();
    let name = format!("{stem}-tradeoff");
    let layout = draw::tradeoff::layout(&chart, Size::default());
    let layout = layout.map_err(|error| undrawn(&name, &error))?;
    files.push(both_kinds(&name, || layout.png(), || layout.svg()));
    let mut all = Vec::new();
    for both in files {
        all.extend(both?);
    }
    Ok(all)
}
