//! Who may, and what others try.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

use longpoint::book::Role;
use longpoint::web::Pace;

use super::http;
use super::served::{Served, Visitor};
use super::shops;

fn asked(visitor: &Visitor, head: &str) -> u16 {
    http::send(visitor.address, head.as_bytes()).unwrap().status
}

#[test]
fn nobody_unpaired_sees_or_changes_anything() {
    let served = Served::new();
    let stranger = Visitor { address: served.address, cookie: String::new() };
    for path in ["/", "/bench", "/steps", "/devices", "/live", "/nothing"] {
        let reply = stranger.get(path);
        assert_eq!(reply.status, 401, "{path}");
        assert!(!reply.body.contains("Teasel Lane"), "{path}: {}", reply.body);
        assert_eq!(stranger.post(path, &[]).status, 401, "{path}");
    }
    for cookie in ["longpoint=", "longpoint=0123", "other=1; longpoint=ab"] {
        let forged = Visitor { cookie: cookie.to_owned(), ..stranger.clone() };
        assert_eq!(forged.get("/bench").status, 401, "{cookie}");
    }
    // What is kept of a device is of no use to whoever reads the book.
    served.device(Role::Office);
    let hash = served.book().devices().unwrap().remove(0).hash;
    let thief = Visitor { cookie: format!("longpoint={hash}"), ..stranger };
    assert_eq!(thief.get("/steps").status, 401);
}

/// Short pages without a device were dark at the chopper, where all others are black on white.
#[test]
fn a_page_without_a_device_is_black_on_white() {
    let served = Served::new();
    let stranger = Visitor { address: served.address, cookie: String::new() };
    let bench = served.device(Role::Bench);
    let pages = [stranger.get("/bench"), stranger.get("/pair"), bench.get("/nothing")];
    for page in pages {
        assert!(page.body.contains("<body class=\"bright\">"), "{}", page.body);
        assert!(page.body.contains("name=\"color-scheme\" content=\"light\""), "{}", page.body);
    }
    let light = bench.page("/bench").contains("name=\"color-scheme\" content=\"light\"");
    assert!(light && bench.page("/joiner").contains("content=\"light dark\""));
}

#[test]
fn another_name_of_this_computer_is_not_answered() {
    let served = Served::new();
    let office = served.device(Role::Office);
    for host in ["evil.example", "127.0.0.1", "127.0.0.1:1", "localhost", ""] {
        let head = format!(
            "GET /steps HTTP/1.1\r\nHost: {host}\r\nCookie: {}\r\nConnection: close\r\n\r\n",
            office.cookie
        );
        assert_eq!(asked(&office, &head), 421, "{host:?}");
    }
    let own = format!("localhost:{}", served.address.port());
    let head = |host: &str, more: &str| {
        format!(
            "GET /steps HTTP/1.1\r\nHost: {host}\r\n{more}Cookie: {}\r\nConnection: close\r\n\r\n",
            office.cookie
        )
    };
    assert_eq!(asked(&office, &head(&own, "")), 200);
    assert_eq!(asked(&office, &head(&own, "Host: evil.example\r\n")), 421);
    let absolute = head(&own, "").replace("GET /steps", "GET http://evil.example/steps");
    assert_eq!(asked(&office, &absolute), 421);
}

#[test]
fn no_other_page_acts_through_a_paired_browser() {
    let served = Served::new();
    let office = served.device(Role::Office);
    served.book().cut("S-1", Some(1), &shops::stamp()).unwrap();
    let before = served.book().version().unwrap();
    let undo = office.form(&office.page("/steps?day=2026-03-09"), "/undo");
    let fields: Vec<(&str, &str)> =
        undo.fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
    let body = http::form(&fields);
    let own = format!("http://{}", served.address);
    for from in [
        String::new(),
        "Origin: http://evil.example\r\n".to_owned(),
        "Origin: null\r\n".to_owned(),
        format!("Origin: {own}.evil.example\r\n"),
        format!("Origin: {own}\r\nSec-Fetch-Site: cross-site\r\n"),
        format!("Origin: {own}\r\nSec-Fetch-Site: same-site\r\n"),
    ] {
        assert_eq!(office.post_with("/undo", &body, &from).status, 403, "{from}");
    }
    assert_eq!(served.book().version().unwrap(), before);
    let from = format!("Origin: {own}\r\nSec-Fetch-Site: same-origin\r\n");
    assert_eq!(office.post_with("/undo", &body, &from).status, 303);
}

