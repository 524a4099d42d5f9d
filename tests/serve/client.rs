//! A server on a free port with a plan in a folder of its own, and a page that talks to it.

use std::fs;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::PathBuf;
use std::sync::{Arc, mpsc};
use std::time::Duration;

use forecast::Model;
use serde_json::{Value, json};
use serve::{Making, Opened, PageFile, SUBPROTOCOL, ServeSettings, Share, serve};
use tempfile::TempDir;
use tungstenite::client::IntoClientRequest as _;
use tungstenite::http::HeaderValue;
use tungstenite::{Message, WebSocket};

/// No answer takes longer, however busy the machine.
const PATIENCE: Duration = Duration::from_secs(40);

/// The page of the tests.
const PAGE: &[PageFile] = &[
    PageFile { path: "", mime: "text/html; charset=utf-8", bytes: b"<!doctype html><p>Plan" },
    PageFile { path: "page.js", mime: "text/javascript; charset=utf-8", bytes: b"0;" },
];

/// A server that runs until the tests end.
pub struct Served {
    pub folder: TempDir,
    pub plan: PathBuf,
    pub port: u16,
    pub key: String,
}

impl Served {
    /// Serves a shipped plan.
    pub fn shipped(name: &str) -> Self {
        Self::of(&fs::read_to_string(fixtures::floorplan(name)).unwrap())
    }

    /// Serves a plan's text.
    pub fn of(text: &str) -> Self {
        Self::in_folder(tempfile::tempdir().unwrap(), text)
    }

    /// Serves a plan's text in a folder in which there may be other files.
    pub fn in_folder(folder: TempDir, text: &str) -> Self {
        let plan = folder.path().join("plan.geojson");
        fs::write(&plan, text).unwrap();
        Self::with(folder, plan.clone(), Opened::File(plan), None)
    }

    /// Serves a shipped plan to guests, too.
    pub fn shared(name: &str, share: Arc<Share>) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let plan = folder.path().join("plan.geojson");
        fs::copy(fixtures::floorplan(name), &plan).unwrap();
        Self::with(folder, plan.clone(), Opened::File(plan), Some(share))
    }

    /// Serves a new plan, which will be called `plan.geojson`.
    pub fn new_plan() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let (plan, place) = (folder.path().join("plan.geojson"), folder.path().to_owned());
        Self::with(folder, plan, Opened::New(place), None)
    }

    fn with(folder: TempDir, plan: PathBuf, opened: Opened, share: Option<Arc<Share>>) -> Self {
        let settings = ServeSettings { share, ..settings(opened) };
        let (tell, told) = mpsc::channel();
        std::thread::spawn(move || {
            let done = serve(&settings, |address| tell.send(address.to_owned()).unwrap());
            done.unwrap();
        });
        let (port, key) = parts(&told.recv_timeout(PATIENCE).unwrap());
        Self { folder, plan, port, key }
    }

    /// A page that has said hello.
    pub fn page(&self, tab: &str) -> Page {
        Page::at(self.port, &self.key, tab)
    }

    /// A page that has said hello in a language.
    pub fn page_in(&self, language: &str) -> Page {
        let mut page = Page::silent(self.port);
        let (key, tab) = (&self.key, language);
        page.say(&json!({"type": "hello", "key": key, "tab": tab, "language": language}));
        page
    }

    /// What the server answers to a request, as it is on the wire.
    pub fn raw(&self, request: &str) -> String {
        raw(self.port, request)
    }
}

/// How a plan is served in tests.
pub fn settings(plan: Opened) -> ServeSettings {
    let (model, making) = (Model::default(), Making::default());
    ServeSettings { plan, port: 0, model, page: PAGE, making, share: None }
}

/// Port and key of an address.
pub fn parts(address: &str) -> (u16, String) {
    let rest = address.trim().strip_prefix("http://127.0.0.1:").unwrap();
    let (port, key) = rest.split_once("/#").unwrap();
    (port.parse().unwrap(), key.to_owned())
}

/// What a server answers to bytes, until it closes or is silent.
pub fn raw(port: u16, request: &str) -> String {
    let mut stream = TcpStream::connect(("127.0.0.1", port)).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(10))).unwrap();
    stream.write_all(request.as_bytes()).unwrap();
    let mut answer = Vec::new();
    let _ = stream.read_to_end(&mut answer);
    String::from_utf8_lossy(&answer).into_owned()
}

/// A page's connection, and the text of the message that was waited for last.
pub struct Page<S = TcpStream>(pub WebSocket<S>, pub String);

