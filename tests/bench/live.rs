//! How soon the page's forecast follows while the panel is dragged over a shipped house.
//!
//! `cargo bench -p drillonce-bench --bench live`. The server runs as it does for a user; a client
//! on the same machine tries the panel at one place after the other, and the time from its message
//! to each answer is taken. Percentiles are printed; criterion keeps the time of the table.

#![allow(missing_docs, reason = "criterion's macros make undocumented items")]
#![allow(clippy::print_stdout, reason = "a bench talks")]
#![allow(clippy::unwrap_used, reason = "a bench that cannot go on should stop")]

use std::fs;
use std::net::TcpStream;
use std::sync::mpsc;
use std::time::{Duration, Instant};

use criterion::{Criterion, criterion_group, criterion_main};
use forecast::Model;
use serde_json::{Value, json};
use serve::{Making, Opened, SUBPROTOCOL, ServeSettings, serve};
use tungstenite::client::IntoClientRequest as _;
use tungstenite::{Message, WebSocket};

/// How many places of the panel are tried for the percentiles.
const PLACES: u32 = 60;

/// A page on a shipped plan, and what it drags.
struct Page {
    socket: WebSocket<TcpStream>,
    panel: Value,
    home: [f64; 2],
    seq: u32,
}

/// Times from a try to its answers.
#[derive(Default)]
struct Times {
    /// The table with all devices; the roam areas may still be those from before.
    table: Duration,
    /// The first map.
    coarse: Duration,
    /// The table with its roam areas.
    whole: Duration,
    /// The map of 0.25 m.
    quarter: Duration,
    /// The last map.
    last: Duration,
}

impl Page {
    fn on(name: &str) -> Self {
        let folder = tempfile::tempdir().unwrap().keep();
        let plan = folder.join("plan.geojson");
        fs::copy(fixtures::floorplan(name), &plan).unwrap();
        let (tell, told) = mpsc::channel();
        std::thread::spawn(move || {
            let settings = ServeSettings {
                plan: Opened::File(plan),
                port: 0,
                model: Model::default(),
                page: &[],
                making: Making::default(),
                share: None,
            };
            serve(&settings, |address| tell.send(address.to_owned()).unwrap()).unwrap();
        });
        let address = told.recv().unwrap();
        let (host, key) = address.strip_prefix("http://").unwrap().split_once("/#").unwrap();
        let mut request = format!("ws://{host}/live").into_client_request().unwrap();
        let headers = request.headers_mut();
        headers.insert("origin", format!("http://{host}").parse().unwrap());
        headers.insert("sec-websocket-protocol", SUBPROTOCOL.parse().unwrap());
        let stream = TcpStream::connect(host).unwrap();
        stream.set_nodelay(true).unwrap();
        let (socket, _) = tungstenite::client(request, stream).unwrap();
        let plan = fixtures::shipped(name);
        let panel = plan.panel().unwrap();
        let home = [panel.position.x, panel.position.y];
        let mut page = Self { socket, panel: panel.id.clone().into(), home, seq: 0 };
        page.say(&json!({"type": "hello", "key": key, "tab": "bench"}));
        page.times(0);
        page
    }

    fn say(&mut self, message: &Value) {
        self.socket.send(Message::text(message.to_string())).unwrap();
    }

    /// Tries the next place, on a circle round where the panel hangs.
    fn drag(&mut self) -> u32 {
        self.seq += 1;
        let (sin, cos) = (f64::from(self.seq) * 0.37).sin_cos();
        let to = [self.home[0] + 1.5 * cos, self.home[1] + 1.5 * sin];
        let change = json!({"do": "move", "id": self.panel, "to": to});
        self.say(&json!({"type": "try", "seq": self.seq, "changes": [change]}));
        self.seq
    }

    /// Waits for all answers to a try.
    fn times(&mut self, seq: u32) -> Times {
        let started = Instant::now();
        let mut times = Times::default();
        while times.whole.is_zero() || times.last.is_zero() {
            let message = self.socket.read().unwrap();
            let after = started.elapsed();
            match message {
                Message::Text(text) => {
                    let value: Value = serde_json::from_str(&text).unwrap();
                    if value["type"] != "table" || value["seq"] != seq {
                        continue;
                    }
                    if times.table.is_zero() {
                        times.table = after;
                    }
                    if value["partial"] == false {
                        times.whole = after;
                    }
                }
                Message::Binary(map) if map[8..12] == seq.to_le_bytes() => {
                    if times.coarse.is_zero() {
                        times.coarse = after;
                    }
                    let cell = f32::from_le_bytes([map[32], map[33], map[34], map[35]]);
                    if cell <= 0.25 && times.quarter.is_zero() {
                        times.quarter = after;
                    }
                    if map[17] == 255 {
                        times.last = after;
                    }
                }
                _ => {}
            }
        }
        times
    }

    /// Waits for the table of a try only.
    fn table(&mut self, seq: u32) {
        loop {
            if let Message::Text(text) = self.socket.read().unwrap() {
                let value: Value = serde_json::from_str(&text).unwrap();
                if value["type"] == "table" && value["seq"] == seq {
                    break;
                }
            }
        }
    }
}

fn percentiles(name: &str, what: &str, mut times: Vec<Duration>) {
    times.sort();
    let at = |share: f64| times[((times.len() - 1) as f64 * share).round() as usize];
    println!("{name}: {what}: half {:?}, p95 {:?}, most {:?}", at(0.5), at(0.95), at(1.0));
}

fn live(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("the table while the panel is dragged");
    group.sample_size(20);
    for name in ["brick-house", "foil-garage"] {
        let mut page = Page::on(name);
        let mut all = Vec::new();
        for _ in 0..PLACES {
            let seq = page.drag();
            all.push(page.times(seq));
        }
        let of = |time: fn(&Times) -> Duration| all.iter().map(time).collect();
        percentiles(name, "table", of(|times| times.table));
        percentiles(name, "coarse map", of(|times| times.coarse));
        percentiles(name, "table with roam areas", of(|times| times.whole));
        percentiles(name, "map of 0.25 m", of(|times| times.quarter));
        percentiles(name, "last map", of(|times| times.last));
        group.bench_function(name, |bench| {
            bench.iter(|| {
                let seq = page.drag();
                page.table(seq);
            });
        });
    }
    group.finish();
}

criterion_group!(benches, live);
criterion_main!(benches);