#[test]
fn a_token_is_not_made_up_nor_taken_from_another_device() {
    let served = Served::new();
    let (office, bench) = (served.device(Role::Office), served.device(Role::Bench));
    served.book().cut("S-1", Some(1), &shops::stamp()).unwrap();
    let before = served.book().version().unwrap();
    let undo = office.form(&office.page("/steps?day=2026-03-09"), "/undo");
    assert_eq!(bench.press(&undo, &[]).status, 403, "another device's");
    for token in ["", "x", "0123456789abcdef.0123456789abcdef"] {
        let step = undo.fields.iter().find(|(name, _)| name == "step").unwrap().1.clone();
        let forged = office.post("/undo", &[("token", token), ("step", &step)]);
        assert_eq!(forged.status, 403, "{token}");
    }
    assert_eq!(served.book().version().unwrap(), before);
    // One that was used does nothing else later, whatever it is sent with.
    assert_eq!(office.press(&undo, &[]).status, 303);
    served.book().cut("S-1", Some(1), &shops::stamp()).unwrap();
    assert_eq!(office.press(&undo, &[]).status, 303);
    assert_eq!(served.book().version().unwrap(), before + 2);
}

#[test]
fn each_device_may_what_its_role_says() {
    let served = Served::new();
    let (office, wall) = (served.device(Role::Office), served.device(Role::Wall));
    assert_eq!(wall.get("/steps").status, 403);
    assert_eq!(wall.get("/devices").status, 403);
    assert_eq!(wall.post("/undo", &[]).status, 403);
    let counter = served.device(Role::Counter);
    assert_eq!(counter.get("/devices").status, 403);
    assert_eq!(counter.get("/steps").status, 200);
    // One that is taken off is in no more.
    let page = office.page("/devices");
    let off = http::forms(&page).into_iter().find(|form| form.text.contains("the counter"));
    assert_eq!(office.press(&off.unwrap(), &[]).status, 303);
    assert_eq!(counter.get("/steps").status, 401);
    assert_eq!(office.get("/steps").status, 200);
}

/// A device that is taken off is told nothing more, and its stream ends then, whether the page
/// takes it off or a command does.
#[test]
fn a_device_that_is_taken_off_hears_no_step_after() {
    let served = Served::new();
    let office = served.device(Role::Office);
    for (role, by_page) in [(Role::Counter, true), (Role::Wall, false)] {
        let device = served.device(role);
        let mut line = TcpStream::connect(served.address).unwrap();
        line.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
        let ask = format!(
            "GET /live HTTP/1.1\r\nHost: {}\r\nCookie: {}\r\nConnection: close\r\n\r\n",
            served.address, device.cookie
        );
        line.write_all(ask.as_bytes()).unwrap();
        let (mut heard, mut some) = (String::new(), [0; 1024]);
        while !heard.contains("data: ") {
            let read = line.read(&mut some).unwrap();
            heard.push_str(std::str::from_utf8(&some[..read]).unwrap());
        }
        let name = format!("the {}", role.word());
        if by_page {
            let forms = http::forms(&office.page("/devices"));
            let off = forms.into_iter().find(|form| form.text.contains(&name));
            assert_eq!(office.press(&off.unwrap(), &[]).status, 303);
        } else {
            let mut book = served.book();
            let all = book.devices().unwrap();
            book.unpair(all.iter().find(|own| own.name == name).unwrap().id).unwrap();
            let begun = Instant::now();
            while device.get("/live").status == 200 {
                assert!(begun.elapsed() < Duration::from_secs(5), "it is still let in");
            }
        }
        served.book().cut("S-1", Some(1), &shops::stamp()).unwrap();
        let step = served.book().version().unwrap();
        let begun = Instant::now();
        line.read_to_string(&mut heard).unwrap();
        assert!(begun.elapsed() < Duration::from_secs(3), "{:?}", begun.elapsed());
        assert!(!heard.contains(&format!("data: {step}\n")), "{heard}");
        served.book().undo(None, &shops::stamp()).unwrap();
    }
}

