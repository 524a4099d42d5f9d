//! A page of a PDF as a picture: what it shows, and what does not come through.

use std::time::Instant;

use import::pdf::{Scale, painted};
use import::{Kind, Settings};
use proptest::prelude::*;

use super::at_50;
use super::made::{Made, PT, line, page, place};
use super::odd::packed;
use crate::known::{imported, plain};
use crate::promises::survives_painting;

/// What a page shows as PNG, decoded again.
fn seen(file: &[u8], number: usize) -> image::RgbImage {
    let painted = painted(file, number).unwrap();
    let (bytes, ending) = painted.picture.encoded().unwrap();
    assert_eq!(ending, "png");
    image::load_from_memory(&bytes).unwrap().into_rgb8()
}

fn refused(file: &[u8], number: usize) -> String {
    painted(file, number).map_or_else(|(what, _)| what, |_| "it is shown".to_owned())
}

/// How dark the page is at a place of the house, 0 to 255.
fn dark(pixels: &image::RgbImage, at: (f64, f64)) -> u8 {
    let scale = f64::from(pixels.width()) / 842.0;
    let (x, y) = ((60.0 + at.0 * PT) * scale, (595.0 - 50.0 - at.1 * PT) * scale);
    255 - pixels.get_pixel(x.round() as u32, y.round() as u32).0[1]
}

#[test]
fn a_page_is_painted_with_its_lines_colours_letters_and_pictures() {
    let mut made = Made::default();
    let picture = "/Type /XObject /Subtype /Image /Width 2 /Height 1 /ColorSpace /DeviceGray \
                   /BitsPerComponent 8";
    let picture = made.stream(picture, &[0, 255]);
    let font = made.object("<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>");
    let resources =
        format!("/Resources << /XObject << /P {picture} 0 R >> /Font << /F {font} 0 R >> >>");
    let content = [
        &format!("3 w {}", line((0.0, 0.0), (4.0, 0.0))),
        "0.5 g ",
        &format!("{} {PT} {PT} re f 0 g ", place((1.0, 1.0))),
        // Only the western half of this is let through.
        &format!("q {} {} {PT} re W n ", place((3.0, 1.0)), PT / 2.0),
        &format!("{} {PT} {PT} re f Q ", place((3.0, 1.0))),
        &format!("q {PT} 0 0 {PT} {} cm /P Do Q ", place((5.0, 1.0))),
        &format!("BT /F 60 Tf {} Td (HHH) Tj ET", place((0.0, 3.0))),
    ]
    .concat();
    let pixels = seen(&made.with_pages(&[(&content, &resources)], ""), 1);
    assert_eq!(pixels.dimensions(), (3508, 2479));
    assert_eq!(dark(&pixels, (2.0, 0.0)), 255);
    assert_eq!(dark(&pixels, (2.0, 0.2)), 0);
    assert!((126..=128).contains(&dark(&pixels, (1.5, 1.5))));
    assert_eq!((dark(&pixels, (3.2, 1.5)), dark(&pixels, (3.8, 1.5))), (255, 0));
    assert_eq!((dark(&pixels, (5.1, 1.5)), dark(&pixels, (5.9, 1.5))), (255, 0));
    let letters = (0..300).filter(|at| dark(&pixels, (f64::from(*at) / 150.0, 3.2)) > 200).count();
    assert!((20..150).contains(&letters), "{letters}");
}

#[test]
fn the_page_that_is_asked_for_stands_upright_and_no_side_is_too_long() {
    let (west, none) = (line((0.0, 0.0), (0.0, 4.0)), String::new());
    let turned = "/Rotate 90";
    // Ten metres by ten.
    let vast = "/MediaBox [0 0 28346 28346]";
    let strip = "/MediaBox [0 0 28346 10]";
    let pages = [(&*west, ""), (&west, turned), (&west, vast), (&west, strip), (&none, "")];
    let file = Made::default().with_pages(&pages, "");
    assert_eq!(painted(&file, 1).unwrap().pages, 5);
    let [one, two, three] = [1, 2, 3].map(|number| seen(&file, number).dimensions());
    assert_eq!((one, two), ((3508, 2479), (2479, 3508)));
    assert_eq!(three, (4800, 4800));
    assert!(refused(&file, 4).contains("a strip"), "{}", refused(&file, 4));
    assert_eq!(refused(&file, 5), "page 5 shows nothing");
    assert_eq!(refused(&file, 6), "there is no page 6; the PDF has 5");
    assert_eq!(refused(&file, 0), "there is no page 0; the PDF has 5");
    assert!(refused(b"%PDF-1.4 nothing", 1).contains("damaged"));
}

