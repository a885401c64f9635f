//! Tickets that change while they are at the bench.

use longpoint::book::{Assembly, Book, Delivery, RackQuery, RailState};
use longpoint::measure::Length;
use longpoint::morning::plan_as_wished;
use longpoint::plan::Wishes;
use longpoint::rails::Side;
use longpoint::shop::Flaw;
use longpoint::verify::verify;

use super::shops::{TODAY, balanced, begin, files, inches, limits, read, stamp, take, wrong};

/// A customer cancels: nothing more is cut for her, what is cut is spare, the stick
/// that was laid out for her alone is free, and everybody else's day goes on.
#[test]
fn a_customer_cancels_while_her_frame_is_cut() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = files();
    let frames =
        "frame,moulding,width,height,match\n1,ASH,8,10,any\n2,OAK,12,16,stick\n3,OAK,10,10,stick\n";
    files.insert("frames.csv".to_owned(), frames.as_bytes().to_vec());
    let rack = "stick,moulding,length\nS-1,ASH,60\nS-2,OAK,72\nS-3,OAK,60\n";
    files.insert("rack.csv".to_owned(), rack.as_bytes().to_vec());
    let mut book = begin(dir.path(), &files);
    take(&mut book);
    book.cut("S-1", Some(1), &stamp()).unwrap();
    let before = (book.bench().unwrap(), book.rack(&RackQuery::default()).unwrap());
    let cancelled = book.cancel("1", None, &stamp()).unwrap();
    balanced(&book);
    assert_eq!((cancelled.copies.as_slice(), cancelled.spare.len()), (&[1][..], 1));
    let spare = book.spare().unwrap();
    assert_eq!((spare.len(), spare[0].0.stick.as_str()), (1, "S-1"));
    book.undo(None, &stamp()).unwrap();
    assert_eq!((book.bench().unwrap(), book.rack(&RackQuery::default()).unwrap()), before);
    book.cancel("1", None, &stamp()).unwrap();
    book.cancel("2", None, &stamp()).unwrap();
    let free = |name: &str| {
        let rack = book.rack(&RackQuery::default()).unwrap();
        rack.iter().find(|on| on.stick.id == name).unwrap().job.is_none()
    };
    assert!(free("S-2") && !free("S-3"), "a stick of nobody's is free, the other is not");
    let refused = wrong(book.cancel("2", None, &stamp()).unwrap_err());
    assert!(refused.contains("nothing of frame 2 is left to cancel"), "{refused}");
    book.cut_all(None, &stamp()).unwrap();
    let finished = book.finish(None, ("", false), &stamp()).unwrap();
    assert_eq!(finished.chopped, [("3".to_owned(), 1)]);
    assert!(finished.owed.is_empty() && finished.back.is_empty());
    assert!(book.snapshot().unwrap().shop.frames.is_empty(), "nothing of them comes back");
    let refused = wrong(book.cancel("3", None, &stamp()).unwrap_err());
    assert!(refused.contains("nothing of frame 3"), "{refused}");
    // The spare rail is written off, and nobody is owed it.
    book.spoil_frame("1", &longpoint::book::Which::default(), &stamp()).unwrap();
    assert!(book.spare().unwrap().is_empty() && book.owed().unwrap().is_empty());
    balanced(&book);
}

