//! The files of the page.

/// A file that the page is made of.
#[derive(Debug, Clone, Copy)]
pub struct PageFile {
    /// Its path in the address, without the slash before it; empty for the page itself.
    pub path: &'static str,
    /// What it is, as HTTP names it.
    pub mime: &'static str,
    /// Its bytes.
    pub bytes: &'static [u8],
}

/// The page.
pub const PAGE: &[PageFile] = &[];
