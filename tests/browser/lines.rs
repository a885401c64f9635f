//! Lines that break, servers that are killed, two who press the same.

use super::driver::Browser;
use super::shop::ServedShop;

const TABLET: (u32, u32) = (768, 1024);

const CUT: &str = ".cut:not([hidden]) form[action='/bench/cut'] button";

/// A shop with a browser that has the cautions minded and the first cut of a stick in sight.
fn at_a_cut<'a>(shop: &mut ServedShop, browser: &'a Browser<'a>, name: &str) -> &'a Browser<'a> {
    shop.pair(browser, "bench", name);
    let first = stick(shop);
    browser.open(&shop.address(&format!("/bench/stick/{first}/cut")));
    browser.says("document.querySelectorAll('.cautions input').forEach((one) => one.click())");
    browser.press("button.go").unwrap();
    browser.until("a cut", "document.querySelector('.cut')");
    browser
}

/// The stick with most cuts.
fn stick(shop: &ServedShop) -> String {
    let plans = shop.book().bench().unwrap();
    let all = plans.iter().flat_map(|at| &at.sticks);
    all.max_by_key(|stick| stick.lay.rails.len()).unwrap().lay.stick.clone()
}

/// How many steps were made by whoever is called that.
fn cuts(shop: &ServedShop, who: &str) -> usize {
    let steps = shop.book().steps(None, 500).unwrap();
    steps.iter().filter(|step| step.done.what == "cut" && step.done.who == who).count()
}

/// For how many seconds the line stays down with presses kept: `LONGPOINT_OFFLINE`, else no
/// longer than they take.
fn down() -> u64 {
    let said = std::env::var("LONGPOINT_OFFLINE").ok();
    said.map_or(0, |seconds| seconds.parse().expect("LONGPOINT_OFFLINE is a number of seconds"))
}

#[test]
fn what_is_pressed_while_the_line_is_down_is_sent_in_its_order() {
    let Some(driver) = super::driver() else { return };
    let mut shop = ServedShop::new();
    let browser = driver.browser(TABLET);
    let browser = at_a_cut(&mut shop, &browser, "tablet");
    browser.line(false);
    for kept in 1..=3 {
        browser.press(CUT).unwrap();
        let said = if kept == 1 {
            "1 press is kept".to_owned()
        } else {
            format!("{kept} presses are kept")
        };
        browser.until(
            "a word of it",
            &format!("document.getElementById('line').innerText.includes('{said}')"),
        );
    }
    std::thread::sleep(std::time::Duration::from_secs(down()));
    assert_eq!(cuts(&shop, "tablet"), 0);
    assert!(browser.text("#line").starts_with("NO CONNECTION"), "{}", browser.text("#line"));
    browser.line(true);
    browser.until("sent", "document.getElementById('line').hidden && !JSON.parse(localStorage.getItem('longpoint.presses')).length");
    assert_eq!(cuts(&shop, "tablet"), 3);
    let plans = shop.book().bench().unwrap();
    let stick = plans.iter().flat_map(|at| &at.sticks).find(|stick| stick.lay.is_begun()).unwrap();
    let cut: Vec<usize> = stick
        .lay
        .rails
        .iter()
        .filter(|rail| rail.state == longpoint::book::RailState::Cut)
        .map(|rail| rail.number)
        .collect();
    assert_eq!(cut, [1, 2, 3]);
}

/// A press for which the device has no room is kept by the page, which says so, and sent too.
#[test]
fn a_press_that_the_device_cannot_store_is_not_lost() {
    let Some(driver) = super::driver() else { return };
    let mut shop = ServedShop::new();
    let browser = driver.browser(TABLET);
    let browser = at_a_cut(&mut shop, &browser, "tablet");
    browser.says(
        "let more = 'x'.repeat(1 << 22), all = '';
        while (more) {
          try { localStorage.setItem('full', all + more); all += more; } catch { more = more.slice(more.length >> 1 || 1); }
        }",
    );
    browser.line(false);
    for words in ["1 press is kept", "2 presses are kept"] {
        browser.press(CUT).unwrap();
        browser.until(
            "a word of it",
            &format!("document.getElementById('line').innerText.includes('{words}')"),
        );
        let said = browser.text("#line");
        assert!(said.contains("leave this page open"), "{said}");
    }
    browser.line(true);
    browser.until("sent", "document.getElementById('line').hidden");
    assert_eq!(cuts(&shop, "tablet"), 2);
}

