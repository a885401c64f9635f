//! Instances that once hung, took gigabytes, ended the process or were answered
//! with a mistake, each named after what was special about it.

use std::io::Write;
use std::process::Command;

use super::judge;
use super::trial::Said;

/// How many seconds each may take: little, so that the tests are quick; that is
/// kept to.
const SECONDS: &str = "0.3";

/// What the program says to an instance, in a process of its own.
fn said(instance: &str) -> Said {
    let mut file = tempfile::NamedTempFile::new().expect("room for a file");
    file.write_all(instance.as_bytes()).expect("room for a file");
    let mut command = Command::new(env!("CARGO_BIN_EXE_longpoint"));
    command.arg("pack").arg(file.path()).args(["--json", "--seconds", SECONDS]);
    let output = command.output().expect("the program runs");
    match output.status.code() {
        Some(0) => Said::Answer(serde_json::from_slice(&output.stdout).expect("JSON")),
        Some(2) => Said::Wrong(String::from_utf8(output.stderr).expect("text")),
        other => panic!("{other:?}: {}", String::from_utf8_lossy(&output.stderr)),
    }
}

/// The status of the answer, once it was found to hold.
fn status(instance: &str) -> String {
    match said(instance) {
        Said::Answer(answer) => judge::judge(&judge::read(instance), &answer),
        Said::Wrong(message) => panic!("{message}"),
    }
}

fn complaint(instance: &str) -> String {
    match said(instance) {
        Said::Answer(answer) => panic!("{answer}"),
        Said::Wrong(message) => message,
    }
}

fn is_a_plan(status: &str) -> bool {
    status == "proven" || status == "feasible"
}

#[test]
fn sticks_of_ninety_nine_thousand_million() {
    let instance = r#"{"stock":[{"length":3137508887,"cost":35,"supply":null},
{"length":98853808600,"cost":65535,"supply":26},{"length":988538086,"cost":1,"supply":36},
{"length":1977076172,"cost":1,"supply":2},
{"length":3084072038,"cost":3084072038,"supply":1}],"items":[{"length":250000024,"demand":36},
{"length":647273473,"demand":49},{"length":988538086,"demand":47},
{"length":306326628,"demand":23},{"length":519677184,"demand":34},
{"length":323327571,"demand":17},{"length":262409801,"demand":6},
{"length":53853638,"demand":30},{"length":156392343,"demand":3},
{"length":576324750,"demand":9},{"length":319904796,"demand":29},
{"length":909059128,"demand":16},{"length":866593188,"demand":43},
{"length":282478769,"demand":37},{"length":401601082,"demand":24},
{"length":404302760,"demand":7},{"length":599745262,"demand":24},
{"length":241787365,"demand":4},{"length":42557740,"demand":4},
{"length":229926273,"demand":36}]}"#;
    assert!(is_a_plan(&status(instance)));
}

#[test]
fn sticks_far_longer_than_all_that_is_wanted() {
    let instance = "3\n13423120802 4294967295 26\n429496729600 1 1\n429496729600 4294967295 6000\n\
         6\n4294967296 834\n1000 872\n1 828\n100 578\n2147483647 687\n999 149\n";
    assert!(is_a_plan(&status(instance)));
}

#[test]
fn costs_as_large_as_lengths() {
    let instance = "3\n12735579 5 12735579\n3991967 4294967295 3991967\n\
         399196600 4294967295 399196600\n8\n1401652 366\n3991966 682\n3622493 212\n\
         1277961 934\n2196298 412\n2152281 563\n2506335 479\n3685885 230\n";
    assert!(is_a_plan(&status(instance)));
}

#[test]
fn two_thousand_million_pieces_of_one_length() {
    let instance = "2\n192\n3 2147483648\n96\n";
    assert_eq!(status(instance), "proven");
}

#[test]
fn a_million_pieces_beside_single_ones() {
    let instance = "8\n3522\n1148\n1317 1\n611\n950 1000000\n1223\n1761 1\n1698 1\n1398\n";
    assert_eq!(status(instance), "proven");
}

#[test]
fn millions_of_pieces_from_three_stock_lengths() {
    let instance = "3\n11 4294967295 2\n20 5 1\n4 4294967295 1\n12\n10 1000000\n8 1\n6 1\n5 1\n1 1\n\
         1 1\n8 10000\n10 1000000\n3 1\n2 1\n8 1000000\n4 10000\n";
    assert!(is_a_plan(&status(instance)));
}

#[test]
fn thousands_of_millions_of_the_shortest_at_the_dearest_rate() {
    let instance = "2\n1 1 85\n291351800091 52 1\n10\n195428478935 2\n117465365589 1\n\
         195428478935 3\n1 5\n132541676522 2\n1 2147483648\n42097332097 2\n195428478935 4\n\
         1 5\n195428478935 1\n";
    assert!(is_a_plan(&status(instance)));
}

#[test]
fn lengths_without_a_common_divisor() {
    let instance = r#"{"stock":[{"length":2938204998,"cost":2938204998,"supply":4294967295},
{"length":96615326300,"cost":7,"supply":5},{"length":4312637489,"cost":43,"supply":null},
{"length":966153263,"cost":67,"supply":1},
{"length":1932306526,"cost":1932306526,"supply":4294967295}],"items":[{"length":65513362,"demand":22},
{"length":448661585,"demand":263},{"length":14347624,"demand":419},
{"length":689834188,"demand":885},{"length":596642978,"demand":133},
{"length":966153263,"demand":130}]}"#;
    assert!(is_a_plan(&status(instance)));
}

