//! A simulated year's figures as they are said on the screen and on a page.

use crate::measure::{Length, Worth};
use crate::shop::Shop;
use crate::year::{Paired, Practice, SimulatedYears, YearQuestion, YearTally};

use super::words::count;

/// The practices that are held against one another: the one against the other.
pub(super) const PAIRS: [(Practice, Practice); 5] = [
    (Practice::ByHand, Practice::FrameByFrame),
    (Practice::Planned, Practice::ByHand),
    (Practice::Waiting, Practice::Planned),
    (Practice::Waiting, Practice::HandWaiting),
    (Practice::Waiting, Practice::ByHand),
];

/// What the columns of a practice's figures are called: settings of the stop, or the minutes
/// at it where somebody says how long one takes.
pub(super) fn heads(of: &YearQuestion) -> [&'static str; 8] {
    let stop = if of.setting.is_some() { "minutes" } else { "settings" };
    ["bought", "money", "offcuts", "days", "scrap", stop, "waits", "late"]
}

/// What the columns say.
pub(super) fn legend(of: &YearQuestion) -> String {
    let stop = match of.setting {
        None => "Settings: of the stop, in a year.".to_owned(),
        Some(seconds) => {
            let seconds = count(seconds as usize, "second", "seconds");
            format!("Minutes: at the stop, in a year, where a setting takes {seconds}.")
        }
    };
    format!("{LEGEND} {stop} {WAITS}")
}

const LEGEND: &str = "Bought: for each length of rail. Money: a year's moulding at list price, less what the rack \
     counts more at the end than before; a whole stick counts its list price, an offcut that is \
     kept the share of it that is called spare. Offcuts: on the rack at the end, and for how many \
     days. Scrap: against the rails.";

const WAITS: &str = "Waits: open days from a frame's coming in to its cutting, on average. Late: \
     frames in all.";

/// What is asked, in words.
pub(super) fn asked(years: &SimulatedYears, shop: &Shop) -> Vec<String> {
    let of = &years.question;
    let year = count(of.years as usize, "year", "years");
    let mut lines = vec![
        format!(
            "{year} of {}, from {} to {}, with {} on each, drawn from {} of {} with seed {}.",
            count(of.days as usize, "open day", "open days"),
            years.days.0,
            years.days.1,
            count(of.frames as usize, "frame", "frames"),
            count(years.tickets, "frame", "frames"),
            shop.settings.name,
            of.seed,
        ),
        format!(
            "A frame is cut within {} of coming in; where frames wait for one another, within {}. \
             New sticks are there on the day on which they are wanted, of the usual length and at \
             list price; what is bought in one {} is of one lot.",
            count(of.notice as usize, "open day", "open days"),
            of.patience.min(of.notice),
            of.lots.word(),
        ),
    ];
    if !years.left_out.is_empty() {
        let which = years.left_out.join(", ");
        lines.push(format!("Left out, since no new stick makes them: {which}."));
    }
    for of in &years.practices {
        let not_cut = of.together().not_cut as usize;
        if not_cut > 0 {
            let frames = count(not_cut, "frame", "frames");
            let practice = of.practice.words();
            lines.push(format!(
                "Not cut at all: {frames} ({practice}); do not compare its figures."
            ));
        }
    }
    if years.unpriced {
        lines.push("Money leaves out mouldings without a price.".to_owned());
    }
    lines
}

/// The figures of one practice, under [`heads`].
pub(super) fn figures(together: &YearTally, of: &YearQuestion, shop: &Shop) -> [String; 8] {
    let (years, each) = (of.years, u64::from(of.years.max(1)));
    let per = |sum: u64, of: u64| (sum + of / 2) / of.max(1);
    let tenths = per(together.waited * 10, u64::from(together.cut));
    [
        ratio(together.bought, together.rails),
        money(together.money(), years, shop),
        per(u64::from(together.offcuts), each).to_string(),
        per(together.offcut_days, u64::from(together.offcuts)).to_string(),
        percent(together.scrap.nm(), together.rails.nm()),
        match of.setting {
            None => per(together.settings, each).to_string(),
            Some(seconds) => per(together.settings * u64::from(seconds), 60 * each).to_string(),
        },
        format!("{}.{}", tenths / 10, tenths % 10),
        (together.late + together.not_cut).to_string(),
    ]
}

