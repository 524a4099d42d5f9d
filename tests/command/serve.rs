//! `serve`: the address, the page, and how it ends.

use std::fs;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, ChildStdout, Command, Stdio};

use super::run::{PROGRAM, Run, folder, folder_with, names, run, run_in, shipped};

/// The program, serving.
pub struct Served {
    child: Child,
    out: BufReader<ChildStdout>,
    /// The first line that it printed.
    pub address: String,
}

impl Served {
    fn start(folder: &Path, arguments: &[&str]) -> Self {
        Self::by(Command::new(PROGRAM).current_dir(folder).args(arguments))
    }

    /// Served by a command.
    pub fn by(command: &mut Command) -> Self {
        let command = command.stdin(Stdio::null());
        let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        let mut out = BufReader::new(child.stdout.take().unwrap());
        let mut address = String::new();
        out.read_line(&mut address).unwrap();
        Self { child, out, address: address.trim().to_owned() }
    }

    /// What an installer does who is done.
    pub fn interrupted(mut self) -> Run {
        let id = self.child.id().to_string();
        assert!(Command::new("kill").args(["-INT", &id]).status().unwrap().success());
        let (mut out, mut err) = (self.address, String::new());
        self.out.read_to_string(&mut out).unwrap();
        self.child.stderr.take().unwrap().read_to_string(&mut err).unwrap();
        Run { code: self.child.wait().unwrap().code(), out, err }
    }

    /// What a system does that is out of memory.
    pub fn killed(mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }

    /// The port of its address.
    pub fn port(&self) -> u16 {
        let rest = self.address.strip_prefix("http://127.0.0.1:").unwrap();
        rest.split_once("/#").unwrap().0.parse().unwrap()
    }

    fn get(&self, path: &str) -> String {
        let host = format!("127.0.0.1:{}", self.port());
        String::from_utf8_lossy(&self.fetched(path, &host)).into_owned()
    }

    /// What it answers to a request that calls it so.
    pub fn fetched(&self, path: &str, host: &str) -> Vec<u8> {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port())).unwrap();
        write!(stream, "GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n").unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        answer
    }
}

/// Runs a command that goes on until it is ended, and ends it once it has said where it is.
pub fn run_until_it_is_ready(folder: &Path, arguments: &[&str]) -> Run {
    let run = Served::start(folder, arguments).interrupted();
    assert!(!run.err.contains("panicked"), "{run:?}");
    run
}

#[test]
fn it_serves_the_page_until_it_is_interrupted_and_leaves_nothing() {
    let place = folder_with("plan.geojson", &fs::read_to_string(shipped("workshop")).unwrap());
    // Without a name the only plan of the folder.
    let served = Served::start(place.path(), &["serve", "--no-open"]);
    let page = served.get("/");
    assert!(page.starts_with("HTTP/1.1 200"), "{page}");
    let (_, html) = page.split_once("\r\n\r\n").unwrap();
    let own = fixtures::root().join("src/page/dist");
    assert_eq!(html, fs::read_to_string(own.join("index.html")).unwrap());
    for name in ["page.js", "page.css"] {
        assert!(html.contains(name), "{html}");
        let file = served.get(&format!("/{name}"));
        assert!(file.ends_with(&fs::read_to_string(own.join(name)).unwrap()), "{name}");
    }
    let second = run_in(place.path(), &["serve", "plan.geojson", "--no-open"]);
    second.refused(&["is open already", &served.address]);
    let run = served.interrupted();
    assert_eq!(run.code, Some(0), "{run:?}");
    assert_eq!(names(place.path()), ["plan.geojson"]);
}

#[test]
fn a_plan_that_is_being_drawn_is_served_and_what_is_no_text_is_not() {
    let place = folder_with("plan.geojson", "{\"type\": \"FeatureCollection\", ");
    let run = run_until_it_is_ready(place.path(), &["serve", "plan.geojson", "--no-open"]);
    assert_eq!(run.code, Some(0), "{run:?}");
    fs::write(place.path().join("plan.geojson"), [0, 1, 2]).unwrap();
    let run = run_in(place.path(), &["serve", "plan.geojson", "--no-open"]);
    run.refused(&["plan.geojson", "not text"]);
}

