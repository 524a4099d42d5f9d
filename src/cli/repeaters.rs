//! `drillonce repeaters`: the fewest repeaters through which every supervised device is heard.

use std::path::PathBuf;
use std::time::{Duration, Instant};

use clap::Args;

use super::error::{CommandError, OrStop as _};
use super::files::{NewFile, level_files, stem};
use super::frame::{Answer, House, check_maps, each_level, pictures, table_width};
use super::options::{
    FORMATS, Format, LENGTHS, PanelOption, PictureOptions, RadioOptions, SpotOptions, one_of,
    within,
};
use super::outputs::Outputs;
use super::panel::{above_floor, any_panel, moved_panel, moved_to, panel_at};
use super::picture::{coverage, with_ways};
use super::progress::progress;
use forecast::{Assessment, Finding, Site, SiteError};
use plan::edit::Change;
use plan::{Device, Plan};
use report::{
    CheckReport, RepeatersReport, check_geojson, counted, repeaters_csv, repeaters_table,
};
use siting::cover::{CoverError, Hops, Proof};
use siting::reach::Reach;
use siting::relays::{
    self, Candidate, NoChoice, RelayAnswer, RelaySettings, Relays, at_outlets, at_spots, given,
};
use siting::siting::{sound_spot, spots_of};
use siting::spots::{Spot, SpotSettings};

/// Distance of spots for repeaters unless the user says otherwise, metres: a repeater has the whole
/// wall to choose from.
const SPACING_M: f64 = 0.5;

/// Most hops from a place for a repeater: minutes on two cores, in a building of hundreds of walls.
const MOST_HOPS: usize = 1_000_000;

#[derive(Debug, Args)]
#[command(after_help = LENGTHS)]
pub(crate) struct RepeatersOptions {
    /// The floor plan, a .geojson file
    plan: PathBuf,
    /// How to print the answer
    #[arg(long, value_parser = one_of(&FORMATS), default_value = "table")]
    format: Format,
    #[command(flatten)]
    pictures: PictureOptions,
    /// Allow repeaters anywhere along walls, not only at outlets
    #[arg(long)]
    anywhere: bool,
    /// Choose the panel's spot as well
    #[arg(long, conflicts_with = "panel")]
    move_panel: bool,
    #[command(flatten)]
    panel: PanelOption,
    /// Most repeaters in a row between device and panel
    #[arg(long, value_name = "N", default_value_t = 1, allow_hyphen_values = true,
        value_parser = clap::value_parser!(u8).range(1..=2))]
    hops: u8,
    /// Most devices per new repeater [default: any number]
    #[arg(long, value_name = "N", allow_hyphen_values = true,
        value_parser = clap::value_parser!(u32).range(1..=1000))]
    capacity: Option<u32>,
    /// Every device must still be heard if any one repeater fails
    #[arg(long)]
    lose_one: bool,
    /// Longest search, seconds; then it gives the best answer so far
    #[arg(long, value_name = "SECONDS", default_value = "30", allow_hyphen_values = true,
        value_parser = within(0.0, 86_400.0, "s"))]
    time_limit: f64,
    /// Write a copy of the plan with the repeaters, and the panel if it moved
    #[arg(long, value_name = "FILE")]
    write: Option<PathBuf>,
    #[command(flatten)]
    spots: SpotOptions,
    #[command(flatten)]
    radio: RadioOptions,
}

/// Where the results go.
pub(crate) fn outputs(options: &RepeatersOptions) -> Outputs<'_> {
    options.pictures.outputs(options.plan.as_path()).and_copy("--write ", options.write.as_ref())
}

