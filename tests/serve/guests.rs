//! Guests: who gets in, what they may do, and how they are shown out.

use std::fs;
use std::io::{Read as _, Write as _};
use std::net::{IpAddr, TcpStream};
use std::sync::Arc;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use serve::{May, Share, chosen, half_blocks, is_local, modules};
use tungstenite::Message;

use crate::client::{Page, Served, moves};
use crate::guest::{FIRST, SECOND, Shared, Tls};

/// Why a page was shown out.
fn why(page: &mut Page<Tls>) -> String {
    loop {
        match page.0.read() {
            Ok(Message::Close(Some(frame))) => return frame.reason.to_string(),
            Ok(Message::Close(None)) | Err(_) => return String::new(),
            Ok(_) => {}
        }
    }
}

fn present(page: &mut Page, guests: u64) -> Value {
    page.wait_for("present", |present| present["guests"] == guests)
}

#[test]
fn a_guest_reads_and_the_desk_sees_that_it_is_there() {
    let shared = Shared::new("bungalow");
    let mut desk = shared.served.page("desk");
    let alone = present(&mut desk, 0);
    assert_eq!((&alone["you"], &alone["desks"]), (&json!("desk"), &json!(1)));
    assert_eq!(alone["shared"]["may"], Value::Null);
    assert_eq!(alone["shared"]["fingerprint"], shared.share.fingerprint().unwrap());
    desk.say(&json!({"type": "share", "may": "reading"}));
    let invited = desk.wait("invited");
    let address = invited["address"].as_str().unwrap();
    let (at, key) = address.split_once('#').unwrap();
    assert_eq!(at, format!("https://{}/", shared.share.address()));
    assert_eq!(key.len(), 22, "128 bits");
    assert_eq!(invited["code"].as_array().unwrap().len(), modules(address).len());
    assert_eq!(desk.wait("present")["shared"]["used"], false);

    let mut guest = shared.page(key, FIRST);
    guest.wait("plan");
    let here = guest.wait_for("present", |here| here["guests"] == 1);
    assert_eq!((&here["you"], &here["desks"]), (&json!("reading"), &json!(1)));
    assert_eq!(here["shared"], Value::Null, "how to share is for the desk");
    let seen = present(&mut desk, 1);
    assert_eq!(
        (&seen["shared"]["used"], &seen["shared"]["may"]),
        (&json!(true), &json!("reading"))
    );
    assert!(!seen.to_string().contains(key), "the key is shown once");
    guest.table(0);
    guest.say(&json!({"type": "measure", "seq": 1, "texts": ["3.2"]}));
    guest.wait("measured");
    guest.say(&json!({"type": "map", "kind": "anywhere", "level": 0}));
    while guest.map().kind != 1 {}
    desk.say(&moves("edit", 1, "panel", [1.0, 1.0]));
    assert_eq!(guest.wait_for("plan", |plan| plan["version"] == 2)["undo"], 1);
    drop(guest);
    present(&mut desk, 0);
}

#[test]
fn a_guest_who_reads_changes_nothing() {
    let shared = Shared::new("bungalow");
    let before = fs::read(&shared.served.plan).unwrap();
    let mut guest = shared.page(&shared.key(May::Reading), FIRST);
    guest.wait("plan");
    for asked in [
        moves("edit", 7, "panel", [1.0, 1.0]),
        moves("try", 8, "panel", [1.0, 1.0]),
        json!({"type": "undo"}),
        json!({"type": "redo"}),
        json!({"type": "save"}),
        json!({"type": "save", "as": "mine.geojson"}),
        json!({"type": "tidy"}),
        json!({"type": "level", "do": "add"}),
        json!({"type": "take", "what": "quote"}),
        json!({"type": "take", "what": "pictures"}),
        json!({"type": "start", "with": "empty"}),
        json!({"type": "share", "may": "editing"}),
        json!({"type": "withdraw"}),
    ] {
        guest.say(&asked);
        let refused = guest.wait("refused");
        assert!(refused["what"].as_str().unwrap().contains("may read"), "{asked}: {refused}");
        assert_eq!(refused["version"], 1, "{asked}");
        assert_eq!(refused.get("seq"), asked.get("seq"), "{asked}");
    }
    let names: Vec<_> = fs::read_dir(shared.served.folder.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name())
        .filter(|name| !name.to_string_lossy().starts_with('.'))
        .collect();
    assert_eq!(names, ["plan.geojson"]);
    assert_eq!(fs::read(&shared.served.plan).unwrap(), before);
}