#[test]
fn it_says_which_plan_it_lacks() {
    run(&["serve", "missing.geojson", "--no-open"]).refused(&["missing.geojson"]);
    let place = folder();
    for name in ["a.geojson", "b.geojson"] {
        fs::copy(shipped("workshop"), place.path().join(name)).unwrap();
    }
    run_in(place.path(), &["serve", "--no-open"]).refused(&["several", "name one", "--new"]);
    let both = ["serve", "a.geojson", "--new", "--no-open"];
    run_in(place.path(), &both).refused(&["--new"]);
}

#[test]
fn without_a_plan_it_begins_a_new_one_that_is_found_again() {
    let place = folder();
    let run = run_until_it_is_ready(place.path(), &["serve", "--no-open"]);
    assert!(run.err.contains("A new plan") && run.err.contains(".unnamed-plan.drillonce-edit"));
    assert_eq!((run.code, names(place.path())), (Some(0), Vec::new()), "{run:?}");
    // Edits of one that was never saved go before the only plan of the folder.
    fs::copy(shipped("workshop"), place.path().join("a.geojson")).unwrap();
    let run = run_until_it_is_ready(place.path(), &["serve", "--no-open"]);
    assert!(!run.err.contains("A new plan"), "{run:?}");
    fs::copy(shipped("annexe"), place.path().join(".unnamed-plan.drillonce-edit")).unwrap();
    let run = run_until_it_is_ready(place.path(), &["serve", "--no-open"]);
    assert!(run.err.contains("A new plan"), "{run:?}");
    assert!(place.path().join(".unnamed-plan.drillonce-edit").is_file());
}

#[test]
fn it_is_shared_only_where_that_is_wanted_on_a_local_address_and_with_a_warning() {
    let place = folder();
    fs::copy(shipped("workshop"), place.path().join("plan.geojson")).unwrap();
    let serve = |more: &[&str]| {
        let mut arguments = vec!["serve", "plan.geojson", "--no-open"];
        arguments.extend(more);
        arguments.iter().map(|word| (*word).to_owned()).collect::<Vec<_>>()
    };
    let refused = |more: &[&str], parts: &[&str]| {
        let line = serve(more);
        let line: Vec<_> = line.iter().map(String::as_str).collect();
        run_in(place.path(), &line).refused(parts);
    };
    refused(&["--share", "--share-address=8.8.8.8"], &["8.8.8.8 is no address of a local network"]);
    refused(&["--share", "--share-address=0.0.0.0"], &["0.0.0.0 is no address"]);
    refused(&["--share", "--share-address=fe80::1"], &["one wire"]);
    refused(&["--share", "--share-address=10.9.8.7"], &["this machine has no address 10.9.8.7"]);
    refused(&["--share-address=127.0.0.1"], &["--share"]);
    refused(&["--share-plain"], &["--share"]);
    refused(&["--share=all"], &["reading", "editing"]);

    let quiet = run_until_it_is_ready(place.path(), &["serve", "plan.geojson", "--no-open"]);
    assert!(!quiet.err.contains("share") && !quiet.err.contains("fingerprint"), "{quiet:?}");
    for (sharing, may) in
        [("--share", "cannot change"), ("--share=editing", "changes it, saves it")]
    {
        let line = ["serve", "plan.geojson", "--no-open", sharing, "--share-address=127.0.0.1"];
        let run = run_until_it_is_ready(place.path(), &line);
        assert_eq!(run.code, Some(0), "{run:?}");
        for part in ["Warning: --share opens a port", may, "will warn of it", "SHA-256 fingerprint"]
        {
            assert!(run.err.contains(part), "{part}: {run:?}");
        }
        assert!(!run.err.contains("NOTHING THAT IS SENT IS ENCRYPTED"));
        // No terminal shows it, so what is printed may be kept: it holds no key of a guest.
        assert!(!run.err.contains("https://") && !run.out.contains("https://"), "{run:?}");
    }
    let plain = ["--share", "--share-plain", "--share-address=127.0.0.1"];
    let line = ["serve", "plan.geojson", "--no-open", plain[0], plain[1], plain[2]];
    let run = run_until_it_is_ready(place.path(), &line);
    assert!(run.err.contains("NOTHING THAT IS SENT IS ENCRYPTED"), "{run:?}");
    assert!(!run.err.contains("fingerprint"), "{run:?}");
}
