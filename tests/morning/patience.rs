//! Who waits for others, against rules written down a second time, and what that costs:
//! nothing of the day's proof, and nobody their date.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::{Date, date};
use longpoint::morning::{plan, plan_as_wished};
use longpoint::plan::{Part, Plan, WaitReason, Wishes};
use longpoint::rails::frame_rails;
use longpoint::shop::{Frame, Shop, read_files};
use longpoint::verify::verify;

use crate::numbers::Numbers;
use crate::ring;
use crate::support::LIMITS;

/// Mouldings that hang together, and the copies that ask for one of them.
type Tied<'a> = (BTreeSet<String>, Vec<(&'a Frame, u32)>);

/// A Thursday.
const TODAY: Date = date(2031, 3, 6);

/// Up to three mouldings, a rack that mostly has enough, frames of one layer or two.
fn drawn(chance: &mut Numbers) -> Shop {
    let file = |name: &str, text: String| (name.to_owned(), text.into_bytes());
    let hands = match chance.count(0, 2) {
        0 => format!("frames_a_day = \"{}\"\n", 1 + chance.count(0, 3)),
        _ => String::new(),
    };
    let (patience, bench) = (1 + chance.count(0, 3), chance.count(0, 2));
    let later = match chance.count(0, 1) {
        0 => String::new(),
        _ => format!(
            "later = \"{}\"\n",
            ["0.5", "0.7", "0.9", "1", "1.1", "1.3"][chance.count(0, 5) as usize]
        ),
    };
    let toml = format!(
        "name = \"Tiny\"\nunit = \"mm\"\nmark = \"1\"\nallowance = \"0\"\ncurrency = \"EUR\"\n\
         default_cutter = \"saw\"\n[offcuts]\nkeep = \"300\"\nworth = \"0.5\"\n\
         [days]\nopen = \"Mon .. Fri\"\nbench_days = \"{bench}\"\npatience = \"{patience}\"\n{hands}{later}\
         [cutter.saw]\nkerf = \"0\"\nnick = \"1\"\nfirst_trim = \"5\"\nlast_trim = \"5\"\n\
         grip = \"0\"\nshortest = \"100\"\nstop = \"long\"\n"
    );
    let kinds = 1 + chance.count(0, 2);
    let mut mouldings = "moulding,width,rabbet,stick,price,per\n".to_owned();
    let mut rack = "stick,moulding,length\n".to_owned();
    for kind in 0..kinds {
        mouldings += &format!("M{kind},20,10,3000,1.00,m\n");
        for stick in 0..chance.count(0, 4) {
            rack += &format!("S{kind}{stick},M{kind},{}\n", 900 + chance.count(0, 2099));
        }
    }
    let mut frames = "frame,layer,moulding,width,height,copies,due,came\n".to_owned();
    for number in 1..=1 + chance.count(0, 4) {
        let due = (chance.count(0, 8) > 0)
            .then(|| TODAY.checked_add(jiff::Span::new().days(chance.within(0, 13))).unwrap());
        let came = (chance.count(0, 2) == 0)
            .then(|| TODAY.checked_sub(jiff::Span::new().days(chance.within(0, 4))).unwrap());
        let text = |day: Option<Date>| day.map(|day| day.to_string()).unwrap_or_default();
        let (width, height) = (120 + chance.count(0, 199), 120 + chance.count(0, 199));
        let kind = chance.count(0, i64::from(kinds) - 1);
        frames += &format!(
            "{number},1,M{kind},{width},{height},{},{},{}\n",
            1 + chance.count(0, 1),
            text(due),
            text(came)
        );
        if chance.count(0, 3) == 0 {
            frames += &format!("{number},2,M{},,,,,\n", chance.count(0, i64::from(kinds) - 1));
        }
    }
    let mut files = vec![
        file("shop.toml", toml),
        file("mouldings.csv", mouldings),
        file("frames.csv", frames),
        file("rack.csv", rack),
    ];
    if chance.count(0, 1) == 0 {
        let lead = chance.count(0, 5);
        files.push(file("suppliers.csv", format!("supplier,lead_days\nV,{lead}\n")));
        let offers: String =
            (0..kinds).map(|kind| format!("V,M{kind},length,3000,1.00,m\n")).collect();
        files.push(file(
            "offers.csv",
            format!("supplier,moulding,form,lengths,price,per\n{offers}"),
        ));
    }
    read_files(&files.into_iter().collect()).unwrap_or_else(|faults| panic!("{faults}"))
}

