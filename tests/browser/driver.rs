//! A browser, led over WebDriver: its protocol is small, and plain HTTP with JSON.

use std::cell::Cell;
use std::net::{SocketAddr, TcpListener};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use super::http;

/// Where the programs are, by the names that they have on most systems.
fn found(names: &[&str]) -> Option<String> {
    let path = std::env::var_os("PATH")?;
    let all = std::env::split_paths(&path).collect::<Vec<_>>();
    let there = |name: &&&str| all.iter().any(|dir| dir.join(name).is_file());
    names.iter().find(there).map(|name| (*name).to_owned())
}

/// The driver's program, which starts browsers; ended with this.
pub struct Driver {
    address: SocketAddr,
    program: Child,
    browser: String,
}

impl Driver {
    /// A driver that is ready; nothing where there is no browser.
    pub fn start() -> Option<Driver> {
        let driver = found(&["chromedriver"])?;
        let browser = found(&["chromium", "chromium-browser", "google-chrome"])?;
        let port = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
        let program = Command::new(driver)
            .arg(format!("--port={port}"))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let driver = Driver { address: ([127, 0, 0, 1], port).into(), program, browser };
        let begun = Instant::now();
        while driver.ask("GET", "/status", None).is_err() {
            assert!(begun.elapsed() < Duration::from_secs(20), "the driver does not answer");
            std::thread::sleep(Duration::from_millis(50));
        }
        Some(driver)
    }

    fn ask(&self, method: &str, path: &str, body: Option<&Value>) -> Result<Value, String> {
        let body = body.map(Value::to_string).unwrap_or_default();
        let request = format!(
            "{method} {path} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\
             Content-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
            self.address,
            body.len()
        );
        let reply = http::send(self.address, request.as_bytes()).map_err(|e| e.to_string())?;
        let mut answer: Value = serde_json::from_str(&reply.body).map_err(|e| e.to_string())?;
        match reply.status {
            200 => Ok(answer["value"].take()),
            _ => Err(answer["value"]["message"].as_str().unwrap_or_default().to_owned()),
        }
    }

    /// A browser of its own, of that size.
    pub fn browser(&self, size: (u32, u32)) -> Browser<'_> {
        let args = ["--headless=new", "--no-sandbox", "--disable-gpu", "--hide-scrollbars"];
        let options = json!({ "args": args, "binary": self.binary() });
        let wanted =
            json!({ "capabilities": { "alwaysMatch": { "goog:chromeOptions": options } } });
        let session = self.ask("POST", "/session", Some(&wanted)).unwrap();
        let id = session["sessionId"].as_str().unwrap().to_owned();
        let (session, pressed) = (format!("/session/{id}"), Cell::new(Instant::now()));
        let browser = Browser { driver: self, session, pressed };
        browser.size(size);
        browser
    }

    fn binary(&self) -> String {
        let path = std::env::var_os("PATH").unwrap_or_default();
        let mut all = std::env::split_paths(&path).map(|dir| dir.join(&self.browser));
        all.find(|path| path.is_file()).unwrap().to_str().unwrap().to_owned()
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        let _ = self.program.kill();
        let _ = self.program.wait();
    }
}

/// One browser.
pub struct Browser<'a> {
    driver: &'a Driver,
    session: String,
    pressed: Cell<Instant>,
}

/// No finger is quicker, and the page takes what is for a bounce.
const BOUNCE: Duration = Duration::from_millis(210);

impl Browser<'_> {
    fn ask(&self, method: &str, path: &str, body: Value) -> Result<Value, String> {
        let body = (method == "POST").then_some(body);
        self.driver.ask(method, &format!("{}{path}", self.session), body.as_ref())
    }

    /// As large as that, in CSS pixels, 96 to the inch.
    pub fn size(&self, (width, height): (u32, u32)) {
        let to =
            json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false });
        let body = json!({ "cmd": "Emulation.setDeviceMetricsOverride", "params": to });
        self.ask("POST", "/goog/cdp/execute", body).unwrap();
    }

    /// As a device that wants its pages light, or dark.
    pub fn scheme(&self, is_dark: bool) {
        let value = if is_dark { "dark" } else { "light" };
        let to = json!({ "features": [{ "name": "prefers-color-scheme", "value": value }] });
        let body = json!({ "cmd": "Emulation.setEmulatedMedia", "params": to });
        self.ask("POST", "/goog/cdp/execute", body).unwrap();
    }

    /// Opens an address.
    pub fn open(&self, address: &str) {
        self.ask("POST", "/url", json!({ "url": address })).unwrap();
    }

    /// What a script says of the page.
    pub fn says(&self, script: &str) -> Value {
        let body = json!({ "script": script, "args": [] });
        self.ask("POST", "/execute/sync", body).unwrap_or(Value::Null)
    }

    /// The text of what a selector finds; empty if it finds nothing.
    pub fn text(&self, selector: &str) -> String {
        let script = format!("return document.querySelector({})?.innerText", json!(selector));
        self.says(&script).as_str().unwrap_or_default().to_owned()
    }

    /// Presses what a selector finds, as a finger would: it must be in sight and in front.
    pub fn press(&self, selector: &str) -> Result<(), String> {
        let found = self.find(selector)?;
        if let Some(rest) = BOUNCE.checked_sub(self.pressed.get().elapsed()) {
            std::thread::sleep(rest);
        }
        let pressed = self.ask("POST", &format!("/element/{found}/click"), json!({}));
        self.pressed.set(Instant::now());
        pressed.map(drop)
    }

    /// Types into what a selector finds.
    pub fn type_into(&self, selector: &str, text: &str) {
        let found = self.find(selector).unwrap();
        self.ask("POST", &format!("/element/{found}/clear"), json!({})).unwrap();
        self.ask("POST", &format!("/element/{found}/value"), json!({ "text": text })).unwrap();
    }

    fn find(&self, selector: &str) -> Result<String, String> {
        let by = json!({ "using": "css selector", "value": selector });
        let found = self.ask("POST", "/element", by)?;
        let id = found.as_object().and_then(|of| of.values().next()?.as_str().map(str::to_owned));
        id.ok_or_else(|| format!("nothing is {selector}"))
    }

    /// Waits until a script says yes.
    pub fn until(&self, what: &str, script: &str) {
        let begun = Instant::now();
        while self.says(&format!("return !!({script})")) != Value::Bool(true) {
            if begun.elapsed() > Duration::from_secs(20) {
                panic!(
                    "{what}: never; {} shows {}",
                    self.says("return location.href"),
                    self.text("body")
                );
            }
            std::thread::sleep(Duration::from_millis(15));
        }
    }

    /// Cuts the line, or mends it.
    pub fn line(&self, is_there: bool) {
        let conditions = json!({ "network_conditions":
            { "offline": !is_there, "latency": 0, "throughput": 100_000_000 } });
        self.ask("POST", "/chromium/network_conditions", conditions).unwrap();
    }
}

impl Drop for Browser<'_> {
    fn drop(&mut self) {
        let _ = self.ask("DELETE", "", Value::Null);
    }
}
