//! Draws whole shop folders, as text, that are valid and as nasty as can be.

mod machines;
mod market;
mod pile;
mod profiles;
mod rack;
mod table;

use std::collections::BTreeMap;

use super::numbers::Numbers;
use table::Speller;

/// The files of a shop folder.
pub type Folder = BTreeMap<String, Vec<u8>>;

/// What a shop is like as a whole, so that its files go together.
pub struct Flavour {
    pub speller: Speller,
    /// Millimetres: the shortest offcut kept.
    pub keep: i64,
    pub cutters: usize,
    /// Whether everything is drawn from few figures, so that all is equal.
    pub ties: bool,
    /// Whether many frames are due on one day for one moulding.
    pub crowded: bool,
    /// Whether mitres are mixed.
    pub polygons: bool,
    /// Whether there are suppliers.
    pub market: bool,
}

impl Flavour {
    /// A figure: from `few` where all is to be equal, else any between the ends of
    /// them, in thousandths where the shop is so fine.
    pub fn mm(&self, numbers: &mut Numbers, few: &[i64]) -> i64 {
        let (least, most) = (few.iter().min().unwrap(), few.iter().max().unwrap());
        if self.ties || numbers.one_in(3) {
            return numbers.one_of(few) * 1000;
        }
        match numbers.within(0, 3) {
            0 => numbers.within(*least * 1000, *most * 1000),
            1 => numbers.within(*least * 10, *most * 10) * 100,
            _ => numbers.within(*least, *most) * 1000,
        }
    }
}

/// The shop of a seed.
pub fn shop(seed: u64) -> Folder {
    let numbers = &mut Numbers(seed.wrapping_mul(0x2545_f491_4f6c_dd1d) ^ 0x6e61_7374_7921);
    let flavour = Flavour {
        speller: Speller { inches: numbers.one_in(2) },
        keep: numbers.one_of(&[0, 1, 100, 200, 200, 400, 400, 600, 1_199]),
        cutters: numbers.one_of(&[1, 1, 2, 3]),
        ties: numbers.one_in(3),
        crowded: numbers.one_in(30),
        polygons: numbers.one_in(3),
        market: numbers.one_in(2),
    };
    let mouldings = profiles::draw(numbers, &flavour);
    let mut folder = Folder::new();
    let mut put = |name: &str, text: String| {
        folder.insert(name.to_owned(), text.into_bytes());
    };
    put("shop.toml", machines::toml(numbers, &flavour));
    put("mouldings.csv", profiles::table(numbers, &flavour, &mouldings));
    put("frames.csv", pile::table(numbers, &flavour, &mouldings));
    put("rack.csv", rack::table(numbers, &flavour, &mouldings));
    if flavour.market {
        let suppliers = market::suppliers(numbers, &flavour);
        put("suppliers.csv", suppliers.0);
        put("offers.csv", market::offers(numbers, &flavour, &mouldings, suppliers.1));
    }
    folder
}
