//! The steps of the day, and undo.

use longpoint::book::Role;

use super::served::Served;
use super::shops;

#[test]
fn the_last_step_is_undone_once_however_often_it_is_pressed() {
    let served = Served::new();
    served.book().cut("S-1", Some(1), &shops::stamp()).unwrap();
    let before = served.book().version().unwrap();
    let office = served.device(Role::Office);
    let page = office.page("/steps?day=2026-03-09");
    assert!(page.contains("<b>cut</b>") && page.contains("by Ana"), "{page}");
    let undo = office.form(&page, "/undo");
    let first = office.press(&undo, &[]);
    let again = office.press(&undo, &[]);
    assert_eq!((first.status, first.header("location")), (303, again.header("location")));
    assert_eq!(first.header("location"), format!("/steps?step={}", before + 1));
    assert_eq!(served.book().version().unwrap(), before + 1, "one step, once");
    let page = office.page(first.header("location"));
    assert!(page.contains("Done: <b>undo</b>"), "{page}");
}

#[test]
fn who_undoes_what_is_not_the_last_is_told_what_came_since() {
    let served = Served::new();
    let office = served.device(Role::Office);
    served.book().cut("S-1", Some(1), &shops::stamp()).unwrap();
    let undo = office.form(&office.page("/steps?day=2026-03-09"), "/undo");
    served.book().cut("S-1", Some(2), &shops::stamp()).unwrap();
    let refused = office.press(&undo, &[]);
    assert_eq!(refused.status, 409);
    assert!(refused.body.contains("is not the last"), "{}", refused.body);
    assert!(refused.body.contains("href=\"/steps\""), "the way back: {}", refused.body);
}
