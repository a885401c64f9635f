//! Every page in light and dark, on each kind of screen: whether its letters stand out from
//! what is behind them, whether its targets can be hit, whether it is as wide as the screen.

use serde_json::Value;

use super::shop::ServedShop;

/// A ten-inch tablet lying and standing, and a phone.
const SCREENS: [(u32, u32); 3] = [(1024, 768), (768, 1024), (390, 844)];

/// The least contrast of letters, in hundredths, and the least target in CSS pixels: WCAG
/// 2.2, 1.4.3 and 2.5.8, level AA. The least letter of counter and office is our own.
const CONTRAST: f64 = 450.0;
const TARGET: f64 = 24.0;
const LETTER: f64 = 16.0;

/// The least contrast, with the letters that have it, by WCAG's relative luminance; the
/// least letter; the least target that does not stand in a line of text; and by how much
/// the page is wider than the screen.
const SEEN: &str = "
    const parts = (text) => { const all = text.match(/[\\d.]+/g).map(Number); return [...all.slice(0, 3), all[3] ?? 1]; };
    const over = (top, below) => { const [r, g, b, a] = top; return [r, g, b].map((one, at) => one * a + below[at] * (1 - a)).concat(1); };
    const behind = (one) => {
      if (!one) return [255, 255, 255, 1];
      const own = parts(getComputedStyle(one).backgroundColor);
      return own[3] === 1 ? own : over(own, behind(one.parentElement));
    };
    const light = ([r, g, b]) => {
      const [x, y, z] = [r, g, b].map((one) => one / 255).map((one) => one <= 0.04045 ? one / 12.92 : ((one + 0.055) / 1.055) ** 2.4);
      return 0.2126 * x + 0.7152 * y + 0.0722 * z;
    };
    const contrast = (colour, one) => {
      const ground = behind(one);
      const [a, b] = [light(over(parts(colour), ground)), light(ground)].sort((a, b) => b - a);
      return Math.floor((a + 0.05) / (b + 0.05) * 100);
    };
    const sight = (one) => { const box = one.getBoundingClientRect(); return box.width > 2 && box.height > 2 && box.right > 0; };
    const can = (one) => !one.closest('[disabled], [aria-hidden]');
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    let least = [1e9, ''], letter = [1e9, ''], target = [1e9, ''], count = 0;
    const see = (one, colour, words) => {
      const now = contrast(colour, one), size = parseFloat(getComputedStyle(one).fontSize);
      count += 1;
      if (now < least[0]) least = [now, words];
      if (size < letter[0]) letter = [size, words];
    };
    for (let node; (node = walk.nextNode());) {
      const one = node.parentElement;
      if (node.data.trim() && sight(one) && can(one)) see(one, getComputedStyle(one).color, node.data);
    }
    for (const one of document.querySelectorAll('input, textarea, select')) {
      if (!sight(one) || !can(one)) continue;
      see(one, getComputedStyle(one).color, one.name);
      if (one.placeholder) see(one, getComputedStyle(one, '::placeholder').color, one.placeholder);
    }
    for (const one of document.querySelectorAll('a, button, summary, input:not([type=hidden]), select, textarea')) {
      if (!sight(one) || getComputedStyle(one).display === 'inline') continue;
      // The label around a box is pressed as well.
      const box = (one.closest('label') || one).getBoundingClientRect();
      const size = Math.min(box.width, box.height);
      if (size < target[0]) target = [size, one.innerText || one.name];
    }
    return JSON.stringify([least, letter, target, document.documentElement.scrollWidth - innerWidth, count]);";

