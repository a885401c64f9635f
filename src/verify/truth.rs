//! What the shop's data says by itself: the true rails, runs, joints and worths.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::days;
use crate::measure::{Length, Mitre, Worth};
use crate::rails::Side;
use crate::shop::{
    Cutter, Flaw, Form, Frame, Kind, Layer, Lengths, Moulding, Offer, Shop, Supplier,
};

/// One rail as it must be.
#[derive(Debug, Clone, Copy)]
pub(super) struct TrueRail {
    pub long_point: Length,
    pub rabbet: Length,
    pub sight: Length,
}

/// The rails of one layer, in cutting order.
pub(super) type TrueRails = Vec<(Side, TrueRail)>;

/// The rails of each layer of a frame, innermost first.
pub(super) fn true_rails(shop: &Shop, frame: &Frame) -> Vec<TrueRails> {
    let (mut across, mut up) = (frame.width, frame.height);
    let mut rabbet = (across, up);
    let mut layers = Vec::new();
    for layer in &frame.layers {
        let moulding = &shop.mouldings[&layer.moulding];
        let mark = shop.settings.mark;
        let is_strip = moulding.kind == Kind::BuildOut;
        let (lying, standing) = match &layer.window {
            _ if is_strip => {
                let ends = moulding.width + moulding.width;
                (butted(rabbet.0 + ends, mark), butted(rabbet.1, mark))
            }
            // Round a mat's opening: longer by all of the fillet that is not seen in it.
            Some(window) => {
                let hidden = moulding.width - window.seen;
                let round = |opening| sized(opening, (moulding.width, hidden), frame.mitre, mark);
                (round(window.width), round(window.height))
            }
            None => {
                let room = room(shop, layer, moulding);
                let behind = moulding.width - moulding.rabbet;
                let round = |size| sized(size + room, (moulding.width, behind), frame.mitre, mark);
                (round(across), round(up))
            }
        };
        let rails = match frame.mitre.sides() {
            4 => vec![
                (Side::Left, standing),
                (Side::Top, lying),
                (Side::Right, standing),
                (Side::Bottom, lying),
            ],
            sides => (1..=sides).map(|side| (Side::Nth(side), lying)).collect(),
        };
        if !is_strip && layer.window.is_none() {
            rabbet = (lying.rabbet, standing.rabbet);
        }
        (across, up) = if is_strip || layer.window.is_some() {
            (across, up)
        } else if frame.mitre.sides() == 4 {
            (lying.long_point, standing.long_point)
        } else {
            let flats = frame.mitre.over_tan_up(lying.long_point);
            (flats, flats)
        };
        layers.push(rails);
    }
    layers
}

/// What a package gets beyond its size: the allowance, or a floater's two gaps.
fn room(shop: &Shop, layer: &Layer, moulding: &Moulding) -> Length {
    if moulding.kind == Kind::Floater {
        return layer.gap + layer.gap;
    }
    layer.allowance.or(moulding.allowance).unwrap_or(shop.settings.allowance)
}

/// A rail of a face `width`, of which `behind` is outside the rabbet, round an opening of
/// `size` from rabbet to rabbet (allowance included).
fn sized(size: Length, (width, behind): (Length, Length), mitre: Mitre, mark: Length) -> TrueRail {
    let behind = Length::from_nm(2 * behind.nm());
    let exact = mitre.tan_up(size + behind).nm();
    let marks = exact.div_euclid(mark.nm()) + i64::from(exact.rem_euclid(mark.nm()) != 0);
    let long_point = Length::from_nm(marks * mark.nm());
    TrueRail {
        long_point,
        rabbet: long_point - mitre.tan_down(behind),
        sight: long_point - mitre.tan_down(Length::from_nm(2 * width.nm())),
    }
}

/// A strip of a build-out: as long on every edge, on the bench mark.
fn butted(length: Length, mark: Length) -> TrueRail {
    let marks =
        length.nm().div_euclid(mark.nm()) + i64::from(length.nm().rem_euclid(mark.nm()) != 0);
    let length = Length::from_nm(marks * mark.nm());
    TrueRail { long_point: length, rabbet: length, sight: length }
}

/// The mitre at which a moulding is cut for a frame: build-outs square.
pub(super) fn true_mitre(moulding: &Moulding, frame: &Frame) -> Mitre {
    if moulding.kind == Kind::BuildOut { Mitre::BUTT } else { frame.mitre }
}

/// What is lost between two rails of a mitre: passes x kerf / cos + nick.
pub(super) fn joint_loss(cutter: &Cutter, mitre: Mitre) -> Length {
    let dust = Length::from_nm(cutter.kerf.nm() * i64::from(cutter.passes));
    mitre.over_cos_up(dust) + cutter.nick
}

/// By how much neighbours cut head to tail overlap: W tan theta, rounded down.
pub(super) fn overlap(moulding: &Moulding, mitre: Mitre) -> Length {
    if moulding.kind == Kind::Reversible { mitre.tan_down(moulding.width) } else { Length::ZERO }
}

