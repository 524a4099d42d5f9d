//! What is taken away: one thing at a time, made by the program itself of a private copy of the
//! text, of which nothing is left.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitStatus, Stdio};
use std::time::Duration;

use serde_json::{Map, Value, json};

use super::Hub;
use crate::change::changed;
use crate::copy::is_bare;
use crate::message::{Refusal, Wish};
use crate::outbox::Slot;
use crate::outbox::TabNumber;
use crate::private::private;
use crate::state::{Made, State};
use crate::take::{MOST_BYTES, OUT, PLAN, PRINTED, Taking, command_line};

/// What a plan is called that has no file yet, in the names of what is made of it.
const UNNAMED: &str = "plan.geojson";

/// How often a command is asked whether it is done.
const ASK_EVERY: Duration = Duration::from_millis(30);

/// What a command gives back that did its work: all is well, or some device is failing.
const DONE: [i32; 2] = [0, 1];

/// Most characters of why a command did not do its work.
const LONGEST_WHY: usize = 4_000;

/// A bare name with its bytes.
type Named = (String, Vec<u8>);

impl Hub {
    /// Begins to make what a page wants to take away.
    pub(super) fn order(
        &self,
        state: &mut State,
        number: TabNumber,
        what: Taking,
        with: (Map<String, Value>, &[Wish]),
    ) {
        if state.made.is_some() {
            let why = Refusal::new("something is being made already", "wait until it is there");
            return state.refuse(number, None, &why);
        }
        match self.begun(state, number, what, with) {
            Ok(made) => state.made = Some(made),
            Err(why) => state.refuse(number, None, &why),
        }
    }

    fn begun(
        &self,
        state: &State,
        number: TabNumber,
        what: Taking,
        (mut options, changes): (Map<String, Value>, &[Wish]),
    ) -> Result<Made, Refusal> {
        let folder = state.copy.folder();
        let mut paper = |name: &str, ending: &str, given: &Option<PathBuf>| {
            paper(folder, options.remove(name), ending, given.as_deref())
        };
        let business = paper("business", ".toml", &self.making.business)?;
        let prices = paper("prices", ".csv", &self.making.prices)?;
        let readings = match what {
            // The command runs in another folder.
            Taking::Handover => paper("readings", ".csv", &None)?.map(std::path::absolute),
            _ => None,
        };
        let readings = readings.transpose().map_err(|why| unmade(&why))?;
        let papers: &[(&str, Option<&Path>)] = match what {
            Taking::Quote | Taking::Sale => {
                &[("business", business.as_deref()), ("prices", prices.as_deref())]
            }
            _ => &[("readings", readings.as_deref())],
        };
        let plan = state.copy.name().unwrap_or_else(|| UNNAMED.to_owned());
        let text = changed(state.session.text(), changes)?;
        let line = command_line(what, &options, papers, &plan)?;
        let begin = || -> io::Result<Made> {
            let (place, held) = private()?;
            let here = place.path().join(PLAN);
            fs::create_dir(&here)?;
            fs::write(here.join(&plan), text)?;
            let [printed, said] = PRINTED.map(|name| File::create(place.path().join(name)));
            let mut command = Command::new(&self.making.program);
            command.args(line).current_dir(here);
            command.stdin(Stdio::null()).stdout(printed?).stderr(said?);
            let child = command.spawn()?;
            Ok(Made { number, what, plan: plan.clone(), child, place, held })
        };
        begin().map_err(|why| {
            let fix = "make room in the folder for temporary files";
            Refusal::new(format!("this cannot be made: {why}"), fix)
        })
    }

    /// Hands out what is made until the program ends.
    pub fn hand_out(&self) {
        let mut state = self.state();
        while !state.is_ending {
            let Some(made) = &mut state.made else {
                state = self.wait(state);
                continue;
            };
            let ended = made.child.try_wait();
            if matches!(ended, Ok(None)) {
                drop(state);
                std::thread::sleep(ASK_EVERY);
                state = self.state();
                continue;
            }
            if let Some(made) = state.made.take() {
                drop(state);
                // Reading and removing the files is for nobody to wait for.
                let files = ended.map(|status| made.files(status));
                let (number, what) = (made.number, made.what);
                drop(made);
                let files = files.unwrap_or_else(|why| Err(unmade(&why)));
                state = self.state();
                self.taken(&state, number, what, files);
            }
        }
    }