pub(crate) fn run(options: &RepeatersOptions) -> Result<Answer, CommandError> {
    let house = House::read(&options.plan, &options.radio)?;
    let plan = &house.plan;
    let now = house.site(Some(any_panel(plan)))?;
    check_maps(&options.pictures, &now)?;
    let reach = Reach::new(&now)?;
    let settings = RelaySettings {
        hops: if options.hops == 2 { Hops::Two } else { Hops::One },
        capacity: options.capacity,
        lose_one: options.lose_one,
    };
    let mut doubts = house.doubts(&now);
    let spots = options.spots.settings(SPACING_M);
    let panels = panels(options, plan, &spots)?;
    let mut candidates = given(plan);
    candidates.extend(at_outlets(plan, &settings));
    if options.anywhere {
        // A mountable feature marks where the panel may hang; a repeater has every wall.
        let anywhere = SpotSettings { every_wall: true, ..spots };
        candidates.extend(at_spots(&found_spots(plan, &anywhere)?, &settings));
    }
    if candidates.iter().all(|candidate| candidate.given) {
        doubts.push(
            "the plan has no outlet for a new repeater; draw the outlets, or give --anywhere"
                .to_owned(),
        );
    }
    few_enough(panels.len(), candidates.len(), settings.hops)?;
    let limit = Duration::from_secs_f64(options.time_limit);
    let started = Instant::now();
    let (relays, answer) = fewest(&reach, settings, panels, candidates, limit)?;
    if relays.left_out > 0 {
        doubts.push(format!(
            "the time was too short for {}, which are left out; give a larger --time-limit or a \
             larger --spacing",
            counted(relays.left_out, "place")
        ));
    }
    let answer = answer.map_err(|no| no_choice(&reach, &relays, &no, options))?;

    let then_plan = relays.plan_with(&answer);
    let then = house.ready(&then_plan, None)?;
    let after = Assessment::with_ways(&then, &relays.ways_by_id(&answer))?;
    let before = plan.panel().map(|_| Assessment::new(&now)).transpose()?;
    if answer.ways.iter().any(|(_, over)| over.len() > 1) {
        doubts.push(
            "some devices go over two repeaters, which not every system allows; `drillonce check` \
             follows one repeater only, so it rates them lower"
                .to_owned(),
        );
    }
    let then_report = CheckReport::new(&then, &after, doubts);
    let stuck = !answer.new.is_empty() || !answer.unheard.is_empty();
    let in_time = started.elapsed() < limit;
    let alone =
        if stuck && in_time && !options.move_panel { sound_spot(&reach, &spots) } else { None };
    let report = RepeatersReport::new(
        &reach,
        &relays,
        &settings,
        &answer,
        before.as_ref(),
        then_report,
        alone.as_ref(),
    );
    let text = match options.format {
        Format::Table => repeaters_table(&report, table_width()),
        Format::Json => house.plan.as_written.put_back(report.json()),
        Format::Csv => repeaters_csv(&report),
        Format::Geojson => house.plan.as_written.put_back(check_geojson(&report.after)),
    };
    let copy =
        house.copy(options.write.as_ref(), || Ok(changes(options, plan, &relays, &answer)))?;
    let files = pictures(&options.pictures, || {
        let ids: Vec<&str> = report.new_repeaters.iter().map(|r| r.id.as_str()).collect();
        let stem = stem(&options.plan);
        let mut files = Vec::new();
        if let Some(before) = &before {
            files = drawings((&now, before), &[], &stem, "before", &headline(before))?;
        }
        files.extend(drawings((&then, &after), &ids, &stem, "after", &headline_after(&answer))?);
        Ok(files)
    })?;
    Ok(Answer {
        text,
        doubts: options.format.unsaid(report.after.warnings),
        files,
        copy,
        failing: after.any_failing() || answer.unheard.iter().any(|one| !one.is_thin),
        ..Answer::default()
    })
}

/// [`relays::fewest`], with a bar.
pub(crate) fn fewest<'r, 's, 'p>(
    reach: &'r Reach<'s, 'p>,
    settings: RelaySettings,
    panels: Vec<Device>,
    candidates: Vec<Candidate>,
    limit: Duration,
) -> Result<(Relays<'r, 's, 'p>, Result<RelayAnswer, NoChoice>), SiteError> {
    let bar = progress("hops");
    bar.set_length((panels.len() + 2 * candidates.len()) as u64);
    let places = (panels, candidates);
    let found = relays::fewest(reach, settings, places, limit, &|more| bar.inc(more));
    bar.finish_and_clear();
    found
}

/// Refuses a question that would take hours: every place for a repeater is traced to every place
/// for the panel, and with two repeaters in a row to every other.
fn few_enough(panels: usize, candidates: usize, hops: Hops) -> Result<(), CommandError> {
    let onward = if hops == Hops::Two { candidates } else { 0 };
    let traced = candidates.saturating_mul(panels.saturating_add(onward));
    if traced > MOST_HOPS {
        return Err(CommandError::Usage(format!(
            "{candidates} places for repeaters and {panels} for the panel make {traced} hops, more \
             than {MOST_HOPS}; give a larger --spacing, or drop --anywhere or --move-panel"
        )));
    }
    Ok(())
}