/// She cancels when her frame is joined: its rails are in it, and nobody else's.
#[test]
fn what_is_joined_is_nobody_elses() {
    let mut files = files();
    let head = "frame,moulding,width,height,copies\n";
    let frames = |size: &str| format!("{head}1,ASH,8,10,1\n2,OAK,{size},2\n");
    files.insert("frames.csv".to_owned(), frames("8,10").into_bytes());
    let rack = "stick,moulding,length\nS-1,ASH,60\nS-2,OAK,60\nS-3,OAK,60\n";
    files.insert("rack.csv".to_owned(), rack.as_bytes().to_vec());
    for made in [Assembly::Joined, Assembly::Fitted] {
        let dir = tempfile::tempdir().unwrap();
        let mut book = begin(dir.path(), &files);
        take(&mut book);
        book.cut_all(None, &stamp()).unwrap();
        book.make("1", None, made, &stamp()).unwrap();
        let refused = wrong(book.cancel("1", None, &stamp()).unwrap_err());
        assert!(refused.contains("copy 1 is joined"), "{refused}");
        assert!(refused.contains("keep it as a made frame"), "{refused}");
        // Of two copies the other one is cancelled, and its loose rails are spare.
        book.make("2", Some(2), made, &stamp()).unwrap();
        let cancelled = book.cancel("2", None, &stamp()).unwrap();
        assert_eq!((cancelled.copies, cancelled.made), (vec![1], vec![2]));
        let spare = book.spare().unwrap();
        assert!(spare.len() == 4 && spare.iter().all(|(_, rail)| rail.copy == 1), "{spare:?}");
        book.undo(None, &stamp()).unwrap();
        // Nor does another size unglue it.
        let mut other = files.clone();
        other.insert("frames.csv".to_owned(), frames("8,12").into_bytes());
        let refused = wrong(book.refresh((&read(&other), &other), &stamp()).unwrap_err());
        assert!(refused.contains("copy 2 of frame 2 is joined"), "{refused}");
        let size = (inches("8"), inches("12"));
        let refused = wrong(book.change_ticket("1", (Some(size), None), &stamp()).unwrap_err());
        assert!(refused.contains("copy 1 of frame 1 is joined"), "{refused}");
        let finished = book.finish(None, ("", false), &stamp()).unwrap();
        assert_eq!(finished.chopped.len(), 3);
        assert!(book.spare().unwrap().is_empty());
        balanced(&book);
    }
}

/// Two frames that share one stick with those of others, before anything is cut.
fn shared(dir: &std::path::Path, frames: &str, rack: &str) -> Book {
    let mut files = files();
    files.insert("frames.csv".to_owned(), frames.as_bytes().to_vec());
    files.insert("rack.csv".to_owned(), rack.as_bytes().to_vec());
    let mut book = begin(dir, &files);
    take(&mut book);
    book
}

/// What is still to be cut of a stick: of which frame, which side, and where from.
fn to_cut(book: &Book, stick: &str) -> Vec<(String, Side, Length)> {
    let bench = book.bench().unwrap().remove(0);
    let own = bench.sticks.into_iter().find(|own| own.lay.stick == stick).unwrap();
    let gone = own.lay.length - own.left;
    let open = own.lay.rails.into_iter().filter(|rail| rail.state == RailState::ToCut);
    open.map(|rail| (rail.frame, rail.side, rail.from - gone)).collect()
}

