//! What is taken away: documents and pictures of the present text, made by the commands, each under
//! an address that nobody can guess and that lives a while.

use std::ffi::OsString;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use axum::body::Bytes;
use axum::http::{HeaderMap, HeaderValue, header};
use serde::Deserialize;
use serde_json::{Map, Value};

use crate::door::random_name;
use crate::message::Refusal;

/// How long a file can be fetched.
const LIVES: Duration = Duration::from_secs(600);

/// Most bytes of all files together that can be fetched; the oldest go first.
pub const MOST_BYTES: usize = 64 << 20;

/// What the addresses of files begin with.
const BEGIN: &str = "/taken/";

/// A file from outside: nothing in it is run or shown in the page's own place.
const SANDBOX: &str = "sandbox; default-src 'none'; frame-ancestors 'none'";

/// What can be taken away.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Taking {
    /// Pictures of the forecast, level by level.
    Pictures,
    /// The customer's quote.
    Quote,
    /// What the customer is shown of it at the table.
    Sale,
    /// The sheets of the hand-over.
    Handover,
    /// The test sheet alone, a file of readings to fill in.
    Readings,
}

impl Taking {
    /// Its word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Pictures => "pictures",
            Self::Quote => "quote",
            Self::Sale => "sale",
            Self::Handover => "handover",
            Self::Readings => "readings",
        }
    }
}

/// How things are made: by the program itself, as somebody would at the command line.
#[derive(Debug, Clone, Default)]
pub struct Making {
    /// The program.
    pub program: PathBuf,
    /// The file of the business, for quotes.
    pub business: Option<PathBuf>,
    /// The file of its prices.
    pub prices: Option<PathBuf>,
}

/// Where something is made: the folder with the plan's copy, in which the command runs.
pub const PLAN: &str = "plan";

/// The folder for files, beside it.
pub const OUT: &str = "out";

/// What the command prints, and what it says of its work, in the same place.
pub const PRINTED: [&str; 2] = ["printed", "said"];

/// The command line that makes something of the plan in the present folder: `options` are those of
/// the command by their names, with `_` for `-`.
///
/// # Errors
/// An option that this has not, or a value that is none.
pub fn command_line(
    what: Taking,
    options: &Map<String, Value>,
    papers: &[(&str, Option<&Path>)],
    plan: &str,
) -> Result<Vec<OsString>, Refusal> {
    let (first, known): (&[&str], &[&str]) = match what {
        // What is doubtful is then said beside what is printed.
        Taking::Pictures => (&["check", "--format=csv"], &[]),
        Taking::Quote => (
            &["quote"],
            &["language", "date", "number", "valid_days", "appendix", "paper", "format"],
        ),
        Taking::Sale => {
            (&["quote", "--format=json"], &["language", "date", "number", "valid_days"])
        }
        Taking::Handover => (
            &["handover"],
            &[
                "language",
                "date",
                "paper",
                "number",
                "take_over",
                "keep",
                "bars",
                "standby_ma",
                "alarm_ma",
                "battery_ah",
            ],
        ),
        Taking::Readings => (
            &["handover", "--format=csv", "--sheet=readings"],
            &["date", "language", "number", "bars"],
        ),
    };
    let mut line: Vec<OsString> = first.iter().map(OsString::from).collect();
    line.push(format!("--out=../{OUT}").into());
    for (name, value) in options {
        if !known.contains(&name.as_str()) {
            let what = format!("{} has no option {name:?}", what.word());
            return Err(Refusal::new(what, format!("it has: {}", known.join(", "))));
        }
        let option = name.replace('_', "-");
        let value = match value {
            Value::Null | Value::Bool(false) => continue,
            Value::Bool(true) => None,
            Value::Number(number) => Some(number.to_string()),
            Value::String(text) => Some(text.clone()),
            _ => {
                let what = format!("the value of {name:?} is no text, number, true or false");
                return Err(Refusal::new(what, "reload the page"));
            }
        };
        let value = value.map(|value| format!("={value}")).unwrap_or_default();
        line.push(format!("--{option}{value}").into());
    }
    for (option, paper) in papers {
        if let Some(paper) = paper {
            let mut word = OsString::from(format!("--{option}="));
            word.push(paper);
            line.push(word);
        }
    }
    line.extend(["--".into(), plan.into()]);
    Ok(line)
}

