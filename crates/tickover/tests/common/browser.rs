//! The program serving a book of its own, and a headless Chromium driven by WebDriver (W3C WebDriver 2).

#![allow(dead_code, reason = "each test binary uses its own part of this")]

use super::http::{Answer, ask};
use serde_json::{Value, json};
use std::{
    io::{BufRead, BufReader},
    net::{SocketAddr, TcpListener, TcpStream},
    process::{Child, ChildStdout, Command, Stdio},
    time::{Duration, Instant},
};

/// The program itself, serving a fresh book; stopped when dropped.
pub struct Page {
    program: Child,
    /// Where it serves.
    pub address: String,
    /// Held open: a program that cannot print ends.
    _told: BufReader<ChildStdout>,
    book: tempfile::TempDir,
}

impl Page {
    /// Starts the program that `TICKOVER` names (`./check` gives the release build, on which times are judged), else the one built here.
    pub fn serve() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let (program, told, address) = start(folder.path(), 0);
        Self { program, address, _told: told, book: folder }
    }

    /// Ends the program as a power cut would.
    pub fn kill(&mut self) {
        self.program.kill().unwrap();
        self.program.wait().unwrap();
    }

    /// Starts it again, at the same address on the same book.
    pub fn start_again(&mut self) {
        let port = self.address.trim_end_matches('/').rsplit(':').next().unwrap().parse().unwrap();
        let (program, told, address) = start(self.book.path(), port);
        assert_eq!(address, self.address);
        (self.program, self._told) = (program, told);
    }
}

fn start(folder: &std::path::Path, port: u16) -> (Child, BufReader<ChildStdout>, String) {
    let program = std::env::var_os("TICKOVER").unwrap_or_else(|| env!("CARGO_BIN_EXE_tickover").into());
    let mut program = Command::new(program)
        .args(["--no-browser", "--port", &port.to_string(), "--book"])
        .arg(folder.join("browser.book"))
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut first = String::new();
    let mut told = BufReader::new(program.stdout.take().unwrap());
    told.read_line(&mut first).unwrap();
    let address = first.trim().to_owned();
    assert!(address.starts_with("http://127.0.0.1:"), "{first}");
    (program, told, address)
}

impl Drop for Page {
    fn drop(&mut self) {
        let _ = self.program.kill();
        let _ = self.program.wait();
    }
}

/// A browser with a fresh profile; closed when dropped.
pub struct Browser {
    driver: Child,
    at: SocketAddr,
    session: String,
    _profile: tempfile::TempDir,
}

/// Light of the page.
#[derive(Clone, Copy, Debug)]
pub enum Light {
    Day,
    Night,
}

impl Browser {
    /// Starts `chromedriver` and a browser that can reach nothing but this computer.
    pub fn start(light: Light) -> Self {
        let port = TcpListener::bind(("127.0.0.1", 0)).unwrap().local_addr().unwrap().port();
        let at = SocketAddr::from(([127, 0, 0, 1], port));
        let driver = Command::new("chromedriver")
            .arg(format!("--port={port}"))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("chromedriver is installed (Debian: chromium-driver)");
        let begun = Instant::now();
        while TcpStream::connect(at).is_err() {
            assert!(begun.elapsed() < Duration::from_secs(20), "chromedriver does not listen");
            std::thread::sleep(Duration::from_millis(20));
        }
        let profile = tempfile::tempdir().unwrap();
        let mut args: Vec<String> = [
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-quic",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            // Every name but this computer's own leads nowhere: an outside request would fail the page.
            "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
        ]
        .map(str::to_owned)
        .into();
        args.push(format!("--user-data-dir={}", profile.path().display()));
        if matches!(light, Light::Night) {
            args.push("--blink-settings=preferredColorScheme=0".to_owned());
        }
        let wanted = json!({ "capabilities": { "alwaysMatch": {
            "goog:chromeOptions": { "args": args },
            "goog:loggingPrefs": { "browser": "ALL" },
        } } });
        let mut browser = Self { driver, at, session: String::new(), _profile: profile };
        let made = browser.send("POST", "/session", &wanted);
        browser.session = made["sessionId"].as_str().expect("a session").to_owned();
        browser.order("/timeouts", &json!({ "script": 60_000 }));
        browser
    }

    fn send(&self, method: &str, path: &str, body: &Value) -> Value {
        let text = if method == "GET" || method == "DELETE" { String::new() } else { body.to_string() };
        let answer: Answer = ask(self.at, method, path, "Content-Type: application/json\r\n", text.as_bytes());
        let value = answer.json()["value"].clone();
        assert!(answer.status == 200, "{method} {path}: {value}");
        value
    }

    fn order(&self, path: &str, body: &Value) -> Value {
        self.send("POST", &format!("/session/{}{path}", self.session), body)
    }

    /// Opens an address and waits until it is loaded.
    pub fn open(&self, url: &str) {
        self.order("/url", &json!({ "url": url }));
    }

    /// Sets the size of the page in CSS pixels.
    pub fn size(&self, width: u32, height: u32) {
        // A window is never narrower than 500 px; the page's own size is set as for a phone.
        let metrics = json!({ "cmd": "Emulation.setDeviceMetricsOverride", "params": {
            "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false,
        } });
        self.order("/goog/cdp/execute", &metrics);
    }

    /// Runs a script and gives what it returns.
    pub fn run(&self, script: &str) -> Value {
        self.order("/execute/sync", &json!({ "script": script, "args": [] }))
    }

    /// Runs a script and gives what it hands to `done`.
    pub fn wait_for(&self, script: &str) -> Value {
        let script = format!("const done = arguments[arguments.length - 1]; {script}");
        self.order("/execute/async", &json!({ "script": script, "args": [] }))
    }