/// While the line is down a press is taken back as it was made: in its order. After the last
/// cut the page says what to keep, and what is fetched next.
#[test]
fn with_the_line_down_a_cut_is_taken_back_and_the_last_one_has_a_page_of_its_own() {
    let Some(driver) = super::driver() else { return };
    let mut shop = ServedShop::new();
    let browser = driver.browser(TABLET);
    let browser = at_a_cut(&mut shop, &browser, "tablet");
    let shown = "document.querySelector('.cut:not([hidden])').dataset.cut";
    let at = |cut: &str| browser.until(cut, &format!("{shown} === '{cut}'"));
    let all = browser.says("return document.querySelectorAll('.cut').length - 2");
    let all = all.as_u64().unwrap();
    browser.line(false);
    browser.press(CUT).unwrap();
    at("2");
    browser.press(".cut:not([hidden]) form[action='/undo'] button").unwrap();
    at("1");
    // Taken back once, it is cut after all, and so is every other.
    for cut in 1..=all {
        browser.press(CUT).unwrap();
        at(&if cut < all { cut + 1 } else { 0 }.to_string());
    }
    let said = browser.text("#main");
    assert!(said.contains("KEEP") || said.contains("is scrap"), "{said}");
    assert!(said.contains("Next: fetch") && said.contains("BACK ONE"), "{said}");
    browser.press(".cut:not([hidden]) form[action='/undo'] button").unwrap();
    at(&all.to_string());
    assert_eq!(cuts(&shop, "tablet"), 0);
    // Whatever else still comes through, the banner stays as long as something is kept.
    std::thread::sleep(std::time::Duration::from_millis(5500));
    assert!(browser.text("#line").contains("presses are kept"), "{}", browser.text("#line"));
    browser.line(true);
    browser.until("sent", "document.getElementById('line').hidden && !JSON.parse(localStorage.getItem('longpoint.presses')).length");
    let steps = shop.book().steps(None, 500).unwrap();
    let mut what: Vec<&str> = steps
        .iter()
        .filter(|step| step.done.who == "tablet")
        .map(|step| step.done.what.as_str())
        .collect();
    what.reverse();
    let cuts = vec!["cut"; usize::try_from(all).unwrap()];
    assert_eq!(what, [&["cut", "undo"], &cuts[..], &["undo"]].concat());
    at(&all.to_string());
}