type Copy = (String, u32);

fn cut(plan: &Plan) -> BTreeSet<Copy> {
    let rails = plan.today.iter().flat_map(|stick| &stick.rails);
    rails.map(|rail| (rail.frame.clone(), rail.copy)).collect()
}

fn patient(plan: &Plan) -> BTreeMap<Copy, Date> {
    let by = |of: &longpoint::plan::Waiting| match of.reason {
        WaitReason::Patience { by, .. } => Some(((of.frame.clone(), of.copy), by)),
        _ => None,
    };
    plan.waiting.iter().filter_map(by).collect()
}

fn is_open(day: Date) -> bool {
    day.weekday().to_monday_zero_offset() < 5
}

/// The day so many open days after or before another.
fn open_day(from: Date, count: u32, step: fn(Date) -> Date) -> Date {
    let mut day = from;
    for _ in 0..count {
        day = step(day);
        while !is_open(day) {
            day = step(day);
        }
    }
    day
}

fn next(day: Date) -> Date {
    day.tomorrow().unwrap()
}

fn back(day: Date) -> Date {
    day.yesterday().unwrap()
}

/// The last day on which a frame can be begun in time.
fn begun_by(shop: &Shop, due: Date) -> Date {
    let last = if is_open(due) { due } else { open_day(due, 1, back) };
    open_day(last, shop.settings.days.bench_days, back)
}

/// Whether all that asks for a moulding uses up more of it today than so many thousandths
/// of its rails' length, which costs 1.00 a metre.
fn is_dear(shop: &Shop, eager: &Plan, id: &str, later: u32) -> bool {
    let of = eager.proof.iter().find(|of| of.moulding == id && of.part == Part::Today).unwrap();
    let rails: i128 = shop
        .frames
        .iter()
        .flat_map(|frame| {
            let of = frame_rails(shop, frame).into_iter().zip(&frame.layers);
            let of = of.filter(|(_, layer)| layer.moulding == id);
            of.flat_map(|(rails, _)| rails.rails)
                .map(|rail| i128::from(rail.long_point.nm()) * i128::from(frame.copies))
        })
        .sum();
    // A metre is 10^9 nm, and 1.00 is 10^5 thousandths of a cent.
    i128::from(of.used_up.0) * 1_000_000_000 * 1000 > rails * 100_000 * i128::from(later)
}

