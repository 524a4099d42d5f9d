//! The command line as a whole.

use clap::{Parser, Subcommand};

use super::catalogue::{self, CatalogueOptions};
use super::check::{self, CheckOptions};
use super::diagnose::{self, DiagnoseOptions};
use super::error::{CommandError, OrStop as _};
use super::explain::{self, ExplainOptions};
use super::frame::Answer;
use super::handover::{self, HandoverOptions};
use super::help;
use super::import::{self, ImportOptions};
use super::new::{self, NewOptions};
use super::outputs::Outputs;
use super::place::{self, PlaceOptions};
use super::quote::{self, QuoteOptions};
use super::repeaters::{self, RepeatersOptions};
use super::serve::{self, ServeOptions};
use super::tidy::{self, TidyOptions};
use forecast::vocabulary;
use plan::schema::plan_schema;

/// Tells you before you drill whether the panel will hear every sensor of a wireless alarm.
#[derive(Debug, Parser)]
#[command(name = "drillonce", version, arg_required_else_help = true, max_term_width = 100)]
#[command(after_help = help::footer())]
pub(crate) struct Args {
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Forecast whether the panel hears every sensor of a plan
    Check(CheckOptions),
    /// Find the best spots for the panel, by radio, walk and power run
    Place(PlaceOptions),
    /// Find the fewest repeaters that make every supervised device heard
    Repeaters(RepeatersOptions),
    /// Explain one device's link: what it loses on the way, and what would help
    Explain(ExplainOptions),
    /// Find out from the panel's readings why a sensor is flaky, and which test to do next
    Diagnose(DiagnoseOptions),
    /// Write the customer's quote: coverage, devices and prices
    Quote(QuoteOptions),
    /// Write the sheets for programming the panel and testing the system
    Handover(HandoverOptions),
    /// Make a plan from a DXF drawing, a building model, an indoor map or a tape-measure list
    Import(ImportOptions),
    /// Write a small plan or tape-measure list to start from
    New(NewOptions),
    /// Fix small faults of a plan's drawing, and list the rest
    Tidy(TidyOptions),
    /// Open a page on which the plan is seen and changed while the forecast follows
    Serve(ServeOptions),
    /// Print the JSON Schema of plans, for an editor
    Schema,
    /// List all constructions with their loss, and all links
    Catalogue(CatalogueOptions),
}

impl Command {
    /// Where the results go.
    pub(crate) fn outputs(&self) -> Outputs<'_> {
        match self {
            Self::Check(options) => check::outputs(options),
            Self::Place(options) => place::outputs(options),
            Self::Repeaters(options) => repeaters::outputs(options),
            Self::Explain(options) => explain::outputs(options),
            Self::Diagnose(options) => diagnose::outputs(options),
            Self::Quote(options) => quote::outputs(options),
            Self::Handover(options) => handover::outputs(options),
            Self::Import(options) => import::outputs(options),
            Self::New(options) => new::outputs(options),
            Self::Tidy(options) => tidy::outputs(options),
            Self::Serve(_) | Self::Schema | Self::Catalogue(_) => Outputs::default(),
        }
    }

    /// Whether it goes on until it is ended, and sees to its own end.
    pub(crate) const fn is_service(&self) -> bool {
        matches!(self, Self::Serve(_))
    }

    /// Does everything but write.
    pub(crate) fn run(&self) -> Result<Answer, CommandError> {
        match self {
            Self::Check(options) => check::run(options),
            Self::Place(options) => place::run(options),
            Self::Repeaters(options) => repeaters::run(options),
            Self::Explain(options) => explain::run(options),
            Self::Diagnose(options) => diagnose::run(options),
            Self::Quote(options) => quote::run(options),
            Self::Handover(options) => handover::run(options),
            Self::Import(options) => import::run(options),
            Self::New(options) => new::run(options),
            Self::Tidy(options) => tidy::run(options),
            Self::Serve(options) => serve::run(options),
            Self::Schema => {
                let schema = plan_schema(&vocabulary());
                let text = serde_json::to_string_pretty(&schema).or_unwritten("the schema")? + "\n";
                Ok(Answer { text, ..Answer::default() })
            }
            Self::Catalogue(options) => catalogue::run(options),
        }
    }
}
