//! A book that is served, and devices that look at it.

use std::net::{SocketAddr, TcpListener};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::thread::{self, JoinHandle};

use longpoint::book::{Book, Role};
use longpoint::web::{Ending, Invitation, Pace, Server};

use super::http::{self, PageForm, Reply};
use super::shops;

/// A book that is served at a port of its own, until it is dropped.
pub struct Served {
    pub dir: tempfile::TempDir,
    pub address: SocketAddr,
    pub invitations: Vec<Invitation>,
    running: Option<(Ending, JoinHandle<()>)>,
}

impl Served {
    /// The small shop, with its morning at the bench.
    pub fn new() -> Served {
        Served::at(Pace::default())
    }

    /// The same, which takes so much from others.
    pub fn at(pace: Pace) -> Served {
        let dir = tempfile::tempdir().unwrap();
        let mut book = shops::begin(dir.path(), &shops::files());
        shops::take(&mut book);
        drop(book);
        Served::of(dir, pace)
    }

    /// The book in a folder.
    pub fn of(dir: tempfile::TempDir, pace: Pace) -> Served {
        let mut served = Served {
            dir,
            address: ([127, 0, 0, 1], 0).into(),
            invitations: Vec::new(),
            running: None,
        };
        served.start(pace);
        served
    }

    /// Starts it, at the port where it was before if it was.
    pub fn start(&mut self, pace: Pace) {
        let listener = TcpListener::bind(self.address).unwrap();
        let book = Book::open(&self.path()).unwrap();
        let clock = Arc::new(|| Ok(shops::TODAY.at(9, 0, 0, 0)));
        // Others each time: here nobody guesses.
        let next = AtomicU64::new(0x0123_4567_89AB_CDEF);
        let random = Arc::new(move |bytes: &mut [u8]| {
            for eight in bytes.chunks_mut(8) {
                let some = next.fetch_add(0x9E37_79B9_7F4A_7C15, Ordering::Relaxed);
                eight.copy_from_slice(&some.to_le_bytes()[..eight.len()]);
            }
        });
        let server = Server::new(book, (listener, None), pace, (clock, random)).unwrap();
        self.address = server.address().unwrap();
        self.invitations = Role::ALL.iter().map(|role| server.invitation(*role).unwrap()).collect();
        let (stop, stopped) = server.stop();
        let running = thread::spawn(move || server.run(stopped).unwrap());
        self.running = Some((stop, running));
    }

    /// Ends it.
    pub fn stop(&mut self) {
        if let Some((stop, running)) = self.running.take() {
            stop.now();
            running.join().unwrap();
        }
    }

    pub fn path(&self) -> PathBuf {
        self.dir.path().join("shop.book")
    }

    pub fn book(&self) -> Book {
        Book::open(&self.path()).unwrap()
    }

    /// A device that is paired in a role.
    pub fn device(&self, role: Role) -> Visitor {
        let invitation = self.invitations.iter().find(|one| one.role == role).unwrap();
        let mut visitor = Visitor { address: self.address, cookie: String::new() };
        let name = format!("the {}", role.word());
        let reply = visitor.post("/pair", &[("code", &invitation.code), ("name", &name)]);
        assert_eq!(reply.status, 303, "{}", reply.body);
        visitor.cookie = reply.cookie();
        visitor
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        self.stop();
    }
}

/// A device that looks, as a browser would.
#[derive(Debug, Clone)]
pub struct Visitor {
    pub address: SocketAddr,
    pub cookie: String,
}

impl Visitor {
    fn head(&self, method: &str, path: &str) -> String {
        let cookie = match self.cookie.as_str() {
            "" => String::new(),
            cookie => format!("Cookie: {cookie}\r\n"),
        };
        format!(
            "{method} {path} HTTP/1.1\r\nHost: {}\r\n{cookie}Connection: close\r\n",
            self.address
        )
    }

    pub fn get(&self, path: &str) -> Reply {
        let asked = format!("{}\r\n", self.head("GET", path));
        no_commands(path, http::send(self.address, asked.as_bytes()).unwrap())
    }

    /// A page that is there.
    pub fn page(&self, path: &str) -> String {
        let reply = self.get(path);
        assert_eq!(reply.status, 200, "{path}: {}", reply.body);
        reply.body
    }

    pub fn post(&self, path: &str, fields: &[(&str, &str)]) -> Reply {
        let origin = format!("Origin: http://{}\r\n", self.address);
        self.post_with(path, &http::form(fields), &origin)
    }

    /// The same with other words where it comes from.
    pub fn post_with(&self, path: &str, body: &str, more: &str) -> Reply {
        let request = format!(
            "{}{more}Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n\r\n{body}",
            self.head("POST", path),
            body.len()
        );
        no_commands(path, http::send(self.address, request.as_bytes()).unwrap())
    }

    /// Presses a form as it stands on a page, with more filled in.
    pub fn press(&self, form: &PageForm, more: &[(&str, &str)]) -> Reply {
        let own = form.fields.iter().map(|(name, value)| (name.as_str(), value.as_str()));
        let all: Vec<(&str, &str)> = own.chain(more.iter().copied()).collect();
        self.post(&form.action, &all)
    }

    /// The form of a page that is sent there.
    pub fn form(&self, page: &str, action: &str) -> PageForm {
        let found = http::forms(page).into_iter().find(|form| form.action == action);
        found.unwrap_or_else(|| panic!("no form to {action} in {page}"))
    }
}

/// What is said on a page says what to press, and never what to type: no command, and no
/// flag of one.
fn no_commands(path: &str, reply: Reply) -> Reply {
    let main = reply.body.split_once("<main").map_or("", |(_, main)| main);
    let is_file = path.starts_with("/files/");
    for said in ["longpoint ", "--"].iter().filter(|_| !is_file) {
        let at = main.find(said).map(|at| &main[at..main.len().min(at + 80)]);
        assert_eq!(at, None, "{path} talks of commands");
    }
    reply
}
