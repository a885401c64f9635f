//! What a job's sheet says of weight, hanging, joints and price.

use crate::measure::{Length, LengthStyle, Unit, Weight};
use crate::shop::{Hang, Shop};
use crate::ticket::{Fixing, JobSheet, job_price, pieces_price};

use super::job_words::{row, style};
use super::order_words::money;

pub(super) fn weight(sheet: &JobSheet, why: bool) -> Vec<(String, String)> {
    let heft = &sheet.heft;
    let both = |weight: Weight| format!("{} ({})", weight.show(), weight.show_pounds());
    let mut rows = Vec::new();
    if why {
        for part in &heft.parts {
            let weight = part.weight.map_or("not known".to_owned(), grams);
            rows.push(row("why", format!("{}: {weight}, {}", part.what, part.from)));
        }
    }
    if let Some(total) = heft.total {
        rows.push(row("in all", format!("about {}", both(total))));
    }
    rows
}

/// Whole grams, up.
fn grams(weight: Weight) -> String {
    format!("{} g", (weight.ug() + 999_999) / 1_000_000)
}

pub(super) fn hanging(sheet: &JobSheet, shop: &Shop, why: bool) -> Vec<(String, String)> {
    let style = &style(shop);
    let hanging = &sheet.hanging;
    let show = |length: Length| style.show_unit(length);
    let both = |weight: Weight| format!("{} ({})", weight.show(), weight.show_pounds());
    let mut rows = Vec::new();
    let by = match hanging.way {
        Some(Hang::Wire) => "a wire",
        Some(Hang::Cord) => "a cord",
        Some(Hang::Straps) => "two straps, each on its own hook",
        Some(Hang::Cleat) => "a cleat over the full width",
        Some(Hang::Security) => "a security set, as its maker says: nothing is worked out for it",
        Some(Hang::Strut) => "it stands on a strut",
        Some(Hang::Nowhere) => "nothing",
        None => "not decided, since its weight is not known",
    };
    rows.push(row("hangs by", by));
    if matches!(hanging.way, Some(Hang::Strut | Hang::Nowhere | Hang::Cleat | Hang::Security)) {
        return rows.into_iter().chain(fixings(sheet, shop)).collect();
    }
    rows.push(row(
        "hangers",
        format!(
            "{} below the top, {} in from the sides (middle of the face)",
            show(hanging.down),
            show(hanging.inset)
        ),
    ));
    if why {
        rows.push(row("why", "a third of the height down".to_owned()));
    }
    let is_wire = matches!(hanging.way, Some(Hang::Wire | Hang::Cord));
    if let (Some(leg), true) = (hanging.leg, is_wire || why) {
        let tenths = leg.tenths_of_degree();
        let mut text = format!(
            "rises {} over {}, at {}.{} degrees",
            show(leg.rise),
            show(leg.run),
            tenths / 10,
            tenths % 10
        );
        if let (Some(tension), Some(inward)) = (hanging.tension, hanging.inward) {
            text += &format!(
                "; each leg pulls {}, each side rail is pulled in by {}",
                both(tension),
                both(inward)
            );
        }
        rows.push(row(if is_wire { "wire" } else { "why" }, text));
    }
    if hanging.hook_count > 0 {
        let apart = match hanging.hook_count {
            1 => "one, in the middle".to_owned(),
            _ => format!("two, {} apart", show(hanging.hooks_apart)),
        };
        let less = if is_wire { "" } else { ", less what the strap reaches up" };
        rows.push(row(
            "hooks",
            format!("{apart}, {} below the top{less}", show(hanging.hooks_below)),
        ));
    }
    rows.extend(fixings(sheet, shop));
    if why {
        for (kind, needs) in &hanging.asked {
            rows.push(row("why", format!("{kind}: {} is wanted of each", both(*needs))));
        }
    }
    rows
}

