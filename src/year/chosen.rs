//! Who of the customers that wait is cut on a day: as in the planner
//! (`planner/patience.rs`), told a second time.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::customers::Customer;
use super::practice::Practice;
use super::simulate::{Course, Habits, YearFault};
use crate::plan::CutStick;
use crate::shop::{Frame, Shop};

/// Those that a practice cuts today: where they wait for one another, those of the
/// mouldings of which a frame must be cut, and those that use up no more today than is
/// expected later. Each packing may take so many steps of `work`.
///
/// # Errors
/// As [`simulate`](super::simulate::simulate).
pub(super) fn chosen<'a>(
    course: &Course,
    habits: Habits,
    waiting: &[&'a Customer],
    (today, date): (usize, Date),
    work: u64,
) -> Result<Vec<&'a Customer>, YearFault> {
    if !matches!(habits.practice, Practice::HandWaiting | Practice::Waiting) {
        return Ok(waiting.to_vec());
    }
    let patience = habits.patience as usize;
    let must = |one: &&&Customer| one.last <= today || one.came + patience <= today;
    let due = waiting.iter().filter(must);
    let begun = due.flat_map(|customer| mouldings(&customer.frame)).collect();
    let begun = tied_to(begun, waiting);
    let (mut cut, left): (Vec<&Customer>, Vec<&Customer>) =
        waiting.iter().partition(|one| mouldings(&one.frame).any(|id| begun.contains(id)));
    let later = course.shop.settings.days.later;
    let later = later.filter(|_| habits.practice == Practice::Waiting && !left.is_empty());
    if let Some(later) = later {
        let shop = course.opened(&left, (date, habits.lots));
        let today = habits.practice.cut(&shop, course.shop.rack.len(), date, work);
        let today = today.map_err(YearFault::Cuts)?;
        let dear = tied_to(dear(&shop, &today, later), &left);
        let is_cheap = |one: &&Customer| !mouldings(&one.frame).any(|id| dear.contains(id));
        cut.extend(left.into_iter().filter(is_cheap));
    }
    Ok(cut)
}

/// The mouldings of a frame.
fn mouldings(frame: &Frame) -> impl Iterator<Item = &str> {
    frame.layers.iter().map(|layer| layer.moulding.as_str())
}

