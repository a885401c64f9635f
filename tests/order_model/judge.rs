//! Everything that is wrong with the order of a plan for a folder.

use std::collections::BTreeMap;

use jiff::civil::Date;
use longpoint::morning::{WORK, plan_as_wished};
use longpoint::plan::{Plan, Wishes};
use longpoint::shop::{Shop, read_files};
use longpoint::solve::Limits;
use longpoint::verify::verify;

use super::choice::{Least, least, least_beyond};
use super::folders::Folder;
use super::ledger;
use super::rules::Rules;
use super::waiting::{arrival, days, lacking, wanted};
use super::ways::{Cuttings, Lacking, Way};

pub const MORNING: Date = jiff::civil::date(2026, 11, 25);

/// What came of judging a folder.
pub struct Judged {
    pub faults: Vec<String>,
    pub is_proven: bool,
    pub buys: bool,
    /// Whether the model settled it.
    pub is_settled: bool,
}

pub fn read(folder: &Folder) -> Shop {
    let bytes = |(name, text): (&&str, &String)| ((*name).to_owned(), text.clone().into_bytes());
    let files: BTreeMap<String, Vec<u8>> = folder.iter().map(bytes).collect();
    read_files(&files).unwrap_or_else(|faults| panic!("{faults}\n{folder:#?}"))
}

pub fn planned(shop: &Shop, wishes: &Wishes) -> Plan {
    let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
    plan_as_wished(shop, MORNING, wishes, limits).unwrap().into_inner()
}

pub fn judge(folder: &Folder) -> Judged {
    judge_as_wished(&read(folder), &Wishes::default())
}

pub fn judge_as_wished(shop: &Shop, wishes: &Wishes) -> Judged {
    let plan = planned(shop, wishes);
    let verified = verify(shop, &plan).err().unwrap_or_default();
    let mut faults: Vec<String> =
        verified.iter().map(|fault| format!("not verified: {fault}")).collect();
    let account = plan.order.account;
    let rules = Rules { shop, date: MORNING, is_limited: true };
    let is_proven = account.is_some_and(|a| a.whole && a.bound == a.net);
    let buys = !plan.order.lines.is_empty();
    let settled = money(&rules, &plan, &mut faults);
    if settled.is_some() {
        dates(&rules, &plan, &mut faults);
    }
    Judged { faults, is_proven, buys, is_settled: settled.is_some() }
}

/// What every moulding lacks, and all ways to cut it.
type Model<'a> = Vec<(Lacking<'a>, Cuttings)>;

/// The model of what a plan leaves for its order; `None` if it is too large.
fn model<'a>(rules: &'a Rules<'a>, plan: &Plan) -> Option<Model<'a>> {
    let all = lacking(rules, plan, &days(rules, plan)).into_iter();
    all.map(|lacking| lacking.cuttings().map(|cuttings| (lacking, cuttings))).collect()
}

fn ways(model: &Model, most: i64) -> Option<Vec<Vec<Way>>> {
    model.iter().map(|(lacking, cuttings)| lacking.ways(cuttings, most)).collect()
}

/// The cheapest order of what a plan leaves for it.
pub fn cheapest(rules: &Rules, plan: &Plan) -> Option<Least> {
    const MOST: i64 = i64::MAX / 4;
    least(rules, &ways(&model(rules, plan)?, MOST)?, MOST, None).ok()?
}

/// Compares with the least that any order comes to; `None` if that is not known.
fn money(rules: &Rules, plan: &Plan, faults: &mut Vec<String>) -> Option<()> {
    let Some(account) = plan.order.account else {
        faults.push("there is no account".to_owned());
        return None;
    };
    let sum = ledger::sum(rules, plan);
    if sum.net != account.net.0 {
        faults.push(format!("net is said to be {}, and is {}: {sum:?}", account.net.0, sum.net));
    }
    if sum.paid.is_none() {
        // Nobody takes it as it is: then no other may be taken either.
        if account.whole {
            faults.push("an order that is refused is called the best of all".to_owned());
        }
        return Some(());
    }
    if !sum.lacking.is_empty() {
        faults.push(format!("the rack is not filled up: {:?}", sum.lacking));
    }
    let model = model(rules, plan)?;
    let allowed = rules.shop.settings.buying.spare_most.map_or(i64::MAX, |most| most.0);
    if sum.beyond > allowed {
        let least = least_beyond(rules, &ways(&model, i64::MAX / 4)?).ok()?;
        if least.is_none_or(|least| least.max(allowed) < sum.beyond) {
            let beyond = sum.beyond;
            faults.push(format!("{beyond} is spent beyond need, and {least:?} would do"));
        }
    }
    let most = sum.net + ROUNDING * i64::try_from(rules.shop.offers.len()).unwrap();
    let ways = ways(&model, most + SLACK)?;
    let budget = rules.shop.settings.buying.spare_most.map(|most| most.0.max(sum.beyond));
    match least(rules, &ways, most, budget).ok()? {
        None => faults.push(format!("the model has no order as cheap as {}", sum.net)),
        Some(Least { net, what }) => {
            let is_proven = account.whole && account.bound == account.net;
            if is_proven && net < sum.net {
                faults.push(format!("proven {}, and {net} by {what:?}", sum.net));
            }
            if account.whole && account.bound.0 > net {
                let bound = account.bound.0;
                faults.push(format!("at least {bound} is said, and {net} by {what:?}"));
            }
        }
    }
    Some(())
}

/// How much an offer's goods can come to less by rounding than all that is bought of
/// it counts: where `spare` is 1 a plan may buy more than could otherwise pay, and
/// more than the model tries, for a part of a minor unit.
const ROUNDING: i64 = 1000;

/// By how much rounding can make goods worth more than they cost, over all offers.
const SLACK: i64 = 20_000;

/// A frame that is late could be there no earlier without making one later that
/// is wanted as early.
fn dates(rules: &Rules, plan: &Plan, faults: &mut Vec<String>) {
    let shop = rules.shop;
    let known = days(rules, plan);
    for waiting in &plan.waiting {
        let frame = shop.frame(&waiting.frame).unwrap();
        let (Some(due), at) = (wanted(rules, plan, frame), arrival(plan, &frame.id, waiting.copy))
        else {
            continue;
        };
        if at <= due {
            continue;
        }
        let mut days = known.clone();
        for ((id, copy), day) in &mut days {
            let other = shop.frame(id).unwrap();
            let turn = (!plan.wishes.rushes(other), other.due.is_none(), other.due);
            let own = (!plan.wishes.rushes(frame), frame.due.is_none(), frame.due);
            if turn > own {
                *day = None;
            }
            if (id, *copy) == (&waiting.frame, waiting.copy) {
                *day = at.yesterday().ok();
            }
        }
        let can = lacking(rules, plan, &days).iter().all(|lacking| {
            let cuttings = lacking.cuttings();
            cuttings.is_some_and(|cuttings| lacking.can_be_made(&cuttings))
        });
        if can {
            faults.push(format!("{} copy {} could be there before {at}", frame.id, waiting.copy));
        }
    }
}
