//! Jobs as odd as cells can make them: read or refused, and what is read stands up to its
//! check, hangs from nothing that is too weak, and is written without a hitch.

use longpoint::rails::frame_rails;
use longpoint::report::{job_csv, job_html, job_json, job_text};
use longpoint::shop::read_files;
use longpoint::ticket::{PieceOf, PieceSize, job_sheet};
use proptest::prelude::*;

use crate::folder::{TODAY, files};

/// What may stand in the cells of a row of jobs.csv, column by column.
const CELLS: [&[&str]; 22] = [
    &["", "paper", "canvas", "panel", "object", "mirror", "none", "Paper "],
    &["8", "1/64", "17 3/8", "61.3 mm", "1200 mm", "49 m", "0"],
    &["10", "1/64", "11 5/8", "8001 mm", "3", "50 m", ""],
    &["", "1/16", "3/4", "2 m", "0.000001 mm"],
    &["", "1 g", "3 kg", "25 lb", "9000 kg", "0.001 g"],
    &["", "5", "1/64"],
    &["", "5", "1/64"],
    &["", "window", "float", "edge", "canvas", "floater"],
    &["", "1/8", "0.000001 mm", "40 in"],
    &["", "1/4", "0", "1/4; 1/2", "1;2;3", "2 m"],
    &["", "2", "2; 2; 2; 2 1/2", "1/64", "20 m", "1;1"],
    &["", "0", "1/2", "optical", "3", "10 m"],
    &[
        "",
        "WHITE",
        "WHITE; BLACK MAT 1/4",
        "WHITE; WHITE; WHITE 1/64",
        "GLASS",
        "WHITE 1/4; x",
        ";",
    ],
    &["", "BEAD", "PINE", "x"],
    &["", "THIN", "WIDE STRIP", "MOUNT"],
    &["", "1/2", "0", "9 in"],
    &["", "GLASS", "SAFE", "PLEX", "WHITE"],
    &["", "MOUNT", "FOAM"],
    &["", "FOAM", "MOUNT", "GLASS"],
    &["", "wire", "cord", "straps", "cleat", "security", "strut", "none"],
    &["", "bed", "public; quake", "child;", "roof"],
    &["", "trim; mount", "\u{202e}x", "=1+1", "<script>"],
];

const FRAMES: [&str; 8] = [
    "1,,PINE,,,,,,",
    "1,,WIDE,,,3,2026-11-25,,",
    "1,,LOW,,,,,,",
    "1,,DEEP,16,20,,,,",
    "1,,FLOAT,,,,,1/4,",
    "1,,FLOAT,12,14,,,1/4,1/2",
    "1,1,LOW,,,,,,\n1,2,WIDE,,,,,,",
    "1,,PINE,2 m,3 m,,,,7/8",
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1500))]
    #[test]
    fn whatever_is_read_stands(
        frame in 0..FRAMES.len(),
        picks in proptest::collection::vec(any::<prop::sample::Index>(), CELLS.len()),
        plain in proptest::collection::vec(0..4_u8, CELLS.len()),
    ) {
        // Three cells of four are as they usually are, so that most rows are read.
        let usual = |column: usize| if column == 12 { 1 } else { 0 };
        let cells = picks.iter().zip(&plain).enumerate().map(|(column, (pick, plain))| {
            let all = CELLS[column];
            if *plain > 0 { all[usual(column)] } else { all[pick.index(all.len())] }
        });
        let row = cells.collect::<Vec<_>>().join(",");
        let (frames, jobs) = (format!("{}\n", FRAMES[frame]), format!("1,{row}\n"));
        let shop = match read_files(&files(&frames, &jobs)) {
            Ok(shop) => shop,
            Err(faults) => {
                let said = faults.to_string();
                prop_assert!(said.lines().all(|line| line.ends_with(')') || line.contains("(")));
                return Ok(());
            }
        };
        let frame = &shop.frames[0];
        let sheet = job_sheet(&shop, (frame, frame.copies), TODAY);
        prop_assert!(sheet.is_ok(), "{row}: {sheet:?}");
        let sheet = sheet.unwrap().unwrap();
        // The package lies in its rabbet at every rounding, and layers lie in one another.
        let lip = sheet.job.shown.lip;
        let mut inside = (frame.width + lip.allowance, frame.height + lip.allowance);
        for (layer, rails) in frame.layers.iter().zip(frame_rails(&shop, frame)) {
            let (up, across) = (&rails.rails[0], &rails.rails[1]);
            if let Some(window) = layer.window {
                prop_assert!(across.rabbet >= window.width && up.rabbet >= window.height);
                continue;
            }
            prop_assert!(across.rabbet >= inside.0 && up.rabbet >= inside.1);
            inside = (across.long_point, up.long_point);
        }
        for piece in &sheet.pieces {
            let within = matches!(piece.what, PieceOf::Mat(_) | PieceOf::Glazing | PieceOf::Mount
                | PieceOf::Backing);
            if let (true, PieceSize::Sheet(width, height)) = (within, piece.size) {
                prop_assert!(width <= frame.width && height <= frame.height);
            }
        }
        for why in [false, true] {
            let text = job_text::job(&sheet, why, &shop);
            prop_assert!(text.lines().all(|line| line.chars().count() <= 80));
        }
        let page = job_html::jobs(&[sheet.clone(), sheet.clone()], &[], TODAY, &shop);
        prop_assert!(!page.contains("NaN") && !page.contains("inf\"") && !page.contains("<script"));
        let json = job_json::job(&sheet, &shop);
        prop_assert!(json.contains("ticket"));
        prop_assert!(!job_csv::jobs(&[sheet], &shop).contains(",=1"));
    }
}
