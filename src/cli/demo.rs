//! `longpoint demo`: writes an example shop folder to begin from.

use std::fs;
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

use anyhow::Context;

use super::exit::WrongInput;
use super::interrupt;

/// What `longpoint demo` is told.
#[derive(Debug, clap::Args)]
pub struct Demo {
    /// The folder to write, made if it is not there
    pub dir: PathBuf,
    /// Write the small shop that measures in millimetres instead
    #[arg(long)]
    pub metric: bool,
    /// Write a shop with ten jobs of every kind instead, with --metric in millimetres
    #[arg(long)]
    pub jobs: bool,
}

/// The files of a folder of `data`.
macro_rules! folder {
    ($dir:literal: $($name:literal),+) => {
        &[$(($name, include_str!(concat!("../../data/", $dir, "/", $name)))),+]
    };
}

const INCHES: &[(&str, &str)] = folder!(
    "demo": "shop.toml", "mouldings.csv", "frames.csv", "materials.csv", "jobs.csv", "rack.csv",
    "suppliers.csv", "offers.csv", "sheets.csv", "pieces.csv"
);

const METRIC: &[(&str, &str)] = folder!(
    "metric": "shop.toml", "mouldings.csv", "frames.csv", "materials.csv", "jobs.csv", "rack.csv",
    "suppliers.csv", "offers.csv"
);

const JOBS: &[(&str, &str)] = folder!(
    "jobs": "shop.toml", "mouldings.csv", "frames.csv", "materials.csv", "jobs.csv", "rack.csv",
    "sheets.csv"
);

const METRIC_JOBS: &[(&str, &str)] = folder!(
    "jobs-metric": "shop.toml", "mouldings.csv", "frames.csv", "materials.csv", "jobs.csv",
    "rack.csv", "sheets.csv"
);

/// Writes the folder, whole or not at all; nothing is overwritten.
///
/// # Errors
/// [`WrongInput`] if there is anything in the way; another error if the disk
/// refuses, after taking back what was written.
pub fn run(args: &Demo, out: &mut dyn Write) -> anyhow::Result<()> {
    let files = match (args.jobs, args.metric) {
        (false, false) => INCHES,
        (false, true) => METRIC,
        (true, false) => JOBS,
        (true, true) => METRIC_JOBS,
    };
    let dir = &args.dir;
    let there: Vec<&str> =
        files.iter().map(|(name, _)| *name).filter(|name| is_there(&dir.join(name))).collect();
    if !there.is_empty() {
        let words = format!(
            "{} has {} already, and nothing is overwritten (give a new folder)",
            dir.display(),
            there.join(", ")
        );
        return Err(WrongInput(words).into());
    }
    interrupt::whole(|| write_whole(dir, files))?;
    writeln!(out, "Wrote {} files to {}", files.len(), dir.display())?;
    writeln!(out, "Next: longpoint check {}", dir.display())?;
    Ok(())
}

/// Writes all files into a folder or, when something goes wrong, none.
fn write_whole(dir: &Path, files: &[(&'static str, &'static str)]) -> anyhow::Result<()> {
    let new_folder = !is_there(dir);
    fs::create_dir_all(dir).with_context(|| format!("cannot make {}", dir.display()))?;
    let mut written = Vec::new();
    for (name, text) in files {
        let path = dir.join(name);
        if let Err(error) = write_new(&path, text, &mut written) {
            take_back(&written, new_folder.then_some(dir));
            return Err(error).with_context(|| format!("cannot write {}", path.display()));
        }
    }
    Ok(())
}

/// Whether anything has this name, a dangling link included.
fn is_there(path: &Path) -> bool {
    let absent = [ErrorKind::NotFound, ErrorKind::NotADirectory];
    !matches!(fs::symlink_metadata(path), Err(error) if absent.contains(&error.kind()))
}

/// Writes a file that must not be there, and remembers it once it is.
fn write_new(path: &Path, text: &str, written: &mut Vec<PathBuf>) -> std::io::Result<()> {
    let mut file = fs::OpenOptions::new().write(true).create_new(true).open(path)?;
    written.push(path.to_owned());
    file.write_all(text.as_bytes())?;
    file.sync_all()
}

/// Removes what was written before something went wrong. A file that cannot be
/// removed stays: the first error is the one worth telling.
fn take_back(written: &[PathBuf], folder: Option<&Path>) {
    for path in written {
        let _ = fs::remove_file(path);
    }
    if let Some(folder) = folder {
        let _ = fs::remove_dir(folder);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_cannot_be_written_takes_the_others_back() {
        let dir = tempfile::tempdir().unwrap();
        let shop = dir.path().join("shop");
        let files = [("a.csv", "a"), ("b.csv", "b"), ("a.csv", "again")];
        let error = write_whole(&shop, &files).unwrap_err();
        assert!(error.to_string().starts_with("cannot write "));
        assert!(!shop.exists(), "the folder was new");
        fs::create_dir(&shop).unwrap();
        fs::write(shop.join("mine.txt"), "mine").unwrap();
        write_whole(&shop, &files).unwrap_err();
        assert_eq!(fs::read_dir(&shop).unwrap().count(), 1, "what was there stays");
    }
}
