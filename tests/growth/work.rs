//! `longpoint work`: the bytes that the commands print, and a fault for what is no task.

use std::path::Path;

use serde_json::{Value, json};

use crate::run::{demo, run, said};
use crate::task::{answers, answers_to, faults, files, plan, printed, small};

const TODAY: &str = "2026-11-25";

#[test]
fn answers_are_what_the_commands_print() {
    let metric = demo().with_file_name("metric");
    let (demo, metric) = (demo(), metric.as_path());
    type Asked<'a> = (&'a Path, &'a str, Value, &'a [&'a str]);
    let asked: [Asked; 8] = [
        (&demo, "plan", json!({"today": TODAY}), &[]),
        (
            &demo,
            "plan",
            json!({"today": TODAY, "time": "15:00", "effort": "brisk"}),
            &["--time", "15:00", "--effort", "brisk"],
        ),
        (
            metric,
            "plan",
            json!({"today": TODAY, "rush": ["103", "104"], "rack-only": true}),
            &["--rush", "103", "104", "--rack-only"],
        ),
        (
            metric,
            "plan",
            json!({"today": TODAY, "only": "104", "rack-only": false}),
            &["--only", "104"],
        ),
        (
            metric,
            "year",
            json!({"today": TODAY, "days": 8, "frames": 3, "years": 2, "seed": 7}),
            &["--days", "8", "--frames", "3", "--years", "2", "--seed", "7"],
        ),
        (
            metric,
            "year",
            json!({"today": TODAY, "days": "4", "frames": 2, "years": 2, "learn": true}),
            &["--days", "4", "--frames", "2", "--years", "2", "--learn"],
        ),
        (
            metric,
            "year",
            json!({"today": TODAY, "days": 4, "frames": 2, "years": 1, "orders": true}),
            &["--days", "4", "--frames", "2", "--years", "1", "--orders"],
        ),
        (
            metric,
            "year",
            json!({"today": TODAY, "days": 4, "frames": 2, "years": 1, "practice": "plan"}),
            &["--days", "4", "--frames", "2", "--years", "1", "--practice", "plan"],
        ),
    ];
    let dir = tempfile::tempdir().unwrap();
    let task = |(at, (shop, of, options, _)): (usize, &Asked)| json!({"id": format!("{at}"), "files": files(shop), *of: options});
    let tasks: Vec<Value> = asked.iter().enumerate().map(task).collect();
    let answers = answers_to(&tasks);
    assert_eq!(answers.len(), asked.len());
    for ((shop, of, _, more), answer) in asked.iter().zip(&answers) {
        let words = [&[*of, shop.to_str().unwrap(), "--json", "--today", TODAY], *more].concat();
        let output = run(dir.path(), &words);
        assert_eq!(output.status.code(), Some(0), "{}", said(&output));
        assert_eq!(answer["exit"], 0, "{answer}");
        assert_eq!(answer["answer"].as_str().unwrap().as_bytes(), output.stdout, "{words:?}");
    }
}

#[test]
fn faults_of_a_shop_are_what_the_command_says_of_its_folder() {
    let dir = tempfile::tempdir().unwrap();
    let mut files = small();
    files["frames.csv"] = "frame,moulding,width,height\n1,ASCH,400,500\n2,ASH,x,200\n".into();
    files["rack.csv"] = "stick,moulding\nS-1,ASH\n".into();
    for (name, text) in files.as_object().unwrap() {
        std::fs::write(dir.path().join(name), text.as_str().unwrap()).unwrap();
    }
    let output = run(dir.path(), &["plan", ".", "--today", TODAY]);
    let answer = answers_to(&[json!({"id": "a", "files": files, "plan": {"today": TODAY}})]);
    let said = said(&output);
    let mut said: Vec<&str> = said.lines().collect();
    assert_eq!(said.pop(), Some("3 faults to mend in ."));
    assert_eq!(faults(&answer[0]), said);
    // What the commands themselves refuse.
    let none = json!({"id": "a", "files": small(), "plan": {"today": TODAY, "rush": ["7"]}});
    assert!(faults(&answers_to(&[none])[0])[0].starts_with("--rush: there is no frame \"7\""));
}

/// What is wrong with a task but its shop, said all at once.
#[test]
fn what_is_no_task_is_answered_and_the_next_is_read() {
    let with = |key: &str, value: Value| {
        let mut task = plan("of");
        task[key] = value;
        task.to_string()
    };
    let file = |name: &str| {
        let mut files = small();
        files[name] = "x".into();
        with("files", files)
    };
    let whole = plan("of").to_string();
    let wrong: &[(String, &[&str])] = &[
        ("{".to_owned(), &["not JSON at sign 1: EOF while parsing an object (write a task on"]),
        (whole[..whole.len() / 2].to_owned(), &["not JSON at sign"]),
        (whole.replacen(':', " ", 1), &["not JSON at sign"]),
        (format!("{whole} {whole}"), &["not JSON at sign"]),
        ("[1]".to_owned(), &["[1] is no task (write {\"id\":"]),
        ("7".to_owned(), &["7 is no task"]),
        (
            "{}".to_owned(),
            &["\"id\" is missing", "\"files\" is missing", "\"plan\" or \"year\" is"],
        ),
        (with("id", json!(7)), &["id: 7 is no id (write words of 1 to 200 signs, such as"]),
        (with("id", json!("")), &["id: \"\" is no id"]),
        (with("id", json!("x".repeat(201))), &["id: \"xxx"]),
        (with("shop", json!(1)), &["\"shop\" is no key of a task (the keys are id, files, plan"]),
        (with("year", json!({})), &["\"plan\" and \"year\" are both asked"]),
        (whole.replacen("{", "{\"id\":\"so\",", 1), &["\"id\" is given twice (keep one)"]),
        (with("files", json!([])), &["files: [] is no object"]),
        (with("plan", json!(true)), &["plan: true is no object (write its options in braces)"]),
        (with("plan", json!({})), &["plan: \"today\" is missing (write the day, such as"]),
        (
            file("frame.csv"),
            &["files: \"frame.csv\" is no file of this shop (they are frames.csv,"],
        ),
        (file("../frames.csv"), &["files: \"../frames.csv\" is no file of this shop"]),
        (file("/etc/passwd"), &["files: \"/etc/passwd\" is no file of this shop"]),
        (file("shop.xlsx"), &["files: \"shop.xlsx\" is no file of this shop"]),
        (
            whole.replacen("\"rack.csv\":", "\"rack.csv\":5,\"rack.csv\":", 1),
            &["files: \"rack.csv\": 5 is no text (write it in quotes)"],
        ),
        (
            whole.replacen("\"rack.csv\":", "\"rack.csv\":\"\",\"rack.csv\":", 1),
            &["files: \"rack.csv\" is given twice (keep one)"],
        ),
        (
            with(
                "plan",
                json!({"today": "now", "time": "25:00", "effort": "much", "out": "x",
                "threads": 2, "seconds": 1, "rack-only": "yes", "rush": [7]}),
            ),
            &[
                "plan: \"out\" is no option here (they are today, time, rush, only, rack-only,",
                "plan: \"threads\" is no option here",
                "plan: \"seconds\" is no option here",
                "plan: \"rack-only\": \"yes\" is no switch (write true or false)",
                "plan: \"rush\": [7] is no value",
                "plan: invalid value 'much' for '--effort <WORD>'",
                "plan: invalid value '25:00' for '--time <HH:MM>'",
                "plan: invalid value 'now' for '--today <YYYY-MM-DD>': write it year first",
            ],
        ),
        (
            with("plan", json!({"today": ["2026-11-25", "2026-11-26"]})),
            &["plan: the argument '--today <YYYY-MM-DD>' cannot be used multiple times"],
        ),
    ];
    let lines: String = wrong.iter().map(|(line, _)| format!("{line}\n")).collect();
    // An empty line is passed over, and counted.
    let answers = answers(format!("{lines}\n{}\n", plan("last")).as_bytes());
    assert_eq!(answers.len(), wrong.len() + 1);
    for (number, ((line, wanted), answer)) in wrong.iter().zip(&answers).enumerate() {
        let place = format!("line {}: ", number + 1);
        let faults: Vec<&str> =
            faults(answer).into_iter().map(|fault| fault.strip_prefix(&place).unwrap()).collect();
        let is_so = |(fault, wanted): (&&str, &&str)| fault.starts_with(wanted);
        assert_eq!(faults.len(), wanted.len(), "{line}\n{faults:#?}");
        assert!(faults.iter().zip(*wanted).all(is_so), "{line}\n{faults:#?}");
    }
    assert_eq!(answers[wrong.len()]["id"], "last");
    assert_eq!(answers[wrong.len()]["exit"], 0);
}

/// A year asked with options that it has not, or beyond what it takes.
#[test]
fn a_year_is_refused_in_the_words_of_its_command() {
    let year = json!({"id": "a", "files": small(), "year": {
        "today": TODAY, "days": 0, "frames": 501, "lots": "week", "json": true,
    }});
    let answers = answers_to(&[year]);
    let faults = faults(&answers[0]);
    assert_eq!(
        faults[0],
        "line 1: year: \"json\" is no option here (they are today, days, frames, notice, patience, lots, seed, years, practice, learn, orders, setting, effort)"
    );
    assert!(
        faults[1].starts_with("line 1: year: invalid value '0' for '--days <N>'"),
        "{faults:?}"
    );
    assert!(faults[2].starts_with("line 1: year: invalid value '501' for '--frames"), "{faults:?}");
    assert!(faults[3].starts_with("line 1: year: invalid value 'week' for '--lots"), "{faults:?}");
    assert_eq!(faults.len(), 4);
}

#[test]
fn an_id_is_answered_once() {
    let answers = answers_to(&[plan("a"), plan("b"), plan("a"), plan("c")]);
    let ids: Vec<&str> = answers.iter().map(|answer| answer["id"].as_str().unwrap()).collect();
    assert_eq!(ids, ["a", "b", "a", "c"]);
    assert_eq!(faults(&answers[2]), ["line 3: id: an earlier line has it (give each its own)"]);
    // But for its id, the answer to the same question is the same.
    assert_eq!(answers[0]["answer"], answers[3]["answer"]);
}

#[test]
fn a_price_list_comes_along_under_the_name_that_the_shop_gives_it() {
    let mut files = small();
    let settings = files["shop.toml"].as_str().unwrap();
    let list = "[import.BRIN]\nfile = \"brin.csv\"\ncode = \"Art\"\nprice = \"Trade\"\n\
                per = \"= m\"\nlengths = \"= 2200\"\n";
    files["shop.toml"] = format!("{settings}{list}").into();
    files["suppliers.csv"] = "supplier,name,lead_days\nBRIN,Brindlecombe,3\n".into();
    // Two frames for which the rack has not enough: one stick is bought by the list.
    files["rack.csv"] = "stick,moulding,length\n".into();
    files["brin.csv"] = "Art,Trade\nASH,2.75\n".into();
    let task =
        |id: &str, files: &Value| json!({"id": id, "files": files, "plan": {"today": TODAY}});
    let mut without = files.clone();
    without.as_object_mut().unwrap().remove("brin.csv");
    let answers = answers_to(&[task("a", &files), task("b", &without)]);
    assert_eq!(answers[0]["exit"], 0, "{}", answers[0]);
    let plan: Value = serde_json::from_str(answers[0]["answer"].as_str().unwrap()).unwrap();
    assert_eq!(plan["order"]["lines"][0]["supplier"], "BRIN");
    assert!(faults(&answers[1])[0].contains("brin.csv"), "{}", answers[1]);
}

#[test]
fn a_line_that_is_too_long_is_not_kept_and_the_next_is_read() {
    let mut lines = plan("a").to_string().into_bytes();
    let end = lines.len() - 1;
    // Blanks before the last brace: without the limit it would be a task.
    lines.splice(end..end, vec![b' '; 64_000_000]);
    lines.push(b'\n');
    // One that is not UTF-8, and one without an end.
    lines.extend(b"\xff\n");
    lines.extend(plan("b").to_string().as_bytes());
    let answers = answers(&lines);
    assert_eq!(answers.len(), 3);
    assert_eq!(answers[0]["id"], Value::Null);
    assert_eq!(faults(&answers[0]), ["line 1: longer than 64 MB (send a smaller shop)"]);
    assert_eq!(faults(&answers[1]), ["line 2: not UTF-8 text (write it as UTF-8)"]);
    assert_eq!((&answers[2]["id"], &answers[2]["exit"]), (&json!("b"), &json!(0)));
}

#[test]
fn nothing_to_do_is_done() {
    assert!(printed(b"").is_empty());
    assert!(printed(b"\n \n\r\n").is_empty());
}
