//! Walks the book and the model through the same events.

mod bench;
mod people;
mod sheet;
mod stock;
mod suppliers;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use jiff::ToSpan;
use jiff::civil::Date;
use longpoint::book::{Book, BookError, RackQuery, Stamp};
use longpoint::measure::Length;
use longpoint::rails::{Rail, Side, rails_to_cut};
use longpoint::shop::Shop;

use super::super::shops::{Files, begin, files, read, stamp};
use super::Event;
use super::day::{Model, Name, Piece};

/// What happened.
#[derive(Debug, Default)]
pub struct Seen {
    pub steps: usize,
    pub done: BTreeMap<&'static str, usize>,
}

struct Walk {
    book: Book,
    /// The shop's files as they were first.
    files: Files,
    dir: tempfile::TempDir,
    model: Model,
    /// The last number under which rails of a frame became nobody's: none is given
    /// twice, whatever was undone.
    cast_off: BTreeMap<String, u32>,
    /// What the model was before each step that is not undone.
    before: Vec<(Model, String)>,
    stamp: Stamp,
    tickets: u32,
    crashes: usize,
    seen: Seen,
}

pub fn through(events: &[Event]) -> Seen {
    through_in(files(), events)
}

/// The same in a shop of these files.
pub fn through_in(files: Files, events: &[Event]) -> Seen {
    let dir = tempfile::tempdir().unwrap();
    let book = begin(dir.path(), &files);
    let shop = read(&files);
    let mut model = Model::default();
    for stick in &shop.rack {
        let (length, moulding, place) = (stick.length, stick.moulding.clone(), stick.place.clone());
        model.came += length;
        model.sticks.insert(stick.id.clone(), Piece { length, moulding, place, at_bench: false });
    }
    for frame in &shop.frames {
        model.pending.insert(frame.id.clone(), (1..=frame.copies).collect());
    }
    model.tickets = String::from_utf8(files["frames.csv"].clone()).unwrap();
    let (before, stamp) = (Vec::new(), stamp());
    let seen = Seen::default();
    let mut walk = Walk {
        book,
        files,
        dir,
        model,
        before,
        stamp,
        tickets: 100,
        crashes: 0,
        seen,
        cast_off: BTreeMap::new(),
    };
    for (number, event) in events.iter().enumerate() {
        walk.stamp.at = walk.stamp.at.checked_add(7.hours()).unwrap();
        walk.stamp.token = format!("press {number}");
        walk.live(event);
        walk.can_be_finished(event);
        walk.agree(event);
    }
    for (month, used) in walk.book.figures().unwrap().months {
        let none_below = [used.rails, used.spoiled, used.scrap, used.racked, used.bought];
        let least = none_below.into_iter().min().unwrap();
        assert!(least >= Length::ZERO && used.spoiled_rails >= 0, "{month}: {used:?}");
    }
    walk.seen
}

fn pick<T: Clone>(from: &[T], number: usize) -> Option<T> {
    if from.is_empty() { None } else { Some(from[number % from.len()].clone()) }
}

impl Walk {
    /// The day by the shop's clock: every event is some hours after the one before.
    fn today(&self) -> Date {
        self.stamp.at.date()
    }

    fn shop(&self) -> Shop {
        self.book.shop().unwrap()
    }

