//! A picture comes in pieces, lies under the plan, and reaches no other file.

use std::fs;

use crate::client::{Page, Served};
use fixtures::root;
use serde_json::{Value, json};
use tungstenite::Message;

/// A piece as the page sends it.
fn piece(total: usize, at: usize, level: i32, bytes: &[u8]) -> Message {
    piece_of_page(total, at, level, 1, bytes)
}

fn piece_of_page(total: usize, at: usize, level: i32, number: u32, bytes: &[u8]) -> Message {
    let head = [total, at].map(|size| u32::try_from(size).unwrap().to_le_bytes());
    let (level, number) = (level.to_le_bytes(), number.to_le_bytes());
    Message::binary([&b"PG2\0"[..], &head[0], &head[1], &level, &number, bytes].concat())
}

fn send(page: &mut Page, bytes: &[u8]) {
    send_page(page, bytes, 1);
}

fn send_page(page: &mut Page, bytes: &[u8], number: u32) {
    for at in (0..bytes.len()).step_by(1000) {
        let end = (at + 1000).min(bytes.len());
        page.try_to_say(piece_of_page(bytes.len(), at, 0, number, &bytes[at..end]));
    }
}

/// A small house in black on white, twenty pixels to a metre.
fn picture(ending: &str) -> Vec<u8> {
    fs::read(root().join(format!("tests/fuzz/pictures/house.{ending}"))).unwrap()
}

fn laid(page: &mut Page) -> Value {
    page.wait_for("plan", |plan| !plan["backdrop"].is_null())["backdrop"].clone()
}

#[test]
fn a_picture_is_kept_beside_the_plan_and_can_be_fetched_by_its_page_alone() {
    let served = Served::shipped("workshop");
    let mut page = served.page("t");
    // Somebody else's file stands where the first would go.
    fs::write(served.folder.path().join("plan-picture.jpg"), "mine").unwrap();
    send(&mut page, &picture("jpg"));
    let shown = laid(&mut page);
    assert_eq!(shown["file"], "plan-picture-2.jpg");
    assert_eq!((&shown["columns"], &shown["rows"]), (&json!(200), &json!(160)));
    let before = fs::read_to_string(served.folder.path().join("plan-picture.jpg")).unwrap();
    assert_eq!(before, "mine");
    assert!(served.folder.path().join("plan-picture-2.jpg").is_file());

    let host = format!("127.0.0.1:{}", served.port);
    let get = |path: &str| {
        served.raw(&format!("GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n"))
    };
    let answer = get(shown["at"].as_str().unwrap());
    assert!(answer.starts_with("HTTP/1.1 200") && answer.contains("image/jpeg"), "{answer:.200}");
    assert!(get("/ground/plan-picture-2.jpg").starts_with("HTTP/1.1 404"));
    assert!(get("/plan-picture-2.jpg").starts_with("HTTP/1.1 404"));

    // One step of undo, and the file stays for whoever does it again.
    page.say(&json!({"type": "undo"}));
    page.wait_for("plan", |plan| plan["backdrop"].is_null());
    page.say(&json!({"type": "redo"}));
    assert_eq!(laid(&mut page)["file"], "plan-picture-2.jpg");
    // The same again is not kept twice.
    send(&mut page, &picture("jpg"));
    page.wait_for("plan", |plan| plan["undo"] == 1 && !plan["backdrop"].is_null());
    assert!(!served.folder.path().join("plan-picture-3.jpg").exists());
}

