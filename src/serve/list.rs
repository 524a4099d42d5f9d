//! A tape-measure list beside the drawing: read as it is typed, and kept beside the plan's file
//! once the plan was made of it.

use std::collections::BTreeSet;
use std::io;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use serde_json::{Map, Value, json};

use crate::copy::Copy;
use crate::drawing::Drawn;
use crate::message::{MOST_LIST_BYTES, Refusal};
use forecast::vocabulary;
use import::{Draft, Kind, Known, STARTER_FT, STARTER_M, Settings};
use input::{Diagnostic, Diagnostics, decoded, file_bytes};
use units::Lengths;

/// The ending of a list's file, which has the plan's name before it.
const ENDING: &str = "txt";

/// What messages call a list.
const NAME: &str = "list.txt";

/// How long lines with faults are left out one after the other, to draw what is left.
const LONGEST: Duration = Duration::from_millis(300);

/// A list as it was read.
#[derive(Debug, Clone)]
pub struct Listed {
    /// The plan of what has no faults; nothing where there is no room.
    draft: Option<Draft>,
    faults: Vec<Diagnostic>,
}

impl Listed {
    /// Reads a list, with the reader of `import`. Lines with faults are left out of the plan, and
    /// then those with faults because of that.
    #[must_use]
    pub fn read(text: &str) -> Self {
        let known = Known { vocabulary: vocabulary() };
        let settings = Settings { known, ..Settings::default() };
        let read = |text: &str| import::draft(Kind::Tape, NAME, text.as_bytes(), &settings);
        let started = Instant::now();
        let faults = match read(text) {
            Ok(draft) => return Self { draft: Some(draft), faults: Vec::new() },
            Err(faults) => faults,
        };
        let mut lines: Vec<&str> = text.lines().collect();
        let mut next = faults.clone();
        while started.elapsed() < LONGEST {
            let faulty: BTreeSet<usize> = next.iter().map(|fault| fault.line).collect();
            let mut is_less = false;
            for line in faulty {
                let line = line.checked_sub(1).and_then(|line| lines.get_mut(line));
                if let Some(line) = line.filter(|line| !line.trim().is_empty()) {
                    (*line, is_less) = ("", true);
                }
            }
            if !is_less {
                break;
            }
            match read(&lines.join("\n")) {
                Ok(draft) => return Self { draft: Some(draft), faults },
                Err(faults) => next = faults,
            }
        }
        Self { draft: None, faults }
    }

    /// The plan that it makes.
    ///
    /// # Errors
    /// Its first fault.
    pub fn plan(&self) -> Result<String, Refusal> {
        match (self.faults.first(), &self.draft) {
            (None, Some(draft)) => Ok(draft.text()),
            (Some(fault), _) => {
                let what = format!("line {} of the list: {}", fault.line, fault.what);
                Err(Refusal::new(what, &*fault.fix))
            }
            (None, None) => Err(Refusal::new("the list has no room", "write a line for one")),
        }
    }

    /// The members of the message `tape`: the `faults` with their lines, what was `assumed`, and
    /// the `plan` as the message of that name has it, null without any room.
    #[must_use]
    pub fn members(&self) -> Map<String, Value> {
        let fault = |fault: &Diagnostic| {
            json!({
                "line": fault.line, "column": fault.column, "what": fault.what, "fix": fault.fix,
            })
        };
        let faults: Vec<Value> = self.faults.iter().map(fault).collect();
        let guesses = self.draft.iter().flat_map(|draft| &draft.guesses);
        let assumed = guesses.map(|one| format!("{}: {}; {}", one.about, one.taken, one.fix));
        let assumed: Vec<String> = assumed.collect();
        let plan = self.draft.as_ref().map(|draft| Drawn::read(NAME, &draft.text()).members());
        let members =
            [("faults", faults.into()), ("assumed", assumed.into()), ("plan", plan.into())];
        members.into_iter().map(|(name, value)| (name.to_owned(), value)).collect()
    }
}

/// The list of a plan, and its file.
#[derive(Debug, Default)]
pub struct List {
    /// As it was typed last.
    text: Option<String>,
    /// That of which the plan was made.
    used: Option<String>,
    /// The file that it was read from or written to, and what it held.
    known: Option<(PathBuf, Vec<u8>)>,
}

/// What became of a list when its plan was saved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptList {
    /// The bare name of its file.
    pub file: String,
    /// Whether it stands there; else another file does, and stays.
    pub is_kept: bool,
}

impl List {
    /// The list as it was typed last, by this program or one before it, else that beside the
    /// plan's file, else one to start from.
    pub fn text(&mut self, copy: &Copy, unit: Lengths) -> String {
        if self.text.is_none() {
            let found = self.found(copy);
            self.text = copy.kept_list().or(found);
        }
        let starter = match unit {
            Lengths::Metric => STARTER_M,
            Lengths::Feet => STARTER_FT,
        };
        self.text.clone().unwrap_or_else(|| starter.to_owned())
    }

    /// The list beside the plan's file.
    fn found(&mut self, copy: &Copy) -> Option<String> {
        let place = copy.folder().join(copy.name()?).with_extension(ENDING);
        let bytes = file_bytes(&place, MOST_LIST_BYTES, "", "").ok()?;
        // By its first line, not its name: other texts stand beside plans, too.
        if Kind::of("", &bytes) != Some(Kind::Tape) {
            return None;
        }
        let text = decoded(&bytes, &mut Diagnostics::new(NAME))?.into_owned();
        self.known = Some((place, bytes));
        Some(text)
    }

    /// Notes it as it is typed, where it outlives the program.
    ///
    /// # Errors
    /// What the system says.
    pub fn is_typed(&mut self, copy: &Copy, text: &str) -> io::Result<()> {
        self.text = Some(text.to_owned());
        let is_written = self.known.as_ref().is_some_and(|(_, bytes)| bytes == text.as_bytes());
        copy.keep_list(Some(text).filter(|_| !is_written))
    }

    /// Notes that the plan was made of it.
    pub fn is_used(&mut self, text: &str) {
        self.text = Some(text.to_owned());
        self.used = Some(text.to_owned());
    }

    /// Writes the list of which the plan was made beside a file that was just saved. What stands
    /// there already stays, unless it is what was read or written here last.
    ///
    /// # Errors
    /// What the system says.
    pub fn keep(&mut self, copy: &Copy, plan: &str) -> io::Result<Option<KeptList>> {
        let Some(text) = &self.used else { return Ok(None) };
        let place = copy.folder().join(plan).with_extension(ENDING);
        let file = Path::new(plan).with_extension(ENDING).to_string_lossy().into_owned();
        let mut known = self.known.take().filter(|(known, _)| *known == place);
        let is_there = place.symlink_metadata().is_ok();
        let is_kept = match &known {
            Some((_, bytes)) if is_there => {
                file_bytes(&place, MOST_LIST_BYTES, "", "").is_ok_and(|now| now == *bytes)
            }
            _ => !is_there,
        };
        if is_kept {
            if known.as_ref().is_none_or(|(_, bytes)| bytes != text.as_bytes() || !is_there) {
                let new = copy.on_disk(text)?;
                let written = match is_there {
                    true => new.persist(&place),
                    false => new.persist_noclobber(&place),
                };
                written.map_err(|error| error.error)?;
            }
            known = Some((place, text.clone().into_bytes()));
            if self.text.as_ref() == Some(text) && copy.name().as_deref() == Some(plan) {
                copy.keep_list(None)?;
            }
        }
        self.known = known;
        Ok(Some(KeptList { file, is_kept }))
    }
}
