//! What a document consists of.

/// A whole document.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// Its title: for the head of the pages and the title of the window.
    pub title: String,
    /// Language, a tag of BCP 47, such as `en`.
    pub language: String,
    /// Who made it, for the properties of the file; empty for nobody.
    pub author: String,
    /// Date for the properties of the file, `YYYY-MM-DD`.
    pub date: String,
    /// Small text at the foot of every page, beside the number of the page.
    pub footer: String,
    /// What stands between the number of a page and the number of all pages, such as `of`.
    pub page_of: String,
    /// The parts, in order.
    pub blocks: Vec<Block>,
}

/// A sheet of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 210 × 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 × 11 inches (ANSI Y14.1, size A).
    Letter,
}

/// How much a text stands out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Weight {
    /// As usual.
    #[default]
    Plain,
    /// In bold.
    Strong,
    /// Smaller, for notes.
    Small,
    /// Large, for the one figure that people look for.
    Large,
}

/// One part of a document.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// A heading; level 1 is the title on the cover, 2 a section, 3 a part of one.
    Heading {
        /// 1, 2 or 3.
        level: u8,
        /// Its text.
        text: String,
    },
    /// A paragraph.
    Paragraph {
        /// Its text.
        text: String,
        /// How much it stands out.
        weight: Weight,
    },
    /// A list with a mark before each entry.
    List(Vec<String>),
    /// Names with what belongs to them, one pair a line.
    Facts(Vec<(String, String)>),
    /// A frame round words that must not be missed: a caution.
    Notice {
        /// Its heading.
        title: String,
        /// Its sentences, one a line.
        lines: Vec<String>,
    },
    /// A table. Its heading is repeated on every page that it runs over; rows are not torn apart.
    Table {
        /// Above it.
        caption: Option<String>,
        /// Its columns.
        columns: Vec<Column>,
        /// Its rows.
        rows: Vec<Row>,
    },
    /// Pictures side by side, as wide as the page together, kept on one page.
    Figures(Vec<Figure>),
    /// Places to write on by hand.
    Form(Form),
    /// Parts that stay on one page: pictures among them are set smaller where that makes all of it
    /// fit. What is longer than a page all the same runs on.
    Together(Vec<Block>),
    /// A word in a heavy frame that nobody overlooks: what the document is not yet.
    Stamp(String),
    /// What follows begins on a new page.
    PageBreak,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Its heading.
    pub title: String,
    /// Where its cells stand.
    pub align: Align,
    /// Its share of the width; zero: as wide as it needs.
    pub share: f64,
}

/// Where a text stands in its cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Align {
    /// To the left.
    #[default]
    Left,
    /// To the right: numbers.
    Right,
    /// In the middle.
    Centre,
}

/// A row of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What it is.
    pub kind: RowKind,
    /// Its cells, one for each column.
    pub cells: Vec<Cell>,
}

/// What a row is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum RowKind {
    /// A row like others.
    #[default]
    Plain,
    /// The first of a group: its first cell is the group's name and runs over all columns.
    Group,
    /// A sum, set apart from the rows above it.
    Total,
}

impl Cell {
    /// Its text; none for what is filled in by hand.
    pub(crate) fn text(&self) -> Option<&str> {
        match self {
            Self::Text(text) | Self::Strong(text) => Some(text),
            Self::Tick | Self::Blank => None,
        }
    }
}

/// A cell of a table.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Text.
    Text(String),
    /// Text that stands out.
    Strong(String),
    /// A box to tick by hand.
    Tick,
    /// Room to write by hand.
    Blank,
}

/// A picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// The picture, PNG.
    pub png: Vec<u8>,
    /// Its width, pixels.
    pub width: u32,
    /// Its height, pixels.
    pub height: u32,
    /// What it shows, for those who cannot see it.
    pub alt: String,
    /// Below it.
    pub caption: String,
}

/// At most this many pictures or places to sign stand side by side.
pub(crate) const ABREAST: usize = 3;

/// Pictures in rows; four of them in two.
pub(crate) fn in_rows(figures: &[Figure]) -> std::slice::Chunks<'_, Figure> {
    figures.chunks(if figures.len() == 4 { 2 } else { ABREAST })
}

/// Places to write on by hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Form {
    /// Lines for signature and date, side by side, each with the words below it.
    Signatures(Vec<String>),
    /// Ruled lines for notes.
    Lines {
        /// What is to be written there.
        label: String,
        /// How many.
        count: u8,
    },
}