fn found_spots(plan: &Plan, settings: &SpotSettings) -> Result<Vec<Spot>, CommandError> {
    spots_of(plan, settings).map(|spots| spots.allowed).or_usage()
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
    if let Some(spot) = options.panel.panel {
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
    let fix = match &no.why {
        CoverError::NotTwice { .. } => format!(
            ": {}; draw more outlets, give --anywhere, or drop --lose-one",
            names.join(", ")
        ),
        CoverError::CapacityTooSmall { .. } => match options.capacity {
            Some(capacity) => {
                format!("; a new repeater passes on {capacity}: give a larger --capacity")
            }
            None => "; check the capacity of the plan's own repeaters".to_owned(),
        },
        CoverError::CapacityTooSmallAfterLoss { lost, .. } => {
            let lost = relays.candidates.get(*lost);
            let at = lost.map(|c| c.outlet.clone().unwrap_or_else(|| c.device.id.clone()));
            format!(
                " (that at {}); give a larger --capacity, or drop --lose-one",
                at.unwrap_or_default()
            )
        }
        CoverError::OutOfTime => "; give a larger --time-limit".to_owned(),
        _ => String::new(),
    };
    CommandError::Usage(format!("{}{fix}", no.why))
}

/// What `--write` changes.
fn changes(
    options: &RepeatersOptions,
    plan: &Plan,
    relays: &Relays<'_, '_, '_>,
    answer: &RelayAnswer,
) -> Vec<Change> {
    let moved = options.move_panel || options.panel.panel.is_some();
    let panel = moved.then(|| moved_to(plan, &relays.panels[answer.panel]));
    let new = answer.new.iter().map(|site| {
        let device = &relays.candidates[*site].device;
        Change::AddRepeater {
            id: device.id.clone(),
            name: device.name.clone(),
            level: device.level,
            position: device.position,
            height_above_floor_m: above_floor(plan, device.level, device.height_m),
            capacity: device.capacity,
        }
    });
    panel.into_iter().chain(new).collect()
}

fn headline(before: &Assessment) -> String {
    let all: Vec<_> = before.sensors.iter().chain(&before.two_way).collect();
    let heard = all.iter().filter(|result| result.finding == Finding::Sound).count();
    format!("As the plan has it now: {heard} of {} devices sound.", all.len())
}

fn headline_after(answer: &RelayAnswer) -> String {
    let proof = match answer.proof {
        Proof::Best => "This is the minimum.",
        Proof::Gap { .. } => "Fewer may be enough: the search ran out of time.",
    };
    let thin = answer.unheard.iter().filter(|one| one.is_thin).count();
    let failing = answer.unheard.len() - thin;
    let with = match answer.new.len() {
        0 if answer.unheard.is_empty() => return "No repeater is needed.".to_owned(),
        0 => "No repeater helps".to_owned(),
        count => format!("With {}", counted(count, "new repeater")),
    };
    match (thin, failing) {
        (0, 0) => format!("{with} every device is sound. {proof}"),
        (thin, 0) => format!("{with}: {} at best thin, all others sound.", counted(thin, "device")),
        (0, failing) => format!("{with}: {} still failing.", counted(failing, "device")),
        (thin, failing) => format!(
            "{with}: {} thin at best, {} still failing.",
            counted(thin, "device"),
            counted(failing, "device")
        ),
    }
}

/// A picture of every level that has walls, with the ways drawn.
fn drawings(
    (site, assessment): (&Site<'_>, &Assessment),
    new: &[&str],
    stem: &str,
    when: &str,
    headline: &str,
) -> Result<Vec<NewFile>, CommandError> {
    let levels = each_level(site.plan, &format!("{when}, "), |level, tell| {
        let covered = coverage(site, assessment, level, tell)?;
        Ok::<_, SiteError>(covered.map(|mut covered| {
            covered.headline = headline.to_owned();
            with_ways(covered, (site, assessment), level, new)
        }))
    })?;
    level_files(&format!("{stem}-{when}"), &levels)
}
