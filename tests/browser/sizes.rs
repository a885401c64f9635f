//! How large everything is that is read and pressed: at 96 pixels to the inch, as CSS
//! counts millimetres.

use super::shop::ServedShop;

/// A ten-inch tablet lying and standing, and a phone.
const SCREENS: [(u32, u32); 3] = [(1024, 768), (768, 1024), (390, 844)];

/// The smallest letter and the smallest target on the page, in hundredths of a
/// millimetre, with what they are; and by how much it is wider than the screen.
const SMALLEST: &str = "
    const mm = (px) => Math.round(px / 96 * 2540);
    const sight = (one) => { const box = one.getBoundingClientRect(); return box.width > 2 && box.right > 0; };
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    let text = [1e9, ''], target = [1e9, ''];
    for (let node; (node = walk.nextNode());) {
      if (!node.data.trim() || !sight(node.parentElement)) continue;
      const size = mm(parseFloat(getComputedStyle(node.parentElement).fontSize));
      if (size < text[0]) text = [size, node.data];
    }
    for (const one of document.querySelectorAll('a, button, input:not([type=hidden]), select')) {
      if (!sight(one)) continue;
      // The label around a box is pressed as well.
      const box = (one.closest('label') || one).getBoundingClientRect();
      const size = mm(Math.min(box.width, box.height));
      if (size < target[0]) target = [size, one.innerText || one.name];
    }
    const wide = document.documentElement.scrollWidth - innerWidth;
    return JSON.stringify([text, target, wide]);";

