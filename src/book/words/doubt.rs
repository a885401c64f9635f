//! Lengths that are doubtful: a figure too many, another unit, or another stick.
//!
//! A length that was typed becomes a promise as soon as it lies on the rack, so the page asks
//! for a doubtful one twice, and the commands say how it is taken back.

use jiff::civil::Date;

use crate::measure::Length;
use crate::report::either::either;
use crate::shop::{Lengths, Shop};

/// Whether a length is more than a quarter off another.
pub fn is_far(length: Length, from: Length) -> bool {
    (length - from).nm().abs() > from.nm() / 4
}

/// Why the length of a stick that came is doubtful: it is more than a quarter longer than what
/// was ordered, than its moulding's usual stick, and than any length that is offered of it.
pub fn too_long(
    shop: &Shop,
    moulding: &str,
    (length, ordered): (Length, Option<Length>),
) -> Option<String> {
    let offers = shop.offers.iter().filter(|offer| offer.moulding == moulding);
    let offered = offers.filter_map(|offer| match &offer.lengths {
        Lengths::These(these) => these.last().copied(),
        Lengths::Between(_, most) => Some(*most),
    });
    let usual = shop.mouldings.get(moulding).map(|moulding| moulding.stick);
    let longest = offered.chain(usual).chain(ordered).max()?;
    let show = |length: Length| shop.settings.style().show_unit(length);
    (length > longest && is_far(length, longest)).then(|| {
        format!(
            "{} is far longer than any {moulding} that is known, {} at the most",
            show(length),
            show(longest)
        )
    })
}

/// Why the length of a stick that was measured again is doubtful: it is more than a quarter off
/// what the book has of it.
pub fn too_far(shop: &Shop, stick: &str, (is, was): (Length, Length)) -> Option<String> {
    let style = shop.settings.style();
    let how = if is > was { "longer" } else { "shorter" };
    is_far(is, was).then(|| {
        format!(
            "{stick}: {} is {} {how} than the book has of it, more than a quarter",
            style.show_unit(is),
            style.show_unit(is.max(was) - is.min(was))
        )
    })
}

/// More days than this are hardly waited for moulding. Common practice, no source.
const FAR_OFF: i32 = 92;

/// Why a day on which something is to come is doubtful: it is far off. Nothing if it is not.
pub fn far_off(on: Option<Date>, today: Date) -> Option<String> {
    let on = on.filter(|on| (*on - today).get_days() > FAR_OFF)?;
    let undo = either("\"longpoint undo\"", "UNDO");
    Some(format!("{on} is more than three months off: is that so? {undo} takes it back.\n"))
}

/// What is said of a doubt once it is done.
pub(super) fn taken_back(doubt: &str) -> String {
    format!(
        "{doubt} (was it measured twice? {} takes it back).\n",
        either("\"longpoint undo\"", "UNDO")
    )
}
