//! `drillonce handover`: zone schedule, delays, battery and test sheet.

use super::args::RadioOptions;
use super::check::table_width;
use super::document_files::{Form, day_or_today, document_file};
use super::handover_args::{HandoverFormat, HandoverOptions, Sheet};
use super::output::{NewFile, PlanCopy, stem, write_all};
use super::{CommandError, EXIT_FAILING, EXIT_FINE, complain};
use forecast::{Assessment, Site, vocabulary};
use job::schedule::{
    Concern, Numbering, PanelDelays, concerns, missing_numbers, panel_delays, with_numbers,
};
use plan::edit::Change;
use plan::{Plan, Reading, read_file};
use report::{
    HandoverInput, HandoverReport, concern_words, handover_document, handover_table, readings_csv,
    zones_csv,
};
use words::Words;

/// Runs the command; what is to be printed goes to `text`.
pub(super) fn run(options: &HandoverOptions, text: &mut String) -> Result<u8, CommandError> {
    let printed = printed_format(options)?;
    let words = options.language.words("the hand-over")?;
    let Reading { plan, warnings, .. } =
        read_file(&options.plan, &vocabulary()).map_err(CommandError::Plan)?;
    let doubts = warnings.iter().map(ToString::to_string).collect();
    let numbered = if options.number { missing_numbers(&plan) } else { Vec::new() };
    let copy = copy(options, &plan, &numbered)?;
    let plan = with_numbers(plan, &numbered);
    refuse_faults(&words, &plan)?;
    let (report, any_failing) = report(options, &words, &plan, &numbered, doubts)?;
    let unprintable = |why: &dyn std::fmt::Display| CommandError::Output {
        what: "the hand-over".to_owned(),
        why: why.to_string(),
    };
    let files = files(options, &report)?;
    let shown = match (printed, options.sheet) {
        (None, _) => handover_table(&report, table_width()),
        (Some(HandoverFormat::Json), _) => report.json().map_err(|error| unprintable(&error))?,
        (Some(_), Sheet::Zones) => zones_csv(&report).map_err(|error| unprintable(&error))?,
        (Some(_), Sheet::Readings) => readings_csv(&report).map_err(|error| unprintable(&error))?,
    };
    if !files.is_empty() {
        write_all(&options.out, &files)?;
    }
    if let Some(copy) = copy {
        copy.write()?;
    }
    // JSON and the table carry the doubts themselves.
    if printed == Some(HandoverFormat::Csv) {
        report.warnings.iter().for_each(|warning| complain(warning));
    }
    text.push_str(&shown);
    Ok(if any_failing { EXIT_FAILING } else { EXIT_FINE })
}

/// The one format that goes to standard output, if any.
fn printed_format(options: &HandoverOptions) -> Result<Option<HandoverFormat>, CommandError> {
    let asked = |format| options.format.contains(&format);
    match (asked(HandoverFormat::Csv), asked(HandoverFormat::Json)) {
        (true, true) => Err(CommandError::Usage(
            "--format csv,json: only one of them can go to standard output".to_owned(),
        )),
        (true, false) => Ok(Some(HandoverFormat::Csv)),
        (false, true) => Ok(Some(HandoverFormat::Json)),
        (false, false) => Ok(None),
    }
}

/// The copy of the plan with the numbers filled in.
fn copy(
    options: &HandoverOptions,
    plan: &Plan,
    numbered: &[Numbering],
) -> Result<Option<PlanCopy>, CommandError> {
    let Some(to) = &options.write else {
        return Ok(None);
    };
    let change = |numbering: &Numbering| Change::Number {
        id: numbering.id.clone(),
        number: numbering.number,
    };
    let changes: Vec<Change> = numbered.iter().map(change).collect();
    PlanCopy::new(&options.plan, plan, &changes, to).map(Some)
}

/// A schedule with a fault is not handed over.
fn refuse_faults(words: &Words, plan: &Plan) -> Result<(), CommandError> {
    let found = concerns(plan);
    let faults: Vec<String> = found
        .iter()
        .filter(|concern| concern.is_fault())
        .map(|concern: &Concern| format!("fault  {}", concern_words(words, concern)))
        .collect();
    match faults.len() {
        0 => Ok(()),
        1 => {
            Err(CommandError::Usage(format!("{}\n1 fault; nothing was written", faults.join("\n"))))
        }
        many => Err(CommandError::Usage(format!(
            "{}\n{many} faults; nothing was written",
            faults.join("\n")
        ))),
    }
}

/// The hand-over, and whether any device is failing.
fn report(
    options: &HandoverOptions,
    words: &Words,
    plan: &Plan,
    numbered: &[Numbering],
    mut doubts: Vec<String>,
) -> Result<(HandoverReport, bool), CommandError> {
    let radio: &RadioOptions = &options.radio;
    let model = radio.model().map_err(CommandError::Usage)?;
    let site = Site::new(plan, model, radio.over(), None)?;
    doubts.extend(site.warnings());
    let assessment = Assessment::new(&site)?;
    let walk = options.walk.settings();
    let found = panel_delays(plan, &site.panel.device, &walk, &options.walk.delay_settings());
    // A plan that is too large for walks still has zones.
    let delays = found.unwrap_or_else(|error| {
        doubts.push(error.to_string());
        PanelDelays::default()
    });
    let input = HandoverInput {
        words,
        date: day_or_today(options.date)?.to_string(),
        delays: &delays,
        battery: options.battery.input(),
        numbered,
        doubts,
    };
    let report = HandoverReport::new(&site, &assessment, input)
        .map_err(|error| CommandError::Usage(error.to_string()))?;
    Ok((report, assessment.any_failing()))
}

/// The documents that are asked for and, beside them, the test sheet as a file of readings.
fn files(options: &HandoverOptions, report: &HandoverReport) -> Result<Vec<NewFile>, CommandError> {
    let forms = [(HandoverFormat::Html, Form::Html), (HandoverFormat::Pdf, Form::Pdf)];
    let asked = forms.into_iter().filter(|(format, _)| options.format.contains(format));
    let asked: Vec<Form> = asked.map(|(_, form)| form).collect();
    if asked.is_empty() {
        return Ok(Vec::new());
    }
    let stem = stem(&options.plan);
    let name = format!("{stem}-handover");
    let document = handover_document(report);
    let mut files = Vec::new();
    for form in asked {
        files.push(document_file(&document, form, options.paper.paper(), &name)?);
    }
    let readings = readings_csv(report).map_err(|error| CommandError::Output {
        what: "the test sheet".to_owned(),
        why: error.to_string(),
    })?;
    let sheet = NewFile { name: format!("{stem}-readings.csv"), bytes: readings.into_bytes() };
    // Somebody may have walked through the house to fill it in.
    let place = options.out.join(&sheet.name);
    match std::fs::read(&place) {
        Ok(there) if there != sheet.bytes => complain(&format!(
            "kept as it is: {} differs from a new test sheet, so readings may be in it; give \
                 another folder with --out for a new one",
            place.display()
        )),
        _ => files.push(sheet),
    }
    Ok(files)
}
