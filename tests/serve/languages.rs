//! What the program says on a page, in the language of that page.

use crate::client::{Page, Served, moves};
use forecast::vocabulary;
use plan::{Plan, read_file};
use serde_json::{Value, json};

fn plan_of(served: &Served) -> Plan {
    read_file(&served.plan, &vocabulary()).unwrap().plan
}

#[test]
fn two_pages_are_shown_one_forecast_each_in_its_language() {
    let served = Served::shipped("foil-garage");
    let panel = plan_of(&served).panel().unwrap().id.clone();
    let (mut english, mut spanish) = (served.page("first"), served.page_in("es"));
    english.table(0);
    spanish.table(0);
    english.say(&moves("edit", 1, &panel, [4.0, 2.5]));
    let (one, other) = (english.table(1), spanish.table(1));
    assert_eq!((&one["language"], &other["language"]), (&json!("en"), &json!("es")));
    let check = |text: &str| {
        let (at, end) = (text.find("\"check\":").unwrap(), text.find("\"language\":").unwrap());
        text[at..end].to_owned()
    };
    assert_eq!(check(&english.1), check(&spanish.1), "the report is that of the command in both");
    assert_eq!(one["words"]["thresholds"], other["words"]["thresholds"]);
    let devices = one["words"]["devices"].as_object().unwrap();
    assert!(!devices.is_empty());
    for (id, words) in devices {
        let translated = &other["words"]["devices"][id];
        let [reserve, reserva] = [words, translated].map(|it| it["reserve"].as_str().unwrap());
        assert!(reserve.ends_with("dB in reserve") || reserve.ends_with("dB short"), "{reserve}");
        let number = |text: &str| text.chars().filter(char::is_ascii_digit).collect::<String>();
        assert_eq!(number(reserve), number(reserva), "{id}");
        assert!(reserva.ends_with("dB de reserva") || reserva.starts_with("faltan"), "{reserva}");
    }

    // What one tries is worded in its language.
    spanish.say(&moves("try", 2, &panel, [4.25, 2.5]));
    let tried = spanish.table(2);
    assert!(tried["words"]["line"].as_str().unwrap().contains("con fallo"), "{tried}");
    spanish.say(&json!({"type": "drop"}));
    assert_eq!(spanish.table(1)["words"], other["words"]);
}

#[test]
fn a_page_that_changes_its_language_is_shown_what_is_known_in_it() {
    let served = Served::shipped("workshop");
    let mut page = served.page("t");
    assert_eq!(page.wait("palette")["language"], "en");
    let first = page.table(0);
    page.say(&json!({"type": "language", "to": "es"}));
    let palette = page.wait("palette");
    assert_eq!(palette["language"], "es");
    let rows = palette["constructions"].as_array().unwrap();
    let row = rows.iter().find(|row| row["name"] == "brick-half").unwrap();
    assert_eq!(row["called"], "ladrillo de medio pie");
    assert_eq!(row["words"], "ladrillo de 102,5 mm enlucido por ambos lados");
    let table = page.wait_for("table", |table| table["language"] == "es");
    assert_eq!((&table["version"], &table["seq"]), (&first["version"], &first["seq"]));
    assert_eq!(table["check"], first["check"]);
    // While something is tried, that is what comes in the other language.
    let panel = plan_of(&served).panel().unwrap().id.clone();
    page.say(&moves("try", 1, &panel, [4.0, 2.5]));
    assert_eq!(page.table(1)["language"], "es");
    page.say(&json!({"type": "language", "to": "en"}));
    assert_eq!(page.wait("palette")["language"], "en");
    let again = page.wait_for("table", |table| table["language"] == "en");
    assert_eq!(again["seq"], 1);
    page.say(&json!({"type": "language", "to": "tlh"}));
    let refused = page.wait("refused");
    assert!(refused["what"].as_str().unwrap().contains("tlh"), "{refused}");
}

#[test]
fn examples_are_described_in_the_language_of_the_page() {
    let served = Served::new_plan();
    let (mut english, mut spanish) = (served.page("t"), served.page_in("es"));
    let of = |page: &mut Page| page.wait("startable")["examples"].as_array().unwrap().clone();
    let (one, other) = (of(&mut english), of(&mut spanish));
    assert_eq!(one.len(), other.len());
    for (one, other) in one.iter().zip(&other) {
        assert_eq!(one["name"], other["name"]);
        assert!(one["words"].as_str().unwrap().starts_with("A "), "{one}");
        assert!(other["words"].as_str().unwrap().starts_with("Un"), "{other}");
    }
}

