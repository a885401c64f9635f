//! What is said of an instance that cannot be read: all of it, with the mend.

use assert_cmd::Command;
use insta::assert_snapshot;

use super::{complaint, pack};

#[test]
fn every_faulty_row_of_the_plain_form_is_named() {
    assert_snapshot!(complaint("2\n96\n120 3 4\n30.5\n0\n-3 2\n5 99999999999\n"), @r#"
    standard input, line 1, number of items: 2 announced, 5 found (let the two agree)
    standard input, line 3, item: "120 3 4" (write "length demand", or the length alone where one is wanted)
    standard input, line 4, length: "30.5" is not a whole number (write digits only; for fractions use a finer unit, such as tenths of a millimetre)
    standard input, line 5, length: 0 will not do (write 1 or more, or leave the row out)
    standard input, line 6, length: "-3" is negative (write 1 or more)
    standard input, line 7, demand: "99999999999" is more than 4294967295 (use a coarser unit)
    "#);
}

#[test]
fn every_faulty_row_of_several_stock_lengths_is_named() {
    assert_snapshot!(complaint("2\n96 3 1\n100 0\n 200 x 1e3\n2\n24 2\n"), @r#"
    standard input, line 1, number of stock lengths: 2 announced, 3 found (let the two agree)
    standard input, line 3, stock: "100 0" (write "length available cost")
    standard input, line 4, available: "x" is not a whole number (write digits only; for fractions use a finer unit, such as tenths of a millimetre)
    standard input, line 4, cost: "1e3" is not a whole number (write digits only; for fractions use a finer unit, such as tenths of a millimetre)
    standard input, line 5, number of items: 2 announced, 1 found (let the two agree)
    "#);
}

#[test]
fn a_file_that_ends_early_or_is_of_no_form_is_named() {
    assert_snapshot!(complaint("\n \n"), @"standard input, line 1, the file holds nothing (write how many items, the stock length, then the items)");
    assert_snapshot!(complaint("3\n"), @"
    standard input, line 1, stock length: the file ends before it
    standard input, line 1, number of items: 3 announced, 0 found (let the two agree)
    ");
    assert_snapshot!(complaint("2\n96 1 1\n120 1 1\n"), @"standard input, line 3, number of items: the file ends before it");
    assert_snapshot!(complaint("2\n24 2\n20 2\n"), @r#"standard input, line 2, second row: "24 2" (write the stock length alone, or "length available cost" for each of several stock lengths)"#);
    assert_snapshot!(complaint("2 96 7\n24\n20\n"), @r#"standard input, line 1, number of items: "2 96 7" is more than one number (one line, one number here)"#);
}

#[test]
fn every_fault_of_the_json_form_is_named() {
    let instance = r#"{"stock":[{"length":96.5,"cost":0,"supplies":3},
 {"length":"96"},{"cost":5}, 7, {"length":96, "supply":-1}],
 "items":[{"length":24,"demand":2,"demand":3},
  {"length":-4}, {"length":5, "demand":[1]}],
 "extra":{"a":[1,2,3]}
}"#;
    assert_snapshot!(complaint(instance), @r#"
    standard input, line 1, "supplies" is not a key here (the keys are length, cost, supply)
    standard input, line 1, stock length: "96.5" is not a whole number (write digits only; for fractions use a finer unit, such as tenths of a millimetre)
    standard input, line 1, cost: 0 will not do (write 1 or more, or leave the row out)
    standard input, line 2, "96" is no number (write digits only, without quotes)
    standard input, line 2, "length" is missing (write {"length":2440,"cost":1,"supply":null})
    standard input, line 2, 7 is no object (write {"length":2440,"cost":1,"supply":null})
    standard input, line 2, available: "-1" is negative (write 1 or more)
    standard input, line 3, "demand" is given twice (keep one)
    standard input, line 4, length: "-4" is negative (write 1 or more)
    standard input, line 4, [1] is no number (write digits only, without quotes)
    standard input, line 5, "extra" is not a key here (the keys are stock, items)
    "#);
}

#[test]
fn json_of_the_wrong_shape_is_named() {
    assert_snapshot!(complaint("{\"stock\":[],\n\"items\":7}"), @r#"
    standard input, line 1, [] is no list with something in it (write {"stock":[..],"items":[..]})
    standard input, line 2, 7 is no list with something in it (write {"stock":[..],"items":[..]})
    "#);
    assert_snapshot!(complaint("\n{}"), @r#"
    standard input, line 2, "stock" is missing (write {"stock":[..],"items":[..]})
    standard input, line 2, "items" is missing (write {"stock":[..],"items":[..]})
    "#);
    assert_snapshot!(complaint("{\"stock\":[\n}"), @"standard input, line 2, not JSON: expected value");
}

#[test]
fn sums_beyond_reckoning_are_named() {
    assert_snapshot!(complaint("1\n1000000000000\n1000000000000 1001\n"), @"standard input, line 1, the lengths of all pieces add up to more than 1000000000000000 (use a coarser unit)");
    assert_snapshot!(complaint("1\n96 1 1000000000000\n1\n24 1001\n"), @"standard input, line 1, the costs of a stick for each piece add up to more than 1000000000000000 (use a coarser unit)");
}

#[test]
fn many_faults_are_counted_beyond_the_first_forty() {
    let rows = "x\n".repeat(50);
    let said = complaint(&format!("50\n96\n{rows}"));
    assert_eq!(said.lines().count(), 41);
    assert!(said.ends_with("and 10 more like these\n"), "{said}");
}

#[test]
fn a_file_that_is_not_there_or_not_text_is_named() {
    let mut command = Command::cargo_bin("longpoint").expect("the program is built");
    let done = command.args(["pack", "no such file.txt"]).assert().code(2);
    let said = String::from_utf8_lossy(&done.get_output().stderr);
    assert!(said.starts_with("no such file.txt: "), "{said}");
    let mut command = Command::cargo_bin("longpoint").expect("the program is built");
    let done = command.args(["pack", "-"]).write_stdin(vec![0xff, 0xfe, 0x31]).assert();
    let done = done.code(2);
    let said = String::from_utf8_lossy(&done.get_output().stderr);
    assert_snapshot!(said, @"standard input: not UTF-8 text (save it as plain text)");
}

#[test]
fn seconds_that_are_none_are_refused() {
    for seconds in ["0", "-1", "soon", "nan", "1e300"] {
        let done = pack("1\n2\n1\n", &["--seconds", seconds]).assert().code(2);
        let said = String::from_utf8_lossy(&done.get_output().stderr);
        assert!(said.contains("a number of seconds above 0"), "{said}");
    }
}