/// Targets that lie one over another, and what is read at the bench that something covers,
/// wherever it is scrolled to.
const COVERED: &str = "
    const faults = [];
    const all = [...document.querySelectorAll('a, button, summary, input:not([type=hidden]), select, textarea')]
      .filter((one) => one.offsetParent !== null && !one.closest('label')?.querySelector(':scope > span'));
    const boxes = all.map((one) => [one, one.getBoundingClientRect()])
      .filter(([, box]) => box.width > 2 && box.height > 2 && box.right > 0);
    for (let i = 0; i < boxes.length; i++) for (let j = i + 1; j < boxes.length; j++) {
      const [a, x] = boxes[i], [b, y] = boxes[j];
      if (a.contains(b) || b.contains(a)) continue;
      const wide = Math.min(x.right, y.right) - Math.max(x.left, y.left);
      const high = Math.min(x.bottom, y.bottom) - Math.max(x.top, y.top);
      if (wide > 1 && high > 1) faults.push(`${a.innerText || a.name} over ${b.innerText || b.name}`);
    }
    for (const one of document.querySelectorAll('.reading, .rail, .band, svg.stick, #line')) {
      if (one.getBoundingClientRect().width < 2) continue;
      one.scrollIntoView({ block: 'end' });
      const box = one.getBoundingClientRect();
      for (const [x, y] of [[0.5, 0.5], [0.1, 0.2], [0.9, 0.9], [0.5, 0.95]]) {
        const top = document.elementFromPoint(box.left + box.width * x, box.top + box.height * y);
        if (top && !one.contains(top) && !top.contains(one)) faults.push(`${top.innerText} covers ${one.className.baseVal ?? one.className}`);
      }
    }
    scrollTo(0, 0);
    return faults.join('; ');";

/// What a screen reader could not name, or would not be told of.
const UNNAMED: &str = "
    const name = (one) => (one.getAttribute('aria-label') || one.labels?.[0]?.textContent || one.textContent).trim();
    const all = [...document.querySelectorAll('input:not([type=hidden]), select, textarea, a[href], button, summary')];
    const faults = all.filter((one) => !one.closest('[aria-hidden]') && !name(one)).map((one) => `${one.outerHTML} has no name`);
    const told = ['html[lang]', 'main', ...(document.body.dataset.version ? ['#said[role=status]', '#line[role=alert]', 'nav[aria-label]'] : [])];
    return [...faults, ...told.filter((one) => !document.querySelector(one)).map((one) => `no ${one}`)].join('; ');";