/// Where she shares a stick with others, theirs stay on it in their order and close up
/// where hers were, whether something is cut of it or not: nothing is owed, nothing is
/// planned again, and more is left under the label that it had.
#[test]
fn a_cancelled_frame_leaves_no_hole_on_a_stick() {
    let frames = "frame,moulding,width,height,copies\n1,ASH,8,10,2\n2,ASH,8,12,1\n";
    for cuts in 0..12 {
        let dir = tempfile::tempdir().unwrap();
        let mut book = shared(dir.path(), frames, "stick,moulding,length\nS-1,ASH,160\n");
        if cuts > 0 {
            book.cut("S-1", Some(cuts), &stamp()).unwrap();
        }
        let before = (book.bench().unwrap(), book.rack(&RackQuery::default()).unwrap());
        let was = to_cut(&book, "S-1");
        let label = before.0[0].sticks[0].lay.label.clone();
        let theirs: Vec<_> = was.iter().filter(|(frame, ..)| frame == "2").cloned().collect();
        let cancelled = book.cancel("1", None, &stamp()).unwrap();
        balanced(&book);
        assert!(cancelled.replaced.is_empty(), "after {cuts}: {cancelled:?}");
        let bench = book.bench().unwrap().remove(0);
        assert!(bench.owed.is_empty(), "after {cuts}: {bench:?}");
        if theirs.is_empty() || theirs.len() == was.len() {
            assert!(cancelled.closed.is_empty(), "after {cuts}: {cancelled:?}");
            continue;
        }
        let [closed] = cancelled.closed.as_slice() else { panic!("{cancelled:?}") };
        let now = to_cut(&book, "S-1");
        let plain = |all: &[(String, Side, Length)]| -> Vec<(String, Side)> {
            all.iter().map(|(frame, side, _)| (frame.clone(), *side)).collect()
        };
        assert_eq!(plain(&now), plain(&theirs), "after {cuts}");
        assert!(now.iter().zip(&theirs).all(|(now, was)| now.2 <= was.2), "{now:?} {was:?}");
        assert_eq!((&closed.left.label, closed.left.keep), (&label, true));
        book.undo(None, &stamp()).unwrap();
        assert_eq!((book.bench().unwrap(), book.rack(&RackQuery::default()).unwrap()), before);
        book.cancel("1", None, &stamp()).unwrap();
        let cut = book.cut_all(None, &stamp()).unwrap();
        let [(kept, long)] = cut[0].kept.as_slice() else { panic!("{cut:?}") };
        assert_eq!((kept, *long), (&label, closed.left.length), "in one piece");
        assert_eq!(book.finish(None, ("", false), &stamp()).unwrap().chopped.len(), 1);
        balanced(&book);
    }
}

/// Of eight rails the four long ones are laid first; without them the others begin where
/// those did, and all that they took is left beyond.
#[test]
fn what_stays_on_a_stick_moves_up_to_its_end() {
    let dir = tempfile::tempdir().unwrap();
    let frames = "frame,moulding,width,height\n1,ASH,8,8\n2,ASH,12,12\n";
    let mut book = shared(dir.path(), frames, "stick,moulding,length\nS-1,ASH,120\n");
    let was = to_cut(&book, "S-1");
    assert!(was[..4].iter().all(|(frame, ..)| frame == "2"), "{was:?}");
    let remains = book.bench().unwrap()[0].sticks[0].lay.remains;
    book.cancel("2", None, &stamp()).unwrap();
    let now = to_cut(&book, "S-1");
    let moved: Vec<Length> = now.iter().zip(&was[4..]).map(|(now, was)| was.2 - now.2).collect();
    let first = was[0].2;
    assert_eq!(now[0].2, first, "where the first of all began");
    assert!(moved.iter().all(|by| *by == was[4].2 - first), "{moved:?}");
    let lay = book.bench().unwrap().remove(0).sticks.remove(0).lay;
    assert_eq!(lay.remains, remains + moved[0], "all that was hers is left in one piece");
}

/// A flaw parts a stick: what lies beyond it stays beyond it, and what is kept before it
/// grows. A flaw that was found since under a rail of theirs leaves it owed, as before.
#[test]
fn a_flaw_stays_where_it_is() {
    let frames = "frame,moulding,width,height\n1,ASH,8,8\n2,ASH,12,12\n";
    let rack = "stick,moulding,length,flaws\nS-1,ASH,120,58 .. 60\n";
    let dir = tempfile::tempdir().unwrap();
    let mut book = shared(dir.path(), frames, rack);
    for frame in ["1", "2"] {
        let was = to_cut(&book, "S-1");
        let cancelled = book.cancel(frame, None, &stamp()).unwrap();
        assert!(cancelled.replaced.is_empty() && cancelled.closed.len() == 1, "{cancelled:?}");
        let now = to_cut(&book, "S-1");
        let beyond = |all: &[(String, Side, Length)]| {
            let theirs = all.iter().filter(|(of, ..)| of != frame);
            theirs.map(|(.., from)| *from > inches("58")).collect::<Vec<bool>>()
        };
        assert_eq!(beyond(&now), beyond(&was), "{was:?} {now:?}");
        book.undo(None, &stamp()).unwrap();
    }
    // Found since, where the first of them lies.
    let was = to_cut(&book, "S-1");
    let other = if was[0].0 == "1" { "2" } else { "1" };
    let found = Flaw { from: inches("3"), to: inches("4") };
    book.flaw("S-1", &[found], &stamp()).unwrap();
    let cancelled = book.cancel(other, None, &stamp()).unwrap();
    assert_eq!(
        (cancelled.replaced.as_slice(), cancelled.closed.len()),
        (&["S-1".to_owned()][..], 0)
    );
    assert!(!book.bench().unwrap()[0].owed.is_empty());
    let draft = book.day(None).unwrap().draft(&limits()).unwrap();
    book.replan(&draft, TODAY, &stamp()).unwrap();
    assert!(book.bench().unwrap()[0].owed.is_empty());
    balanced(&book);
}

