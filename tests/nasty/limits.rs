//! What lengths, counts and money may be at most, and what is said beyond that.

use longpoint::shop::{Faults, Shop, read_files};

use crate::shops::Folder;

const TOML: &str = "name = \"a\"\nunit = \"mm\"\nallowance = \"3\"\ncurrency = \"EUR\"\n\
default_cutter = \"saw\"\n[offcuts]\nkeep = \"200\"\nworth = \"0.5\"\n[cutter.saw]\nkerf = \"3\"\n\
passes = 1\nnick = \"0\"\nfirst_trim = \"10\"\nlast_trim = \"10\"\ngrip = \"0\"\n\
shortest = \"100\"\nstop = \"long\"\n";

const HEADERS: [(&str, &str); 5] = [
    ("mouldings.csv", "moulding,width,rabbet,stick,price,per,keep_on_rack\n"),
    ("frames.csv", "frame,moulding,width,height,sides,copies\n"),
    ("rack.csv", "stick,moulding,length\n"),
    ("suppliers.csv", "supplier,lead_days,minimum,freight\n"),
    ("offers.csv", "supplier,moulding,form,lengths,price,per,box,steps\n"),
];

/// A small shop with some rows more.
fn read(file: &str, rows: &str) -> Result<Shop, Faults> {
    let mut folder: Folder = HEADERS
        .iter()
        .map(|(name, header)| ((*name).to_owned(), (*header).as_bytes().to_vec()))
        .collect();
    folder.insert("shop.toml".to_owned(), TOML.as_bytes().to_vec());
    let usual = [("mouldings.csv", "ASH,20,6,2200,3.10,m,\n"), ("suppliers.csv", "V,3,,\n")];
    for (name, rows) in usual.into_iter().chain([(file, rows)]) {
        folder.get_mut(name).unwrap().extend(rows.as_bytes());
    }
    read_files(&folder)
}

#[test]
fn what_is_at_a_limit_is_read_and_what_is_beyond_is_refused_with_the_mend() {
    for (file, good, beyond, said) in [
        ("rack.csv", "S,ASH,50 m\n", "S,ASH,50000.000001\n", "is longer than 50 m"),
        ("rack.csv", "S,ASH,0.000001\n", "S,ASH,0.0000001\n", "is finer than a millionth"),
        ("mouldings.csv", "B,20,6,900,100000,m,\n", "B,20,6,900,100000.01,m,\n", "is too large"),
        ("mouldings.csv", "B,20,6,900,0.00001,m,\n", "B,20,6,900,0.000001,m,\n", "more than 5"),
        ("mouldings.csv", "B,20,6,900,1,m,1000\n", "B,20,6,900,1,m,1001\n", "from 0 to 1000"),
        ("frames.csv", "1,ASH,9,9,4,10000\n", "1,ASH,9,9,4,10001\n", "from 1 to 10000"),
        ("frames.csv", "1,ASH,9,,16,1\n", "1,ASH,9,,17,1\n", "from 3 to 16"),
        ("suppliers.csv", "W,365,,\n", "W,366,,\n", "from 0 to 365"),
        ("suppliers.csv", "W,1,999999999,\n", "W,1,9999999999,\n", "is too large"),
        ("suppliers.csv", "W,1,,1; 0 from 999999999\n", "W,1,,1; 0 from 9999999999\n", "too large"),
        ("offers.csv", "V,ASH,box,900,1,m,10000,\n", "V,ASH,box,900,1,m,10001,\n", "to 10000"),
        (
            "offers.csv",
            "V,ASH,length,900,2,m,,1 from 1000000\n",
            "V,ASH,length,900,2,m,,1 from 1000001\n",
            "from 2 to 1000000",
        ),
    ] {
        assert!(read(file, good).is_ok(), "{good} {:?}", read(file, good));
        let refused = read(file, beyond).unwrap_err().to_string();
        assert!(refused.contains(said), "{beyond} {refused}");
    }
}

#[test]
fn a_pile_of_more_rails_than_can_be_planned_is_refused_where_it_gets_too_large() {
    let tickets = |count: usize| -> String {
        (1..=count).map(|n| format!("{n},ASH,9,9,4,10000\n")).collect()
    };
    assert_eq!(read("frames.csv", &tickets(25)).unwrap().frames.len(), 25);
    let refused = read("frames.csv", &tickets(27)).unwrap_err();
    assert_eq!(
        refused.to_string(),
        "frames.csv, row 27, copies: \"10000\" brings the pile over 1000000 rails (plan fewer \
         frames at a time)"
    );
}

/// A sign that is read again and again must not pile up on the stack.
#[test]
fn a_cell_of_nothing_but_minus_signs_is_refused_in_few_words() {
    for sign in ["-", "\u{2212}", "- ", "-\u{a0}"] {
        let long = sign.repeat(400_000);
        let length = read("rack.csv", &format!("S,ASH,{long}\n")).unwrap_err();
        assert!(length.to_string().ends_with("(write 12.5, 12 1/2 or 317.5 mm)"));
        assert!(length.to_string().len() < 600);
        let price = read("mouldings.csv", &format!("B,20,6,900,{long},m,\n")).unwrap_err();
        assert!(price.to_string().contains("is not a number"), "{price}");
        let below = read("rack.csv", &format!("S,ASH,{long}5\n")).unwrap_err();
        assert!(below.to_string().contains("is below zero"), "{below}");
    }
}
