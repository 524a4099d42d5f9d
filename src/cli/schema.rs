//! `drillonce schema`: the JSON Schema of a plan.

use super::{CommandError, EXIT_FINE};
use forecast::vocabulary;
use plan::schema::plan_schema;

/// Prints the schema.
pub(super) fn run(text: &mut String) -> Result<u8, CommandError> {
    let schema = plan_schema(&vocabulary());
    let printed = serde_json::to_string_pretty(&schema).map_err(|error| CommandError::Output {
        what: "the schema".to_owned(),
        why: error.to_string(),
    })?;
    text.push_str(&printed);
    text.push('\n');
    Ok(EXIT_FINE)
}
