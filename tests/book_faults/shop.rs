//! A shop with a book, driven by the program itself.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use longpoint::book::{Book, RackQuery};

pub const TOML: &str = r#"
name = "Teasel Lane Framing"
unit = "mm"
allowance = "3"
currency = "EUR"
default_cutter = "saw"
[offcuts]
keep = "200"
worth = "0.5"
[cutter.saw]
kerf = "3"
passes = 1
nick = "0"
first_trim = "10"
last_trim = "10"
grip = "0"
shortest = "100"
stop = "long"
"#;

pub struct Shop {
    pub dir: tempfile::TempDir,
}

impl Shop {
    /// A shop with so many frames, and sticks that take one frame each.
    pub fn new(frames: usize, sticks: usize) -> Shop {
        let dir = tempfile::tempdir().unwrap();
        let folder = dir.path().join("folder");
        std::fs::create_dir(&folder).unwrap();
        let frame = |n: usize| format!("F-{n},ASH,400,500\n");
        let stick = |n: usize| format!("S-{n},ASH,2200,bay\n");
        let frames: String = (1..=frames).map(frame).collect();
        let sticks: String = (1..=sticks).map(stick).collect();
        for (name, text) in [
            ("shop.toml", TOML.to_owned()),
            (
                "mouldings.csv",
                "moulding,width,rabbet,stick,price,per\nASH,20,6,2200,3.10,m\n".to_owned(),
            ),
            ("frames.csv", format!("frame,moulding,width,height\n{frames}")),
            ("rack.csv", format!("stick,moulding,length,place\n{sticks}")),
        ] {
            std::fs::write(folder.join(name), text).unwrap();
        }
        let shop = Shop { dir };
        let opened = shop.run(&["open", "shop.book", "--from", "folder"]);
        assert!(opened.status.success(), "{}", said(&opened));
        shop
    }

    pub fn path(&self) -> PathBuf {
        self.dir.path().join("shop.book")
    }

    pub fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(program());
        command.current_dir(self.dir.path()).args(args);
        command
    }

    pub fn run(&self, args: &[&str]) -> Output {
        self.command(args).output().unwrap()
    }

    /// The book, which must be whole and balance.
    pub fn book(&self) -> Book {
        let book = Book::open(&self.path()).unwrap();
        let audit = book.audit().unwrap();
        assert!(audit.balances(), "{:?}", audit.faults);
        book
    }

    /// How many sticks there are and how many steps there were.
    pub fn state(&self) -> (usize, u64) {
        let book = self.book();
        (book.rack(&RackQuery::default()).unwrap().len(), book.audit().unwrap().steps)
    }
}

pub fn program() -> &'static Path {
    Path::new(env!("CARGO_BIN_EXE_longpoint"))
}

pub fn said(output: &Output) -> String {
    [&output.stdout, &output.stderr].map(|bytes| String::from_utf8_lossy(bytes)).concat()
}
