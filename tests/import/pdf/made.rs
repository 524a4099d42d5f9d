//! Small PDFs, written object by object.

/// A file that is being written: its objects from number 1 on.
#[derive(Debug, Clone, Default)]
pub struct Made {
    pub objects: Vec<Vec<u8>>,
}

/// Points of the page in a metre of the house at 1:50.
pub const PT: f64 = 72.0 / 0.0254 / 50.0;

impl Made {
    pub fn object(&mut self, text: &str) -> usize {
        self.objects.push(text.as_bytes().to_vec());
        self.objects.len()
    }

    /// A stream with more members of its dictionary.
    pub fn stream(&mut self, members: &str, data: &[u8]) -> usize {
        let head = format!("<< /Length {} {members} >>\nstream\n", data.len());
        self.objects.push([head.as_bytes(), data, b"\nendstream"].concat());
        self.objects.len()
    }

    /// The file, with its list of objects; the last of these is the catalogue.
    pub fn file(&self) -> Vec<u8> {
        let mut file = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n".to_vec();
        let mut places = Vec::new();
        for (number, object) in (1..).zip(&self.objects) {
            places.push(file.len());
            file.extend(format!("{number} 0 obj\n").as_bytes());
            file.extend(object);
            file.extend(b"\nendobj\n");
        }
        let list = file.len();
        let count = self.objects.len() + 1;
        file.extend(format!("xref\n0 {count}\n0000000000 65535 f \n").as_bytes());
        for place in places {
            file.extend(format!("{place:010} 00000 n \n").as_bytes());
        }
        let root = self.objects.len();
        let trailer = format!("trailer\n<< /Size {count} /Root {root} 0 R >>\nstartxref\n{list}\n");
        file.extend(trailer.as_bytes());
        file.extend(b"%%EOF\n");
        file
    }

    /// The file with one page after another, each its content and more members; more members of
    /// the catalogue.
    pub fn with_pages(mut self, pages: &[(&str, &str)], catalogue: &str) -> Vec<u8> {
        let parent = self.objects.len() + 2 * pages.len() + 1;
        let mut kids = String::new();
        for (content, members) in pages {
            let content = self.stream("", content.as_bytes());
            let page = format!(
                "<< /Type /Page /Parent {parent} 0 R /MediaBox [0 0 842 595] \
                 /Contents {content} 0 R {members} >>"
            );
            kids.push_str(&format!("{} 0 R ", self.object(&page)));
        }
        let count = pages.len();
        self.object(&format!("<< /Type /Pages /Kids [{kids}] /Count {count} >>"));
        self.object(&format!("<< /Type /Catalog /Pages {parent} 0 R {catalogue} >>"));
        self.file()
    }
}

/// A file of one page.
pub fn page(content: &str) -> Vec<u8> {
    Made::default().with_pages(&[(content, "")], "")
}

/// A place of the house on the page.
pub fn place((x, y): (f64, f64)) -> String {
    format!("{:.4} {:.4}", 60.0 + x * PT, 50.0 + y * PT)
}

pub fn line(from: (f64, f64), to: (f64, f64)) -> String {
    format!("{} m {} l S\n", place(from), place(to))
}

/// A quarter of a circle as a curve, from an angle on counter-clockwise.
pub fn quarter(middle: (f64, f64), radius: f64, from_deg: f64) -> String {
    // How far the points between stand off, for a quarter (R. Goldapp's is a hair better; from
    // memory).
    const OFF: f64 = 0.552_284_75;
    let turned = |along: f64, beside: f64| {
        let (sin, cos) = from_deg.to_radians().sin_cos();
        let (x, y) = (along * cos - beside * sin, along * sin + beside * cos);
        place((middle.0 + radius * x, middle.1 + radius * y))
    };
    let points = [turned(1.0, OFF), turned(OFF, 1.0), turned(0.0, 1.0)].join(" ");
    format!("{} m {points} c S\n", turned(1.0, 0.0))
}
