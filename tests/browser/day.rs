//! A day at the bench.

use longpoint::book::RailState;

use super::driver::Browser;
use super::shop::ServedShop;

/// A tablet of ten inches, lying.
const TABLET: (u32, u32) = (1024, 768);

/// Marks what is to be pressed next, and says what stands on it.
const NEXT: &str = "
    const sight = (one) => one.offsetParent !== null && !one.disabled;
    const all = [...document.querySelectorAll('#main a.go, #main button.go')].filter(sight);
    const next = all[0] || [...document.querySelectorAll('.fetch a')].filter(sight)[0];
    document.getElementById('next-press')?.removeAttribute('id');
    if (!next) return '';
    next.id = 'next-press';
    return next.innerText;";

/// One at the bench, who presses what is largest.
struct Hand<'a> {
    browser: &'a Browser<'a>,
    presses: u32,
    cuts: u32,
}

impl Hand<'_> {
    /// What is to be pressed next. Nothing is to be typed: there is no field but the one
    /// that a scanner types into.
    fn next(&self) -> String {
        let fields = "return [...document.querySelectorAll('#main input, #main textarea, #main select')]
            .filter((one) => !['hidden', 'checkbox'].includes(one.type) && one.id !== 'label').length";
        assert_eq!(self.browser.says(fields), 0, "{}", self.browser.text("#main"));
        self.browser.says(NEXT).as_str().unwrap_or_default().to_owned()
    }

    /// Presses something, and waits until the page is another.
    fn press(&mut self, selector: &str) {
        self.browser.says("window.before = document.getElementById('main')");
        self.browser.press(selector).unwrap_or_else(|error| {
            panic!("{selector}: {error}; the page shows {}", self.browser.text("body"))
        });
        self.presses += 1;
        self.browser.until(
            "another page",
            "document.getElementById('main') && document.getElementById('main') !== window.before",
        );
    }

    /// Presses on until something stands on what is next, or nothing does.
    fn on_until(&mut self, stop: impl Fn(&Hand, &str) -> bool) {
        for _ in 0..900 {
            let next = self.next();
            if stop(self, &next) {
                return;
            }
            match next.as_str() {
                "ALL MINDED: BEGIN" => {
                    // Once a day, each on its own.
                    self.browser.says("document.querySelectorAll('.cautions input').forEach((one) => one.click())");
                    self.press("#next-press");
                    self.presses -= 1;
                }
                "CUT" => {
                    self.press("#next-press");
                    self.cuts += 1;
                }
                "" => self
                    .browser
                    .until("something to press", "document.querySelector('#main .go, .fetch a')"),
                _ => self.press("#next-press"),
            }
        }
        panic!("no end of it: {}", self.browser.text("body"));
    }

    /// Goes on until so many cuts are pressed, and the next is in sight.
    fn cut_until(&mut self, cuts: u32) {
        self.on_until(|hand, next| hand.cuts >= cuts && next == "CUT");
    }
}

/// How many rails are cut and how many are not, in all plans at the bench.
fn stand(shop: &ServedShop) -> (usize, usize) {
    let plans = shop.book().bench().unwrap();
    let rails = || plans.iter().flat_map(|at| &at.sticks).flat_map(|stick| &stick.lay.rails);
    let count = |state| rails().filter(|rail| rail.state == state).count();
    (count(RailState::Cut), count(RailState::ToCut))
}

