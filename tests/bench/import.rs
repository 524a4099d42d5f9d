//! How long a drawing of fifty thousand entities takes, and its rooms. `cargo bench --bench
//! import`.

#![allow(missing_docs, reason = "criterion's macros make undocumented items")]

use std::fmt::Write as _;
use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use forecast::vocabulary;
use import::{Kind, Known, Settings, draft};
use plan::{Rooms, read_house};

/// Rooms along each side of an office; each has four faces of walls, a door, a window and seven
/// lines of furniture.
const ROOMS: u32 = 60;

fn line(out: &mut String, layer: &str, a: (f64, f64), b: (f64, f64)) {
    let _ =
        write!(out, "0\nLINE\n8\n{layer}\n10\n{}\n20\n{}\n11\n{}\n21\n{}\n", a.0, a.1, b.0, b.1);
}

/// An office drawn in millimetres, 50,000 entities.
fn office() -> String {
    let mut out =
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"
            .to_owned();
    let mut entities = 0;
    for column in 0..ROOMS {
        for row in 0..ROOMS {
            let (x, y) = (f64::from(column) * 5_000.0, f64::from(row) * 5_000.0);
            let corners = [
                (x + 50.0, y + 50.0),
                (x + 4_950.0, y + 50.0),
                (x + 4_950.0, y + 4_950.0),
                (x + 50.0, y + 4_950.0),
            ];
            for side in 0..4 {
                line(&mut out, "WALL", corners[side], corners[(side + 1) % 4]);
            }
            let _ = write!(
                out,
                "0\nARC\n8\nDOOR\n10\n{}\n20\n{y}\n40\n900\n50\n0\n51\n90\n",
                x + 1_000.0
            );
            line(&mut out, "WINDOW", (x + 3_000.0, y), (x + 4_200.0, y));
            for shelf in 0..7 {
                let at = y + 1_000.0 + 200.0 * f64::from(shelf);
                line(&mut out, "FURNITURE", (x + 1_000.0, at), (x + 2_000.0, at));
            }
            entities += 13;
        }
    }
    for _ in entities..50_000 {
        line(&mut out, "FURNITURE", (0.0, 0.0), (1_000.0, 1_000.0));
    }
    out.push_str("0\nENDSEC\n0\nEOF\n");
    out
}

fn imports(criterion: &mut Criterion) {
    let drawing = office();
    let settings = Settings { known: Known { vocabulary: vocabulary() }, ..Settings::default() };
    let read = || draft(Kind::Dxf, "office.dxf", drawing.as_bytes(), &settings);
    criterion.bench_function("a drawing of 50,000 entities", |bencher| {
        bencher.iter(|| black_box(read()));
    });
    let Ok(draft) = read() else { return };
    let text = draft.text();
    let Ok(reading) = read_house("office", text.as_bytes(), &settings.known.vocabulary) else {
        return;
    };
    criterion.bench_function("the rooms of that office", |bencher| {
        bencher.iter(|| black_box(Rooms::new(&reading.plan, &|_| None)));
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10);
    targets = imports
}
criterion_main!(benches);
