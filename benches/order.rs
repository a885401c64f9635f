//! How long an order over all mouldings takes, and how near to the best it is
//! known to be; see RESULTS.md for recorded figures.

mod shops;

use std::path::PathBuf;
use std::time::Instant;

use jiff::civil::date;
use longpoint::measure::{Length, Mitre};
use longpoint::morning::plan;
use longpoint::quote::{Wish, WishedLayer, quote};
use longpoint::shop::read_folder;
use longpoint::solve::Limits;
use longpoint::verify::verify;

use shops::catalogue::{catalogue, concentrated, listed, of_few};
use shops::{Size, folder};

/// Orders as they are measured: seed, frames, mouldings, suppliers.
const ORDERS: [(u64, u32, u32, usize); 6] = [
    (11, 120, 30, 4),
    (12, 120, 30, 4),
    (13, 120, 30, 4),
    (14, 120, 30, 4),
    (15, 60, 15, 3),
    (16, 240, 40, 6),
];

/// Orders of few mouldings that everybody sells in every form.
const CONCENTRATED: [(u64, u32, u32, usize); 8] = [
    (21, 20, 1, 2),
    (22, 20, 2, 5),
    (23, 40, 4, 5),
    (24, 60, 2, 3),
    (25, 100, 6, 6),
    (26, 100, 3, 4),
    (27, 200, 6, 4),
    (28, 200, 2, 6),
];

/// An order from long price lists: frames, mouldings, suppliers.
const LISTED: (u64, u32, u32, usize) = (31, 120, 2_000, 5);

/// Quotes beside what waits: seed, frames, and of how many mouldings they are.
const PENDING: [(u64, u32, usize); 4] =
    [(32, 300, 2_000), (32, 300, 60), (32, 300, 12), (32, 300, 6)];

fn main() {
    lists();
    quotes();
    if std::env::var_os("LONGPOINT_QUOTES").is_none() {
        orders();
    }
}

/// How long a folder with price lists takes to be read, and an order from it.
fn lists() {
    let (seed, frames, mouldings, suppliers) = LISTED;
    let shop = listed(seed, Size { frames, mouldings, sticks: 0 }, suppliers);
    let own = std::env::var_os("LONGPOINT_SHOP_INTO").map(PathBuf::from);
    let place = tempfile::tempdir().expect("room for a folder");
    let dir = own.unwrap_or_else(|| place.path().to_owned());
    folder::write_lists(&shop, &dir).expect("room for a folder");
    let begin = Instant::now();
    let shop = read_folder(&dir).unwrap_or_else(|faults| panic!("{faults}"));
    let read = begin.elapsed().as_secs_f64();
    let limits = Limits { work: longpoint::morning::WORK, deadline: None, stop: None, watch: None };
    let begin = Instant::now();
    let plan = plan(&shop, date(2026, 11, 25), limits).unwrap().into_inner();
    let seconds = begin.elapsed().as_secs_f64();
    println!(
        "\n| frames | mouldings | offers in lists | read | planned | lines |\n|---|---|---|---|---|---|"
    );
    println!(
        "| {frames} | {mouldings} | {} | {read:.2} s | {seconds:.2} s | {} |",
        shop.offers.len(),
        plan.order.lines.len()
    );
}

/// How long a quote takes beside so many frames that wait.
fn quotes() {
    let limits =
        Limits { work: longpoint::morning::WORK / 4, deadline: None, stop: None, watch: None };
    println!(
        "\n| frames that wait | of mouldings | offers | quoted | ready |\n|---|---|---|---|---|"
    );
    for (seed, frames, few) in PENDING {
        let (_, _, mouldings, suppliers) = LISTED;
        let shop = listed(seed, Size { frames, mouldings, sticks: 0 }, suppliers);
        let shop = of_few(shop, few);
        let wish = Wish {
            layers: vec![WishedLayer {
                moulding: shop.frames[0].layers[0].moulding.clone(),
                gap: Length::ZERO,
                match_: None,
            }],
            width: Length::from_64ths(16 * 64),
            height: Length::from_64ths(20 * 64),
            mitre: Mitre::SQUARE,
            copies: 1,
            due: None,
            job: None,
        };
        let begin = Instant::now();
        let quote = quote(&shop, &wish, date(2026, 11, 25), limits, false).unwrap();
        let seconds = begin.elapsed().as_secs_f64();
        let ready = quote.promise.map_or("never".to_owned(), |promise| promise.ready.to_string());
        println!("| {frames} | {few} | {} | {seconds:.2} s | {ready} |", shop.offers.len());
    }
}

fn orders() {
    println!();
    println!("| order | seconds | waiting | lines | to pay | net | gap | every way |");
    println!("|---|---|---|---|---|---|---|---|");
    let all = ORDERS.map(|order| (order, false)).into_iter();
    for ((seed, frames, mouldings, suppliers), is_concentrated) in
        all.chain(CONCENTRATED.map(|order| (order, true)))
    {
        let size = Size { frames, mouldings, sticks: 0 };
        let shop = match is_concentrated {
            false => catalogue(seed, size, suppliers),
            true => concentrated(seed, size, suppliers),
        };
        let limits =
            Limits { work: longpoint::morning::WORK, deadline: None, stop: None, watch: None };
        let begin = Instant::now();
        let plan = plan(&shop, date(2026, 11, 25), limits).unwrap().into_inner();
        let seconds = begin.elapsed().as_secs_f64();
        verify(&shop, &plan).expect("every plan is re-checked");
        let account = plan.order.account.expect("the shop has offers");
        let paid: i64 = plan.order.bills.iter().map(|bill| bill.total().0).sum();
        let gap = (account.net.0 - account.bound.0) as f64 * 100.0 / account.net.0 as f64;
        println!(
            "| {frames} frames, {mouldings} mouldings, {suppliers} suppliers, seed {seed} | {seconds:.2} | {} | {} | {}.{:02} | {}.{:02} | {gap:.3} % | {} |",
            plan.waiting.len(),
            plan.order.lines.len(),
            paid / 100,
            paid % 100,
            account.net.0 / 100_000,
            account.net.0 / 1000 % 100,
            if account.whole { "yes" } else { "no" },
        );
    }
}
