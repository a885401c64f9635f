//! What a job is sold for: its frame, and what else it takes.

use super::piece::{JobPiece, PieceSize};
use super::sheet::JobSheet;
use crate::measure::{Length, Worth};
use crate::price::{FramePrice, nearest, price_with};
use crate::shop::{MaterialPer, MaterialPrice, SQUARE_FOOT, SQUARE_METRE, Shop, ShopMaterial};

/// One piece of a job's price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PiecePrice {
    /// The material's code.
    pub material: String,
    /// What it costs the shop, with waste; nothing where it has no price.
    pub list: Option<Worth>,
    /// What it is sold for.
    pub price: Option<Worth>,
}

/// What each material of one copy costs and is sold for; empty where the shop has no
/// rules for prices.
pub fn pieces_price(shop: &Shop, sheet: &JobSheet) -> Vec<PiecePrice> {
    let Some(rules) = &shop.settings.price else { return Vec::new() };
    let mut prices: Vec<PiecePrice> = Vec::new();
    for piece in &sheet.pieces {
        let Some(code) = &piece.material else { continue };
        let cost = of_piece(piece, &shop.materials[code]);
        let list = cost.map(|cost| cost + share(cost, u64::from(rules.materials_waste)));
        let sold = list.map(|list| share(list, rules.materials));
        match prices.iter_mut().find(|price| price.material == *code) {
            Some(price) => {
                let sum = |a: Option<Worth>, b: Option<Worth>| Some(a? + b?);
                (price.list, price.price) = (sum(price.list, list), sum(price.price, sold));
            }
            None => prices.push(PiecePrice { material: code.clone(), list, price: sold }),
        }
    }
    prices
}

/// The price of one copy with everything that has a price, and what has none; nothing
/// without rules, or without a price of its moulding.
pub fn job_price(shop: &Shop, sheet: &JobSheet) -> Option<FramePrice> {
    let pieces = pieces_price(shop, sheet);
    let priced = pieces.iter().filter_map(|piece| piece.price);
    let price = price_with(shop, &sheet.frame, priced.sum())?;
    let without = pieces.into_iter().filter(|piece| piece.price.is_none());
    Some(FramePrice { without: without.map(|piece| piece.material).collect(), ..price })
}

fn of_piece(piece: &JobPiece, material: &ShopMaterial) -> Option<Worth> {
    let MaterialPrice { amount, per } = material.price?;
    let nm = |length: Length| i128::from(length.nm());
    let (over, under) = match (piece.size, per) {
        (_, MaterialPer::Piece) => (1, 1),
        (PieceSize::Sheet(width, height), per) => {
            let of = match per {
                MaterialPer::SquareMetre => SQUARE_METRE,
                MaterialPer::SquareFoot => SQUARE_FOOT,
                _ => material.sheets.first().map(|(w, h)| nm(*w) * nm(*h))?,
            };
            (nm(width) * nm(height), of)
        }
        (PieceSize::Long(length), MaterialPer::Foot) => (nm(length), 304_800_000),
        (PieceSize::Long(length), _) => (nm(length), 1_000_000_000),
        (PieceSize::Whole, _) => (1, 1),
    };
    let cost = nearest(i128::from(amount.0) * over * i128::from(piece.count), under);
    Some(Worth(cost))
}

/// So many millionths of a worth.
fn share(of: Worth, millionths: u64) -> Worth {
    Worth(nearest(i128::from(of.0) * i128::from(millionths), 1_000_000))
}