fn fixings(sheet: &JobSheet, shop: &Shop) -> Vec<(String, String)> {
    let hanging = &sheet.hanging;
    let fixing = |head: &str, of: &Option<Fixing>| {
        of.as_ref().map(|fixing| {
            let name = &shop.materials[&fixing.material].name;
            row(
                head,
                format!(
                    "{} ({name}): {} wanted, {} on its packet",
                    fixing.material,
                    fixing.needs.show(),
                    fixing.prints.show()
                ),
            )
        })
    };
    let chosen = [("take", &hanging.hangers), ("take", &hanging.wire), ("take", &hanging.hooks)];
    chosen.into_iter().filter_map(|(head, of)| fixing(head, of)).collect()
}

pub(super) fn joining(sheet: &JobSheet, shop: &Shop, why: bool) -> Vec<(String, String)> {
    let style = &style(shop);
    let corners = &sheet.corners;
    let mut rows = Vec::new();
    if let (Some(nail), Some(height)) = (corners.nail, corners.height) {
        rows.push(row(
            "v-nails",
            format!(
                "{} high in {} of {}; how many, and where, the machine's manual says",
                style.show_unit(nail),
                style.show_unit(height),
                corners.moulding
            ),
        ));
    }
    rows.push(row(
        "square",
        format!("the diagonals may differ by {}", style.show_down_unit(corners.diagonals),),
    ));
    if why {
        rows.push(row("why", format!(
            "opposite rails that differ by {} lean {}.{:03} degrees; eight cuts each a tenth of a \
             degree off open the last corner by {}",
            style.show_unit(shop.settings.mark),
            corners.lean / 1000,
            corners.lean % 1000,
            style.show_unit(corners.gape.round_up(style.mark))
        )));
    }
    let mm = LengthStyle { unit: Unit::Millimetre, mark: Length::from_nm(100_000) };
    for (head, bend) in [("sags", corners.sag), ("bows", corners.bow)] {
        if let Some(bend) = bend.filter(|_| why) {
            rows.push(row(
                head,
                format!(
                    "about {}, own estimate, never a proof that it is safe",
                    mm.show_unit(bend.round_up(mm.mark))
                ),
            ));
        }
    }
    if let Some(longest) = corners.longest_screw.filter(|longest| longest.is_positive()) {
        let holds = corners.screw.map(|holds| {
            let tenths = holds.ug() / 2 / 100_000_000;
            format!(
                "; straight out its screw holds at most {}.{} kg for each half inch (12.7 mm) of thread",
                tenths / 10,
                tenths % 10
            )
        });
        rows.push(row(
            "screws",
            format!(
                "no longer than {}{}",
                style.show_down_unit(longest),
                holds.unwrap_or_default()
            ),
        ));
    }
    rows
}

pub(super) fn price(sheet: &JobSheet, shop: &Shop, why: bool) -> Vec<(String, String)> {
    let mut rows = Vec::new();
    let prices = pieces_price(shop, sheet);
    let Some(price) = job_price(shop, sheet) else { return rows };
    if why {
        for layer in &price.layers {
            rows.push(row(
                "why",
                format!("{}: {}", layer.moulding, money(layer.price.to_money(), shop)),
            ));
        }
        for piece in prices.iter().filter_map(|piece| Some((piece, piece.price?))) {
            rows.push(row(
                "why",
                format!("{}: {}", piece.0.material, money(piece.1.to_money(), shop)),
            ));
        }
        rows.push(row("why", format!("labour: {}", money(price.labour, shop))));
    }
    let tax = if price.tax_in { "with tax" } else { "and tax" };
    let each = if sheet.copies == 1 { "" } else { " each" };
    rows.push(row("price", format!("{} {tax}{each}", money(price.said, shop))));
    let without: Vec<&str> = prices
        .iter()
        .filter(|piece| piece.price.is_none())
        .map(|piece| piece.material.as_str())
        .collect();
    if !without.is_empty() {
        rows.push(row("without", format!("{}: no price in materials.csv", without.join(", "))));
    }
    rows
}
