//! `drillonce tidy`: what of a plan's drawing can safely be mended.

use std::fmt::Write as _;

use super::import_args::TidyOptions;
use super::output::PlanCopy;
use super::{CommandError, EXIT_FAILING, EXIT_FINE, complain};
use forecast::vocabulary;
use input::{FileText, file_text};
use plan::tidy::{Tidied, TidySettings, tidied};
use plan::{self, MAX_FILE_BYTES};

/// Runs the command; what is to be printed goes to `text`.
pub(super) fn run(options: &TidyOptions, text: &mut String) -> Result<u8, CommandError> {
    let name = options.plan.display().to_string();
    let FileText { text: drawn, warnings } = file_text(
        &options.plan,
        MAX_FILE_BYTES,
        "a GeoJSON file",
        "split the site into several plans",
    )
    .map_err(CommandError::Plan)?;
    warnings.iter().for_each(|warning| complain(&warning.to_string()));
    let settings = TidySettings { snap_m: options.snap };
    let tidy = tidied(&name, &drawn, &vocabulary(), &settings).map_err(CommandError::Plan)?;
    let copy = options
        .write
        .as_ref()
        .map(|to| PlanCopy::of_text("--write ", to, tidy.text.clone()))
        .transpose()?;
    list(&name, &tidy, text);
    let left = tidy.left.len();
    let mends = match tidy.mends.len() {
        0 => "nothing to mend".to_owned(),
        1 => "1 mend".to_owned(),
        number => format!("{number} mends"),
    };
    let fate = match (&options.write, tidy.mends.is_empty()) {
        (Some(to), _) => format!("; written to {}", to.display()),
        (None, true) => String::new(),
        (None, false) => "; nothing was written: --write FILE writes the plan so".to_owned(),
    };
    let _ = writeln!(text, "{mends}, {left} left{fate}");
    let pending = copy.is_none() && !tidy.mends.is_empty();
    if let Some(copy) = copy {
        copy.write()?;
    }
    Ok(if pending { EXIT_FAILING } else { EXIT_FINE })
}

fn list(name: &str, tidy: &Tidied, text: &mut String) {
    let name = plan::tame(name);
    for mend in &tidy.mends {
        let _ = writeln!(text, "mended  {name}:{}  {}: {}", mend.line, mend.feature, mend.what);
    }
    for doubt in &tidy.left {
        let feature =
            if doubt.feature.is_empty() { String::new() } else { format!("{}: ", doubt.feature) };
        let _ = writeln!(
            text,
            "left  {name}:{}  {feature}{}\n      why: {}",
            doubt.line, doubt.what, doubt.why
        );
    }
}
