//! The demo shop's book, served by the program itself, so that it can be killed.

use std::io::{BufRead, BufReader};
use std::net::TcpListener;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};

use longpoint::book::Book;

use super::driver::Browser;

pub struct ServedShop {
    dir: tempfile::TempDir,
    port: u16,
    program: Option<Child>,
    codes: Vec<(String, String)>,
}

impl ServedShop {
    /// The demo shop on its Wednesday, with its plan at the bench.
    pub fn new() -> ServedShop {
        let port = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
        let dir = tempfile::tempdir().unwrap();
        let mut shop = ServedShop { dir, port, program: None, codes: Vec::new() };
        shop.run(&["demo", "shop"]);
        shop.run(&["open", "shop.book", "--from", "shop"]);
        shop.run(&["take", "shop.book", "--today", "2026-11-25"]);
        shop.start();
        shop
    }

    fn command(&self) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_longpoint"));
        command.current_dir(self.dir.path()).env("TZ", "Etc/UTC").env_remove("LONGPOINT_BY");
        command
    }

    /// A command that must do what it is told.
    pub fn run(&self, args: &[&str]) -> String {
        let done = self.command().args(args).output().unwrap();
        let said = String::from_utf8_lossy(&done.stderr).into_owned();
        assert!(done.status.success(), "{args:?}: {said}");
        String::from_utf8_lossy(&done.stdout).into_owned()
    }

    /// Serves it, with codes for two devices at the bench and one on the wall.
    pub fn start(&mut self) {
        let port = self.port.to_string();
        let mut args = vec!["serve", "shop.book", "--port", &port];
        for role in ["bench", "bench", "wall", "office"] {
            args.extend(["--pair", role]);
        }
        let mut program = self.command().args(args).stdout(Stdio::piped()).spawn().unwrap();
        let mut lines = BufReader::new(program.stdout.take().unwrap()).lines();
        self.codes.clear();
        for line in lines.by_ref() {
            let line = line.unwrap();
            let words: Vec<&str> = line.split(' ').collect();
            if let ["To", "pair", "a", "device", "as", role, ..] = words.as_slice() {
                self.codes.push((role.trim_matches(',').to_owned(), String::new()));
            }
            if let ["and", "type", code, ..] = words.as_slice() {
                code.trim_matches(',').clone_into(&mut self.codes.last_mut().unwrap().1);
            }
            if line.starts_with("It is there") {
                break;
            }
        }
        self.program = Some(program);
    }

    /// Kills the server where it stands.
    pub fn kill(&mut self) {
        if let Some(mut program) = self.program.take() {
            program.kill().unwrap();
            program.wait().unwrap();
        }
    }

    pub fn address(&self, path: &str) -> String {
        format!("http://127.0.0.1:{}{path}", self.port)
    }

    /// Pairs a browser in a role, and leaves it where that begins.
    pub fn pair(&mut self, browser: &Browser, role: &str, name: &str) {
        let at = self.codes.iter().position(|(own, _)| own == role).unwrap();
        let (_, code) = self.codes.remove(at);
        browser.open(&self.address(&format!("/pair?code={code}")));
        browser.type_into("#name", name);
        browser.press("button.go").unwrap();
        browser.until("paired", "document.body.dataset.version");
    }

    pub fn book(&self) -> Book {
        Book::open(&self.path()).unwrap()
    }

    pub fn path(&self) -> PathBuf {
        self.dir.path().join("shop.book")
    }
}

impl Drop for ServedShop {
    fn drop(&mut self) {
        if let Some(mut program) = self.program.take() {
            let _ = program.kill();
            let _ = program.wait();
        }
    }
}
