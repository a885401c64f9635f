#[path = "../benches/shops/mod.rs"]
mod shops;
use longpoint::plan::plan;
fn main() {
    let a: Vec<u32> = std::env::args().skip(1).map(|x| x.parse().unwrap()).collect();
    let shop =
        shops::shop(u64::from(a[0]), shops::Size { frames: a[1], mouldings: a[2], sticks: a[3] });
    let t = std::time::Instant::now();
    let p = plan(
        &shop,
        jiff::civil::date(2026, 11, 25),
        longpoint::solve::Limits {
            work: longpoint::plan::WORK,
            deadline: None,
            stop: None,
            watch: None,
        },
    );
    println!(
        "{:?} today {} order {} waiting {} held {} proofs {} proven {}",
        t.elapsed(),
        p.today.len(),
        p.order.sticks.len(),
        p.waiting.len(),
        p.held.len(),
        p.proof.len(),
        p.proof.iter().filter(|p| p.proven).count()
    );
    for q in p.proof.iter().filter(|p| !p.proven) {
        println!("{:?}", q);
    }
}