impl Page {
    /// Connects and says hello.
    pub fn at(port: u16, key: &str, tab: &str) -> Self {
        let mut page = Self::silent(port);
        page.say(&json!({"type": "hello", "key": key, "tab": tab}));
        page
    }

    /// Connects and says nothing.
    pub fn silent(port: u16) -> Self {
        let stream = TcpStream::connect(("127.0.0.1", port)).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        let mut request = format!("ws://127.0.0.1:{port}/live").into_client_request().unwrap();
        let origin = format!("http://127.0.0.1:{port}");
        request.headers_mut().insert("origin", HeaderValue::from_str(&origin).unwrap());
        let protocol = HeaderValue::from_static(SUBPROTOCOL);
        request.headers_mut().insert("sec-websocket-protocol", protocol);
        Self(tungstenite::client(request, stream).unwrap().0, String::new())
    }
}

impl<S: Read + Write> Page<S> {
    pub fn say(&mut self, message: &Value) {
        self.say_text(&message.to_string());
    }

    pub fn say_text(&mut self, message: &str) {
        self.0.send(Message::text(message)).unwrap();
    }

    /// Sends what the server may refuse by closing.
    pub fn try_to_say(&mut self, message: Message) {
        let _ = self.0.send(message);
    }

    /// The next message; nothing once the server has closed.
    pub fn next(&mut self) -> Option<Message> {
        match self.0.read() {
            Ok(Message::Close(_)) | Err(_) => None,
            Ok(message) => Some(message),
        }
    }

    /// The next JSON message of a type, and what is passed over is lost.
    #[track_caller]
    pub fn wait(&mut self, kind: &str) -> Value {
        self.wait_for(kind, |_| true)
    }

    /// The next JSON message of a type that is as wished.
    #[track_caller]
    pub fn wait_for(&mut self, kind: &str, wished: impl Fn(&Value) -> bool) -> Value {
        loop {
            let message = self.next().unwrap_or_else(|| panic!("no {kind} came"));
            let Message::Text(text) = message else { continue };
            let value: Value = serde_json::from_str(&text).unwrap();
            if value["type"] == kind && wished(&value) {
                self.1 = text.to_string();
                return value;
            }
        }
    }

    /// The next JSON message of one of some types.
    #[track_caller]
    pub fn wait_of(&mut self, kinds: &[&str]) -> Value {
        loop {
            let message = self.next().unwrap_or_else(|| panic!("none of {kinds:?} came"));
            let Message::Text(text) = message else { continue };
            let value: Value = serde_json::from_str(&text).unwrap();
            if kinds.iter().any(|kind| value["type"] == *kind) {
                return value;
            }
        }
    }

    /// The whole forecast that answers an edit or try of a number.
    #[track_caller]
    pub fn table(&mut self, seq: u32) -> Value {
        self.wait_for("table", |table| table["seq"] == seq && table["partial"] == false)
    }

    /// The next map.
    pub fn map(&mut self) -> Map {
        loop {
            if let Message::Binary(bytes) = self.next().unwrap() {
                return Map::read(&bytes);
            }
        }
    }
}

/// A map as a page reads it.
#[derive(Debug, Clone, PartialEq)]
pub struct Map {
    pub version: u32,
    pub seq: u32,
    pub level: i32,
    pub kind: u8,
    pub stage: u8,
    pub columns: usize,
    pub rows: usize,
    pub corner: [f32; 2],
    pub cell: f32,
    pub bytes: Vec<u8>,
}

impl Map {
    pub fn read(bytes: &[u8]) -> Self {
        assert_eq!(&bytes[..4], b"DM1\0");
        let four = |at: usize| <[u8; 4]>::try_from(&bytes[at..at + 4]).unwrap();
        let two = |at: usize| usize::from(u16::from_le_bytes([bytes[at], bytes[at + 1]]));
        let map = Self {
            version: u32::from_le_bytes(four(4)),
            seq: u32::from_le_bytes(four(8)),
            level: i32::from_le_bytes(four(12)),
            kind: bytes[16],
            stage: bytes[17],
            columns: two(18),
            rows: two(20),
            corner: [f32::from_le_bytes(four(24)), f32::from_le_bytes(four(28))],
            cell: f32::from_le_bytes(four(32)),
            bytes: bytes[36..].to_vec(),
        };
        assert_eq!(map.bytes.len(), map.columns * map.rows);
        map
    }
}

/// A message that moves a thing.
pub fn moves(kind: &str, seq: u32, id: &str, to: [f64; 2]) -> Value {
    json!({"type": kind, "seq": seq, "changes": [{"do": "move", "id": id, "to": to}]})
}
