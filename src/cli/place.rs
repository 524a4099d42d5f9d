//! `drillonce place`: find the best spots for the panel, and draw them.

mod picture;

use std::path::PathBuf;

use clap::Args;

use super::error::{CommandError, OrStop as _};
use super::files::{NewFile, both_kinds, level_files, stem};
use super::frame::{Answer, House, check_maps, each_level, pictures, table_width};
use super::options::{
    FORMATS, Format, LENGTHS, PictureOptions, PowerOptions, RadioOptions, SpotOptions, WalkOptions,
    length, one_of, within,
};
use super::outputs::Outputs;
use super::panel::{any_panel, moved_to, panel_at};
use super::progress::progress;
use draw::{Size, tradeoff};
use forecast::{MAP_MISSES, SiteError, finding_margins};
use plan::Plan;
use plan::edit::Change;
use report::{PlaceReport, place_csv, place_geojson, place_table};
use siting::map::worst_field;
use siting::rank::Weights;
use siting::reach::Reach;
use siting::siting::{Siting, SitingSettings};
use siting::spots::SpotSettings;

#[derive(Debug, Args)]
#[command(after_help = LENGTHS)]
pub(crate) struct PlaceOptions {
    /// The floor plan, a .geojson file
    plan: PathBuf,
    /// How to print the spots
    #[arg(long, value_parser = one_of(&FORMATS), default_value = "table")]
    format: Format,
    #[command(flatten)]
    pictures: PictureOptions,
    /// Number of spots to offer
    #[arg(long, value_name = "N", default_value_t = 5,
        value_parser = clap::value_parser!(u16).range(1..=99))]
    best: u16,
    /// Least distance between two spots
    #[arg(long, value_name = "LENGTH", default_value = "1.5m", allow_hyphen_values = true,
        value_parser = length(0.0, 20.0))]
    apart: f64,
    /// Weights of reliability, walk and wire in the ranking, 0 to 100; 1 if not named
    #[arg(long, value_name = "walk=2,wire=0", value_parser = weights)]
    weigh: Option<Weights>,
    /// Write a copy of the plan with the panel at a spot (see --spot)
    #[arg(long, value_name = "FILE")]
    write: Option<PathBuf>,
    /// Spot for --write
    #[arg(long, value_name = "N", default_value_t = 1, requires = "write",
        value_parser = clap::value_parser!(u16).range(1..=99))]
    spot: u16,
    #[command(flatten)]
    spots: SpotOptions,
    #[command(flatten)]
    walk: WalkOptions,
    #[command(flatten)]
    power: PowerOptions,
    #[command(flatten)]
    radio: RadioOptions,
}

/// The argument of `--weigh`.
fn weights(text: &str) -> Result<Weights, String> {
    let mut weights = Weights::default();
    for part in text.split(',') {
        let (name, value) = part
            .split_once('=')
            .ok_or_else(|| format!("\"{part}\" has no value; write it as walk=2"))?;
        let value = within(0.0, 100.0, "")(value.trim())?;
        match name.trim() {
            "reliability" => weights.reliability = value,
            "walk" => weights.walk = value,
            "wire" => weights.wire = value,
            other => {
                return Err(format!("\"{other}\" has no weight; give reliability, walk or wire"));
            }
        }
    }
    if weights.reliability + weights.walk + weights.wire <= 0.0 {
        return Err("give at least one weight above 0".to_owned());
    }
    Ok(weights)
}

impl PlaceOptions {
    fn settings(&self) -> Result<SitingSettings, CommandError> {
        Ok(SitingSettings {
            spots: self.spots.settings(SpotSettings::default().spacing_m),
            walk: self.walk.settings(),
            delay: self.walk.delay_settings(),
            power: self.power.settings()?,
            weights: self.weigh.unwrap_or_default(),
            best: usize::from(self.best),
            apart_m: self.apart,
        })
    }
}

/// Where the results go.
pub(crate) fn outputs(options: &PlaceOptions) -> Outputs<'_> {
    options.pictures.outputs(options.plan.as_path()).and_copy("--write ", options.write.as_ref())
}

pub(crate) fn run(options: &PlaceOptions) -> Result<Answer, CommandError> {
    let settings = options.settings()?;
    let house = House::read(&options.plan, &options.radio)?;
    // Where the plan's panel hangs does not matter, so a plan without one will do.
    let site = house.site(Some(any_panel(&house.plan)))?;
    check_maps(&options.pictures, &site)?;
    let reach = Reach::new(&site)?;
    let bar = progress("spots");
    let siting = Siting::new(&reach, &settings, &|done| bar.set_position(done)).or_usage()?;
    bar.finish_and_clear();
    let report = PlaceReport::new(&reach, &siting, &settings, house.doubts(&site));
    let text = match options.format {
        Format::Table => place_table(&report, table_width()),
        Format::Json => house.plan.as_written.put_back(report.json()),
        Format::Csv => place_csv(&report),
        Format::Geojson => house.plan.as_written.put_back(place_geojson(&report)),
    };
    let copy = house.copy(options.write.as_ref(), || moved(options, &house.plan, &siting))?;
    let stem = stem(&options.plan);
    let files = pictures(&options.pictures, || drawings(&reach, &siting, &settings, &stem))?;
    let first = siting.best.first().map(|number| &siting.radio[*number]);
    Ok(Answer {
        text,
        doubts: options.format.unsaid(report.warnings),
        files,
        copy,
        failing: first.is_none_or(|radio| radio.failing > 0),
        ..Answer::default()
    })
}

/// The panel moved to the spot that is to be written.
fn moved(
    options: &PlaceOptions,
    plan: &Plan,
    siting: &Siting,
) -> Result<Vec<Change>, CommandError> {
    let number = siting.best.get(usize::from(options.spot) - 1).ok_or_else(|| {
        CommandError::Usage(format!(
            "--spot {}: only {} spots are offered; give a larger --best or a smaller --apart",
            options.spot,
            siting.best.len()
        ))
    })?;
    Ok(vec![moved_to(plan, &panel_at(plan, &siting.spots.allowed[*number]))])
}

/// A map of every level that has walls, and the chart.
fn drawings(
    reach: &Reach<'_, '_>,
    siting: &Siting,
    settings: &SitingSettings,
    stem: &str,
) -> Result<Vec<NewFile>, CommandError> {
    let thresholds = finding_margins(reach.site)?;
    // Where not even the best spot reaches some, the map of all the others says more.
    let mut without = siting.out_of_reach(reach);
    if without.len() == reach.transmitters.len() {
        without.clear();
    }
    let maps = each_level(reach.site.plan, "", |level, tell| {
        let height_m = level.floor_m + settings.spots.height_m;
        let field = worst_field(reach, level, height_m, &without, MAP_MISSES, tell)?;
        let draw =
            |field| picture::map(reach, (siting, &without), settings, level, field, thresholds);
        Ok::<_, SiteError>(field.map(draw))
    })?;
    let mut files = level_files(&format!("{stem}-spots"), &maps)?;
    // A chart with a single dot says nothing.
    if siting.objectives.len() < 2 {
        return Ok(files);
    }
    let page = tradeoff::layout(&picture::tradeoff(reach, siting), Size::default());
    files.extend(both_kinds(
        &format!("{stem}-tradeoff"),
        page,
        |page| page.png(),
        |page| page.svg(),
    )?);
    Ok(files)
}
