//! What the shop's page costs: thirty screens that are told of every step and look at the
//! bench again, ten minutes' worth of a tick a second, one after the other as fast as they
//! are done; then as many bench pages as there are in five seconds. It prints a row for
//! RESULTS.md, and takes two minutes.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::path::Path;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Barrier};
use std::thread;
use std::time::{Duration, Instant};

use jiff::civil::date;
use longpoint::book::{Book, Role, Stamp};
use longpoint::morning::{WORK, plan};
use longpoint::shop::read_folder_and_files;
use longpoint::solve::Limits;
use longpoint::web::{Pace, Server};

const SCREENS: usize = 30;
const TICKS: usize = 600;
/// After so many parts of them it is looked at how much memory is held.
const PARTS: usize = 4;
/// So many before anything is measured.
const WARM: usize = 60;
const WHILE: Duration = Duration::from_secs(5);

fn main() {
    let dir = tempfile::tempdir().expect("a folder to measure in");
    let path = dir.path().join("shop.book");
    begin(&path);
    let (address, cookie) = serve(&path);
    ticks(address, &cookie, &path, WARM);
    let (mut presses, mut looks, mut held) = (Vec::new(), Vec::new(), vec![memory()]);
    for _ in 0..PARTS {
        let (pressed, looked) = ticks(address, &cookie, &path, TICKS / PARTS);
        presses.extend(pressed);
        looks.extend(looked);
        held.push(memory());
    }
    let (answered, slowest) = pages(address, &cookie);
    let both = |all: &[Duration]| format!("{} / {}", at(all, 50), at(all, 99));
    println!(
        "| screens | ticks | a tick, median / p99 ms | a bench page of each screen at each tick, \
         median / p99 ms | bench pages a second | p99, ms | memory before and after each {}, MB |",
        TICKS / PARTS
    );
    println!("|---|---|---|---|---|---|---|");
    println!(
        "| {SCREENS} | {TICKS} | {} | {} | {answered} | {slowest} | {} |",
        both(&presses),
        both(&looks),
        held.join(", ")
    );
}

/// The demo shop's book with its morning at the bench.
fn begin(path: &Path) {
    let (shop, files) = read_folder_and_files(Path::new("data/demo")).expect("the demo");
    let morning = date(2026, 11, 25);
    let none = String::new();
    let stamp =
        Stamp { at: morning.at(8, 0, 0, 0), by: none.clone(), why: none.clone(), token: none };
    let mut book = Book::begin(path, (&shop, &files), &stamp).expect("a new book");
    let snapshot = book.snapshot().expect("a good book");
    let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
    let plan = plan(&snapshot.shop, morning, limits).expect("a plan");
    book.take(&snapshot, &plan, &stamp).expect("to the bench");
}

/// Serves it, and pairs one device.
fn serve(path: &Path) -> (SocketAddr, String) {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    let next = AtomicU64::new(0x0123_4567_89AB_CDEF);
    let random = Arc::new(move |bytes: &mut [u8]| {
        for eight in bytes.chunks_mut(8) {
            let some = next.fetch_add(0x9E37_79B9_7F4A_7C15, Ordering::Relaxed);
            eight.copy_from_slice(&some.to_le_bytes()[..eight.len()]);
        }
    });
    let clock = Arc::new(|| Ok(date(2026, 11, 25).at(9, 0, 0, 0)));
    // All screens come from one address here, which has but a share of all connections.
    let pace = Pace { connections: 4096, requests: (1_000_000, 1_000_000), ..Pace::default() };
    let book = Book::open(path).expect("a good book");
    let server = Server::new(book, (listener, None), pace, (clock, random)).expect("a server");
    let address = server.address().expect("an address");
    let code = server.invitation(Role::Office).expect("a code").code;
    let (stop, stopped) = server.stop();
    thread::spawn(move || {
        let _stop = stop;
        server.run(stopped).expect("it runs");
    });
    let mut line = Line::new(address, String::new());
    let (head, _) = line.post("/pair", &format!("code={code}&name=office"));
    let cookie = head.lines().find_map(|one| one.strip_prefix("set-cookie: "));
    let cookie = cookie.and_then(|cookie| cookie.split(';').next()).expect("a cookie");
    (address, cookie.to_owned())
}

/// A line that stays open.
struct Line {
    address: SocketAddr,
    cookie: String,
    stream: BufReader<TcpStream>,
}

impl Line {
    fn new(address: SocketAddr, cookie: String) -> Line {
        let stream = TcpStream::connect(address).expect("a line");
        stream.set_nodelay(true).expect("a line");
        Line { address, cookie, stream: BufReader::new(stream) }
    }

    fn get(&mut self, path: &str) -> (String, String) {
        self.ask(&format!("GET {path}"), "")
    }

    fn post(&mut self, path: &str, form: &str) -> (String, String) {
        self.ask(&format!("POST {path}"), form)
    }

    fn ask(&mut self, what: &str, form: &str) -> (String, String) {
        let request = format!(
            "{what} HTTP/1.1\r\nHost: {0}\r\nOrigin: http://{0}\r\nCookie: {1}\r\nContent-Length: {2}\r\n\r\n{form}",
            self.address,
            self.cookie,
            form.len()
        );
        self.stream.get_mut().write_all(request.as_bytes()).expect("a line");
        let mut head = String::new();
        while !head.ends_with("\r\n\r\n") {
            assert!(self.stream.read_line(&mut head).expect("an answer") > 0, "{what}: {head}");
        }
        let length = head.lines().find_map(|one| one.strip_prefix("content-length: "));
        let mut body = vec![0; length.map_or(0, |length| length.parse().expect("a number"))];
        self.stream.read_exact(&mut body).expect("an answer");
        (head, String::from_utf8(body).expect("a page"))
    }
}

