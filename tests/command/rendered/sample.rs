//! Documents to look at: a long one with everything in it, and one of a single page. Firms, people
//! and houses are invented.

use drillonce::document::{
    Align, Block, Cell, Column, Document, Figure, Form, Row, RowKind, Weight,
};

fn document(language: &str, of: &str, title: &str, blocks: Vec<Block>) -> Document {
    Document {
        title: title.to_owned(),
        language: language.to_owned(),
        author: "Alarmas Ñandú & Hijos".to_owned(),
        date: "2026-11-25".to_owned(),
        footer: "Alarmas Ñandú & Hijos · Calle de la Cigüeña 14, Villarrosa · licence <0000>"
            .to_owned(),
        page_of: of.to_owned(),
        blocks,
    }
}

fn heading(level: u8, text: &str) -> Block {
    Block::Heading { level, text: text.to_owned() }
}

fn paragraph(text: &str) -> Block {
    Block::Paragraph { text: text.to_owned(), weight: Weight::Plain }
}

/// Columns with their heads, each with where its cells stand and its share of the width.
fn columns<const N: usize>(all: [(&str, Align, f64); N]) -> Vec<Column> {
    all.map(|(title, align, share)| Column { title: title.to_owned(), align, share }).into()
}

fn text(text: &str) -> Cell {
    Cell::Text(text.to_owned())
}

fn row(kind: RowKind, cells: Vec<Cell>) -> Row {
    Row { kind, cells }
}

/// A picture of bands of colour, as a map of margins is.
pub fn picture(width: u32, height: u32, caption: &str) -> Figure {
    const BANDS: [[u8; 3]; 5] =
        [[68, 1, 84], [59, 82, 139], [33, 145, 140], [94, 201, 98], [253, 231, 37]];
    let mut pixels = Vec::new();
    for y in 0..height {
        for x in 0..width {
            let (dx, dy) =
                (f64::from(x) / f64::from(width) - 0.4, f64::from(y) / f64::from(height) - 0.6);
            let band = ((dx * dx + dy * dy).sqrt() * 6.0) as usize;
            let colour = BANDS[band.min(BANDS.len() - 1)];
            let edge = x < 3 || y < 3 || x + 3 >= width || y + 3 >= height;
            pixels.extend(if edge { [0; 3] } else { colour });
        }
    }
    let mut png = Vec::new();
    let mut encoder = png::Encoder::new(&mut png, width, height);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    let mut writer = encoder.write_header().unwrap();
    writer.write_image_data(&pixels).unwrap();
    writer.finish().unwrap();
    Figure {
        png,
        width,
        height,
        alt: format!("Map of the house: {caption}"),
        caption: caption.to_owned(),
    }
}

const ROOMS: [&str; 6] = [
    "Kitchen",
    "Salón-comedor",
    "Dormitorio del niño",
    "Baño",
    "Donaudampfschifffahrtskapitänszimmer",
    "Garage & <workshop>",
];

fn devices() -> Block {
    let mut rows = Vec::new();
    for (number, room) in ROOMS.iter().enumerate() {
        rows.push(row(RowKind::Group, vec![text(room)]));
        for device in 0..16 {
            rows.push(row(
                RowKind::Plain,
                vec![
                    text(&format!("{}", number * 16 + device + 1)),
                    text(match device % 4 {
                        0 => "front door contact",
                        1 => "<script>alert('motion')</script>",
                        2 => "Ventana corredera de la cocina con vistas al jardín, hoja izquierda",
                        _ => "glass_break_detector_under_the_north_window_sill_number_seven",
                    }),
                    text(if device % 3 == 0 { "magnetic contact" } else { "motion" }),
                    text("direct"),
                    text(&format!("{}.5", 12 + device)),
                    Cell::Tick,
                    Cell::Blank,
                ],
            ));
        }
    }
    Block::Table {
        caption: Some("Devices by room".to_owned()),
        columns: columns([
            ("No.", Align::Right, 0.0),
            ("Name", Align::Left, 3.0),
            ("Kind", Align::Left, 2.0),
            ("Link", Align::Left, 0.0),
            ("Margin (dB)", Align::Right, 0.0),
            ("Tested", Align::Centre, 0.0),
            ("Reading (dBm)", Align::Left, 0.0),
        ]),
        rows,
    }
}

