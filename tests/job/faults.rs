//! Every fault of jobs and materials, as it is said.

use std::fmt::Write;

use insta::assert_snapshot;
use longpoint::report::job_text;
use longpoint::shop::read_files;

use crate::folder::{HEADER, faults, files, of};

#[test]
fn every_fault_of_a_job_is_named_with_its_mend() {
    let mut frames = String::new();
    let mut jobs = String::new();
    let rows = [
        ("PINE,,", "paper,8,10,,,,,,,,,,,,,,,,,,,"),
        ("PINE,,", "papr,8x,-1,,8,,,,,,,,WHITE,,,,,,,,,"),
        ("PINE,,", "paper,8,10,,,9,,,,,,,WHITE,,,,,,,,,"),
        ("PINE,,", "paper,8,10,,,,,,4,,,,WHITE,,,,,,,,,"),
        ("PINE,,", "paper,8,10,,,7 3/4,,,,1/8,,,WHITE,,,,,,,,,"),
        ("PINE,8,10", "paper,8,10,,,,,,,,,,WHITE,,,,,,,,,"),
        ("PINE,8,10", "paper,8,10,,,,,float,,,,,,,,,,,,,,"),
        ("PINE,7,10", "paper,8,10,,,,,edge,,,,,,,,,,,,,,"),
        ("PINE,8,9", "paper,8,10,,,,,edge,,,,,,,,,,,,,,"),
        ("PINE,10,8", "paper,8,10,,,,,edge,,,,,,,,,,,,,,"),
        ("PINE,9,10", "paper,8,10,,,,,edge,,,,,,,,,,,,,,"),
        ("PINE,8,10 1/2", "mirror,8,10,1/8,,,,,,,,,,,,,,,,,,"),
        ("PINE,,", "paper,8,10,,,,,,1/8,1/4,,,WHITE,,,,,,,,,"),
        ("PINE,,", "paper,8,10,,,,,edge,1/8,1/4,2,1/4,WHITE,BEAD,,1/2,,,,,,"),
        (
            "PINE,,",
            "paper,8,10,,,,,,,1;2;3,2;2,x,WHITE,PINE,GLASS,,WHITE,GLASS,HOOK,nail,bed; roof,",
        ),
        ("PINE,,", "paper,8,10,,,,,,,,,,WHITE 1/4,,,,,,,,,"),
        ("PINE,,", "paper,8,10,,,,,,,,,,WHITE; BLACK MAT 1/0,,,,,,,,,"),
        ("PINE,,", "paper,8,10,,,,,,,,,,WHTE; GLASS,,THICK,,,,,,,"),
        ("FLOAT,,", "canvas,8,10,,,,,edge,,,,,,,,,,,,,,"),
        ("PINE,,", "canvas,8,10,,,,,floater,,,,,,,,,,,,,,"),
        ("PINE,,", "paper,1900,10,,,,,,,,100,,WHITE,,,,,,,,,"),
    ];
    for (at, (frame, job)) in rows.iter().enumerate() {
        let id = at + 1;
        let gap = if frame.starts_with("FLOAT") { "1/4" } else { "" };
        let _ = writeln!(frames, "{id},,{frame},,,{gap},");
        let _ = writeln!(jobs, "{id},{job}");
    }
    jobs += "1,paper,8,10,,,,,,,,,,WHITE,,,,,,,,,\n99,paper,8,10,,,,,,,,,,WHITE,,,,,,,,,\n";
    assert_snapshot!("jobs", faults(&frames, &jobs).to_string());
}

