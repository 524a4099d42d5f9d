//! `drillonce check --compare`: the plan with each link of a list.

use std::time::Duration;

use super::super::error::CommandError;
use super::super::files::{both_kinds, stem};
use super::super::frame::{Answer, House, check_maps, each_level, pictures, table_width};
use super::super::options::Format;
use super::super::panel::{moved_panel, site_with};
use super::super::picture::coverage;
use super::super::repeaters::fewest;
use super::CheckOptions;
use draw::{Multiples, Size};
use forecast::{Assessment, Site};
use radio::{Link, Region};
use report::{CompareReport, LinkTrial, PICTURE_CAUTION, compare_csv, compare_table};
use siting::reach::Reach;
use siting::relays::{RelaySettings, at_outlets, given};

/// Longest search for the repeaters of one link.
const MOST_SEARCH: Duration = Duration::from_secs(10);

pub(super) fn run(
    options: &CheckOptions,
    house: &House<'_>,
    links: &str,
) -> Result<Answer, CommandError> {
    if options.format == Format::Geojson {
        return Err(CommandError::Usage(
            "--compare has no GeoJSON; give --format table, json or csv".to_owned(),
        ));
    }
    let plan = &house.plan;
    let panel = options.panel.panel.map(|spot| moved_panel(plan, spot)).transpose()?;
    let own = site_with(house, &options.panel)?.link(None)?;
    let mut trials = Vec::new();
    let mut sites = Vec::new();
    let mut doubts = Vec::new();
    for link in chosen(links, &own)? {
        let site = house.with_link(&link.name, panel.clone())?;
        for doubt in house.doubts(&site) {
            if !doubts.contains(&doubt) {
                doubts.push(doubt);
            }
        }
        check_maps(&options.pictures, &site)?;
        let forecast = Assessment::new(&site)?;
        let repeaters = repeaters(&site)?;
        trials.push(LinkTrial { link: link.clone(), forecast, repeaters });
        sites.push(site);
    }
    let files = pictures(&options.pictures, || {
        let pages = each_level(plan, "", |level, tell| {
            let mut shown = Vec::new();
            for (site, trial) in sites.iter().zip(&trials) {
                let Some(picture) = coverage(site, &trial.forecast, level, tell)? else {
                    return Ok::<_, CommandError>(None);
                };
                shown.push((trial.link.name.clone(), picture));
            }
            Ok(Some(Multiples {
                title: format!("{}, {}", plan.name, level.name),
                subtitle: "The same panel spot with each link.".to_owned(),
                headline: String::new(),
                caution: PICTURE_CAUTION.to_owned(),
                pictures: shown,
            }))
        })?;
        let name = |level: i32| format!("{}-links-level{level}", stem(&options.plan));
        let drawn = pages.iter().map(|(level, page)| {
            let page = page.layout(Size::default());
            both_kinds(&name(*level), page, |page| page.png(), |page| page.svg())
        });
        Ok(drawn.collect::<Result<Vec<_>, _>>()?.into_iter().flatten().collect())
    })?;
    let report = CompareReport::new(&plan.name, &own.name, trials, doubts);
    let text = match options.format {
        Format::Json => plan.as_written.put_back(report.json()),
        Format::Csv => compare_csv(&report),
        _ => compare_table(&report, table_width()),
    };
    let failing = report.best().is_none_or(|trial| trial.forecast.any_failing());
    Ok(Answer {
        text,
        doubts: options.format.unsaid(report.warnings),
        files,
        failing,
        ..Answer::default()
    })
}

/// The links that a list names, each once; "all" are those of the region of the plan's own.
fn chosen(list: &str, own: &Link) -> Result<Vec<&'static Link>, CommandError> {
    if list.trim() == "all" {
        let here = |link: &&Link| {
            own.region == Region::World || [own.region, Region::World].contains(&link.region)
        };
        return Ok(radio::links().iter().filter(here).collect());
    }
    let mut found: Vec<&Link> = Vec::new();
    for name in list.split(',').map(str::trim) {
        let Some(link) = radio::links().iter().find(|link| link.name == name) else {
            let known: Vec<&str> = radio::links().iter().map(|link| link.name.as_str()).collect();
            return Err(CommandError::Usage(format!(
                "--compare: there is no link \"{name}\"; give \"all\" or any of {}",
                known.join(", ")
            )));
        };
        if !found.iter().any(|other| other.name == link.name) {
            found.push(link);
        }
    }
    Ok(found)
}

/// How many new repeaters at outlets make every supervised device sound, if any number does.
fn repeaters(site: &Site<'_>) -> Result<Option<usize>, CommandError> {
    let reach = Reach::new(site)?;
    let settings = RelaySettings::default();
    let mut candidates = given(site.plan);
    candidates.extend(at_outlets(site.plan, &settings));
    let panels = vec![site.panel.device.clone()];
    let (_, answer) = fewest(&reach, settings, panels, candidates, MOST_SEARCH)?;
    Ok(answer.ok().filter(|answer| answer.unheard.is_empty()).map(|answer| answer.new.len()))
}
