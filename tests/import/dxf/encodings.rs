//! Names in the codepages of older drawings, and units that the header says wrongly.

use import::{Kind, What, draft};

use super::super::known::plain;
use super::drawing::{binary, two_rooms};
use super::features::{close, read, total};

/// A drawing with its layer of walls and a room called as bytes say, of a version and codepage.
fn bytes(version: &str, codepage: &str, walls: &[u8], room: &[u8]) -> Vec<u8> {
    let mut drawing = two_rooms();
    drawing.header += &format!("9\n$ACADVER\n1\n{version}\n9\n$DWGCODEPAGE\n3\n{codepage}\n");
    drawing.add("0\nTEXT\n8\nNOTES\n10\n1000\n20\n2000\n40\n200\n1\nROOM HERE\n");
    let mut rest = drawing.text().into_bytes();
    for (word, letters) in [(&b"A-WALL"[..], walls), (b"ROOM HERE", room)] {
        let mut out = Vec::new();
        while let Some(at) = rest.windows(word.len()).position(|window| window == word) {
            out.extend(&rest[..at]);
            out.extend(letters);
            rest.drain(..at + word.len());
        }
        out.extend(rest);
        rest = out;
    }
    rest
}

fn room(bytes: &[u8]) -> String {
    let draft = draft(Kind::Dxf, "a.dxf", bytes, &plain()).unwrap();
    // Without a name that says walls the lines do; so the layer's name is asked for, too.
    let by_name = |guess: &import::Guess| guess.taken == "taken as walls, by its name";
    assert!(draft.guesses.iter().any(by_name), "{:#?}", draft.guesses);
    let room = draft.pieces.into_iter().find(|piece| piece.what == What::Room);
    room.and_then(|room| room.name).unwrap_or_default()
}

#[test]
fn names_of_older_drawings_are_read_in_their_codepage() {
    let old =
        |codepage: &str, walls: &[u8], name: &[u8]| room(&bytes("AC1015", codepage, walls, name));
    assert_eq!(old("ANSI_932", b"\x95\xc7", b"\x8b\x8f\x8a\xd4"), "居間");
    assert_eq!(old("ANSI_936", b"\xc7\xbd", b"\xb3\xf8\xb7\xbf"), "厨房");
    assert_eq!(old("ANSI_949", b"\xba\xae", b"\xb0\xc5\xbd\xc7"), "거실");
    assert_eq!(old("ANSI_950", b"WALL", b"\xbcp\xa9\xd0"), "廚房");
    assert_eq!(old("ANSI_1251", b"\xd1\xf2\xe5\xed\xfb", b"\xea\xf3\xf5\xed\xff"), "кухня");
    assert_eq!(old("ANSI_1252", b"W\xe4nde", b"K\xfcche"), "Küche");
    assert_eq!(old("what?", b"W\xe4nde", b"K\xfcche"), "Küche");
    // Without a codepage, where the bytes themselves say it.
    assert_eq!(old("what?", b"\x8a\x4f\x95\xc7", b"\x8b\x8f\x8a\xd4"), "居間");
    assert_eq!(old("what?", b"\xc7\xbd\xcc\xe5", b"\xb3\xf8\xb7\xbf"), "厨房");
    // Letters by their codes, of a codepage or of Unicode.
    assert_eq!(old("ANSI_1252", b"\\M+195C7", b"\\M+18B8F\\U+9593"), "居間");
    // UTF-8 where it is plainly that, whatever is said; and from 2007 on always.
    assert_eq!(old("ANSI_932", "壁".as_bytes(), "居間".as_bytes()), "居間");
    assert_eq!(old("ANSI_1251", "Стены".as_bytes(), "кухня".as_bytes()), "кухня");
    let new = bytes("AC1027", "ANSI_936", "Wände".as_bytes(), "Küche".as_bytes());
    assert_eq!(room(&new), "Küche");
}

#[test]
fn a_codepage_holds_for_binary_drawings_too() {
    let mut drawing = two_rooms();
    drawing.header += "9\n$ACADVER\n1\nAC1012\n9\n$DWGCODEPAGE\n3\nANSI_932\n";
    drawing.add("0\nTEXT\n8\nNOTES\n10\n1000\n20\n2000\n40\n200\n1\nKITCHEN\n");
    let mut file = binary(&drawing.text(), true);
    let at = file.windows(7).position(|window| window == b"KITCHEN").unwrap();
    file.splice(at..at + 7, b"\x8b\x8f\x8a\xd4".iter().copied());
    assert_eq!(room(&file), "居間");
}

#[test]
fn a_unit_with_which_walls_are_no_walls_is_not_believed() {
    let true_m = total(&read(&two_rooms()));
    for said in [1, 2, 5, 6, 14] {
        let mut drawing = two_rooms();
        drawing.header = format!("9\n$INSUNITS\n70\n{said}\n");
        let draft = read(&drawing);
        close(total(&draft), true_m);
        assert!(draft.guesses.iter().any(|guess| guess.about == "unit"), "{said}");
    }
}
