//! PDFs that are no floor plans, or were made to do harm.

use std::io::Write as _;
use std::time::Instant;

use flate2::Compression;
use flate2::write::ZlibEncoder;
use import::Kind;
use proptest::prelude::*;

use super::made::{Made, page};
use super::{at_50, content, told};
use crate::known::{imported, refused};
use crate::promises::survives;

fn says(file: &[u8], what: &str) {
    let faults = refused(Kind::Pdf, "t.pdf", file);
    assert!(faults[0].what.contains(what), "{faults:?}");
}

pub fn packed(data: &[u8]) -> Vec<u8> {
    let mut packing = ZlibEncoder::new(Vec::new(), Compression::best());
    packing.write_all(data).unwrap();
    packing.finish().unwrap()
}

#[test]
pub fn packed_content_and_a_torn_list_of_objects_give_the_same_plan() {
    let wanted = told(&imported(Kind::Pdf, "t.pdf", &page(&content()), &at_50()).0);
    let mut made = Made::default();
    // Between two lines of it.
    let all = content();
    let (half, rest) = all.split_at(all.match_indices('\n').nth(20).unwrap().0);
    let a = made.stream("/Filter /FlateDecode", &packed(half.as_bytes()));
    let b = made.stream("/Filter [/FlateDecode]", &packed(rest.as_bytes()));
    made.object(&format!(
        "<< /Type /Page /Parent 4 0 R /MediaBox [0 0 842 595] /Contents [{a} 0 R {b} 0 R] >>"
    ));
    made.object("<< /Type /Pages /Kids [3 0 R] /Count 1 >>");
    made.object("<< /Type /Catalog /Pages 4 0 R >>");
    let file = made.file();
    assert_eq!(told(&imported(Kind::Pdf, "t.pdf", &file, &at_50()).0), wanted);
    let begin = file.windows(4).rposition(|four| four == b"xref").unwrap() - 5;
    let list = file[..begin].windows(4).rposition(|four| four == b"xref").unwrap();
    let torn = [&file[..list + 8], b"%%EOF\n"].concat();
    assert_eq!(told(&imported(Kind::Pdf, "t.pdf", &torn, &at_50()).0), wanted);
}

#[test]
fn what_is_no_plan_is_refused_with_what_helps() {
    says(b"%PDF-1.4\nnothing", "damaged");
    says(&page(""), "page 1 has no lines");
    let mut made = Made::default();
    let picture = "/Type /XObject /Subtype /Image /Width 1 /Height 1 /ColorSpace /DeviceGray \
                   /BitsPerComponent 8";
    let picture = made.stream(picture, &[0]);
    let resources = format!("/Resources << /XObject << /P {picture} 0 R >> >>");
    let scan = made.with_pages(&[("q 800 0 0 600 0 0 cm /P Do Q 0 0 m 9 9 l S", &resources)], "");
    says(&scan, "page 1 is a picture (a scan)");
    let fix = &refused(Kind::Pdf, "t.pdf", &scan)[0].fix;
    assert!(fix.contains("--scale 1:50") && fix.contains("--length"), "{fix}");
    let inline = "q 800 0 0 600 0 0 cm BI /W 1 /H 1 /CS /G /BPC 8 ID x EI Q";
    says(&page(inline), "page 1 is a picture (a scan)");
    let mut locked = Made::default().with_pages(&[(&content(), "")], "");
    let at = locked.windows(7).rposition(|seven| seven == b"trailer").unwrap();
    locked.splice(at + 11..at + 11, *b" /Encrypt << /Filter /Standard /V 1 /R 2 >>");
    says(&locked, "protected");
}

