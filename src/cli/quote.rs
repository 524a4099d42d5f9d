//! `drillonce quote`: what the customer gets, as one document.

pub(crate) mod picture;

use std::fs;
use std::path::PathBuf;
use std::time::Duration;

use clap::Args;

use super::error::CommandError;
use super::files::{Form, NewFile, document_file, stem};
use super::frame::{Answer, House};
use super::options::{LANGUAGES, LENGTHS, PAPERS, RadioOptions, Word, day_or_today, one_of};
use super::outputs::Outputs;
use super::repeaters::fewest;
use document::{Document, Paper};
use forecast::{Assessment, Finding, SiteError, thickness};
use job::pricing::{Business, PriceList, priced, read_business, read_prices, unpriced, wanted};
use picture::{Forecasts, level_pictures, screen_pictures};
use plan::{DeviceKind, Diagnostic, Plan, Rooms};
use report::{NewRepeater, Quote, offer, quote};
use siting::reach::Reach;
use siting::relays::{RelaySettings, at_outlets, given};
use words::{Date, Language, Words};

const FORMATS: [Word<Written>; 4] = [
    ("html", "One self-contained page for a browser", Written::Document(&[Form::Html])),
    ("pdf", "Pages to print", Written::Document(&[Form::Pdf])),
    ("both", "Both", Written::Document(&[Form::Html, Form::Pdf])),
    ("json", "What a customer is shown, with its pictures, for a screen", Written::Offer),
];

/// What is written.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Written {
    Document(&'static [Form]),
    Offer,
}

#[derive(Debug, Args)]
#[command(after_help = LENGTHS)]
pub(crate) struct QuoteOptions {
    /// The floor plan, a .geojson file
    plan: PathBuf,
    /// Your business, a TOML file; without it the quote leaves room to write it in by hand
    #[arg(long, value_name = "FILE")]
    business: Option<PathBuf>,
    /// Your prices, a CSV file; without it the quote leaves room to write them in by hand
    #[arg(long, value_name = "FILE", requires = "business")]
    prices: Option<PathBuf>,
    /// Language of the quote
    #[arg(long, value_parser = one_of(&LANGUAGES), default_value = "en")]
    language: Language,
    /// Date of the quote [default: today, by UTC]
    #[arg(long, value_name = "YYYY-MM-DD")]
    date: Option<Date>,
    /// Number of the quote [default: the business's prefix, the date and a checksum of the input]
    #[arg(long, value_name = "TEXT", value_parser = number_of)]
    number: Option<String>,
    /// Days that the quote is valid [default: as the business file says]
    #[arg(long, value_name = "DAYS", value_parser = clap::value_parser!(u32).range(1..=3650))]
    valid_days: Option<u32>,
    /// Add a technical appendix with the decibels of every link
    #[arg(long)]
    appendix: bool,
    /// Paper size of the PDF, and of the HTML when printed
    #[arg(long, value_parser = one_of(&PAPERS), default_value = "a4")]
    paper: Paper,
    /// What to write
    #[arg(long, value_parser = one_of(&FORMATS), default_value = "both")]
    format: Written,
    /// Folder for the quote, created if missing
    #[arg(long, value_name = "DIR", default_value = "output")]
    out: PathBuf,
    #[command(flatten)]
    radio: RadioOptions,
}

/// Longest search for the fewest repeaters, as that of `repeaters`.
const TIME_LIMIT: Duration = Duration::from_secs(30);

/// Longest number of a quote, characters (our own choice: it stands in the foot of every page).
const LONGEST_NUMBER: usize = 40;

fn number_of(text: &str) -> Result<String, String> {
    let number = text.trim();
    if number.is_empty() || number.chars().count() > LONGEST_NUMBER {
        return Err(format!("write 1 to {LONGEST_NUMBER} characters"));
    }
    if number.chars().any(char::is_control) {
        return Err("remove control characters".to_owned());
    }
    Ok(number.to_owned())
}