/// A job that the counter takes is planned first, and the bench, which looks on, has it.
#[test]
fn what_the_counter_takes_the_bench_sees() {
    let Some(driver) = super::driver() else { return };
    let mut shop = ServedShop::new();
    shop.run(&["put-back", "shop.book", "--at", "2026-11-25T08:10"]);
    let (bench, counter) = (driver.browser(TABLET), driver.browser(TABLET));
    shop.pair(&bench, "bench", "tablet");
    bench.until(
        "nothing",
        "document.getElementById('main').innerText.includes('Nothing is at the bench')",
    );
    shop.pair(&counter, "office", "till");
    counter.open(&shop.address("/counter"));
    counter.type_into("input[name=size]", "8x10");
    counter.type_into("input[name=moulding]", "blk-20");
    counter.press(".ask button.go").unwrap();
    counter.until("an answer", "document.querySelector('form[action=\"/counter/take\"]')");
    counter.type_into("input[name=note]", "Halloran, map");
    counter.press("form[action='/counter/take'] button").unwrap();
    let taken = "location.pathname.startsWith('/ticket/')";
    let asked = "document.querySelector('input[name=even_so]')";
    counter.until("a ticket, or who is late by it", &format!("{taken} || {asked}"));
    if counter.says(&format!("return !!{asked}")) == true {
        // Who would be late by it is said first, and that it is meant.
        counter.press("form[action='/counter/take'] button").unwrap();
        counter.until("a ticket", taken);
    }
    let ticket = counter.says("return location.pathname.slice('/ticket/'.length)");
    let ticket = ticket.as_str().unwrap();
    counter.press("form[action='/bench/take'] button").unwrap();
    bench.until("sticks", "document.querySelector('.fetch a')");
    bench.open(&shop.address("/joiner"));
    let labels = bench.says("return [...document.querySelectorAll('.fetch .label')].map((one) => one.innerText).join(' ')");
    assert!(labels.as_str().unwrap().split(' ').any(|label| label == ticket), "{ticket}: {labels}");
    // What is opened to be read was closed whenever anybody else made a step.
    bench.open(&shop.address("/rack"));
    bench.says("document.querySelector('#main details').open = true");
    let before = bench.says("return document.body.dataset.version");
    shop.run(&["correct", "shop.book", "S-202", "--place", "bay 2", "--by", "Ana"]);
    bench.until("the step", &format!("document.body.dataset.version !== {before}"));
    assert_eq!(bench.says("return document.querySelectorAll('#main details[open]').length"), 1);
}

#[test]
fn a_server_that_is_killed_while_a_cut_is_ticked_has_ticked_it_once() {
    let Some(driver) = super::driver() else { return };
    let mut shop = ServedShop::new();
    let browser = driver.browser(TABLET);
    let browser = at_a_cut(&mut shop, &browser, "tablet");
    let all = 4;
    for tick in 1..=all {
        // The page takes no press just after it has changed by itself.
        std::thread::sleep(std::time::Duration::from_millis(500));
        browser.says("window.before = document.getElementById('main')");
        browser.press(CUT).unwrap();
        // Killed at another moment each time: before it heard, while it wrote, after.
        std::thread::sleep(std::time::Duration::from_millis([0, 3, 8, 30][tick - 1]));
        shop.kill();
        shop.start();
        browser.until(
            "answered",
            "document.getElementById('main') !== window.before && !JSON.parse(localStorage.getItem('longpoint.presses')).length \
             && document.getElementById('line').hidden",
        );
        assert_eq!(cuts(&shop, "tablet"), tick, "ticked once");
        if browser.text("#main").contains("TIED") {
            browser.press("#main a.go").unwrap();
            browser.until("a cut", "document.querySelector('.cut')");
        }
    }
    assert!(shop.book().audit().unwrap().balances());
}

#[test]
fn of_two_at_the_same_cut_the_second_is_told() {
    let Some(driver) = super::driver() else { return };
    let mut shop = ServedShop::new();
    let (one, two) = (driver.browser(TABLET), driver.browser(TABLET));
    let one = at_a_cut(&mut shop, &one, "one");
    let two = at_a_cut(&mut shop, &two, "two");
    // The second does not hear of the first in time.
    two.line(false);
    two.press(CUT).unwrap();
    one.press(CUT).unwrap();
    one.until("ticked", "document.getElementById('said').innerText.includes('Done: cut')");
    two.line(true);
    two.until("told", "document.getElementById('main').innerText.includes('ticked off already')");
    assert_eq!((cuts(&shop, "one"), cuts(&shop, "two")), (1, 0));
    // And what one does the other sees.
    two.press("#main a.big").unwrap();
    two.until("the next cut", "document.querySelector('.cut')?.dataset.cut === '2'");
    one.press(CUT).unwrap();
    two.until(
        "seen",
        "!document.querySelector('.cut') || document.querySelector('.cut').dataset.cut === '3'",
    );
}