/// What a hidden field of a form to somewhere says.
fn field(page: &str, action: &str, name: &str) -> String {
    let form = page.split(&format!("action=\"{action}\"")).nth(1).expect("a form");
    let value = form.split(&format!("name=\"{name}\" value=\"")).nth(1).expect("a field");
    value[..value.find('"').expect("its end")].to_owned()
}

/// Ticks cuts, while every screen that is told of one looks again: how long each took.
fn ticks(
    address: SocketAddr,
    cookie: &str,
    path: &Path,
    ticks: usize,
) -> (Vec<Duration>, Vec<Duration>) {
    let over = Arc::new(AtomicBool::new(false));
    let begin = Arc::new(Barrier::new(SCREENS + 1));
    let screens: Vec<_> = (0..SCREENS)
        .map(|_| {
            let (over, begin, cookie) = (Arc::clone(&over), Arc::clone(&begin), cookie.to_owned());
            thread::spawn(move || {
                let mut live = TcpStream::connect(address).expect("a line");
                let ask =
                    format!("GET /live HTTP/1.1\r\nHost: {address}\r\nCookie: {cookie}\r\n\r\n");
                live.write_all(ask.as_bytes()).expect("a line");
                let mut told = BufReader::new(live);
                let mut page = Line::new(address, cookie);
                let (mut looks, mut line) = (Vec::new(), String::new());
                begin.wait();
                while !over.load(Ordering::Relaxed) {
                    line.clear();
                    told.read_line(&mut line).expect("it is told");
                    if line.starts_with("data: ") {
                        let asked = Instant::now();
                        assert!(page.get("/bench").0.starts_with("HTTP/1.1 200"));
                        looks.push(asked.elapsed());
                    }
                }
                looks
            })
        })
        .collect();
    begin.wait();
    let mut line = Line::new(address, cookie.to_owned());
    let mut presses = Vec::new();
    let stick = Book::open(path).and_then(|book| book.bench()).expect("a good book");
    let stick = stick[0].sticks[0].lay.stick.clone();
    let way = format!("/bench/stick/{stick}/cut");
    if ticks == WARM {
        mind(&mut line, &way);
    }
    for tick in 0..ticks {
        // A cut, and that cut undone, so that there is always one more.
        let form = if tick % 2 == 0 {
            let page = line.get(&way).1;
            let of = |name| field(&page, "/bench/cut", name);
            (
                "/bench/cut",
                format!("token={}&rail={}&number=1&stick={stick}", of("token"), of("rail")),
            )
        } else {
            let page = line.get("/steps?day=2026-11-25").1;
            let of = |name| field(&page, "/undo", name);
            ("/undo", format!("token={}&step={}&back=%2Fsteps", of("token"), of("step")))
        };
        let pressed = Instant::now();
        let (head, body) = line.post(form.0, &form.1);
        presses.push(pressed.elapsed());
        assert!(head.starts_with("HTTP/1.1 303"), "{head}{body}");
        // Long enough that every screen is told, as it would be within the second.
        thread::sleep(Duration::from_millis(150));
    }
    over.store(true, Ordering::Relaxed);
    let looks = screens.into_iter().flat_map(|screen| screen.join().expect("a screen")).collect();
    (presses, looks)
}

fn mind(line: &mut Line, way: &str) {
    let page = line.get(way).1;
    let all: usize = field(&page, "/bench/mind", "all").parse().expect("a number");
    let machine = field(&page, "/bench/mind", "machine").replace(' ', "+");
    let token = field(&page, "/bench/mind", "token");
    let form =
        format!("token={token}&machine={machine}&all={all}&back=%2F{}", "&minded=1".repeat(all));
    assert!(line.post("/bench/mind", &form).0.starts_with("HTTP/1.1 303"));
}

/// How many bench pages a second four at once are given, and how long the slowest of a
/// hundred takes.
fn pages(address: SocketAddr, cookie: &str) -> (usize, String) {
    let ask = || {
        let mut line = Line::new(address, cookie.to_owned());
        let (begun, mut took) = (Instant::now(), Vec::new());
        while begun.elapsed() < WHILE {
            let asked = Instant::now();
            line.get("/bench");
            took.push(asked.elapsed());
        }
        took
    };
    let all: Vec<Duration> = thread::scope(|scope| {
        let each: Vec<_> = (0..4).map(|_| scope.spawn(ask)).collect();
        each.into_iter().flat_map(|one| one.join().expect("a line")).collect()
    });
    (all.len() / usize::try_from(WHILE.as_secs()).unwrap_or(1), at(&all, 99))
}

/// So many hundredths of them were quicker.
fn at(all: &[Duration], hundredth: usize) -> String {
    let mut all = all.to_vec();
    all.sort_unstable();
    let place = (all.len() * hundredth / 100).min(all.len().saturating_sub(1));
    format!("{:.1}", all[place].as_secs_f64() * 1000.0)
}

/// What the program holds of the memory now, with its screens in it.
fn memory() -> String {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let kept = status.lines().find_map(|line| line.strip_prefix("VmRSS:"));
    let kilobytes: Option<u64> =
        kept.and_then(|kept| kept.trim().trim_end_matches(" kB").parse().ok());
    kilobytes.map_or("unknown".to_owned(), |kb| (kb / 1024).to_string())
}
