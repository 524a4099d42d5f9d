//! `drillonce quote`: what the customer gets, as one document.

use std::time::{Duration, Instant};

use super::document_files::{day_or_today, document_file};
use super::output::{stem, write_all};
use super::progress::progress;
use super::quote_args::QuoteOptions;
use super::quote_picture::{Forecasts, level_pictures};
use super::{CommandError, EXIT_FAILING, EXIT_FINE, complain};
use document::Document;
use forecast::{Assessment, Model, Site, SiteError, vocabulary};
use job::pricing::{Business, Sheet, priced, read_business, read_prices, unpriced, wanted};
use plan::{DeviceKind, Diagnostic, Plan, Reading, read_file};
use report::{NewRepeater, Quote, quote};
use siting::reach::Reach;
use siting::relays::{RelayAnswer, RelaySettings, Relays, at_outlets, given};
use words::Words;

/// Longest search for the fewest repeaters, as that of `repeaters`.
const TIME_LIMIT: Duration = Duration::from_secs(30);

/// A quote, before it is written.
#[derive(Debug, Clone, PartialEq)]
pub struct QuoteDocument {
    /// The document.
    pub document: Document,
    /// Whether some device will be failing, with the repeaters that are offered.
    pub any_failing: bool,
    /// What is doubtful in the plan, for the installer.
    pub doubts: Vec<String>,
}

/// Runs the command; what is to be printed goes to `text`.
pub(super) fn run(options: &QuoteOptions, text: &mut String) -> Result<u8, CommandError> {
    let made = quote_document(options)?;
    let name = format!("{}-quote", stem(&options.plan));
    let mut files = Vec::new();
    for form in options.format.forms() {
        files.push(document_file(&made.document, *form, options.paper.paper(), &name)?);
    }
    for path in write_all(&options.out, &files)? {
        text.push_str(&format!("{}\n", path.display()));
    }
    made.doubts.iter().for_each(|doubt| complain(doubt));
    Ok(if made.any_failing { EXIT_FAILING } else { EXIT_FINE })
}

/// Makes the quote without writing anything. The clock is read only if no date is given.
///
/// # Errors
/// [`CommandError`]: a bad plan, business file, price list or setting.
pub fn quote_document(options: &QuoteOptions) -> Result<QuoteDocument, CommandError> {
    let model = options.radio.model().map_err(CommandError::Usage)?;
    let words = options.language.words("the quote")?;
    let date = day_or_today(options.date)?;
    let Reading { plan, warnings, .. } =
        read_file(&options.plan, &vocabulary()).map_err(CommandError::Plan)?;
    // Nothing is traced before all files are known to be good.
    let papers = Papers::read(options).map_err(CommandError::Plan)?;
    let over = options.radio.over();
    let now = Site::new(&plan, model, over.clone(), None)?;
    let mut doubts: Vec<String> = warnings.iter().map(ToString::to_string).collect();
    doubts.extend(papers.warnings());
    doubts.extend(now.warnings());

    let reach = Reach::new(&now)?;
    let settings = RelaySettings::default();
    let (relays, answer) = fewest(&plan, &reach, settings)?;
    let mut then_plan = relays.plan_with(&answer);
    let new: Vec<NewRepeater> = answer
        .new
        .iter()
        .filter_map(|site| relays.candidates.get(*site))
        .map(|candidate| NewRepeater {
            id: candidate.device.id.clone(),
            outlet: candidate.outlet.clone(),
        })
        .collect();
    name_new(&mut then_plan, &new, &words);
    let sheet = papers.sheet(&then_plan).map_err(CommandError::Plan)?;
    let then = Site::new(&then_plan, model, over.clone(), None)?;
    let with = Assessment::with_ways(&then, &relays.ways_by_id(&answer))?;

    let bare_plan = without_repeaters(&then_plan);
    let bare = bare(&bare_plan, &then_plan, model, &over)?;
    let pictures = level_pictures(Forecasts {
        words: &words,
        without: bare.as_ref().map(|(site, forecast)| (site, forecast)),
        with: (&then, &with),
    })?;
    let document = quote(&Quote {
        words: &words,
        date,
        business: papers.business.as_ref(),
        sheet: &sheet,
        site: &then,
        without: bare.as_ref().map(|(_, forecast)| forecast),
        with: &with,
        new: &new,
        proof: answer.proof,
        pictures: &pictures,
    });
    Ok(QuoteDocument { document, any_failing: with.any_failing(), doubts })
}