#[test]
fn no_script_note_or_file_of_it_comes_through() {
    let mut made = Made::default();
    let script = made.object("<< /S /JavaScript /JS (app.alert\\(1\\)) >>");
    let look =
        made.stream("/Type /XObject /Subtype /Form /BBox [0 0 842 595]", b"0 0 842 595 re f");
    let note = made.object(&format!(
        "<< /Type /Annot /Subtype /Widget /Rect [0 0 842 595] /AP << /N {look} 0 R >> \
         /A {script} 0 R >>"
    ));
    let content = line((0.0, 0.0), (4.0, 0.0));
    let plain = seen(&page(&content), 1);
    let file = made.with_pages(
        &[(&content, &format!("/Annots [{note} 0 R] /AA << /O {script} 0 R >>"))],
        &format!(
            "/OpenAction {script} 0 R /Names << /JavaScript << /Names [(a) {script} 0 R] >> >>"
        ),
    );
    let painted = painted(&file, 1).unwrap();
    let (bytes, _) = painted.picture.encoded().unwrap();
    // The same pixels as those of a page without all that, and nothing else.
    assert_eq!(image::load_from_memory(&bytes).unwrap().into_rgb8(), plain);
    let holds = |word: &[u8]| bytes.windows(word.len()).any(|window| window == word);
    assert!(!holds(b"JavaScript") && !holds(b"alert") && !holds(b"PDF"));
}

