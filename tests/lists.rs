//! Price lists as suppliers send them: what is read of one, what is kept aside, what is
//! refused, and what changed from one to the next.

use std::collections::BTreeMap;

use insta::assert_snapshot;
use longpoint::measure::{Length, Worth};
use longpoint::shop::{Form, Lengths, Shop, doubts, list_changes, listed_prices, read_files};

type Files = BTreeMap<String, Vec<u8>>;

const SHOP: &str = r#"name = "Test Bench"
unit = "in"
allowance = "1/8"
currency = "USD"
default_cutter = "chopper"
[offcuts]
keep = "12"
worth = "0.5"
[cutter.chopper]
kerf = "0"
nick = "1/16"
first_trim = "1"
last_trim = "1"
grip = "0"
shortest = "5"
stop = "rabbet"
"#;

const SECTION: &str = r#"[import."HAZEL"]
file = "hazel.csv"
code = "Art no"
form = "Sold"
lengths = "Long"
price = "Trade"
per = "= ft"
box = "Carton"
note = "Remark"
"#;

const HEAD: &str = "Hazel Mouldings,,,,,,\nArt no,Name,Sold,Long,Trade,Carton,Remark\n";

fn files(section: &str, list: &str, offers: &str) -> Files {
    let texts = [
        ("shop.toml", format!("{SHOP}{section}")),
        (
            "mouldings.csv",
            "moulding,width,rabbet,stick\nASH-20,3/4,1/4,120\nBLK-20,3/4,1/4,108\n".to_owned(),
        ),
        ("frames.csv", "frame,moulding,width,height\n1,ASH-20,8,10\n".to_owned()),
        ("rack.csv", "stick,moulding,length\n".to_owned()),
        ("suppliers.csv", "supplier,lead_days,discount\nHAZEL,3,0.1\nELM,3,\n".to_owned()),
        ("offers.csv", offers.to_owned()),
        ("hazel.csv", list.to_owned()),
    ];
    texts.into_iter().map(|(name, text)| (name.to_owned(), text.into_bytes())).collect()
}

fn shop(list: &str, offers: &str) -> Shop {
    read_files(&files(SECTION, &format!("{HEAD}{list}"), offers))
        .unwrap_or_else(|faults| panic!("{faults}"))
}

fn faults(section: &str, list: &str, offers: &str) -> String {
    read_files(&files(section, list, offers)).unwrap_err().to_string()
}

const OFFERS: &str = "supplier,moulding,code,form,lengths,price,per,note\n";

fn inches(count: i64) -> Length {
    Length::from_64ths(64 * count)
}

#[test]
fn rows_of_the_shops_mouldings_are_offers_and_the_others_are_kept_aside() {
    let list = "ASH-20,Ash,length,96; 120,$2.35,,from stock\n\
                ASH-20,Ash,box,120,2.10,12,\n\
                ,Black range,,,,,\n\
                X-1,Not measured,length,108,on request,,\n\
                X-2,Not measured,by weight,?,POA,,\n";
    let shop = shop(list, OFFERS);
    let [plain, boxed] = shop.offers.as_slice() else { panic!("{:?}", shop.offers) };
    assert_eq!((plain.price, plain.code.as_str()), (Worth(235_000), "ASH-20"));
    assert_eq!(plain.lengths, Lengths::These(vec![inches(96), inches(120)]));
    assert_eq!((plain.note.as_str(), plain.discount), ("from stock", 1000));
    assert_eq!(plain.place(), "hazel.csv, row 3");
    assert!(matches!(boxed.form, Form::Box { .. }) && boxed.row != plain.row);
    let [list] = shop.lists.as_slice() else { panic!("{:?}", shop.lists) };
    assert_eq!((list.rows, list.used, list.aside, list.nameless), (5, 2, 2, 1));
}

#[test]
fn a_row_of_offers_takes_what_it_leaves_out_from_the_list() {
    let list = "H-77,Ash,,,\"$1,002.50\",,from stock\nBLK-20,Black,,,1.85,,\n";
    let rows = format!("{OFFERS}HAZEL,ASH-20,H-77,,96,,,\nHAZEL,BLK-20,,,,1.50,,last ones\n");
    let shop = shop(list, &rows);
    let [ash, black] = shop.offers.as_slice() else { panic!("{:?}", shop.offers) };
    assert_eq!((ash.price, ash.note.as_str()), (Worth(100_250_000), "from stock"));
    assert_eq!(ash.lengths, Lengths::These(vec![inches(96)]));
    assert_eq!((ash.row, &ash.listed), (2, &None));
    // A price of one's own stands, and the list has no other offer beside it.
    assert_eq!((black.price, black.note.as_str()), (Worth(150_000), "last ones"));
    assert_eq!(black.lengths, Lengths::These(vec![inches(108)]));
    assert_eq!((shop.lists[0].used, shop.lists[0].aside), (2, 0));
}

