//! What a frame is sold for: footage at list price, marked up, labour, tax, rounded.
//!
//! Nothing here asks what is on the rack: a price list is the same whatever is left
//! over today. Every rule is the shop's own, and one that it leaves out adds nothing.

use jiff::civil::Date;

use crate::measure::{Length, Money, Rate, Unit, Worth};
use crate::rails::{frame_footage, frame_rails};
use crate::shop::price::MILLION;
use crate::shop::{Footage, Frame, Layer, Moulding, Offer, PriceRules, Shop};

/// The price of one copy of a frame, and what it is made of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FramePrice {
    /// Each moulding, innermost first.
    pub layers: Vec<LayerPrice>,
    /// What is charged for what a job takes beside moulding.
    pub pieces: Money,
    /// The materials of the job that have no price, and are not in it.
    pub without: Vec<String>,
    /// What is charged beside them.
    pub labour: Money,
    /// What is added to reach the least price of a frame.
    pub to_minimum: Money,
    /// What is added to reach the next round price, without the tax in it.
    pub to_round: Money,
    /// The tax of one copy; in the price if the shop says prices with tax.
    pub tax: Money,
    /// The share that it is, in millionths.
    pub tax_share: u32,
    /// Whether the tax is in `said`.
    pub tax_in: bool,
    /// The price that is said.
    pub said: Money,
}

/// One moulding of a frame's price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LayerPrice {
    /// Which moulding.
    pub moulding: String,
    /// What is charged for: footage with waste, up to the next step.
    pub footage: Length,
    /// What that costs the shop at list price.
    pub list: Worth,
    /// What list cost is multiplied by, in millionths.
    pub markup: u64,
    /// Both together.
    pub price: Worth,
}

impl FramePrice {
    /// What all moulding costs at list price.
    pub fn list(&self) -> Money {
        self.layers.iter().map(|layer| layer.list).sum::<Worth>().to_money()
    }

    /// What is said for so many copies.
    pub fn all(&self, copies: u32) -> Money {
        Money(self.said.0 * i64::from(copies))
    }

    /// The tax of so many copies on one bill: of their sum, not summed from rounded ones.
    pub fn tax_of(&self, copies: u32) -> Money {
        tax(self.all(copies), (self.tax_share, self.tax_in))
    }

    /// What is paid for so many: the price that is said, and the tax if it is not in it.
    pub fn paid(&self, copies: u32) -> Money {
        let all = self.all(copies);
        if self.tax_in { all } else { all + self.tax_of(copies) }
    }
}

/// What the moulding of one copy costs at list price by the trade's rule of thumb, for
/// shops that have written down no rules; `None` where one has no price.
pub fn list_cost(shop: &Shop, frame: &Frame) -> Option<Money> {
    let layers = frame.layers.iter().zip(frame_footage(shop, frame));
    let cost = |(layer, footage): (&Layer, Length)| {
        Some(rate(shop.moulding(&layer.moulding))?.of(footage))
    };
    Some(layers.map(cost).sum::<Option<Worth>>()?.to_money())
}

/// The price of one copy; `None` where the shop has no rules for prices, or a moulding
/// has no price.
///
/// Footage is made whole nanometres upwards, money is rounded to the nearest thousandth
/// of a minor unit for each moulding and to the nearest minor unit for their sum, halves
/// up.
pub fn price(shop: &Shop, frame: &Frame) -> Option<FramePrice> {
    price_with(shop, frame, Worth(0))
}

/// The same with so much for what a job takes beside moulding.
pub fn price_with(shop: &Shop, frame: &Frame, pieces: Worth) -> Option<FramePrice> {
    let rules = shop.settings.price.as_ref()?;
    let layers = frame.layers.iter().zip(footage(shop, rules, frame));
    let layers: Vec<LayerPrice> = layers
        .map(|(layer, footage)| of_layer(shop.moulding(&layer.moulding), rules, footage, shop))
        .collect::<Option<_>>()?;
    let labour = rules.labour_of(frame.width + frame.height);
    let moulding = layers.iter().map(|layer| layer.price).sum::<Worth>().to_money();
    let pieces = pieces.to_money();
    let bare = moulding + pieces + labour;
    let net = bare.max(rules.minimum);
    let taxed = if rules.tax_in { net + share_of(net, rules.tax) } else { net };
    let said = up_to(taxed, rules.round);
    let tax = tax(said, (rules.tax, rules.tax_in));
    Some(FramePrice {
        layers,
        pieces,
        without: Vec::new(),
        labour,
        to_minimum: net - bare,
        to_round: said - net - if rules.tax_in { tax } else { Money(0) },
        tax,
        tax_share: rules.tax,
        tax_in: rules.tax_in,
        said,
    })
}

