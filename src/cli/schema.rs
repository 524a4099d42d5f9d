//! `drillonce schema`: the JSON Schema of a plan.

use super::error::{CommandError, OrStop as _};
use super::frame::Answer;
use forecast::vocabulary;
use plan::schema::plan_schema;

pub(crate) fn run() -> Result<Answer, CommandError> {
    let schema = plan_schema(&vocabulary());
    let text = serde_json::to_string_pretty(&schema).or_unwritten("the schema")? + "\n";
    Ok(Answer { text, ..Answer::default() })
}
