//! A document as one HTML file: no script, no other file, pictures inside of it.

use std::fmt::Write;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;

use input::{isolated, set_apart};

use super::block::{ABREAST, in_rows};
use super::{
    Align, Block, Cell, Column, Document, Figure, Form, Row, RowKind, Weight, clean, widest,
};

/// Layout and colours, for screen, phone and paper.
const STYLE: &str = include_str!("style.css");

/// Nothing but the file's own style and its own pictures, whatever should ever slip through
/// (Content Security Policy Level 3, W3C; from memory).
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; \
                      base-uri 'none'; form-action 'none'";

/// Tables of more columns than this become a list of entries on a phone.
const NARROW: usize = 3;
/// A column without a share is not broken when its longest text has no more characters than this.
const SHORT: f32 = 18.0;
/// At least this many characters go on a line of a table on A4. Calculated here: 176 mm at 8.55 pt
/// with digits of 0.636 em, as in `DejaVu Sans`, the widest of the fonts in the style, are 91; less
/// some, for capitals.
const LINE: f32 = 84.0;
/// As wide as the room beside the text of a cell, characters.
const BESIDE: f32 = 2.0;

/// Writes one line of markup.
macro_rules! line {
    ($page:expr, $($markup:tt)*) => {{
        // Writing to a string cannot fail.
        let _ = writeln!($page, $($markup)*);
    }};
}

/// The document as the text of an HTML file (HTML Living Standard) for screen, A4 and US Letter.
///
/// Every text is escaped: a name such as `<script>` stays a name.
#[must_use]
pub fn html(document: &Document) -> String {
    let mut page = String::new();
    let language = escape(&document.language);
    let title = escape(&document.title);
    page.push_str("<!DOCTYPE html>\n");
    line!(page, "<html lang=\"{language}\">\n<head>");
    page.push_str("<meta charset=\"utf-8\">\n");
    line!(page, "<meta http-equiv=\"Content-Security-Policy\" content=\"{POLICY}\">");
    page.push_str("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n");
    line!(page, "<title>{title}</title>");
    for (name, content) in [("author", &document.author), ("date", &document.date)] {
        if !content.is_empty() {
            let content = escape(content);
            line!(page, "<meta name=\"{name}\" content=\"{content}\">");
        }
    }
    line!(page, "<style>\n{STYLE}{}</style>\n</head>\n<body>\n<main>", paper(document));
    let mut new_page = false;
    for block in &document.blocks {
        if *block == Block::PageBreak {
            new_page = true;
            continue;
        }
        if std::mem::take(&mut new_page) {
            page.push_str("<div class=\"page-break\"></div>\n");
        }
        write_block(&mut page, block);
    }
    page.push_str("</main>\n");
    if !document.footer.is_empty() {
        let footer = inline(&document.footer);
        line!(page, "<footer>{footer}</footer>");
    }
    page.push_str("</body>\n</html>\n");
    page
}

/// Text that stays text, between tags and in the quotes of an attribute.
fn escape(text: &str) -> String {
    let names = [('&', "&amp;"), ('<', "&lt;"), ('>', "&gt;"), ('"', "&quot;"), ('\'', "&#39;")];
    names.into_iter().fold(clean(text), |text, (sign, name)| text.replace(sign, name))
}

/// Text between tags; what is written from right to left does not turn round what is beside it.
fn inline(text: &str) -> String {
    set_apart(&escape(text), "<bdi>", "</bdi>").into_owned()
}

/// A string of CSS: everything but letters and digits by its number, so that nothing ends the
/// string or the style.
fn css_string(text: &str) -> String {
    let text = isolated(&clean(text)).into_owned();
    let coded = text.chars().map(|character| match character {
        letter if letter.is_alphanumeric() => letter.to_string(),
        other => format!("\\{:x} ", u32::from(other)),
    });
    format!("\"{}\"", coded.collect::<String>())
}

/// Margins and the foot of the printed page, of whatever size the paper is.
fn paper(document: &Document) -> String {
    let font = "font: 7.5pt \"DejaVu Sans\", Verdana, sans-serif; color: #4d5862";
    let footer = css_string(&document.footer);
    let of = css_string(&format!(" {} ", document.page_of));
    format!(
        "@page {{\n  margin: 18mm 17mm 20mm;\n  \
         @bottom-left {{ content: {footer}; {font}; width: 78%; text-align: left; }}\n  \
         @bottom-right {{ content: counter(page) {of} counter(pages); {font}; \
         text-align: right; }}\n}}\n"
    )
}

