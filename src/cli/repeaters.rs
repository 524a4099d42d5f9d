//! `drillonce repeaters`: the fewest repeaters through which every supervised device is heard.

use std::time::{Duration, Instant};

use rayon::prelude::*;

use super::args::Format;
use super::check::{moved_panel, table_width};
use super::output::{NewFile, PlanCopy, drawn, stem, write_all};
use super::place::{moved_to, panel_at, site};
use super::progress::progress;
use super::repeaters_picture::linked_picture;
use super::siting_args::RepeatersOptions;
use super::{CommandError, EXIT_FAILING, EXIT_FINE, complain};
use forecast::{Assessment, Site, level_field, vocabulary};
use plan::edit::Change;
use plan::{Device, Plan, Reading, read_file};
use report::{CheckReport, RepeatersReport, check_geojson, repeaters_csv, repeaters_table};
use siting::cover::{CoverError, Hops};
use siting::reach::Reach;
use siting::relays::{NoChoice, RelayAnswer, RelaySettings, Relays, at_outlets, at_spots, given};
use siting::siting::spots_of;
use siting::spots::{Spot, SpotSettings};

/// Distance of spots for repeaters unless the user says otherwise, metres: a repeater has the whole
/// wall to choose from.
const SPACING_M: f64 = 0.5;

/// Most hops from a place for a repeater: minutes on two cores, in a building of hundreds of walls.
const MOST_HOPS: usize = 1_000_000;

/// Runs the command; what is to be printed goes to `text`.
pub(super) fn run(options: &RepeatersOptions, text: &mut String) -> Result<u8, CommandError> {
    let model = options.radio.model().map_err(CommandError::Usage)?;
    let Reading { plan, warnings, .. } =
        read_file(&options.plan, &vocabulary()).map_err(CommandError::Plan)?;
    let model = options.radio.on(&plan, model);
    let over = options.radio.over();
    let now = site(&plan, model, over.clone())?;
    let reach = Reach::new(&now)?;
    let settings = RelaySettings {
        hops: if options.hops == 2 { Hops::Two } else { Hops::One },
        capacity: options.capacity,
        lose_one: options.lose_one,
    };
    let mut doubts: Vec<String> = warnings.iter().map(ToString::to_string).collect();
    doubts.extend(now.warnings());
    let spots = options.spots.settings(SPACING_M);
    let panels = panels(options, &plan, &spots)?;
    let mut candidates = given(&plan);
    candidates.extend(at_outlets(&plan, &settings));
    if options.anywhere {
        // A mountable feature marks where the panel may hang; a repeater has every wall.
        let anywhere = SpotSettings { every_wall: true, ..spots };
        candidates.extend(at_spots(&found_spots(&plan, &anywhere)?, &settings));
    }
    if candidates.iter().all(|candidate| candidate.given) {
        doubts.push(
            "the plan has no outlet, so there is no place for a new repeater; draw the outlets, or \
             give --anywhere"
                .to_owned(),
        );
    }
    few_enough(panels.len(), candidates.len(), settings.hops)?;
    let bar = progress("hops");
    bar.set_length((panels.len() + 2 * candidates.len()) as u64);
    let mut relays = Relays::new(&reach, settings, panels, candidates, &|more| bar.inc(more))?;
    bar.finish_and_clear();
    let started = Instant::now();
    let limit = Duration::from_secs_f64(options.time_limit);
    let answer = relays
        .solve(&|| started.elapsed() >= limit)
        .map_err(|no| no_choice(&reach, &relays, &no, options))?;

    let then_plan = relays.plan_with(&answer);
    let then = Site::new(&then_plan, model, over, None)?;
    let after = Assessment::with_ways(&then, &relays.ways_by_id(&answer))?;
    let before = plan.panel().map(|_| Assessment::new(&now)).transpose()?;
    if answer.ways.iter().any(|(_, over)| over.len() > 1) {
        doubts.push(
            "some ways lead over two repeaters, which not every system allows; `drillonce check` \
             follows one repeater only, so it thinks less of those ways"
                .to_owned(),
        );
    }
    let report = RepeatersReport::new(
        &reach,
        &relays,
        &settings,
        &answer,
        before.as_ref(),
        CheckReport::new(&then, &after, doubts),
    );
    let unprintable = |why: &dyn std::fmt::Display| CommandError::Output {
        what: "the answer".to_owned(),
        why: why.to_string(),
    };
    let printed = match options.format {
        Format::Table => repeaters_table(&report, table_width()),
        Format::Json => report.json().map_err(|error| unprintable(&error))?,
        Format::Csv => repeaters_csv(&report).map_err(|error| unprintable(&error))?,
        Format::Geojson => check_geojson(&report.after).map_err(|error| unprintable(&error))?,
    };
    let copy = options
        .write
        .as_ref()
        .map(|to| {
            PlanCopy::new(&options.plan, &plan, &changes(options, &plan, &relays, &answer), to)
        })
        .transpose()?;
    if !options.no_pictures {
        let ids: Vec<&str> = report.new_repeaters.iter().map(|r| r.id.as_str()).collect();
        let told = headline_after(&report);
        let mut files = Vec::new();
        if let Some(before) = &before {
            files.extend(pictures(&now, before, &[], "before", &headline(before), options)?);
        }
        files.extend(pictures(&then, &after, &ids, "after", &told, options)?);
        write_all(&options.out, &files)?;
    }
    if let Some(copy) = copy {
        copy.write()?;
    }
    // The other two formats carry the doubts themselves.
    if matches!(options.format, Format::Csv | Format::Geojson) {
        report.after.warnings.iter().for_each(|warning| complain(warning));
    }
    text.push_str(&printed);
    Ok(if after.any_failing() || !answer.unheard.is_empty() { EXIT_FAILING } else { EXIT_FINE })
}