#[test]
fn what_is_no_picture_or_is_too_large_or_torn_is_refused() {
    let served = Served::shipped("workshop");
    let mut page = served.page("t");
    let mut refused = |messages: Vec<Message>| {
        messages.into_iter().for_each(|message| page.try_to_say(message));
        page.wait("refused")["what"].as_str().unwrap().to_owned()
    };
    let text = b"<svg onload=alert(1)>".repeat(9);
    assert!(refused(vec![piece(text.len(), 0, 0, &text)]).contains("no PNG or JPEG"));
    assert!(refused(vec![piece(26 << 20, 0, 0, b"x")]).contains("larger than 25 MB"));
    assert!(refused(vec![piece(1000, 500, 0, b"x")]).contains("missing"));
    let torn = vec![piece(1000, 0, 0, &[0; 400]), piece(1000, 300, 0, &[0; 400])];
    assert!(refused(torn).contains("missing"));
    assert!(refused(vec![Message::binary(b"PG2".to_vec())]).contains("not understood"));
    let png = picture("png");
    let half = &png[..png.len() / 2];
    assert!(refused(vec![piece(half.len(), 0, 0, half)]).contains("cannot be read"));
    assert!(refused(vec![piece(png.len(), 0, 9, &png)]).contains("no level 9"));
    let left = fs::read_dir(served.folder.path()).unwrap().flatten();
    let left: Vec<String> = left.map(|it| it.file_name().to_string_lossy().into_owned()).collect();
    assert!(left.iter().all(|name| !name.ends_with(".svg") && !name.contains("tmp")), "{left:?}");
}

#[test]
fn a_page_names_no_file_but_a_bare_one() {
    let served = Served::shipped("workshop");
    let mut page = served.page("t");
    fs::write(served.folder.path().join("notes.png"), "no picture").unwrap();
    let lay = |seq: u32, file: &str| {
        let picture = json!({"file": file, "transform": [0.01, 0, 0, 0, -0.01, 5], "opacity": 1,
            "level": 0});
        let change = json!({"do": "ground", "picture": picture});
        json!({"type": "edit", "seq": seq, "changes": [change]})
    };
    for (seq, file) in [(1, "../house.png"), (2, "/etc/passwd"), (3, "plan.geojson"), (4, ".x.png")]
    {
        page.say(&lay(seq, file));
        assert_eq!(page.wait("refused")["seq"], seq, "{file}");
    }
    page.say(&lay(5, "notes.png"));
    let shown = laid(&mut page);
    assert!(shown["at"].is_null() && shown["what"].as_str().unwrap().contains("no PNG"), "{shown}");
    page.say(&lay(6, "gone.png"));
    let gone = page.wait_for("plan", |plan| plan["backdrop"]["file"] == "gone.png");
    assert!(gone["backdrop"]["what"].is_string(), "{gone}");
}

#[test]
fn walls_are_pencilled_where_the_picture_lies_and_squaring_up_keeps_its_middle() {
    let served = Served::new_plan();
    let mut page = served.page("t");
    page.say(&json!({"type": "start", "with": "empty"}));
    page.wait("plan");
    page.say(&json!({"type": "trace"}));
    assert!(page.wait("refused")["what"].as_str().unwrap().contains("no picture"));
    send(&mut page, &picture("png"));
    let shown = laid(&mut page);
    assert_eq!(shown["file"], "plan-picture.png");
    // Twenty pixels are a metre; the house begins ten pixels from the left, and is 7 m high.
    let transform = json!([0.05, 0, 2, 0, -0.05, 9]);
    let picture =
        json!({"file": shown["file"], "transform": transform, "opacity": 0.5, "level": 0});
    let change = json!({"do": "ground", "picture": picture});
    page.say(&json!({"type": "edit", "seq": 1, "changes": [change]}));
    page.wait_for("plan", |plan| plan["backdrop"]["transform"][2] == 2.0);
    let west = |page: &mut Page| {
        page.say(&json!({"type": "trace"}));
        let traced = page.wait("traced");
        let walls = traced["features"].as_array().unwrap().iter();
        let walls = walls.filter(|one| one["properties"]["kind"] == "wall");
        let ends = walls.flat_map(|one| one["geometry"]["coordinates"].as_array().unwrap());
        ends.map(|at| at[0].as_f64().unwrap()).fold(f64::INFINITY, f64::min)
    };
    let first = west(&mut page);
    assert!((first - (2.0 + 0.5 + 0.15)).abs() < 0.06, "{first}");
    // The house is half as large again as it was thought to be: its middle stays.
    let corners = json!([[10, 10], [190, 10], [190, 150], [10, 150]]);
    page.say(&json!({"type": "square", "corners": corners, "size": [13.5, 10.5]}));
    page.wait_for("plan", |plan| {
        let metres = plan["backdrop"]["transform"][0].as_f64().unwrap_or_default();
        (metres - 0.075).abs() < 0.001
    });
    let second = west(&mut page);
    assert!((second - (7.0 - 6.75 + 0.225)).abs() < 0.1, "{first}, {second}");
}