#[test]
fn thousands_of_pieces_of_eight_stock_lengths() {
    let instance = r#"{"stock":[{"length":268027100,"cost":28,"supply":44},
{"length":2680272,"cost":25,"supply":null},{"length":11258842,"cost":1,"supply":null},
{"length":268027100,"cost":30,"supply":4294967295},
{"length":10553636,"cost":10553636,"supply":7},
{"length":9728619,"cost":9728619,"supply":null},{"length":5360542,"cost":1,"supply":2},
{"length":10739291,"cost":10739291,"supply":null}],"items":[{"length":2680271,"demand":618},
{"length":1225176,"demand":929},{"length":1461298,"demand":862},
{"length":1435422,"demand":117},{"length":1670854,"demand":205},
{"length":2067257,"demand":842},{"length":2363288,"demand":230},
{"length":1150840,"demand":63}]}"#;
    assert!(is_a_plan(&status(instance)));
}

#[test]
fn one_cheap_long_stock_among_many() {
    let instance = r#"{"stock":[{"length":1975263276,"cost":29,"supply":5},
{"length":846203350,"cost":1,"supply":26},{"length":1975263276,"cost":100,"supply":null},
{"length":987631639,"cost":1,"supply":null},
{"length":2455906349,"cost":1,"supply":4294967295},
{"length":98763163800,"cost":77,"supply":4294967295},
{"length":985663422,"cost":985663422,"supply":2},
{"length":987631639,"cost":2440,"supply":2}],"items":[{"length":987631638,"demand":100},
{"length":923995264,"demand":3},{"length":450706897,"demand":1},
{"length":149984851,"demand":1},{"length":678063819,"demand":4},
{"length":647948007,"demand":3},{"length":703779069,"demand":4},
{"length":488742207,"demand":1},{"length":97252467,"demand":4},
{"length":481293860,"demand":1},{"length":138393439,"demand":3},
{"length":202255092,"demand":3},{"length":710396100,"demand":3},
{"length":568018836,"demand":1},{"length":808398592,"demand":3},
{"length":112887970,"demand":1},{"length":414049012,"demand":1},
{"length":743288914,"demand":3},{"length":763729047,"demand":1},
{"length":6438657,"demand":3}]}"#;
    assert!(is_a_plan(&status(instance)));
}

#[test]
fn pieces_of_seven_beside_thousands_of_millions() {
    let instance = "5\n11189011318 5 56\n4294967296 4294967295 1\n24453231402 2 24453231402\n\
         4151763693 4294967295 1\n4294967296 5 1\n5\n3 795\n65535 752\n4294967295 437\n\
         1000000000 646\n7 276\n";
    assert!(is_a_plan(&status(instance)));
}

#[test]
fn tiny_and_huge_pieces_together() {
    let instance = "5\n1170527760 4294967295 1\n6194428907 5 2147483648\n\
         4928464872 4294967295 1000\n2147483649 4294967295 2147483649\n214748364800 2 1\n\
         4\n6000 633\n65536 410\n1000 698\n2147483648 516\n";
    assert!(is_a_plan(&status(instance)));
}

#[test]
fn demands_beyond_what_is_counted() {
    let instance = "\u{feff}8\n99 4294967295 1\n168 94 168\n290 2 290\n196 85 999\n99 2 99\n\
         62 92 62\n270 4294967295 270\n196 2 196\n20\n58 1\n47 2147483647\n58 1\n\
         6 2147483647\n47 4294967295\n31 4294967295\n39 2\n51 4294967295\n58 1\n\
         59 2147483647\n79 2147483647\n2 2\n35 2\n11 2147483647\n98 4294967295\n\
         17 2147483647\n77 2147483647\n86 2147483647\n88 1\n88 4294967295\n";
    let said = complaint(instance);
    assert!(said.contains("all demands together are more than 4294967295 pieces"), "{said}");
}

#[test]
fn equal_lengths_wanted_beyond_what_is_counted() {
    let instance = "20\n200\n4 2\n61 1\n100 2147483648\n54 2147483648\n33 4294967295\n93\n64\n89\n\
         42 2\n81 2\n89 1\n22 2147483648\n38\n43 2\n24 2147483648\n2 2147483648\n\
         4 2147483647\n21 1\n80 2147483647\n48 2147483647\n";
    let said = complaint(instance);
    assert!(said.contains("all demands together are more than 4294967295 pieces"), "{said}");
}

#[test]
fn json_demands_beyond_what_is_counted() {
    let instance = r#"
{"stock":[{"length":1950,"cost":1,"supply":null}],"items":[{"length":617,"demand":2147483647},
{"length":1666,"demand":2},{"length":1317,"demand":2147483647},
{"length":1516,"demand":2147483647},{"length":1375,"demand":2147483648},
{"length":1816,"demand":2147483648},{"length":641,"demand":4294967295},
{"length":259,"demand":4294967295},{"length":931,"demand":2},
{"length":965,"demand":2147483648},{"length":1949,"demand":2147483648},
{"length":1453,"demand":2147483647}]}"#;
    let said = complaint(instance);
    assert!(said.contains("all demands together are more than 4294967295 pieces"), "{said}");
}

#[test]
fn a_sign_that_cannot_be_seen_is_written_out() {
    let said = complaint("1\n4\u{1c}\n48\n# 3\n");
    assert!(said.contains(r#"line 2, stock length: "4\u{1c}" is not a whole number"#), "{said}");
}

#[test]
fn answers_put_back_in_are_quoted_in_brief() {
    let long = "7".repeat(100_000);
    for instance in
        [format!("2\n{long}\n"), format!("{{\"{long}\":1}}"), format!("2\n96\n{long} 1 2")]
    {
        let said = complaint(&instance);
        assert!(said.lines().all(|line| line.len() < 300), "{} bytes", said.len());
    }
}
