//! Which link to buy: one plan with each link of a list.

use std::fmt::Write as _;

use crate::csv;
use crate::json::{as_json, objects, rows, value};
use crate::table::{caution_lines, cautions, fitted, notes, numbered, optional, table, tenths};
use forecast::{Assessment, DeviceResult, Finding};
use radio::Link;
use units::Chance;
use words::Words;

/// What one link would do.
#[derive(Debug, Clone)]
pub struct LinkTrial {
    /// The link.
    pub link: Link,
    /// The forecast with it.
    pub forecast: Assessment,
    /// How many new repeaters make every supervised device sound, at the plan's outlets; `None`
    /// where no number does.
    pub repeaters: Option<usize>,
}

/// One run of `check --compare`.
#[derive(Debug, Clone)]
pub struct CompareReport {
    /// Name of the plan.
    plan: String,
    /// The link of the plan.
    own: String,
    /// The links, in the order in which they were asked for.
    trials: Vec<LinkTrial>,
    /// What is doubtful.
    pub warnings: Vec<String>,
}

impl LinkTrial {
    fn results(&self) -> impl Iterator<Item = &DeviceResult> {
        self.forecast.sensors.iter().chain(&self.forecast.two_way)
    }

    fn count(&self, finding: Finding) -> usize {
        self.results().filter(|result| result.finding == finding).count()
    }

    /// The device most likely to drop out.
    fn worst(&self) -> Option<&DeviceResult> {
        self.results().reduce(|worst, other| {
            let reserve = |result: &DeviceResult| result.hop.ledger.margin_db.0;
            let order = worst.fault_per_year.total_cmp(&other.fault_per_year);
            let order = order.then(reserve(other).total_cmp(&reserve(worst)));
            if order.is_lt() { other } else { worst }
        })
    }

    /// The chance that any supervised device has a fault in a year, each by itself.
    fn any_fault_per_year(&self) -> f64 {
        let supervised = self.results().filter(|result| result.device.supervised);
        let kept: f64 = supervised.map(|result| (-result.fault_per_year.min(1.0)).ln_1p()).sum();
        -kept.exp_m1()
    }

    /// The best link has the fewest failing devices, then the fewest thin ones, then the lowest
    /// chance of any fault.
    fn better_than(&self, other: &Self) -> bool {
        let losses = |one: &Self| (one.count(Finding::Failing), one.count(Finding::Thin));
        let order = losses(self).cmp(&losses(other));
        order.then(self.any_fault_per_year().total_cmp(&other.any_fault_per_year())).is_lt()
    }
}

impl CompareReport {
    /// The report of some trials of a plan whose own link has a name.
    #[must_use]
    pub fn new(plan: &str, own: &str, trials: Vec<LinkTrial>, warnings: Vec<String>) -> Self {
        Self { plan: plan.to_owned(), own: own.to_owned(), trials, warnings }
    }

    /// The link to be preferred; `None` without any.
    #[must_use]
    pub fn best(&self) -> Option<&LinkTrial> {
        let mut trials = self.trials.iter();
        let first = trials.next()?;
        Some(trials.fold(first, |best, other| if other.better_than(best) { other } else { best }))
    }

    as_json!(CompareRow, "plan link");
}

objects! {
    /// The whole report.
    CompareRow(report: CompareReport) {
        "plan": report.plan,
        "link": report.own,
        "links": rows(&report.trials, TrialRow),
        "best": report.best().map(|trial| trial.link.name.clone()),
        "warnings": report.warnings,
        "cautions": cautions(&Words::default()),
    }

    /// One link.
    TrialRow(trial: LinkTrial) {
        "link": trial.link.name,
        "frequency_mhz": trial.link.frequency.mhz(),
        "region": trial.link.region.to_string(),
        "sound": trial.count(Finding::Sound),
        "thin": trial.count(Finding::Thin),
        "failing": trial.count(Finding::Failing),
        "worst": trial.worst().map(|worst| worst.device.id.clone()),
        "worst_fault_per_year": trial.worst().map(|worst| worst.fault_per_year),
        "worst_margin_db": trial.worst().map(|worst| worst.hop.ledger.margin_db),
        "any_fault_per_year": trial.any_fault_per_year(),
        // Null where no number of repeaters makes every supervised device sound.
        "repeaters": trial.repeaters,
    }
}

const COLUMNS: &str = "link frequency_mhz region sound thin failing any_fault_per_year worst \
                       worst_fault_per_year worst_margin_db repeaters";

/// The links as CSV with a header line.
#[must_use]
pub fn compare_csv(report: &CompareReport) -> String {
    csv::written(COLUMNS, report.trials.iter().map(|trial| value(&TrialRow(trial))))
}

/// The links as a table for the terminal, `width` columns wide if it is one.
#[must_use]
pub fn compare_table(report: &CompareReport, width: Option<u16>) -> String {
    let mut text = format!("{}: which link suits this house\n", report.plan);
    let heads = "link|MHz:2|sound|thin|failing|any fault/year|repeaters|worst device:1|reserve dB";
    let rows = report.trials.iter().map(|trial| {
        let worst = trial.worst();
        [
            trial.link.name.clone(),
            trial.link.frequency.mhz().to_string(),
            trial.count(Finding::Sound).to_string(),
            trial.count(Finding::Thin).to_string(),
            trial.count(Finding::Failing).to_string(),
            Chance(trial.any_fault_per_year()).to_string(),
            trial.repeaters.map_or_else(|| "not enough".to_owned(), |count| count.to_string()),
            optional(worst.map(|worst| numbered(&worst.device))),
            optional(worst.map(|worst| tenths(worst.hop.ledger.margin_db.0))),
        ]
    });
    let _ = writeln!(text, "\n{}\n", table(width, heads, &[1, 2, 3, 4, 5, 6, 8], rows));
    if let Some(best) = report.best() {
        let own = if best.link.name == report.own { ", the plan's own" } else { "" };
        let _ = writeln!(
            text,
            "Best for this house: {}{own}. Repeaters: how many new ones at the plan's outlets make \
             every supervised device sound.",
            best.link.name
        );
    }
    text.push_str(
        "A link is a typical device family, not a product: put the figures of the data sheet into \
         the plan's `link` before you buy.\n",
    );
    notes(&report.warnings, &mut text);
    text.push('\n');
    caution_lines(&Words::default(), &mut text);
    fitted(text, width)
}
