//! How long rails and plans take; see RESULTS.md for recorded figures.

mod shops;

use std::path::Path;

use divan::{Bencher, black_box};
use jiff::civil::date;
use longpoint::morning::plan;
use longpoint::rails::frame_rails;
use longpoint::shop::read_folder;
use longpoint::solve::Limits;

use shops::{Size, shop};

fn main() {
    divan::main();
}

fn limits() -> Limits<'static> {
    Limits { work: longpoint::morning::WORK, deadline: None, stop: None, watch: None }
}

#[divan::bench]
fn rails_of_10_000_frames(bencher: Bencher) {
    let shop = shop(1, Size { frames: 10_000, mouldings: 40, sticks: 0 });
    bencher.bench(|| {
        for frame in &shop.frames {
            black_box(frame_rails(&shop, frame));
        }
    });
}

#[divan::bench(sample_count = 10)]
fn plan_of_the_demo_shop(bencher: Bencher) {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo");
    let shop = read_folder(Path::new(folder)).expect("the demo shop is in order");
    bencher.bench(|| plan(black_box(&shop), date(2026, 11, 25), limits()).unwrap().into_inner());
}

#[divan::bench(sample_count = 10)]
fn plan_of_40_frames_over_15_mouldings(bencher: Bencher) {
    let shop = shop(2, Size { frames: 40, mouldings: 15, sticks: 80 });
    bencher.bench(|| plan(black_box(&shop), date(2026, 11, 25), limits()).unwrap().into_inner());
}

#[divan::bench(sample_count = 3)]
fn plan_of_500_frames_over_40_mouldings(bencher: Bencher) {
    let shop = shop(3, Size { frames: 500, mouldings: 40, sticks: 700 });
    bencher.bench(|| plan(black_box(&shop), date(2026, 11, 25), limits()).unwrap().into_inner());
}
