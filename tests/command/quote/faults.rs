//! Every bad file with its message; nothing is written.

use std::fs;

use super::{folder, made, shipped};
use crate::run::{names, run, run_in};

const GOOD: &str = "name = \"N\"\naddress = \"A\"\ncurrency = \"EUR\"\nvalidity_days = 30\n\
                    hourly_rate = 40.5\nlogo = \"logo.png\"\n[tax]\nname = \"T\"\nrate = 21\n\
                    on = \"total\"\n";

const PRICES: &str = "item,unit price,hours\npanel,200,1\ncontact,30,0.2\nmotion,50,0.3\n\
                      smoke,60,0.3\nrepeater,100,0.4\n";

/// What is said of these files with the annexe plan, the folder's name left out.
fn said(business: &str, prices: &str, logo: &[u8]) -> String {
    let folder = folder(&[
        ("b.toml", business.as_bytes()),
        ("p.csv", prices.as_bytes()),
        ("logo.png", logo),
    ]);
    let path = |name: &str| folder.path().join(name).display().to_string();
    let error = made(&[
        &shipped("annexe.geojson"),
        "--date",
        "2026-10-02",
        "--business",
        &path("b.toml"),
        "--prices",
        &path("p.csv"),
    ])
    .err();
    let error = error.map_or_else(|| "no fault".to_owned(), |error| error.to_string());
    error.replace(&format!("{}/", folder.path().display()), "")
}

fn logo() -> Vec<u8> {
    fs::read(shipped("quote/logo.png")).unwrap()
}

#[test]
fn the_files_that_are_spoilt_below_are_good() {
    assert_eq!(said(GOOD, PRICES, &logo()), "no fault");
}

#[test]
fn bad_business_files() {
    let mut all = String::new();
    let mut one = |what: &str, text: &str| {
        all.push_str(&format!("# {what}\n{}\n\n", said(text, PRICES, &logo())));
    };
    one("empty", "");
    one("not TOML", &GOOD.replace("validity_days = 30", "validity_days 30"));
    one("a misspelt key", &GOOD.replace("validity_days", "validty_days"));
    one("an unknown key", &format!("{GOOD}colour = \"red\"\n"));
    one("an unknown currency", &GOOD.replace("EUR", "EURO"));
    one("a currency that is none", &GOOD.replace("EUR", "QQQ"));
    one("a negative rate", &GOOD.replace("40.5", "-40.5"));
    one("a rate that is a text", &GOOD.replace("40.5", "\"forty\""));
    one("a rate that is no number", &GOOD.replace("40.5", "nan"));
    one("a tax of 210 %", &GOOD.replace("rate = 21", "rate = 210"));
    one("a tax on what?", &GOOD.replace("\"total\"", "\"line\""));
    one("no tax", &GOOD[..GOOD.find("[tax]").unwrap()]);
    one("a name that is a number", &GOOD.replace("\"N\"", "7"));
    one("a logo that is not there", &GOOD.replace("logo.png", "nowhere.png"));
    one("a logo that is a folder", &GOOD.replace("logo.png", "."));
    one("a twice given key", &format!("name = \"M\"\n{GOOD}"));
    one("control characters", &GOOD.replace("\"EUR\"", "\"E\\u001b[31mR\""));
    one("three faults", "name = 1\nadress = \"A\"\ncurrency = \"EUR\"\n");
    insta::assert_snapshot!("bad_business", all);
}

#[test]
fn bad_logos() {
    let mut broken = logo();
    broken.truncate(broken.len() / 2);
    let jpeg = [0xff, 0xd8, 0xff, 0xe0, 0, 16];
    let large = vec![0; 5 << 20];
    let mut all = String::new();
    for (what, bytes) in [("no PNG", &jpeg[..]), ("cut off", &broken), ("too big", &large)] {
        all.push_str(&format!("# {what}\n{}\n\n", said(GOOD, PRICES, bytes)));
    }
    insta::assert_snapshot!("bad_logo", all);
}

#[test]
fn bad_price_lists() {
    let mut all = String::new();
    let mut one = |what: &str, text: &str| {
        all.push_str(&format!("# {what}\n{}\n\n", said(GOOD, text, &logo())));
    };
    one("empty", "");
    one("a price missing", &PRICES.replace("smoke,60,0.3\n", ""));
    one("an item misspelt", &PRICES.replace("contact,", "contcat,"));
    one(
        "a line of its own",
        &PRICES.replace("hours", "hours,quantity").replace("smoke,60,0.3", "smoke,60,0.3,2"),
    );
    one("a price not given", &PRICES.replace("smoke,60,", "smoke,,"));
    one("a negative price", &PRICES.replace("60", "-60"));
    one("negative hours", &PRICES.replace("0.3", "-0.3"));
    one("a price with its currency", &PRICES.replace("60", "$60"));
    one("two readings", &PRICES.replace(',', ";").replace("60", "1.234"));
    one("too many digits", &PRICES.replace("60", "0.1234567"));
    one("an absurd price", &PRICES.replace("60", "999999999"));
    one("a column misspelt", &PRICES.replace("hours", "huors"));
    one("no column of prices", &PRICES.replace("unit price", "description"));
    one("a column twice", &PRICES.replace("hours", "price"));
    one("an item twice", &format!("{PRICES}Smoke,61,0.3\n"));
    one("too many columns", &PRICES.replace("60,", "6,0,0,"));
    one("no item", &format!("{PRICES},61,0.3\n"));
    one("too large", &"#".repeat(1 << 21));
    insta::assert_snapshot!("bad_prices", all);
    let latin = folder(&[("p.csv", b"item,price\nsir\xe8ne,1\n")]);
    let list = job::pricing::read_prices(&latin.path().join("p.csv")).unwrap();
    let [warning] = list.warnings.as_slice() else { panic!("{:?}", list.warnings) };
    assert_eq!((list.rows[0].item.as_str(), warning.line, warning.column), ("sirène", 2, 4));
}

#[test]
fn prices_without_a_business_are_refused() {
    run(&["quote", "plan.geojson", "--prices", "p.csv"]).refused(&["--business"]);
    for date in ["2026-2-1", "2026-02-30", "tomorrow"] {
        run(&["quote", "plan.geojson", "--date", date]).refused(&["--date"]);
    }
}

#[test]
fn nothing_is_written_when_a_file_is_bad() {
    let folder = folder(&[("b.toml", b"name = 1"), ("p.csv", PRICES.as_bytes())]);
    let before = names(folder.path());
    let plan = shipped("annexe.geojson");
    let arguments = ["quote", &plan, "--business", "b.toml", "--prices", "p.csv"];
    run_in(folder.path(), &arguments).refused(&["nothing was written"]);
    assert_eq!(names(folder.path()), before);
}
