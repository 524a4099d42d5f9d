//! Small drawings as text.

/// A drawing that is being written.
#[derive(Debug, Clone, Default)]
pub struct Drawing {
    pub header: String,
    pub blocks: String,
    pub entities: String,
}

/// Groups as lines.
pub fn groups(groups: &[(i32, &str)]) -> String {
    groups.iter().map(|(code, value)| format!("{code}\n{value}\n")).collect()
}

pub fn line(layer: &str, from: (f64, f64), to: (f64, f64)) -> String {
    format!("0\nLINE\n8\n{layer}\n10\n{}\n20\n{}\n11\n{}\n21\n{}\n", from.0, from.1, to.0, to.1)
}

pub fn rectangle(layer: &str, low: (f64, f64), high: (f64, f64)) -> String {
    let corners = [low, (high.0, low.1), high, (low.0, high.1)];
    polyline(layer, true, &corners.map(|(x, y)| (x, y, 0.0)))
}

/// Corners with their bulges.
pub fn polyline(layer: &str, closed: bool, corners: &[(f64, f64, f64)]) -> String {
    let mut text =
        format!("0\nLWPOLYLINE\n8\n{layer}\n90\n{}\n70\n{}\n", corners.len(), i32::from(closed));
    for (x, y, bulge) in corners {
        text.push_str(&format!("10\n{x}\n20\n{y}\n42\n{bulge}\n"));
    }
    text
}

pub fn arc(layer: &str, centre: (f64, f64), radius: f64, start: f64, end: f64) -> String {
    format!(
        "0\nARC\n8\n{layer}\n10\n{}\n20\n{}\n40\n{radius}\n50\n{start}\n51\n{end}\n",
        centre.0, centre.1
    )
}

/// A block inserted, with more groups of its own.
pub fn insert(layer: &str, block: &str, at: (f64, f64), more: &[(i32, &str)]) -> String {
    format!("0\nINSERT\n8\n{layer}\n2\n{block}\n10\n{}\n20\n{}\n{}", at.0, at.1, groups(more))
}

impl Drawing {
    /// A drawing in a unit of the header's.
    pub fn in_unit(unit: i32) -> Self {
        Self { header: format!("9\n$INSUNITS\n70\n{unit}\n"), ..Self::default() }
    }

    pub fn add(&mut self, entity: &str) {
        self.entities.push_str(entity);
    }

    pub fn block(&mut self, name: &str, base: (f64, f64), entities: &str) {
        self.blocks.push_str(&format!(
            "0\nBLOCK\n8\n0\n2\n{name}\n70\n0\n10\n{}\n20\n{}\n{entities}0\nENDBLK\n8\n0\n",
            base.0, base.1
        ));
    }

    pub fn text(&self) -> String {
        let section = |name: &str, of: &str| format!("0\nSECTION\n2\n{name}\n{of}0\nENDSEC\n");
        section("HEADER", &self.header)
            + &section("BLOCKS", &self.blocks)
            + &section("ENTITIES", &self.entities)
            + "0\nEOF\n"
    }
}

/// Two rooms of 8 by 5 metres outside, drawn in millimetres: outside walls 300 thick, a partition
/// 100 thick with a door of 900 in it, and a window of 1200 in the front wall, whose faces go on
/// behind it.
pub fn two_rooms() -> Drawing {
    let mut drawing = Drawing::in_unit(4);
    drawing.add(&rectangle("A-WALL", (0.0, 0.0), (8_000.0, 5_000.0)));
    let inner = |x: f64, door: f64| {
        // Three sides of a room, and its side of the partition in two parts.
        let mut text = line("A-WALL", (door, 300.0), (x, 300.0));
        text += &line("A-WALL", (x, 300.0), (x, 4_700.0));
        text += &line("A-WALL", (x, 4_700.0), (door, 4_700.0));
        text += &line("A-WALL", (door, 4_700.0), (door, 2_900.0));
        text + &line("A-WALL", (door, 2_000.0), (door, 300.0))
    };
    drawing.add(&inner(300.0, 4_000.0));
    drawing.add(&inner(7_700.0, 4_100.0));
    drawing.add(&line("A-WALL", (4_000.0, 2_000.0), (4_100.0, 2_000.0)));
    drawing.add(&line("A-WALL", (4_000.0, 2_900.0), (4_100.0, 2_900.0)));
    drawing.add(&arc("A-DOOR", (4_000.0, 2_000.0), 900.0, 90.0, 180.0));
    drawing.add(&line("A-DOOR", (4_000.0, 2_000.0), (3_100.0, 2_000.0)));
    drawing.add(&rectangle("A-GLAZ", (1_500.0, 100.0), (2_700.0, 200.0)));
    drawing.add(&rectangle("A-FURN", (500.0, 3_000.0), (1_400.0, 4_600.0)));
    drawing
}

/// The same in binary form, with group codes of one byte or of two.
pub fn binary(text: &str, wide: bool) -> Vec<u8> {
    // The sentinel of binary drawings.
    let mut bytes = include_bytes!("files/binary.dxf")[..22].to_vec();
    let lines: Vec<&str> = text.lines().collect();
    for pair in lines.chunks(2) {
        let code: i16 = pair[0].trim().parse().unwrap();
        match (wide, u8::try_from(code)) {
            (false, Ok(code)) => bytes.push(code),
            (false, Err(_)) => {
                bytes.push(255);
                bytes.extend(code.to_le_bytes());
            }
            (true, _) => bytes.extend(code.to_le_bytes()),
        }
        match code {
            10..=59 | 210..=239 => bytes.extend(pair[1].parse::<f64>().unwrap().to_le_bytes()),
            60..=79 => bytes.extend(pair[1].parse::<i16>().unwrap().to_le_bytes()),
            90..=99 => bytes.extend(pair[1].parse::<i32>().unwrap().to_le_bytes()),
            _ => {
                bytes.extend(pair[1].as_bytes());
                bytes.push(0);
            }
        }
    }
    bytes
}