/// What only the office may do only the office may undo: a press that says otherwise is
/// told so, and the book is as it was.
#[test]
fn whoever_may_not_make_a_step_may_not_undo_it() {
    let served = Served::new();
    let mut files = shops::files();
    files.get_mut("frames.csv").unwrap().extend_from_slice(b"9,,ASH,5,7,1,2026-04-01,any\n");
    let by = longpoint::book::Stamp { by: "the office".to_owned(), ..shops::stamp() };
    served.book().refresh((&shops::read(&files), &files), &by).unwrap();
    let step = served.book().version().unwrap();
    let floor = [Role::Bench, Role::Counter].map(|role| served.device(role));
    for device in &floor {
        let page = device.page("/steps?day=2026-03-09");
        assert!(!page.contains("refresh") && !page.contains("action=\"/undo\""), "{page}");
        assert!(page.contains("is not undone here: ask the office"), "{page}");
        let said = device.page(&format!("/steps?step={step}"));
        assert!(!said.contains("Done: "), "{said}");
        // A form of its own, and the number of a step that is not.
        let place = device.page("/count?place=bay+2");
        let token = device.form(&place, "/count").fields.remove(0).1;
        let number = step.to_string();
        let refused = device.post("/undo", &[("token", &token), ("step", &number)]);
        assert_eq!(refused.status, 409, "{}", refused.body);
        assert!(refused.body.contains("is not undone here"), "{}", refused.body);
        assert_eq!(served.book().version().unwrap(), step);
    }
    // Its own work it undoes.
    served.book().cut("S-1", Some(1), &shops::stamp()).unwrap();
    let [bench, _] = floor;
    let page = bench.page("/steps?day=2026-03-09");
    assert_eq!(bench.press(&bench.form(&page, "/undo"), &[]).status, 303);
    let office = served.device(Role::Office);
    let page = office.page("/steps?day=2026-03-09");
    assert_eq!(office.press(&office.form(&page, "/undo"), &[]).status, 303);
    assert!(served.book().shop().unwrap().frame("9").is_none());
}

