//! Prices worked out on paper, from footage that was published where it could be.

use std::collections::BTreeMap;

use longpoint::measure::{Length, Mitre, Money, Worth};
use longpoint::price::{FramePrice, list_cost, price};
use longpoint::quote::{Wish, WishedLayer};
use longpoint::shop::{Frame, Shop, read_files};

/// A shop with these mouldings and these rules; `unit` and the allowance are its own.
pub fn shop(unit: &str, allowance: &str, mouldings: &str, rules: &str) -> Shop {
    let settings = format!(
        "name = \"Test\"\nunit = \"{unit}\"\nallowance = \"{allowance}\"\ncurrency = \"USD\"\n\
         default_cutter = \"c\"\n[offcuts]\nkeep = \"1\"\nworth = \"0\"\n[cutter.c]\nkerf = \"0\"\n\
         nick = \"0\"\nfirst_trim = \"0\"\nlast_trim = \"0\"\ngrip = \"0\"\nshortest = \"1\"\n\
         stop = \"long\"\n{rules}"
    );
    let mouldings = format!("moulding,width,rabbet,stick,price,per,class,kind\n{mouldings}");
    let files = [
        ("shop.toml", settings.as_str()),
        ("mouldings.csv", &mouldings),
        ("frames.csv", "frame,moulding,width,height\n"),
        ("rack.csv", "stick,moulding,length\n"),
    ];
    let files: BTreeMap<String, Vec<u8>> =
        files.iter().map(|(name, text)| (name.to_string(), text.as_bytes().to_vec())).collect();
    read_files(&files).unwrap_or_else(|faults| panic!("{faults}"))
}

pub fn frame(shop: &Shop, mouldings: &[&str], size: &str) -> Frame {
    let (width, height) = shop.settings.read_size(size).unwrap();
    let layer = |moulding: &&str| WishedLayer {
        moulding: (*moulding).to_owned(),
        gap: Length::ZERO,
        match_: None,
    };
    let layers = mouldings.iter().map(layer).collect();
    Wish { layers, width, height, mitre: Mitre::SQUARE, copies: 1, due: None, job: None }
        .frame(shop)
}

fn priced(shop: &Shop, mouldings: &[&str], size: &str) -> FramePrice {
    price(shop, &frame(shop, mouldings, size)).unwrap()
}

/// A framing how-to ("How to select the right length of moulding") works out 88 1/4 in,
/// 7.35 ft, for 16 x 20 of a 2 in face without a rabbet and with 1/16 in of play. At 3.00
/// a foot that is 22.0625; times three 66.1875, to the cent 66.19. In whole feet it is
/// eight: 24.00, and 72.00.
#[test]
fn rails_are_charged_by_length_or_by_whole_feet() {
    let moulding = "M,2,0,108,3.00,ft,,\n";
    let rules = "[price]\nfootage = \"rails\"\nmarkup = 3\n";
    let exact = priced(&shop("in", "1/16", moulding, rules), &["M"], "16x20");
    assert_eq!(exact.layers[0].footage, Length::from_64ths(88 * 64 + 16));
    assert_eq!((exact.layers[0].list, exact.said), (Worth(2_206_250), Money(6619)));
    let whole = format!("{rules}footage_step = \"1 ft\"\n");
    let whole = priced(&shop("in", "1/16", moulding, &whole), &["M"], "16x20");
    assert_eq!((whole.list(), whole.said), (Money(2400), Money(7200)));
}

/// A chop service's price page prints 1.64 m for 300 x 400 mm of a 30 mm face without a
/// rabbet. At 25.00 a metre that is 41.00; with a fifth of tax in it, 49.20, of which
/// 8.20 is tax (computed).
#[test]
fn metres_are_charged_with_tax_in_the_price_or_beside_it() {
    let moulding = "M,30,0,3000,25.00,m,,\n";
    let rules = "[price]\nfootage = \"rails\"\ntax = \"0.2\"\n";
    let beside = priced(&shop("mm", "0", moulding, rules), &["M"], "300x400");
    assert_eq!(beside.layers[0].footage, Length::from_mm(1640));
    assert_eq!((beside.said, beside.tax, beside.paid(1)), (Money(4100), Money(820), Money(4920)));
    let within = format!("{rules}tax_in = \"yes\"\n");
    let within = priced(&shop("mm", "0", moulding, &within), &["M"], "300x400");
    assert_eq!((within.said, within.tax, within.paid(1)), (Money(4920), Money(820), Money(4920)));
}

