//! Packages that are typed the wrong way round, and floats without a margin. Our own cautions,
//! no source.

use longpoint::ticket::Concern;

use crate::folder::{faults, sheet};

fn names(frame: &str, job: &str) -> Vec<&'static str> {
    sheet(frame, job).1.concerns.iter().map(Concern::name).collect()
}

#[test]
fn a_package_that_lies_the_other_way_is_pointed_at() {
    let print = "1,paper,16,20,,,,,,,,,,WHITE,,,,GLASS,,FOAM,straps,,\n";
    assert!(names("1,,PINE,26,22,,,,\n", print).contains(&"turned"));
    assert!(!names("1,,PINE,22,26,,,,\n", print).contains(&"turned"));
    assert!(!names("1,,PINE,26,26,,,,\n", print).contains(&"turned"), "a square lies no way");
    let square = "1,paper,16,16,,,,,,,,,,WHITE,,,,GLASS,,FOAM,straps,,\n";
    assert!(!names("1,,PINE,26,22,,,,\n", square).contains(&"turned"));
    assert!(!names("1,,PINE,,,,,,\n", print).contains(&"turned"), "none is given");
}

/// Where the art has no room so, the fault asks whether it was meant the other way.
#[test]
fn a_package_that_is_too_small_so_may_be_turned() {
    let print = "1,paper,16,20,,,,,,,,,,WHITE,,,,GLASS,,FOAM,straps,,\n";
    let said = faults("1,,PINE,20,16,,,,\n", print).to_string();
    assert!(said.contains("the wrong way round?"), "{said}");
    let float = "1,paper,16,20,,,,,float,,,,,,,THIN,,GLASS,MOUNT,FOAM,straps,,\n";
    let said = faults("1,,PINE,21,17,,,,\n", float).to_string();
    assert!(said.contains("the wrong way round?"), "{said}");
    let said = faults("1,,PINE,16,16,,,,\n", print).to_string();
    assert!(!said.contains("the wrong way round?"), "{said}");
}

#[test]
fn a_float_without_a_margin_is_pointed_at() {
    let float = |margin: &str| {
        format!("1,paper,16,20,,,,,float,,,,,,,THIN,{margin},GLASS,MOUNT,FOAM,straps,,\n")
    };
    assert!(names("1,,PINE,,,,,,\n", &float("0")).contains(&"no margin"));
    assert!(!names("1,,PINE,,,,,,\n", &float("1/2")).contains(&"no margin"));
    let window = |reveal: &str| {
        format!("1,paper,16,20,,,,,float,,{reveal},,,WHITE,,THIN,,GLASS,MOUNT,FOAM,straps,,\n")
    };
    assert!(!names("1,,PINE,,,,,,\n", &window("3/8")).contains(&"no margin"));
}
