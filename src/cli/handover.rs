//! `drillonce handover`: mounting, programming, delays, battery and test sheet.

use std::collections::BTreeSet;
use std::path::PathBuf;

use clap::Args;
use clap::builder::TypedValueParser as _;
use indicatif::ProgressBar;

use super::error::{CommandError, OrStop as _};
use super::files::{Form, NewFile, document_file, stem};
use super::frame::{Answer, House, table_width};
use super::options::{
    Format, LANGUAGES, LENGTHS, PAPERS, RadioOptions, WalkOptions, Word, day_or_today, one_of,
    within,
};
use super::outputs::Outputs;
use super::progress::{complain, progress};
use super::quote::picture::plan_pictures;
use diagnose::readings::{self, BarScale, Scales, read_readings_file};
use document::Paper;
use explain::find;
use forecast::{Assessment, Site};
use job::schedule::{
    AgeYears, AmpereHours, CellTemperature, Concern, Hours, Load, MilliAmperes, Numbering,
    SERVICE_LIFE_YEARS, concerns, missing_numbers, panel_delays, with_numbers,
};
use plan::Plan;
use plan::edit::Change;
use report::{
    BatteryInput, HandoverInput, HandoverReport, concern_words, counted, fitted, handover_document,
    handover_table, readings_csv, zones_csv,
};
use words::{Date, Language, Words};

/// What is made of a hand-over: a document in a file, or something on standard output.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Made {
    File(Form),
    Printed(Format),
}

const FORMATS: [Word<Made>; 4] = [
    ("html", "A page for a browser, and the test sheet as CSV", Made::File(Form::Html)),
    ("pdf", "Sheets to print, and the test sheet as CSV", Made::File(Form::Pdf)),
    (
        "csv",
        "One row per zone, or the test sheet with --sheet readings",
        Made::Printed(Format::Csv),
    ),
    ("json", "One JSON object", Made::Printed(Format::Json)),
];

/// Which sheet is printed as CSV.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sheet {
    Zones,
    Readings,
}

const SHEETS: [Word<Sheet>; 2] = [
    ("zones", "The zone schedule", Sheet::Zones),
    ("readings", "The test sheet, a file of readings to fill in", Sheet::Readings),
];

#[derive(Debug, Args)]
#[command(after_help = LENGTHS)]
pub(crate) struct HandoverOptions {
    /// The floor plan, a .geojson file
    plan: PathBuf,
    /// What to make: html and pdf are files, csv or json goes to standard output
    #[arg(long, value_parser = one_of(&FORMATS), value_delimiter = ',', default_value = "html,pdf")]
    format: Vec<Made>,
    /// Which sheet to print as CSV
    #[arg(long, value_parser = one_of(&SHEETS), default_value = "zones")]
    sheet: Sheet,
    /// Folder for the files, created if missing
    #[arg(long, value_name = "DIR", default_value = "output")]
    out: PathBuf,
    /// Language of the sheets
    #[arg(long, value_parser = one_of(&LANGUAGES), default_value = "en")]
    language: Language,
    /// Date on the sheets [default: today, by UTC]
    #[arg(long, value_name = "YYYY-MM-DD")]
    date: Option<Date>,
    /// Paper size of the PDF
    #[arg(long, value_parser = one_of(&PAPERS), default_value = "a4")]
    paper: Paper,
    /// Number devices that have no number: entry doors first, then perimeter, interior, 24-hour,
    /// fire, carbon monoxide, medical, panic; last keypads, sirens, repeaters
    #[arg(long)]
    number: bool,
    /// Write a copy of the plan with the numbers filled in
    #[arg(long, value_name = "FILE", requires = "number")]
    write: Option<PathBuf>,
    /// Add a sheet for taking over an existing system: what a factory default wipes, what to write
    /// down first, and boxes for enrolling every device again
    #[arg(long)]
    take_over: bool,
    /// With --take-over: the devices that stay, by id, number or name; without it the sheet has a
    /// box for each
    #[arg(long, value_name = "DEVICE,DEVICE,...", value_delimiter = ',', requires = "take_over")]
    keep: Vec<String>,
    /// Fill in the test sheet from a file of readings, CSV or JSON: the newest row of each device
    #[arg(long, value_name = "FILE")]
    readings: Option<PathBuf>,
    /// Levels from which the panel shows 1, 2, 3 ... bars: -105,-95,-85,-75; the test sheet then
    /// gives pass limits in bars as well
    #[arg(long, value_name = "DBM,DBM,...", allow_hyphen_values = true)]
    bars: Option<BarScale>,
    #[command(flatten)]
    battery: BatteryOptions,
    #[command(flatten)]
    walk: WalkOptions,
    #[command(flatten)]
    radio: RadioOptions,
}

