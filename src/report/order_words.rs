//! The sentences about an order that the screen and the printed order share.

use jiff::civil::{Date, Time};

use crate::measure::{Length, LengthStyle, Money, Unit};
use crate::plan::{Advice, Bill, Certainty, NotBought, OrderDeadline, OrderLine, Plan, Yield};
use crate::shop::{Carton, Form, Lengths, Offer, Per, Shop};

use super::words;

/// With a capital letter, as a sentence begins.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// An amount with its currency.
pub(super) fn money(money: Money, shop: &Shop) -> String {
    format!("{} {}", shop.settings.currency.show(money), shop.settings.currency.code())
}

fn style(shop: &Shop) -> LengthStyle {
    shop.settings.style()
}

/// The offer that a line is of.
pub(super) fn offer<'a>(line: &OrderLine, shop: &'a Shop) -> Option<&'a Offer> {
    shop.offers.iter().find(|offer| Some(offer.row) == line.offer)
}

/// What is ordered: `3 sticks of BLK-20, 108 in`.
pub(super) fn line(line: &OrderLine, offer: Option<&Offer>, shop: &Shop) -> String {
    let style = style(shop);
    let (count, moulding) = (line.count, &line.moulding);
    let many = |one: &str, more: &str| if count == 1 { one.to_owned() } else { more.to_owned() };
    if let Some(height) = line.height {
        let (width, height) = (style.show(line.length), style.show_unit(height));
        let (of, made) = match shop.is_made_to_size(moulding) {
            true => (many("pane", "panes"), ", toughened and made to this size"),
            false => (many("sheet", "sheets"), ""),
        };
        return format!("{count} {of} of {moulding}, {width} x {height}{made}");
    }
    match line.form.as_str() {
        "chop" => format!(
            "{count} {} of {moulding} chopped: {}",
            many("frame", "frames"),
            rails(&line.rails, &style)
        ),
        "box" => format!(
            "{count} {} of {moulding}, {} sticks each, {}",
            many("box", "boxes"),
            line.pieces / count.max(1) / if line.halved { 2 } else { 1 },
            lengths(line, offer, shop)
        ),
        _ => format!(
            "{count} {} of {moulding}, {}",
            many("stick", "sticks"),
            lengths(line, offer, shop)
        ),
    }
}

/// The length of the sticks, or between which lengths they come.
fn lengths(line: &OrderLine, offer: Option<&Offer>, shop: &Shop) -> String {
    let style = style(shop);
    match offer.map(|offer| &offer.lengths) {
        Some(Lengths::Between(from, to)) => {
            format!("random lengths {} to {}", style.show(*from), style.show_unit(*to))
        }
        _ => style.show_unit(line.length),
    }
}

/// Rails of one frame, those alike together: `2 x 12 1/8, 2 x 14 1/8 in`.
pub(super) fn rails(rails: &[Length], style: &LengthStyle) -> String {
    let mut sorted = rails.to_vec();
    sorted.sort_unstable();
    let alike = sorted.chunk_by(|a, b| a == b);
    let shown = alike.map(|same| format!("{} x {}", same.len(), style.show(same[0])));
    format!("{} {} long point", shown.collect::<Vec<_>>().join(", "), style.unit.symbol())
}

/// What is asked of the supplier beside the line itself.
pub(super) fn requests(line: &OrderLine, offer: Option<&Offer>, shop: &Shop) -> Vec<String> {
    let style = style(shop);
    let mut requests = Vec::new();
    if line.halved {
        requests.push("cut each in half, please".to_owned());
    }
    let rails: Length = line.rails.iter().copied().sum();
    if line.form == "chop" && line.length > rails {
        requests.push(format!("billed as {} each", style.show_unit(line.length)));
    }
    let offer = offer.filter(|_| line.form != "chop");
    if let Some((offer, Lengths::Between(from, _))) = offer.map(|offer| (offer, &offer.lengths)) {
        requests.push(format!("none under {}", style.show_unit(*from)));
        let is_by_what_comes = match offer.form {
            Form::Length | Form::Box { holds: Carton::Sticks(_) } => true,
            Form::Box { .. } | Form::Chop { .. } => false,
        };
        if is_by_what_comes && matches!(offer.per, Per::Foot | Per::Metre) {
            requests.push("billed by what comes; the price here is for the shortest".to_owned());
        }
    }
    requests
}