#[test]
fn the_morning_is_ticked_to_the_last_cut() {
    let Some(driver) = super::driver() else { return };
    let mut shop = ServedShop::new();
    let browser = driver.browser(TABLET);
    shop.pair(&browser, "bench", "bench tablet");
    let (_, all) = stand(&shop);
    assert!(all > 100, "{all}");
    let mut hand = Hand { browser: &browser, presses: 0, cuts: 0 };

    // A corner chips: two presses, and the rest is planned again.
    hand.cut_until(4);
    let steps = shop.book().version().unwrap();
    hand.press("form[action='/bench/chip'] button");
    assert!(browser.text("#main").contains("is spoiled and owed"), "{}", browser.text("#main"));
    assert_eq!(hand.next(), "PLAN THE REST AGAIN");
    hand.press("#next-press");
    browser.until("planned again", "location.pathname === '/bench'");
    assert!(browser.text("#main").contains("what is cut stays"), "{}", browser.text("#main"));
    assert_eq!(shop.book().version().unwrap(), steps + 2, "one step each");

    // A flaw shows: two taps on the drawing, of the cut and of what is left, nothing typed.
    hand.cut_until(16);
    let presses = hand.presses;
    hand.press(".cut:not([hidden]) .tap");
    assert!(browser.says("return location.search").as_str().unwrap().starts_with("?from="));
    hand.press("#main .tap");
    assert_eq!(hand.presses, presses + 2);
    let flawed = shop.book().steps(None, 1).unwrap().remove(0);
    assert_eq!((flawed.done.what.as_str(), flawed.done.who.as_str()), ("flaw", "bench tablet"));

    // A stick is short.
    hand.on_until(|hand, next| hand.cuts >= 30 && next == "AS SAID");
    hand.press(".presses a[href$='shorter']");
    for key in ["2", "0"] {
        let keys = format!(
            "return [...document.querySelectorAll('.figures a')].find((one) => one.innerText === '{key}').id = 'next-press'"
        );
        browser.says(&keys);
        hand.press("#next-press");
    }
    assert!(browser.text(".typed").starts_with("20"), "{}", browser.text(".typed"));
    // So much shorter is asked for once more.
    hand.press("a.go[href*='sure=ask']");
    assert!(browser.text("#main").contains("88 in shorter"), "{}", browser.text("#main"));
    hand.press("form button.go");
    let short = shop.book().steps(None, 1).unwrap().remove(0);
    assert_eq!(short.done.what, "correct");

    // A ticket is cancelled by a command elsewhere: the screen hears of it by itself.
    hand.cut_until(45);
    let before = browser.says("return document.body.dataset.version");
    shop.run(&["cancel", "shop.book", "4102", "--by", "Ana"]);
    browser.until("the cancellation", &format!("document.body.dataset.version !== {before}"));
    // A finger that comes down as the page changes under it presses nothing.
    std::thread::sleep(std::time::Duration::from_millis(500));

    // The joiner has a frame made anew.
    hand.cut_until(60);
    browser.open(&shop.address("/joiner"));
    browser.says("[...document.querySelectorAll('.fetch a')].find((one) => one.innerText.includes('COMPLETE')).id = 'next-press'");
    hand.press("#next-press");
    browser
        .says("document.querySelector(\"form[action='/joiner/made'] button\").id = 'next-press'");
    hand.press("#next-press");
    assert!(browser.text("#main").contains("JOINED"), "{}", browser.text("#main"));
    hand.press("form[action='/joiner/remake'] button");
    let remade = shop.book().steps(None, 2).unwrap();
    let what: Vec<&str> = remade.iter().map(|step| step.done.what.as_str()).collect();
    assert_eq!(what, ["spoil", "joined"]);
    browser.open(&shop.address("/bench"));

    // To the last cut.
    hand.on_until(|_, next| next == "FINISH THE DAY");
    let (cut, open) = stand(&shop);
    assert_eq!(open, 0);
    assert!(cut > 100, "{cut}");
    let (presses, cuts) = (hand.presses, hand.cuts);
    println!("{presses} presses for {cuts} cuts, with all that went wrong");
    assert!(presses <= 2 * cuts, "{presses} presses for {cuts} cuts");
    hand.press("#next-press");
    hand.press(".keys button");
    browser.until(
        "the day is finished",
        "document.body.innerText.includes('Nothing is at the bench')",
    );
    let book = shop.book();
    assert!(book.audit().unwrap().balances());
    let ours = book.steps(None, 1000).unwrap();
    let cuts =
        ours.iter().filter(|step| step.done.what == "cut" && step.done.who == "bench tablet");
    assert_eq!(cuts.count(), usize::try_from(hand.cuts).unwrap(), "one step a press");
}