/// Mouldings with those that customers want together with one of them, and so on.
fn tied_to<'a>(mut all: BTreeSet<&'a str>, waiting: &[&'a Customer]) -> BTreeSet<&'a str> {
    loop {
        let before = all.len();
        for customer in waiting {
            if mouldings(&customer.frame).any(|id| all.contains(id)) {
                all.extend(mouldings(&customer.frame));
            }
        }
        if all.len() == before {
            return all;
        }
    }
}

/// The mouldings of which these sticks use up more than their rails are expected to later.
fn dear<'a>(shop: &'a Shop, sticks: &[CutStick], later: u32) -> BTreeSet<&'a str> {
    let mut sums: BTreeMap<&str, (i128, i128)> = BTreeMap::new();
    for stick in sticks {
        let sum = sums.entry(&stick.moulding).or_default();
        let rails = stick.rails.iter().map(|rail| i128::from(rail.long_point.nm()));
        sum.0 += i128::from(stick.used_up().0);
        sum.1 += rails.sum::<i128>();
    }
    let is_dear = |(id, (used_up, rails)): (&str, (i128, i128))| {
        let moulding = shop.moulding(id);
        let (amount, per) = moulding.rate();
        let expected = rails * i128::from(amount.0) * i128::from(later);
        (used_up * i128::from(per.nm()) * 1000 > expected).then_some(moulding.id.as_str())
    };
    sums.into_iter().filter_map(is_dear).collect()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use jiff::civil::date;

    use super::*;
    use crate::measure::Length;
    use crate::morning::plan;
    use crate::shop::{Stick, read_files};
    use crate::solve::Limits;
    use crate::year::LotSpan;
    use crate::year::customers::Tickets;

    /// Three mouldings, two of which are tied by a stack.
    fn shop() -> Shop {
        let file = |name: &str, text: &str| (name.to_owned(), text.as_bytes().to_vec());
        let files = BTreeMap::from([
            file(
                "shop.toml",
                "name = \"Tied\"\nunit = \"mm\"\nmark = \"1\"\nallowance = \"0\"\n\
                 currency = \"EUR\"\ndefault_cutter = \"saw\"\n\
                 [offcuts]\nkeep = \"300\"\nworth = \"0.5\"\n\
                 [days]\nopen = \"Mon .. Fri\"\npatience = \"2\"\n\
                 [cutter.saw]\nkerf = \"0\"\nnick = \"1\"\nfirst_trim = \"5\"\n\
                 last_trim = \"5\"\ngrip = \"0\"\nshortest = \"100\"\nstop = \"long\"\n",
            ),
            file(
                "mouldings.csv",
                "moulding,width,rabbet,stick,price,per\nA,20,10,3000,1.00,m\n\
                 B,20,10,3000,1.00,m\nC,20,10,3000,1.00,m\n",
            ),
            file(
                "frames.csv",
                "frame,layer,moulding,width,height\n1,1,A,300,200\n2,1,B,400,300\n\
                 3,1,C,250,350\n4,1,B,200,200\n4,2,C,,\n",
            ),
            file("rack.csv", "stick,moulding,length\n"),
        ]);
        read_files(&files).unwrap()
    }

    // What a simulated shop holds back is what the planner holds back that has sticks
    // enough: one rule, told twice.
    #[test]
    fn the_planner_lets_the_same_frames_wait() {
        let all = days_waited(None);
        assert!(all > 10, "{all}");
        let some = [1_020, 1_050, 1_100, 1_200, 1_400].map(|later| days_waited(Some(later)));
        assert!(some.iter().any(|some| (1..all).contains(some)), "{some:?} of {all}");
        assert_eq!(days_waited(Some(10_000)), 0, "for ten times its length nothing waits");
    }

    /// How many days all frames waited together, at a price of what is left to later.
    fn days_waited(later: Option<u32>) -> usize {
        let mut shop = shop();
        shop.settings.days.later = later;
        let tickets = Tickets::new(&shop, &shop.frames.clone());
        let days: Vec<Date> = (4..=29)
            .map(|day| date(2027, 1, day))
            .filter(|d| shop.settings.days.open.is_open(*d))
            .collect();
        let customers = tickets.customers(&days, (1, 4), (7, 0));
        let sticks = shop.mouldings.keys().flat_map(|id| {
            (0..40).map(move |number| Stick {
                id: format!("{id}{number}"),
                moulding: id.clone(),
                length: Length::from_mm(3_000),
                lot: String::new(),
                place: String::new(),
                flaws: Vec::new(),
                since: None,
            })
        });
        shop.rack = sticks.collect();
        let mut waiting: Vec<&Customer> = Vec::new();
        let mut coming = customers.all.iter().peekable();
        let mut waited = 0;
        for (today, day) in days.iter().enumerate() {
            while let Some(customer) = coming.next_if(|customer| customer.came <= today) {
                waiting.push(customer);
            }
            let (practice, rule) = (Practice::Waiting, None);
            let habits = Habits { practice, patience: 2, lots: LotSpan::Year, rule };
            let course = Course::new(&shop, habits);
            let chosen = chosen(&course, habits, &waiting, (today, *day), 100_000).unwrap();
            let chosen: BTreeSet<String> =
                chosen.into_iter().map(|customer| customer.frame.id.clone()).collect();
            let frames = waiting.iter().map(|customer| customer.frame.clone()).collect();
            let pile = Shop { frames, ..shop.clone() };
            let limits = Limits { work: 100_000, deadline: None, stop: None, watch: None };
            let planned = plan(&pile, *day, limits).unwrap();
            let rails = planned.today.iter().flat_map(|stick| &stick.rails);
            let cut: BTreeSet<String> = rails.map(|rail| rail.frame.clone()).collect();
            assert_eq!(cut, chosen, "on {day}");
            waiting.retain(|customer| !cut.contains(&customer.frame.id));
            waited += waiting.len();
        }
        waited
    }
}
