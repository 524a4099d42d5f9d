//! Why a change to a plan's text cannot be made.

use super::super::Diagnostic;
use super::super::members::{MAX_CAPACITY, MAX_NUMBER};

/// Why a change cannot be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum EditError {
    /// The plan has no such level.
    #[error("the plan has no level {0}")]
    NoLevel(i32),
    /// The plan has such a level already.
    #[error("the plan has a level {0} already")]
    LevelTaken(i32),
    /// A position or height is not a finite number.
    #[error("the position or the height is not a finite number")]
    NotFinite,
    /// A repeater without an id.
    #[error("a new repeater needs an id")]
    NoId,
    /// A capacity out of range.
    #[error("a capacity of {0} is outside 1 to {MAX_CAPACITY}")]
    Capacity(u32),
    /// A figure of a calibration is not a finite number.
    #[error("a figure of the calibration is not a finite number")]
    Calibration,
    /// A picture for the ground has no bare name, or numbers that put it nowhere.
    #[error("the picture has no bare name, or its numbers put it nowhere")]
    Backdrop,
    /// A device to be numbered is not there.
    #[error("the plan has no device \"{0}\"")]
    NoDevice(String),
    /// A number out of range.
    #[error("the number {0} is outside 0 to {MAX_NUMBER}")]
    Number(u32),
    /// A feature to be changed is not there.
    #[error("the plan has no feature \"{0}\"")]
    NoFeature(String),
    /// What stands in the list is no feature, but a number or an empty object.
    #[error("\"{0}\" is no feature, so it can only be taken out")]
    Empty(String),
    /// A feature to be moved is not drawn as a point.
    #[error("\"{0}\" is not drawn as a point, so it cannot be moved as one")]
    NoPoint(String),
    /// A feature to be given another shape is not drawn as a line or an outline.
    #[error("\"{0}\" is not drawn as a line or an outline")]
    NoLine(String),
    /// Fewer corners than a line or an outline needs.
    #[error("\"{id}\" needs at least {least} corners")]
    TooFewCorners {
        /// Id of the feature.
        id: String,
        /// How many it needs: 2 of a line, 3 of an outline.
        least: usize,
    },
    /// The value of a property is not JSON.
    #[error("the value of \"{0}\" is not JSON")]
    NotJson(String),
    /// What shall be added is not a feature in JSON.
    #[error("what shall be added is not a JSON object")]
    NotAFeature,
    /// The text does not hold the plan that came with it.
    #[error("the text belongs to another plan")]
    NotThisPlan,
    /// With the change made, the reader refuses the plan: it would be beyond a limit.
    #[error("the plan would no longer be readable: {}", .0.what)]
    Refused(Box<Diagnostic>),
}

impl EditError {
    /// How to fix it, for people.
    #[must_use]
    pub fn fix(&self) -> &str {
        match self {
            Self::LevelTaken(_) => "give another number",
            Self::NoLevel(_) => "give the number of one of the plan's levels",
            Self::NotFinite | Self::Calibration => "give finite numbers",
            Self::NoId => "give it a short name",
            Self::Capacity(_) | Self::Number(_) => "give a whole number within these bounds",
            Self::NoDevice(_) | Self::NoFeature(_) => {
                "look at the plan as it is now: it may have been taken out or renamed"
            }
            Self::Empty(_) => "take it out, and add what it was meant to be",
            Self::NoPoint(_) => "give it another shape instead",
            Self::NoLine(_) => "move it as a point, or take it out and draw it anew",
            Self::TooFewCorners { .. } => "give more corners, or take it out",
            Self::Backdrop => "give the bare name of a PNG or JPEG, and finite numbers",
            Self::NotJson(_) => "put text in quotation marks: \"…\"",
            Self::NotAFeature => {
                "give {\"type\": \"Feature\", \"geometry\": {…}, \"properties\": {…}}"
            }
            Self::NotThisPlan => "read the plan's file again, and make the change in that",
            Self::Refused(fault) => &fault.fix,
        }
    }
}
