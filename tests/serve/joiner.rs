//! Joiner, fitter, and the screen on the wall.

use longpoint::book::{Assembly, Role};
use longpoint::web::Pace;

use super::http::PageForm;
use super::served::{Served, Visitor};
use super::shops;

#[test]
fn what_is_complete_is_joined_and_fitted_once() {
    let served = Served::new();
    let bench = served.device(Role::Bench);
    let list = bench.page("/joiner");
    assert!(list.contains("0 of 4 rails") && !list.contains("COMPLETE"), "{list}");
    served.book().cut_all(None, &shops::stamp()).unwrap();
    let list = bench.page("/joiner");
    assert!(list.contains("COMPLETE"), "{list}");
    let page = bench.page("/joiner/2/1");
    assert!(page.contains("Match <b>lot</b>"), "{page}");
    let form = bench.form(&page, "/joiner/made");
    let (one, two) = (bench.press(&form, &[]), bench.press(&form, &[]));
    assert_eq!((one.status, one.header("location")), (303, two.header("location")));
    let page = bench.page(one.header("location"));
    assert!(page.contains("JOINED"), "{page}");
    let fitted = bench.form(&page, "/joiner/made");
    assert_eq!(bench.press(&fitted, &[]).status, 303);
    let again = served.book().make("2", Some(1), Assembly::Joined, &shops::stamp());
    assert!(shops::wrong(again.unwrap_err()).contains("is fitted already"));
}

#[test]
fn a_ticket_of_which_nothing_is_cut_goes_back_on_the_pile_by_itself() {
    let served = Served::new();
    let bench = served.device(Role::Bench);
    let pile = || served.book().snapshot().unwrap().shop.frame("1").is_some();
    assert!(!pile());
    let page = bench.page("/joiner/1/1");
    assert!(page.contains("NOT TODAY: 1 BACK ON THE PILE"), "{page}");
    let form = bench.form(&page, "/joiner/back");
    let (one, two) = (bench.press(&form, &[]), bench.press(&form, &[]));
    assert_eq!((one.status, one.header("location")), (303, two.header("location")));
    let page = bench.page(one.header("location"));
    assert!(page.contains("Done: <b>put-back</b>"), "{page}");
    assert!(page.contains("On the pile again: 1."), "{page}");
    assert!(pile() && served.book().bench().unwrap().len() == 1, "the plan goes on");
    shops::balanced(&served.book());
    assert_eq!(bench.press(&bench.form(&page, "/undo"), &[]).status, 303);
    assert!(!pile());
    // Of a ticket that is cut in part nothing goes back, and why is said.
    let mut book = served.book();
    book.cut_all(None, &shops::stamp()).unwrap();
    assert!(!bench.page("/joiner/1/1").contains("BACK ON THE PILE"));
    let reply =
        bench.press(&form_of(&bench, "/joiner/back", &[("frame", "1"), ("copy", "1")]), &[]);
    assert_eq!(reply.status, 409);
    assert!(reply.body.contains("copy 1 of frame 1 is cut in part"), "{}", reply.body);
    let refused = shops::wrong(book.put_back_ticket("99", None, &shops::stamp()).unwrap_err());
    assert!(refused.contains("99"), "{refused}");
}

/// A form with a good token and these fields, wherever it goes.
fn form_of(visitor: &Visitor, action: &str, fields: &[(&str, &str)]) -> PageForm {
    let other = visitor.form(&visitor.page("/joiner/2/1"), "/joiner/remake");
    let token = other.fields.into_iter().find(|(name, _)| name == "token").unwrap();
    let own = fields.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned()));
    PageForm {
        action: action.to_owned(),
        fields: [token].into_iter().chain(own).collect(),
        text: String::new(),
    }
}

/// A ticket of which nothing was ever cut was said to be in work no more.
#[test]
fn a_ticket_that_was_never_cut_is_said_to_be_on_the_pile() {
    let served = Served::new();
    let bench = served.device(Role::Bench);
    let mut book = served.book();
    book.put_back_ticket("1", None, &shops::stamp()).unwrap();
    let page = bench.page("/joiner/1/1");
    assert!(page.contains("Nothing of it is cut yet: it is on the pile."), "{page}");
    book.cut_all(None, &shops::stamp()).unwrap();
    for made in [Assembly::Joined, Assembly::Fitted] {
        book.make("2", Some(1), made, &shops::stamp()).unwrap();
    }
    book.finish(None, ("bay 9", false), &shops::stamp()).unwrap();
    assert!(bench.page("/joiner/2/1").contains("It is fitted."));
    book.cancel("1", None, &shops::stamp()).unwrap();
    assert!(bench.page("/joiner/1/1").contains("It is cancelled."));
    for (path, said) in [
        ("/joiner/99/1", "there is no ticket 99"),
        ("/joiner/2/7", "ticket 2 has 1 copy, and no copy 7"),
    ] {
        let reply = bench.get(path);
        assert!(reply.status == 409 && reply.body.contains(said), "{path}: {}", reply.body);
    }
}