/// Refuses a question that would take hours: every place for a repeater is traced to every place for
/// the panel, and with two repeaters in a row to every other.
fn few_enough(panels: usize, candidates: usize, hops: Hops) -> Result<(), CommandError> {
    let onward = if hops == Hops::Two { candidates } else { 0 };
    let traced = candidates.saturating_mul(panels.saturating_add(onward));
    if traced > MOST_HOPS {
        return Err(CommandError::Usage(format!(
            "{candidates} places for repeaters and {panels} for the panel make {traced} hops, more than \
             {MOST_HOPS}; give a larger --spacing, or leave out --anywhere or --move-panel"
        )));
    }
    Ok(())
}

fn found_spots(plan: &Plan, settings: &SpotSettings) -> Result<Vec<Spot>, CommandError> {
    spots_of(plan, settings)
        .map(|spots| spots.allowed)
        .map_err(|error| CommandError::Usage(error.to_string()))
}

/// Where the panel may hang: where it is, where the user says, or at any spot.
fn panels(
    options: &RepeatersOptions,
    plan: &Plan,
    spots: &SpotSettings,
) -> Result<Vec<Device>, CommandError> {
    if options.move_panel {
        let spots = found_spots(plan, spots)?;
        return Ok(spots.iter().map(|spot| panel_at(plan, spot)).collect());
    }
    if let Some(spot) = options.panel {
        return Ok(vec![moved_panel(plan, spot)?]);
    }
    let panel = plan.panel().cloned().ok_or_else(|| {
        CommandError::Usage(
            "the plan has no panel; add a feature of kind \"panel\", give --panel x,y, or let \
             --move-panel choose its spot"
                .to_owned(),
        )
    })?;
    Ok(vec![panel])
}

