//! [`Browser`]: a real browser without a window, spoken to by its `DevTools` protocol over a pair of pipes.

use std::io::{BufRead as _, BufReader, Write as _};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tempfile::TempDir;

use crate::program::PATIENCE;

/// A browser with one page. It ends when dropped.
pub(crate) struct Browser {
    child: Child,
    to: ChildStdin,
    from: Receiver<Value>,
    last_call: u64,
    session: Option<String>,
    /// Complaints of the browser and output of scripts, in the order they came.
    complaints: Vec<Complaint>,
    _profile: TempDir,
}

/// An error, a warning or an exception in the page.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Complaint {
    /// `security`, `network`, `javascript` ...
    pub(crate) source: String,
    pub(crate) text: String,
}

/// How the page is looked at.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Look {
    pub(crate) width: u32,
    pub(crate) height: u32,
    pub(crate) dark: bool,
}

impl Browser {
    /// A browser, or nothing and a message where this machine has none.
    pub(crate) fn start() -> Option<Self> {
        let Some(program) = found() else {
            // Written past the harness, which keeps what tests that pass have printed.
            let words =
                "SKIPPED: this machine has no chromium, so the page was not tried in a browser\n";
            std::io::stderr().write_all(words.as_bytes()).unwrap();
            return None;
        };
        let profile = tempfile::tempdir().unwrap();
        // The protocol goes over the file descriptors 3 and 4.
        let script = r#"exec "$@" 3<&0 4>&1 </dev/null >/dev/null 2>/dev/null"#;
        let mut child = Command::new("sh")
            .args(["-c", script, "sh"])
            .arg(program)
            .args([
                "--headless",
                "--no-sandbox",
                "--disable-gpu",
                "--disable-dev-shm-usage",
                "--disable-background-networking",
                "--disable-component-update",
                "--no-first-run",
                "--no-default-browser-check",
                "--remote-debugging-pipe",
            ])
            .arg(format!("--user-data-dir={}", profile.path().display()))
            .arg("about:blank")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let (sender, from) = channel();
        let mut messages = BufReader::new(child.stdout.take().unwrap());
        thread::spawn(move || {
            let mut bytes = Vec::new();
            while messages
                .read_until(0, &mut bytes)
                .is_ok_and(|count| count > 0)
            {
                bytes.pop();
                let message = serde_json::from_slice(&bytes).unwrap();
                if sender.send(message).is_err() {
                    return;
                }
                bytes.clear();
            }
        });
        let mut browser = Self {
            to: child.stdin.take().unwrap(),
            child,
            from,
            last_call: 0,
            session: None,
            complaints: Vec::new(),
            _profile: profile,
        };
        browser.open_page();
        Some(browser)
    }

    fn open_page(&mut self) {
        let target = self.call("Target.createTarget", &json!({ "url": "about:blank" }));
        let attach = json!({ "targetId": target["targetId"], "flatten": true });
        let session = self.call("Target.attachToTarget", &attach);
        self.session = session["sessionId"].as_str().map(str::to_owned);
        for domain in ["Page", "Runtime", "Log"] {
            self.call(&format!("{domain}.enable"), &json!({}));
        }
    }

    /// Calls a method of the protocol, and gives its result.
    pub(crate) fn call(&mut self, method: &str, parameters: &Value) -> Value {
        self.last_call += 1;
        let mut call = json!({ "id": self.last_call, "method": method, "params": parameters });
        if let Some(session) = &self.session {
            call["sessionId"] = json!(session);
        }
        self.to.write_all(format!("{call}\0").as_bytes()).unwrap();
        loop {
            let message = self
                .from
                .recv_timeout(PATIENCE)
                .expect("the browser answers");
            if message["id"] == json!(self.last_call) {
                assert!(
                    message.get("error").is_none(),
                    "{method}: {}",
                    message["error"]
                );
                return message["result"].clone();
            }
            self.note(&message);
        }
    }

    fn note(&mut self, message: &Value) {
        let parameters = &message["params"];
        let complaint = match message["method"].as_str() {
            Some("Log.entryAdded") => {
                let entry = &parameters["entry"];
                let quiet = ["info", "verbose"].contains(&entry["level"].as_str().unwrap_or(""));
                (!quiet).then(|| {
                    (
                        entry["source"].as_str().unwrap_or("?"),
                        entry["text"].to_string(),
                    )
                })
            }
            Some("Runtime.exceptionThrown") => {
                Some(("exception", parameters["exceptionDetails"].to_string()))
            }
            Some("Runtime.consoleAPICalled") => Some(("console", parameters["args"].to_string())),
            _ => None,
        };
        self.complaints
            .extend(complaint.map(|(source, text)| Complaint {
                source: source.to_owned(),
                text,
            }));
    }

    /// Complaints since the last time.
    pub(crate) fn complaints(&mut self) -> Vec<Complaint> {
        // Complaints until now are noted with this call.
        self.evaluate("0");
        std::mem::take(&mut self.complaints)
    }

    /// Opens an address.
    pub(crate) fn open(&mut self, url: &str) {
        let opened = self.call("Page.navigate", &json!({ "url": url }));
        assert!(opened.get("errorText").is_none(), "{url}: {opened}");
    }