#[test]
fn a_guest_who_edits_may_do_all_but_invite() {
    let shared = Shared::new("bungalow");
    let mut desk = shared.served.page("desk");
    let mut guest = shared.page(&shared.key(May::Editing), FIRST);
    assert_eq!(guest.wait("present")["you"], "editing");
    guest.say(&moves("edit", 1, "panel", [1.0, 1.0]));
    assert_eq!(guest.table(1)["version"], 2);
    assert_eq!(desk.wait_for("plan", |plan| plan["version"] == 2)["unsaved"], 1);
    guest.say(&json!({"type": "undo"}));
    guest.wait_for("plan", |plan| plan["version"] == 3);
    guest.say(&json!({"type": "save", "as": "mine.geojson"}));
    assert_eq!(guest.wait("saved")["file"], "mine.geojson");
    for asked in [json!({"type": "share", "may": "editing"}), json!({"type": "withdraw"})] {
        guest.say(&asked);
        assert!(guest.wait("refused")["fix"].as_str().unwrap().contains("desk"));
    }
    // Its key holds all the same.
    guest.say(&json!({"type": "redo"}));
    guest.wait_for("plan", |plan| plan["version"] == 4);
}

#[test]
fn a_key_holds_for_one_device() {
    let shared = Shared::new("workshop");
    let key = shared.key(May::Reading);
    let mut first = shared.page(&key, FIRST);
    first.wait("plan");
    assert_eq!(why(&mut shared.page(&key, SECOND)), "this key is in use on another device");
    // The same tab, loaded anew; also while its old connection is still there.
    shared.page(&key, FIRST).wait("plan");
    drop(first);
    assert_eq!(why(&mut shared.page(&key, SECOND)), "this key is in use on another device");
    shared.page(&key, FIRST).wait("plan");
    // A new key ends the old one.
    let other = shared.key(May::Reading);
    assert_eq!(why(&mut shared.page(&key, FIRST)), "this is not the key");
    shared.page(&other, SECOND).wait("plan");
}

#[test]
fn a_withdrawn_key_ends_all_connections_at_once() {
    let shared = Shared::new("bungalow");
    let mut desk = shared.served.page("desk");
    let key = shared.key(May::Editing);
    let mut guest = shared.page(&key, FIRST);
    guest.wait("plan");
    present(&mut desk, 1);
    let started = Instant::now();
    desk.say(&json!({"type": "withdraw"}));
    assert_eq!(why(&mut guest), "this key was withdrawn");
    assert!(started.elapsed() < Duration::from_secs(10), "{:?}", started.elapsed());
    assert_eq!(present(&mut desk, 0)["shared"]["may"], Value::Null);
    // Now nobody is answered at all, not even with a certificate.
    assert_eq!(shared.raw("GET / HTTP/1.1\r\n\r\n"), "");
    // Nor does the key hold again once there is another.
    let new = shared.key(May::Editing);
    assert_eq!(why(&mut shared.page(&key, FIRST)), "this is not the key");
    let mut guest = shared.page(&new, FIRST);
    guest.wait("plan");
    // What a page says after that is not done.
    shared.share.withdraw();
    let _ = guest.0.send(Message::text(moves("edit", 1, "panel", [1.0, 1.0]).to_string()));
    assert_eq!(why(&mut guest), "this key was withdrawn");
    desk.say(&json!({"type": "measure", "seq": 1, "texts": []}));
    assert_eq!(desk.wait("measured")["version"], 1);
}