/// A list that is parted by semicolons has decimal commas where its prices have.
#[test]
fn a_list_is_read_as_it_is_parted() {
    for (by, price) in [(";", "1.002,50"), ("\t", "1,002.50"), ("\t", "1002.5")] {
        let head = HEAD.replace(',', by);
        let list = format!("{head}ASH-20{by}Ash{by}length{by}96{by}{price}{by}{by}\n");
        let shop = read_files(&files(SECTION, &list, OFFERS));
        let shop = shop.unwrap_or_else(|faults| panic!("{by:?} {price}: {faults}"));
        assert_eq!(shop.offers[0].price, Worth(100_250_000), "{by:?} {price}");
    }
}

#[test]
fn what_is_wrong_with_a_list_is_said_with_its_mend() {
    let list = format!("{HEAD}ASH-20,Ash,length,96,POA,,\nASH-20,Ash,box,120,\"1,950\",dozen,\n");
    assert_snapshot!(faults(SECTION, &list, OFFERS), @r#"
    hazel.csv, row 3, price: "POA" is no price (write your own for this code in a row of offers.csv, with no under out_until if it is not to be had; or take the row out of the list)
    hazel.csv, row 4, price: "1,950" could be 1950 or 1.950 (say decimal = "." or "," in the list's section of shop.toml, or write 1950 if it is that)
    hazel.csv, row 4, box: "dozen" is not one stick or more (write sticks as 12, or their length together as 100 ft)
    "#);
    let rows = format!(
        "{OFFERS}HAZEL,ASH-20,H-1,,,,,\nHAZEL,BLK-20,H-8,,,,,\nELM,ASH-20,H-7,length,96,,ft,\n"
    );
    let list = format!("{HEAD}H-7,Ash,length,96,2,,\nH-8,Ash,length,96,2,,\nH-8,Ash,box,96,2,9,\n");
    assert_snapshot!(faults(SECTION, &list, &rows), @r#"
    offers.csv, row 2, code: "H-1" is not in hazel.csv (did you mean H-7?)
    offers.csv, row 3, code: "H-8" stands in several rows of hazel.csv (write form and lengths of the one that is meant)
    offers.csv, row 4, price: is empty (write the price)
    "#);
    let twice = format!("{HEAD}ASH-20,Ash,length,96,2,,\nASH-20,Ash,length,96,3,,\n");
    assert_snapshot!(faults(SECTION, &twice, OFFERS), @r#"hazel.csv, row 4, code: "ASH-20" stands in row 3 as well, in the same form, length and days (write its price in a row of offers.csv, or take one of the two rows out of the list)"#);
}

/// What a row of offers.csv takes from the list is wrong where it stands in the list.
#[test]
fn a_wrong_cell_is_named_where_it_stands() {
    let rows = format!("{OFFERS}HAZEL,ASH-20,H-7,,,,,\n");
    let list = format!("{HEAD}H-6,Ash,length,96,2,,\nH-7,Ash,length,long,free,,\n");
    assert_snapshot!(faults(SECTION, &list, &rows), @r#"
    hazel.csv, row 4, lengths: "long" is not a length (write 12.5, 12 1/2 or 317.5 mm)
    hazel.csv, row 4, price: "free" is no price (write your own for this code in a row of offers.csv, with no under out_until if it is not to be had; or take the row out of the list)
    "#);
    let twice = HEAD.replace(",Remark", ",Remark,Trade");
    let list = format!("{twice}H-7,Ash,length,96,2,,,3\n");
    assert_snapshot!(faults(SECTION, &list, OFFERS), @"hazel.csv, row 2, Trade: stands twice in the header (take one of the two columns away)");
}

/// A list of two rows of these prices, its cells parted by semicolons.
fn of_prices(price: &str, other: &str) -> String {
    let head = HEAD.replace(',', ";");
    format!("{head}ASH-20;Ash;length;96;{price};;\nBLK-20;Black;length;96;{other};;\n")
}

/// The price of the first row of such a list, or its faults.
fn first_price(section: &str, list: &str) -> Result<Worth, String> {
    let shop = read_files(&files(section, list, OFFERS)).map_err(|faults| faults.to_string())?;
    Ok(shop.offers[0].price)
}

/// A price list had `1,234` and `4.85`, and the first was read as 1.234.
#[test]
fn a_mark_before_three_digits_is_read_as_the_rest_of_the_list_is_written() {
    for (price, other, read) in [
        ("1,234", "4.85", 123_400_000),
        ("1.234", "4.85", 123_400),
        ("1,234", "4,85", 123_400),
        ("1.234", "4,85", 123_400_000),
        ("1,234", "1,234.00", 123_400_000),
        ("1,234", "12.345,60", 123_400),
    ] {
        let list = of_prices(price, other);
        assert_eq!(first_price(SECTION, &list), Ok(Worth(read)), "{price} beside {other}");
    }
}

#[test]
fn a_mark_before_three_digits_is_asked_about_where_nothing_tells() {
    for price in ["1,234", "1.234", "$1,234"] {
        for other in ["12", "4.850", "4,850"] {
            let text = first_price(SECTION, &of_prices(price, other)).unwrap_err();
            let mend = "could be 1234 or 1.234 (say decimal = \".\" or";
            assert!(
                text.contains(&format!("hazel.csv, row 3, price: \"{price}\" {mend}")),
                "{text}"
            );
        }
    }
    // One word in shop.toml tells.
    for (decimal, price, read) in [
        (".", "1,234", 123_400_000),
        (".", "1.234", 123_400),
        (",", "1,234", 123_400),
        (",", "1.234", 123_400_000),
    ] {
        let section = format!("{SECTION}decimal = \"{decimal}\"\n");
        assert_eq!(first_price(&section, &of_prices(price, "12")), Ok(Worth(read)), "{decimal}");
    }
    let text = first_price(&format!("{SECTION}decimal = \"comma\"\n"), HEAD).unwrap_err();
    assert!(text.contains("is no sign of decimals (write \".\" or \",\")"), "{text}");
}

/// One of the two is a slip, and nobody but the supplier knows which.
#[test]
fn a_list_whose_prices_are_written_in_two_ways_is_refused() {
    assert_snapshot!(first_price(SECTION, &of_prices("4,85", "3.90")).unwrap_err(), @r#"hazel.csv, row 4, price: "3.90" has a decimal point, and row 3 a decimal comma: 4,85 (write all prices in one way, or have the list sent anew; decimal = "." or "," in the list's section of shop.toml says which is right)"#);
    let known = format!("{SECTION}decimal = \".\"\n");
    assert_snapshot!(first_price(&known, &of_prices("4,85", "3.90")).unwrap_err(), @r#"hazel.csv, row 3, price: "4,85" is not written as the list is, whose decimals have a point (write it as the others, or have the list sent anew)"#);
    // A length in such a list could be 2400 or 2.4.
    let list = of_prices("4,85", "12").replace(";96;", ";2.400 mm;");
    assert_snapshot!(first_price(SECTION, &list).unwrap_err(), @r#"hazel.csv, row 3, lengths: "2.400 mm" is not written as the list is, whose decimals have a comma (write it as the others, or have the list sent anew); the same in 1 more row"#);
}

/// A point or a figure that was lost in a price or a length made an order absurd, and `check`
/// had nothing to say.
#[test]
fn a_slip_in_a_price_or_a_length_is_pointed_at() {
    let of = |mouldings: &str, rows: &str| {
        let mut files = files("", "", &format!("supplier,moulding,form,lengths,price,per\n{rows}"));
        let head = "moulding,width,rabbet,stick,price,per\n";
        files.insert("mouldings.csv".to_owned(), format!("{head}{mouldings}").into_bytes());
        let shop = read_files(&files).unwrap_or_else(|faults| panic!("{faults}"));
        let is_of_offers = |doubt: &String| doubt.starts_with("offers.csv");
        doubts(&shop).into_iter().filter(is_of_offers).collect::<Vec<String>>()
    };
    let ash = "ASH-20,3/4,1/4,120,2.10,ft\n";
    // As dear by the stick as by the foot: 120 in at 2.35 a foot are 23.50 (computed).
    let usual = "HAZEL,ASH-20,length,96; 120,2.35,ft\nELM,ASH-20,length,120,23.50,stick\n";
    assert_eq!(of(ash, usual), [""; 0]);
    let tenfold = usual.replace("2.35,ft", "23.5,ft").replace("23.50,stick", "2.35,stick");
    let said = [
        "offers.csv, row 2: the price of ASH-20 is far above its price in mouldings.csv (is that so?)",
        "offers.csv, row 3: the price of ASH-20 is far below its price in mouldings.csv (is that so?)",
    ];
    assert_eq!(of(ash, &tenfold), said);
    // Without a price of its own it is held against its other offers.
    let bare = "ASH-20,3/4,1/4,120,,\n";
    let third = "HAZEL,ASH-20,length,108,210,ft\n";
    let said =
        ["offers.csv, row 4: the price of ASH-20 is far above its other offers (is that so?)"];
    assert_eq!(of(bare, &format!("{usual}{third}")), said);
    assert_eq!(of(bare, third), [""; 0], "nothing to hold it against");
    let short = "HAZEL,ASH-20,length,20; 96,2.35,ft\n";
    let said = [
        "offers.csv, row 2: ASH-20 is offered in 20 in, and its usual stick is 120 in (is that so?)",
    ];
    assert_eq!(of(ash, short), said);
    let chop = "HAZEL,ASH-20,chop,6 .. 60,30.00,ft\n";
    assert_eq!(of(ash, chop), [""; 0], "what is chopped is no stick");
}

/// A price for a metre that was read as for a foot passed, and so did a whole list of them.
#[test]
fn a_price_for_a_metre_that_was_read_as_for_a_foot_is_pointed_at() {
    let of = |mouldings: &str, rows: &str| {
        let head = "supplier,moulding,form,lengths,price,per\n";
        let mut files = files("", "", &format!("{head}{rows}"));
        let head = "moulding,width,rabbet,stick,price,per\n";
        files.insert("mouldings.csv".to_owned(), format!("{head}{mouldings}").into_bytes());
        let shop = read_files(&files).unwrap_or_else(|faults| panic!("{faults}"));
        let is_of_offers = |doubt: &String| doubt.contains("offers");
        doubts(&shop).into_iter().filter(is_of_offers).collect::<Vec<String>>()
    };
    let ash = "ASH-20,3/4,1/4,120,2.10,ft\n";
    // 2.10 a foot are 6.89 a metre (computed).
    let row = |price: &str, per: &str| format!("HAZEL,ASH-20,length,120,{price},{per}\n");
    let said = |row: u32, words: &str| {
        format!("offers.csv, row {row}: the price of ASH-20, for {words} (is that so?)")
    };
    let above = "a foot, is about 3 times its price in mouldings.csv, as if it were for a metre";
    assert_eq!(of(ash, &row("6.89", "ft")), [said(2, above)]);
    let below = "a metre, is about a third of its price in mouldings.csv, as if it were for a foot";
    assert_eq!(of(ash, &row("2.15", "m")), [said(2, below)]);
    for usual in [row("6.89", "m"), row("2.15", "ft"), row("3.90", "ft"), row("21.00", "stick")] {
        assert_eq!(of(ash, &usual), [""; 0], "{usual}");
    }
    // Without a price of its own, against its other offers: only the one that is too dear.
    let bare = "ASH-20,3/4,1/4,120,,\n";
    let two = row("2.10", "ft") + &row("6.89", "ft").replace("HAZEL", "ELM").replace("120", "96");
    let above = "a foot, is about 3 times its other offers, as if it were for a metre";
    assert_eq!(of(bare, &two), [said(3, above)]);
    let chops = "HAZEL,ASH-20,chop,6 .. 60,3.00,ft\nELM,ASH-20,chop,6 .. 60,9.84,ft\n";
    assert_eq!(of(ash, chops), [said(3, above)], "what is chopped against what is chopped");
    // Once a moulding, and of a list that is so throughout a few.
    let both = row("6.89", "ft") + &row("6.80", "ft").replace("120", "96");
    assert_eq!(of(ash, &both).len(), 1, "{:?}", of(ash, &both));
    let many: String = (0..40).map(|n| format!("M-{n},3/4,1/4,120,2.10,ft\n")).collect();
    let rows = (0..40).map(|n| row("6.89", "ft").replace("ASH-20", &format!("M-{n}")));
    let all = of(&format!("{bare}{many}"), &rows.collect::<String>());
    let ends = "35 more prices in offers of which the same is to be asked";
    assert_eq!((all.len(), all.last().map(String::as_str)), (6, Some(ends)), "{all:?}");
}

/// A list with a code twice was said to have lengths that are offered already.
#[test]
fn a_code_that_a_list_has_twice_is_named_with_a_mend_that_mends() {
    let twice = "ASH-20,Ash,length,96,2.10,,\nASH-20,Ash,length,96,2.35,,\n";
    let said = faults(SECTION, &format!("{HEAD}{twice}"), OFFERS);
    assert!(
        said.starts_with("hazel.csv, row 4, code: \"ASH-20\" stands in row 3 as well"),
        "{said}"
    );
    let own = format!("{OFFERS}HAZEL,ASH-20,,length,96,2.10,ft,\n");
    let shop = shop(twice, &own);
    assert_eq!((shop.offers.len(), shop.offers[0].price), (1, Worth(210_000)));
}

/// What most programs save where they are not asked.
#[test]
fn a_list_in_latin_1_is_named_as_such() {
    let mut list = format!("{HEAD}ASH-20,Ash,length,96,2.10,,f").into_bytes();
    list.extend(b"\xfcr Rahmen\nX-1,Not measured \xe4,length,96,2.10,,\n");
    let of = |section: &str, list: &[u8]| {
        let mut files = files(section, "", OFFERS);
        files.insert("hazel.csv".to_owned(), list.to_vec());
        read_files(&files).unwrap_err().to_string()
    };
    assert_snapshot!(of(SECTION, &list), @r#"hazel.csv, row 3, note: "f�r Rahmen" is not UTF-8 text, but most likely Windows-1252 or Latin-1 (save the file as UTF-8; a spreadsheet calls that "CSV UTF-8")"#);
    let section = SECTION.replace("Trade", "H\u{e4}ndler");
    let list: Vec<u8> = b"Art no;Sold;Long;H\xe4ndler;Carton;Remark\n".to_vec();
    assert_snapshot!(of(&section, &list), @r#"hazel.csv, row 1: is not UTF-8 text, but most likely Windows-1252 or Latin-1 (save the file as UTF-8; a spreadsheet calls that "CSV UTF-8")"#);
}

#[test]
fn what_is_wrong_with_what_shop_toml_says_of_a_list() {
    let section = SECTION.replace("Trade", "Trad").replace("Carton", "Box qty");
    assert_snapshot!(faults(&section, HEAD, OFFERS), @r#"
    shop.toml, line 17, import.HAZEL.box: "Box qty" is no column of hazel.csv (write a name of its header row)
    shop.toml, line 17, import.HAZEL.price: "Trad" is no column of hazel.csv (did you mean Trade?)
    "#);
    let section = "[import.HAZE]\nfile = \"../hazel.csv\"\ncode = \"Art no\"\nprize = \"Trade\"\n\
                   [import.OAK]\nfile = \"hazel.csv\"\ncode = \"Art no\"\nprice = \"Trade\"\n\
                   [import.ELM]\nfile = \"elm.csv\"\ncode = \"Art no\"\nprice = \"Trade\"\n";
    assert_snapshot!(faults(section, HEAD, OFFERS), @r#"
    elm.csv: is missing (put the list of ELM there, or mend file in shop.toml)
    shop.toml, line 18, import.HAZE.file: "../hazel.csv" is no name of a file beside shop.toml (write a name alone, such as list-2026.csv)
    shop.toml, line 20: "import.HAZE.prize" is not known here (did you mean price?)
    shop.toml, line 21, import.OAK: is not in suppliers.csv (add it there, or mend it here)
    "#);
    let old = SECTION.replace("[import.", "[list.");
    let said = faults(&old, HEAD, OFFERS);
    assert!(said.contains("\"list\" is not known here (did you mean import?)"), "{said}");
    assert_snapshot!(faults("[import.ELM]\nfile = \"rack.csv\"\ncode = 1\n", HEAD, OFFERS), @r#"
    shop.toml, line 17, import.ELM.price: is missing (write the list's column of prices, such as "Trade")
    shop.toml, line 18, import.ELM.file: "rack.csv" is no name of a file beside shop.toml (write a name alone, such as list-2026.csv)
    "#);
}

#[test]
fn what_changed_is_told_for_mouldings_that_the_shop_has() {
    let old = "ASH-20,Ash,length,96,2.00,,\nBLK-20,Black,length,108,3.00,,\nH-7,Ash,length,120,5,,\n\
               X-1,Not measured,length,96,1.00,,\nASH-20,Ash,chop,,4.00,,\n";
    let new = "ASH-20,Ash,length,96,2.10,,\nBLK-20,Black,length,108,2.70,,\nH-7,Ash,length,120,POA,,\n\
               X-1,Not measured,length,96,9.00,,\nBLK-20,Black,box,108,2.50,12,\n";
    let rows = format!("{OFFERS}HAZEL,ASH-20,H-7,length,120,5,,\n");
    let files = files(SECTION, &format!("{HEAD}{new}"), &rows);
    let shop = read_files(&files).unwrap_or_else(|faults| panic!("{faults}"));
    let prices = |other| listed_prices(&files, &shop, "HAZEL", other).unwrap();
    let text = format!("{HEAD}{old}");
    let was = prices(Some(("old.csv", text.as_bytes())));
    let changes = list_changes(&was, &prices(None));
    let named = |of: &longpoint::shop::ListedPrice| format!("{} {}", of.moulding, of.terms);
    let moved = |moved: &[(longpoint::shop::ListedPrice, Worth)]| -> Vec<(String, Worth)> {
        moved.iter().map(|(of, was)| (named(of), *was)).collect()
    };
    assert_eq!(moved(&changes.dearer), [("ASH-20 length, 96, ft".to_owned(), Worth(200_000))]);
    assert_eq!(moved(&changes.cheaper), [("BLK-20 length, 108, ft".to_owned(), Worth(300_000))]);
    let plain = |of: &[longpoint::shop::ListedPrice]| of.iter().map(named).collect::<Vec<_>>();
    assert_eq!(plain(&changes.gone), ["ASH-20 chop, ft"]);
    assert_eq!(plain(&changes.new), ["BLK-20 box, 108, 12, ft"]);
    assert_eq!(plain(&changes.unread), ["ASH-20 length, 120, ft"]);
    assert_eq!(changes.as_before, 0);
    let none = listed_prices(&files, &shop, "ELM", None).unwrap_err();
    assert!(none.to_string().starts_with("shop.toml: names no list of ELM"));
}

/// A step that more than doubled was counted as before, since the first price was.
#[test]
fn what_changed_is_told_of_every_step_and_of_chops() {
    let section = format!("{SECTION}steps = \"More\"\nfee = \"Cut\"\n");
    let head = HEAD.trim_end().to_owned() + ",More,Cut\n";
    let list = |more: &str, fee: &str| {
        format!(
            "{head}ASH-20,Ash,length,96,2.00,,,{more},\nBLK-20,Black,chop,2 .. 60,3.00,,,,{fee}\n"
        )
    };
    let files = files(&section, &list("1.70 from 100; 1.50 from 500", "0.80"), OFFERS);
    let shop = read_files(&files).unwrap_or_else(|faults| panic!("{faults}"));
    let changes = |more: &str, fee: &str| {
        let old = list(more, fee);
        let was = listed_prices(&files, &shop, "HAZEL", Some(("old.csv", old.as_bytes()))).unwrap();
        list_changes(&was, &listed_prices(&files, &shop, "HAZEL", None).unwrap())
    };
    let one = |of: &longpoint::shop::ListedPrice| format!("{} {}", of.moulding, of.terms);
    let moved = changes("0.80 from 100; 1.50 from 500", "0.90");
    assert_eq!((moved.dearer.len(), moved.cheaper.len(), moved.as_before), (1, 1, 3));
    assert_eq!(one(&moved.dearer[0].0), "ASH-20 from 100, length, 96, ft");
    assert_eq!(moved.dearer[0].1, Worth(80_000));
    assert_eq!(one(&moved.cheaper[0].0), "BLK-20 each chop, chop, 2 .. 60, ft");
    // Steps that begin elsewhere are others.
    let moved = changes("1.70 from 200", "0.80");
    assert_eq!((moved.gone.len(), moved.new.len(), moved.as_before), (1, 2, 3));
}
