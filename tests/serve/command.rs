//! The command that serves: what it says, and what it refuses.

use std::net::TcpListener;
use std::process::{Command, Output};

use super::shops;

fn refused(dir: &std::path::Path, args: &[&str]) -> (Option<i32>, String) {
    let done: Output = Command::new(env!("CARGO_BIN_EXE_longpoint"))
        .current_dir(dir)
        .env("TZ", "Etc/UTC")
        .args(args)
        .output()
        .unwrap();
    (done.status.code(), String::from_utf8(done.stderr).unwrap())
}

#[test]
fn what_cannot_be_served_is_said_with_the_mend() {
    let dir = tempfile::tempdir().unwrap();
    drop(shops::begin(dir.path(), &shops::files()));
    let taken = TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port().to_string();
    for (args, said) in [
        (vec!["serve", "no.book"], "no.book: there is no such book"),
        (vec!["serve", "shop.book", "--lan", "0.0.0.0"], "say which address of this computer's"),
        (vec!["serve", "shop.book", "--port", &port], "--port chooses another port"),
        (vec!["serve", "shop.book", "--lan", "192.0.2.7"], "is it an address of this computer's"),
        (vec!["serve", "shop.book", "--lan", "the shop"], "--lan"),
        (vec!["serve", "shop.book", "--pair", "boss"], "say bench, counter, office or wall"),
        (vec!["serve", "shop.book", "--through", "bench.example/x"], "write it as https://"),
    ] {
        let (code, words) = refused(dir.path(), &args);
        assert_eq!(code, Some(2), "{args:?}: {words}");
        assert!(words.contains(said), "{args:?}: {words}");
    }
}

#[test]
fn joined_and_fitted_are_commands_too() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = shops::begin(dir.path(), &shops::files());
    shops::take(&mut book);
    let (code, words) = refused(dir.path(), &["joined", "shop.book", "2"]);
    assert_eq!(code, Some(2), "{words}");
    assert!(words.contains("0 of 4 rails of copy 1 of 2 are cut"), "{words}");
    book.cut_all(None, &shops::stamp()).unwrap();
    for what in ["joined", "fitted"] {
        assert_eq!(refused(dir.path(), &[what, "shop.book", "2"]), (Some(0), String::new()));
        assert_eq!(book.last_step().unwrap().unwrap().done.what, what);
    }
}
