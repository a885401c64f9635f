//! Made-up orders: mouldings that several suppliers sell in several forms, and
//! frames that wait for them.

use longpoint::measure::{Length, Money, Worth};
use longpoint::shop::{
    Carton, Contact, Form, Freight, Lengths, LongParcel, Moulding, Offer, OfferDates, Per,
    PriceStep, Shop, Supplier,
};

use super::{Dice, Size, inches, shop};

/// A shop with an empty rack: `size.frames` frames of `size.mouldings` mouldings
/// wait, and `suppliers` suppliers sell each moulding by length from two of them,
/// by the box from one and chopped from one.
pub fn catalogue(seed: u64, size: Size, suppliers: usize) -> Shop {
    let mut dice = Dice::new(seed ^ 0x0DDE_5EED);
    let mut shop = shop(seed, Size { sticks: 0, ..size });
    let mouldings: Vec<Moulding> = shop.mouldings.values().cloned().collect();
    for number in 0..suppliers {
        let supplier = supplier(&mut dice, number);
        shop.suppliers.insert(supplier.id.clone(), supplier);
    }
    for moulding in &mouldings {
        let first = dice.place(suppliers);
        let second = (first + 1 + dice.place(suppliers - 1)) % suppliers;
        for (place, form) in [
            (first, Form::Length),
            (second, Form::Length),
            (first, Form::Box { holds: Carton::Sticks(10) }),
            (second, Form::Chop { least: inches(48), fee: Money(150) }),
        ] {
            let row = u64::try_from(shop.offers.len()).expect("a few hundred") + 2;
            shop.offers.push(offer(&mut dice, moulding, place, form, row));
        }
    }
    shop
}

/// A shop with an empty rack whose few mouldings every supplier sells in every
/// form: by length, by the box and chopped.
pub fn concentrated(seed: u64, size: Size, suppliers: usize) -> Shop {
    let mut dice = Dice::new(seed ^ 0x0C0C_5EED);
    let mut shop = shop(seed, Size { sticks: 0, ..size });
    let mouldings: Vec<Moulding> = shop.mouldings.values().cloned().collect();
    for number in 0..suppliers {
        let supplier = supplier(&mut dice, number);
        shop.suppliers.insert(supplier.id.clone(), supplier);
    }
    for moulding in &mouldings {
        for place in 0..suppliers {
            for form in [
                Form::Length,
                Form::Box { holds: Carton::Sticks(10) },
                Form::Chop { least: inches(48), fee: Money(150) },
            ] {
                let row = u64::try_from(shop.offers.len()).expect("a few hundred") + 2;
                shop.offers.push(offer(&mut dice, moulding, place, form, row));
            }
        }
    }
    shop
}

/// A shop with an empty rack and long price lists: each moulding by length and by the box
/// from one supplier, and every second by length from another.
pub fn listed(seed: u64, size: Size, suppliers: usize) -> Shop {
    let mut dice = Dice::new(seed ^ 0x0115_5EED);
    let mut shop = shop(seed, Size { sticks: 0, ..size });
    let mouldings: Vec<Moulding> = shop.mouldings.values().cloned().collect();
    for number in 0..suppliers {
        let supplier = supplier(&mut dice, number);
        shop.suppliers.insert(supplier.id.clone(), supplier);
    }
    for (number, moulding) in mouldings.iter().enumerate() {
        let first = dice.place(suppliers);
        let second = (first + 1 + dice.place(suppliers - 1)) % suppliers;
        let mut forms =
            vec![(first, Form::Length), (first, Form::Box { holds: Carton::Sticks(10) })];
        if number % 2 == 0 {
            forms.push((second, Form::Length));
        }
        for (place, form) in forms {
            let row = u64::try_from(shop.offers.len()).expect("a few thousand") + 2;
            shop.offers.push(offer(&mut dice, moulding, place, form, row));
        }
    }
    shop
}

/// The same, with all frames of the first few of its mouldings: what a shop sells most.
pub fn of_few(mut shop: Shop, few: usize) -> Shop {
    let ids: Vec<String> = shop.mouldings.keys().take(few).cloned().collect();
    let all: Vec<String> = shop.mouldings.keys().cloned().collect();
    for layer in shop.frames.iter_mut().flat_map(|frame| &mut frame.layers) {
        let place = all.iter().position(|id| *id == layer.moulding).expect("one of them");
        layer.moulding.clone_from(&ids[place % few]);
    }
    shop
}

fn supplier(dice: &mut Dice, number: usize) -> Supplier {
    let (full, free) = (dice.roll(15, 35) * 100, dice.roll(4, 9) * 10_000);
    Supplier {
        id: format!("SELLER-{number}"),
        name: format!("Seller {number}"),
        account: String::new(),
        contact: Contact::default(),
        discount: 0,
        minimum: Money(dice.roll(0, 3) * 5_000),
        freight: vec![
            Freight { from: Money(0), charge: Money(full) },
            Freight { from: Money(free / 2), charge: Money(full / 2) },
            Freight { from: Money(free), charge: Money(0) },
        ],
        small: None,
        lead_days: u16::try_from(dice.roll(2, 12)).expect("some days"),
        orders: Default::default(),
        cut_off: None,
        delivers: Default::default(),
        long: dice.chance(50).then_some(LongParcel { over: inches(108), charge: Money(1_800) }),
        refuses: false,
        halves: dice.chance(50),
        order_by: None,
        note: String::new(),
    }
}

fn offer(dice: &mut Dice, moulding: &Moulding, place: usize, form: Form, row: u64) -> Offer {
    let own = moulding.price.expect("every moulding of the dice has a price").amount.0;
    let (lengths, percent, step) = match form {
        Form::Length => (Lengths::These(vec![moulding.stick]), dice.roll(96, 108), Some(60)),
        Form::Box { .. } => (Lengths::These(vec![moulding.stick]), dice.roll(82, 90), None),
        Form::Chop { .. } => {
            (Lengths::Between(inches(4), Length::from_64ths(64 * 60)), dice.roll(165, 190), None)
        }
    };
    let price = own * percent / 100;
    let steps = step.map(|from| PriceStep { from, price: Worth(price * 93 / 100) });
    Offer {
        supplier: format!("SELLER-{place}"),
        moulding: moulding.id.clone(),
        code: String::new(),
        form,
        lengths,
        price: Worth(price),
        per: Per::Foot,
        discount: 0,
        steps: steps.into_iter().collect(),
        least_count: 1,
        dates: OfferDates::default(),
        note: String::new(),
        row,
        listed: None,
    }
}