/// A quote, before it is written.
#[derive(Debug, Clone, PartialEq)]
pub struct QuoteDocument {
    /// The document.
    pub document: Document,
    /// The same for a screen, as JSON, if it was asked for.
    pub offer: Option<String>,
    /// Whether some device will be failing, with the repeaters that are offered.
    pub any_failing: bool,
    /// What is doubtful in the plan, for the installer.
    pub doubts: Vec<String>,
}

/// Where the results go.
pub(crate) fn outputs(options: &QuoteOptions) -> Outputs<'_> {
    Outputs::named_after(&options.plan, &options.out)
}

pub(crate) fn run(options: &QuoteOptions) -> Result<Answer, CommandError> {
    let made = made(options)?;
    let name = format!("{}-quote", stem(&options.plan));
    let file = |form: &Form| document_file(&made.document, *form, options.paper, &name);
    let files = match (options.format, made.offer) {
        (Written::Document(forms), _) => forms.iter().map(file).collect::<Result<Vec<_>, _>>()?,
        (Written::Offer, offer) => {
            let bytes = offer.unwrap_or_default().into_bytes();
            vec![NewFile { name: format!("{name}.json"), bytes, is_form: false }]
        }
    };
    let places = files.iter().map(|file| options.out.join(&file.name));
    Ok(Answer {
        written: places.map(|place| format!("{}\n", place.display())).collect(),
        doubts: made.doubts,
        files,
        failing: made.any_failing,
        ..Answer::default()
    })
}

/// Makes the quote.
pub(crate) fn made(options: &QuoteOptions) -> Result<QuoteDocument, CommandError> {
    let words = Words { language: options.language };
    let date = day_or_today(options.date)?;
    let mut house = House::read(&options.plan, &options.radio)?;
    // Nothing is traced before all files are known to be good.
    let (business, prices) = papers(options).map_err(CommandError::Plan)?;
    let of_business = business.iter().flat_map(|business| &business.warnings);
    let of_prices = prices.iter().flat_map(|prices| &prices.warnings);
    house.doubts.extend(of_business.chain(of_prices).map(ToString::to_string));
    let now = house.site(None)?;
    let reach = Reach::new(&now)?;
    let settings = RelaySettings::default();
    let panel = house.plan.panel().cloned().ok_or(SiteError::NoPanel)?;
    let mut candidates = given(&house.plan);
    candidates.extend(at_outlets(&house.plan, &settings));
    let (relays, answer) = fewest(&reach, settings, vec![panel], candidates, TIME_LIMIT)?;
    let answer = answer.map_err(|no| {
        CommandError::Usage(format!(
            "{}; `drillonce repeaters` has more settings for this, and its --write puts the choice \
             into the plan",
            no.why
        ))
    })?;
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
    let wanted = wanted(&then_plan);
    let sheet = match (&business, &prices) {
        (Some(business), Some(prices)) => priced(&wanted, prices, business),
        _ => Ok(unpriced(&wanted)),
    };
    let sheet = sheet.map_err(CommandError::Plan)?;
    let mut bare_plan = then_plan.clone();
    bare_plan.devices.retain(|device| device.kind != DeviceKind::Repeater);
    // Without repeaters there is another forecast, and another price, only if there are any.
    let any_repeater = bare_plan.devices.len() < then_plan.devices.len();
    let repeaters_price = match (&business, &prices, sheet.sums) {
        (Some(business), Some(prices), Some(sums)) if any_repeater => {
            let bare = priced(&job::pricing::wanted(&bare_plan), prices, business);
            let bare = bare.map_err(CommandError::Plan)?.sums;
            bare.and_then(|bare| sums.total.checked_sub(bare.total))
        }
        _ => None,
    };
    let then = house.ready(&then_plan, None)?;
    let with = Assessment::with_ways(&then, &relays.ways_by_id(&answer))?;

    let bare = any_repeater.then(|| house.ready(&bare_plan, None)).transpose()?;
    let bare = bare.map(|site| Assessment::new(&site).map(|forecast| (site, forecast)));
    let bare = bare.transpose()?;
    let forecasts = Forecasts {
        words: &words,
        without: bare.as_ref().map(|(site, forecast)| (site, forecast)),
        with: (&then, &with),
    };
    let is_offer = options.format == Written::Offer;
    let screens = if is_offer { screen_pictures(forecasts)? } else { Vec::new() };
    // What stands on the first page of the document comes first on a screen.
    let pictures = match is_offer {
        true => screens.iter().map(|[narrow, _]| narrow.clone()).collect(),
        false => level_pictures(forecasts)?,
    };
    let number = options.number.clone().unwrap_or_else(|| {
        let prefix = business.as_ref().and_then(|business| business.quote_prefix.as_deref());
        own_number(options, prefix.unwrap_or_default(), date)
    });
    let valid_days = options.valid_days.or(business.as_ref().map(|one| one.validity_days));
    let made = Quote {
        words: &words,
        date,
        number: &number,
        valid_until: valid_days.map(|days| date.after(days)),
        repeaters_price,
        appendix: options.appendix,
        business: business.as_ref(),
        sheet: &sheet,
        site: &then,
        without: bare.as_ref().map(|(_, forecast)| forecast),
        with: &with,
        new: &new,
        proof: answer.proof,
        pictures: &pictures,
    };
    let (document, offer) = (quote(&made), is_offer.then(|| offer(&made, &screens)));
    let failing = with.sensors.iter().chain(&with.two_way);
    let failing = failing.filter(|result| result.finding == Finding::Failing);
    let failing: Vec<&str> = failing.map(|result| result.device.name.as_str()).collect();
    let any_failing = !failing.is_empty();
    // The installer's own language is that of the terminal.
    let draft = any_failing.then(|| {
        let words = Words::default();
        words.quote_draft_said(&words.names(&failing))
    });
    let doubts = draft.into_iter().chain(house.doubts(&now)).collect();
    Ok(QuoteDocument { document, offer, any_failing, doubts })
}

