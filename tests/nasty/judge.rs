//! A whole shop planned, checked, written and asked about.

use jiff::civil::date;
use longpoint::chop::schedule;
use longpoint::morning::plan_as_wished;
use longpoint::plan::{Plan, Wishes};
use longpoint::report;
use longpoint::shop::{Shop, read_files};
use longpoint::solve::Limits;
use longpoint::verify::verify;
use rayon::ThreadPoolBuilder;

use crate::numbers::Numbers;
use crate::ring::{asked, ring};
use crate::shops;

/// Few steps a packing: searches that are cut off are as much in question as
/// those that end.
const WORK: u64 = 500;

/// How often a shop is planned on two threads as well.
const TWICE: u64 = 16;

#[test]
fn every_nasty_shop_is_planned_and_its_plan_stands() {
    if let Some(seed) = asked("LONGPOINT_SHOP") {
        return write_down(seed);
    }
    ring("LONGPOINT_SHOPS", 600, |seed| {
        let shop = read_files(&shops::shop(seed)).map_err(|faults| format!("refused: {faults}"))?;
        let wishes = wishes(seed, &shop);
        let first = planned(&shop, &wishes, 1);
        let written = judged(&shop, &first)?;
        if seed % TWICE == 0 {
            let again = planned(&shop, &wishes, 2);
            if judged(&shop, &again)? != written {
                return Err("two threads write other bytes than one".to_owned());
            }
        }
        Ok(())
    });
}

fn planned(shop: &Shop, wishes: &Wishes, threads: usize) -> Plan {
    let pool = ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
    pool.install(|| {
        let limits = Limits { work: WORK, deadline: None, stop: None, watch: None };
        plan_as_wished(shop, date(2026, 11, 25), wishes, limits).unwrap().into_inner()
    })
}

/// Everything that is written of a plan, if it stands.
fn judged(shop: &Shop, plan: &Plan) -> Result<String, String> {
    verify(shop, plan).map_err(|faults| {
        let said: Vec<String> = faults.iter().map(ToString::to_string).collect();
        format!("is wrong and is not shown: {}; held: {:?}", said.join("; "), plan.held)
    })?;
    let schedule = schedule(plan, shop);
    let mut written = report::text::plan(plan, shop, &schedule);
    for (_, content) in report::files(plan, shop, &schedule) {
        written += &content;
    }
    Ok(written)
}

/// What is wished of a shop's morning: mostly nothing.
fn wishes(seed: u64, shop: &Shop) -> Wishes {
    let numbers = &mut Numbers(seed ^ 0x7769_7368_6573);
    let mut wishes = Wishes { rack_only: numbers.one_in(8), ..Wishes::default() };
    let Some(last) = shop.frames.len().checked_sub(1) else { return wishes };
    let mut one = || {
        let place = usize::try_from(numbers.within(0, last as i64)).unwrap();
        shop.frames[place].id.clone()
    };
    let (rushed, other) = (one(), one());
    if numbers.one_in(6) {
        wishes.rush.insert(rushed.clone());
    }
    if numbers.one_in(10) {
        wishes.only = Some([rushed, other].into_iter().collect());
    }
    wishes
}

/// Writes the shop of a seed into a folder, to look at it and make it smaller.
fn write_down(seed: u64) {
    let into = std::env::var("LONGPOINT_SHOP_INTO").expect("a folder under LONGPOINT_SHOP_INTO");
    std::fs::create_dir_all(&into).unwrap();
    let folder = shops::shop(seed);
    for (name, bytes) in &folder {
        std::fs::write(std::path::Path::new(&into).join(name), bytes).unwrap();
    }
    let shop = read_files(&folder).unwrap();
    eprintln!("{into} is the shop of {seed}; wished: {:?}", wishes(seed, &shop));
}
