//! What every command that forecasts does alike: read the plan, make it ready, go through its
//! levels; then write what came of it and say how it ended.

use std::io::{IsTerminal as _, stdout};
use std::path::{Path, PathBuf};

use super::error::{CommandError, EXIT_FAILING, EXIT_FINE};
use super::files::NewFile;
use super::options::{PictureOptions, RadioOptions};
use super::outputs::Outputs;
use super::progress::{complain, progress};
use forecast::{LinkOverride, Model, Site, SiteError, check_grids, vocabulary};
use input::file_text;
use plan::edit::{Change, edited};
use plan::{Device, Level, MAX_FILE_BYTES, Plan, Reading, read_file};

/// A plan that was read, and the radio model that it is asked for with.
#[derive(Debug)]
pub(crate) struct House<'o> {
    path: &'o Path,
    radio: &'o RadioOptions,
    pub(crate) plan: Plan,
    /// What is doubtful in it, for people.
    pub(crate) doubts: Vec<String>,
    model: Model,
}

impl<'o> House<'o> {
    /// Reads a plan, after a look at the options.
    pub(crate) fn read(path: &'o Path, radio: &'o RadioOptions) -> Result<Self, CommandError> {
        let model = radio.model()?;
        let Reading { plan, warnings, .. } =
            read_file(path, &vocabulary()).map_err(CommandError::Plan)?;
        let doubts = warnings.iter().map(ToString::to_string).collect();
        Ok(Self { path, radio, plan, doubts, model })
    }

    /// The plan made ready; `panel` replaces its own.
    pub(crate) fn site(&self, panel: Option<Device>) -> Result<Site<'_>, SiteError> {
        self.ready(&self.plan, panel)
    }

    /// The plan made ready with another link; `panel` replaces its own.
    pub(crate) fn with_link(
        &self,
        link: &str,
        panel: Option<Device>,
    ) -> Result<Site<'_>, SiteError> {
        let over = LinkOverride { link: Some(link.to_owned()), frequency: None };
        self.made(&self.plan, over, panel)
    }

    /// A plan that was made of this one, made ready; the user's site offset goes before that of the
    /// plan's calibration.
    pub(crate) fn ready<'p>(
        &self,
        plan: &'p Plan,
        panel: Option<Device>,
    ) -> Result<Site<'p>, SiteError> {
        self.made(plan, self.radio.over(), panel)
    }

    fn made<'p>(
        &self,
        plan: &'p Plan,
        over: LinkOverride,
        panel: Option<Device>,
    ) -> Result<Site<'p>, SiteError> {
        let given = self.radio.site_offset.is_some();
        let model = if given { self.model } else { self.model.calibrated(plan) };
        Site::new(plan, model, over, panel)
    }

    /// What is doubtful in the plan, and in the site that it is.
    pub(crate) fn doubts(&self, site: &Site<'_>) -> Vec<String> {
        self.doubts.iter().cloned().chain(site.warnings()).collect()
    }

    /// The text of the copy of the plan that `--write` asks for, if it does, with changes.
    pub(crate) fn copy(
        &self,
        to: Option<&PathBuf>,
        changes: impl FnOnce() -> Result<Vec<Change>, CommandError>,
    ) -> Result<Option<String>, CommandError> {
        if to.is_none() {
            return Ok(None);
        }
        let changes = changes()?;
        let smaller = "make the plan smaller";
        let text = file_text(self.path, MAX_FILE_BYTES, "a GeoJSON file", smaller)
            .map_err(CommandError::Plan)?
            .text;
        let text = edited(&text, &self.plan, &changes).map_err(|why| {
            CommandError::Usage(format!("--write: {}: {why}", self.path.display()))
        })?;
        Ok(Some(text))
    }
}

/// What a command answers, before anything of it is written.
#[derive(Debug, Default)]
pub(crate) struct Answer {
    /// For standard output, even if a file cannot be written.
    pub(crate) text: String,
    /// For standard output after that: what is true only when all files are written.
    pub(crate) written: String,
    /// For standard error, a line each.
    pub(crate) doubts: Vec<String>,
    /// The files for the folder of the command.
    pub(crate) files: Vec<NewFile>,
    /// A plan, for a file of its own.
    pub(crate) copy: Option<String>,
    /// What goes with that plan, into its folder.
    pub(crate) beside: Option<NewFile>,
    /// Whether some device is failing.
    pub(crate) failing: bool,
}

impl Answer {
    /// Writes the files and tells the doubts; gives what is to be printed, and the exit code.
    pub(crate) fn finish(self, to: &Outputs<'_>) -> (String, u8) {
        let written = to.write(self.files, self.copy, self.beside);
        self.doubts.iter().for_each(|doubt| complain(doubt));
        match written {
            Ok(notes) => {
                notes.iter().for_each(|note| complain(note));
                let code = if self.failing { EXIT_FAILING } else { EXIT_FINE };
                (self.text + &self.written, code)
            }
            Err(error) => {
                complain(&error.to_string());
                (self.text, error.exit_code())
            }
        }
    }
}

/// The pictures, unless the user wants none.
pub(crate) fn pictures(
    options: &PictureOptions,
    draw: impl FnOnce() -> Result<Vec<NewFile>, CommandError>,
) -> Result<Vec<NewFile>, CommandError> {
    if options.no_pictures {
        return Ok(Vec::new());
    }
    draw().map_err(|error| match error {
        CommandError::Site(why @ SiteError::TooManyCells { .. }) => {
            CommandError::Usage(format!("{why}, or --no-pictures"))
        }
        error => error,
    })
}

/// Whether the heatmaps can be drawn, unless the user wants none: asked before the work.
pub(crate) fn check_maps(options: &PictureOptions, site: &Site<'_>) -> Result<(), CommandError> {
    pictures(options, || Ok(check_grids(site).map(|()| Vec::new())?)).map(|_| ())
}

/// What becomes of every level, in order, with its number; a bar tells people how far each is, to
/// be moved by the function that is handed on. `when` goes before the level's name.
pub(crate) fn each_level<T, E>(
    plan: &Plan,
    when: &str,
    make: impl Fn(&Level, &(dyn Fn(u64) + Sync)) -> Result<Option<T>, E>,
) -> Result<Vec<(i32, T)>, E> {
    let mut made = Vec::new();
    for level in &plan.levels {
        let bar = progress(&format!("{when}{}", level.name));
        let one = make(level, &|done| bar.set_position(done))?;
        bar.finish_and_clear();
        made.extend(one.map(|one| (level.number, one)));
    }
    Ok(made)
}

/// The terminal's width, where standard output is one, or what `COLUMNS` says.
pub(crate) fn table_width() -> Option<u16> {
    let said = std::env::var("COLUMNS").ok().and_then(|columns| columns.parse().ok());
    let terminal = || comfy_table::Table::new().width().unwrap_or(100);
    said.or_else(|| stdout().is_terminal().then(terminal)).filter(|width| *width >= 40)
}