#[test]
fn every_page_can_be_read_and_pressed_in_light_and_dark() {
    let Some(driver) = super::driver() else { return };
    let mut shop = ServedShop::new();
    shop.run(&["order", "shop.book", "--at", "2026-11-25T08:00"]);
    let browser = driver.browser(SCREENS[0]);
    browser.open(&shop.address("/pair"));
    let mut pages = vec!["/pair".to_owned()];
    let book = shop.book();
    let at_bench = book.bench().unwrap().remove(0);
    let stick = at_bench.sticks[0].lay.stick.clone();
    let (frame, copy) = at_bench.copies[0].clone();
    let line = book.open_lines().unwrap()[0].line;
    let waits = book.snapshot().unwrap().shop.frames[0].id.clone();
    shop.pair(&browser, "office", "office screen");
    let own = [
        "/bench",
        "/bench/finish?plan=1",
        "/joiner",
        "/counter",
        "/counter?size=x&moulding=y&due=z",
        "/ticket",
        "/ticket?q=nobody",
        "/rack",
        "/rack?least=40&idle=1",
        "/rack?moulding=none",
        "/count",
        "/count?place=bay+1",
        "/order",
        "/receive",
        "/invoice",
        "/invoice?order=1",
        "/print",
        "/order/letters/1",
        "/files",
        "/files/frames%2Ecsv",
        "/steps",
        "/devices",
        "/office",
        "/wall?page=0",
        "/wall?page=1",
        "/wall?page=2",
        "/wall?page=3",
        "/s/S-0",
    ];
    pages.extend(own.map(str::to_owned));
    let stick = |page: &str| format!("/bench/stick/{stick}{page}");
    pages.extend(["", "/cut", "/flaw", "/wrong", "/length?how=longer&whole=9&part="].map(stick));
    pages.push(format!("/joiner/{frame}/{copy}"));
    pages.extend([&frame, &waits].map(|id| format!("/ticket/{id}")));
    pages.push(format!("/receive?line={line}"));
    let mut faults = Vec::new();
    for path in &pages {
        for size in SCREENS {
            browser.size(size);
            for is_dark in [false, true] {
                browser.scheme(is_dark);
                browser.open(&shop.address(path));
                browser.says(
                    "document.querySelectorAll('details').forEach((one) => { one.open = true; })",
                );
                let said = browser.says(SEEN);
                let said: Value = serde_json::from_str(said.as_str().unwrap()).unwrap();
                let at = format!("{path} at {size:?}, dark: {is_dark}");
                let least = |of: usize| said[of][0].as_f64().unwrap();
                let checks = [
                    (said[4].as_f64().unwrap() > 2.0, "shows nothing", &said[4]),
                    (least(0) >= CONTRAST, "does not stand out", &said[0]),
                    (least(1) >= LETTER, "is too small to read", &said[1]),
                    (least(2) >= TARGET, "is too small to press", &said[2]),
                    (said[3].as_f64().unwrap() <= 0.0, "is too wide", &said[3]),
                ];
                for asked in [COVERED, UNNAMED] {
                    let wrong = browser.says(asked);
                    let wrong = wrong.as_str().unwrap();
                    if !wrong.is_empty() {
                        faults.push(format!("{at}: {wrong}"));
                    }
                }
                let wrong = checks.iter().filter(|(is_so, ..)| !is_so);
                faults.extend(wrong.map(|(_, what, which)| format!("{at}: {which} {what}")));
            }
        }
    }
    assert!(faults.is_empty(), "{faults:#?}");
    // A device that wants it dark has it dark, but where it is read from afar.
    let ground = "return getComputedStyle(document.body).backgroundColor";
    let (dark, white) = ("rgb(17, 17, 17)", "rgb(255, 255, 255)");
    let dark = ["/office", "/joiner", "/wall?page=0", "/figures"].map(|path| (path, dark));
    let (measuring, refused) = (stick(""), "/bench/find?label=nobody");
    let bright = ["/bench", &measuring, refused].map(|path| (path, white));
    for (path, colour) in dark.into_iter().chain(bright) {
        browser.open(&shop.address(path));
        assert_eq!(browser.says(ground), Value::from(colour), "{path}");
    }
    // The figures: letters of 6 mm on every screen, nothing to push sideways, and a way back.
    shop.run(&["cut", "shop.book", &at_bench.sticks[0].lay.stick]);
    let least = "return Math.min(...[...document.querySelectorAll('p, .bar *, a')].map((one) =>
        parseFloat(getComputedStyle(one).fontSize))) / 96 * 25.4";
    let wider = "return Math.max(...[document.documentElement, ...document.querySelectorAll('.chart, .bar')]
        .map((one) => one.scrollWidth - one.clientWidth))";
    for size in SCREENS {
        browser.size(size);
        browser.open(&shop.address("/figures"));
        assert!(browser.says("return document.querySelectorAll('.bar').length").as_i64() > Some(2));
        let wider = browser.says(wider).as_i64();
        assert!(wider <= Some(0), "figures at {size:?} go sideways by {wider:?}");
        let least = browser.says(least).as_f64().unwrap();
        assert!(least >= 6.0, "figures at {size:?}: {least} mm");
    }
    browser.press(".back").unwrap();
    browser.until("the office", "location.pathname === '/office'");
    // A phone shows the shop's whole name on the wall.
    browser.open(&shop.address("/wall?page=0"));
    let cut = "const name = document.querySelector('.wall .where b'); return name.scrollWidth - name.clientWidth";
    assert!(browser.says(cut).as_f64().unwrap() <= 0.0, "{}", browser.text(".wall .where b"));
}
