//! A folder into a book and back is the same folder, to the nanometre.

use std::path::Path;

use jiff::civil::{Date, date};
use longpoint::measure::{Length, Mitre};
use longpoint::shop::{Flaw, Frame, FrameProgress, Layer, Match, Shop, Stick, read_folder, write};
use proptest::prelude::*;

use super::shops::{Files, begin, files, read};

/// Words that somebody might write on a ticket, hostile ones among them.
fn words() -> impl Strategy<Value = String> {
    prop_oneof![
        "[a-z]{0,12}",
        "[ -~]{0,20}".prop_map(|text| text.trim().to_owned()),
        Just("=HYPERLINK(\"x\")".to_owned()),
        Just("<script>alert('1')</script>".to_owned()),
        Just("'); DROP TABLE stick; --".to_owned()),
        Just("Émile, \"the elder\", 雲".to_owned()),
    ]
}

fn length(most: i64) -> impl Strategy<Value = Length> {
    prop_oneof![
        (1..most / 396_875).prop_map(Length::from_64ths),
        (1..most).prop_map(Length::from_nm),
        (1..most / 1_000_000).prop_map(Length::from_mm),
    ]
}

fn day() -> impl Strategy<Value = Option<Date>> {
    prop::option::of((2020_i16..2030, 1_i8..=12, 1_i8..=28).prop_map(|(y, m, d)| date(y, m, d)))
}

fn matches() -> impl Strategy<Value = (Match, Match)> {
    let all = [Match::Any, Match::Lot, Match::Halves, Match::Stick, Match::Wrap];
    (0..5_usize, 0..5_usize).prop_map(move |(a, b)| (all[a.max(b)], all[a.min(b)]))
}

fn layer() -> impl Strategy<Value = Layer> {
    let moulding = prop_oneof![Just("ASH"), Just("OAK")];
    (moulding, prop::option::of(length(40_000_000)), matches()).prop_map(
        |(moulding, allowance, (match_, match_floor))| Layer {
            moulding: moulding.to_owned(),
            allowance,
            gap: Length::ZERO,
            window: None,
            match_,
            match_floor,
        },
    )
}

fn frame() -> impl Strategy<Value = Frame> {
    let sizes = (length(2_000_000_000), length(2_000_000_000), 3_u8..=16);
    let rest = (1_u32..50, day(), prop::option::of(length(90_000_000)), words());
    (sizes, rest, prop::collection::vec(layer(), 1..4)).prop_map(
        |((width, height, sides), (copies, due, thickness, note), layers)| Frame {
            id: String::new(),
            layers,
            width,
            height: if sides == 4 { height } else { width },
            mitre: Mitre::new(sides).unwrap(),
            copies,
            progress: FrameProgress::default(),
            due,
            came: due.filter(|_| copies % 3 == 1),
            promised: due.is_some() && copies % 2 == 1,
            thickness,
            note,
            row: 0,
        },
    )
}

fn stick() -> impl Strategy<Value = Stick> {
    let moulding = prop_oneof![Just("ASH"), Just("OAK")];
    let flaws = prop::collection::vec((0_i64..1000, 0_i64..=1000), 0..4);
    (moulding, length(6_000_000_000), words(), words(), flaws, day()).prop_map(
        |(moulding, length, lot, place, cuts, since)| {
            // In order and apart, as the reader gives them.
            let mut at: Vec<i64> = cuts.iter().flat_map(|(a, b)| [*a, *b]).collect();
            at.sort_unstable();
            at.dedup();
            let share = |per_mille: i64| Length::from_nm(length.nm() / 1000 * per_mille);
            let zones = at.chunks_exact(2).map(|pair| (share(pair[0]), share(pair[1])));
            let flaws = zones.filter(|(a, b)| a < b).map(|(from, to)| Flaw { from, to });
            let flaws: Vec<Flaw> = flaws.collect();
            let lot = lot.chars().take(40).collect::<String>().trim().to_owned();
            Stick {
                id: String::new(),
                moulding: moulding.to_owned(),
                length,
                lot,
                place,
                flaws,
                since,
            }
        },
    )
}

/// A shop with these frames and sticks, under ids of their own.
fn shop(frames: Vec<Frame>, rack: Vec<Stick>) -> Shop {
    let mut shop = read(&files());
    shop.frames = frames;
    shop.rack = rack;
    let ids = ["a 1", "=2", "\"3\"", "<4>", "'5", "6;--", "7,7", "8", "9", "10", "11", "12"];
    for (frame, id) in shop.frames.iter_mut().zip(ids) {
        frame.id = id.to_owned();
    }
    for (stick, id) in shop.rack.iter_mut().zip(ids) {
        stick.id = id.to_owned();
    }
    shop
}

/// Without where rows stand, which another file has elsewhere.
fn rowless(mut shop: Shop) -> Shop {
    shop.frames.iter_mut().for_each(|frame| frame.row = 0);
    shop
}

fn with(shop: &Shop) -> Files {
    let mut files = files();
    files.insert("frames.csv".to_owned(), write::frames(shop).into_bytes());
    files.insert("rack.csv".to_owned(), write::rack(&shop.rack, &shop.settings).into_bytes());
    files
}

fn write_folder(dir: &Path, files: &[(String, String)]) {
    std::fs::create_dir_all(dir).unwrap();
    for (name, text) in files {
        std::fs::write(dir.join(name), text).unwrap();
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn what_is_written_reads_back_the_same(
        frames in prop::collection::vec(frame(), 0..8),
        rack in prop::collection::vec(stick(), 0..8),
    ) {
        let shop = shop(frames, rack);
        prop_assert_eq!(rowless(read(&with(&shop))), shop);
    }

    #[test]
    fn a_folder_through_a_book_is_the_same_folder(
        frames in prop::collection::vec(frame(), 0..8),
        rack in prop::collection::vec(stick(), 0..8),
    ) {
        let files = with(&shop(frames, rack));
        let shop = read(&files);
        let dir = tempfile::tempdir().unwrap();
        let book = begin(dir.path(), &files);
        prop_assert_eq!(&book.snapshot().unwrap().shop, &shop);
        let out = dir.path().join("out");
        write_folder(&out, &book.export().unwrap());
        prop_assert_eq!(read_folder(&out).unwrap(), shop);
        prop_assert!(book.audit().unwrap().balances());
    }
}

#[test]
fn the_demo_shops_come_back_byte_for_byte_but_for_what_is_there() {
    for name in ["demo", "metric"] {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("data").join(name);
        let (shop, files) = longpoint::shop::read_folder_and_files(&folder).unwrap();
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("shop.book");
        let book =
            longpoint::book::Book::begin(&path, (&shop, &files), &super::shops::stamp()).unwrap();
        assert_eq!(book.snapshot().unwrap().shop, shop, "{name}");
        let export = book.export().unwrap();
        let is_typed = |name: &str| !["rack.csv", "sheets.csv"].contains(&name);
        for (name, text) in export.iter().filter(|(name, _)| is_typed(name)) {
            assert_eq!(text.as_bytes(), files[name], "{name}");
        }
        let out = dir.path().join("out");
        write_folder(&out, &export);
        assert_eq!(read_folder(&out).unwrap(), shop, "{name}");
    }
}
