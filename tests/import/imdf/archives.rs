//! Archives that are none, that lie, or that hold too much are refused, in little time and memory.

use import::Kind;
use plan::Diagnostic;
use zip::CompressionMethod;

use super::made::{MANIFEST, arcade, arcade_changed, arcade_with, packed, packed_by};
use crate::known::{imported, plain, refused};
use crate::promises::ARCADE;

fn only_fault(bytes: &[u8]) -> Diagnostic {
    let faults = refused(Kind::Imdf, "quay.zip", bytes);
    assert_eq!(faults.len(), 1, "{faults:?}");
    faults[0].clone()
}

#[track_caller]
fn is_refused(bytes: &[u8], place: &str, what: &str) {
    let fault = only_fault(bytes);
    assert_eq!(fault.file, place, "{fault}");
    assert!(fault.what.contains(what), "{fault}");
}

/// Every place of some bytes in others.
fn places(bytes: &[u8], wanted: &[u8]) -> Vec<usize> {
    let windows = bytes.windows(wanted.len()).enumerate();
    windows.filter(|(_, window)| *window == wanted).map(|(at, _)| at).collect()
}

/// The arcade with two bytes changed in every header: at one distance from the head of a member, at
/// another from its row in the list at the end (ZIP application note 6.3, §4.3.7 and §4.3.12).
fn with_headers(at_head: usize, at_row: usize, value: [u8; 2]) -> Vec<u8> {
    let mut bytes = packed_by(&arcade_with(&[]), CompressionMethod::Stored);
    for (signature, distance) in [(b"PK\x03\x04", at_head), (b"PK\x01\x02", at_row)] {
        let found = places(&bytes, signature);
        assert_eq!(found.len(), ARCADE.len());
        for at in found {
            bytes[at + distance..at + distance + 2].copy_from_slice(&value);
        }
    }
    bytes
}

#[test]
fn what_is_no_archive_is_refused() {
    is_refused(b"", "quay.zip", "the ZIP archive cannot be read");
    is_refused(b"PK\x03\x04", "quay.zip", "the ZIP archive cannot be read");
    is_refused(
        b"PK\x03\x04 and nothing that follows from it",
        "quay.zip",
        "the ZIP archive cannot be read",
    );
    let whole = arcade();
    for length in [whole.len() / 2, whole.len() - 30, whole.len() - 1] {
        is_refused(&whole[..length], "quay.zip", "the ZIP archive cannot be read");
    }
}

#[test]
fn an_archive_without_a_manifest_is_told_what_it_should_be() {
    let bytes = packed(&arcade_with(&[("manifest.json", "")]));
    let fault = only_fault(&bytes);
    assert!(fault.what.contains("no manifest.json"), "{fault}");
    assert!(fault.fix.contains("\"version\": \"1.0.0\""), "{fault}");
    // Two folders down is not at the top.
    let deep = [("a/b/manifest.json".to_owned(), MANIFEST.as_bytes().to_vec())];
    is_refused(&packed(&deep), "quay.zip", "no manifest.json");
}

#[test]
fn a_manifest_must_be_json_with_a_version() {
    let bytes = arcade_changed("manifest.json", |_| "{\n  \"version\": \"1.0.0\",,\n}".to_owned());
    let fault = only_fault(&bytes);
    assert_eq!((fault.file.as_str(), fault.line), ("quay.zip/manifest.json", 2), "{fault}");
    for manifest in ["[]", "{}", "{\"version\": 1.0}", "7"] {
        let bytes = arcade_changed("manifest.json", |_| manifest.to_owned());
        is_refused(&bytes, "quay.zip/manifest.json", "no version");
    }
}

#[test]
fn another_version_is_read_and_told() {
    let bytes = arcade_changed("manifest.json", |text| text.replace("1.0.0", "2.1"));
    let (draft, _) = imported(Kind::Imdf, "quay.zip", &bytes, &plain());
    let told = draft.guesses.iter().find(|guess| guess.about == "manifest.json").unwrap();
    assert!(told.taken.contains("version \"2.1\""), "{told:?}");
    let (draft, _) = imported(Kind::Imdf, "quay.zip", &arcade(), &plain());
    assert!(draft.guesses.iter().all(|guess| guess.about != "manifest.json"));
}

#[test]
fn an_archive_with_two_manifests_holds_two_venues() {
    let mut files = arcade_with(&[]);
    files.push(("other/manifest.json".to_owned(), MANIFEST.into()));
    is_refused(&packed(&files), "quay.zip", "two venues");
}

#[test]
fn encrypted_members_are_refused() {
    is_refused(&with_headers(6, 8, [1, 0]), "quay.zip/manifest.json", "encrypted");
}

#[test]
fn members_compressed_in_a_way_that_is_not_read_are_refused() {
    // 12 is BZIP2 (ZIP application note 6.3, §4.4.5).
    is_refused(&with_headers(8, 10, [12, 0]), "quay.zip/manifest.json", "by the method \"Bzip2\"");
}

#[test]
fn two_members_of_one_name_are_refused() {
    let mut files = arcade_with(&[]);
    files.push(("unit.geojsoo".to_owned(), b"{}".to_vec()));
    let mut bytes = packed(&files);
    for at in places(&bytes, b"unit.geojsoo") {
        bytes[at + 11] = b'n';
    }
    is_refused(&bytes, "quay.zip", "same name");
    let mut files = arcade_with(&[]);
    files.push(("more/a.geojson".to_owned(), b"{}".to_vec()));
    files.push(("more\\a.geojson".to_owned(), b"{}".to_vec()));
    is_refused(&packed(&files), "quay.zip", "more/a.geojson");
}