/// Who may look at what, as the README says it; and nobody is shown a press that is
/// refused.
#[test]
fn each_device_sees_what_its_role_says_and_no_press_that_is_refused() {
    let served = Served::at(Pace { requests: (9_000, 9_000), ..Pace::default() });
    let floor = ["/bench", "/joiner", "/wall", "/rack", "/s/S-1", "/steps", "/count", "/print"];
    let floor = [&floor[..], &["/order", "/receive", "/bench/stick/S-1", "/joiner/2/1"]].concat();
    let counters = ["/counter", "/ticket", "/ticket/1"];
    let offices = ["/office", "/files", "/figures", "/invoice", "/devices", "/order/letters/1"];
    let offices = [&offices[..], &["/order/basket", "/files/shop%2Etoml"]].concat();
    let (bench, counter) = (served.device(Role::Bench), served.device(Role::Counter));
    let wall = served.device(Role::Wall);
    for path in &floor {
        assert_eq!((bench.get(path).status, counter.get(path).status), (200, 200), "{path}");
        assert_eq!(wall.get(path).status, if *path == "/wall" { 200 } else { 403 }, "{path}");
    }
    for path in counters {
        assert_eq!((bench.get(path).status, counter.get(path).status), (403, 200), "{path}");
    }
    for path in &offices {
        assert_eq!((bench.get(path).status, counter.get(path).status), (403, 403), "{path}");
    }
    let mut pressed = 0;
    for (device, paths) in [
        (&bench, floor.clone()),
        (&counter, [&floor[..], &counters].concat()),
        (&wall, vec!["/wall"]),
    ] {
        for path in paths {
            let page = device.page(path);
            for form in http::forms(&page) {
                pressed += 1;
                // Without a token nothing is done; who may not at all is told that first.
                let told = device.post(&form.action, &[]);
                assert!(told.body.contains("not one that was given"), "{path}: {}", form.action);
            }
            for way in page.split("href=\"/").skip(1).map(|rest| &rest[..rest.find('"').unwrap()]) {
                let status = device.get(&format!("/{}", http::plain(way))).status;
                assert_ne!(status, 403, "{path} leads to /{way}");
            }
        }
    }
    assert!(pressed > 5, "{pressed}");
    let page = counter.page("/bench/stick/S-1/cut");
    assert!(!page.contains("CHIPPED") && page.contains("class=\"reading\""), "{page}");
    assert!(!bench.page("/rack").contains("worth") && !counter.page("/rack").contains("worth"));
}

#[test]
fn a_code_is_good_once() {
    let served = Served::new();
    let code = served.invitations[1].code.clone();
    served.device(Role::Bench);
    let stranger = Visitor { address: served.address, cookie: String::new() };
    let again = stranger.post("/pair", &[("code", &code), ("name", "another")]);
    assert_eq!((again.status, again.cookie()), (401, String::new()));
    let named = stranger.post("/pair", &[("code", "x"), ("name", "THE BENCH")]);
    assert_eq!(named.status, 409, "two of one name");
    for _ in 0..30 {
        stranger.post("/pair", &[("code", "AAAA-BBBB"), ("name", "guess")]);
    }
    let good = served.invitations[3].code.clone();
    assert_eq!(stranger.post("/pair", &[("code", &good), ("name", "late")]).status, 429);
}

#[test]
fn a_cookie_is_read_by_no_script_and_sent_by_no_other_site() {
    let served = Served::new();
    let stranger = Visitor { address: served.address, cookie: String::new() };
    let code = served.invitations[0].code.clone();
    let reply = stranger.post("/pair", &[("code", &code), ("name", "wall")]);
    let cookie = reply.header("set-cookie");
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"), "{cookie}");
    assert_eq!(reply.header("location"), "/wall");
}

#[test]
fn every_answer_forbids_what_is_not_from_here() {
    let served = Served::new();
    let office = served.device(Role::Office);
    for path in ["/steps", "/pair", "/nothing", "/page.js", "/style.css"] {
        let reply = office.get(path);
        assert!(
            reply.header("content-security-policy").starts_with("default-src 'self'"),
            "{path}"
        );
        assert_eq!(reply.header("x-content-type-options"), "nosniff");
        assert!(!reply.body.contains(" style=\"") && !reply.body.contains("<script>"), "{path}");
    }
}

#[test]
fn paths_lead_to_pages_and_to_nothing_else() {
    let served = Served::new();
    let office = served.device(Role::Office);
    for path in [
        "/../../etc/passwd",
        "/%2e%2e/%2e%2e/etc/passwd",
        "/steps/../devices",
        "//evil.example/",
        "/steps%00",
        "/bench/%ff%fe",
        "/shop.book",
        "/src/web/mod.rs",
        "/.git/config",
    ] {
        let status = office.get(path).status;
        assert!([400, 404, 409].contains(&status), "{path}: {status}");
    }
    let reply = office.post("/undo", &[("back", "//evil.example/")]);
    assert_eq!(reply.status, 403);
}