/// Why there is no choice, for people.
fn no_choice(
    reach: &Reach<'_, '_>,
    relays: &Relays<'_, '_, '_>,
    no: &NoChoice,
    options: &RepeatersOptions,
) -> CommandError {
    let names: Vec<String> =
        no.transmitters.iter().map(|from| reach.transmitters[*from].device.id.clone()).collect();
    let mend = match &no.why {
        CoverError::NotTwice { .. } => format!(
            ": {}; more places would help: draw more outlets, give --anywhere, or leave out --lose-one",
            names.join(", ")
        ),
        CoverError::CapacityTooSmall { .. } => match options.capacity {
            Some(capacity) => {
                format!("; a new repeater passes on {capacity}: give a larger --capacity")
            }
            None => "; look at the capacity of the plan's own repeaters".to_owned(),
        },
        CoverError::CapacityTooSmallAfterLoss { lost, .. } => {
            let lost = relays.candidates.get(*lost);
            let at = lost.map(|c| c.outlet.clone().unwrap_or_else(|| c.device.id.clone()));
            format!(
                " (that at {}); give a larger --capacity, or leave out --lose-one",
                at.unwrap_or_default()
            )
        }
        CoverError::OutOfTime => "; give a larger --time-limit".to_owned(),
        _ => String::new(),
    };
    CommandError::Usage(format!("{}{mend}", no.why))
}

/// What `--write` changes.
fn changes(
    options: &RepeatersOptions,
    plan: &Plan,
    relays: &Relays<'_, '_, '_>,
    answer: &RelayAnswer,
) -> Vec<Change> {
    let floor = |level: i32| plan.level(level).map_or(0.0, |level| level.floor_m);
    let panel = &relays.panels[answer.panel];
    let moved = options.move_panel || options.panel.is_some();
    let panel = moved.then(|| {
        moved_to(
            plan,
            &Spot {
                level: panel.level,
                position: panel.position,
                height_m: panel.height_m,
                facing: None,
                wall: None,
            },
        )
    });
    let new = answer.new.iter().map(|site| {
        let device = &relays.candidates[*site].device;
        Change::AddRepeater {
            id: device.id.clone(),
            name: device.name.clone(),
            level: device.level,
            position: device.position,
            height_above_floor_m: device.height_m - floor(device.level),
            capacity: device.capacity,
        }
    });
    panel.into_iter().chain(new).collect()
}

fn headline(before: &Assessment) -> String {
    let all = before.sensors.iter().chain(&before.two_way);
    let (mut devices, mut heard) = (0, 0);
    for result in all {
        devices += 1;
        heard += usize::from(result.finding == forecast::Finding::Sound);
    }
    format!("As the plan has it now: {heard} of {devices} devices sound.")
}

fn headline_after(report: &RepeatersReport) -> String {
    let proof = if report.proof.best {
        "Fewer cannot do it."
    } else {
        "Fewer might do: the search ran out of time."
    };
    match (report.new_repeaters.len(), report.unheard.len()) {
        (0, 0) => "No repeater is needed.".to_owned(),
        (0, missing) => format!("No repeater helps: {missing} devices cannot be heard."),
        (count, 0) => format!("With {count} new repeater{}. {proof}", plural(count)),
        (count, missing) => format!(
            "With {count} new repeater{}; {missing} device{} cannot be heard.",
            plural(count),
            plural(missing)
        ),
    }
}

const fn plural(count: usize) -> &'static str {
    if count == 1 { "" } else { "s" }
}

/// A picture of every level that has walls, with the ways drawn.
fn pictures(
    site: &Site<'_>,
    assessment: &Assessment,
    new: &[&str],
    when: &str,
    headline: &str,
    options: &RepeatersOptions,
) -> Result<Vec<NewFile>, CommandError> {
    let stem = stem(&options.plan);
    let repeaters = assessment.repeater_findings();
    let mut all = Vec::new();
    for level in &site.plan.levels {
        let bar = progress(&format!("{when}, {}", level.name));
        let field = level_field(site, level, &repeaters, &|done| bar.set_position(done))?;
        bar.finish_and_clear();
        if let Some(field) = field {
            let picture = linked_picture(site, assessment, level, field, new, headline);
            all.push((format!("{stem}-{when}-level{}", level.number), picture));
        }
    }
    let files: Vec<Result<[NewFile; 2], CommandError>> =
        all.par_iter().map(|(name, picture)| drawn(name, picture)).collect();
    let mut written = Vec::new();
    for both in files {
        written.extend(both?);
    }
    Ok(written)
}
