//! Questions that take a while: what would help a device, the best spots, the fewest repeaters.

use serde_json::{Map, Value};

use crate::hub::Hub;
use crate::message::Refusal;
use crate::state::Question;
use explain::{ExplainSettings, explain};
use forecast::{LinkOverride, Site};
use plan::Plan;
use report::ExplainReport;

/// Answers questions until the program ends.
pub fn answer(hub: &Hub) {
    while let Some((tab, question)) = hub.question() {
        let Some((version, drawn, _)) = hub.text(None) else { return };
        let answer = match &drawn.plan {
            None => Err(Refusal::new("the plan has faults", "put them right first")),
            Some(plan) => match &question {
                Question::Explain(id) => explained(hub, plan, &drawn.doubts, id),
                _ => Err(Refusal::new("this cannot be asked yet", "run the command")),
            },
        };
        hub.answer(tab, &question, version, answer);
    }
}

type Answer = Result<Map<String, Value>, Refusal>;

/// The members of a report's JSON.
fn members(json: &str) -> Map<String, Value> {
    match serde_json::from_str(json) {
        Ok(Value::Object(members)) => members,
        _ => Map::new(),
    }
}

fn site<'p>(hub: &Hub, plan: &'p Plan) -> Result<Site<'p>, Refusal> {
    let model = hub.model().calibrated(plan);
    Site::new(plan, model, LinkOverride::default(), None).map_err(refusal)
}

fn refusal(error: impl std::fmt::Display) -> Refusal {
    Refusal::new(error.to_string(), "put right what it says, and ask again")
}

fn explained(hub: &Hub, plan: &Plan, doubts: &[String], id: &str) -> Answer {
    let device = explain::explainable(&plan.devices).find(|device| device.id == id);
    let device = device.ok_or_else(|| {
        Refusal::new(format!("the plan has no device {id:?}"), "choose a device on the plan")
    })?;
    let site = site(hub, plan)?;
    let settings = ExplainSettings::default();
    let told = explain(&site, device, &settings).map_err(refusal)?;
    let doubts = doubts.iter().cloned().chain(site.warnings()).collect();
    Ok(members(&ExplainReport::new(&site, &told, &settings, doubts).json()))
}