/// Ten megabytes ended as a broken line, and nobody was told why.
#[test]
fn a_form_beyond_all_measure_is_refused_in_words_once_all_of_it_is_sent() {
    let served = Served::new();
    let office = served.device(Role::Office);
    let head = |more: &str| {
        format!(
            "POST /undo HTTP/1.1\r\nHost: {0}\r\nCookie: {1}\r\nOrigin: http://{0}\r\n{more}\r\n\
             Connection: close\r\n\r\n",
            served.address, office.cookie
        )
        .into_bytes()
    };
    let mut said = head(&format!("Content-Length: {}", 10 << 20));
    said.extend_from_slice(&vec![b'x'; 10 << 20]);
    // One that does not say how long it is, too.
    let mut unsaid = head("Transfer-Encoding: chunked");
    for _ in 0..160 {
        unsaid.extend_from_slice(b"10000\r\n");
        unsaid.extend_from_slice(&[b'x'; 0x10000]);
        unsaid.extend_from_slice(b"\r\n");
    }
    unsaid.extend_from_slice(b"0\r\n\r\n");
    for bytes in [said, unsaid] {
        let mut line = TcpStream::connect(served.address).unwrap();
        line.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
        // As a browser does it: all of it first, then the answer.
        line.write_all(&bytes).unwrap();
        let mut answer = Vec::new();
        line.read_to_end(&mut answer).unwrap();
        let reply = http::parse(&answer).unwrap();
        assert_eq!(reply.status, 413);
        assert!(reply.body.contains("longer than any form of this page"), "{}", reply.body);
    }
    assert_eq!(office.get("/steps").status, 200);
}

#[test]
fn who_is_slow_is_cut_off() {
    let pace = Pace { patience: Duration::from_millis(300), ..Pace::default() };
    let served = Served::at(pace);
    let office = served.device(Role::Office);
    let begun = Instant::now();
    // Half a head, and nothing more.
    let mut slow = TcpStream::connect(served.address).unwrap();
    slow.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
    slow.write_all(b"GET /steps HTTP/1.1\r\nHost: ").unwrap();
    let mut answer = Vec::new();
    let _ = slow.read_to_end(&mut answer);
    assert!(begun.elapsed() < Duration::from_secs(15), "{:?}", begun.elapsed());
    // A whole head, and half a form.
    let request = format!(
        "POST /undo HTTP/1.1\r\nHost: {0}\r\nOrigin: http://{0}\r\nCookie: {1}\r\n\
         Content-Length: 100\r\nConnection: close\r\n\r\ntoken=",
        served.address, office.cookie
    );
    let reply = http::send(served.address, request.as_bytes()).unwrap();
    assert_eq!(reply.status, 408);
}

#[test]
fn many_connections_take_nothing_from_others_for_long() {
    let pace = Pace { connections: 64, patience: Duration::from_millis(300), ..Pace::default() };
    let served = Served::at(pace);
    let office = served.device(Role::Office);
    let held: Vec<TcpStream> =
        (0..1000).filter_map(|_| TcpStream::connect(served.address).ok()).collect();
    assert!(held.len() > 64, "{}", held.len());
    let begun = Instant::now();
    let head = format!(
        "GET /steps HTTP/1.1\r\nHost: {}\r\nCookie: {}\r\nConnection: close\r\n\r\n",
        served.address, office.cookie
    );
    let answered =
        || http::send(served.address, head.as_bytes()).is_ok_and(|reply| reply.status == 200);
    while !answered() {
        assert!(begun.elapsed() < Duration::from_secs(20), "nobody is let in any more");
        std::thread::sleep(Duration::from_millis(50));
    }
}