/// A promise that the plan does not keep stands until the ticket is promised for that day
/// no more, is over, or is planned anew.
#[test]
fn a_promise_that_is_not_kept_stands_until_it_is_answered() {
    let dir = tempfile::tempdir().unwrap();
    let frames = "frame,moulding,width,height,due,promised\n1,ASH,8,8,,\n2,OAK,12,12,2026-03-10,yes\n\
                  3,OAK,8,8,2026-03-11,yes\n";
    let mut book = shared(dir.path(), frames, "stick,moulding,length\nS-1,ASH,120\n");
    let stand = |book: &Book| -> Vec<String> {
        let all = book.broken_promises().unwrap();
        assert!(
            all.iter().all(|(id, words)| words.contains(&format!("not kept: {id}"))),
            "{all:?}"
        );
        all.into_iter().map(|(frame, _)| frame).collect()
    };
    assert_eq!(stand(&book), ["2", "3"]);
    book.cut_all(None, &stamp()).unwrap();
    book.finish(None, ("", false), &stamp()).unwrap();
    assert_eq!(stand(&book), ["2", "3"], "the day is over, and it is not answered");
    let later = Some(jiff::civil::date(2026, 3, 20));
    book.change_ticket("2", (None, later), &stamp()).unwrap();
    assert_eq!(stand(&book), ["3"], "another day is wanted");
    book.undo(None, &stamp()).unwrap();
    book.cancel("3", None, &stamp()).unwrap();
    assert_eq!(stand(&book), ["2"]);
    // Its moulding comes, and it is planned anew.
    let came = Delivery {
        moulding: "OAK".to_owned(),
        lengths: vec![inches("120")],
        lot: String::new(),
        place: String::new(),
        flaws: Vec::new(),
        line: None,
    };
    book.receive(&came, &stamp()).unwrap();
    assert_eq!(stand(&book), ["2"], "not before it is planned");
    take(&mut book);
    assert!(stand(&book).is_empty());
    book.undo(None, &stamp()).unwrap();
    assert_eq!(stand(&book), ["2"], "as before");
}