#[test]
fn forms_in_a_circle_or_too_deep_or_too_many_are_refused() {
    let form = |number: usize| {
        format!(
            "/Type /XObject /Subtype /Form /BBox [0 0 9 9] \
             /Resources << /XObject << /X {number} 0 R >> >>"
        )
    };
    let on_page =
        |made: Made| made.with_pages(&[("/X Do", "/Resources << /XObject << /X 1 0 R >> >>")], "");
    let mut circle = Made::default();
    circle.stream(&form(2), b"/X Do");
    circle.stream(&form(1), b"/X Do");
    says(&on_page(circle), "page 1 has no lines");
    let mut deep = Made::default();
    for next in 2..=60 {
        deep.stream(&form(next), b"/X Do");
    }
    says(&on_page(deep), "nested more than");
    // Each draws the next ten times: a thousand million million in all.
    let mut many = Made::default();
    for next in 2..=16 {
        many.stream(&form(next), "/X Do ".repeat(10).as_bytes());
    }
    let began = Instant::now();
    says(&on_page(many), "drawing operators");
    assert!(began.elapsed().as_secs() < 20, "{:?}", began.elapsed());
}

#[test]
fn what_unpacks_to_gigabytes_is_refused_at_once() {
    let zeros = packed(&vec![0; 40 << 20]);
    let blank = packed(&vec![b' '; 20 << 20]);
    let began = Instant::now();
    let mut made = Made::default();
    for _ in 0..8 {
        made.stream("/Filter /FlateDecode", &zeros);
    }
    says(&made.with_pages(&[(&content(), "")], ""), "unpacks to more than 256 MiB");
    let twice = packed(&zeros);
    for filter in ["[/FlateDecode /FlateDecode]", "[ /FlateDecode/LZWDecode ]"] {
        let mut made = Made::default();
        made.stream(&format!("/Filter {filter}"), &twice.repeat(8));
        says(&made.with_pages(&[(&content(), "")], ""), "unpacks to more than 256 MiB");
    }
    // One stream of 20 MiB, a thousand times on a page; and on many pages.
    let mut made = Made::default();
    let stream = made.stream("/Filter /FlateDecode", &blank);
    let contents = |times: usize| format!("/Contents [{}]", format!("{stream} 0 R ").repeat(times));
    let page = |contents: String| {
        format!("<< /Type /Page /Parent 99 0 R /MediaBox [0 0 842 595] {contents} >>")
    };
    let mut often = made.clone();
    often.object(&page(contents(1000)));
    often.object("<< /Type /Pages /Kids [2 0 R] /Count 1 >>");
    often.object("<< /Type /Catalog /Pages 3 0 R >>");
    says(&often.file(), "unpacks to more than 256 MiB");
    for _ in 0..50 {
        made.object(&page(contents(10)));
    }
    let kids: String = (2..52).map(|number| format!("{number} 0 R ")).collect();
    made.object(&format!("<< /Type /Pages /Kids [{kids}] /Count 50 >>"));
    made.object("<< /Type /Catalog /Pages 52 0 R >>");
    says(&made.file(), "drawing operators");
    assert!(began.elapsed().as_secs() < 20, "{:?}", began.elapsed());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn a_page_with_anything_drawn_is_refused_or_sound(
        operators in prop::collection::vec(
            "-?[0-9]{1,4}(\\.[0-9]{1,2})?|[qQmlhSfBnbvyc]|re|cm|w|d|BDC|EMC|Do|/OC|\\[|\\]|\\(|\\)|<<|>>|BT|ET|Tj",
            0..60,
        ),
        at in any::<prop::sample::Index>(),
    ) {
        let mut lines: Vec<String> = content().lines().map(str::to_owned).collect();
        lines.insert(at.index(lines.len()), operators.join(" "));
        let says = "BT (1:50) Tj ET".to_owned();
        survives(Kind::Pdf, &page(&[vec![says], lines].concat().join("\n")));
    }

    #[test]
    fn a_file_with_bytes_changed_is_refused_or_sound(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..20),
    ) {
        let mut file = page(&format!("BT (1:50) Tj ET {}", content()));
        for (at, byte) in changes {
            let at = at.index(file.len());
            file[at] = byte;
        }
        survives(Kind::Pdf, &file);
    }
}
