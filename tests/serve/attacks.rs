//! Whatever knocks at the door that is no page of ours.

use std::fs;
use std::io::{Read as _, Write as _};
use std::net::TcpStream;
use std::time::{Duration, Instant};

use crate::client::{Page, Served, moves};
use serde_json::json;
use tungstenite::Message;

/// The answer's status.
fn status(answer: &str) -> u16 {
    answer.split(' ').nth(1).unwrap_or_else(|| panic!("{answer:?}")).parse().unwrap()
}

fn get(served: &Served, path: &str, headers: &str) -> String {
    let port = served.port;
    let host = if headers.contains("Host:") { "" } else { &format!("Host: 127.0.0.1:{port}\r\n") };
    served.raw(&format!("GET {path} HTTP/1.1\r\n{host}{headers}Connection: close\r\n\r\n"))
}

const UPGRADE: &str = "Upgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Version: 13\r\n\
     Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\nSec-WebSocket-Protocol: drillonce.1\r\n";

#[test]
fn only_the_fixed_files_are_served_and_with_all_headers() {
    let served = Served::shipped("bungalow");
    let page = get(&served, "/", "");
    assert_eq!(status(&page), 200);
    assert!(page.ends_with("<!doctype html><p>Plan"), "{page}");
    for header in [
        "content-security-policy: default-src 'none'; script-src 'self'; style-src 'self'; \
         img-src 'self' data: blob:; connect-src 'self'; base-uri 'none'; form-action 'none'; \
         frame-ancestors 'none'",
        "x-content-type-options: nosniff",
        "referrer-policy: no-referrer",
        "cache-control: no-store",
        "content-type: text/html; charset=utf-8",
    ] {
        assert!(page.contains(header), "{header} is not in {page}");
    }
    assert!(!page.contains("set-cookie"), "{page}");
    for path in [
        "/plan.geojson",
        "/..",
        "/../plan.geojson",
        "/%2e%2e/plan.geojson",
        "/..%2fplan.geojson",
        "/..%5cplan.geojson",
        "//plan.geojson",
        "/page.js/",
        "/page.js%00",
        "/index.html/../page.js",
        "/.plan.geojson.drillonce-lock",
    ] {
        let answer = get(&served, path, "");
        assert!(matches!(status(&answer), 400 | 404), "{path}: {answer}");
        assert!(answer.contains("nosniff") || status(&answer) == 400, "{path}: {answer}");
    }
    let request = format!(
        "POST / HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\
         Content-Length: 0\r\nConnection: close\r\n\r\n",
        served.port
    );
    assert_eq!(status(&served.raw(&request)), 405);
}

#[test]
fn a_foreign_host_or_origin_is_turned_away() {
    let served = Served::shipped("bungalow");
    let port = served.port;
    assert_eq!(status(&get(&served, "/", &format!("Host: localhost:{port}\r\n"))), 200);
    for host in ["evil.example", "127.0.0.1", "127.0.0.1:1", "localhost", "127.0.0.1.evil:80", ""] {
        let answer = get(&served, "/", &format!("Host: {host}\r\n"));
        assert_eq!(status(&answer), 421, "{host}: {answer}");
    }
    let evil = format!("Host: evil.example:{port}\r\nOrigin: http://evil.example:{port}\r\n");
    assert_eq!(status(&get(&served, "/live", &format!("{evil}{UPGRADE}"))), 421);
    let twice = format!("Host: 127.0.0.1:{port}\r\nHost: evil.example\r\n");
    assert_eq!(status(&get(&served, "/", &twice)), 400);
    let whole = format!(
        "GET http://evil.example/ HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\
         Connection: close\r\n\r\n"
    );
    assert_eq!(status(&served.raw(&whole)), 421);
    let origins = [
        "http://evil.example".to_owned(),
        "null".to_owned(),
        format!("https://127.0.0.1:{port}"),
        format!("http://localhost:{port}"),
        format!("http://127.0.0.1:{}", port ^ 1),
    ];
    for origin in origins {
        let headers = format!("Origin: {origin}\r\n");
        assert_eq!(status(&get(&served, "/", &headers)), 403, "{origin}");
        let answer = get(&served, "/live", &format!("{headers}{UPGRADE}"));
        assert_eq!(status(&answer), 403, "{origin}: {answer}");
    }
}