/// Who waits, of those that are cut where nobody does; by the words of the README. And how
/// many sets do not since they use up little today.
fn waits(shop: &Shop, plain: &Plan) -> (BTreeMap<Copy, Date>, usize) {
    let eager = &cut(plain);
    let tomorrow = open_day(TODAY, 1, next);
    let last = |frame: &Frame| {
        let due = frame.due?;
        let needed = begun_by(shop, due);
        if let Some(supplier) = shop.suppliers.get("V") {
            let sent = tomorrow.checked_add(jiff::Span::new().days(supplier.lead_days)).unwrap();
            let there = if is_open(sent) { sent } else { open_day(sent, 1, next) };
            if there > needed {
                return None;
            }
        }
        let patience = shop.settings.days.patience.unwrap();
        let tired = frame.came.map(|came| open_day(came, patience, next));
        let last = tired.map_or(needed, |tired| tired.min(needed));
        (last >= tomorrow).then_some(last)
    };
    let all: Vec<(&Frame, u32)> =
        shop.frames.iter().flat_map(|f| (1..=f.copies).map(move |n| (f, n))).collect();
    let of =
        |frame: &Frame| frame.layers.iter().map(|l| l.moulding.clone()).collect::<BTreeSet<_>>();
    let name = |(frame, copy): &(&Frame, u32)| (frame.id.clone(), *copy);
    // Everybody whose mouldings nobody else asks for that may not wait.
    let mut may: Vec<(&Frame, u32)> = all.clone();
    may.retain(|one| eager.contains(&name(one)) && last(one.0).is_some());
    loop {
        let before = may.len();
        let must: BTreeSet<String> =
            all.iter().filter(|one| !may.contains(one)).flat_map(|one| of(one.0)).collect();
        may.retain(|one| of(one.0).is_disjoint(&must));
        if may.len() == before {
            break;
        }
    }
    // Sets that share mouldings, each with its first day.
    let mut sets: Vec<Tied> = Vec::new();
    for one in may {
        let (tied, apart): (Vec<_>, Vec<_>) =
            sets.into_iter().partition(|(m, _)| !m.is_disjoint(&of(one.0)));
        let mut joined = (of(one.0), vec![one]);
        for (mouldings, copies) in tied {
            joined.0.extend(mouldings);
            joined.1.extend(copies);
        }
        sets = apart;
        sets.push(joined);
    }
    let by = |copies: &[(&Frame, u32)]| copies.iter().filter_map(|one| last(one.0)).min().unwrap();
    let first = |copies: &[(&Frame, u32)]| copies.iter().map(|(f, n)| (f.due, f.row, *n)).min();
    sets.sort_by_key(|(_, copies)| (by(copies), first(copies)));
    // As long as there are too few hands, day by day, the earliest due first.
    let suffices = |sets: &[Tied]| {
        let Some(each) = shop.settings.days.frames_a_day else { return true };
        let waits: BTreeSet<Copy> = sets.iter().flat_map(|(_, c)| c.iter().map(name)).collect();
        let mut open: Vec<(Date, bool)> = all
            .iter()
            .filter_map(|one| {
                Some((one.0.due?, eager.contains(&name(one)) && !waits.contains(&name(one))))
            })
            .collect();
        open.sort();
        let mut day = TODAY;
        while !open.is_empty() {
            for _ in 0..each {
                let place = open.iter().position(|(_, today)| *today || day > TODAY);
                let Some(place) = place else { break };
                let first_day = if open[place].1 { TODAY } else { tomorrow };
                let (due, _) = open.remove(place);
                if day > due.max(first_day) {
                    return false;
                }
            }
            day = open_day(day, 1, next);
        }
        true
    };
    while !sets.is_empty() && !suffices(&sets) {
        sets.remove(0);
    }
    let before = sets.len();
    if let Some(later) = shop.settings.days.later {
        sets.retain(|(mouldings, _)| mouldings.iter().any(|id| is_dear(shop, plain, id, later)));
    }
    let waits =
        sets.iter().flat_map(|(_, copies)| copies.iter().map(|one| (name(one), by(copies))));
    (waits.collect(), before - sets.len())
}

#[test]
fn those_wait_that_the_rules_let_wait_and_nothing_else_is_otherwise() {
    let (mut some, mut mixed, mut cheap) = (0, 0, 0);
    for seed in 0..ring::part(600) {
        let shop = drawn(&mut Numbers(seed + 1));
        let mut eager = shop.clone();
        eager.settings.days.patience = None;
        let plain = plan(&eager, TODAY, LIMITS).unwrap();
        let planned =
            plan(&shop, TODAY, LIMITS).unwrap_or_else(|faults| panic!("{seed}: {faults:?}"));
        let waiting = patient(&planned);
        let (waits, little) = waits(&shop, &plain);
        assert_eq!(waiting, waits, "seed {seed}");
        cheap += little;
        let all: BTreeSet<Copy> =
            cut(&planned).into_iter().chain(waiting.keys().cloned()).collect();
        assert_eq!(all, cut(&plain), "seed {seed}: whoever does not wait is cut as ever");
        some += usize::from(!waiting.is_empty());
        mixed += usize::from(!waiting.is_empty() && !cut(&planned).is_empty());
        // What is proven of the day is what is proven of the same pile without them.
        let mut without = eager.clone();
        for frame in &mut without.frames {
            let gone = waiting.keys().filter(|(id, _)| *id == frame.id).map(|(_, copy)| *copy);
            frame.progress.gone.extend(gone);
        }
        without.frames.retain(|frame| frame.left() > 0);
        let rest = plan(&without, TODAY, LIMITS).unwrap();
        let proofs = |plan: &Plan| {
            plan.proof
                .iter()
                .map(|p| (p.moulding.clone(), p.part, p.used_up, p.bound, p.proven))
                .collect::<Vec<_>>()
        };
        assert_eq!(proofs(&planned), proofs(&rest), "seed {seed}");
        // All of them can be cut on the next open day, from what nobody touched.
        let mut tomorrow = eager.clone();
        tomorrow.rack.retain(|stick| planned.today.iter().all(|cut| cut.stick != stick.id));
        let is_wanted = |frame: &mut Frame| {
            let gone =
                (1..=frame.copies).filter(|n| !waiting.contains_key(&(frame.id.clone(), *n)));
            frame.progress.gone = gone.collect();
            frame.left() > 0
        };
        tomorrow.frames.retain_mut(is_wanted);
        let next = plan(&tomorrow, open_day(TODAY, 1, next), LIMITS).unwrap();
        assert_eq!(cut(&next), waiting.keys().cloned().collect(), "seed {seed}");
    }
    let found = [some, mixed, cheap];
    assert!(some > 25 && mixed > 8 && cheap > 8, "{found:?}: not enough of what is looked for");
}

