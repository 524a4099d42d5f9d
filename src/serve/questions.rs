//! Questions that take a while: what would help a device, the best spots, the fewest repeaters.

use std::fmt::Display;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::{Duration, Instant};

use serde_json::{Map, Value, json};

use crate::drawing::Drawn;
use crate::hub::Hub;
use crate::list::Listed;
use crate::message::Refusal;
use crate::outbox::TabNumber;
use crate::state::Question;
use crate::tries;
use explain::{ExplainSettings, explain};
use forecast::{Assessment, LinkOverride, Site};
use plan::{Device, Plan};
use report::{CheckReport, ExplainReport, PlaceReport, RepeatersReport, place_words};
use siting::reach::Reach;
use siting::relays::{RelaySettings, at_outlets, fewest, given};
use siting::siting::{Siting, SitingSettings, sound_spot};
use siting::spots::SpotSettings;
use words::Words;

/// Longest search for repeaters, as the command has it.
const LONGEST_SEARCH: Duration = Duration::from_secs(30);

/// Distance of the spots at which the panel alone is tried, metres, as the command has it.
const SPACING_M: f64 = 0.5;

/// Answers questions until the program ends.
pub fn answer(hub: &Hub) {
    while let Some((tab, language, question)) = hub.question() {
        let Some((version, drawn, _)) = hub.text(None) else { return };
        let asked = Asked { hub, tab, words: Words { language }, drawn: &drawn };
        // A fault of the program costs this answer, not the page.
        let answer = catch_unwind(AssertUnwindSafe(|| asked.answer(&question)));
        let failed =
            || Err(Refusal::new("the program failed at this", "save the plan, and ask again"));
        let answer = answer.unwrap_or_else(|_| failed()).map(|mut members| {
            members.insert("language".to_owned(), language.tag().into());
            members
        });
        hub.answer(tab, &question, version, answer);
    }
}

type Answer = Result<Map<String, Value>, Refusal>;

/// A question about a text.
struct Asked<'a> {
    hub: &'a Hub,
    tab: TabNumber,
    words: Words,
    drawn: &'a Drawn,
}

/// The members of a report's JSON.
fn members(json: &str) -> Map<String, Value> {
    match serde_json::from_str(json) {
        Ok(Value::Object(members)) => members,
        _ => Map::new(),
    }
}

fn refusal(error: impl Display) -> Refusal {
    Refusal::new(error.to_string(), "put right what it says, and ask again")
}

/// A place as the member `words` says it.
fn in_words(place: &String) -> Option<Value> {
    Some(json!({ "place": place }))
}

/// Adds a member to each object of a list.
fn add_to_each(list: Option<&mut Value>, name: &str, values: impl Iterator<Item = Option<Value>>) {
    let Some(Value::Array(rows)) = list else { return };
    for (row, value) in rows.iter_mut().zip(values) {
        if let (Value::Object(row), Some(value)) = (row, value) {
            row.insert(name.to_owned(), value);
        }
    }
}

