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

/// The page, as it is built in `src/page`.
pub const PAGE: &[PageFile] = &[
    PageFile {
        path: "",
        mime: "text/html; charset=utf-8",
        bytes: include_bytes!("../page/dist/index.html"),
    },
    PageFile {
        path: "page.js",
        mime: "text/javascript; charset=utf-8",
        bytes: include_bytes!("../page/dist/page.js"),
    },
    PageFile {
        path: "page.css",
        mime: "text/css; charset=utf-8",
        bytes: include_bytes!("../page/dist/page.css"),
    },
    PageFile {
        path: "licences.md",
        mime: "text/markdown; charset=utf-8",
        bytes: include_bytes!("../page/dist/licences.md"),
    },
];