/// The first seed of which somebody waits.
fn one_that_waits() -> (Shop, Plan) {
    let drawn = (1..).map(|seed| drawn(&mut Numbers(seed)));
    let planned = drawn.map(|shop| {
        let planned = plan(&shop, TODAY, LIMITS).unwrap().into_inner();
        (shop, planned)
    });
    let mut of_use =
        planned.filter(|(shop, plan)| !shop.suppliers.is_empty() && patient(plan).len() > 1);
    of_use.next().unwrap()
}

#[test]
fn whoever_is_wished_for_does_not_wait() {
    let (shop, planned) = one_that_waits();
    let (frame, _) = patient(&planned).into_keys().next().unwrap();
    let named = || BTreeSet::from([frame.clone()]);
    let wishes = [
        Wishes { rush: named(), ..Wishes::default() },
        Wishes { only: Some(named()), ..Wishes::default() },
        Wishes { rack_only: true, ..Wishes::default() },
    ];
    for wishes in wishes {
        let planned = plan_as_wished(&shop, TODAY, &wishes, LIMITS).unwrap();
        assert!(cut(&planned).iter().any(|(id, _)| *id == frame), "{wishes:?}");
    }
}

#[test]
fn a_false_wait_is_seen() {
    let (shop, planned) = one_that_waits();
    let spoilt = |spoil: &dyn Fn(&mut Shop, &mut Plan)| {
        let (mut shop, mut plan) = (shop.clone(), planned.clone());
        spoil(&mut shop, &mut plan);
        let faults = verify(&shop, &plan).expect_err("it is wrong");
        let words: Vec<String> = faults.iter().map(ToString::to_string).collect();
        assert!(words.iter().any(|word| word.contains("waits with a false")), "{words:?}");
    };
    spoilt(&|shop, _| shop.settings.days.patience = None);
    spoilt(&|shop, _| shop.settings.days.later = Some(10_000));
    spoilt(&|shop, _| shop.settings.days.frames_a_day = Some(0));
    spoilt(&|shop, _| shop.suppliers.values_mut().for_each(|v| v.lead_days = 200));
    spoilt(&|shop, _| shop.frames.iter_mut().for_each(|f| f.came = Some(date(2031, 2, 3))));
    spoilt(&|_, plan| {
        for waiting in &mut plan.waiting {
            if let WaitReason::Patience { by, .. } = &mut waiting.reason {
                *by = date(2031, 6, 2);
            }
        }
    });
    spoilt(&|_, plan| {
        for waiting in &mut plan.waiting {
            if let WaitReason::Patience { by, .. } = &mut waiting.reason {
                *by = TODAY;
            }
        }
    });
    spoilt(&|_, plan| {
        let last = plan.waiting.iter_mut().rfind(|waiting| waiting.reason.is_patience()).unwrap();
        last.reason = WaitReason::Moulding(vec!["M0".to_owned()]);
    });
}