#[test]
fn no_other_key_lets_a_guest_in_and_its_key_opens_no_desk() {
    let shared = Shared::new("workshop");
    let key = shared.key(May::Editing);
    let mut wrong = key.clone();
    wrong.replace_range(21.., if key.ends_with('A') { "Q" } else { "A" });
    for other in ["", &key[..21], &format!("{key}A"), &wrong, &shared.served.key] {
        assert_eq!(why(&mut shared.page(other, FIRST)), "this is not the key", "{other}");
    }
    for secret in ["", "short", &"s".repeat(1000)] {
        let said = why(&mut shared.page(&key, secret));
        assert_eq!(said, "this page names no secret of its own", "{secret}");
    }
    assert!(Page::at(shared.served.port, &key, "t").next().is_none());
    // None of them took the key's one place.
    shared.page(&key, SECOND).wait("plan");
}

#[test]
fn foreign_hosts_and_origins_are_turned_away_from_guests_too() {
    let shared = Shared::new("workshop");
    shared.key(May::Reading);
    let (address, desk) = (shared.share.address(), shared.served.port);
    let status = |path: &str, headers: &str| {
        let answer =
            shared.raw(&format!("GET {path} HTTP/1.1\r\n{headers}Connection: close\r\n\r\n"));
        answer.split(' ').nth(1).map(str::to_owned).unwrap_or(answer)
    };
    assert_eq!(status("/", &format!("Host: {address}\r\n")), "200");
    for host in ["evil.example", "127.0.0.1", "localhost", "", &format!("127.0.0.1:{desk}")] {
        assert_eq!(status("/", &format!("Host: {host}\r\n")), "421", "{host}");
    }
    let host = format!("Host: {address}\r\n");
    let upgrade = "Upgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Version: 13\r\n\
         Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\nSec-WebSocket-Protocol: drillonce.1\r\n";
    for origin in [
        "https://evil.example".to_owned(),
        "null".to_owned(),
        format!("http://{address}"),
        format!("http://127.0.0.1:{desk}"),
    ] {
        let headers = format!("{host}Origin: {origin}\r\n");
        assert_eq!(status("/", &headers), "403", "{origin}");
        assert_eq!(status("/live", &format!("{headers}{upgrade}")), "403", "{origin}");
    }
    assert_eq!(status("/live", &format!("{host}{upgrade}")), "403", "no origin at all");
    // Nor is the guests' origin one of the desk.
    let foreign = format!("Host: 127.0.0.1:{desk}\r\nOrigin: https://{address}\r\n");
    let answer =
        shared.served.raw(&format!("GET / HTTP/1.1\r\n{foreign}Connection: close\r\n\r\n"));
    assert!(answer.starts_with("HTTP/1.1 403"), "{answer}");
}

#[test]
fn who_speaks_no_tls_hears_nothing_and_keeps_nobody_out() {
    let shared = Shared::new("workshop");
    let key = shared.key(May::Reading);
    let says: [&[u8]; 3] = [b"", b"GET / HT", b"\x16\x03\x01\x02\x00\x01"];
    let mut idle: Vec<TcpStream> = (0..40)
        .map(|number| {
            let mut stream = TcpStream::connect(shared.share.address()).unwrap();
            stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
            stream.write_all(says[number % says.len()]).unwrap();
            stream
        })
        .collect();
    let started = Instant::now();
    shared.page(&key, FIRST).wait("plan");
    for stream in &mut idle {
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        assert!(!String::from_utf8_lossy(&answer).contains("HTTP"), "{answer:?}");
    }
    assert!(started.elapsed() < Duration::from_secs(40), "{:?}", started.elapsed());
    // The desk never waited.
    shared.served.page("desk").wait("plan");
}

#[test]
fn a_guest_does_not_take_the_room_of_the_desk() {
    let shared = Shared::new("workshop");
    let key = shared.key(May::Reading);
    let mut pages: Vec<_> = (0..8).map(|_| shared.page(&key, FIRST)).collect();
    pages.iter_mut().for_each(|page| {
        page.wait("plan");
    });
    assert_eq!(why(&mut shared.page(&key, FIRST)), "too many pages are open");
    shared.served.page("desk").wait("plan");
}

