//! The shop's page in a real browser: the morning of the demo shop, ticked to its last
//! cut by whoever holds the tablet, with what happens at a bench on the way.
//!
//! It needs chromium and its driver. In CI (`CI` set) it fails without them; elsewhere it
//! says that it was left out.

mod day;
mod driver;
#[path = "../support/http.rs"]
mod http;
mod lines;
mod looks;
mod shop;
mod sizes;

use driver::Driver;

/// A driver, or the word that the test is left out.
///
/// With `LONGPOINT_BROWSER=elsewhere` it is left out too: it is run by itself then, since it
/// mostly waits.
fn driver() -> Option<Driver> {
    if std::env::var_os("LONGPOINT_BROWSER").is_some_and(|where_| where_ == "elsewhere") {
        return None;
    }
    let driver = Driver::start();
    if driver.is_none() {
        assert!(std::env::var_os("CI").is_none(), "chromium and chromedriver are not here");
        eprintln!("left out: there is no chromium with its driver here");
    }
    driver
}