#[test]
fn a_connection_needs_origin_and_protocol() {
    let served = Served::shipped("bungalow");
    let origin = format!("Origin: http://127.0.0.1:{}\r\n", served.port);
    let plain = |headers: &str| {
        let host = format!("Host: 127.0.0.1:{}\r\n", served.port);
        served.raw(&format!("GET /live HTTP/1.1\r\n{host}{headers}\r\n"))
    };
    assert_eq!(status(&plain(UPGRADE)), 403);
    assert_eq!(status(&get(&served, "/live", &origin)), 426);
    let other = UPGRADE.replace("drillonce.1", "drillonce.2");
    assert_eq!(status(&plain(&format!("{origin}{other}"))), 400);
    let none = UPGRADE.replace("Sec-WebSocket-Protocol: drillonce.1\r\n", "");
    assert_eq!(status(&plain(&format!("{origin}{none}"))), 400);
}

#[test]
fn without_the_key_nothing_is_said() {
    let served = Served::shipped("bungalow");
    let key = &served.key;
    assert_eq!(key.len(), 22, "128 bits");
    let mut wrong = key.clone();
    wrong.replace_range(21.., if key.ends_with('A') { "Q" } else { "A" });
    let long = format!("{key}A");
    for key in ["", &key[..21], &wrong, &long, &key.to_uppercase().to_lowercase()] {
        assert!(Page::at(served.port, key, "t").next().is_none(), "{key}");
    }
    for first in [
        json!({"type": "undo"}),
        json!({"type": "edit", "seq": 1, "changes": []}),
        json!({"type": "hello", "key": key}),
        json!({"type": "hello", "key": key, "tab": "t".repeat(1000)}),
        json!({"type": "hello", "key": key, "tab": ""}),
        json!({"type": "hello", "key": 1, "tab": "t"}),
    ] {
        let mut page = Page::silent(served.port);
        page.say(&first);
        assert!(page.next().is_none(), "{first}");
    }
    let mut page = Page::silent(served.port);
    page.try_to_say(Message::binary(vec![0; 10]));
    assert!(page.next().is_none());
}

#[test]
fn who_says_nothing_is_shown_out_after_five_seconds() {
    let served = Served::shipped("bungalow");
    let started = Instant::now();
    assert!(Page::silent(served.port).next().is_none());
    let waited = started.elapsed();
    assert!(waited >= Duration::from_secs(4) && waited < Duration::from_secs(60), "{waited:?}");
}

#[test]
fn connections_that_say_nothing_or_no_end_keep_nobody_out() {
    let served = Served::shipped("workshop");
    let begins = ["", "GET / HTTP/1.1\r\nHost: ", "\r\n"];
    let started = Instant::now();
    let mut idle: Vec<TcpStream> = (0..200)
        .map(|number| {
            let mut stream = TcpStream::connect(("127.0.0.1", served.port)).unwrap();
            stream.write_all(begins[number % begins.len()].as_bytes()).unwrap();
            stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
            stream
        })
        .collect();
    // More of them than there is room for; all the same a page gets in, and its plan comes.
    let mut page = served.page("t");
    page.wait("plan");
    assert_eq!(status(&get(&served, "/", "")), 200);
    for stream in &mut idle {
        let mut rest = Vec::new();
        let _ = stream.read_to_end(&mut rest);
    }
    let waited = started.elapsed();
    assert!(waited >= Duration::from_secs(4) && waited < Duration::from_secs(60), "{waited:?}");
    page.say(&json!({"type": "measure", "seq": 1, "texts": []}));
    page.wait("measured");
}

#[test]
fn a_connection_that_has_been_answered_may_not_stay_for_ever() {
    let served = Served::shipped("workshop");
    let mut stream = TcpStream::connect(("127.0.0.1", served.port)).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
    let request = format!("GET / HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\r\n", served.port);
    stream.write_all(request.as_bytes()).unwrap();
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer).unwrap();
    assert_eq!(status(&String::from_utf8_lossy(&answer)), 200);
}