fn prices() -> Block {
    let line = |name: &str, count: &str, unit: &str, sum: &str| {
        row(RowKind::Plain, vec![text(name), text(count), text(unit), text(sum)])
    };
    let total = |name: &str, sum: &str| {
        row(
            RowKind::Total,
            vec![Cell::Strong(name.to_owned()), text(""), text(""), Cell::Strong(sum.to_owned())],
        )
    };
    Block::Table {
        caption: None,
        columns: columns([
            ("Item", Align::Left, 1.0),
            ("Quantity", Align::Right, 0.0),
            ("Unit price", Align::Right, 0.0),
            ("Amount", Align::Right, 0.0),
        ]),
        rows: vec![
            line("Panel with battery and siren", "1", "349.00 EUR", "349.00 EUR"),
            line("Contact for doors and windows", "12", "38.50 EUR", "462.00 EUR"),
            line("Repeater", "1", "96.00 EUR", "96.00 EUR"),
            total("Subtotal", "907.00 EUR"),
            line("Tax, 21 %", "", "", "190.47 EUR"),
            total("Total", "1,097.47 EUR"),
        ],
    }
}

/// Every kind of block, tables over pages, long words, accents, hostile names.
pub fn long() -> Document {
    let mut blocks = vec![
        heading(1, "Presupuesto: sistema de alarma para la casa Peñíscola-Güell"),
        Block::Facts(vec![
            ("Site".to_owned(), "Casa Peñíscola-Güell, <b>Villarrosa</b>".to_owned()),
            ("Date".to_owned(), "25 November 2026".to_owned()),
            (
                "Installer, licence and a name of a fact that is long".to_owned(),
                "Alarmas Ñandú & Hijos\nCalle de la Cigüeña 14\n00000 Villarrosa".to_owned(),
            ),
            ("Valid until".to_owned(), "25 December 2026".to_owned()),
        ]),
        paragraph(
            "We have checked by calculation, before a hole is drilled, that the panel hears every \
             sensor of this house. El niño pingüino comió ñoquis en el camión; ¿qué más da? ¡Qué va! \
             Letters that the font of the PDF lacks: 門.",
        ),
        Block::Figures(vec![picture(1600, 1100, "Ground floor with the place of the panel")]),
        heading(2, "Coverage"),
        heading(3, "Planta baja"),
        Block::Paragraph {
            text: "The garage is not heard without a repeater.".to_owned(),
            weight: Weight::Strong,
        },
        Block::Figures(vec![
            picture(1600, 1100, "Without the repeater: the garage and the two windows of the north side are not heard"),
            picture(1600, 1100, "With it"),
        ]),
        Block::Figures(vec![
            picture(500, 900, "Attic"),
            picture(900, 600, "First floor"),
            picture(900, 900, "Cellar"),
        ]),
        Block::Notice {
            title: "Caution".to_owned(),
            lines: vec![
                "Life-safety devices are not replaced by this system. Read what the maker says on where they have to be.".to_owned(),
                "Rindfleischetikettierungsüberwachungsaufgabenübertragungsgesetz_Rindfleischetikettierungsüberwachungsaufgabenübertragungsgesetz".to_owned(),
            ],
        },
        Block::PageBreak,
        heading(2, "Devices"),
        devices(),
        heading(2, "Prices"),
        prices(),
        heading(2, "What this quote assumes"),
        Block::List(vec![
            "The walls are of what the plan says.".to_owned(),
            "Nothing large of metal, a cupboard or an oven, is put between a sensor and the panel afterwards; where one is, its link is to be measured again, since no calculation can know of it.".to_owned(),
            "<img src=x onerror=alert(1)>".to_owned(),
        ]),
    ];
    for _ in 0..4 {
        blocks.push(paragraph(
            "A paragraph that is long enough to run over several lines, and which may stand where a \
             page ends: then its first two and its last two lines stay together, so that none is \
             alone at the foot or the head of a page. Nothing else is said here, and that at length.",
        ));
    }
    blocks.extend([
        Block::Paragraph {
            text: "Levels are estimates; how they are made is in the appendix.".to_owned(),
            weight: Weight::Small,
        },
        Block::Form(Form::Lines { label: "Notes".to_owned(), count: 5 }),
        Block::Form(Form::Signatures(vec![
            "Place, date".to_owned(),
            "The customer".to_owned(),
            "For Alarmas Ñandú & Hijos, Calle de la Cigüeña 14, Villarrosa".to_owned(),
        ])),
    ]);
    document("es", "de", "Presupuesto: casa <Peñíscola-Güell>", blocks)
}

/// One page.
pub fn short() -> Document {
    document(
        "en",
        "of",
        "Test sheet",
        vec![
            heading(1, "Test sheet"),
            paragraph("Open, close and tamper with each device; write what the panel shows."),
            prices(),
            Block::Form(Form::Signatures(vec!["Date and name".to_owned()])),
        ],
    )
}
