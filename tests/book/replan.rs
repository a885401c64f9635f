//! The rest of a day planned again: around a flaw, a spoiled rail, too little left.

use longpoint::book::{Book, RackQuery};
use longpoint::morning::plan_as_wished;
use longpoint::plan::Wishes;
use longpoint::shop::{Flaw, read_folder_and_files};

use super::shops::{TODAY, balanced, begin, files, inches, limits, stamp, take, wrong};

#[test]
fn a_cut_over_a_flaw_is_refused_until_the_rest_is_planned_again() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let plan = take(&mut book).plan;
    let stick = &plan.today[0];
    book.cut(&stick.stick, Some(1), &stamp()).unwrap();
    let next = &stick.rails[1];
    let gone = stick.length
        - book
            .rack(&RackQuery::default())
            .unwrap()
            .iter()
            .find(|on| on.stick.id == stick.stick)
            .unwrap()
            .stick
            .length;
    let middle = next.from + inches("2") - gone;
    book.flaw(&stick.stick, &[Flaw { from: middle, to: middle + inches("1/2") }], &stamp())
        .unwrap();
    let refused = wrong(book.cut(&stick.stick, None, &stamp()).unwrap_err());
    assert!(
        refused.contains("lies on a flaw") && refused.contains("longpoint replan"),
        "{refused}"
    );
    let hit = book.bench().unwrap()[0].sticks.iter().map(|s| s.on_flaw.len()).sum::<usize>();
    assert_eq!(hit, 1);
    let draft = book.day(None).unwrap().draft(&limits()).unwrap();
    book.replan(&draft, TODAY, &stamp()).unwrap();
    assert!(book.bench().unwrap()[0].sticks.iter().all(|stick| stick.on_flaw.is_empty()));
    balanced(&book);
    book.cut_all(None, &stamp()).unwrap();
    book.finish(None, ("", false), &stamp()).unwrap();
    balanced(&book);
}

/// Only the stick with the spoiled rail changes, where that is as good as any.
#[test]
fn a_new_plan_for_the_rest_changes_no_stick_that_need_not() {
    let dir = tempfile::tempdir().unwrap();
    let demo = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("data/demo");
    let (shop, files) = read_folder_and_files(&demo).unwrap();
    let path = dir.path().join("shop.book");
    let mut book = Book::begin(&path, (&shop, &files), &stamp()).unwrap();
    let snapshot = book.snapshot().unwrap();
    let plan = plan_as_wished(
        &snapshot.shop,
        jiff::civil::date(2026, 11, 25),
        &Wishes::default(),
        limits(),
    )
    .unwrap();
    book.take(&snapshot, &plan, &stamp()).unwrap();
    book.cut("S-201", Some(2), &stamp()).unwrap();
    book.spoil("S-201", 3, &stamp()).unwrap();
    let draft = book.day(None).unwrap().draft(&limits()).unwrap();
    let [again] = draft.mouldings.as_slice() else { panic!("only one moulding is planned again") };
    assert_eq!(again.moulding, "BLK-20");
    let changed: Vec<&str> = again.sticks.iter().map(|stick| stick.stick.as_str()).collect();
    assert_eq!(changed, ["S-201"]);
    let others = plan.today.iter().filter(|s| s.moulding == "BLK-20" && s.stick != "S-201").count();
    assert_eq!(again.kept.len(), others);
}

/// A frame that runs round a corner is cut anew as a whole when one rail of it
/// is spoiled, and what was good of it is written off.
#[test]
fn a_wrapped_frame_is_cut_anew_as_a_whole() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = files();
    let frames = "frame,moulding,width,height,match\n5,OAK,10,10,wrap\n";
    files.insert("frames.csv".to_owned(), frames.as_bytes().to_vec());
    let mut book = begin(dir.path(), &files);
    let plan = take(&mut book).plan;
    let stick = plan.today[0].stick.clone();
    book.cut(&stick, Some(2), &stamp()).unwrap();
    book.spoil(&stick, 3, &stamp()).unwrap();
    let draft = book.day(None).unwrap().draft(&limits()).unwrap();
    assert_eq!(draft.set_aside.len(), 2);
    book.replan(&draft, TODAY, &stamp()).unwrap();
    balanced(&book);
    let bench = &book.bench().unwrap()[0];
    assert!(bench.owed.is_empty());
    let [again] = draft.mouldings.as_slice() else { panic!() };
    assert_eq!(again.sticks.len(), 1);
    assert_eq!(again.sticks[0].rails.len(), 4);
    book.cut_all(None, &stamp()).unwrap();
    book.finish(None, ("", false), &stamp()).unwrap();
    let audit = book.audit().unwrap();
    let side = again.sticks[0].rails[0].long_point;
    assert_eq!((audit.rails, audit.spoiled), (side * 4, side * 3));
}

/// Where there is not enough left, the frame that is wanted last goes back.
#[test]
fn with_too_little_left_the_least_urgent_frame_goes_back() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = files();
    let frames = "frame,moulding,width,height,due\n1,ASH,8,10,2026-03-09\n2,ASH,8,10,2026-03-20\n";
    files.insert("frames.csv".to_owned(), frames.as_bytes().to_vec());
    let rack = "stick,moulding,length\nS-1,ASH,96\n";
    files.insert("rack.csv".to_owned(), rack.as_bytes().to_vec());
    let mut book = begin(dir.path(), &files);
    let plan = take(&mut book).plan;
    assert_eq!(plan.today[0].rails.len(), 8);
    let first = plan.today[0].rails.iter().position(|rail| rail.frame == "1").unwrap() + 1;
    book.cut("S-1", Some(first), &stamp()).unwrap();
    book.spoil("S-1", first, &stamp()).unwrap();
    let draft = book.day(None).unwrap().draft(&limits()).unwrap();
    assert_eq!(draft.dropped, [("2".to_owned(), 1)].into());
    book.replan(&draft, TODAY, &stamp()).unwrap();
    balanced(&book);
    assert_eq!(book.bench().unwrap()[0].copies, [("1".to_owned(), 1)]);
    assert_eq!(book.snapshot().unwrap().shop.frames[0].id, "2");
    book.cut_all(None, &stamp()).unwrap();
    let finished = book.finish(None, ("", false), &stamp()).unwrap();
    assert_eq!(finished.chopped, [("1".to_owned(), 1)]);
    balanced(&book);
}