/// The ticket says what is joined and what is owed, and offers no cancelling of it.
#[test]
fn a_ticket_says_what_is_joined_and_owed_of_it() {
    let served = Served::new();
    let counter = served.device(Role::Counter);
    served.book().cut_all(None, &shops::stamp()).unwrap();
    let page = counter.page("/ticket/1");
    assert!(page.contains("4 rails cut, 0 to cut<") && page.contains("CANCEL 1"), "{page}");
    served.book().make("1", None, Assembly::Joined, &shops::stamp()).unwrap();
    let page = counter.page("/ticket/1");
    assert!(page.contains("4 rails cut, 0 to cut; joined<"), "{page}");
    assert!(page.contains("keep it as a made frame") && !page.contains("CANCEL 1"), "{page}");
    let top = longpoint::book::Which { side: Some("top".to_owned()), ..Default::default() };
    served.book().spoil_frame("1", &top, &shops::stamp()).unwrap();
    let page = counter.page("/ticket/1");
    assert!(page.contains("3 rails cut, 0 to cut; owed: top<"), "{page}");
    // One rail is not rails.
    for side in ["left", "right"] {
        let which = longpoint::book::Which { side: Some(side.to_owned()), ..Default::default() };
        served.book().spoil_frame("1", &which, &shops::stamp()).unwrap();
    }
    let page = counter.page("/ticket/1");
    assert!(page.contains(": 1 rail cut, 0 to cut; owed: "), "{page}");
}

#[test]
fn what_is_not_complete_is_not_joined() {
    let served = Served::new();
    let refused = served.book().make("1", None, Assembly::Joined, &shops::stamp()).unwrap_err();
    assert!(shops::wrong(refused).contains("0 of 4 rails of copy 1 of 1 are cut"));
    let gone = served.book().make("99", None, Assembly::Fitted, &shops::stamp()).unwrap_err();
    assert!(shops::wrong(gone).contains("no copy of 99 is cut"));
}

#[test]
fn a_rail_to_be_made_anew_is_owed_and_the_frame_is_not_joined_any_more() {
    let served = Served::new();
    let mut book = served.book();
    book.cut_all(None, &shops::stamp()).unwrap();
    book.make("2", Some(1), Assembly::Joined, &shops::stamp()).unwrap();
    let bench = served.device(Role::Bench);
    let page = bench.page("/joiner/2/1");
    let remake = bench.form(&page, "/joiner/remake");
    assert_eq!(bench.press(&remake, &[]).status, 303);
    assert_eq!(book.bench().unwrap()[0].owed.len(), 1);
    let day = shops::TODAY;
    let of = book.in_work(day).unwrap().into_iter().find(|of| of.frame == "2").unwrap();
    assert_eq!((of.made, of.rails.len(), of.all), (None, 3, 4));
    // Undone, it is joined again.
    book.undo(None, &longpoint::book::Stamp { by: "the bench".to_owned(), ..shops::stamp() })
        .unwrap();
    let of = book.in_work(day).unwrap().into_iter().find(|of| of.frame == "2").unwrap();
    assert_eq!((of.made, of.rails.len()), (Some(Assembly::Joined), 4));
    shops::balanced(&book);
}

/// Whoever joined it was told to build the back of a floater out.
#[test]
fn what_stands_out_of_a_floater_is_not_built_out() {
    let mut files = shops::files();
    let mouldings = "moulding,width,rabbet,depth,stick,price,per,kind\n\
                     ASH,1,1/4,1/2,108,2.10,ft,\nFLT,3/8,,1 1/2,108,3,ft,floater\n";
    let frames = "frame,moulding,width,height,gap,thickness\n1,FLT,8,10,1/4,2\n2,ASH,8,10,,2\n";
    let rack = "stick,moulding,length\nS-1,ASH,108\nS-2,FLT,108\n";
    for (name, text) in [("mouldings.csv", mouldings), ("frames.csv", frames), ("rack.csv", rack)] {
        files.insert(name.to_owned(), text.into());
    }
    let dir = tempfile::tempdir().unwrap();
    let mut book = shops::begin(dir.path(), &files);
    shops::take(&mut book);
    drop(book);
    let served = Served::of(dir, Pace::default());
    let bench = served.device(Role::Bench);
    let page = bench.page("/joiner/1/1");
    assert!(page.contains("STANDS OUT") && !page.contains("Build the back"), "{page}");
    assert!(bench.page("/joiner/2/1").contains("Build the back out"));
}

#[test]
fn a_wrap_says_how_its_rails_run_and_where_its_odd_corner_is() {
    let served = Served::new();
    served.book().cut_all(None, &shops::stamp()).unwrap();
    let page = served.device(Role::Bench).page("/joiner/5/1");
    assert!(page.contains("the odd corner is"), "{page}");
}

