//! More frames for two sticks than anyone can list the choices of, against every
//! way to fill the first stick.
//!
//! Each frame comes from one stick, so that it is one length. Once it is settled
//! what the first stick gives, the second gives the shortest frames of each date:
//! as many as any others would be, and nothing uses up less.

use std::cmp::Reverse;

use jiff::civil::{Date, date};
use longpoint::measure::{Length, Worth};
use longpoint::morning::plan_as_wished;
use longpoint::plan::Wishes;
use longpoint::rails::frame_rails;
use longpoint::shop::{Match, Shop};
use longpoint::verify::verify;

use crate::numbers::Numbers;
use crate::support::{LIMITS, MORNING, ask, frame, moulding, stick};

/// How many shops are tried.
const SHOPS: u64 = 200;

/// The first of them have a bound one and all.
const ALL_BOUNDED: u64 = 8;

/// Frames of the first date and of the second.
const FRAMES: [usize; 2] = [16, 3];

const DATES: [Date; 2] = [date(2031, 3, 4), date(2031, 3, 5)];

/// Two sticks and nineteen frames, all different.
fn crowded(seed: u64) -> Shop {
    let numbers = &mut Numbers(seed ^ 0xC0DE);
    let mut shop = crate::support::shop();
    let quarters = |count| Length::from_64ths(count * 16);
    moulding(&mut shop, "BLACK", quarters(4), quarters(1), quarters(480));
    for number in 0..2 {
        let length = quarters(numbers.within(560, 640));
        stick(&mut shop, &format!("S-{number}"), "BLACK", length);
    }
    for number in 0..FRAMES[0] + FRAMES[1] {
        let (width, height) = (quarters(numbers.within(20, 48)), quarters(numbers.within(20, 48)));
        let new = frame(&mut shop, &number.to_string(), "BLACK", width, height);
        ask(new, Match::Stick);
        new.due = Some(DATES[usize::from(number >= FRAMES[0])]);
    }
    shop
}

/// What a length on the rack is worth, by the rule that the README gives: half
/// its price at a foot, rising in a straight line to all of it at 120 inches.
fn worth(length: i64) -> i64 {
    let inch = Length::from_64ths(64).nm();
    let (keep, usual) = (12 * inch, 120 * inch);
    if length < keep {
        return 0;
    }
    let full = i128::from(length) * 250_000;
    let share = match length < usual {
        true => 500_000 * i128::from(usual - keep) + 500_000 * i128::from(length - keep),
        false => 1_000_000 * i128::from(usual - keep),
    };
    let worth = full * share / (i128::from(12 * inch) * 1_000_000 * i128::from(usual - keep));
    i64::try_from(worth).unwrap()
}

/// Frames of each date, then what they use up, then sticks; greater is better.
type Merit = ([usize; 2], Reverse<i64>, Reverse<u32>);

fn used_up(stick: i64, cut: i64) -> (i64, u32) {
    if cut == 0 { (0, 0) } else { (worth(stick) - worth(stick - cut), 1) }
}

fn best(shop: &Shop) -> Merit {
    let length = |frame| -> i64 {
        let layers = frame_rails(shop, frame);
        layers[0].rails.iter().map(|rail| rail.long_point.nm()).sum()
    };
    let lengths: Vec<i64> = shop.frames.iter().map(length).collect();
    let [first, second] = [shop.rack[0].length.nm(), shop.rack[1].length.nm()];
    let mut shortest: Vec<usize> = (0..lengths.len()).collect();
    shortest.sort_by_key(|frame| lengths[*frame]);
    let date = |frame: usize| usize::from(frame >= FRAMES[0]);
    let mut best: Merit = ([0, 0], Reverse(0), Reverse(0));
    // What each set takes: its first frame, and the set without it.
    let mut taken = vec![0_i64; 1 << lengths.len()];
    for set in 0_u32..1 << lengths.len() {
        let is_in = |frame: usize| set >> frame & 1 == 1;
        if set > 0 {
            let others = set & (set - 1);
            taken[set as usize] = taken[others as usize] + lengths[set.trailing_zeros() as usize];
        }
        let cut = taken[set as usize];
        if cut > first {
            continue;
        }
        let early = (set & ((1 << FRAMES[0]) - 1)).count_ones() as usize;
        let served = [early, set.count_ones() as usize - early];
        let one = used_up(first, cut);
        let rest = |of: usize| {
            let left = shortest.iter().filter(move |frame| date(**frame) == of && !is_in(**frame));
            let mut sums = vec![0];
            left.for_each(|frame| sums.push(sums[sums.len() - 1] + lengths[*frame]));
            sums
        };
        let (early, late) = (rest(0), rest(1));
        for (a, more) in early.iter().enumerate() {
            for (b, still) in late.iter().enumerate().take_while(|(_, s)| more + **s <= second) {
                let other = used_up(second, more + still);
                let merit = (
                    [served[0] + a, served[1] + b],
                    Reverse(one.0 + other.0),
                    Reverse(one.1 + other.1),
                );
                best = best.max(merit);
            }
        }
    }
    best
}

#[test]
fn of_more_choices_than_can_be_listed_the_best_is_taken_or_a_bound_given() {
    let (mut proven, mut bounded, shops) = (0, 0, crate::ring::part(SHOPS));
    for seed in 0..shops {
        let shop = crowded(seed);
        let wishes = Wishes { rack_only: true, ..Wishes::default() };
        let plan = plan_as_wished(&shop, MORNING, &wishes, LIMITS).unwrap().into_inner();
        verify(&shop, &plan).unwrap_or_else(|faults| panic!("shop {seed}: {faults:#?}"));
        let waits = |due| plan.waiting.iter().filter(|w| w.due == Some(due)).count();
        let served = [FRAMES[0] - waits(DATES[0]), FRAMES[1] - waits(DATES[1])];
        let [proof] = &plan.proof[..] else { panic!("one moulding, one proof") };
        let found: Merit = (served, Reverse(proof.used_up.0), Reverse(proof.sticks));
        let best = best(&shop);
        assert_eq!(found.0, best.0, "shop {seed}: frames of each date");
        assert!(proof.bound <= Worth(best.1.0), "shop {seed}: {proof:?}, best {best:?}");
        assert!(proof.bound > Worth(0) || seed >= ALL_BOUNDED, "shop {seed} has no bound");
        bounded += u64::from(proof.bound > Worth(0));
        if proof.proven {
            assert_eq!(found, best, "shop {seed}");
            proven += 1;
        } else {
            assert!(found <= best, "shop {seed}");
        }
        println!("shop {seed}: {served:?}, {proof:?}, best {best:?}");
    }
    println!("{proven} proven, {bounded} with a bound, of {shops}");
    assert!(bounded * 100 >= shops * 95, "only {bounded} of {shops} have a bound");
    assert!(proven * 2 >= shops, "only {proven} of {shops} are proven");
}
