//! What is possible in a shop's files but unlikely: to be looked at, never refused.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::offer_doubts::{odd_lengths, odd_prices, other_units, outdated};
use super::{MaterialKind, Per, Shop, ShopMaterial};
use crate::measure::{Length, Worth};

/// A face wider than this is rather a length that lost its unit.
const WIDEST_FACE: Length = Length::from_mm(200);

/// Hands keep at least this far from a blade; hardly a machine holds less safely.
const LEAST_HELD: Length = Length::from_mm(100);

/// A date so many days before most others is rather of another year.
const LONG_PAST: i32 = 180;

/// A price so many times the middle one, or the middle one so many times it, is rather
/// for another unit.
const FAR: i128 = 12;

/// So many prices have a middle worth the name.
const FEW: usize = 4;

/// Everything that is worth a second look, in words.
pub fn doubts(shop: &Shop) -> Vec<String> {
    let all: [fn(&Shop) -> Vec<String>; 13] = [
        wide,
        short,
        past,
        shut,
        spelt_twice,
        far,
        outdated,
        odd_prices,
        other_units,
        odd_lengths,
        unrated,
        toughened,
        unclear_consent,
    ];
    all.iter().flat_map(|doubts| doubts(shop)).collect()
}

fn wide(shop: &Shop) -> Vec<String> {
    let style = shop.settings.style();
    let wide = shop.mouldings.values().filter(|moulding| moulding.width > WIDEST_FACE);
    wide.map(|moulding| {
        let width = style.show_unit(moulding.width);
        format!("mouldings.csv: the face of {} is {width} wide (is that its unit?)", moulding.id)
    })
    .collect()
}

fn short(shop: &Shop) -> Vec<String> {
    let style = shop.settings.style();
    let short = shop.cutters.values().filter(|cutter| cutter.shortest < LEAST_HELD);
    short
        .map(|cutter| {
            format!(
                "shop.toml: {} is said to hold rails of {} safely (is that in its manual? hands \
                 keep at least 100 mm, 4 in, away)",
                cutter.name,
                style.show_unit(cutter.shortest)
            )
        })
        .collect()
}

fn past(shop: &Shop) -> Vec<String> {
    let mut days: Vec<_> = shop.frames.iter().filter_map(|frame| frame.due).collect();
    days.sort_unstable();
    let Some(middle) = days.get(days.len() / 2).copied() else { return Vec::new() };
    let long = |due: Date| (middle - due).get_days() > LONG_PAST;
    let past = shop.frames.iter().filter_map(|frame| frame.due.map(|due| (frame, due)));
    past.filter(|(_, due)| long(*due))
        .map(|(frame, due)| {
            format!(
                "frames.csv, row {}: {} is due {due}, long before the others (is that its year?)",
                frame.row, frame.id
            )
        })
        .collect()
}

/// Frames that are due on a day on which nobody is there to give them out.
fn shut(shop: &Shop) -> Vec<String> {
    let open = &shop.settings.days.open;
    let due = shop.frames.iter().filter_map(|frame| frame.due.map(|due| (frame, due)));
    due.filter(|(_, due)| !open.is_open(*due))
        .map(|(frame, due)| {
            format!(
                "frames.csv, row {}: {} is due {}, when the shop is closed (is that its day?)",
                frame.row,
                frame.id,
                due.strftime("%a %Y-%m-%d")
            )
        })
        .collect()
}

/// Fixings that are never chosen, since nothing says what they hold.
fn unrated(shop: &Shop) -> Vec<String> {
    let is_unrated = |material: &&ShopMaterial| match material.kind {
        MaterialKind::Wire(_) => material.breaks.is_none(),
        MaterialKind::Hanger | MaterialKind::Strap | MaterialKind::Hook | MaterialKind::Cleat => {
            material.load.is_none()
        }
        _ => false,
    };
    let unrated = shop.materials.values().filter(is_unrated);
    unrated
        .map(|material| {
            let what = match material.kind {
                MaterialKind::Wire(_) => "breaking load",
                _ => "load",
            };
            format!(
                "materials.csv: {} has no {what}, so it is never chosen (what does its packet print?)",
                material.id
            )
        })
        .collect()
}

/// Toughened glass that stands there or is bought by the sheet: nothing is ever cut from it.
fn toughened(shop: &Shop) -> Vec<String> {
    let style = shop.settings.style();
    let there = shop.sheets.iter().filter(|sheet| shop.is_made_to_size(&sheet.material));
    let there = there.map(|sheet| {
        format!(
            "sheets.csv: {} is toughened glass, which is never cut: it serves a piece of {} x {} and \
             no other (if it is not toughened, leave the safety of {} in materials.csv empty)",
            sheet.label,
            style.show(sheet.width),
            style.show_unit(sheet.height),
            sheet.material
        )
    });
    let sold = shop.materials.values().filter(|of| of.is_made_to_size() && !of.sheets.is_empty());
    let sold = sold.map(|material| {
        format!(
            "materials.csv: {} is toughened glass, which is ordered to size: no sheet of the sizes \
             there is ever ordered or cut",
            material.id
        )
    });
    there.chain(sold).collect()
}

/// Consents that say neither what they are for nor that there is none.
fn unclear_consent(shop: &Shop) -> Vec<String> {
    let unclear = shop.jobs.values().filter(|job| job.consent.is_unclear());
    unclear
        .map(|job| {
            format!(
                "jobs.csv: the consent of {}, {:?}, says not what it is for, so it counts for \
                 nothing (write trim, mount or reuse, as far as the customer agreed, parted by ;)",
                job.frame, job.consent.text
            )
        })
        .collect()
}

/// Places that are the same but for capitals, blanks and signs.
fn spelt_twice(shop: &Shop) -> Vec<String> {
    let mut spelt: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
    for stick in shop.rack.iter().filter(|stick| !stick.place.is_empty()) {
        let plain = stick.place.chars().filter(|c| c.is_alphanumeric());
        let plain = plain.flat_map(char::to_lowercase).collect();
        spelt.entry(plain).or_default().insert(&stick.place);
    }
    let twice = spelt.into_values().filter(|spellings| spellings.len() > 1);
    twice
        .map(|spellings| {
            let all: Vec<&str> = spellings.into_iter().collect();
            format!("rack.csv: {} look like one place (write it one way)", all.join(", "))
        })
        .collect()
}

/// Prices by length that are far from the middle one.
fn far(shop: &Shop) -> Vec<String> {
    let priced = shop.mouldings.values().filter_map(|moulding| {
        let price = moulding.price.as_ref()?;
        Some((by_length(price.amount, price.per, moulding.stick)?, moulding.id.as_str()))
    });
    let mut priced: Vec<(i128, &str)> = priced.filter(|(price, _)| *price > 0).collect();
    priced.sort_unstable();
    if priced.len() < FEW {
        return Vec::new();
    }
    let middle = priced[priced.len() / 2].0;
    let is_far = |price: i128| price > middle * FAR || price * FAR < middle;
    let far = priced.iter().filter(|(price, _)| is_far(*price));
    far.map(|(_, id)| {
        format!("mouldings.csv: the price of {id} is far from the others' (is it for that unit?)")
    })
    .collect()
}

/// What a thousand kilometres cost, so that nothing rounds away; not known of a box.
fn by_length(amount: Worth, per: Per, stick: Length) -> Option<i128> {
    let of = match per {
        Per::Foot => 304_800_000,
        Per::Metre => 1_000_000_000,
        Per::Stick => stick.nm(),
        Per::Box => return None,
    };
    Some(i128::from(amount.0) * 1_000_000_000_000_000 / i128::from(of.max(1)))
}