#[test]
fn members_that_point_out_of_the_archive_are_refused() {
    for name in ["../unit.geojson", "quay/../../x", "/etc/x.geojson", "..\\x", "c:\\x.geojson"] {
        let mut files = arcade_with(&[]);
        files.push((name.to_owned(), b"{}".to_vec()));
        is_refused(&packed(&files), "quay.zip", "points out of the archive");
    }
}

#[test]
fn a_bomb_is_refused_whether_it_says_so_or_not() {
    let zeros = vec![b' '; 70 << 20];
    let mut files = arcade_with(&[("unit.geojson", "")]);
    files.push(("unit.geojson".to_owned(), zeros));
    let mut bomb = packed(&files);
    assert!(bomb.len() < 1 << 20, "{} bytes", bomb.len());
    is_refused(&bomb, "quay.zip/unit.geojson", "more than 64 MiB");
    // Now it says that it holds ten bytes: at 22 of a head and 24 of a row stands how long it is
    // unpacked.
    let size = u32::try_from(70 << 20).unwrap().to_le_bytes();
    for at in places(&bomb, &size) {
        bomb[at..at + 4].copy_from_slice(&10_u32.to_le_bytes());
    }
    let fault = only_fault(&bomb);
    assert_eq!(fault.file, "quay.zip/unit.geojson", "{fault}");
}

#[test]
fn the_length_that_a_member_claims_is_not_believed() {
    // 22 of a head and 24 of a row: the length unpacked; its upper half makes four gigabytes of it,
    // thirteen times. What is in the members counts.
    let bytes = with_headers(24, 26, [0xfe, 0xff]);
    let (draft, _) = imported(Kind::Imdf, "quay-arcade.zip", &bytes, &plain());
    let (same, _) = imported(Kind::Imdf, "quay-arcade.zip", &arcade(), &plain());
    assert_eq!(draft.text(), same.text());
}

#[test]
fn a_million_million_members_make_no_room() {
    let whole = arcade();
    let list_at = places(&whole, b"PK\x01\x02")[0] as u64;
    let end_at = whole.len() - 22;
    // The record at the end in its long form, with where it is, and the short one that points there
    // (ZIP application note 6.3, §4.3.14 to §4.3.16).
    let mut lie = whole[..end_at].to_vec();
    lie.extend(b"PK\x06\x06");
    lie.extend(44_u64.to_le_bytes());
    lie.extend([45, 0, 45, 0]);
    lie.extend([0; 8]);
    lie.extend((1_u64 << 40).to_le_bytes());
    lie.extend((1_u64 << 40).to_le_bytes());
    lie.extend((1_u64 << 50).to_le_bytes());
    lie.extend(list_at.to_le_bytes());
    lie.extend(b"PK\x06\x07");
    lie.extend([0; 4]);
    lie.extend((end_at as u64).to_le_bytes());
    lie.extend(1_u32.to_le_bytes());
    lie.extend(b"PK\x05\x06");
    lie.extend([0; 4]);
    lie.extend([0xff; 12]);
    lie.extend([0; 2]);
    is_refused(&lie, "quay.zip", "more than 1000 members");
    // In the short form.
    let mut lie = whole.clone();
    lie[end_at + 8..end_at + 12].copy_from_slice(&[0xe9, 0x03, 0xe9, 0x03]);
    is_refused(&lie, "quay.zip", "more than 1000 members");
    // Truly so many.
    let mut files = arcade_with(&[]);
    files.extend((0..1_000).map(|number| (format!("{number}"), Vec::new())));
    is_refused(&packed(&files), "quay.zip", "more than 1000 members");
}

#[test]
fn a_member_must_be_utf_8_and_may_begin_with_a_byte_order_mark() {
    let mut files = arcade_with(&[]);
    for (name, bytes) in &mut files {
        if name == "unit.geojson" {
            bytes.insert(100, 0xff);
        }
    }
    is_refused(&packed(&files), "quay.zip/unit.geojson", "byte 100");
    let bytes = arcade_changed("unit.geojson", |text| format!("\u{feff}{text}"));
    let (draft, _) = imported(Kind::Imdf, "quay-arcade.zip", &bytes, &plain());
    let (same, _) = imported(Kind::Imdf, "quay-arcade.zip", &arcade(), &plain());
    assert_eq!(draft.text(), same.text());
}

#[test]
fn a_damaged_member_is_refused() {
    let mut bytes = packed_by(&arcade_with(&[]), CompressionMethod::Stored);
    let at = places(&bytes, b"Brightwater")[0];
    bytes[at] = b'b';
    is_refused(&bytes, "quay.zip/occupant.geojson", "cannot be unpacked");
}

#[test]
fn more_values_than_a_plan_can_hold_are_refused_before_they_are_understood() {
    let many = format!("{{\"features\": [{}0]}}", "0,".repeat(1_200_001));
    let bytes = arcade_changed("unit.geojson", |_| many);
    is_refused(&bytes, "quay.zip/unit.geojson", "values");
}