/// What a bill charges beyond the goods; nobody pays up to a minimum below which the order is
/// refused.
pub(super) fn charges(bill: &Bill, shop: &Shop) -> Vec<(&'static str, Money)> {
    let is_refused = bill.refused_below(shop).is_some();
    let all = [
        ("made up to the minimum", if is_refused { Money(0) } else { bill.made_up }),
        ("small order", bill.small),
        ("carriage", bill.freight),
        ("long parcel", bill.long),
    ];
    all.into_iter().filter(|(_, money)| money.0 > 0).collect()
}

/// `goods 120.00 + carriage 18.00 = 138.00 USD`; where nothing is added,
/// `goods 505.50 USD, carriage free`.
pub(crate) fn bill(bill: &Bill, shop: &Shop) -> String {
    let show = |money| shop.settings.currency.show(money);
    if let Some(minimum) = bill.refused_below(shop) {
        return format!(
            "goods {}, below the minimum of {}: ask first whether it is taken; with all else {}, \
             and made up to the minimum, should they ask that, {}",
            show(bill.goods),
            show(minimum),
            money(bill.to_pay(shop), shop),
            money(bill.total(), shop)
        );
    }
    if bill.total() == bill.goods {
        return format!("goods {}, carriage free", money(bill.goods, shop));
    }
    let mut text = format!("goods {}", show(bill.goods));
    for (what, money) in charges(bill, shop) {
        text += &format!(" + {what} {}", show(money));
    }
    format!("{text} = {}", money(bill.total(), shop))
}

/// `before 12:00`.
pub(super) fn clock(time: Time) -> String {
    format!("before {}", time.strftime("%H:%M"))
}

/// Whether the order from a supplier has to go out today, and why, or until when it can
/// wait.
pub(crate) fn deadline(deadline: &OrderDeadline, plan: &Plan, shop: &Shop) -> String {
    let Some((last, arrives)) = deadline.last.zip(deadline.arrives) else {
        return "Can wait: nothing in it has a date.".to_owned();
    };
    let off = shop.suppliers.get(&deadline.supplier).and_then(|supplier| supplier.cut_off);
    let off = off.map(|time| format!(" {}", clock(time))).unwrap_or_default();
    if last <= plan.date {
        return match &deadline.frame {
            None => format!("Order today{off}: later they take no order on these terms."),
            Some((frame, _)) => {
                let due = shop.frame(frame).and_then(|frame| frame.due);
                let due = due.map_or("put first".to_owned(), |due| format!("due {due}"));
                format!("Order today{off}, because of {frame} ({due}).")
            }
        };
    }
    let day = last.strftime("%a %Y-%m-%d");
    let wait =
        format!("Can wait until {day}{off} (arrives {arrives}): nothing is made late by that.");
    let bill = plan.order.bills.iter().find(|bill| bill.supplier == deadline.supplier);
    match bill.filter(|bill| bill.made_up.0 > 0 && bill.refused_below(shop).is_none()) {
        Some(bill) => format!(
            "{wait} Ordering then instead of today saves the {} made up to the minimum, if more \
             is wanted by then.",
            money(bill.made_up, shop)
        ),
        None => wait,
    }
}

/// What is said of moulding that comes too late for a due date; nothing if it is in
/// time.
pub(super) fn late(arrives: Date, due: Option<Date>, shop: &Shop) -> Option<String> {
    let (due, needed) = due.map(|due| (due, shop.needed_by(due)))?;
    match arrives {
        day if day > due => Some("NOT IN TIME".to_owned()),
        day if day > needed => Some(format!("NOT IN TIME (needed by {needed})")),
        _ => None,
    }
}

/// A length as moulding is sold: in feet, or in metres.
fn by_the_foot(length: Length, shop: &Shop) -> String {
    let (unit, symbol) = match shop.settings.unit {
        Unit::Inch => (Length::from_64ths(12 * 64), "ft"),
        Unit::Millimetre => (Length::from_mm(1000), "m"),
    };
    let tenths = (length.nm() * 10 + unit.nm() / 2) / unit.nm();
    format!("{}.{} {symbol}", tenths / 10, tenths % 10)
}

/// The rails end to end and the rule of thumb, for so many copies.
pub(super) fn footage(rails: &[Length], rule: Length, copies: u32, shop: &Shop) -> String {
    let exact: Length = rails.iter().copied().sum();
    let copies = i64::from(copies);
    let waste = i128::from(shop.settings.buying.waste);
    let with = i128::from((rule * copies).nm()) * (1_000_000 + waste) / 1_000_000;
    let with = Length::from_nm(i64::try_from(with).unwrap_or(i64::MAX));
    format!(
        "{} exact; by the rule of thumb (perimeter + 8 widths) {}, with {} % for waste {}",
        by_the_foot(exact * copies, shop),
        by_the_foot(rule * copies, shop),
        shop.settings.buying.waste / 10_000,
        by_the_foot(with, shop),
    )
}