#[test]
fn a_guest_without_encryption_is_one_that_was_asked_for() {
    let share = Arc::new(Share::open(ip("127.0.0.1"), true).unwrap());
    let served = Served::shared("workshop", share.clone());
    let address = share.invite(May::Reading).unwrap().address;
    let begin = format!("http://127.0.0.1:{}/#", share.address().port());
    let key = address.strip_prefix(&begin).unwrap();
    let hello = |secret| {
        let mut guest = Page::silent(share.address().port());
        guest.say(&json!({"type": "hello", "key": key, "tab": "t", "secret": secret}));
        guest
    };
    let mut guest = hello(FIRST);
    assert_eq!(guest.wait("present")["you"], "reading");
    guest.say(&moves("edit", 1, "panel", [1.0, 1.0]));
    guest.wait("refused");
    assert!(hello(SECOND).next().is_none(), "it holds for one device all the same");
    let mut desk = served.page("desk");
    assert_eq!(present(&mut desk, 1)["shared"]["fingerprint"], Value::Null);
    desk.say(&json!({"type": "withdraw"}));
    while guest.next().is_some() {}
    present(&mut desk, 0);
}

#[test]
fn without_sharing_no_key_is_made() {
    let served = Served::shipped("workshop");
    let mut page = served.page("desk");
    page.say(&json!({"type": "share", "may": "reading"}));
    let refused = page.wait_of(&["refused", "invited", "present"]);
    assert_eq!(refused["fix"], "start the program with --share");
}

#[test]
fn a_key_is_in_no_path_and_nothing_that_is_printed() {
    let shared = Shared::new("workshop");
    let invitation = shared.share.invite(May::Editing).unwrap();
    let (at, key) = invitation.address.split_once('#').unwrap();
    assert!(at.ends_with('/'), "a browser sends nothing of what is behind #");
    for printed in [format!("{:?}", shared.share), format!("{invitation:?}")] {
        assert!(!printed.contains(key), "{printed}");
    }
    let address = shared.share.address();
    for path in ["/", "/page.js", "/live", &format!("/{key}"), &format!("/taken/{key}/a.pdf")] {
        let request =
            format!("GET {path} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n");
        let answer = shared.raw(&request);
        assert!(!answer.contains(key), "{path}: {answer}");
        assert!(!path.contains(key) || answer.starts_with("HTTP/1.1 404"), "{path}: {answer}");
    }
    for entry in fs::read_dir(shared.served.folder.path()).unwrap() {
        let file = fs::read(entry.unwrap().path()).unwrap();
        assert!(!String::from_utf8_lossy(&file).contains(key));
    }
}

fn ip(text: &str) -> IpAddr {
    text.parse().unwrap()
}

#[test]
fn a_public_address_is_never_listened_on() {
    for local in [
        "10.0.0.1",
        "10.255.255.255",
        "172.16.0.1",
        "172.31.9.9",
        "192.168.1.7",
        "169.254.3.4",
        "fc00::1",
        "fd12:3456::1",
        "fe80::1",
        "febf::1",
    ] {
        assert!(is_local(ip(local)), "{local}");
    }
    for public in [
        "0.0.0.0",
        "8.8.8.8",
        "11.0.0.1",
        "172.15.0.1",
        "172.32.0.1",
        "192.169.0.1",
        "169.253.1.1",
        "100.64.0.1",
        "224.0.0.1",
        "255.255.255.255",
        "::",
        "2001:db8::1",
        "fbff::1",
        "fec0::1",
        "ff02::1",
        "::ffff:8.8.8.8",
        "::ffff:192.168.1.7",
    ] {
        assert!(!is_local(ip(public)), "{public}");
        let refused = Share::open(ip(public), false).unwrap_err().to_string();
        assert!(refused.contains("no address of a local network"), "{public}: {refused}");
        let have = [("eth0".to_owned(), ip(public))];
        assert!(chosen(Some(ip(public)), &have).is_err(), "{public}");
        assert!(chosen(None, &have).is_err(), "{public}");
    }
}