impl Asked<'_> {
    fn answer(&self, question: &Question) -> Answer {
        match question {
            Question::Tape(seq, text) => {
                let mut members = Listed::read(text).members();
                members.insert("number".to_owned(), (*seq).into());
                members.insert("text".to_owned(), text.clone().into());
                return Ok(members);
            }
            Question::UseTape(list) => {
                self.hub.use_list(self.tab, list, Listed::read(list).plan()?);
                return Ok(Map::new());
            }
            _ => {}
        }
        let Some(plan) = &self.drawn.plan else {
            return Err(Refusal::new("the plan has faults", "put them right first"));
        };
        match question {
            Question::Explain(id) => self.explained(plan, id),
            Question::Spots => self.spots(plan),
            Question::Repeaters => self.repeaters(plan),
            // Of no plan; answered above.
            Question::Tape(..) | Question::UseTape(_) => Ok(Map::new()),
        }
    }

    fn site<'p>(&self, plan: &'p Plan, panel: Option<Device>) -> Result<Site<'p>, Refusal> {
        let model = self.hub.model().calibrated(plan);
        Site::new(plan, model, LinkOverride::default(), panel).map_err(refusal)
    }

    fn doubts(&self, site: &Site<'_>) -> Vec<String> {
        self.drawn.doubts.iter().cloned().chain(site.warnings()).collect()
    }

    fn explained(&self, plan: &Plan, id: &str) -> Answer {
        let device = explain::explainable(&plan.devices).find(|device| device.id == id);
        let device = device.ok_or_else(|| {
            Refusal::new(format!("the plan has no device {id:?}"), "choose a device on the plan")
        })?;
        let site = self.site(plan, None)?;
        let settings = ExplainSettings::default();
        let told = explain(&site, device, &settings).map_err(refusal)?;
        let report = ExplainReport::new(&site, &told, &settings, self.doubts(&site));
        let mut members = members(&report.json());
        let words = report.remedy_words(&self.words).into_iter().map(|words| Some(words.into()));
        add_to_each(members.get_mut("remedies"), "words", words);
        let changes = told.remedies.list.iter();
        let changes = changes.map(|remedy| tries::action(plan, device, &remedy.action));
        add_to_each(members.get_mut("remedies"), "changes", changes);
        members.insert("words".to_owned(), json!({ "summary": report.summary(&self.words) }));
        Ok(members)
    }

    fn spots(&self, plan: &Plan) -> Answer {
        // Where the panel hangs does not matter, so a plan without one will do.
        let panel = plan.panel().is_none().then(|| tries::stand_in(plan));
        let site = self.site(plan, panel)?;
        let reach = Reach::new(&site).map_err(refusal)?;
        let settings = SitingSettings::default();
        let tell = |done| self.hub.busy(self.tab, "spots", done);
        let siting = Siting::new(&reach, &settings, &tell).map_err(refusal)?;
        let report = PlaceReport::new(&reach, &siting, &settings, self.doubts(&site));
        let mut members = members(&report.json());
        let best = siting.best.iter().map(|number| &siting.spots.allowed[*number]);
        let changes = best.map(|spot| Some(tries::panel(plan, spot)));
        add_to_each(members.get_mut("best"), "changes", changes);
        let (best, now) = report.place_words(&self.words);
        add_to_each(members.get_mut("best"), "words", best.iter().map(in_words));
        if let (Some(Value::Object(row)), Some(now)) = (members.get_mut("now"), now) {
            row.insert("words".to_owned(), json!({ "place": now }));
        }
        Ok(members)
    }

    fn repeaters(&self, plan: &Plan) -> Answer {
        let site = self.site(plan, None)?;
        let panel = site.panel.device.clone();
        let reach = Reach::new(&site).map_err(refusal)?;
        let settings = RelaySettings::default();
        let mut candidates = given(plan);
        candidates.extend(at_outlets(plan, &settings));
        if candidates.iter().all(|candidate| candidate.given) {
            let what = "the plan has no outlet for a new repeater";
            return Err(Refusal::new(what, "draw the outlets first"));
        }
        let started = Instant::now();
        self.hub.busy(self.tab, "repeaters", 0);
        let places = (vec![panel], candidates);
        let found = fewest(&reach, settings, places, LONGEST_SEARCH, &|_| {});
        let (relays, answer) = found.map_err(refusal)?;
        let answer = answer.map_err(|no| refusal(no.why))?;
        let then_plan = relays.plan_with(&answer);
        let then = self.site(&then_plan, None)?;
        let after = Assessment::with_ways(&then, &relays.ways_by_id(&answer)).map_err(refusal)?;
        let before = Assessment::new(&site).map_err(refusal)?;
        let after = CheckReport::new(&then, &after, self.doubts(&site));
        let is_stuck = !answer.new.is_empty() || !answer.unheard.is_empty();
        let spots = SpotSettings { spacing_m: SPACING_M, ..SpotSettings::default() };
        let in_time = is_stuck && started.elapsed() < LONGEST_SEARCH;
        let alone = if in_time { sound_spot(&reach, &spots) } else { None };
        let report = RepeatersReport::new(
            &reach,
            &relays,
            &settings,
            &answer,
            Some(&before),
            after,
            alone.as_ref(),
        );
        let mut members = members(&report.json());
        let new = answer.new.iter().map(|place| &relays.candidates[*place].device);
        let changes = new.map(|new| {
            let at = [new.position.x, new.position.y];
            tries::repeater(plan, &new.id, new.level, at, new.height_m)
        });
        let changes: Vec<Value> = changes.collect();
        let new = answer.new.iter().map(|place| &relays.candidates[*place].device);
        let places: Vec<String> = new.map(|new| place_words(&self.words, plan, new)).collect();
        let places = places.iter().map(in_words);
        add_to_each(members.get_mut("new_repeaters"), "words", places);
        if !changes.is_empty() {
            members.insert("changes".to_owned(), changes.into());
        }
        Ok(members)
    }
}