fn write_block(page: &mut String, block: &Block) {
    match block {
        Block::Heading { level, text } => {
            let level = (*level).clamp(1, 3);
            let text = inline(text);
            line!(page, "<h{level}>{text}</h{level}>");
        }
        Block::Paragraph { text, weight } => {
            let text = inline(text);
            match weight {
                Weight::Plain => line!(page, "<p>{text}</p>"),
                Weight::Strong => line!(page, "<p><strong>{text}</strong></p>"),
                Weight::Small => line!(page, "<p class=\"small\">{text}</p>"),
                Weight::Large => line!(page, "<p class=\"large\">{text}</p>"),
            }
        }
        Block::List(entries) if !entries.is_empty() => {
            page.push_str("<ul>\n");
            for entry in entries {
                line!(page, "<li>{}</li>", inline(entry));
            }
            page.push_str("</ul>\n");
        }
        Block::Facts(facts) if !facts.is_empty() => {
            page.push_str("<dl>\n");
            for (name, value) in facts {
                let (name, value) = (inline(name), inline(value));
                line!(page, "<div><dt>{name}</dt><dd>{value}</dd></div>");
            }
            page.push_str("</dl>\n");
        }
        Block::Notice { title, lines } => {
            page.push_str("<div class=\"notice\" role=\"note\">\n");
            line!(page, "<p class=\"title\">{}</p>", inline(title));
            for line in lines {
                line!(page, "<p>{}</p>", inline(line));
            }
            page.push_str("</div>\n");
        }
        Block::Table { caption, columns, rows } => table(page, caption.as_deref(), columns, rows),
        Block::Figures(figures) => {
            for row in in_rows(figures) {
                pictures(page, row);
            }
        }
        Block::Form(form) => write_form(page, form),
        Block::Together(blocks) => {
            page.push_str("<div class=\"together\">\n");
            blocks.iter().for_each(|block| write_block(page, block));
            page.push_str("</div>\n");
        }
        Block::Stamp(text) => line!(page, "<p class=\"stamp\">{}</p>", inline(text)),
        Block::List(_) | Block::Facts(_) | Block::PageBreak => {}
    }
}

fn write_form(page: &mut String, form: &Form) {
    match form {
        Form::Signatures(labels) => {
            for row in labels.chunks(ABREAST) {
                page.push_str("<div class=\"signatures\">\n");
                for label in row {
                    let label = inline(label);
                    line!(page, "<div class=\"signature\"><p>{label}</p></div>");
                }
                page.push_str("</div>\n");
            }
        }
        Form::Lines { label, count } => {
            let label = inline(label);
            line!(page, "<div class=\"ruled\">\n<p>{label}</p>");
            for _ in 0..*count {
                page.push_str("<i></i>");
            }
            page.push_str("\n</div>\n");
        }
    }
}

fn pictures(page: &mut String, figures: &[Figure]) {
    let aspect = |figure: &Figure| f64::from(figure.width.max(1)) / f64::from(figure.height.max(1));
    let together: f64 = figures.iter().map(aspect).sum();
    page.push_str("<div class=\"figures\">\n");
    for figure in figures {
        // So wide that all are of one height.
        let share = 100.0 * aspect(figure) / together;
        let (alt, caption) = (escape(&figure.alt), inline(&figure.caption));
        let data = STANDARD.encode(&figure.png);
        let framed = if caption.is_empty() { "" } else { " class=\"framed\"" };
        let (width, height) = (figure.width, figure.height);
        line!(
            page,
            "<figure{framed} style=\"width: {share:.2}%\">\
                 <img alt=\"{alt}\" width=\"{width}\" height=\"{height}\" \
                 src=\"data:image/png;base64,{data}\">"
        );
        if !caption.is_empty() {
            line!(page, "<figcaption>{caption}</figcaption>");
        }
        page.push_str("</figure>\n");
    }
    page.push_str("</div>\n");
}

fn class(align: Align) -> &'static str {
    match align {
        Align::Left => "left",
        Align::Right => "right",
        Align::Centre => "centre",
    }
}

/// How the cells of a column are set.
#[derive(Debug, Clone, Copy)]
struct Fit {
    /// Longest line, characters.
    line: f32,
    /// Longest word, characters.
    word: f32,
    /// No line is broken.
    whole: bool,
    /// Words may be broken: there is no room for them.
    cut: bool,
}

/// Numbers of characters are small.
fn count(text: &str) -> f32 {
    text.chars().count() as f32
}