#[test]
fn nothing_at_the_chopper_is_too_small_for_dusty_glasses_and_a_gloved_finger() {
    let Some(driver) = super::driver() else { return };
    let mut shop = ServedShop::new();
    let browser = driver.browser(SCREENS[0]);
    shop.pair(&browser, "bench", "tablet");
    let plans = shop.book().bench().unwrap();
    let stick = plans[0].sticks[0].lay.stick.clone();
    let at = |page: &str| format!("/bench/stick/{stick}{page}");
    browser.open(&shop.address(&at("")));
    let mut pages = vec![at("")];
    let measure = |path: &str| {
        for size in SCREENS {
            browser.size(size);
            browser.open(&shop.address(path));
            browser.until("a page", "document.body.dataset.version");
            let said = browser.says(SMALLEST);
            let said: serde_json::Value = serde_json::from_str(said.as_str().unwrap()).unwrap();
            let hundredths = |of: usize| said[of][0].as_f64().unwrap();
            assert!(hundredths(0) >= 600.0, "{path} at {size:?}: {}", said[0]);
            assert!(hundredths(1) >= 1500.0, "{path} at {size:?}: {}", said[1]);
            assert!(
                said[2].as_f64().unwrap() <= 0.0,
                "{path} at {size:?} is too wide: {}",
                said[2]
            );
        }
    };
    measure(&pages.remove(0));
    browser.says("document.querySelectorAll('.cautions input').forEach((one) => one.click())");
    browser.press("button.go").unwrap();
    browser.until("minded", "!document.querySelector('.cautions')");
    // A cut is in sight as a whole: the stop, the drawing, what is pressed.
    let foot = "return [...document.querySelectorAll('.cut:not([hidden]) .presses > *, .cut:not([hidden]) .presses form > button')]
        .reduce((most, one) => Math.max(most, one.getBoundingClientRect().bottom), 0) - innerHeight";
    for size in SCREENS {
        browser.size(size);
        browser.open(&shop.address(&at("/cut")));
        assert!(browser.says(foot).as_f64().unwrap() <= 0.0, "the cut at {size:?} is cut off");
    }
    // So it is where the line is down, and nothing lies over it.
    let covers = "const line = document.getElementById('line');
        line.textContent = 'NO CONNECTION. 3 presses are kept and sent when it is back.';
        line.hidden = false;
        const end = line.getBoundingClientRect().bottom;
        return [...document.querySelectorAll('.cut:not([hidden]) *')].filter((one) => one.getBoundingClientRect().height > 0)
            .reduce((least, one) => Math.min(least, one.getBoundingClientRect().top), 1e9) - end";
    browser.open(&shop.address(&at("/cut")));
    assert!(browser.says(covers).as_f64().unwrap() >= 0.0, "the line covers the cut");
    let below = browser.says(foot).as_f64().unwrap();
    assert!(below <= 0.0, "the cut is cut off by {below} while the line is down");
    // On a phone the ways to other pages are behind one press, for scripts and without.
    let ways = "return getComputedStyle(document.querySelector('nav')).display";
    browser.open(&shop.address(&at("/cut")));
    assert_eq!(browser.says(ways), "none");
    browser.press(".ways").unwrap();
    assert_eq!(browser.says(ways), "flex");
    let more =
        ["", "/cut", "/flaw", "/flaw?from=2", "/wrong", "/length?how=shorter&whole=88&part=1%2F2"];
    pages.extend(more.map(at));
    pages.extend(["/bench", "/joiner", "/steps", "/bench/finish?plan=1"].map(str::to_owned));
    for path in &pages {
        measure(path);
    }
    // So it is where a later cut lies on a flaw, and where something is owed of its moulding.
    let second = plans[0].sticks[0].lay.rails[1].clone();
    let inch = ((second.from.as_mm() + second.to.as_mm()) / 50.8).floor();
    shop.run(&["flaw", "shop.book", &stick, &format!("{inch} .. {}", inch + 1.0)]);
    for size in SCREENS {
        browser.size(size);
        browser.open(&shop.address(&at("/cut")));
        assert!(
            browser.text(".owed").contains("A later cut lies on a flaw"),
            "{}",
            browser.text("#main")
        );
        // On a phone, with all that is to be done before the first cut, its own press at least.
        let press = "return document.querySelector('.cut:not([hidden]) .presses .huge').getBoundingClientRect().bottom - innerHeight";
        let foot = browser.says(if size == SCREENS[2] { press } else { foot }).as_f64().unwrap();
        assert!(foot <= 0.0, "the cut at {size:?} is cut off by {foot}, since one has a flaw");
        measure(&at("/cut"));
    }
    // So it is just after the flaw was pressed, with the way to undo that above it.
    let step = shop.book().version().unwrap();
    for size in &SCREENS[..2] {
        browser.size(*size);
        browser.open(&shop.address(&at(&format!("/cut?step={step}"))));
        assert!(browser.text("#said").contains("UNDO"), "{}", browser.text("#said"));
        let foot = browser.says(foot).as_f64().unwrap();
        assert!(foot <= 0.0, "the cut at {size:?} is cut off by {foot} below what was done last");
    }
    shop.run(&["undo", "shop.book"]);
    shop.run(&["cut", "shop.book", &stick, "--to", "1"]);
    shop.run(&["spoil", "shop.book", &stick, "1"]);
    for size in SCREENS {
        browser.size(size);
        browser.open(&shop.address(&at("/cut")));
        assert!(browser.text(".owed").starts_with("OWED"), "{}", browser.text("#main"));
        let foot = browser.says(foot).as_f64().unwrap();
        assert!(foot <= 0.0, "the cut at {size:?} is cut off by {foot}, since something is owed");
        measure(&at("/cut"));
    }
    // The figures of the stop are 25 mm tall: 0.716 of their letter in the faces used.
    browser.open(&shop.address(&at("/cut")));
    let tall = browser.says("return parseFloat(getComputedStyle(document.querySelector('.reading')).fontSize) / 96 * 25.4 * 0.716");
    assert!(tall.as_f64().unwrap() >= 25.0, "{tall}");
    // The rails of a ticket that is cancelled are spare, and lie at the bench.
    let cut = plans[0].sticks[0].lay.rails[1].frame.clone();
    shop.run(&["cut", "shop.book", &stick, "--to", "2"]);
    shop.run(&["cancel", "shop.book", &cut]);
    browser.open(&shop.address("/bench"));
    assert!(browser.text("#main").contains("Spare rails"), "{}", browser.text("#main"));
    measure("/bench");
    // As many figures as a stick in inches has, and what waits then, are not pushed sideways.
    let whole = &plans[0].sticks.last().unwrap().lay.stick;
    shop.run(&["correct", "shop.book", whole, "--length", "107 15/16"]);
    for page in [format!("/bench/stick/{whole}"), format!("/bench/stick/{whole}/cut")] {
        measure(&page);
    }
    assert!(browser.text("#main").contains("measures otherwise"), "{}", browser.text("#main"));
}
