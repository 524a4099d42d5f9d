//! Why there is no PDF.

use thiserror::Error;

/// Why there is no PDF.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum PdfError {
    /// The font that the program carries cannot be read: a fault of the program.
    #[error("the font that the program carries cannot be read")]
    Font,
    /// A picture cannot be used.
    #[error("the picture \"{caption}\" is no PNG that can be read: {reason}")]
    Picture {
        /// What stands below the picture.
        caption: String,
        /// What is wrong with it.
        reason: String,
    },
    /// The library could not write the file.
    #[error("the PDF cannot be written: {0}")]
    Write(String),
}