/// The panel's battery.
#[derive(Debug, Args)]
#[command(
    next_help_heading = "Battery (by the usual codes, from secondary sources; --format json \
    names them)"
)]
struct BatteryOptions {
    /// Standby current of the panel and all that it feeds, mA
    #[arg(long, value_name = "MA", requires = "alarm_ma", allow_hyphen_values = true,
        value_parser = within(0.1, 100_000.0, "mA").map(MilliAmperes))]
    standby_ma: Option<MilliAmperes>,
    /// Alarm current of the same, mA
    #[arg(long, value_name = "MA", requires = "standby_ma", allow_hyphen_values = true,
        value_parser = within(0.1, 100_000.0, "mA").map(MilliAmperes))]
    alarm_ma: Option<MilliAmperes>,
    /// Rated capacity of the battery, Ah at the 20-hour rate
    #[arg(long, value_name = "AH", requires = "standby_ma", allow_hyphen_values = true,
        value_parser = within(0.05, 1000.0, "Ah").map(AmpereHours))]
    battery_ah: Option<AmpereHours>,
    /// Alarm time after standby, minutes
    #[arg(long, value_name = "MINUTES", default_value = "5", allow_hyphen_values = true,
        value_parser = within(0.0, 1440.0, "min").map(|minutes| Hours(minutes / 60.0)))]
    alarm_min: Hours,
    /// Standby time required, hours
    #[arg(long, value_name = "HOURS", default_value = "24", allow_hyphen_values = true,
        value_parser = within(0.0, 1000.0, "h").map(Hours))]
    standby_h: Hours,
    /// Temperature at the battery, °C
    #[arg(long, value_name = "CELSIUS", default_value = "20", allow_hyphen_values = true,
        value_parser = within(-3.9, 48.9, "°C: for these a lead-acid battery's factor is known")
            .map(CellTemperature))]
    temperature: CellTemperature,
    /// Battery age at which this must still hold, years [default: 5, when it is due]
    #[arg(long, value_name = "YEARS", allow_hyphen_values = true,
        value_parser = within(0.0, 15.0, "years").map(AgeYears))]
    age: Option<AgeYears>,
}

impl BatteryOptions {
    /// The battery, if its loads are given.
    fn input(&self) -> Option<BatteryInput> {
        let (standby, alarm) = (self.standby_ma?, self.alarm_ma?);
        Some(BatteryInput {
            rated: self.battery_ah,
            load: Load { standby, alarm, alarm_time: self.alarm_min },
            standby: self.standby_h,
            temperature: self.temperature,
            age: self.age.unwrap_or(AgeYears(SERVICE_LIFE_YEARS)),
        })
    }
}

/// Where the results go.
pub(crate) fn outputs(options: &HandoverOptions) -> Outputs<'_> {
    let any = options.format.iter().any(|made| matches!(made, Made::File(_)));
    let files = any.then(|| Outputs::named_after(&options.plan, &options.out));
    files.unwrap_or_default().and_copy("--write ", options.write.as_ref())
}

pub(crate) fn run(options: &HandoverOptions) -> Result<Answer, CommandError> {
    let printed = printed_format(options)?;
    let words = Words { language: options.language };
    let mut house = House::read(&options.plan, &options.radio)?;
    let numbered = if options.number { missing_numbers(&house.plan) } else { Vec::new() };
    let change = |one: &Numbering| Change::Number { id: one.id.clone(), number: one.number };
    let changes = || Ok(numbered.iter().map(change).collect());
    let copy = house.copy(options.write.as_ref(), changes)?;
    house.plan = with_numbers(house.plan, &numbered);
    refuse_faults(&words, &house.plan)?;
    let keep: BTreeSet<String> =
        options.keep.iter().map(|asked| kept(&house.plan, asked)).collect::<Result<_, _>>()?;
    let bar = progress("hand-over");
    let site = house.site(None)?;
    let take_over = options.take_over.then_some(keep);
    let (report, failing) = report(options, &words, (&house, &site), &numbered, take_over)?;
    bar.set_position(400);
    let files = files(options, &report, &site, &bar)?;
    bar.finish_and_clear();
    let text = match (printed, options.sheet) {
        (Some(Format::Json), _) => house.plan.as_written.put_back(report.json()),
        (Some(_), Sheet::Zones) => zones_csv(&report),
        (Some(_), Sheet::Readings) => readings_csv(&report),
        (None, _) => fitted(handover_table(&report, table_width()), table_width()),
    };
    let doubts = printed.unwrap_or(Format::Table).unsaid(report.warnings());
    Ok(Answer { text, doubts, files, copy, failing, ..Answer::default() })
}