/// One computer that opened all the lines and sent nothing left none to anybody.
#[test]
fn one_address_has_its_share_of_the_connections_and_others_are_served() {
    let pace = Pace { connections: 64, patience: Duration::from_secs(60), ..Pace::default() };
    let served = Served::at(pace);
    let office = served.device(Role::Office);
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    let other = || {
        let line = tokio::net::TcpSocket::new_v4()?;
        line.bind(([127, 0, 0, 2], 0).into())?;
        runtime.block_on(line.connect(served.address))
    };
    let held: Vec<tokio::net::TcpStream> = (0..1000).filter_map(|_| other().ok()).collect();
    assert!(held.len() > 64, "{}", held.len());
    for _ in 0..20 {
        assert_eq!(office.get("/steps").status, 200);
    }
    drop(held);
}

#[test]
fn who_asks_too_often_waits() {
    let pace = Pace { requests: (5, 1), ..Pace::default() };
    let served = Served::at(pace);
    let office = served.device(Role::Office);
    let asked: Vec<u16> = (0..12).map(|_| office.get("/steps").status).collect();
    assert!(asked.starts_with(&[200; 5]) && asked.contains(&429), "{asked:?}");
}

/// The office's own device is not taken off by one press, and least of all the last of them.
#[test]
fn the_device_in_the_hand_is_asked_for_before_it_is_taken_off() {
    let served = Served::new();
    let (office, bench) = (served.device(Role::Office), served.device(Role::Bench));
    let form_of = |name: &str| {
        let devices = served.book().devices().unwrap();
        let id = devices.iter().find(|of| of.name == name).unwrap().id.to_string();
        let forms = http::forms(&office.page("/devices"));
        let is_it =
            |form: &http::PageForm| form.fields.contains(&("device".to_owned(), id.clone()));
        forms.into_iter().find(|form| form.action == "/devices/off" && is_it(form)).unwrap()
    };
    let asked = office.press(&form_of("the office"), &[]);
    assert_eq!(asked.status, 409, "{}", asked.body);
    for words in ["the device in your hand", "the last that is paired as office", "pair office"] {
        assert!(asked.body.contains(words), "{words}: {}", asked.body);
    }
    assert_eq!(served.book().devices().unwrap().len(), 2);
    // Another goes at once.
    assert_eq!(office.press(&form_of("the bench"), &[]).status, 303);
    assert_eq!(bench.get("/bench").status, 401);
    let sure = office.press(&office.form(&asked.body, "/devices/off"), &[]);
    assert_eq!(sure.status, 303, "{}", sure.body);
    assert!(served.book().devices().unwrap().is_empty());
    assert_eq!(office.get("/devices").status, 401);
}

/// Faults named files to devices that may not open them: they say what is to be written in
/// the office.
#[test]
fn a_device_that_opens_no_files_is_told_of_none() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = shops::files();
    let mouldings = "moulding,width,rabbet,stick\nASH,1,1/4,108\nOAK,1 1/2,1/4,120\n";
    files.insert("mouldings.csv".to_owned(), mouldings.as_bytes().to_vec());
    let mut book = shops::begin(dir.path(), &files);
    shops::take(&mut book);
    drop(book);
    let served = Served::of(dir, Pace::default());
    let asked = "/counter?size=8x10&moulding=oak&due=2026-03-20";
    let (device, other) = (served.device(Role::Counter), served.device(Role::Office));
    let (_, counter) = super::counter::ready(&device, asked);
    let (_, office) = super::counter::ready(&other, asked);
    assert!(office.contains("shop.toml") || office.contains("mouldings.csv"), "{office}");
    assert!(
        counter.contains("the office&#39;s ") || counter.contains("the office's "),
        "{counter}"
    );
    for named in [".csv", ".toml"] {
        assert!(!counter.contains(named), "{counter}");
    }
    // What a look refuses, and what a press does.
    let page = device.page("/ticket/1");
    assert!(!page.contains(".csv"), "{page}");
    let reply = device.get("/ticket/99");
    assert!(reply.status == 409 && !reply.body.contains(".csv"), "{}", reply.body);
}