#[test]
fn the_wall_turns_through_what_there_is_and_has_nothing_to_press() {
    let served = Served::new();
    let wall = served.device(Role::Wall);
    let mut seen = String::new();
    let mut path = "/wall".to_owned();
    for _ in 0..8 {
        let page = wall.page(&path);
        assert!(!page.contains("<form") && !page.contains("<button"), "{page}");
        let next = page.split("url=").nth(1).unwrap();
        path = next[..next.find('"').unwrap()].to_owned();
        seen += &page;
    }
    for word in ["Cut so far", "Next to fetch"] {
        assert!(seen.contains(word), "{word}: {seen}");
    }
    served.book().cut_all(None, &shops::stamp()).unwrap();
    let seen: String = (0..4).map(|page| wall.page(&format!("/wall?page={page}"))).collect();
    assert!(seen.contains("For the joiner"), "{seen}");
    // What is fitted waits for nobody.
    for (frame, made) in [("1", Assembly::Joined), ("2", Assembly::Joined), ("2", Assembly::Fitted)]
    {
        served.book().make(frame, None, made, &shops::stamp()).unwrap();
    }
    let seen: String = (0..4).map(|page| wall.page(&format!("/wall?page={page}"))).collect();
    assert!(seen.contains("For the fitter: <b>1</b>"), "{seen}");
}

/// It was said once, and whoever gave the frame out was told nothing.
#[test]
fn what_is_glued_is_not_given_out_before_it_holds() {
    let (served, _) = super::bench::demo();
    let mut book = served.book();
    book.cut_all(None, &shops::stamp()).unwrap();
    let at = |day: jiff::civil::Date| longpoint::book::Stamp {
        at: day.at(8, 0, 0, 0),
        ..shops::stamp()
    };
    let jobs: Vec<(String, u32)> = {
        let (at, jobs) = (book.bench().unwrap().remove(0), book.shop().unwrap().jobs);
        at.copies.into_iter().filter(|(id, _)| jobs.contains_key(id)).collect()
    };
    let ((new, copy), (old, other)) =
        (&jobs[0], jobs.iter().find(|(id, _)| *id != jobs[0].0).unwrap());
    let long_ago = shops::TODAY.checked_sub(jiff::Span::new().days(9)).unwrap();
    for made in [Assembly::Joined, Assembly::Fitted] {
        book.make(old, Some(*other), made, &at(long_ago)).unwrap();
        book.make(new, Some(*copy), made, &at(shops::TODAY)).unwrap();
    }
    let words = "it was joined at 2026-03-09 08:00, and is not hung or given out before 2026-03-10";
    let counter = served.device(Role::Counter);
    let page = counter.page(&format!("/ticket/{new}"));
    assert!(page.contains(words), "{page}");
    let page = served.device(Role::Bench).page(&format!("/joiner/{new}/{copy}"));
    assert!(page.contains(words), "{page}");
    let page = counter.page(&format!("/ticket/{old}"));
    assert!(!page.contains("given out before"), "{page}");
}

/// How many cuts the wall says are made, of how many.
fn made(wall: &Visitor) -> (usize, usize) {
    let page = wall.page("/wall?page=0");
    let (_, said) = page.split_once("saw: <b>").unwrap();
    let (made, rest) = said.split_once(" of ").unwrap();
    (made.parse().unwrap(), rest.split_once("</b>").unwrap().0.parse().unwrap())
}

/// The wall forgot the cuts of a stick once the rest of a ticket on it was cancelled, or its
/// rest planned again.
#[test]
fn what_was_cut_stays_cut_on_the_wall_when_the_rest_is_cancelled() {
    let served = Served::new();
    let wall = served.device(Role::Wall);
    let mut book = served.book();
    let at = book.bench().unwrap().remove(0);
    let all: usize = at.sticks.iter().map(|stick| stick.lay.rails.len()).sum();
    assert_eq!(made(&wall), (0, all));
    let own = at.sticks.iter().find(|stick| stick.lay.stick == "S-1").unwrap().lay.clone();
    let other = own.rails.iter().rfind(|rail| rail.frame != own.rails[0].frame).unwrap();
    book.cut("S-1", Some(2), &shops::stamp()).unwrap();
    assert_eq!(made(&wall), (2, all));
    book.cancel(&other.frame, None, &shops::stamp()).unwrap();
    let (done, left) = made(&wall);
    assert!(done == 2 && left < all, "{done} of {left}, of {all} before");
    // Nor are they forgotten when the rest is planned again, or nothing of it is cut.
    book.spoil("S-1", 1, &shops::stamp()).unwrap();
    let draft = book.day(None).unwrap().draft(&shops::limits()).unwrap();
    book.replan(&draft, shops::TODAY, &shops::stamp()).unwrap();
    assert_eq!(made(&wall).0, 3);
    for frame in book.shop().unwrap().frames {
        let _ = book.cancel(&frame.id, None, &shops::stamp());
    }
    assert_eq!(made(&wall), (3, 3));
}

/// Over what "adds up to 1/2 in" stood that it is 15/32 in thick: a thickness is never less than
/// it is, wherever the page says it.
#[test]
fn a_package_is_as_thick_over_its_job_as_in_it() {
    let (served, _) = super::bench::demo();
    let page = served.device(Role::Bench).page("/joiner/4101/1");
    assert!(page.contains("adds up to 1/2 in"), "{page}");
    assert_eq!(page.matches("1/2 in (12.1 mm) thick").count(), 2, "{page}");
}
