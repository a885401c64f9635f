//! What to do with sticks that have not moved for so long: `longpoint rack --idle`.

use crate::book::OnRack;
use crate::cli::exit::plan_stands;
use crate::cli::progress::by_moulding;
use crate::cli::{effort, threads};
use crate::fits::makes_telling;
use crate::report::fits_text::makes_words;
use crate::shop::{Shop, Stick};

/// A line for each stick: the largest usual sizes that it makes by itself, or
/// that it makes none.
///
/// # Errors
/// If a plan does not stand up to its check.
pub(super) fn suggestions(shop: &Shop, idle: &[OnRack]) -> anyhow::Result<String> {
    let free = idle.iter().filter(|on| on.job.is_none());
    let sticks: Vec<Stick> = free.map(|on| on.stick.clone()).collect();
    let search = effort::SearchOptions::default();
    let pool = threads::pool(None)?;
    let makes =
        by_moulding(|told| pool.install(|| makes_telling(shop, &sticks, (&search.limits(), told))));
    let makes = plan_stands(makes)?;
    let mut text = "None of these has moved for so long. To clear:\n".to_owned();
    for on in idle {
        let sizes = makes.get(&on.stick.id).map(Vec::as_slice);
        let say = makes_words(sizes, on.job.is_some(), shop);
        text += &format!("  {:<8} {say}\n", on.stick.id);
    }
    text += "Offer what makes something for small or undated frames (longpoint fits says more). \
             The rest is of use beside other sticks only: write it off if you need the room \
             (longpoint scrap).\n";
    Ok(text)
}