/// The one format that goes to standard output, if any.
fn printed_format(options: &HandoverOptions) -> Result<Option<Format>, CommandError> {
    let asked = |format| options.format.contains(&Made::Printed(format)).then_some(format);
    match (asked(Format::Csv), asked(Format::Json)) {
        (Some(_), Some(_)) => Err(CommandError::Usage(
            "--format csv,json: give one of them; both print to standard output".to_owned(),
        )),
        (csv, json) => Ok(csv.or(json)),
    }
}

/// The id of a device, fob or pendant that stays.
fn kept(plan: &Plan, asked: &str) -> Result<String, CommandError> {
    let carried = plan.roams.iter().find(|roam| roam.id == asked || roam.name == asked);
    match carried {
        Some(roam) => Ok(roam.id.clone()),
        None => find(plan, asked)
            .map(|device| device.id.clone())
            .map_err(|unknown| CommandError::Usage(format!("--keep: {unknown}"))),
    }
}

/// A schedule with a fault is not handed over.
fn refuse_faults(words: &Words, plan: &Plan) -> Result<(), CommandError> {
    let mut faults = concerns(plan);
    faults.retain(Concern::is_fault);
    let faults = concern_words(words, plan, &faults);
    let faults: Vec<String> = faults.iter().map(|fault| format!("fault  {fault}\n")).collect();
    if faults.is_empty() {
        return Ok(());
    }
    let number = counted(faults.len(), "fault");
    Err(CommandError::Usage(format!("{}{number}; nothing was written", faults.concat())))
}

/// The hand-over, and whether any device is failing.
fn report(
    options: &HandoverOptions,
    words: &Words,
    (house, site): (&House<'_>, &Site<'_>),
    numbered: &[Numbering],
    take_over: Option<BTreeSet<String>>,
) -> Result<(HandoverReport, bool), CommandError> {
    let doubts = house.doubts(site);
    let assessment = Assessment::new(site)?;
    let walk = options.walk.settings();
    let found =
        panel_delays(&house.plan, &site.panel.device, &walk, &options.walk.delay_settings());
    // A plan that is too large for walks still has zones.
    let delays = found.ok();
    let input = HandoverInput {
        words,
        date: day_or_today(options.date)?.to_string(),
        delays: delays.as_ref(),
        battery: options.battery.input(),
        numbered,
        bars: options.bars.clone(),
        take_over,
        sheet: sheet(options, &house.plan)?,
        doubts,
    };
    let report = HandoverReport::new(site, &assessment, input).or_usage()?;
    Ok((report, assessment.any_failing()))
}

/// What was read and tried so far.
fn sheet(options: &HandoverOptions, plan: &Plan) -> Result<readings::Sheet, CommandError> {
    let Some(from) = &options.readings else { return Ok(readings::Sheet::new()) };
    let scales = Scales { bars: options.bars.clone(), percent: None };
    let file = read_readings_file(from, plan, &scales);
    for fault in file.faults.iter().chain(&file.warnings) {
        complain(&fault.to_string());
    }
    if file.sheet.is_empty() {
        let what = "no row of it is of a device of this plan".to_owned();
        let fix = "give the file that was filled in at the devices";
        return Err(CommandError::file(&from.display().to_string(), what, fix));
    }
    Ok(file.sheet)
}

/// The documents that are asked for and, beside them, the test sheet as a file of readings.
fn files(
    options: &HandoverOptions,
    report: &HandoverReport,
    site: &Site<'_>,
    bar: &ProgressBar,
) -> Result<Vec<NewFile>, CommandError> {
    let asked = |form: &Form| options.format.contains(&Made::File(*form));
    let forms: Vec<Form> = [Form::Html, Form::Pdf].into_iter().filter(asked).collect();
    if forms.is_empty() {
        return Ok(Vec::new());
    }
    let stem = stem(&options.plan);
    let document = handover_document(report, &plan_pictures(site)?);
    bar.set_position(700);
    let name = format!("{stem}-handover");
    let file = |form| document_file(&document, form, options.paper, &name);
    let mut files = forms.into_iter().map(file).collect::<Result<Vec<_>, _>>()?;
    let bytes = readings_csv(report).into_bytes();
    // Somebody walks through the house to fill it in.
    if options.readings.is_none() {
        files.push(NewFile { name: format!("{stem}-readings.csv"), bytes, is_form: true });
    }
    Ok(files)
}
