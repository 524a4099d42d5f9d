//! Where the results of a command go: every place is looked at before the work, and after it all
//! results take their places, or none does.

mod beside;
mod record;

use std::borrow::Cow;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use super::error::{CommandError, OrStop as _};
use super::files::NewFile;
use beside::Ready;

pub(crate) use beside::{outlive_limits, watch};

/// Where the results of a command go, as its options say.
#[derive(Debug, Default)]
pub(crate) struct Outputs<'o> {
    /// The plan, after which all files are named, and the folder for them.
    pub(crate) folder: Option<(Cow<'o, Path>, &'o Path)>,
    /// Whether `--no-pictures` leaves that folder alone.
    pub(crate) pictures: bool,
    /// A file for a plan.
    pub(crate) copy: Option<CopyPlace>,
}

/// A file that must not be there yet.
#[derive(Debug)]
pub(crate) struct CopyPlace {
    pub(crate) place: PathBuf,
    /// The option that names it, or nothing.
    pub(crate) option: &'static str,
    /// Whether its folder is made.
    pub(crate) makes_folder: bool,
}

impl<'o> Outputs<'o> {
    /// Files that are named after a plan, in a folder that is made if it is not there.
    pub(crate) fn named_after(plan: &'o Path, folder: &'o Path) -> Self {
        Self { folder: Some((plan.into(), folder)), ..Self::default() }
    }

    /// A file of the user's choice, if any, in a folder that is there.
    pub(crate) fn and_copy(self, option: &'static str, to: Option<&PathBuf>) -> Self {
        let copy = to.map(|to| CopyPlace { place: to.clone(), option, makes_folder: false });
        Self { copy, ..self }
    }

    /// Looks whether all of it can be written, before anything is worked out.
    ///
    /// # Errors
    /// A file that is there and would be overwritten, a folder that is none or that takes no file,
    /// or one with files of another plan whose own would have the same names.
    pub(crate) fn check(&self) -> Result<(), CommandError> {
        if let Some((plan, folder)) = &self.folder {
            can_be_made(folder).map_err(|why| self.unwritten(folder, &why))?;
            if let Some(other) = record::other_plan(folder, plan) {
                return Err(CommandError::Usage(format!(
                    "{}: the files there whose names begin with {}- are those of another plan, \
                     {}{}",
                    folder.display(),
                    super::files::stem(plan),
                    other.display(),
                    self.way_out()
                )));
            }
        }
        let Some(copy) = &self.copy else { return Ok(()) };
        copy.refuse_existing()?;
        let folder = folder_of(&copy.place);
        let made_anyway = self.folder.as_ref().is_some_and(|(_, out)| out.starts_with(folder));
        let ready = match fs::symlink_metadata(folder) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                if copy.makes_folder || made_anyway {
                    can_be_made(folder)
                } else {
                    let what = "there is no folder of that name; make it, or give another name";
                    Err(io::Error::other(format!("{}: {what}", folder.display())))
                }
            }
            _ => takes_files(folder),
        };
        ready.or_unwritten(copy.place.display())
    }

    /// Writes the files and the text of a plan; gives what is to be said of files that were kept.
    ///
    /// All are written beside their places before the first takes its own; if one cannot, those
    /// that did are taken back, so that what stood there before is whole. A link is followed: the
    /// file to which it leads is replaced. A form that is to be filled in by hand replaces only
    /// what is known to be an empty one.
    pub(crate) fn write(
        &self,
        mut files: Vec<NewFile>,
        copy: Option<String>,
        with_copy: Option<NewFile>,
    ) -> Result<Vec<String>, CommandError> {
        let (mut ready, mut notes) = (Vec::new(), Vec::new());
        if let Some((plan, folder)) = self.folder.as_ref().filter(|_| !files.is_empty()) {
            fs::create_dir_all(folder).map_err(|why| self.unwritten(folder, &why))?;
            beside::remove_left_overs(folder);
            let said = record::read(folder);
            files.retain(|file| {
                let kept = record::kept_form(&said, folder, file);
                let is_free = kept.is_none();
                notes.extend(kept);
                is_free
            });
            files.extend(record::with_files(said, plan, folder, &files));
            for file in &files {
                let place = folder.join(&file.name);
                let one = Ready::replacing(&place, &file.bytes);
                ready.push(one.map_err(|why| self.unwritten(&place, &why))?);
            }
        }
        if let Some((to, text)) = self.copy.as_ref().zip(copy) {
            let folder = folder_of(&to.place);
            if to.makes_folder {
                fs::create_dir_all(folder).or_unwritten(folder.display())?;
            }
            beside::remove_left_overs(folder);
            let with_copy = with_copy.map(|file| (folder.join(&file.name), file.bytes));
            let plan = (to.place.clone(), text.into_bytes());
            for (place, bytes) in [plan].into_iter().chain(with_copy) {
                let one = Ready::new_in(folder, &place, &bytes);
                ready.push(one.or_unwritten(place.display())?);
            }
        }
        beside::take_places(ready).map_err(|(place, why)| {
            let is_copy = self.copy.as_ref().is_some_and(|copy| copy.place == place);
            let way_out = if is_copy { String::new() } else { self.way_out() };
            unwritten(&place, &why, &way_out)
        })?;
        Ok(notes)
    }

    fn unwritten(&self, what: &Path, why: &io::Error) -> CommandError {
        unwritten(what, why, &self.way_out())
    }

    /// How the command that runs can be asked to write elsewhere.
    fn way_out(&self) -> String {
        let without = if self.pictures { ", or --no-pictures" } else { "" };
        format!("; choose another folder with --out{without}")
    }
}

impl CopyPlace {
    /// No file is overwritten.
    fn refuse_existing(&self) -> Result<(), CommandError> {
        if fs::symlink_metadata(&self.place).is_ok() {
            return Err(CommandError::Usage(format!(
                "{}{}: the file exists and is not overwritten; give another name",
                self.option,
                self.place.display()
            )));
        }
        Ok(())
    }
}

fn unwritten(what: &Path, why: &io::Error, way_out: &str) -> CommandError {
    let what = what.display().to_string();
    CommandError::Output { what, why: format!("{why}{way_out}") }
}

/// The folder that a file is in.
fn folder_of(file: &Path) -> &Path {
    let folder = file.parent().filter(|folder| *folder != Path::new(""));
    folder.unwrap_or(Path::new("."))
}

/// Whether a folder is there and takes files, or can be made.
fn can_be_made(folder: &Path) -> io::Result<()> {
    let is_there = |at: &&Path| fs::symlink_metadata(at).is_ok();
    takes_files(folder.ancestors().find(is_there).unwrap_or(Path::new(".")))
}

/// Whether a file can be written into a folder: an empty one is, and removed.
fn takes_files(folder: &Path) -> io::Result<()> {
    if !fs::metadata(folder)?.is_dir() {
        return Err(io::Error::other(format!("{} is not a folder", folder.display())));
    }
    beside::made_in(folder).map(drop)
}
