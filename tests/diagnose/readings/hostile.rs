//! No input does harm.

use diagnose::readings::{MAX_LISTED_ROWS, MAX_READINGS_BYTES, MAX_ROWS, Scales, read_readings};
use proptest::prelude::*;
use proptest::sample::Index;

use super::promises::{plan, survives};
use super::read;

const SEEDS: [&str; 3] = [
    "# bars: -105, -95, -85\n# percent: -110 to -50\nsensor;time;at;level_dbm;bars;percent;heard;noise;note\n\
     1;2026-03-01T18:20:00Z;landing;-87,5;2;50 %;yes;-110;moved\nküche;;;;;;lost;;\"low \"\"battery\"\"\"\n",
    "sensor,level\n1,-80\n\"Window\",\"-81 dBm\"\nfrnt,−80\n",
    "{\"scales\": {\"bars\": [-100, -90], \"percent\": \"-110 to -50\"}, \"readings\": [{\"sensor\": 1, \
     \"bars\": 1, \"note\": \"t\\u0061mper\"}, {\"sensor\": \"left\", \"heard\": false, \"time\": \"2026-03-01\"}]}",
];

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..Default::default() })]

    #[test]
    fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        survives(&bytes);
    }

    #[test]
    fn any_table(text in "(# (bars|percent): [-0-9, to;.%]{0,12}\n){0,2}(sensor|time|bars|level|percent|note|[,;\t|\"]){1,9}\n([-0-9.,;|\"\t %/a-zé−]{0,30}\r?\n){0,6}") {
        survives(text.as_bytes());
    }

    #[test]
    fn spoilt_files(
        which in 0..SEEDS.len(),
        spoilt in proptest::collection::vec((any::<Index>(), any::<u8>(), 0..4_u8), 1..8)
    ) {
        let mut bytes = SEEDS[which].as_bytes().to_vec();
        for (place, byte, how) in spoilt {
            let at = place.index(bytes.len());
            match how {
                0 => bytes[at] = byte,
                1 => bytes.insert(at, byte),
                2 if bytes.len() > 1 => { bytes.remove(at); }
                _ => { let tail = bytes[at..].to_vec(); bytes.extend(tail); }
            }
        }
        survives(&bytes);
    }
}

#[test]
fn large_files() {
    let mut text = "sensor,level\n".to_owned();
    text.push_str(&"nobody at all,-80\n".repeat(900_000));
    let file = read(&text);
    assert_eq!((file.rows, file.faults.len()), (900_000, MAX_LISTED_ROWS + 1));
    assert!(file.faults[MAX_LISTED_ROWS].what.starts_with("and 899800 more"));

    let text = format!("sensor,level\n{}", "1,-80\n".repeat(MAX_ROWS + 5));
    let file = read(&text);
    assert_eq!((file.readings.len(), file.faults.len()), (MAX_ROWS, 1));

    let text = format!("[{}]", vec!["1"; 8_000_000].join(","));
    assert_eq!(read(&text).rows, MAX_ROWS);

    let huge = vec![b'x'; MAX_READINGS_BYTES + 1];
    let file = read_readings("x", &huge, &plan(), &Scales::default());
    assert_eq!(file.faults.len(), 1);
    for one in ["[", "{\"a\":", "\"", ",", "\"\"", "a,", "sensor,level,", "-", "#"] {
        let text = one.repeat(MAX_READINGS_BYTES / one.len());
        survives(text.as_bytes());
        survives(format!("sensor,level\n{text}").as_bytes());
    }
}
