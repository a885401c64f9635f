//! `longpoint offer`: a supplier changed a price, or is out of something.

use std::io::Write;
use std::path::PathBuf;

use jiff::civil::Date;

use super::opened::{done, open_book, say};
use super::signed::{BOOK, Signed};
use crate::book::{OfferChange, StockChange, WhichOffers};
use crate::cli::plan;
use crate::shop::{Form, Offer, Shop};

/// What `longpoint offer` is told.
#[derive(Debug, clap::Args)]
#[command(group(clap::ArgGroup::new("change").required(true).multiple(true)
    .args(["price", "out_until", "out", "back"])))]
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
    /// Not to be had before this day
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = plan::date, conflicts_with_all = ["out", "back"])]
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
    let change = OfferChange { price: args.price.clone(), stock };
    let offers = done(book.change_offers(&which, &change, &args.signed.stamp()?))?;
    let shop = done(book.shop())?;
    for offer in &offers {
        say(out, &words(offer, &shop))?;
    }
    Ok(())
}

/// An offer as it reads now.
fn words(offer: &Offer, shop: &Shop) -> String {
    let form = match offer.form {
        Form::Length => "by the length",
        Form::Box { .. } => "by the box",
        Form::Chop { .. } => "chopped",
    };
    let stock = match offer.dates.out_until {
        None => "to be had".to_owned(),
        Some(Date::MAX) => "not to be had".to_owned(),
        Some(day) => format!("not to be had before {day}"),
    };
    let currency = &shop.settings.currency;
    let price = currency.show_fine(offer.price);
    let price = price.strip_suffix("000").unwrap_or(&price);
    format!(
        "{}: {} of {} {form}, {price} {}, {stock}.",
        offer.place(),
        offer.moulding,
        offer.supplier,
        currency.code()
    )
}
