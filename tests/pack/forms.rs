//! The forms in which an instance is read and an answer is written.

use std::fs;
use std::io::Write;
use std::process::Stdio;

use assert_cmd::Command;
use insta::assert_snapshot;
use serde_json::Value;

use super::{answer, pack, words};

const PLAIN: &str = "3\n100\n70 2\n45 2\n30 2\n";

fn timeless(mut answer: Value) -> Value {
    assert!(answer["seconds"].is_f64());
    answer["seconds"] = Value::from(0);
    answer
}

#[test]
fn one_instance_in_every_form_gets_one_answer() {
    let plain = timeless(answer(PLAIN));
    for same in [
        "\u{feff}3\r\n100\r\n70 2\r\n45 2\r\n30 2\r\n",
        "# rails\n\n3\n  100\n70\t2\n45 2\n# the short ones\n30 2",
        r#"{"stock":[{"length":100}],"items":[{"length":70,"demand":2},
            {"length":45,"demand":2},{"length":30,"demand":2}]}"#,
        r#"{"items":[{"demand":2,"length":70},{"length":45,"demand":2},
            {"length":30,"demand":2}],"stock":[{"length":100,"cost":1,"supply":null}]}"#,
        "1\n100 9 1\n3\n70 2\n45 2\n30 2\n",
    ] {
        assert_eq!(timeless(answer(same)), plain, "{same}");
    }
}

#[test]
fn a_row_of_one_number_is_wanted_once() {
    assert_eq!(
        timeless(answer("3\n100\n70\n30\n45 2\n")),
        timeless(answer("3\n100\n70 1\n30 1\n45 2\n"))
    );
}

#[test]
fn a_file_is_read_like_a_pipe() {
    let folder = tempfile::tempdir().expect("a folder of our own");
    let file = folder.path().join("rails.txt");
    fs::write(&file, PLAIN).expect("written");
    let mut command = Command::cargo_bin("longpoint").expect("the program is built");
    let done = command.arg("pack").arg(&file).assert().success();
    let said = String::from_utf8_lossy(&done.get_output().stdout);
    assert_eq!(said, words(PLAIN));
}

#[test]
fn the_json_answer_has_its_contract() {
    // By hand: 70 + 30 twice and 45 + 45.
    assert_snapshot!(timeless(answer(PLAIN)), @r#"{"status":"proven","cost":3,"bound":3,"sticks":3,"seconds":0,"patterns":[{"stock":0,"times":2,"items":[[0,1],[2,1]]},{"stock":0,"times":1,"items":[[1,2]]}]}"#);
}

#[test]
fn sticks_are_counted_in_words() {
    assert_snapshot!(words(PLAIN), @r"
    3 sticks, proven fewest.
    10 of 300 is left over (3.33 %).

     times  stock  pieces   left
    -----------------------------
         2    100  70 + 30     0
         1    100  2 x 45     10
    ");
    assert_snapshot!(words("1\n100\n70\n"), @r"
    1 stick, proven fewest.
    30 of 100 is left over (30.00 %).

     times  stock  pieces  left
    ----------------------------
         1    100  70        30
    ");
}

#[test]
fn cost_is_told_in_words() {
    // By hand: 60 + 60 needs the long stick or two short ones; 30 goes with
    // neither. 12 + 7 = 19 against 3 x 7 = 21.
    assert_snapshot!(words("2\n120 5 12\n70 5 7\n2\n60 2\n30 1\n"), @r"
    Cost 19 in 2 sticks, proven least.
    40 of 190 is left over (21.05 %).

     times  stock  pieces  left
    ----------------------------
         1    120  2 x 60     0
         1     70  30        40
    ");
}

#[test]
fn a_long_list_of_pieces_stays_within_80_columns() {
    // 23 lengths of one stick; their sum is 100 + ... + 122 = 2553.
    let mut instance = "23\n2553\n".to_owned();
    (100..123).for_each(|length| instance.push_str(&format!("{length}\n")));
    let said = words(&instance);
    assert!(said.starts_with("1 stick, proven fewest.\n0 of 2553"), "{said}");
    assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
}

#[test]
fn what_cannot_be_placed_is_told_in_words() {
    assert_snapshot!(words("2\n90 4 1\n100 4 1\n3\n101 2\n50 1\n140 1\n"), @r"
    Impossible: the longest stock is 100, and these pieces are longer.

     piece  wanted
    ---------------
       101       2
       140       1
    ");
    assert_snapshot!(words("1\n100\n101\n"), @r"
    Impossible: the longest stock is 100, and this piece is longer.

     piece  wanted
    ---------------
       101       1
    ");
    // By hand: no sum of pieces of 60 comes nearer to 140 than 120.
    assert_snapshot!(words("1\n140 2 1\n1\n60 5\n"), @r"
    Impossible: these pieces add up to 300. All the stock that is long enough
    for any of them gives 240 at most in such pieces, 60 too little.

     piece  wanted
    ---------------
        60       5
    ");
    // By hand: 25 offcuts of 50 are no help with two of 90.
    assert_snapshot!(words("2\n120 1 1\n50 25 1\n2\n90 2\n44 1\n"), @r"
    Impossible: these pieces add up to 180. All the stock that is long enough
    for any of them gives 120 at most in such pieces, 60 too little.

     piece  wanted
    ---------------
        90       2
    ");
    // By hand: a stick of 110 holds only one of 60 or 70.
    assert_snapshot!(words("1\n110 2 1\n3\n60 2\n10 1\n70 1\n"), @r"
    Impossible: 3 pieces of 60 or longer are wanted, but all the stock together
    has places for 2 at most.

     piece  wanted
    ---------------
        60       2
        70       1
    ");
    assert_snapshot!(words("1\n110 2 1\n2\n60 3\n10 1\n"), @r"
    Impossible: 3 pieces of 60 are wanted, but all the stock together
    has places for 2 at most.

     piece  wanted
    ---------------
        60       3
    ");
    // By hand: the 56 shares a stick of 100 with none of the others, and they
    // do not go on one stick. The 1 has no part in it.
    assert_snapshot!(words("1\n100 2 1\n4\n1 1\n48 2\n56 1\n47 1\n"), @r"
    Impossible: the stock is long enough in all, but however it is shared out, some
    of these pieces are left over. This is proven.

     piece  wanted
    ---------------
        48       2
        56       1
        47       1
    ");
}

#[test]
fn a_reader_that_goes_away_is_no_error() {
    for options in [&["pack", "-"][..], &["pack", "-", "--json"]] {
        let mut child = std::process::Command::new(assert_cmd::cargo::cargo_bin("longpoint"))
            .args(options)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        drop(child.stdout.take());
        let mut input = child.stdin.take().expect("a pipe to the program");
        input.write_all(PLAIN.as_bytes()).expect("the program reads");
        drop(input);
        let done = child.wait_with_output().expect("the program ends");
        assert!(done.status.success(), "{done:?}");
        assert_eq!(String::from_utf8_lossy(&done.stderr), "");
    }
}

#[test]
fn the_same_instance_gets_the_same_bytes() {
    let bytes = || pack(PLAIN, &[]).assert().get_output().stdout.clone();
    assert_eq!(bytes(), bytes());
}

#[test]
fn the_number_of_items_and_the_stock_length_may_share_a_row() {
    assert_eq!(answer("2 100\n45 2\n36\n")["sticks"], answer("2\n100\n45 2\n36\n")["sticks"]);
}
