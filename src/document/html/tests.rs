use super::*;
use crate::sample::{document, paragraph};

/// Would run, or end what it stands in, if it were not escaped.
const HOSTILE: &str = "</style><script>alert(\"1\")</script> & 'x' \\";

#[test]
fn every_text_stays_text() {
    let text = || HOSTILE.to_owned();
    let column = || Column { title: text(), align: Align::Left, share: 0.0 };
    let row = |kind| Row {
        kind,
        cells: vec![Cell::Text(text()), Cell::Strong(text()), Cell::Tick, Cell::Blank],
    };
    let mut hostile = document(vec![
        Block::Heading { level: 1, text: text() },
        Block::Paragraph { text: text(), weight: Weight::Strong },
        Block::List(vec![text()]),
        Block::Facts(vec![(text(), text())]),
        Block::Notice { title: text(), lines: vec![text()] },
        Block::Table {
            caption: Some(text()),
            columns: vec![column(), column(), column(), column()],
            rows: vec![row(RowKind::Group), row(RowKind::Plain), row(RowKind::Total)],
        },
        Block::Figures(vec![Figure {
            png: vec![1, 2, 3],
            width: 1,
            height: 1,
            alt: text(),
            caption: text(),
        }]),
        Block::Together(vec![Block::Form(Form::Signatures(vec![text()]))]),
        Block::Stamp(text()),
        Block::Form(Form::Lines { label: text(), count: 2 }),
    ]);
    hostile.title = text();
    hostile.language = text();
    hostile.author = text();
    hostile.date = text();
    hostile.footer = text();
    hostile.page_of = text();
    let page = html(&hostile);
    assert!(!page.contains("<script"), "{page}");
    assert!(!page.contains("alert(\""), "{page}");
    // One style, and it ends where it should.
    assert_eq!(page.matches("</style>").count(), 1);
    let escaped =
        "&lt;/style&gt;&lt;script&gt;alert(&quot;1&quot;)&lt;/script&gt; &amp; &#39;x&#39; \\";
    // Language, title, author, date and footer; one heading, paragraph, entry, name, value; two in
    // the notice; table: caption, four heads, group, two rows of two texts, a box and four names of
    // columns; picture: two; forms: two; a stamp.
    assert_eq!(page.matches(escaped).count(), 5 + 5 + 2 + 1 + 4 + 1 + 2 * 7 + 2 + 2 + 1);
}

#[test]
fn control_characters_do_not_reach_the_file() {
    let page = html(&document(vec![paragraph("a\u{0}b\u{1b}c\td\ne")]));
    assert!(page.contains("<p>a\u{FFFD}b\u{FFFD}c d\ne</p>"), "{page}");
}

#[test]
fn a_break_belongs_to_what_follows() {
    let word = || paragraph("word");
    let breaks = |blocks| html(&document(blocks)).matches("<div class=\"page-break\">").count();
    assert_eq!(breaks(vec![word(), Block::PageBreak, word()]), 1);
    assert_eq!(breaks(vec![word(), Block::PageBreak, Block::PageBreak, word()]), 1);
    assert_eq!(breaks(vec![word(), Block::PageBreak]), 0);
}