/// Words that an English sentence hardly does without and a Spanish one never has, and those of
/// this trade.
const ENGLISH: &str = "the of and with to from is it its in on at by for not or as that this would \
                       be left right up down near above below wall floor ceiling door window \
                       outside corner short reserve sound thin failing works clear layer glass";

/// Every text within a value.
fn texts<'v>(value: &'v Value, into: &mut Vec<&'v str>) {
    match value {
        Value::String(text) => into.push(text),
        Value::Array(list) => list.iter().for_each(|one| texts(one, into)),
        Value::Object(members) => members.values().for_each(|one| texts(one, into)),
        _ => {}
    }
}

/// What a plan names, in its own language; the longest first, as one may be part of another.
fn names(shown: &Value) -> Vec<String> {
    let mut names = Vec::new();
    texts(&shown["features"], &mut names);
    texts(&shown["levels"], &mut names);
    let own = shown["constructions"].as_array().unwrap();
    names.extend(own.iter().filter_map(|one| one["name"].as_str()));
    let mut names: Vec<String> = names.into_iter().map(str::to_owned).collect();
    names.sort_by_key(|name| (std::cmp::Reverse(name.len()), name.clone()));
    names.dedup();
    names.retain(|name| name.chars().count() > 3);
    names
}

/// The English words of a text that are no part of what the plan names.
fn english<'w>(text: &str, names: &[String]) -> Vec<&'w str> {
    let mut rest = text.to_owned();
    for name in names {
        rest = rest.replace(name, " ");
    }
    let rest = rest.to_lowercase();
    let said: Vec<&str> = rest.split(|sign: char| !sign.is_alphabetic()).collect();
    ENGLISH.split_whitespace().filter(|word| said.contains(word)).collect()
}

#[test]
fn a_spanish_page_is_shown_no_english_words() {
    assert_eq!(english("Back of the House, wall", &["House".to_owned()]), ["the", "of", "wall"]);
    let mut looked_at = 0;
    for name in fixtures::PLANS {
        let served = Served::shipped(name);
        let mut page = served.page_in("es");
        let names = names(&page.wait("plan"));
        let mut said: Vec<Value> = Vec::new();
        let palette = page.wait("palette");
        for list in ["constructions", "mounts", "roles", "kinds"] {
            for row in palette[list].as_array().unwrap() {
                assert!(row["words"].as_str().is_some_and(|words| !words.is_empty()), "{row}");
                said.push(row["words"].clone());
            }
        }
        let built = palette["constructions"].as_array().unwrap();
        said.extend(built.iter().filter(|row| row["own"] == false).map(|it| it["called"].clone()));
        let table = page.table(0);
        said.push(table["words"].clone());
        let rows = ["sensors", "devices"].map(|list| table["check"][list].as_array().unwrap());
        let worst = rows.into_iter().flatten().max_by(|a, b| {
            let chance = |row: &Value| row["fault_per_year"].as_f64().unwrap();
            chance(a).total_cmp(&chance(b))
        });
        page.say(&json!({"type": "explain", "id": worst.unwrap()["id"]}));
        let explained = page.wait("explain");
        said.push(explained["words"].clone());
        said.extend(explained["remedies"].as_array().unwrap().iter().map(|it| it["words"].clone()));
        page.say(&json!({"type": "spots"}));
        let spots = page.wait("spots");
        assert_eq!((&explained["language"], &spots["language"]), (&json!("es"), &json!("es")));
        for spot in spots["best"].as_array().unwrap().iter().chain([&spots["now"]]) {
            assert!(spot["words"]["place"].is_string(), "{spot}");
            said.push(spot["words"].clone());
        }
        let mut all = Vec::new();
        said.iter().for_each(|one| texts(one, &mut all));
        for text in all {
            assert_eq!(english(text, &names), [""; 0], "{name}: {text}");
            looked_at += 1;
        }
    }
    assert!(looked_at > 600, "only {looked_at} texts were looked at");
}

#[test]
fn repeaters_are_placed_in_the_language_of_the_page() {
    let served = Served::shipped("annexe");
    let (mut english, mut spanish) = (served.page("t"), served.page_in("es"));
    let found = [&mut english, &mut spanish].map(|page| {
        page.table(0);
        page.say(&json!({"type": "repeaters"}));
        page.wait("repeaters")["new_repeaters"].as_array().unwrap().clone()
    });
    assert!(!found[0].is_empty());
    for (one, other) in found[0].iter().zip(&found[1]) {
        assert_eq!(one["words"]["place"], one["place"]);
        assert_eq!(one["place"], other["place"], "the command's answer is the same");
        assert!(other["words"]["place"].as_str().unwrap().contains("del suelo"), "{other}");
    }
}