/// `BLK-20: 54.3 ft of rails from 63.0 ft, 86 %; the rule of thumb with 10 % for
/// waste is 62.1 ft`
pub(super) fn yield_of(yield_: &Yield, shop: &Shop) -> String {
    let percent = yield_.rails.nm() * 100 / yield_.bought.nm().max(1);
    format!(
        "{}: {} of rails, {} bought, yield {percent} %. The rule of thumb (perimeter + 8 widths) \
         gives {}, with {} % for waste {}.",
        yield_.moulding,
        by_the_foot(yield_.rails, shop),
        by_the_foot(yield_.bought, shop),
        by_the_foot(yield_.rule, shop),
        shop.settings.buying.waste / 10_000,
        by_the_foot(yield_.with_waste, shop),
    )
}

/// What it costs to be sure.
pub(super) fn certainty(certainty: &Certainty, shop: &Shop) -> String {
    let middle = style(shop).show_unit(certainty.middle);
    let more = match certainty.extra {
        0 => "none more than".to_owned(),
        extra => format!("{extra} more than"),
    };
    format!(
        "{}: {} whatever lengths arrive, {more} if each were {middle}.",
        certainty.moulding,
        words::count(
            usize::try_from(certainty.sticks).unwrap_or(usize::MAX),
            "piece suffices",
            "pieces suffice"
        )
    )
}

/// A box or a step more.
pub(super) fn advice(advice: &Advice, shop: &Shop) -> String {
    let unit = match (advice.form.as_str(), advice.more) {
        ("box", 1) => "box",
        ("box", _) => "boxes",
        (_, 1) => "stick",
        _ => "sticks",
    };
    let holds =
        if advice.form == "box" { format!(" ({} sticks)", advice.sticks) } else { String::new() };
    let s = if advice.more == 1 { "s" } else { "" };
    let costs = if advice.costs.0 <= 0 {
        format!("cost{s} {} less", money(Money(-advice.costs.0), shop))
    } else {
        format!("cost{s} {} more", money(advice.costs, shop))
    };
    let pays = match advice.pays_at {
        0 => format!("pay{s} at once"),
        pays => format!("pay{s} once {pays} of the {} more sticks are used", advice.sticks),
    };
    format!(
        "To think about: {} more {unit}{holds} of {} from {} {costs} and {pays}.",
        advice.more, advice.moulding, advice.supplier
    )
}

/// More that would have lowered what the order comes to, and why it was not bought.
pub(super) fn not_bought(of: &NotBought, shop: &Shop) -> String {
    let what = match (of.boxes, of.more) {
        (true, 1) => "box",
        (true, _) => "boxes",
        (false, 1) => "stick",
        (false, _) => "sticks",
    };
    let all = match of.costs.0 {
        0 => "for the same in all".to_owned(),
        paid if paid < 0 => format!("for {} less in all", money(Money(-paid), shop)),
        _ => format!("for {} more in all", money(of.costs, shop)),
    };
    // A price step may make more cost less.
    let at = Some(of.goods).filter(|goods| goods.0 > 0);
    let at = at.map(|goods| format!(" at {}", money(goods, shop))).unwrap_or_default();
    let (more, instead) = match of.in_place_of {
        None => (" more", String::new()),
        Some(1) => ("", " in place of 1 stick".to_owned()),
        Some(sticks) => ("", format!(" in place of {sticks} sticks")),
    };
    format!(
        "Not bought, since nothing is known to use it up: {}{more} {what} of {}{at}{instead}, {all}.",
        of.more, of.moulding
    )
}

/// What would be ordered from a supplier, line by line, with what it costs.
pub(crate) fn basket_lines(plan: &Plan, supplier: &str, shop: &Shop) -> Vec<String> {
    let own = plan.order.lines.iter().filter(|of| of.supplier == supplier);
    let each = own.map(|of| {
        let cost = of.cost.map(|cost| format!(", {}", money(cost, shop))).unwrap_or_default();
        format!("{}{cost}", line(of, offer(of, shop), shop))
    });
    let bill = plan.order.bills.iter().find(|bill| bill.supplier == supplier);
    each.chain(bill.and_then(|bill| refused(bill, shop))).collect()
}

/// That a supplier takes no order as small as this.
pub(crate) fn refused(bill: &Bill, shop: &Shop) -> Option<String> {
    let minimum = bill.refused_below(shop)?;
    Some(format!(
        "! Refused as it stands, below the minimum of {}: ask them first whether they take it, or \
         add what you can use.",
        money(minimum, shop)
    ))
}