#[test]
fn messages_that_make_no_sense_are_refused_and_the_page_stays() {
    let served = Served::shipped("bungalow");
    let before = fs::read(&served.plan).unwrap();
    let mut page = served.page("t");
    let many = vec![json!({"do": "remove", "id": "panel"}); 201];
    let deep = "[".repeat(100_000);
    let strange = [
        "".to_owned(),
        "null".to_owned(),
        "[]".to_owned(),
        "{}".to_owned(),
        deep,
        json!({"type": "edit"}).to_string(),
        json!({"type": "edit", "seq": -1, "changes": []}).to_string(),
        json!({"type": "edit", "seq": 1, "changes": [{"do": "burn", "id": "panel"}]}).to_string(),
        json!({"type": "edit", "seq": 1, "changes": [{"do": "move", "to": [0, 0]}]}).to_string(),
        json!({"type": "edit", "seq": 1, "changes": many}).to_string(),
        json!({"type": "try", "seq": 1, "changes": many}).to_string(),
        json!({"type": "map", "kind": "sideways", "level": 0}).to_string(),
        json!({"type": "shout"}).to_string(),
        r#"{"type":"edit","seq":1,"changes":[{"do":"move","id":"panel","to":[1e999,0]}]}"#
            .to_owned(),
    ];
    for message in &strange {
        page.say_text(message);
        let refused = page.wait("refused");
        assert!(refused["what"].as_str().is_some_and(|what| !what.is_empty()), "{refused}");
    }
    let gone = [
        moves("edit", 7, "nobody", [1.0, 1.0]),
        json!({"type": "edit", "seq": 7, "changes": [{"do": "remove", "id": "#9999"}]}),
        json!({"type": "edit", "seq": 7, "changes": [
            {"do": "move", "id": "panel", "to": [1.0, 1.0]},
            {"do": "set", "id": "nobody", "properties": {"name": "x"}},
        ]}),
        json!({"type": "edit", "seq": 7, "changes": [
            {"do": "move", "id": "panel", "to": [1.0, 1.0], "level": 77},
        ]}),
    ];
    for edit in gone {
        page.say(&edit);
        let refused = page.wait("refused");
        assert_eq!(refused["seq"], 7, "{refused}");
        assert_eq!(refused["version"], 1, "nothing changed: {refused}");
    }
    page.say(&json!({"type": "explain", "id": "nobody"}));
    assert!(page.wait("refused")["what"].as_str().unwrap().contains("nobody"));
    page.try_to_say(Message::binary(vec![1, 2, 3]));
    page.wait("refused");
    assert_eq!(fs::read(&served.plan).unwrap(), before);
}

#[test]
fn a_message_beyond_a_mebibyte_ends_the_connection_only() {
    let served = Served::shipped("bungalow");
    let mut page = served.page("big");
    page.try_to_say(Message::text(" ".repeat((1 << 20) + 1)));
    while page.next().is_some() {}
    served.page("other").wait("plan");
}

#[test]
fn names_of_files_lead_nowhere_else() {
    let served = Served::shipped("bungalow");
    let mut page = served.page("t");
    for name in [
        "",
        ".geojson",
        "..geojson",
        "../x.geojson",
        "a/x.geojson",
        "/tmp/x.geojson",
        "a\\x.geojson",
        "..\\x.geojson",
        ".x.geojson",
        "x.json",
        "x.geojson/",
        "x\u{0}.geojson",
        "x\n.geojson",
        "x.geojson\u{0}",
        "c:x.geojson",
        "plan.geojson",
        &("x".repeat(300) + ".geojson"),
    ] {
        page.say(&json!({"type": "save", "as": name}));
        let refused = page.wait("refused");
        assert!(refused["what"].is_string(), "{name}: {refused}");
    }
    let names = fs::read_dir(served.folder.path()).unwrap().map(|e| e.unwrap().file_name());
    let mut names: Vec<_> = names.collect();
    names.sort();
    assert_eq!(names, [".plan.geojson.drillonce-lock", "plan.geojson"]);
    page.say(&json!({"type": "save", "as": "second house.geojson"}));
    assert_eq!(page.wait("saved")["file"], "second house.geojson");
    let copy = served.folder.path().join("second house.geojson");
    assert_eq!(fs::read(copy).unwrap(), fs::read(&served.plan).unwrap());
}

#[test]
fn no_more_than_64_pages_at_once() {
    let served = Served::shipped("workshop");
    let mut pages: Vec<Page> = (0..64).map(|number| served.page(&number.to_string())).collect();
    pages.iter_mut().for_each(|page| {
        page.wait("plan");
    });
    let answer = served.raw(&format!(
        "GET /live HTTP/1.1\r\nHost: 127.0.0.1:{0}\r\n\
         Origin: http://127.0.0.1:{0}\r\n{UPGRADE}\r\n",
        served.port
    ));
    assert_eq!(status(&answer), 503);
    pages.pop();
    let started = Instant::now();
    loop {
        let page = std::panic::catch_unwind(|| served.page("last"));
        if page.is_ok_and(|mut page| page.next().is_some()) {
            break;
        }
        assert!(started.elapsed() < Duration::from_secs(30), "a free place is given again");
        std::thread::sleep(Duration::from_millis(50));
    }
}