    fn live(&mut self, event: &Event) {
        let kept = self.model.clone();
        let what = match event {
            Event::Receive(length, count) => self.receive(*length, *count),
            Event::Tickets(size, alike) => self.tickets(*size, *alike),
            Event::Resize(ticket, size) => self.resize(*ticket, *size),
            Event::Take => self.take(),
            Event::Cut(stick, to) => self.cut(*stick, *to),
            Event::CutAll => self.cut_all(),
            Event::Spoil(stick, cut) => self.spoil(*stick, *cut),
            Event::Remake(rail, whole) => self.remake(*rail, *whole),
            Event::Flaw(stick, at) => self.flaw(*stick, *at),
            Event::Measure(stick, by) => self.measure(*stick, *by),
            Event::Lot(stick) => self.lot(*stick),
            Event::Cancel(copy) => self.cancel(*copy),
            Event::Replan => self.replan(),
            Event::Finish(rest_back) => self.finish(*rest_back),
            Event::PutBack => self.put_back(),
            Event::PutBackOne(copy) => self.put_back_one(*copy),
            Event::Make(copy, fitted) => self.make(*copy, *fitted),
            Event::Undo => return self.undo(),
            Event::Count(place, stick, length) => self.count(*place, *stick, *length),
            Event::Scrap(stick) => self.scrap(*stick),
            Event::Order => self.order(),
            Event::Deliver(line, count, short) => self.deliver(*line, *count, *short),
            Event::Drop(line) => self.give_up(*line),
            Event::DropSome(line, count) => self.give_up_some(*line, *count),
            Event::Confirm(line, days) => self.confirm(*line, *days),
            Event::Expect(line, days) => self.expect(*line, *days),
            Event::Rescue(length, cost) => self.rescue(*length, *cost),
            Event::Invoice(line, goods) => self.invoice(*line, *goods),
            Event::Crash => return self.crash(),
            Event::Again(what) => return self.again(*what),
            Event::Other => return self.other(),
        };
        match what {
            Some(what) => {
                self.before.push((kept, self.stamp.by.clone()));
                self.seen.steps += 1;
                *self.seen.done.entry(what).or_default() += 1;
            }
            None => self.model = kept,
        }
    }

    fn agree(&self, event: &Event) {
        let rack = self.book.rack(&RackQuery::default()).unwrap();
        let found: BTreeMap<String, Piece> = rack
            .into_iter()
            .map(|on| {
                let at_bench = on.job.is_some();
                let (length, moulding, place) =
                    (on.stick.length, on.stick.moulding, on.stick.place);
                (on.stick.id, Piece { length, moulding, place, at_bench })
            })
            .collect();
        let mut expected = self.model.sticks.clone();
        expected.retain(|_, piece| piece.length.is_positive());
        assert_eq!(found, expected, "after {event:?}");
        self.nothing_is_forgotten(event);
        self.sheet_is_true(event);
        self.what_is_made_stays_made(event);
        let snapshot = self.book.snapshot().unwrap();
        let pile = snapshot.shop.frames.iter();
        let mut pile: BTreeMap<String, BTreeSet<u32>> =
            pile.map(|frame| (frame.id.clone(), frame.pending().collect())).collect();
        for owed in &snapshot.debts.rails {
            pile.entry(owed.frame.clone()).or_default().insert(owed.copy);
        }
        for of in snapshot.debts.spares.iter() {
            pile.entry(of.frame.clone()).or_default().insert(of.copy);
        }
        pile.retain(|_, copies| !copies.is_empty());
        let mut pending = self.model.pending.clone();
        pending.retain(|_, copies| !copies.is_empty());
        assert_eq!(pile, pending, "after {event:?}");
        let bench = self.book.bench().unwrap();
        assert_eq!(bench.len(), usize::from(self.model.day.is_some()));
        let owed: BTreeSet<_> = bench
            .iter()
            .flat_map(|plan| &plan.owed)
            .map(|owed| (owed.frame.clone(), owed.copy, owed.layer, owed.side))
            .collect();
        assert_eq!(owed, self.model.owed(&self.shop()), "after {event:?}");
        let lines = self.book.open_lines().unwrap().into_iter();
        let lines: BTreeMap<i64, _> = lines
            .map(|l| (l.line, (l.moulding.clone(), l.to_come(), l.state, l.arrives, l.reference)))
            .collect();
        let open = self.model.placed.iter().filter(|(_, line)| line.is_open());
        let open: BTreeMap<i64, _> = open.map(|(line, of)| (*line, of.said())).collect();
        assert_eq!(lines, open, "after {event:?}");
        let months = self.book.figures().unwrap().months;
        let paid: i64 = months.iter().map(|(_, used)| used.paid.0).sum();
        assert_eq!(paid, self.model.paid, "after {event:?}");
        let audit = self.book.audit().unwrap();
        assert!(audit.balances(), "after {event:?}: {:?}", audit.faults);
        let sums = (audit.came, audit.rails, audit.spoiled);
        assert_eq!(
            sums,
            (self.model.came, self.model.rails, self.model.spoiled),
            "after {event:?}"
        );
    }

