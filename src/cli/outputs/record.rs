//! What a folder remembers of the files that were written into it: of which plan they were made,
//! so that another plan of the same name does not overwrite them; and what an empty form was, so
//! that one that was filled in is not lost. A folder without such a record is written to as it is.

use std::collections::BTreeMap;
use std::fs;
use std::hash::{DefaultHasher, Hasher as _};
use std::path::{Component, Path, PathBuf};

use super::super::files::{NewFile, stem};
use super::folder_of;
use input::file_bytes;

/// The record's file.
const NAME: &str = ".drillonce.json";

/// Most of it that is read, and most of a form, bytes (our own choice: thousands of plans, ten
/// thousand devices).
const MOST: usize = 1 << 20;

/// By the start of the files' names, the plan that they were made of, as seen from the folder.
const PLANS: &str = "plans";

/// By its name, a sum over the bytes of an empty form.
const FORMS: &str = "forms";

/// A record.
type Said = BTreeMap<String, BTreeMap<String, String>>;

/// The record of a folder; empty if there is none that can be read.
pub(super) fn read(folder: &Path) -> Said {
    let bytes = file_bytes(&folder.join(NAME), MOST, "", "").ok();
    bytes.and_then(|bytes| serde_json::from_slice(&bytes).ok()).unwrap_or_default()
}

/// Another plan of whose files some are in the folder, under the names that those of this plan
/// would have. A plan that is no longer where it was has been moved, and is no other.
pub(super) fn other_plan(folder: &Path, plan: &Path) -> Option<PathBuf> {
    let (said, stem) = (read(folder), stem(plan));
    let noted = folder.join(said.get(PLANS)?.get(&stem)?);
    let other = fs::canonicalize(noted).ok().filter(|other| other.is_file())?;
    // One that is still to be written is another than any that is there.
    if fs::canonicalize(plan).is_ok_and(|plan| plan == other) {
        return None;
    }
    let begin = format!("{stem}-");
    let mut there = fs::read_dir(folder).ok()?.flatten();
    there.any(|entry| entry.file_name().to_string_lossy().starts_with(&begin)).then_some(other)
}

/// Why a form is not written, if it is not: something stands in its place that is neither the same
/// nor an empty form as it was written before.
pub(super) fn kept_form(said: &Said, folder: &Path, file: &NewFile) -> Option<String> {
    let place = folder.join(&file.name);
    if !file.is_form || fs::symlink_metadata(&place).is_err() {
        return None;
    }
    let known = said.get(FORMS).and_then(|forms| forms.get(&file.name));
    let why = match file_bytes(&place, MOST, "", "") {
        Ok(there) if there == file.bytes => return None,
        Ok(there) if known == Some(&sum(&there)) => return None,
        Ok(_) => "it differs from a new test sheet and may hold readings".to_owned(),
        Err(fault) => format!("it cannot be compared with a new test sheet ({})", fault.what),
    };
    let place = place.display();
    Some(format!("{place} is kept: {why}; for a new one, give another folder with --out"))
}

/// The record with what is now written, if that changes it.
pub(super) fn with_files(
    before: Said,
    plan: &Path,
    folder: &Path,
    files: &[NewFile],
) -> Option<NewFile> {
    let mut said = before.clone();
    let from = fs::canonicalize(folder).ok()?;
    // The plan may be written with these files, and not be there yet.
    let beside = || Some(fs::canonicalize(folder_of(plan)).ok()?.join(plan.file_name()?));
    let to = fs::canonicalize(plan).ok().or_else(beside)?;
    let way = way(&from, &to).to_string_lossy().into_owned();
    said.entry(PLANS.to_owned()).or_default().insert(stem(plan), way);
    for form in files.iter().filter(|file| file.is_form) {
        let forms = said.entry(FORMS.to_owned()).or_default();
        forms.insert(form.name.clone(), sum(&form.bytes));
    }
    let bytes = serde_json::to_vec_pretty(&said).ok().filter(|_| said != before)?;
    Some(NewFile { name: NAME.to_owned(), bytes, is_form: false })
}

/// The way from a folder to a file, both whole: where both are copied together it stays right.
fn way(from: &Path, to: &Path) -> PathBuf {
    let shared = from.components().zip(to.components()).take_while(|(a, b)| a == b).count();
    if shared == 0 {
        return to.to_owned();
    }
    let up = from.components().skip(shared).map(|_| Component::ParentDir);
    up.chain(to.components().skip(shared)).collect()
}

fn sum(bytes: &[u8]) -> String {
    let mut sum = DefaultHasher::new();
    sum.write(bytes);
    format!("{:016x}", sum.finish())
}