/// The business file and the price list.
struct Papers {
    business: Option<Business>,
    prices: Option<job::pricing::PriceList>,
}

impl Papers {
    /// Reads both, so that everything that is wrong with them is said at once.
    fn read(options: &QuoteOptions) -> Result<Self, Vec<Diagnostic>> {
        let business = options.business.as_deref().map(read_business).transpose();
        let prices = options.prices.as_deref().map(read_prices).transpose();
        match (business, prices) {
            (Ok(business), Ok(prices)) => Ok(Self { business, prices }),
            (business, prices) => {
                let mut faults = business.err().unwrap_or_default();
                faults.extend(prices.err().unwrap_or_default());
                Err(faults)
            }
        }
    }

    /// What is doubtful in them.
    fn warnings(&self) -> impl Iterator<Item = String> {
        let business = self.business.iter().flat_map(|business| &business.warnings);
        let prices = self.prices.iter().flat_map(|prices| &prices.warnings);
        business.chain(prices).map(ToString::to_string)
    }

    fn sheet(&self, plan: &Plan) -> Result<Sheet, Vec<Diagnostic>> {
        let wanted = wanted(plan);
        match (&self.business, &self.prices) {
            (Some(business), Some(prices)) => priced(&wanted, prices, business),
            _ => Ok(unpriced(&wanted)),
        }
    }
}

/// The fewest repeaters at the outlets of the plan, as `repeaters` finds them.
fn fewest<'r, 's, 'p>(
    plan: &Plan,
    reach: &'r Reach<'s, 'p>,
    settings: RelaySettings,
) -> Result<(Relays<'r, 's, 'p>, RelayAnswer), CommandError> {
    let panel = plan.panel().cloned().ok_or(SiteError::NoPanel)?;
    let mut candidates = given(plan);
    candidates.extend(at_outlets(plan, &settings));
    let bar = progress("hops");
    bar.set_length((1 + 2 * candidates.len()) as u64);
    let mut relays = Relays::new(reach, settings, vec![panel], candidates, &|more| {
        bar.inc(more);
    })?;
    bar.finish_and_clear();
    let started = Instant::now();
    let answer = relays.solve(&|| started.elapsed() >= TIME_LIMIT).map_err(|no| {
        CommandError::Usage(format!(
            "{}; `drillonce repeaters` has more settings for that choice, and --write puts it \
                 into the plan",
            no.why
        ))
    })?;
    Ok((relays, answer))
}

/// Names the new repeaters in the customer's language; the numbers are those of their ids.
fn name_new(plan: &mut Plan, new: &[NewRepeater], words: &Words) {
    for device in &mut plan.devices {
        if new.iter().any(|new| new.id == device.id) {
            let number = device.id.rsplit('-').next().unwrap_or_default();
            device.name = words.quote_repeater_name(number);
        }
    }
}

fn without_repeaters(plan: &Plan) -> Plan {
    let mut bare = plan.clone();
    bare.devices.retain(|device| device.kind != DeviceKind::Repeater);
    bare
}

/// The forecast without repeaters, if that is another one.
fn bare<'p>(
    bare_plan: &'p Plan,
    then_plan: &Plan,
    model: Model,
    over: &forecast::LinkOverride,
) -> Result<Option<(Site<'p>, Assessment)>, CommandError> {
    if bare_plan.devices.len() == then_plan.devices.len() {
        return Ok(None);
    }
    let site = Site::new(bare_plan, model, over.clone(), None)?;
    let forecast = Assessment::new(&site)?;
    Ok(Some((site, forecast)))
}
