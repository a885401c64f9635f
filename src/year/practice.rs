//! Ways to cut, and what one does on a day.

use std::collections::BTreeSet;

use jiff::civil::Date;

use super::by_hand::{HandRule, cut};
use super::customers::Customer;
use crate::morning::plan;
use crate::plan::{CutStick, Owed};
use crate::rails::frame_rails;
use crate::shop::{Frame, Shop};
use crate::solve::Limits;
use crate::verify::{Fault, Verified, remade};

/// A way to cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Practice {
    /// Each frame by itself, as it comes: from the tightest piece that gives it whole,
    /// else from a new stick.
    FrameByFrame,
    /// All of the day together, rails longest first, each in the tightest place.
    ByHand,
    /// The same of the mouldings of which a frame must be cut, and those that are tied to
    /// them: the others wait, as in the planner (`planner/patience.rs`).
    HandWaiting,
    /// The morning's plan of all that is on the pile.
    Planned,
    /// The same of the mouldings of which a frame must be cut: the others wait.
    Waiting,
}

impl Practice {
    /// All of them, the plainest first.
    pub const ALL: [Practice; 5] = [
        Practice::FrameByFrame,
        Practice::ByHand,
        Practice::HandWaiting,
        Practice::Planned,
        Practice::Waiting,
    ];

    /// What it is called.
    pub const fn words(self) -> &'static str {
        match self {
            Practice::FrameByFrame => "frame by frame",
            Practice::ByHand => "by hand at its best",
            Practice::HandWaiting => "by hand, with waiting",
            Practice::Planned => "the plan, every day",
            Practice::Waiting => "the plan, with waiting",
        }
    }

    /// The word for it where one is asked for.
    pub const fn word(self) -> &'static str {
        match self {
            Practice::FrameByFrame => "frame",
            Practice::ByHand => "hand",
            Practice::HandWaiting => "hand-waiting",
            Practice::Planned => "plan",
            Practice::Waiting => "plan-waiting",
        }
    }

    /// Which of the customers that wait are cut today.
    pub(super) fn chosen(self, waiting: &[&Customer], today: usize, patience: usize) -> Vec<Frame> {
        let frames = |chosen: &dyn Fn(&Customer) -> bool| {
            let chosen = waiting.iter().filter(|customer| chosen(customer));
            chosen.map(|customer| customer.frame.clone()).collect()
        };
        if !matches!(self, Practice::HandWaiting | Practice::Waiting) {
            return frames(&|_| true);
        }
        let must =
            |customer: &Customer| customer.last <= today || customer.came + patience <= today;
        let due = waiting.iter().filter(|customer| must(customer));
        let mut begun: BTreeSet<&str> =
            due.flat_map(|customer| mouldings(&customer.frame)).collect();
        // What shares a moulding with one that must be cut is cut with it, and so on.
        loop {
            let before = begun.len();
            for customer in waiting {
                if mouldings(&customer.frame).any(|id| begun.contains(id)) {
                    begun.extend(mouldings(&customer.frame));
                }
            }
            if begun.len() == before {
                break;
            }
        }
        frames(&|customer| mouldings(&customer.frame).any(|id| begun.contains(id)))
    }

    /// What is cut of the frames of a shop on a day, checked. The rack begins with what
    /// is `there`; what follows on it is bought if it is cut.
    pub(super) fn cut(
        self,
        shop: &Shop,
        there: usize,
        date: Date,
        work: u64,
    ) -> Result<Verified<Vec<CutStick>>, Vec<Fault>> {
        let rule = match self {
            Practice::FrameByFrame => HandRule::FrameByFrame,
            Practice::ByHand | Practice::HandWaiting => HandRule::LongestFirst,
            Practice::Planned | Practice::Waiting => {
                let limits = Limits { work, deadline: None, stop: None, watch: None };
                let today = plan(shop, date, limits)?.into_inner().today;
                let owed = owed(shop, &today);
                return remade(shop, date, today, &owed);
            }
        };
        let sticks = cut(shop, there, rule).unwrap_or_default();
        remade(shop, date, sticks, &owed_of(shop, |_| true))
    }
}

fn mouldings(frame: &Frame) -> impl Iterator<Item = &str> {
    frame.layers.iter().map(|layer| layer.moulding.as_str())
}

/// All layers of the frames that a plan cuts.
fn owed(shop: &Shop, sticks: &[CutStick]) -> Vec<Owed> {
    let rails = sticks.iter().flat_map(|stick| &stick.rails);
    let cut: BTreeSet<&str> = rails.map(|rail| rail.frame.as_str()).collect();
    owed_of(shop, |frame| cut.contains(frame.id.as_str()))
}

fn owed_of(shop: &Shop, is_cut: impl Fn(&Frame) -> bool) -> Vec<Owed> {
    let mut owed = Vec::new();
    for frame in shop.frames.iter().filter(|frame| is_cut(frame)) {
        for (rails, layer) in frame_rails(shop, frame).into_iter().zip(&frame.layers) {
            let sides = rails.rails.iter().map(|rail| rail.side).collect();
            let (frame, match_, layer) = (frame.id.clone(), layer.match_, rails.layer);
            owed.push(Owed { frame, copy: 1, layer, sides, match_, like: None });
        }
    }
    owed
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use jiff::civil::date;

    use super::*;
    use crate::measure::Length;
    use crate::shop::{Stick, read_files};
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
        let mut shop = shop();
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
            let chosen = Practice::Waiting.chosen(&waiting, today, 2);
            let chosen: BTreeSet<String> = chosen.into_iter().map(|frame| frame.id).collect();
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
        assert!(waited > 10, "{waited}");
    }
}