#[test]
fn the_only_local_address_is_taken_and_among_several_one_is_chosen() {
    let named = |text: &str| (format!("if-{text}"), ip(text));
    let chosen_of = |all: &[&str]| {
        let have: Vec<_> = all.iter().map(|text| named(text)).collect();
        chosen(None, &have).map_err(|error| error.to_string())
    };
    assert_eq!(chosen_of(&["127.0.0.1", "8.8.8.8", "192.168.1.7"]), Ok(ip("192.168.1.7")));
    let with_others = ["fe80::1", "fd00::7", "169.254.1.1", "192.168.1.7", "::1"];
    assert_eq!(chosen_of(&with_others), Ok(ip("192.168.1.7")));
    assert_eq!(chosen_of(&["fe80::1", "fd00::7", "169.254.1.1"]), Ok(ip("fd00::7")));
    assert_eq!(chosen_of(&["fe80::1", "169.254.1.1"]), Ok(ip("169.254.1.1")));
    for none in [&["127.0.0.1", "::1", "fe80::1", "8.8.8.8"][..], &[]] {
        assert!(chosen_of(none).unwrap_err().contains("no address in a local network"));
    }
    let several = chosen_of(&["192.168.1.7", "10.0.0.2"]).unwrap_err();
    for part in ["192.168.1.7 (if-192.168.1.7)", "10.0.0.2", "--share-address"] {
        assert!(several.contains(part), "{several}");
    }
    let have = ["192.168.1.7", "10.0.0.2", "127.0.0.1"].map(named);
    assert_eq!(chosen(Some(ip("10.0.0.2")), &have).unwrap(), ip("10.0.0.2"));
    assert_eq!(chosen(Some(ip("127.0.0.1")), &have).unwrap(), ip("127.0.0.1"));
    let elsewhere = chosen(Some(ip("192.168.1.8")), &have).unwrap_err().to_string();
    assert!(elsewhere.contains("has no address 192.168.1.8; in local networks it has 192.168.1.7"));
    assert!(chosen(Some(ip("fe80::1")), &have).unwrap_err().to_string().contains("one wire"));
}

#[test]
fn a_code_has_its_margin_and_its_three_corners_and_is_printed_two_rows_a_line() {
    let code = modules("https://192.168.100.100:65535/#AAAAAAAAAAAAAAAAAAAAAA");
    let size = code.len();
    assert!(code.iter().all(|row| row.len() == size) && size <= 45, "{size}");
    let is_light = |row: &Vec<bool>| row.iter().all(|dark| !dark);
    assert!(code[..4].iter().chain(&code[size - 4..]).all(is_light));
    assert!(code.iter().all(|row| !row[..4].contains(&true) && !row[size - 4..].contains(&true)));
    // ISO/IEC 18004: a ring of seven modules about a square of three.
    let finder = |top: usize, left: usize| {
        (0..7).all(|y| {
            (0..7).all(|x: usize| {
                let from_middle = x.abs_diff(3).max(usize::abs_diff(y, 3));
                code[top + y][left + x] == (from_middle != 2)
            })
        })
    };
    assert!(finder(4, 4) && finder(4, size - 11) && finder(size - 11, 4));
    assert!(!finder(size - 11, size - 11));
    let lines = half_blocks(&code);
    assert_eq!(lines.len(), size.div_ceil(2));
    for (y, row) in code.iter().enumerate() {
        for (x, dark) in row.iter().enumerate() {
            let halves = if y % 2 == 0 { "█▀" } else { "█▄" };
            assert_eq!(halves.contains(lines[y / 2].chars().nth(x).unwrap()), *dark, "{x}, {y}");
        }
    }
    assert!(modules(&"x".repeat(5000)).is_empty());
}