/// A PDF of two pages, the second with a house as wide as it is high; scripts all over it.
fn two_pages() -> Vec<u8> {
    let script = "<< /S /JavaScript /JS (app.alert\\(1\\)) >>";
    let stream = |data: &str| format!("<< /Length {} >>\nstream\n{data}\nendstream", data.len());
    let page = |wide: u32, content: u32| {
        format!(
            "<< /Type /Page /Parent 5 0 R /MediaBox [0 0 {wide} 200] /Contents {content} 0 R \
             /AA << /O {script} >> >>"
        )
    };
    let objects = [
        stream("2 w 10 10 80 80 re S"),
        stream("2 w 20 20 160 160 re S"),
        page(100, 1),
        page(200, 2),
        "<< /Type /Pages /Kids [3 0 R 4 0 R] /Count 2 >>".to_owned(),
        format!("<< /Type /Catalog /Pages 5 0 R /OpenAction {script} >>"),
    ];
    let objects =
        (1..).zip(objects).map(|(number, one)| format!("{number} 0 obj\n{one}\nendobj\n"));
    format!("%PDF-1.7\n{}trailer\n<< /Root 6 0 R >>\n%%EOF\n", objects.collect::<String>()).into()
}

#[test]
fn a_page_of_a_pdf_is_laid_as_pixels_and_another_one_when_asked_for() {
    let served = Served::shipped("workshop");
    let mut page = served.page("t");
    send(&mut page, &two_pages());
    let first = laid(&mut page);
    assert_eq!((&first["columns"], &first["rows"]), (&json!(416), &json!(833)));
    let about = page.wait("laid");
    assert_eq!((&about["page"], &about["pages"]), (&json!(1), &json!(2)));
    send_page(&mut page, &two_pages(), 2);
    let second = page.wait_for("plan", |plan| plan["backdrop"]["columns"] == 833);
    assert_eq!(second["backdrop"]["file"], "plan-picture-2.png");
    send_page(&mut page, &two_pages(), 3);
    let refused = page.wait("refused");
    assert_eq!(refused["what"], "there is no page 3; the PDF has 2");
    for entry in fs::read_dir(served.folder.path()).unwrap().flatten() {
        let bytes = fs::read(entry.path()).unwrap();
        let holds = |word: &[u8]| bytes.windows(word.len()).any(|window| window == word);
        assert!(!holds(b"JavaScript") && !holds(b"%PDF"), "{:?}", entry.path());
    }
}

#[test]
fn the_picture_stays_where_the_plan_as_a_whole_has_a_fault() {
    let plan = fs::read_to_string(fixtures::floorplan("workshop")).unwrap();
    let served = Served::of(&plan);
    let mut page = served.page("t");
    send(&mut page, &picture("png"));
    let shown = laid(&mut page);
    page.say(&json!({"type": "save", "as": null}));
    page.wait("saved");
    let text = fs::read_to_string(&served.plan).unwrap();
    let link = text.find("\"us-345\"").unwrap();
    let broken = format!("{}\"no such link\"{}", &text[..link], &text[link + "\"us-345\"".len()..]);
    let folder = tempfile::tempdir().unwrap();
    fs::copy(served.folder.path().join("plan-picture.png"), folder.path().join("plan-picture.png"))
        .unwrap();
    let served = Served::in_folder(folder, &broken);
    let mut page = served.page("t");
    let plan = page.wait("plan");
    assert!(!plan["faults"].as_array().unwrap().is_empty(), "{plan}");
    assert_eq!(plan["backdrop"]["transform"], shown["transform"]);
    assert!(plan["backdrop"]["at"].is_string() && plan["backdrop"]["columns"] == 200, "{plan}");
}
