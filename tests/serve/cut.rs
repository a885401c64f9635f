//! One cut a screen: all that it says is what the chop schedule says.

use longpoint::book::{Role, words};
use longpoint::chop::of_bench;
use longpoint::plan::CutStick;
use longpoint::shop::Stop;

use super::bench::{demo, follow, mind};
use super::http;
use super::served::Served;
use super::shops;

/// The screens of a stick's cuts, one after the other, without marks, and with their words
/// parted by one blank.
fn screens(page: &str) -> Vec<String> {
    let each = page.split("<section class=\"cut\"").skip(1);
    let plain = |screen: &str| {
        let words = screen.split('<').map(|part| part.split_once('>').map_or("", |(_, text)| text));
        let words = http::plain(&words.collect::<Vec<_>>().join(" "));
        words.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    each.map(plain).collect()
}

#[test]
fn each_cut_says_edge_stop_clamp_turn_rail_and_what_comes_next() {
    let (served, _) = demo();
    let bench = served.device(Role::Bench);
    let at = served.book().bench().unwrap().remove(0);
    let shop = served.book().shop().unwrap();
    let style = shop.settings.style();
    let cards: Vec<CutStick> = at.sticks.iter().map(|stick| stick.card.clone()).collect();
    let schedule = of_bench(&cards, &at.planned, &shop);
    let (mut clamped, mut turned, mut seen) = (0, 0, 0);
    for sheet in &schedule.benches {
        let edge = match sheet.stop {
            Stop::Long => "LONG POINT",
            Stop::Rabbet => "RABBET",
            Stop::Sight => "SIGHT EDGE",
        };
        for (at, steps) in sheet.sticks.iter().enumerate() {
            let path = format!("/bench/stick/{}/cut", steps.stick);
            if at == 0 {
                let form = bench.form(&bench.page(&path), "/bench/mind");
                let boxes = form.text.matches("type=\"checkbox\"").count();
                assert_eq!(bench.press(&form, &vec![("minded", "1"); boxes]).status, 303);
            }
            let screens = screens(&bench.page(&path));
            // After the last cut there is one for what is kept, and one to wait.
            assert_eq!(screens.len(), steps.cuts.len() + 2, "{}", steps.stick);
            for (number, (cut, screen)) in steps.cuts.iter().zip(&screens).enumerate() {
                let rail = &cut.rail;
                let side = words::side(&shop, (&rail.frame, rail.copy), rail.layer, rail.side);
                let stop = style.show(cut.stop).replace('/', " / ");
                let next = steps.cuts.get(number + 1).map(|next| style.show(next.stop));
                let says = [
                    (edge.to_owned(), true),
                    (format!(" {stop} "), true),
                    (side, true),
                    (" CLAMP ".to_owned(), cut.clamp),
                    ("TURN THE STICK OVER".to_owned(), cut.turn),
                    (format!("then {}", next.as_deref().unwrap_or("none")), next.is_some()),
                    ("then keep".to_owned(), next.is_none() && steps.left.keep),
                    (format!("cut {} of {}", number + 1, steps.cuts.len()), true),
                ];
                for (words, is_said) in says {
                    assert_eq!(screen.contains(&words), is_said, "{words}: {screen}");
                }
                (clamped, turned, seen) =
                    (clamped + i32::from(cut.clamp), turned + i32::from(cut.turn), seen + 1);
            }
        }
    }
    assert!(clamped > 0 && clamped < seen, "{clamped} of {seen} are clamped");
    println!("{seen} cuts, {clamped} of them clamped, {turned} turned");
}

#[test]
fn the_last_rail_of_a_ticket_says_to_tie_its_label_on() {
    let served = Served::new();
    let bench = served.device(Role::Bench);
    mind(&bench);
    let mut book = served.book();
    let sticks = book.bench().unwrap().remove(0).sticks;
    let (last, others) = sticks.split_last().unwrap();
    for own in others {
        book.cut(&own.lay.stick, None, &shops::stamp()).unwrap();
    }
    let (lay, path) = (&last.lay, format!("/bench/stick/{}/cut", last.lay.stick));
    if lay.rails.len() > 1 {
        book.cut(&lay.stick, Some(lay.rails.len() - 1), &shops::stamp()).unwrap();
    }
    let page = bench.page(&path);
    let shop = book.shop().unwrap();
    let rail = lay.rails.last().unwrap();
    let ticket = words::ticket(&shop, &rail.frame, rail.copy);
    let says = format!("This completes <b>{ticket}</b>: tie its label on.");
    // It is hidden until the cut is made, and at hand where the line is down.
    assert!(!page.split(" hidden>").next().unwrap().contains(&says), "{page}");
    let (page, _) = follow(&bench, &page, "/bench/cut");
    assert!(page.contains(&says), "{page}");
}
