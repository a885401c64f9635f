//! The sheet in hand is the true one: what the bench prints after each event is what the
//! model still has to cut, stick by stick.

use std::collections::BTreeMap;

use longpoint::book::{BenchRail, RailState};
use longpoint::chop::of_sticks;
use longpoint::measure::Length;
use longpoint::plan::CutStick;

use super::super::Event;
use super::super::day::{self, Name};
use super::Walk;

/// A cut as it is printed: what, how long, and whether it is done.
type Printed = (Name, Length, bool);

impl Walk {
    /// Each stick that is laid out is on the sheet with its cuts in their order, those
    /// that are done ticked; nothing else is, and nothing twice.
    pub(super) fn sheet_is_true(&self, event: &Event) {
        let shop = self.shop();
        let mut printed: BTreeMap<String, Vec<Printed>> = BTreeMap::new();
        for plan in self.book.bench().unwrap() {
            let laid = plan.sticks.iter().filter(|stick| !stick.is_rest());
            let cards: Vec<CutStick> = laid.map(|stick| stick.card.clone()).collect();
            for steps in of_sticks(&cards, &shop).sticks() {
                let own = plan.sticks.iter().find(|own| own.lay.stick == steps.stick).unwrap();
                // A spare rail may be a side again that was to be cut from this stick as well.
                let state = |name: &Name, from: Length| {
                    let mut rails = own.lay.rails.iter();
                    let of = |rail: &BenchRail| {
                        let is = (rail.frame.clone(), rail.copy, rail.layer, rail.side);
                        is == *name && rail.from == from
                    };
                    rails.find(|rail| of(rail)).expect("it is on its stick").state
                };
                let cuts = steps.cuts.iter().map(|cut| {
                    let rail = &cut.rail;
                    let name = (rail.frame.clone(), rail.copy, rail.layer, rail.side);
                    let state = state(&name, rail.from);
                    (state != RailState::Off).then_some((
                        name,
                        rail.long_point,
                        state != RailState::ToCut,
                    ))
                });
                let cuts = cuts.flatten();
                let twice = printed.insert(steps.stick.clone(), cuts.collect());
                assert!(twice.is_none(), "after {event:?}: {} twice", steps.stick);
            }
        }
        let lays = self.model.day.iter().flat_map(|day| &day.lays).filter(|lay| lay.is_on);
        let mut expected: BTreeMap<String, Vec<Printed>> = BTreeMap::new();
        for lay in lays {
            let on = lay.rails.iter().filter(|rail| rail.state != day::State::Off);
            let cut = |rail: &day::Rail| {
                let is_done = rail.state != day::State::ToCut;
                (rail.name.clone(), rail.to - rail.from, is_done)
            };
            expected.insert(lay.stick.clone(), on.map(cut).collect());
        }
        assert_eq!(printed, expected, "after {event:?}");
    }
}