/// The number of a quote that is given none: the day and a checksum of what is offered, so that the
/// same input has the same number again, and another house or offer of that day a different one.
fn own_number(options: &QuoteOptions, prefix: &str, date: Date) -> String {
    let files = [Some(&options.plan), options.business.as_ref(), options.prices.as_ref()];
    // All three were read before; a file that is gone by now changes nothing but the number.
    let texts = files.map(|file| file.and_then(|file| fs::read(file).ok()).unwrap_or_default());
    let QuoteOptions { language, valid_days, radio, .. } = options;
    let choices = format!("{language:?} {valid_days:?} {radio:?}");
    // FNV-1a, 32 bits (Fowler, Noll and Vo; from memory): short, and the same everywhere.
    let step = |sum: u32, byte: &u8| (sum ^ u32::from(*byte)).wrapping_mul(0x0100_0193);
    let sum = texts.iter().flatten().chain(choices.as_bytes()).fold(0x811c_9dc5, step);
    let day = date.to_string().replace('-', "");
    format!("{prefix}{day}-{:04x}", (sum >> 16) ^ (sum & 0xffff))
}

/// Reads the business file and the price list, so that everything that is wrong with them is said
/// at once.
fn papers(
    options: &QuoteOptions,
) -> Result<(Option<Business>, Option<PriceList>), Vec<Diagnostic>> {
    let business = options.business.as_deref().map(read_business).transpose();
    let prices = options.prices.as_deref().map(read_prices).transpose();
    match (business, prices) {
        (Ok(business), Ok(prices)) => Ok((business, prices)),
        (business, prices) => {
            let mut faults = business.err().unwrap_or_default();
            faults.extend(prices.err().unwrap_or_default());
            Err(faults)
        }
    }
}

/// Names the new repeaters in the customer's language and puts each into its room; the numbers are
/// those of their ids.
fn name_new(plan: &mut Plan, new: &[NewRepeater], words: &Words) {
    let rooms = Rooms::new(plan, &|name| Some(thickness(plan, name).0));
    for device in &mut plan.devices {
        if new.iter().any(|new| new.id == device.id) {
            device.room = rooms.of(device).and_then(|room| room.name.clone());
            let number = device.id.rsplit('-').next().unwrap_or_default();
            device.name = words.quote_repeater_name(number);
        }
    }
}
