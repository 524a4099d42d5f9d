//! A headless Chromium, spoken to over a pipe: messages of the protocol of its developer tools,
//! each ended by a zero byte. No network, no port, no further program.

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};

use serde_json::{Value, json};

/// Set to `required` where a missing program must fail the tests rather than skip them.
const REQUIRED: &str = "DRILLONCE_RENDERED";

/// The first of the programs that starts; none when none does and none is required. That is said on
/// the standard error of the whole run, which the harness does not keep for itself as it does what
/// a passing test prints.
pub fn find(what: &str, programs: &[&str]) -> Option<String> {
    let found = programs.iter().find(|program| {
        Command::new(program)
            .arg("--version")
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status()
            .is_ok()
    });
    if found.is_none() {
        let wanted = programs.join(" or ");
        assert_ne!(
            std::env::var(REQUIRED).as_deref(),
            Ok("required"),
            "{wanted} is required here and does not start"
        );
        let test = std::thread::current().name().unwrap_or_default().to_owned();
        let _ = writeln!(std::io::stderr(), "skipped: no {what} ({wanted}): {test}");
    }
    found.map(|program| (*program).to_owned())
}

/// A browser with one page open.
pub struct Browser {
    child: Child,
    to: ChildStdin,
    from: BufReader<ChildStdout>,
    session: Option<String>,
    last: u64,
    /// What the page reported by itself.
    pub events: Vec<Value>,
    _profile: tempfile::TempDir,
}

impl Browser {
    pub fn start() -> Option<Self> {
        let program = find("browser", &["chromium-headless-shell", "chromium"])?;
        let profile = tempfile::tempdir().unwrap();
        // The browser reads from 3 and writes to 4; `sh` makes those of what this process can give.
        let mut child = Command::new("sh")
            .args(["-c", "exec \"$0\" \"$@\" 3<&0 4>&1 >/dev/null 2>&1"])
            .arg(program)
            .args([
                "--remote-debugging-pipe",
                "--headless",
                // As root, as in CI, there is no sandbox to be had. The pages are our own.
                "--no-sandbox",
                "--disable-gpu",
                "--disable-dev-shm-usage",
                "--no-first-run",
                "--disable-background-networking",
                "--disable-component-update",
                "--disable-sync",
                "--hide-scrollbars",
            ])
            .arg(format!("--user-data-dir={}", profile.path().display()))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let to = child.stdin.take().unwrap();
        let from = BufReader::new(child.stdout.take().unwrap());
        let mut browser =
            Self { child, to, from, session: None, last: 0, events: Vec::new(), _profile: profile };
        let target = browser.call("Target.createTarget", json!({"url": "about:blank"}));
        let session = browser.call(
            "Target.attachToTarget",
            json!({"targetId": target["targetId"], "flatten": true}),
        );
        browser.session = session["sessionId"].as_str().map(str::to_owned);
        for domain in ["Page", "Network", "Runtime", "Log"] {
            browser.call(&format!("{domain}.enable"), json!({}));
        }
        Some(browser)
    }

    fn receive(&mut self) -> Value {
        let mut message = Vec::new();
        self.from.read_until(0, &mut message).unwrap();
        assert_eq!(message.pop(), Some(0), "the browser has ended");
        serde_json::from_slice(&message).unwrap()
    }

    /// Sends a command and waits for its result.
    pub fn call(&mut self, method: &str, params: Value) -> Value {
        self.last += 1;
        let mut message = json!({"id": self.last, "method": method, "params": params});
        if let Some(session) = &self.session {
            message["sessionId"] = json!(session);
        }
        self.to.write_all(message.to_string().as_bytes()).unwrap();
        self.to.write_all(&[0]).unwrap();
        self.to.flush().unwrap();
        loop {
            let mut answer = self.receive();
            if answer["id"] == json!(self.last) {
                assert!(answer.get("error").is_none(), "{method}: {answer}");
                return answer["result"].take();
            }
            self.events.push(answer);
        }
    }

    /// Sets what the page is shown on, then opens a file and waits until it and its pictures are
    /// there.
    pub fn open(&mut self, file: &Path, medium: &str, width: u32, height: u32) {
        self.call("Emulation.setEmulatedMedia", json!({"media": medium}));
        self.call(
            "Emulation.setDeviceMetricsOverride",
            json!({"width": width, "height": height, "deviceScaleFactor": 1, "mobile": false}),
        );
        self.events.clear();
        let url = format!("file://{}", file.display());
        self.call("Page.navigate", json!({"url": url}));
        while !self.events.iter().any(|event| event["method"] == "Page.loadEventFired") {
            let event = self.receive();
            self.events.push(event);
        }
    }

    /// What a script in the page gives.
    pub fn ask(&mut self, script: &str) -> Value {
        let mut answer =
            self.call("Runtime.evaluate", json!({"expression": script, "returnByValue": true}));
        assert!(answer.get("exceptionDetails").is_none(), "{answer}");
        answer["result"]["value"].take()
    }

    /// Addresses that the page asked for, other than itself and what it carries.
    pub fn requests(&self, file: &Path) -> Vec<String> {
        let own = format!("file://{}", file.display());
        self.events
            .iter()
            .filter(|event| event["method"] == "Network.requestWillBeSent")
            .filter_map(|event| event["params"]["request"]["url"].as_str())
            .filter(|url| *url != own && !url.starts_with("data:"))
            .map(str::to_owned)
            .collect()
    }

    /// Complaints of the browser: what its policy kept from being loaded, faults in the file.
    pub fn complaints(&self) -> Vec<String> {
        self.events
            .iter()
            .filter(|event| {
                event["method"] == "Log.entryAdded" || event["method"] == "Runtime.exceptionThrown"
            })
            .map(|event| event["params"].to_string())
            .collect()
    }

    /// The bytes of a picture of the page, or of its print.
    pub fn bytes(&mut self, method: &str, params: Value) -> Vec<u8> {
        use base64::Engine;
        let answer = self.call(method, params);
        base64::engine::general_purpose::STANDARD.decode(answer["data"].as_str().unwrap()).unwrap()
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
