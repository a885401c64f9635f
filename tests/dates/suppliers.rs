//! When an order goes out and comes: worked out by hand on a calendar of 2026.

use jiff::civil::{date, time};
use longpoint::shop::read_files;

#[test]
fn an_order_goes_out_on_an_order_day_and_comes_on_a_delivery_day() {
    let file = |name: &str, text: &str| (name.to_owned(), text.as_bytes().to_vec());
    let files = [
        file(
            "shop.toml",
            "name = \"x\"\nunit = \"mm\"\nallowance = \"3\"\ncurrency = \"EUR\"\n\
             default_cutter = \"saw\"\n[offcuts]\nkeep = \"300\"\nworth = \"0.5\"\n\
             [days]\nopen = \"Mon .. Fri\"\nclosed = \"2026-12-08\"\n\
             [cutter.saw]\nkerf = \"0\"\nnick = \"1\"\nfirst_trim = \"5\"\nlast_trim = \"5\"\n\
             grip = \"0\"\nshortest = \"100\"\nstop = \"long\"\n",
        ),
        file("mouldings.csv", "moulding,width,rabbet,stick\nM,20,5,3000\n"),
        file("frames.csv", "frame,moulding,width,height\n"),
        file("rack.csv", "stick,moulding,length\n"),
        file(
            "suppliers.csv",
            "supplier,lead_days,order_days,cut_off,delivery_days,closed\n\
             VAN,1,Mon; Thu,12:00,Tue; Fri,2026-12-03\nPOST,3,,,,\n",
        ),
    ];
    let shop = read_files(&files.into_iter().collect()).unwrap();
    let arrives = |id: &str, day| shop.suppliers[id].arrives(day).unwrap();
    // Monday the 30th: out at once, and there on Tuesday.
    assert_eq!(arrives("VAN", date(2026, 11, 30)), date(2026, 12, 1));
    // Thursday the 3rd they are closed, Tuesday the 8th the shop is.
    assert_eq!(shop.suppliers["VAN"].goes_out(date(2026, 12, 1)), Some(date(2026, 12, 7)));
    assert_eq!(arrives("VAN", date(2026, 12, 1)), date(2026, 12, 11));
    // A Wednesday and three days are a Saturday.
    assert_eq!(arrives("POST", date(2026, 12, 2)), date(2026, 12, 7));
    let noon = |hour, minute| {
        let monday = date(2026, 11, 30);
        let shop = shop.clone().at(monday, time(hour, minute, 0, 0));
        shop.suppliers["VAN"].goes_out(monday)
    };
    assert_eq!(noon(11, 59), Some(date(2026, 11, 30)));
    assert_eq!(noon(12, 0), Some(date(2026, 12, 7)), "before their cut-off, not at it");
}
