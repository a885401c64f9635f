//! What to do with sticks that have not moved for so long: `longpoint rack --idle`.

use std::collections::{BTreeMap, BTreeSet};

use crate::book::OnRack;
use crate::cli::{effort, plan, threads};
use crate::fits::{FitQuestion, Untouched, pieces};
use crate::measure::Length;
use crate::shop::{Kind, Shop};

/// A line for each stick: the largest usual sizes that it makes by itself, or
/// that it makes none.
///
/// # Errors
/// If a plan does not stand up to its check.
pub(super) fn suggestions(shop: &Shop, idle: &[OnRack]) -> anyhow::Result<String> {
    let style = shop.settings.style();
    let mouldings: BTreeSet<&String> = idle.iter().map(|on| &on.stick.moulding).collect();
    let mut says: BTreeMap<String, String> = BTreeMap::new();
    for moulding in mouldings.into_iter().map(|id| shop.moulding(id)) {
        let own = idle.iter().filter(|on| on.stick.moulding == moulding.id && on.job.is_none());
        let sticks = own.map(|on| on.stick.clone()).collect();
        if moulding.kind == Kind::Floater {
            // What it makes depends on the gap, which nobody has said.
            continue;
        }
        let question = FitQuestion { moulding, match_: moulding.match_, gap: Length::ZERO };
        let untouched = Untouched { sticks, wanted: BTreeMap::new(), cut: 0, spare: Vec::new() };
        let search = effort::SearchOptions::default();
        let found =
            threads::pool(None)?.install(|| pieces(shop, &question, &untouched, &search.limits()));
        for piece in found.or_else(|faults| plan::wrong(&faults))? {
            let sizes = piece.usual.iter();
            let sizes: Vec<String> = sizes
                .map(|(short, long)| format!("{} x {}", style.show(*short), style.show(*long)))
                .collect();
            let say = match sizes.is_empty() {
                true => "makes no usual size by itself".to_owned(),
                false => format!("makes {} {}", sizes.join(" or "), style.unit.symbol()),
            };
            says.insert(piece.stick.id, say);
        }
    }
    let mut text = "None of these has moved for so long. To clear:\n".to_owned();
    for on in idle {
        let say = match says.get(&on.stick.id) {
            Some(say) => say.as_str(),
            None if on.job.is_some() => "is at the bench",
            None => "is for floaters; longpoint fits says what it makes",
        };
        text += &format!("  {:<8} {say}\n", on.stick.id);
    }
    text += "Offer what makes something for small or undated frames (longpoint fits says more). \
             The rest is of use beside other sticks only: write it off if you need the room \
             (longpoint scrap).\n";
    Ok(text)
}
