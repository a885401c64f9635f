//! `longpoint offer`: a supplier changed a price, or is out of something.

use std::io::Write;
use std::path::PathBuf;

use jiff::civil::Date;

use super::opened::{done, open_book, say};
use super::signed::{BOOK, Signed};
use crate::book::{OfferChange, StockChange, WhichOffers, steps_typed};
use crate::cli::clock;
use crate::shop::{Form, Offer, Per, Shop, odd_move};

/// What `longpoint offer` is told.
#[derive(Debug, clap::Args)]
#[command(group(clap::ArgGroup::new("change").required(true).multiple(true)
    .args(["price", "steps", "out_until", "out", "back"])))]
pub struct OfferArgs {
    /// The book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
    /// Whose offer
    #[arg(long, value_name = "SUPPLIER", value_parser = super::signed::code)]
    pub supplier: String,
    /// Of which moulding
    #[arg(long, value_name = "MOULDING", value_parser = super::signed::code)]
    pub moulding: String,
    /// Only by the length, the box or the chop
    #[arg(long, value_name = "FORM", value_parser = ["length", "box", "chop"])]
    pub form: Option<String>,
    /// Only the offer in this row of offers.csv
    #[arg(long, value_name = "ROW")]
    pub row: Option<u64>,
    /// What it costs from now on
    #[arg(long, value_name = "PRICE")]
    pub price: Option<String>,
    /// What it costs for more from now on, as in offers.csv, or none
    #[arg(long, value_name = "STEPS")]
    pub steps: Option<String>,
    /// Not to be had before this day
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = clock::date, conflicts_with_all = ["out", "back"])]
    pub out_until: Option<Date>,
    /// Not to be had, nobody knows how long
    #[arg(long, conflicts_with = "back")]
    pub out: bool,
    /// To be had again
    #[arg(long)]
    pub back: bool,
    #[command(flatten)]
    signed: Signed,
}

/// Writes it down.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) if there is no such offer, or what is
/// written would be a fault.
pub fn run(args: &OfferArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let which = WhichOffers {
        supplier: args.supplier.clone(),
        moulding: args.moulding.clone(),
        form: args.form.clone(),
        row: args.row,
    };
    let stock = match args.out_until {
        Some(day) => Some(StockChange::OutUntil(day)),
        None if args.out => Some(StockChange::Out),
        None => args.back.then_some(StockChange::Back),
    };
    let (price, steps) = (args.price.clone(), args.steps.clone());
    let change = OfferChange { price, steps, stock };
    let stamp = args.signed.stamp()?;
    let offers = done(book.change_offers(&which, &change, &stamp))?;
    let shop = done(book.shop())?;
    for (was, now) in &offers {
        say(out, &words((was, now), stamp.at.date(), &shop))?;
    }
    Ok(())
}

/// An offer as it reads now, beside what it was.
fn words((was, now): (&Offer, &Offer), today: Date, shop: &Shop) -> String {
    let form = match now.form {
        Form::Length => "by the length",
        Form::Box { .. } => "by the box",
        Form::Chop { .. } => "chopped",
    };
    let currency = &shop.settings.currency;
    let per = match now.per {
        Per::Foot => "a foot",
        Per::Metre => "a metre",
        Per::Stick => "a stick",
        Per::Box => "a box",
    };
    let by_length = now.per.length().is_some();
    let odd = odd_move(was.price, now.price, by_length)
        .map(|odd| format!(" The price is {odd}: is that so? \"longpoint undo\" takes it back."));
    let before = match was.price == now.price {
        true => String::new(),
        false => format!(" ({} before)", currency.show_price(was.price)),
    };
    let more = match (steps_typed(was, shop), steps_typed(now, shop)) {
        (was, now) if was == now && now.is_empty() => String::new(),
        (was, now) if was == now => format!("; for more {now}, as before"),
        (was, now) if now.is_empty() => format!("; no other price for more ({was} before)"),
        (was, now) if was.is_empty() => format!("; for more {now}"),
        (was, now) => format!("; for more {now} ({was} before)"),
    };
    format!(
        "{}: {} of {} {form}, {} {} {per}{before}{more}; {}.{}",
        now.place(),
        now.moulding,
        now.supplier,
        currency.show_price(now.price),
        currency.code(),
        stock(now, today),
        odd.unwrap_or_default()
    )
}

/// Whether it is to be had, by its dates too.
fn stock(offer: &Offer, today: Date) -> String {
    let ends = offer.dates.until;
    match offer.dates.out_until {
        _ if ends.is_some_and(|last| last < today) => {
            format!("it held until {} and is not bought by any more", ends.unwrap_or(today))
        }
        Some(Date::MAX) => "not to be had".to_owned(),
        Some(day) if ends.is_some_and(|last| last < day) => format!(
            "not to be had before {day}, and it holds until {} only: nothing is bought by it",
            ends.unwrap_or(day)
        ),
        Some(day) if day > today => format!("not to be had before {day}"),
        Some(day) => format!("to be had (it was out until {day})"),
        None => "to be had".to_owned(),
    }
}