/// A file that can be fetched.
#[derive(Debug, Clone)]
struct Kept {
    /// The path of its address.
    at: String,
    name: String,
    bytes: Bytes,
    until: Instant,
}

/// The files that can be fetched, oldest first.
#[derive(Debug, Default)]
pub struct Shelf(Mutex<Vec<Kept>>);

impl Shelf {
    /// Puts files on the shelf: the paths of their addresses.
    ///
    /// # Errors
    /// They are too large, or the system has no random numbers.
    pub fn put(&self, files: Vec<(String, Vec<u8>)>) -> io::Result<Vec<String>> {
        let size = |files: &[Kept]| files.iter().map(|file| file.bytes.len()).sum::<usize>();
        let until = Instant::now() + LIVES;
        let mut new = Vec::new();
        for (name, bytes) in files {
            let at = format!("{BEGIN}{}/{}", random_name()?, encoded(&name));
            new.push(Kept { at, name, bytes: bytes.into(), until });
        }
        if size(&new) > MOST_BYTES {
            return Err(io::Error::other("the files are too large to be kept"));
        }
        let paths = new.iter().map(|file| file.at.clone()).collect();
        let mut kept = self.kept();
        kept.extend(new);
        while size(&kept) > MOST_BYTES {
            kept.remove(0);
        }
        Ok(paths)
    }

    /// The file of a path: what is said of it, and its bytes.
    #[must_use]
    pub fn get(&self, path: &str) -> Option<(HeaderMap, Bytes)> {
        if !path.starts_with(BEGIN) {
            return None;
        }
        self.sweep();
        let kept = self.kept();
        let file = kept.iter().find(|file| file.at == path)?;
        let plain = |c: char| if c.is_ascii_alphanumeric() || "-._ ".contains(c) { c } else { '_' };
        let disposition = format!(
            "attachment; filename=\"{}\"; filename*=UTF-8''{}",
            file.name.chars().map(plain).collect::<String>(),
            encoded(&file.name)
        );
        let mut headers = HeaderMap::new();
        headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(mime(&file.name)));
        headers.insert(header::CONTENT_SECURITY_POLICY, HeaderValue::from_static(SANDBOX));
        headers.insert(header::CONTENT_DISPOSITION, disposition.parse().ok()?);
        Some((headers, file.bytes.clone()))
    }

    /// Takes what nobody can fetch any more off the shelf.
    pub fn sweep(&self) {
        let now = Instant::now();
        self.kept().retain(|file| file.until > now);
    }

    fn kept(&self) -> MutexGuard<'_, Vec<Kept>> {
        // A list of files is sound whatever happened to who held it.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// What a file is by its name, as HTTP says it. A page is bytes like others: no browser is to show
/// it as one of ours.
fn mime(name: &str) -> &'static str {
    match name.rsplit_once('.').map(|(_, ending)| ending) {
        Some("pdf") => "application/pdf",
        Some("png") => "image/png",
        Some("json") => "application/json",
        Some("csv") => "text/csv; charset=utf-8",
        _ => "application/octet-stream",
    }
}

/// A name as a piece of an address.
fn encoded(name: &str) -> String {
    let byte = |byte: u8| match byte {
        b'0'..=b'9' | b'A'..=b'Z' | b'a'..=b'z' | b'-' | b'.' | b'_' | b'~' => {
            char::from(byte).to_string()
        }
        _ => format!("%{byte:02X}"),
    };
    name.bytes().map(byte).collect()
}