fn of_layer(
    moulding: &Moulding,
    rules: &PriceRules,
    footage: Length,
    shop: &Shop,
) -> Option<LayerPrice> {
    let rate = rate(moulding)?;
    let list = rate.of(footage);
    let markup = rules.markup_of(moulding.class.as_deref()).at(rate.of(unit(shop)));
    let price = Worth(nearest(i128::from(list.0) * i128::from(markup), i128::from(MILLION)));
    Some(LayerPrice { moulding: moulding.id.clone(), footage, list, markup, price })
}

/// What a foot of a moulding (in millimetres a metre) costs by its list price, and what the
/// cheapest offer of it that holds on a day asks, where that is more; and whose that is. What
/// is chopped counts where nobody has it by the stick or the box any more, without its fee.
pub fn dearer_to_buy<'s>(
    shop: &'s Shop,
    moulding: &str,
    date: Date,
) -> Option<(Worth, Worth, &'s Offer)> {
    let list = rate(shop.moulding(moulding))?.of(unit(shop));
    let of_it = |offer: &&Offer| offer.moulding == moulding && offer.dates.hold_on(date);
    let cheapest = |price: fn(&Offer, Length) -> Option<Worth>| {
        let offers = shop.offers.iter().filter(of_it);
        let priced = offers.filter_map(|offer| Some((price(offer, unit(shop))?, offer)));
        priced.min_by_key(|(price, offer)| (*price, offer.row))
    };
    let (cheapest, offer) =
        cheapest(Offer::least_of).or_else(|| cheapest(Offer::least_of_rails))?;
    (cheapest > list).then_some((list, cheapest, offer))
}

/// How much of each moulding is charged for.
fn footage(shop: &Shop, rules: &PriceRules, frame: &Frame) -> Vec<Length> {
    let plain: Vec<Length> = match rules.footage {
        Footage::Rule => frame_footage(shop, frame),
        Footage::Rails => {
            let layers = frame_rails(shop, frame).into_iter();
            layers.map(|layer| layer.rails.iter().map(|rail| rail.long_point).sum()).collect()
        }
    };
    let charged = |plain: Length| {
        let more = i128::from(MILLION) + i128::from(rules.waste);
        let over = i128::from(plain.nm()) * more + i128::from(MILLION - 1);
        let wasted = i64::try_from(over / i128::from(MILLION)).unwrap_or(i64::MAX);
        let wasted = Length::from_nm(wasted);
        rules.footage_step.map_or(wasted, |step| wasted.round_up(step))
    };
    plain.into_iter().map(charged).collect()
}

/// The price by length, if there is one.
fn rate(moulding: &Moulding) -> Option<Rate> {
    let (amount, per) = moulding.rate();
    moulding.price.map(|_| Rate { amount, per })
}

/// The length that moulding is priced by: a foot, or a metre.
pub fn unit(shop: &Shop) -> Length {
    match shop.settings.unit {
        Unit::Inch => Length::from_64ths(12 * 64),
        Unit::Millimetre => Length::from_mm(1000),
    }
}

/// The tax of a sum, by its share; of a sum with tax in it its own part of it.
fn tax(sum: Money, (share, is_in): (u32, bool)) -> Money {
    match is_in {
        true => Money(nearest(
            i128::from(sum.0) * i128::from(share),
            i128::from(MILLION) + i128::from(share),
        )),
        false => share_of(sum, share),
    }
}

/// A share in millionths of an amount, to the nearest minor unit.
fn share_of(money: Money, share: u32) -> Money {
    Money(nearest(i128::from(money.0) * i128::from(share), i128::from(MILLION)))
}

/// The next whole multiple of a step.
fn up_to(money: Money, step: Money) -> Money {
    Money((money.0 + step.0 - 1).div_euclid(step.0) * step.0)
}

/// A quotient to the nearest whole number, halves up; of what is not less than zero.
pub(crate) fn nearest(over: i128, under: i128) -> i64 {
    i64::try_from((2 * over + under) / (2 * under)).unwrap_or(i64::MAX)
}
