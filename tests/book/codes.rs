//! The codes on labels, read as a phone reads them: from their picture.

use std::collections::BTreeSet;

use longpoint::book::{Correction, RackQuery, pages};
use longpoint::chop::schedule;
use longpoint::report;

use super::shops::{begin, files, inches, stamp, take};

/// A drawn code as a picture: its size, and which points are dark.
struct Picture {
    size: usize,
    dark: Vec<bool>,
}

/// The picture of an SVG in which all that is dark is one path of rectangles,
/// each `Mx yhWvHHxVy`.
fn picture(svg: &str) -> Picture {
    let after = |text: &'static str| svg.split(text).nth(1).expect(text);
    let width = after("width=\"");
    let size: usize = width[..width.find('"').unwrap()].parse().unwrap();
    let path = after(" d=\"");
    let mut dark = vec![false; size * size];
    for rectangle in path[..path.find('"').unwrap()].split('M').skip(1) {
        let figures: Vec<usize> = rectangle
            .split(|c: char| !c.is_ascii_digit())
            .filter_map(|figure| figure.parse().ok())
            .collect();
        let [x, y, wide, high, ..] = figures[..] else { panic!("{rectangle}") };
        for row in y..y + high {
            dark[row * size + x..row * size + x + wide].fill(true);
        }
    }
    Picture { size, dark }
}

fn read(svg: &str) -> String {
    let Picture { size, dark } = picture(svg);
    let grey = |x: usize, y: usize| if dark[y * size + x] { 0 } else { 255 };
    let mut prepared = rqrr::PreparedImage::prepare_from_greyscale(size, size, grey);
    let grids = prepared.detect_grids();
    assert_eq!(grids.len(), 1, "one code");
    grids[0].decode().expect("it can be read").1
}

#[test]
fn each_label_has_a_code_that_reads_as_its_id() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = files();
    let rack = "stick,moulding,length\nS-1,ASH,108\nB12,ASH,96\n\
        the long one beside the door (2nd left),ASH,52\nChêne 4,OAK,61\n";
    files.insert("rack.csv".to_owned(), rack.as_bytes().to_vec());
    let book = begin(dir.path(), &files);
    let rack = book.rack(&RackQuery::default()).unwrap();
    let page = pages::labels(&book.shop().unwrap(), (&rack, &[]), None);
    let codes: Vec<String> = page.split("<svg").skip(1).map(read).collect();
    let ids: Vec<&str> = rack.iter().map(|on| on.stick.id.as_str()).collect();
    assert_eq!(ids.len(), 4);
    assert_eq!(codes, ids);
}

/// Where the shop has given its page's address, the labels of the morning lead there: of an
/// offcut to its stick's page, of a frame's rails to the joiner's. Without it they had none,
/// though the label of a stick has: they read as the label, and the ticket.
#[test]
fn the_mornings_labels_lead_to_the_shops_page() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let taken = take(&mut book);
    let mut shop = book.shop().unwrap();
    let labels = |shop: &longpoint::shop::Shop| {
        let files = report::files(&taken.plan, shop, &schedule(&taken.plan, shop));
        files.into_iter().find(|(name, _)| name == "labels.html").unwrap().1
    };
    let codes: BTreeSet<String> = labels(&shop).split("<svg version").skip(1).map(read).collect();
    let left = taken.plan.today.iter().flat_map(|of| of.between.iter().chain([&of.left]));
    let kept = left.filter(|left| left.keep).map(|left| left.label.clone());
    let rails = taken.plan.today.iter().flat_map(|stick| &stick.rails);
    let own: BTreeSet<String> = kept.chain(rails.map(|rail| rail.frame.clone())).collect();
    assert!(codes == own && own.len() > 3, "{codes:?} {own:?}");
    shop.settings.contact.page = "http://192.168.1.20:8017".to_owned();
    let codes: BTreeSet<String> = labels(&shop).split("<svg version").skip(1).map(read).collect();
    let sticks = &taken.plan.today;
    let left = sticks.iter().flat_map(|stick| stick.between.iter().chain([&stick.left]));
    let kept = left.filter(|left| left.keep).map(|left| format!("s/{}", left.label));
    let rails = sticks.iter().flat_map(|stick| &stick.rails);
    let copies = rails.map(|rail| format!("joiner/{}/{}", rail.frame, rail.copy));
    let ways = kept.chain(copies).map(|way| format!("http://192.168.1.20:8017/{way}"));
    assert_eq!(codes, ways.collect::<BTreeSet<String>>());
}

/// Labels are printed once; what is new since, or reads otherwise now, comes next, and a
/// stick of the shop's own has its label already.
#[test]
fn a_label_is_printed_once() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = begin(dir.path(), &files());
    let new = |book: &longpoint::book::Book| -> Vec<String> {
        let rack = book.rack(&RackQuery::default()).unwrap();
        book.unprinted(&rack).unwrap().into_iter().map(|on| on.stick.id).collect()
    };
    assert!(new(&book).is_empty());
    take(&mut book);
    book.cut_all(None, &stamp()).unwrap();
    book.finish(None, ("", false), &stamp()).unwrap();
    let offcuts = new(&book);
    assert!(!offcuts.is_empty());
    let rack = book.rack(&RackQuery::default()).unwrap();
    book.printed((&rack, &[])).unwrap();
    assert!(new(&book).is_empty());
    let shorter = Correction { length: Some(inches("9")), ..Correction::default() };
    book.correct(&offcuts[0], &shorter, &stamp()).unwrap();
    assert_eq!(new(&book), offcuts[..1], "its label reads otherwise now");
}