/// The trade's rule of thumb, perimeter and eight widths (common practice, no source):
/// 16 x 20 of a 1 1/4 in face takes 82 in. At 2.10 a foot that is 14.35. A tenth for waste
/// makes 90.2 in, in whole feet eight: 16.80, times 3.2 are 53.76. With 18.00 of labour
/// and rounded up to half a dollar, 72.00 (computed).
#[test]
fn the_rule_of_thumb_is_marked_up_and_rounded() {
    let rules = "[price]\nwaste = \"0.1\"\nfootage_step = \"1 ft\"\nmarkup = \"3.2; 2.8 from 3.00\"\n\
                 labour = \"14; 18 from 36; 25 from 60\"\nround = \"0.50\"\n";
    let shop = shop("in", "1/8", "M,1 1/4,1/4,120,2.10,ft,,\nD,1 1/4,1/4,120,3.00,ft,,\n", rules);
    let frame = frame(&shop, &["M"], "16x20");
    assert_eq!(list_cost(&shop, &frame), Some(Money(1435)));
    let made = price(&shop, &frame).unwrap();
    assert_eq!((made.list(), made.layers[0].price), (Money(1680), Worth(5_376_000)));
    assert_eq!((made.labour, made.to_round, made.said), (Money(1800), Money(24), Money(7200)));
    // From 3.00 a foot on the factor is lower: 24.00 times 2.8 are 67.20, 85.20 with
    // labour, 85.50. One sixty-fourth under 36 in of width and height is 14.00 of labour.
    assert_eq!(priced(&shop, &["D"], "16x20").said, Money(8550));
    assert_eq!(priced(&shop, &["D"], "16x19 63/64").labour, Money(1400));
}

/// A class has a factor of its own, and the least price of a frame comes before tax:
/// 5 x 7 of a 3/4 in face takes 30 in, 2.50 ft of 4.00 is 10.00 (computed).
#[test]
fn classes_and_the_least_price() {
    let moulding = "A,3/4,1/4,96,4.00,ft,,\nG,3/4,1/4,96,4.00,ft,gilded,\n";
    let rules =
        "[price]\nmarkup = 3\nminimum = 35\ntax = \"0.08\"\n[price.classes]\ngilded = \"4.5\"\n";
    let shop = shop("in", "0", moulding, rules);
    let plain = priced(&shop, &["A"], "5x7");
    assert_eq!((plain.to_minimum, plain.said, plain.tax), (Money(500), Money(3500), Money(280)));
    let gilded = priced(&shop, &["G"], "5x7");
    assert_eq!((gilded.to_minimum, gilded.said, gilded.tax), (Money(0), Money(4500), Money(360)));
}

/// A stack is priced moulding by moulding, the outer one of the outside of the inner:
/// 10 x 10 of a 1 in face with a rabbet of 1/2 in is 48 in by the rule; its outside is
/// 11 in, and 2 in of face round it 60 in. At 1.00 and 2.00 a foot 4.00 and 10.00, times
/// two 28.00 (computed).
#[test]
fn a_stack_is_priced_layer_by_layer() {
    let moulding = "I,1,1/2,96,1.00,ft,,\nO,2,1/2,96,2.00,ft,,\n";
    let shop = shop("in", "0", moulding, "[price]\nmarkup = 2\n");
    let made = priced(&shop, &["I", "O"], "10x10");
    let lists: Vec<Worth> = made.layers.iter().map(|layer| layer.list).collect();
    assert_eq!(lists, [Worth(400_000), Worth(1_000_000)]);
    assert_eq!(made.said, Money(2800));
}

/// The tax of a bill is that of its sum: twenty frames of 41.07 at 8 % were taxed twenty times
/// 3.29 (3.2856 rounded), 65.80, and are taxed 65.71 (65.712). With tax in the price, 44.36 of
/// which 3.29 is tax (3.2859), twenty times are 887.20 with 65.72 (65.7185) in it (computed).
#[test]
fn the_tax_of_several_copies_is_that_of_their_sum() {
    let moulding = "M,2,0,108,5.60,ft,,\n";
    let rules = "[price]\nfootage = \"rails\"\ntax = \"0.08\"\n";
    let beside = priced(&shop("in", "0", moulding, rules), &["M"], "16x20");
    assert_eq!((beside.said, beside.tax), (Money(4107), Money(329)));
    assert_eq!((beside.tax_of(20), beside.paid(20)), (Money(6571), Money(88_711)));
    let within = format!("{rules}tax_in = \"yes\"\n");
    let within = priced(&shop("in", "0", moulding, &within), &["M"], "16x20");
    assert_eq!((within.said, within.tax), (Money(4436), Money(329)));
    assert_eq!((within.tax_of(20), within.paid(20)), (Money(6572), Money(88_720)));
}

/// Without rules there is no price, without a list price neither a price nor a cost.
#[test]
fn what_is_not_known_is_not_priced() {
    let moulding = "M,2,0,108,3.00,ft,,\nN,2,0,108,,,,\n";
    let bare = shop("in", "0", moulding, "");
    let of = |shop: &Shop, moulding| frame(shop, &[moulding], "16x20");
    assert_eq!(price(&bare, &of(&bare, "M")), None);
    assert_eq!(list_cost(&bare, &of(&bare, "M")), Some(Money(2200)));
    let ruled = shop("in", "0", moulding, "[price]\nmarkup = 2\n");
    assert_eq!(price(&ruled, &of(&ruled, "N")), None);
    assert_eq!(list_cost(&ruled, &of(&ruled, "N")), None);
}

/// The highest of everything stays within its bounds.
#[test]
fn no_price_runs_over() {
    let moulding = "M,19000,0,50000,100000.00,stick,,\n";
    let rules = "[price]\nmarkup = 1000\nwaste = 1\nlabour = 100000\nminimum = 100000\n\
                 round = 100000\ntax = 1\ntax_in = \"yes\"\n";
    let made = priced(&shop("mm", "0", moulding, rules), &["M"], "10000x10000");
    assert!(made.said > Money(0) && made.said.0 % 10_000_000 == 0, "{made:?}");
}
