//! Quote and hand-over of shipped plans, as the program writes them.

use std::fs;
use std::path::{Path, PathBuf};

use drillonce::plan::read_file;
use fixtures::floorplans;
use tempfile::TempDir;

use crate::rendered::browser::Browser;
use crate::rendered::{MEASURE, SHOWN, faults, paper, write};
use crate::run::{folder, run_in};

/// A document that the program wrote.
struct Written {
    name: &'static str,
    folder: TempDir,
    stem: &'static str,
    /// How many pictures it has, at least.
    pictures: u64,
    /// Words that a reader must find in the PDF.
    words: Vec<&'static str>,
}

impl Written {
    fn file(&self, ending: &str) -> PathBuf {
        self.folder.path().join(format!("{}.{ending}", self.stem))
    }
}

/// Runs the program on a plan with options and the files of the invented business.
fn made(command: &str, plan: &Path, options: &[&str]) -> TempDir {
    let (folder, plan) = (folder(), plan.to_str().unwrap());
    let out = folder.path().to_str().unwrap();
    let usual = [command, plan, "--date", "2026-11-25", "--out", out];
    let run = run_in(&floorplans().join("quote"), &[&usual, options].concat());
    // A failing device makes it 1.
    assert!(matches!(run.code, Some(0 | 1)), "{run:?}");
    folder
}

fn shipped() -> Vec<Written> {
    let plan = |name: &str| floorplans().join(format!("{name}.geojson"));
    let english = ["--business", "business.toml", "--prices", "prices.csv"];
    let spanish = [
        "--language",
        "es",
        "--business",
        "negocio.toml",
        "--prices",
        "precios.csv",
        "--paper",
        "letter",
    ];
    let battery = ["--standby-ma", "45", "--alarm-ma", "600", "--battery-ah", "2.2"];
    vec![
        Written {
            name: "quote of the house with an annexe",
            folder: made("quote", &plan("annexe"), &english),
            stem: "annexe-quote",
            // Logo, plan, and the annexe without and with its repeater.
            pictures: 4,
            words: vec!["5 of 12 devices", "Repeater 1", "Total", "Annexe bedroom"],
        },
        Written {
            name: "quote of the brick house in Spanish",
            folder: made("quote", &plan("brick-house"), &spanish),
            stem: "brick-house-quote",
            // Logo, and plan and coverage of two levels.
            pictures: 5,
            words: vec!["Presupuesto", "Upstairs, Landing", "No hace falta ningún repetidor"],
        },
        Written {
            name: "hand-over of the brick house",
            folder: made("handover", &plan("brick-house"), &battery),
            stem: "brick-house-handover",
            pictures: 0,
            words: vec![
                "Programming: zones",
                "Test sheet",
                "Key fobs and pendants",
                "Capacity needed",
            ],
        },
    ]
}

#[test]
fn shipped_documents_stay_on_their_pages() {
    let Some(mut browser) = Browser::start() else { return };
    for written in shipped() {
        let file = written.file("html");
        for (what, medium, width, height) in SHOWN {
            browser.open(&file, medium, width, height);
            let name = format!("{} on {what}", written.name);
            let found = faults(&mut browser);
            assert!(found.is_empty(), "{name}:\n{}", found.join("\n"));
            assert_eq!(browser.requests(&file), [""; 0], "{name}");
            assert_eq!(browser.complaints(), [""; 0], "{name}");
            let pictures = browser.ask(MEASURE)["pictures"].as_u64().unwrap();
            assert!(pictures >= written.pictures, "{name}: {pictures} pictures");
        }
    }
}

#[test]
fn shipped_documents_are_small_files_that_can_be_read() {
    let Some(tools) = paper::Tools::find() else { return };
    for written in shipped() {
        let file = written.file("pdf");
        let bytes = fs::metadata(&file).unwrap().len();
        assert!(bytes < 2_000_000, "{}: {bytes} bytes", written.name);
        let pages = tools.pages(&file);
        for (number, page) in pages.iter().enumerate() {
            page.assert_ink_within(number, 55.7, 28.0, 24.0);
        }
        // Lines are broken anywhere, and columns stand beside each other.
        let text = tools.text(&file);
        let text: Vec<&str> = text.split_whitespace().collect();
        let text = text.join(" ");
        for words in &written.words {
            assert!(text.contains(words), "{}: no {words} in\n{text}", written.name);
        }
        assert!(tools.properties(&file).contains("Tagged:          yes"));
    }
}

/// A plan is somebody else's text.
#[test]
fn a_name_that_looks_like_markup_stays_a_name() {
    const NAME: &str = "<script>document.title='owned'</script>";
    let Some(mut browser) = Browser::start() else { return };
    let folder = folder();
    let text = fs::read_to_string(floorplans().join("annexe.geojson")).unwrap();
    let text = text
        .replace("\"Annexe motion\"", &format!("\"{NAME}\""))
        .replace("\"Annexe bedroom\"", "\"<img src=x>\"");
    let plan = write(folder.path(), "house.geojson", &text);
    let vocabulary = forecast::vocabulary();
    assert!(read_file(&plan, &vocabulary).is_ok());
    for command in ["quote", "handover"] {
        let out = made(command, &plan, &[]);
        let file = out.path().join(format!("house-{command}.html"));
        let html = fs::read_to_string(&file).unwrap();
        assert!(html.contains("&lt;script&gt;"), "{command}");
        assert!(html.contains("&lt;img src=x&gt;"), "{command}");
        browser.open(&file, "screen", 1280, 900);
        assert_eq!(faults(&mut browser), [""; 0], "{command}");
        assert_eq!(browser.requests(&file), [""; 0], "{command}");
        let seen = browser.ask(
            "[document.scripts.length, document.title.includes('owned'), \
             document.body.innerText.includes(\"<script>document.title='owned'</script>\")]",
        );
        assert_eq!(seen, serde_json::json!([0, false, true]), "{command}");
    }
}