    /// Each rail of each copy is good, or at the bench, or planned as what it is: by
    /// the planner or before it, the missing ones or all of a layer.
    fn nothing_is_forgotten(&self, event: &Event) {
        let snapshot = self.book.snapshot().unwrap();
        let first = snapshot.debts.rails.iter().flat_map(|owed| {
            let name = |side: &Side| (owed.frame.clone(), owed.copy, owed.layer, *side);
            owed.sides.iter().map(name)
        });
        let mut planned: BTreeSet<Name> = first.collect();
        let spares = snapshot.debts.spares.iter();
        planned.extend(spares.map(|of| (of.frame.clone(), of.copy, of.layer, of.side)));
        for frame in &snapshot.shop.frames {
            for copy in frame.pending() {
                for layer in rails_to_cut(&snapshot.shop, frame, copy) {
                    let name = |rail: &Rail| (frame.id.clone(), copy, layer.layer, rail.side);
                    planned.extend(layer.rails.iter().map(name));
                }
            }
        }
        let at_bench =
            |of: &(String, u32)| self.model.day.as_ref().is_some_and(|day| day.copies.contains(of));
        let shop = self.shop();
        for frame in &shop.frames {
            for copy in 1..=frame.copies {
                let of = (frame.id.clone(), copy);
                if at_bench(&of) || self.model.cancelled.contains(&of) {
                    continue;
                }
                let all = Model::all_rails(&shop, &frame.id, copy);
                for layer in 1..=frame.layers.len() {
                    let own = all.iter().filter(|name| name.2 == layer);
                    let (wanted, others): (Vec<&Name>, Vec<&Name>) =
                        own.partition(|name| planned.contains(*name));
                    let good = |names: &[&Name]| {
                        names.iter().filter(|name| self.model.good.contains_key(**name)).count()
                    };
                    let anew = others.is_empty();
                    assert_eq!(good(&others), others.len(), "after {event:?}: {others:?}");
                    assert!(anew || good(&wanted) == 0, "after {event:?}: {wanted:?} twice");
                }
            }
        }
    }

    /// `None`, if the book rightly refuses.
    fn allowed<T>(&self, done: Result<T, BookError>, expected: bool) -> Option<T> {
        match done {
            Ok(done) => {
                assert!(expected, "the book should have refused");
                Some(done)
            }
            Err(error) => {
                assert!(error.is_wrong_input(), "{error}");
                assert!(!expected, "the book refused: {error}");
                None
            }
        }
    }

    /// The power goes in the middle of a change: the files as they lie on the
    /// disk are all that is left.
    fn crash(&mut self) {
        let writing = rusqlite::Connection::open(self.book.path()).unwrap();
        writing
            .execute_batch(
                "PRAGMA cache_size = 1; BEGIN IMMEDIATE;
             INSERT INTO step (at, who, what, why) VALUES ('', '', 'crash', '');
             INSERT INTO movement (step, stick, kind, nm) SELECT max(step.id), stick.id, 'scrap', -1
               FROM step, stick GROUP BY stick.id;",
            )
            .unwrap();
        self.crashes += 1;
        let to = self.dir.path().join(format!("after-{}.book", self.crashes));
        let end = |path: &Path, end: &str| {
            let mut name = path.as_os_str().to_owned();
            name.push(end);
            std::path::PathBuf::from(name)
        };
        for of in ["", "-wal"] {
            let from = end(self.book.path(), of);
            if from.exists() {
                std::fs::copy(from, end(&to, of)).unwrap();
            }
        }
        self.book = Book::open(&to).unwrap();
        *self.seen.done.entry("crash").or_default() += 1;
    }
}