/// What nobody can beat, under the first two of [`heads`].
pub(super) fn bound(years: &SimulatedYears, shop: &Shop) -> [String; 2] {
    let bound = years.bound();
    let rails = years.practices.first().map(|of| of.together().rails).unwrap_or_default();
    [ratio(bound.bought, rails), money(bound.money, years.question.years, shop)]
}

/// Money of all years together as that of one.
pub(super) fn money(all: Worth, years: u32, shop: &Shop) -> String {
    let each = Worth(all.0.div_euclid(i64::from(years.max(1))));
    shop.settings.currency.show(each.to_money())
}

/// `71.20 less (1.6 %), give or take 8.30`.
pub(super) fn difference(paired: &Paired, against: Worth, shop: &Shop) -> String {
    let show = |worth: Worth| shop.settings.currency.show(worth.to_money());
    let (size, word) = match paired.mean < Worth(0) {
        true => (Worth(-paired.mean.0), "less"),
        false => (paired.mean, "more"),
    };
    let share = percent(size.0, against.0);
    let doubt = paired.half.map(|half| format!(", give or take {}", show(half)));
    format!("{} {word} ({share}){}", show(size), doubt.unwrap_or_default())
}

/// What a practice comes to in a year, and how a pair differs.
pub(super) fn pair(
    years: &SimulatedYears,
    (one, other): (Practice, Practice),
    shop: &Shop,
) -> Option<String> {
    let paired = years.difference(one, other)?;
    let against = years.practices.iter().find(|of| of.practice == other)?.together().money();
    let each = Worth(against.0.div_euclid(i64::from(years.question.years.max(1))));
    Some(difference(&paired, each, shop))
}

/// How much of what the plan could still gain waiting gains; `None` if nothing could be.
pub(super) fn gained(years: &SimulatedYears) -> Option<String> {
    let of = |practice| {
        let one = years.practices.iter().find(|of| of.practice == practice)?;
        Some(one.together().money().0)
    };
    let (plan, waiting, least) =
        (of(Practice::Planned)?, of(Practice::Waiting)?, years.bound().money.0);
    let share = |part: i64| i128::from(part) * 100 / i128::from(plan - least);
    (plan > least && waiting < plan).then(|| {
        format!(
            "Of what lies between the plan, every day, and what nobody can beat, waiting gains \
             {} %.",
            share(plan - waiting)
        )
    })
}

/// What the interval means.
pub(super) const DOUBT: &str = "Give or take: the same customers are served by both, year by \
     year; the interval holds the true difference in 95 of 100 such studies (Student's t).";

/// What nobody can beat is.
pub(super) const BOUND: &str = "Nobody can do better: a bound that the solver proves, for somebody \
     who knows every customer of the year beforehand and matches nothing.";

/// A length for each length of another, to a thousandth.
fn ratio(one: Length, other: Length) -> String {
    if !other.is_positive() {
        return String::new();
    }
    let (one, other) = (i128::from(one.nm()), i128::from(other.nm()));
    let thousandths = (one * 1000 + other / 2) / other;
    format!("{}.{:03}", thousandths / 1000, thousandths % 1000)
}

/// A share with two decimals, rounded to the nearest.
fn percent(part: i64, whole: i64) -> String {
    if whole <= 0 {
        return "-".to_owned();
    }
    let hundredths = (i128::from(part) * 10_000 + i128::from(whole) / 2) / i128::from(whole);
    format!("{}.{:02} %", hundredths / 100, hundredths % 100)
}
