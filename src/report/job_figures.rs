//! What a job's sheet says of weight, hanging, joints and price.

use crate::job::hanging::STRAPS_FROM;
use crate::measure::{Length, LengthStyle, Unit, Weight};
use crate::shop::{Hang, Kind, MaterialKind, Shop, Wood};
use crate::ticket::{Fixing, JobSheet, STRAP_LESS, differ, job_price, pieces_price};

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
    for what in &heft.not_counted {
        let words = format!("{what}: write their weight in materials.csv");
        rows.push(row("not counted", words));
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
    let is_floater = shop.moulding(&sheet.corners.moulding).kind == Kind::Floater;
    let by = match hanging.way {
        Some(Hang::Wire) => "a wire",
        Some(Hang::Cord) => "a cord",
        Some(Hang::Straps) if hanging.on_rail => {
            "two straps, each from its own hook on the picture rail"
        }
        Some(Hang::Straps) => "two straps, each on its own hook",
        Some(Hang::Cleat) => "a cleat over the full width",
        Some(Hang::Security) => "a security set, as its maker says: nothing is worked out for it",
        Some(Hang::Strut) => "it stands on a strut",
        Some(Hang::Nowhere) => "nothing",
        None => "not decided, since its weight is not known",
    };
    rows.push(row("hangs by", by));
    if let Some((bar, inwards)) = hanging.cleat {
        rows.push(row(
            "cleat",
            format!(
                "{} long, the frame's width less {} at each side; its upper edge {} below the top, \
                 level; screwed into wood of the frame at both ends, and the wall's bar as long as \
                 it into what holds",
                show(bar),
                show(inwards),
                show(hanging.hooks_below)
            ),
        ));
    }
    if matches!(hanging.way, Some(Hang::Strut | Hang::Nowhere | Hang::Cleat | Hang::Security)) {
        return rows.into_iter().chain(fixings(sheet, shop)).collect();
    }
    let stand = match is_floater {
        true => {
            "on the floater's base (worked out as if on its wall: on the base a wire is steeper)"
                .to_owned()
        }
        false => format!(
            "{} in from the sides (middle of the wood behind the face)",
            show(hanging.inset)
        ),
    };
    rows.push(row("hangers", format!("{} below the top, {stand}", show(hanging.down))));
    if why {
        let hidden = style.unit.either("2 in", "51 mm");
        let third = format!(
            "a third of the height down, in whole bench marks; a wire's hook stays {hidden} under the \
             top"
        );
        rows.push(row("why", third));
        rows.extend(chosen_by(sheet).map(|by| row("why", by)));
    }
    let is_wire = matches!(hanging.way, Some(Hang::Wire | Hang::Cord));
    if let Some(leg) = hanging.leg.filter(|_| is_wire) {
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
        rows.push(row("wire", text));
    }
    if hanging.hook_count > 0 {
        let apart = match hanging.hook_count {
            1 => "one, in the middle".to_owned(),
            _ => format!("two, {} apart", show(hanging.hooks_apart)),
        };
        let less = if is_wire { "" } else { STRAP_LESS };
        let text = match hanging.on_rail {
            true => format!(
                "{apart}, on the picture rail; a chain or wire, rated as they are, goes straight up \
                 to each"
            ),
            false => format!("{apart}, {} below the top{less}", show(hanging.hooks_below)),
        };
        rows.push(row("hooks", text));
    }
    rows.extend(fixings(sheet, shop));
    if why {
        for (kind, needs) in &hanging.asked {
            let wanted = match kind {
                MaterialKind::Wire(wire) => format!(
                    "breaks at {} at the least, {} times the greater of the weight and the pull of a leg",
                    both(*needs),
                    wire.factor()
                ),
                MaterialKind::Hanger => format!(
                    "rated for {} each, {} times the pull of a leg",
                    both(*needs),
                    shop.settings.job.hook_factor
                ),
                _ => format!(
                    "rated for {} each, {} times its share of the weight",
                    both(*needs),
                    shop.settings.job.hook_factor
                ),
            };
            rows.push(row("why", format!("{kind}: {wanted}")));
        }
    }
    rows
}

/// What decided what it hangs by.
fn chosen_by(sheet: &JobSheet) -> Option<String> {
    let hanging = &sheet.hanging;
    let angle = hanging.leg.map(|leg| {
        let tenths = leg.tenths_of_degree();
        format!("a wire would hang at {}.{} degrees", tenths / 10, tenths % 10)
    });
    Some(match (hanging.way?, sheet.job.hang) {
        (way, Some(asked)) if way == asked => "as the ticket asks".to_owned(),
        _ if sheet.heft.total.is_some_and(|weight| weight > STRAPS_FROM) => {
            format!("over {} nothing hangs from a wire", STRAPS_FROM.show())
        }
        (Hang::Straps, _) if hanging.on_rail => {
            "from a picture rail two lines go straight up, with no wire between them".to_owned()
        }
        (Hang::Straps, _) => {
            angle.unwrap_or_else(|| "a wire would have no room to rise".to_owned())
        }
        _ => format!("up to {} a wire that is no flatter than 30 degrees", STRAPS_FROM.show()),
    })
}