#[test]
fn a_frame_without_a_size_needs_a_job() {
    let said = faults("1,,PINE,,,,,,\n2,,PINE,,10,,,,\n", "2,paper,8,10,,,,,,,,,,WHITE,,,,,,,,,\n");
    assert_snapshot!(said.to_string(), @r"
    frames.csv, row 2, width: is empty (write the package's width)
    frames.csv, row 2, height: is empty (write the package's height)
    frames.csv, row 3, width: is empty (write the package's width)
    ");
}

/// A sheet of which the mat hides more than the package holds, with its package given and not.
#[test]
fn a_sheet_larger_than_its_package_is_refused() {
    let job = |id: u32, art: &str| format!("{id},{art},,,11,14,window,1/8,,,,WHITE,,,,,,,,,\n");
    let frames = "1,,PINE,16,20,,,,\n2,,PINE,16,20,,,,\n3,,PINE,20,16,,,,\n4,,PINE,,,,,,\n";
    let jobs = [job(1, "paper,22,28"), job(2, "object,16,20 1/64")];
    let jobs = jobs.concat() + &job(3, "paper,16,20") + &job(4, "paper,14,20");
    assert_snapshot!(faults(frames, &jobs).to_string(), @r#"
    jobs.csv, row 2, art_width: "22" is more than the package in frames.csv, 16 in (mend it there, or leave width and height empty there)
    jobs.csv, row 3, art_height: "20 1/64" is more than the package in frames.csv, 20 in (mend it there, or leave width and height empty there)
    jobs.csv, row 4, art_height: "20" is more than the package in frames.csv, 16 in (are width and height the wrong way round? Mend it here or there, or leave width and height empty there)
    jobs.csv, row 5, art_height: "20" is more than the package that its window and borders make, 17 3/4 in (write a wider border: the art lies behind the mat with all of it, and is neither folded nor trimmed)
    "#);
}

#[test]
fn a_polygon_has_no_job() {
    let mut shop = files("", "1,mirror,8,8,,,,,,,,,,,,,,,,,,,\n");
    shop.insert("frames.csv".to_owned(), b"frame,moulding,width,sides\n1,PINE,8,6\n".to_vec());
    let said = read_files(&shop).unwrap_err();
    assert_snapshot!(said.to_string(), @r#"jobs.csv, row 2, frame: "1" is a frame of other than four sides (give its size in frames.csv, without a job)"#);
}

#[test]
fn every_fault_of_a_material_is_named_with_its_mend() {
    let mut shop = files("", "");
    let materials = "\
material,kind,thick,strip,weight,sheets,price,per,load,breaks,screw,safety,expansion
A,matt,1/16,,,,,,,,,,
B,spacer,,,0.1,,,,,,,,
C,mat,1/16,1/4,0 kg,32,5.00,m,5 kg,5 kg,1/8,x,7
D,glass,2 mm,,,,5.00,sheet,,,,,
E,hook,,,,,,piece,50,,,,
F,wire,,,,,1.00,,,99999 kg,,,
F,acrylic,3 mm,,,0x4,,,,,,,1001
G,build-out,,,,,,,-4 kg,,,,
";
    shop.insert("materials.csv".to_owned(), materials.into());
    assert_snapshot!("materials", read_files(&shop).unwrap_err().to_string());
}

#[test]
fn rules_of_the_shop_are_read_like_any_other() {
    let mut shop = files("", "");
    let text = String::from_utf8(shop["shop.toml"].clone()).unwrap();
    let more = "[job]\nborder = \"0\"\nhook_factor = 1\nhardware = \"80\"\nglue_hours = 0\n\
                tuk = \"1\"\n[tell]\nlight = 3\nlihgt = \"x\"\n";
    let text = text.replace("[job]\nhardware = \"1 g\"\n", "");
    shop.insert("shop.toml".to_owned(), format!("{text}{more}").into_bytes());
    assert_snapshot!("rules", read_files(&shop).unwrap_err().to_string());
}

/// A seen width belongs below the width, and a slip of a file's name is caught.
#[test]
fn what_belongs_together_is_checked_together() {
    let mut shop = files("", "");
    let mouldings = b"moulding,width,rabbet,stick,seen,wood,weight\nA,1/2,1/8,96,1/2,pin,3\n";
    shop.insert("mouldings.csv".to_owned(), mouldings.to_vec());
    let jobs = shop.remove("jobs.csv").unwrap();
    shop.insert("job.csv".to_owned(), jobs);
    assert_snapshot!("together", read_files(&shop).unwrap_err().to_string());
    assert!(HEADER.starts_with("frame,"));
}

/// A rabbet is a part of its moulding's height, and so is what a floater takes.
#[test]
fn a_rabbet_is_less_deep_than_its_moulding_is_high() {
    let said = |kind: &str, rabbet: &str, depth: &str, height: &str| {
        let mut shop = files("", "");
        let row = format!("A,3/4,{rabbet},{depth},108,{kind},{height}\n");
        let text = format!("moulding,width,rabbet,depth,stick,kind,height\n{row}");
        shop.insert("mouldings.csv".to_owned(), text.into_bytes());
        read_files(&shop).map_or_else(|faults| faults.to_string(), |_| String::new())
    };
    for (kind, rabbet) in [("", "1/4"), ("reversible", "1/4"), ("floater", "")] {
        for (depth, height) in [("15/16", "9/16"), ("9/16", "9/16")] {
            let faults = said(kind, rabbet, depth, height);
            let words = format!(
                "mouldings.csv, row 2, depth: \"{depth}\" is not less than the height (the rabbet, or \
                 a floater's inside, is a part of the height; are the two the wrong way round?)"
            );
            assert_eq!(faults.trim_end(), words, "{kind}");
        }
        for (depth, height) in [("9/16", "15/16"), ("", "9/16"), ("15/16", "")] {
            assert_eq!(said(kind, rabbet, depth, height), "", "{kind} {depth} {height}");
        }
    }
    // A build-out has no depth at all, whatever its height.
    assert!(
        said("build-out", "", "1/2", "1/4").contains("belongs to mouldings with a rabbet only")
    );
}

/// Glass is of a class that is known, or of none: no other word quiets what is said of glass
/// over people.
#[test]
fn only_a_class_of_safety_is_one() {
    let job = "1,paper,8,10,,,,,,,,,,WHITE,,,,SAFE,,FOAM,,bed,hinge\n";
    let with = |code: &str, word: &str| {
        let mut shop = files("1,,PINE,,,,,,\n", &job.replace("SAFE", code));
        let text = String::from_utf8(shop["materials.csv"].clone()).unwrap();
        let text = match code {
            "SAFE" => text.replace("laminated", word),
            _ => text.replace(
                "PLEX,acrylic,,1/8,,,48x96,,,,,,",
                &format!("PLEX,acrylic,,1/8,,,48x96,,,,,,{word}"),
            ),
        };
        shop.insert("materials.csv".to_owned(), text.into_bytes());
        read_files(&shop).map(|shop| (of(&shop, "1"), shop))
    };
    for word in ["none", "no", "not safety", "float", "laminated?", "yes", "acrylic"] {
        let said = with("SAFE", word).unwrap_err().to_string();
        let known = "laminated, toughened, tempered, filmed";
        assert!(said.contains("row 7, safety") && said.contains(known), "{word}: {said}");
    }
    for (word, class) in [
        ("laminated", "laminated"),
        ("Toughened", "toughened"),
        ("tempered", "toughened"),
        ("filmed", "filmed"),
    ] {
        let (sheet, shop) = with("SAFE", word).unwrap();
        assert!(!sheet.concerns.iter().any(|of| of.name() == "over people"), "{word}");
        let said = job_text::job(&sheet, false, &shop);
        assert!(said.contains(&format!("of SAFE, {class}")), "{word}: {said}");
    }
    let (bare, shop) = with("SAFE", "").unwrap();
    assert!(bare.concerns.iter().any(|of| of.name() == "over people"));
    assert!(!job_text::job(&bare, false, &shop).contains("of SAFE,"));
    assert!(with("PLEX", "acrylic").is_ok() && with("PLEX", "toughened").is_err());
}