    /// Waits until a script returns true.
    pub fn until(&self, what: &str, script: &str) {
        let begun = Instant::now();
        while self.run(script) != Value::Bool(true) {
            assert!(begun.elapsed() < Duration::from_secs(120), "never: {what}");
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    /// Moves the mouse along points with the button down, from the first to the last.
    pub fn drag(&self, points: &[(f64, f64)], pause_ms: u64) {
        let to = |(x, y): &(f64, f64)| json!({ "type": "pointerMove", "duration": 0, "origin": "viewport", "x": x.round() as i64, "y": y.round() as i64 });
        let mut actions = vec![to(&points[0]), json!({ "type": "pointerDown", "button": 0 })];
        for point in &points[1..] {
            actions.push(to(point));
            actions.push(json!({ "type": "pause", "duration": pause_ms }));
        }
        actions.push(json!({ "type": "pointerUp", "button": 0 }));
        let hand = json!({ "actions": [{ "type": "pointer", "id": "hand", "parameters": { "pointerType": "mouse" }, "actions": actions }] });
        self.order("/actions", &hand);
    }

    /// Makes the page that of a phone with a touch screen.
    pub fn phone(&self, width: u32, height: u32) {
        let metrics = json!({ "cmd": "Emulation.setDeviceMetricsOverride", "params": {
            "width": width, "height": height, "deviceScaleFactor": 1, "mobile": true,
        } });
        self.order("/goog/cdp/execute", &metrics);
        let touch = json!({ "cmd": "Emulation.setTouchEmulationEnabled", "params": { "enabled": true } });
        self.order("/goog/cdp/execute", &touch);
    }

    /// Puts a finger on the middle of the first element that a selector finds, and lifts it.
    pub fn tap(&self, selector: &str) {
        let place = format!(
            "const e = document.querySelector({selector:?}); if (!e) return null;
             e.scrollIntoView({{ block: 'center', behavior: 'instant' }});
             const r = e.getClientRects()[0], x = r.left + r.width / 2, y = r.top + r.height / 2;
             const hit = document.elementFromPoint(x, y);
             return [x, y, e.contains(hit), hit?.outerHTML.slice(0, 120)]"
        );
        // A page that has just come may still move.
        let mut at = self.run(&place);
        for _ in 0..20 {
            std::thread::sleep(Duration::from_millis(100));
            let now = self.run(&place);
            if std::mem::replace(&mut at, now.clone()) == now {
                break;
            }
        }
        assert!(!at.is_null(), "there is no {selector}");
        assert_eq!(at[2], true, "{selector} is covered by {}", at[3]);
        let to = |value: &Value| value.as_f64().unwrap().round() as i64;
        let finger = json!({ "actions": [{ "type": "pointer", "id": "finger", "parameters": { "pointerType": "touch" }, "actions": [
            { "type": "pointerMove", "duration": 0, "origin": "viewport", "x": to(&at[0]), "y": to(&at[1]) },
            { "type": "pointerDown", "button": 0 },
            { "type": "pointerUp", "button": 0 },
        ] }] });
        self.order("/actions", &finger);
        // For a moment the browser waits whether the touch becomes a gesture, and takes neither text nor the next touch.
        std::thread::sleep(Duration::from_millis(700));
    }

    /// Presses keys on what has the focus.
    pub fn keys(&self, keys: &str) {
        let actions: Vec<Value> =
            keys.chars().flat_map(|k| ["keyDown", "keyUp"].map(|t| json!({ "type": t, "value": k.to_string() }))).collect();
        self.order("/actions", &json!({ "actions": [{ "type": "key", "id": "keys", "actions": actions }] }));
    }

    /// Types into what has the focus.
    pub fn type_in(&self, text: &str) {
        let focused = self.send("GET", &format!("/session/{}/element/active", self.session), &Value::Null);
        let element =
            focused.as_object().and_then(|o| o.values().next()).and_then(Value::as_str).expect("something has the focus");
        self.order(&format!("/element/{element}/value"), &json!({ "text": text }));
    }

    /// The whole page as PNG.
    pub fn picture(&self) -> Vec<u8> {
        let size = self.run("const d = document.documentElement; return [d.clientWidth, d.scrollHeight]");
        let clip = json!({ "x": 0, "y": 0, "width": size[0], "height": size[1], "scale": 1 });
        let params = json!({ "captureBeyondViewport": true, "format": "png", "clip": clip });
        let shot = json!({ "cmd": "Page.captureScreenshot", "params": params });
        let data = self.order("/goog/cdp/execute", &shot)["data"].as_str().expect("a picture").to_owned();
        base64(&data)
    }

    /// What the browser complained about since the last time.
    pub fn complaints(&self) -> Vec<String> {
        let log = self.order("/se/log", &json!({ "type": "browser" }));
        log.as_array().into_iter().flatten().map(|e| e["message"].as_str().unwrap_or_default().to_owned()).collect()
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        if !self.session.is_empty() && !std::thread::panicking() {
            self.send("DELETE", &format!("/session/{}", self.session), &Value::Null);
        }
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}

/// RFC 4648, 4.
fn base64(text: &str) -> Vec<u8> {
    const ALPHABET: &[u8] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut bytes = Vec::with_capacity(text.len() / 4 * 3);
    let (mut bits, mut held) = (0_u32, 0);
    for value in text.bytes().filter_map(|b| ALPHABET.iter().position(|a| *a == b)) {
        bits = bits << 6 | value as u32;
        held += 6;
        if held >= 8 {
            held -= 8;
            bytes.push((bits >> held) as u8);
        }
    }
    bytes
}