/// What is taken, with what its packet prints: that is what to look for on it.
fn fixings(sheet: &JobSheet, shop: &Shop) -> Vec<(String, String)> {
    let hanging = &sheet.hanging;
    let chosen = [&hanging.hangers, &hanging.wire, &hanging.hooks];
    let fixing = |fixing: &Fixing| {
        let (code, needs) = (&fixing.material, fixing.needs.show());
        let material = &shop.materials[code];
        let (MaterialKind::Wire(kind), Some(breaks)) = (material.kind, material.breaks) else {
            let prints = fixing.prints.show_load();
            return row("take", format!("{code}: {needs} wanted, {prints} on its packet"));
        };
        let beside = material.load.map_or_else(String::new, |load| {
            let counts = match fixing.prints < breaks {
                true => format!(", of which no more than {} times count", kind.factor()),
                false => String::new(),
            };
            format!(", and a load of {}{counts}", load.show_load())
        });
        let breaks = breaks.show_load();
        row(
            "take",
            format!("{code}: must not break below {needs}; its packet says {breaks}{beside}"),
        )
    };
    chosen.into_iter().flatten().map(fixing).collect()
}

/// How joints are glued, from a maker's guide.
const GLUE: &str = "glue, as a maker has it: clamps press 100 to 150 psi on soft wood, 150 to 200 on \
                    medium, 200 to 300 on hard; wood at 6 to 8 % of moisture, air at 40 to 50 %";

pub(super) fn joining(sheet: &JobSheet, shop: &Shop, why: bool) -> Vec<(String, String)> {
    let style = &style(shop);
    let corners = &sheet.corners;
    let mut rows = Vec::new();
    let wood = shop.moulding(&corners.moulding).body.wood;
    let kind = wood.map(|wood| {
        if wood.is_hard() { ", of the kind for hard wood" } else { ", of the kind for soft wood" }
    });
    if let (Some(nail), Some(height)) = (corners.nail, corners.height) {
        rows.push(row(
            "v-nails",
            format!(
                "{} high in {} of {}{}; how many, and where, the machine's manual says",
                style.show_unit(nail),
                style.show_unit(height),
                corners.moulding,
                kind.unwrap_or_default()
            ),
        ));
    }
    rows.push(row("square", format!("the diagonals may differ by {}", differ(sheet, shop))));
    if why {
        rows.push(row("why", GLUE));
        rows.push(row("why", format!(
            "opposite rails that differ by {} lean {}.{:03} degrees; eight cuts each a tenth of a \
             degree off open the last corner by {}",
            style.show_unit(shop.settings.mark),
            corners.lean / 1000,
            corners.lean % 1000,
            style.show_unit(corners.gape.round_up(style.mark))
        )));
    }
    if let Some(why_not) = corners.not_estimated {
        let text =
            format!("not estimated, since {why_not}: look for yourself whether its rails hold");
        rows.push(row("bending", text));
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
            // What it holds is for an inch.
            let each = style.unit.either(holds.ug() / 2, holds.ug() * 50 / 127);
            let tenths = each / 100_000_000;
            format!(
                "; straight out its screw holds at most {}.{} kg for each {} of thread{}",
                tenths / 10,
                tenths % 10,
                style.unit.either("half inch", "10 mm"),
                if corners.built_out.is_positive() { " in the moulding" } else { "" }
            )
        });
        let unknown = "; what they hold in mdf is not known: put the hangers into strips of \
                       wood glued behind";
        let holds = holds.or_else(|| (wood == Some(Wood::Mdf)).then(|| unknown.to_owned()));
        let through = match corners.built_out.is_positive() {
            true => format!(
                ", the build-out's own too; they go through {} of build-out and hold in {}",
                style.show_unit(corners.built_out),
                corners.moulding
            ),
            false => String::new(),
        };
        rows.push(row(
            "screws",
            format!(
                "no longer than {}{through}{}",
                style.show_down_unit(longest),
                holds.unwrap_or_default()
            ),
        ));
    }
    if shop.moulding(&corners.moulding).kind == Kind::Floater {
        let less = style.unit.either("1/8 in", "3.5 mm");
        let base = format!("as long as the floater's base is thick, less {less}: measure it");
        rows.push(row("screws", base));
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