/// Tickets change while they are at the bench, each as far as it can: what is cut of
/// them is spare, and serves them where it still fits.
#[test]
fn tickets_change_while_they_are_cut() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = files();
    let head = "# the week\nframe,moulding,width,height,copies,due,match\n";
    let mut write = |rows: &str| {
        files.insert("frames.csv".to_owned(), format!("{head}{rows}").into_bytes());
        files.clone()
    };
    let rack = "stick,moulding,length\nS-1,ASH,60\nS-2,ASH,120\nS-3,OAK,120\n";
    let mut first = write("1,ASH,8,10,1,2026-03-09,stick\n2,ASH,8,12,2,2026-03-10,any\n");
    first.insert("rack.csv".to_owned(), rack.as_bytes().to_vec());
    let mut book = begin(dir.path(), &first);
    take(&mut book);
    book.cut_all(None, &stamp()).unwrap();
    let refresh = |book: &mut longpoint::book::Book, files: &super::shops::Files| {
        let refreshed = book.refresh((&read(files), files), &stamp()).unwrap();
        balanced(book);
        refreshed
    };
    // An inch wider: two of its rails are as long as before, and nobody cuts those again.
    let wider = write("1,ASH,9,10,1,2026-03-09,any\n2,ASH,8,12,2,2026-03-10,any\n");
    let refreshed = refresh(&mut book, &wider);
    assert!(refreshed.kept.is_empty());
    let [(id, changed)] = refreshed.changed.as_slice() else { panic!("{refreshed:?}") };
    assert_eq!((id.as_str(), changed.copies.as_slice(), changed.spare.len()), ("1", &[1][..], 4));
    assert_eq!(book.bench().unwrap()[0].copies.len(), 2, "the other's day goes on");
    let snapshot = book.snapshot().unwrap();
    let plan = plan_as_wished(&snapshot.shop, TODAY, &Wishes::default(), limits()).unwrap();
    verify(&snapshot.shop, &plan).unwrap();
    assert_eq!(plan.spares.len(), 2);
    book.undo(None, &stamp()).unwrap();
    assert_eq!(book.bench().unwrap()[0].copies.len(), 3);
    assert!(book.spare().unwrap().is_empty(), "all that it changed is as it was");
    // Another moulding: nothing of it fits, and all four are written off one by one.
    let other = write("1,OAK,8,10,1,2026-03-09,any\n2,ASH,8,12,2,2026-03-10,any\n");
    assert_eq!(refresh(&mut book, &other).changed[0].1.spare.len(), 4);
    let snapshot = book.snapshot().unwrap();
    let plan = plan_as_wished(&snapshot.shop, TODAY, &Wishes::default(), limits()).unwrap();
    assert!(plan.spares.is_empty() && plan.today[0].moulding == "OAK");
    let label = book.spare().unwrap()[0].1.spare_label();
    assert_eq!(book.scrap(&[label.to_lowercase()], &stamp()).unwrap()[0].stick.id, label);
    assert_eq!(book.spare().unwrap().len(), 3);
    // One copy less, though it is cut; then it is wanted again, and is on the pile.
    let fewer = write("1,OAK,8,10,1,2026-03-09,any\n2,ASH,8,12,1,2026-03-10,any\n");
    let refreshed = refresh(&mut book, &fewer);
    assert_eq!(refreshed.changed[0].1.copies, [2]);
    assert_eq!(refreshed.changed[0].1.spare.len(), 4);
    let more = write("1,OAK,8,10,1,2026-03-09,any\n2,ASH,8,12,3,2026-03-04,any\n");
    assert!(refresh(&mut book, &more).changed.is_empty());
    let pile = book.snapshot().unwrap().shop.frame("2").unwrap().clone();
    assert_eq!(pile.pending().collect::<Vec<_>>(), [2, 3]);
    assert_eq!(pile.due, Some(jiff::civil::date(2026, 3, 4)), "and it is due sooner");
    assert_eq!(book.finish(None, ("", false), &stamp()).unwrap().chopped, [("2".to_owned(), 1)]);
    let taken = take(&mut book);
    assert_eq!(taken.plan.spares_today().count(), 6, "one copy, and half of the other");
    balanced(&book);
}