    /// The value of an expression in the page.
    pub(crate) fn evaluate(&mut self, expression: &str) -> Value {
        let parameters = json!({
            "expression": expression,
            "returnByValue": true,
            "awaitPromise": true,
            "userGesture": true,
        });
        let result = self.call("Runtime.evaluate", &parameters);
        let failed = result.get("exceptionDetails");
        assert!(failed.is_none(), "{expression}: {failed:?}");
        result["result"]["value"].clone()
    }

    /// Waits until an expression in the page is true.
    pub(crate) fn until(&mut self, expression: &str) {
        let start = Instant::now();
        // Until its script runs, a page knows none of its names.
        let guarded = format!(
            "(() => {{ try {{ return Boolean({expression}); }} catch {{ return false; }} }})()"
        );
        while self.evaluate(&guarded) != json!(true) {
            let text = || "document.body.innerText";
            assert!(
                start.elapsed() < PATIENCE,
                "never: {expression}\n{}",
                self.evaluate(text())
            );
            thread::park_timeout(Duration::from_millis(20));
        }
    }

    /// Waits until an element shows that text.
    pub(crate) fn shows(&mut self, id: &str, text: &str) {
        let text = json!(text);
        self.until(&format!(
            "document.getElementById('{id}').textContent.replaceAll('\\u00a0', ' ').includes({text})"
        ));
    }

    /// Presses what a selector finds, as a finger would, once nothing lies over it.
    pub(crate) fn press(&mut self, selector: &str) {
        self.until(&format!(
            "(() => {{ const found = document.querySelector('{selector}'); const box = found.getBoundingClientRect(); \
             const top = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2); \
             return found.disabled !== true && found.contains(top); }})()"
        ));
        let place = self.evaluate(&format!(
            "(() => {{ const box = document.querySelector('{selector}').getBoundingClientRect(); \
             return [box.x + box.width / 2, box.y + box.height / 2]; }})()"
        ));
        for kind in ["mousePressed", "mouseReleased"] {
            let event = json!({ "type": kind, "x": place[0], "y": place[1], "button": "left", "clickCount": 1 });
            self.call("Input.dispatchMouseEvent", &event);
        }
    }

    /// Types into what has the focus.
    pub(crate) fn write(&mut self, text: &str) {
        self.call("Input.insertText", &json!({ "text": text }));
    }

    /// Looks at the page at that size and in that light.
    pub(crate) fn look(&mut self, look: Look) {
        let size = json!({
            "width": look.width,
            "height": look.height,
            "deviceScaleFactor": 1,
            "mobile": look.width.min(look.height) < 600,
        });
        self.call("Emulation.setDeviceMetricsOverride", &size);
        let light = if look.dark { "dark" } else { "light" };
        let features = json!({ "features": [{ "name": "prefers-color-scheme", "value": light }] });
        self.call("Emulation.setEmulatedMedia", &features);
        // Drawn anew twice: once for the size, once for what the page does about it.
        self.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => requestAnimationFrame(() => done(0)))))");
    }

    /// The page as it is printed on sheets of that width and height in inches, as a PDF file.
    pub(crate) fn pdf(&mut self, inches: (f64, f64)) -> Vec<u8> {
        let paper = json!({
            "paperWidth": inches.0,
            "paperHeight": inches.1,
            "printBackground": true,
            "preferCSSPageSize": false,
        });
        let printed = self.call("Page.printToPDF", &paper);
        base64(printed["data"].as_str().unwrap())
    }

    /// Keeps a picture of the page.
    pub(crate) fn picture(&mut self, file: &Path) {
        let shot = self.call("Page.captureScreenshot", &json!({ "format": "png" }));
        let text = shot["data"].as_str().unwrap();
        std::fs::write(file, base64(text)).unwrap();
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        // It ends by itself when the pipe is closed; what it is doing meanwhile is of no interest.
        let _ = self
            .to
            .write_all(b"{\"id\":0,\"method\":\"Browser.close\"}\0");
        let start = Instant::now();
        while self.child.try_wait().is_ok_and(|ended| ended.is_none()) {
            if start.elapsed() > Duration::from_secs(10) {
                let _ = self.child.kill();
                let _ = self.child.wait();
                return;
            }
            thread::park_timeout(Duration::from_millis(10));
        }
    }
}

/// The browser of this machine.
fn found() -> Option<PathBuf> {
    let path = std::env::var_os("PATH")?;
    std::env::split_paths(&path)
        .flat_map(|folder| ["chromium", "chromium-browser"].map(|name| folder.join(name)))
        .find(|file| file.is_file())
}

/// The bytes behind a text of base64 (RFC 4648, section 4).
fn base64(text: &str) -> Vec<u8> {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut bytes = Vec::new();
    let (mut heap, mut bits) = (0_u32, 0);
    for letter in text.bytes().filter(|letter| *letter != b'=') {
        let value = LETTERS.iter().position(|known| *known == letter).unwrap();
        heap = (heap << 6) | u32::try_from(value).unwrap();
        bits += 6;
        if bits >= 8 {
            bits -= 8;
            bytes.push((heap >> bits & 0xff) as u8);
        }
    }
    bytes
}