/// The stretches of a stick in which a rail may lie. A flaw narrower than
/// `widest`, the widest joint, counts as that wide.
pub(super) fn runs(
    cutter: &Cutter,
    length: Length,
    flaws: &[Flaw],
    widest: Length,
) -> Vec<(Length, Length)> {
    let end = length - cutter.last_trim.max(cutter.grip);
    let begins = flaws.iter().map(|flaw| flaw.to.max(flaw.from + widest));
    let begins = std::iter::once(cutter.first_trim).chain(begins);
    let ends = flaws.iter().map(|flaw| flaw.from.min(end)).chain(std::iter::once(end));
    let mut cleared = Length::ZERO;
    let mut runs = Vec::new();
    for (begin, end) in begins.zip(ends) {
        cleared = cleared.max(begin);
        if cleared < end {
            runs.push((cleared, end));
        }
    }
    runs
}

/// What a new stick of this length costs, in thousandths of a minor unit, or of
/// a millimetre where the moulding has no price.
pub(super) fn price(moulding: &Moulding, length: Length) -> Worth {
    let (rate, per) = moulding.rate();
    worth_of(i128::from(length.nm()) * i128::from(rate.0), i128::from(per.nm()))
}

/// What a piece is worth on the rack: nothing under `keep`, from the shop's
/// share of its price at `keep` rising in a straight line to the whole of it at
/// the usual stick length.
pub(super) fn worth(shop: &Shop, moulding: &Moulding, length: Length) -> Worth {
    let keep = shop.settings.keep;
    if length < keep || !length.is_positive() {
        return Worth(0);
    }
    if length >= moulding.stick {
        return price(moulding, length);
    }
    let (rate, per) = moulding.rate();
    let (share, of) = share(shop, moulding, length);
    let full_price = i128::from(length.nm()) * i128::from(rate.0);
    worth_of(full_price * share, i128::from(per.nm()) * of)
}

/// The share of its price that a piece is worth that is kept and shorter than the usual
/// stick, as a fraction: on the straight line between the lengths about it that the shop
/// has written down, the least that is kept and the usual stick among them.
pub(super) fn share(shop: &Shop, moulding: &Moulding, length: Length) -> (i128, i128) {
    const MILLION: i128 = 1_000_000;
    let mut below = (shop.settings.keep, i128::from(shop.settings.worth));
    let mut above = (moulding.stick, MILLION);
    for &(at, share) in moulding.worths.iter().rev().filter(|(at, _)| *at > length) {
        above = (at, i128::from(share));
    }
    for &(at, share) in moulding.worths.iter().filter(|(at, _)| *at <= length) {
        below = (at, i128::from(share));
    }
    let rise = i128::from((above.0 - below.0).nm());
    let risen = i128::from((length - below.0).nm());
    (below.1 * (rise - risen) + above.1 * risen, MILLION * rise)
}

fn worth_of(over: i128, under: i128) -> Worth {
    Worth(i64::try_from(over.div_euclid(under)).unwrap_or(i64::MAX))
}

/// The true rails of every frame of a shop, by ticket number.
pub(super) fn all_rails(shop: &Shop) -> BTreeMap<&str, Vec<TrueRails>> {
    shop.frames.iter().map(|frame| (frame.id.as_str(), true_rails(shop, frame))).collect()
}

/// The lengths in which new sticks of a moulding can come on a day: as offered,
/// of random lengths the shortest, halved where that is done; the usual length
/// where the shop has no offers at all.
pub(super) fn new_lengths(shop: &Shop, moulding: &Moulding, date: Date) -> BTreeSet<Length> {
    if shop.offers.is_empty() {
        return BTreeSet::from([moulding.stick]);
    }
    let offers = shop.offers.iter().filter(|offer| offer.moulding == moulding.id);
    offers.flat_map(|offer| pieces(shop, offer, date)).map(|piece| piece.length).collect()
}

/// A stick as an offer sells it and as it arrives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct SoldPiece {
    pub stick: Length,
    pub length: Length,
    pub halved: bool,
    /// Whether it makes its parcel long.
    pub long: bool,
}

/// What is planned for a supplier's saw when sticks are halved.
const HALVING: Length = Length::from_mm(3);

/// Whether an offer can be ordered on a day.
pub(super) fn is_sold_on(supplier: &Supplier, offer: &Offer, date: Date) -> bool {
    let dates = &offer.dates;
    let over = !days::is_taken(supplier, date) || dates.until.is_some_and(|last| last < date);
    let not_yet = [dates.from, dates.out_until].into_iter().flatten().any(|first| first > date);
    !over && !not_yet
}

/// The pieces of an offer of sticks that can be ordered on a day.
pub(super) fn pieces(shop: &Shop, offer: &Offer, date: Date) -> Vec<SoldPiece> {
    let supplier = &shop.suppliers[&offer.supplier];
    if !is_sold_on(supplier, offer, date) || matches!(offer.form, Form::Chop { .. }) {
        return Vec::new();
    }
    let sold = match &offer.lengths {
        Lengths::These(lengths) => lengths.iter().map(|length| (*length, *length)).collect(),
        Lengths::Between(from, to) => vec![(*from, *to)],
    };
    let mut pieces = Vec::new();
    for (stick, longest) in sold {
        let long = supplier.long.is_some_and(|long| longest > long.over);
        pieces.push(SoldPiece { stick, length: stick, halved: false, long });
        let half = Length::from_nm(stick.nm() / 2) - HALVING;
        if long && supplier.halves && half > shop.settings.keep {
            let is_still = |over: Length| longest.nm() / 2 > over.nm();
            let long = supplier.long.is_some_and(|long| is_still(long.over));
            pieces.push(SoldPiece { stick, length: half, halved: true, long });
        }
    }
    pieces
}