/// A ticket that is cut and is in the folder no more stays, and keeps no other from
/// changing; what is owed of a changed one is owed no more.
#[test]
fn a_folder_is_taken_over_ticket_by_ticket() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = files();
    let head = "# the week\nframe,moulding,width,height,due,note\n";
    let rows = "1,ASH,8,10,2026-03-09,blue\n";
    let rack = "stick,moulding,length\nS-1,ASH,60\n";
    files.insert("frames.csv".to_owned(), format!("{head}{rows}").into_bytes());
    files.insert("rack.csv".to_owned(), rack.as_bytes().to_vec());
    let mut book = begin(dir.path(), &files);
    take(&mut book);
    let changed = "2,ASH,8,8,,\n3,OAK,8,8,,\n";
    files.insert("frames.csv".to_owned(), format!("{head}{changed}").into_bytes());
    let refreshed = book.refresh((&read(&files), &files), &stamp()).unwrap();
    assert_eq!(refreshed.new, ["2", "3"]);
    let [kept] = refreshed.kept.as_slice() else { panic!("{refreshed:?}") };
    assert!(kept.contains("frame 1 is at the bench"), "{kept}");
    assert_eq!(book.shop().unwrap().frame("1").unwrap().width, inches("8"), "as it is cut");
    assert_eq!(book.snapshot().unwrap().shop.frames.len(), 2);
    // A date is no other rails: it is taken over.
    let dated = "1,ASH,8,10,2026-03-11,blue\n2,ASH,8,8,,\n3,OAK,8,8,,\n";
    files.insert("frames.csv".to_owned(), format!("{head}{dated}").into_bytes());
    let refreshed = book.refresh((&read(&files), &files), &stamp()).unwrap();
    assert!(refreshed.kept.is_empty() && refreshed.new.is_empty());
    assert!(refreshed.changed.is_empty(), "it stays at the bench");
    assert_eq!(refreshed.begun, [("1".to_owned(), 1, 0)], "what changed of what is begun is named");
    book.cut("S-1", Some(3), &stamp()).unwrap();
    book.finish(None, ("", true), &stamp()).unwrap();
    assert_eq!(book.owed().unwrap().len(), 1);
    let wider = "1,ASH,9,10,2026-03-11,blue\n2,ASH,8,8,,\n";
    files.insert("frames.csv".to_owned(), format!("{head}{wider}").into_bytes());
    let refreshed = book.refresh((&read(&files), &files), &stamp()).unwrap();
    assert_eq!(refreshed.changed[0].1.spare.len(), 3);
    assert!(book.owed().unwrap().is_empty());
    assert_eq!(book.snapshot().unwrap().shop.frame("1").unwrap().left(), 1);
    balanced(&book);
}

/// A customer wants her frame larger, and sooner: the row of her ticket has it, what is cut
/// of it is spare, and it is planned anew. What else stands in the file stays as it was.
#[test]
fn a_ticket_has_another_size_or_day() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = files();
    let frames = "# the week\nframe,moulding,width,height,due,promised,match\n\
                  1,ASH,8,10,2026-03-12,yes,any\n2,OAK,12,16,,,stick\n";
    files.insert("frames.csv".to_owned(), frames.as_bytes().to_vec());
    let rack = "stick,moulding,length\nS-1,ASH,108\nS-2,OAK,72\n";
    files.insert("rack.csv".to_owned(), rack.as_bytes().to_vec());
    let mut book = begin(dir.path(), &files);
    take(&mut book);
    book.cut("S-1", Some(1), &stamp()).unwrap();
    let size = (inches("9 1/2"), inches("12"));
    let changed = book.change_ticket("1", (Some(size), Some(TODAY)), &stamp()).unwrap();
    assert_eq!((changed.changed.len(), changed.changed[0].1.spare.len()), (1, 1));
    let row = String::from_utf8(book.files().unwrap()["frames.csv"].clone()).unwrap();
    let expected = frames.replace("8,10,2026-03-12,yes", "9 1/2,12,2026-03-09,");
    assert_eq!(row, expected, "that row alone");
    let pile = book.snapshot().unwrap().shop;
    let frame = pile.frame("1").unwrap();
    assert_eq!((frame.left(), frame.promised, frame.due), (1, false, Some(TODAY)));
    balanced(&book);
    book.undo(None, &stamp()).unwrap();
    assert_eq!(book.files().unwrap()["frames.csv"], frames.as_bytes());
    assert!(book.snapshot().unwrap().shop.frames.is_empty(), "at the bench again");
    // The day alone leaves it where it is.
    book.change_ticket("1", (None, Some(TODAY)), &stamp()).unwrap();
    assert!(book.bench().unwrap()[0].copies.contains(&("1".to_owned(), 1)));
    for (id, what, why) in [
        ("1", (None, Some(TODAY)), "is of that size and wanted then already"),
        ("9", (Some(size), None), "9"),
    ] {
        let refused = wrong(book.change_ticket(id, what, &stamp()).unwrap_err());
        assert!(refused.contains(why), "{id}: {refused}");
    }
}
