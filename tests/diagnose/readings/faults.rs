//! A file with every fault, and what is said of it.

use super::{outcome, read};

const EVERY: &str = "\
# bars: -105, -95, -85, -75
# percent: -110 to -50
sensor,name,time,at,level_dbm,bars,percent,heard,noise_dbm,note,colour,level
1,,2026-03-01T18:20:00Z,,-87.5,,,,,,red,
frnt-door,,,,-80,,,,,,,
garage gate,,,,-80,,,,,,,
Window,,,,-80,,,,,,,
panel,,,,-80,,,,,,,
,,,,-80,,,,,,,
,Nobody,,,-80,,,,,,,
1,,soon,,-80,,,,,,,
1,,01.03.2026 18:20,,-80,,,,,,,
1,,2026-02-30,,-80,,,,,,,
1,,,keypad,-80,,,,,,,
1,,,landin,-80,,,,,,,
1,,,,87,,,,,,,
1,,,,-200,,,,,,,
1,,,,weak,,,,,,,
1,,,,nan,,,,,,,
1,,,,-87,5,,,,,,,,,
1,,,,-80,7,,,,,,
1,,,,,2.5,,,,,,
1,,,,,3/5,,,,,,
1,,,,,many,,,,,,
1,,,,,,101,,,,,
1,,,,,,-1,,,,,
1,,,,,,lots,,,,,
1,,,,,,,perhaps,,,,
1,,,,-80,,,missed,,,,
1,,,,-80,,,lost,,,,
,,,,,,,,30,,,
,,,,,,,,loud,,,
1,,,,-80,,,,,\"moved, fresh battery\",,
1,,,,-80,,,,,\"never closed,,
# bars: -100, -90
1,,2026-03-01 18:20,,-80,,,,,behind the fridge,,
1,,2026-03-02,,,,,,,battery low,,
bad,,soon,keypad,weak,9,900,perhaps,loud,,,
";

#[test]
fn every_fault_of_a_table() {
    insta::assert_snapshot!("every_fault", outcome(&read(EVERY)));
}

#[test]
fn bars_and_per_cent_without_a_scale() {
    let text = "sensor,bars,percent\n1,3,\n1,,60\n";
    insta::assert_snapshot!(outcome(&read(text)).trim_end(), @"
    fault  readings.csv:2  bars: the file does not say what its bars mean
            fix: above the header, write the level from which each bar shows: # bars: -105, -95, -85, -75 (or give --bars)
    fault  readings.csv:3  percent: the file does not say what its per cent mean
            fix: above the header, write the levels at 0 and 100 %: # percent: -110 to -50 (or give --percent)
    2 rows; readings of
    ");
}

#[test]
fn scales_that_cannot_be_used() {
    let text = "# bars: -75, -85\n# percent: -50 to -110\n# percent: much\n# bars:\n# bars: x\n\
                # percent: -110 to -50 in steps of 0\n# bars: -500\n# Measured: twice\n\
                sensor,level\n1,-80\n";
    insta::assert_snapshot!("scales", outcome(&read(text)));
}

#[test]
fn headers_that_cannot_be_used() {
    let all = [
        "",
        " \n\t\r\n",
        "# nothing\n",
        "1,-80\n2,-81\n",
        "sensor,time\n1,2026-03-01\n",
        "level_dbm,bars\n-80,\n",
        "\"sensor,level_dbm\n1,-80\n",
        "sensr,level_dbm\n1,-80\n",
        "sensor,levl\n1,-80\n",
        "sensor\u{0}level\n",
        "senso\u{202e}r,le\u{1b}[31mvel\n",
    ];
    let said: Vec<String> =
        all.iter().map(|text| format!("{text:?}\n{}", outcome(&read(text)))).collect();
    insta::assert_snapshot!("headers", said.join("\n\n"));
}

#[test]
fn every_fault_of_json() {
    let text = r#"{
 "scales": {"bars": [-105, -95], "percent": "-110 to -50", "stars": [1], "colour": null},
 "house": "ours",
 "readings": [
  {"sensor": 1, "level_dbm": -87.5, "note": "low battery"},
  {"sensor": "frnt-door", "level_dbm": -80},
  {"sensor": 1, "level_dbm": [-80]},
  {"sensor": 1, "level_dbm": -80, "rssi": -81},
  {"sensor": 1, "levl_dbm": -80},
  7,
  {"sensor": 1,
   "level_dbm": 87},
  {"sensor": 1, "heard": false},
  {"sensor": 1, "heard": 7},
  {"sensor": 1, "bars": 2, "percent": null},
  {"sensor": 1, "level_dbm": -8e1},
  {"sensor": 1, "level_dbm": -8e300},
  {"sensor": "\ud800", "level_dbm": -80},
  {}
 ]
}"#;
    insta::assert_snapshot!("json", outcome(&read(text)));
    let said: Vec<String> = [
        "{",
        "[1,]",
        "{}",
        "{\"readings\": {}}",
        "[]",
        "{\"readings\": [], \"scales\": 3}",
        "[{\"sensor\": 1, \"level_dbm\": -80}] x",
        "[{\"sensor\": 1\n \"level_dbm\": -80}]",
    ]
    .iter()
    .map(|text| format!("{text}\n{}", outcome(&read(text))))
    .collect();
    insta::assert_snapshot!("not_json", said.join("\n\n"));
}