fn fits(columns: &[Column], rows: &[Row]) -> Vec<Fit> {
    let mut fits: Vec<Fit> = columns
        .iter()
        .enumerate()
        .map(|(at, column)| {
            let texts = rows.iter().filter(|row| row.kind != RowKind::Group).filter_map(|row| {
                match row.cells.get(at) {
                    Some(Cell::Text(text) | Cell::Strong(text)) => Some(text.as_str()),
                    Some(Cell::Blank) => Some("0000000000"),
                    Some(Cell::Tick) | None => None,
                }
            });
            let lines = texts.clone().flat_map(str::lines).map(count);
            let words = texts.flat_map(str::split_whitespace).map(count);
            let (line, word) = (lines.fold(0.0, f32::max), words.fold(0.0, f32::max));
            let title = column.title.split_whitespace().map(count).fold(0.0, f32::max);
            Fit {
                line: line.max(title),
                word: word.max(title),
                whole: column.share <= 0.0 && line <= SHORT,
                cut: false,
            }
        })
        .collect();
    let least = |fit: &Fit| BESIDE + if fit.whole { fit.line } else { fit.word };
    if fits.iter().map(least).sum::<f32>() > LINE {
        for fit in &mut fits {
            fit.whole = false;
        }
    }
    let needs: Vec<f32> = fits.iter().map(least).collect();
    let widest = widest(&needs, LINE);
    for (fit, need) in fits.iter_mut().zip(needs) {
        fit.cut = need > widest;
    }
    fits
}

fn table(page: &mut String, caption: Option<&str>, columns: &[Column], rows: &[Row]) {
    if columns.is_empty() {
        return;
    }
    // Roles as well as elements: a phone shows rows as blocks, which would cost them their meaning.
    let wide = if columns.len() > NARROW { "wide" } else { "narrow" };
    line!(page, "<table class=\"{wide}\" role=\"table\">");
    if let Some(caption) = caption.filter(|caption| !caption.is_empty()) {
        line!(page, "<caption>{}</caption>", inline(caption));
    }
    let fits = fits(columns, rows);
    let shares: f64 = columns.iter().map(|column| column.share.max(0.0)).sum();
    let free: f32 = columns
        .iter()
        .zip(&fits)
        .filter(|(column, _)| column.share <= 0.0)
        .map(|(_, fit)| fit.line + BESIDE)
        .sum();
    let left = 100.0 * (1.0 - f64::from(free / LINE).min(0.6));
    page.push_str("<colgroup>");
    for column in columns {
        if column.share > 0.0 {
            let width = left * column.share / shares;
            let _ = write!(page, "<col style=\"width: {width:.1}%\">");
        } else {
            page.push_str("<col>");
        }
    }
    page.push_str("</colgroup>\n<thead role=\"rowgroup\"><tr role=\"row\">");
    for (column, fit) in columns.iter().zip(&fits) {
        let cut = if fit.cut { " cut" } else { "" };
        let (class, title) = (class(column.align), inline(&column.title));
        let _ = write!(
            page,
            "<th scope=\"col\" role=\"columnheader\" class=\"{class}{cut}\">{title}</th>"
        );
    }
    page.push_str("</tr></thead>\n<tbody role=\"rowgroup\">\n");
    for (number, row) in rows.iter().enumerate() {
        if row.kind == RowKind::Group && number > 0 {
            page.push_str("</tbody>\n<tbody role=\"rowgroup\">\n");
        }
        table_row(page, columns, &fits, row);
    }
    page.push_str("</tbody>\n</table>\n");
}

fn table_row(page: &mut String, columns: &[Column], fits: &[Fit], row: &Row) {
    let text = |cell: Option<&Cell>| match cell {
        Some(Cell::Text(text)) => inline(text),
        Some(Cell::Strong(text)) => format!("<strong>{}</strong>", inline(text)),
        Some(Cell::Tick | Cell::Blank) | None => String::new(),
    };
    if row.kind == RowKind::Group {
        let (count, name) = (columns.len(), text(row.cells.first()));
        line!(
            page,
            "<tr role=\"row\" class=\"group\"><th scope=\"rowgroup\" role=\"rowheader\" \
                 colspan=\"{count}\">{name}</th></tr>"
        );
        return;
    }
    let total = row.kind == RowKind::Total;
    page.push_str(if total { "<tr role=\"row\" class=\"total\">" } else { "<tr role=\"row\">" });
    for (at, (column, fit)) in columns.iter().zip(fits).enumerate() {
        let cell = row.cells.get(at);
        let head = escape(&column.title);
        let content = match cell {
            Some(Cell::Tick) => {
                format!("<span class=\"tick\" role=\"img\" aria-label=\"{head}\"></span>")
            }
            Some(Cell::Blank) => "<span class=\"blank\"></span>".to_owned(),
            _ => text(cell),
        };
        let empty = if content.is_empty() { " empty" } else { "" };
        let setting = match fit {
            Fit { cut: true, .. } => " cut",
            Fit { whole: true, .. } => " whole",
            _ => "",
        };
        let class = class(column.align);
        let (name, role) =
            if total && at == 0 { ("th scope=\"row\"", "rowheader") } else { ("td", "cell") };
        let end = &name[..2];
        let _ = write!(
            page,
            "<{name} role=\"{role}\" class=\"{class}{setting}{empty}\" \
             data-head=\"{head}\">{content}</{end}>"
        );
    }
    page.push_str("</tr>\n");
}

#[cfg(test)]
mod tests;
