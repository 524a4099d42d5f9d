//! Why a picture could not be drawn.

/// Why a picture could not be drawn.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum DrawError {
    /// A coordinate, thickness or cell size is not a finite number, or is out of range.
    #[error("cannot draw {what}: {value} is not a usable number")]
    Number {
        /// What the number belongs to.
        what: &'static str,
        /// The number as given.
        value: f64,
    },
    /// The carried font could not be read.
    #[error("the built-in font could not be read")]
    Font,
    /// The back end could not draw, or the PNG could not be encoded.
    #[error("the picture could not be drawn: {0}")]
    Backend(String),
}