    fn taken(
        &self,
        state: &State,
        number: TabNumber,
        what: Taking,
        files: Result<(Vec<Named>, Vec<String>), Refusal>,
    ) {
        if !state.tabs.contains_key(&number) {
            return;
        }
        let shown = files.and_then(|(files, words)| {
            let about: Vec<(String, usize)> =
                files.iter().map(|(name, bytes)| (name.clone(), bytes.len())).collect();
            let paths = self.shelf.put(files).map_err(|why| unmade(&why))?;
            let file = |((name, bytes), at): (&(String, usize), &String)| {
                json!({ "name": name, "at": at, "bytes": bytes })
            };
            let files: Vec<Value> = about.iter().zip(&paths).map(file).collect();
            Ok(json!({ "what": what.word(), "files": files, "words": words }))
        });
        match shown {
            Ok(members) => state.to_one(number, Slot::Note, &state.note("taken", members)),
            Err(why) => state.refuse(number, None, &why),
        }
    }
}

impl Made {
    /// What was made, in the order of the names, and what is doubtful.
    fn files(&self, status: Option<ExitStatus>) -> Result<(Vec<Named>, Vec<String>), Refusal> {
        let read = |name: &str| fs::read(self.place.path().join(name));
        let [printed, said] = PRINTED.map(read);
        let said = String::from_utf8_lossy(&said.map_err(|why| unmade(&why))?).into_owned();
        let code = status.and_then(|status| status.code());
        if !code.is_some_and(|code| DONE.contains(&code)) {
            let why: String = said.trim().chars().take(LONGEST_WHY).collect();
            let why = if why.is_empty() { "it was ended from outside".to_owned() } else { why };
            return Err(Refusal::new(why, "put right what it says, and try again"));
        }
        let files = match self.what {
            Taking::Readings => {
                let stem = self.plan.rsplit_once('.').map_or(&*self.plan, |(stem, _)| stem);
                printed.map(|printed| vec![(format!("{stem}-readings.csv"), printed)])
            }
            _ => read_all(&self.place.path().join(OUT)),
        };
        let words = said.lines().filter(|line| !line.trim().is_empty()).map(str::to_owned);
        files.map(|files| (files, words.collect())).map_err(|why| unmade(&why))
    }
}

/// The files of a folder by their names; hidden ones are for the command itself.
fn read_all(folder: &Path) -> io::Result<Vec<Named>> {
    let (mut files, mut sum) = (Vec::new(), 0);
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        if name.starts_with('.') {
            continue;
        }
        sum += entry.metadata()?.len();
        if sum > MOST_BYTES as u64 {
            return Err(io::Error::other("the files are too large to be kept"));
        }
        files.push((name, fs::read(entry.path())?));
    }
    files.sort();
    Ok(files)
}

fn unmade(why: &io::Error) -> Refusal {
    Refusal::new(format!("this cannot be made: {why}"), "save the plan, and use the command")
}

/// The file of a business that is asked for: a bare name in the plan's folder; none for null; else
/// what the program was started with.
fn paper(
    folder: &Path,
    asked: Option<Value>,
    ending: &str,
    given: Option<&Path>,
) -> Result<Option<PathBuf>, Refusal> {
    match asked {
        // The command runs in another folder.
        None => given.map(std::path::absolute).transpose().map_err(|why| unmade(&why)),
        Some(Value::Null) => Ok(None),
        Some(Value::String(name)) if is_bare(&name, ending) => Ok(Some(folder.join(name))),
        Some(_) => {
            let what = format!("that is not the bare name of a {ending} file beside the plan");
            Err(Refusal::new(what, format!("give a name such as business{ending}")))
        }
    }
}