#[test]
fn what_would_take_all_time_or_memory_is_refused_soon() {
    let began = Instant::now();
    let xobject = |number: usize| format!("/Resources << /XObject << /X {number} 0 R >> >>");
    let form = |number: usize| {
        format!("/Type /XObject /Subtype /Form /BBox [0 0 900 900] {}", xobject(number))
    };
    let mut nested = Made::default();
    for next in 2..=16 {
        nested.stream(&form(next), "/X Do ".repeat(10).as_bytes());
    }
    let nested = nested.with_pages(&[("/X Do", &xobject(1))], "");
    assert!(refused(&nested, 1).contains("drawing operators"));
    // A circle of forms draws nothing; one that is painted a thousand times over is stopped.
    let mut circle = Made::default();
    circle.stream(&form(1), b"/X Do");
    assert_eq!(
        refused(&circle.with_pages(&[("/X Do", &xobject(1))], ""), 1),
        "page 1 shows nothing"
    );
    let all = "0 0 842 595 re f ".repeat(90_000);
    assert_eq!(refused(&page(&all), 1), "page 1 draws more than can be shown");
    let clips = "0 0 m 842 0 l 421 595 l h W n ".repeat(20_000);
    let clips = refused(&page(&format!("{clips} 0 0 842 595 re f")), 1);
    assert_eq!(clips, "page 1 draws more than can be shown");
    let letters = packed(format!("BT ({}) Tj ET", "a".repeat(8 << 20)).as_bytes());
    let mut long = Made::default();
    let stream = long.stream("/Filter /FlateDecode", &letters);
    long.object(&format!(
        "<< /Type /Page /Parent 3 0 R /MediaBox [0 0 842 595] /Contents {stream} 0 R >>"
    ));
    long.object("<< /Type /Pages /Kids [2 0 R] /Count 1 >>");
    long.object("<< /Type /Catalog /Pages 3 0 R >>");
    assert!(refused(&long.file(), 1).contains("drawing operators"));
    let picture = "/Type /XObject /Subtype /Image /ColorSpace /DeviceGray /BitsPerComponent 8";
    for members in [
        "/Width 60000 /Height 60000",
        "/Width 9 /Height 4000000000",
        "/Width 9 /Height 9000 /Filter /CCITTFaxDecode /DecodeParms << /Columns 4000000000 >>",
        "/Width 9 /Height 9 /Filter /JBIG2Decode",
        "/Width 9 /Height 9 /Filter /JPXDecode",
    ] {
        let mut made = Made::default();
        // The head of a page of 65,000 pixels square, as JBIG2 has it.
        let mut head = vec![0, 0, 0, 0, 0x30, 0, 1, 0, 0, 0, 19];
        head.extend([0, 0, 0xfd, 0xe8, 0, 0, 0xfd, 0xe8, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
        made.stream(&format!("{picture} {members}"), &head);
        let file = made.with_pages(&[("q 800 0 0 600 0 0 cm /X Do Q", &xobject(1))], "");
        assert!(refused(&file, 1).contains("more than can be shown"), "{members}");
    }
    assert!(began.elapsed().as_secs() < 60, "{:?}", began.elapsed());
}

#[test]
fn keys_that_are_written_in_other_ways_are_seen_all_the_same() {
    let zeros = packed(&vec![0; 40 << 20]);
    for filter in ["/Filter /FlateDecode", "/F#69lter /FlateDecode", "/Filter /#46lateDecode"] {
        let mut made = Made::default();
        for _ in 0..8 {
            made.stream(filter, &zeros);
        }
        let file = made.with_pages(&[(&line((0.0, 0.0), (4.0, 0.0)), "")], "");
        assert!(refused(&file, 1).contains("unpacks to more than"), "{filter}");
    }
    // The word that begins a stream inside a text of its dictionary.
    let mut made = Made::default();
    for _ in 0..8 {
        made.stream("/A (>> stream) /Filter /FlateDecode", &zeros);
    }
    let file = made.with_pages(&[(&line((0.0, 0.0), (4.0, 0.0)), "")], "");
    assert!(refused(&file, 1).contains("unpacks to more than"));
    let mut locked = page(&line((0.0, 0.0), (4.0, 0.0)));
    let at = locked.windows(7).rposition(|seven| seven == b"trailer").unwrap();
    locked.splice(at + 11..at + 11, *b" /Encr#79pt << /Filter /Standard /V 1 /R 2 >>");
    assert!(refused(&locked, 1).contains("protected"));
}

#[test]
fn a_scanned_page_goes_the_way_of_a_picture() {
    // The house of the pictures, twenty pixels to a metre, on a page of 1:50.
    let house = fixtures::root().join("tests/fuzz/pictures/house.png");
    let house = image::open(house).unwrap().into_luma8();
    let (wide, high) = house.dimensions();
    let mut made = Made::default();
    let members = format!(
        "/Type /XObject /Subtype /Image /Width {wide} /Height {high} /ColorSpace /DeviceGray \
         /BitsPerComponent 8 /Filter /FlateDecode"
    );
    let picture = made.stream(&members, &packed(house.as_raw()));
    let (x, y) = (f64::from(wide) / 20.0 * PT, f64::from(high) / 20.0 * PT);
    let content = format!("q {x} 0 0 {y} 100 60 cm /P Do Q");
    let resources = format!("/Resources << /XObject << /P {picture} 0 R >> >>");
    let file = made.with_pages(&[(&content, &resources)], "");
    let walls = |draft: &import::Draft| {
        let text: serde_json::Value = serde_json::from_str(&draft.text()).unwrap();
        let all = text["features"].as_array().unwrap().iter();
        let walls = all.filter(|one| one["properties"]["kind"] == "wall");
        let ends = walls.flat_map(|one| one["geometry"]["coordinates"].as_array().unwrap().clone());
        let xs: Vec<f64> = ends.map(|at| at[0].as_f64().unwrap()).collect();
        let most = |pick: fn(f64, f64) -> f64| xs.iter().copied().reduce(pick).unwrap();
        most(f64::max) - most(f64::min)
    };
    let (scan, _) = imported(Kind::Pdf, "t.pdf", &file, &at_50());
    let bytes = std::fs::read(fixtures::root().join("tests/fuzz/pictures/house.png")).unwrap();
    let by_length = Settings { lengths: vec![(1.0, 20.0)], ..at_50() };
    let (picture, _) = imported(Kind::Picture, "t.png", &bytes, &by_length);
    assert!((walls(&scan) - walls(&picture)).abs() < 0.05, "{}", walls(&scan));
    let ground = scan.ground.unwrap();
    assert_eq!((ground.ending, &ground.bytes[..4]), ("png", &b"\x89PNG"[..]));
    let by_point = Settings { scale: Some(Scale::MetresPerPoint(1.0 / PT)), ..plain() };
    let (again, _) = imported(Kind::Pdf, "t.pdf", &file, &by_point);
    assert!((walls(&again) - walls(&picture)).abs() < 0.05);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn a_page_with_bytes_changed_is_refused_or_shown(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..20),
    ) {
        let square = format!("{} {PT} {PT} re W n 0 0 842 595 re f", place((1.0, 1.0)));
        let mut file = page(&format!("3 w {} [9 3] 0 d {square}", line((0.0, 0.0), (4.0, 0.0))));
        for (at, byte) in changes {
            let at = at.index(file.len());
            file[at] = byte;
        }
        survives_painting(&file);
    }
}
