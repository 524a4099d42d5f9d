//! `drillonce new`: something to start from.

use super::import_args::NewOptions;
use super::{CommandError, EXIT_FINE};

/// Runs the command; what is to be printed goes to `text`.
pub(super) fn run(options: &NewOptions, text: &mut String) -> Result<u8, CommandError> {
    let _ = (options, text);
    Ok(EXIT_FINE)
}
