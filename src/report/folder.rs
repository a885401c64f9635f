//! The plan's folder, written whole or not at all.

use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use crate::chop::Schedule;
use crate::plan::Plan;
use crate::shop::Shop;

/// Why a folder could not be written. What stood in it before stands as before.
#[derive(Debug, thiserror::Error)]
pub enum FolderError {
    /// The folder itself cannot be made or entered.
    #[error("{} cannot be made or entered as a folder (name a folder that can be written to)", path.display())]
    Folder {
        /// The folder.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// Something that is no file stands where one should go.
    #[error("{} is not a file (move it away, or name another folder)", path.display())]
    InTheWay {
        /// What stands there.
        path: PathBuf,
    },
    /// A file that is no page stands where a page should go.
    #[error("{} is there already and is no page (name another file)", path.display())]
    NoPage {
        /// The file.
        path: PathBuf,
    },
    /// A file that is no workbook stands where one should go.
    #[error("{} is there already and is no workbook (name another file)", path.display())]
    NoWorkbook {
        /// The file.
        path: PathBuf,
    },
    /// A file cannot be written or put in its place.
    #[error("{} cannot be written, and is as it was (is the disk full, or the file open elsewhere?)", path.display())]
    File {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
}

/// Writes the [files](super::files) of a plan, and takes away what an earlier plan wrote
/// there for suppliers that nothing is ordered from now.
///
/// # Errors
/// As [`write()`].
pub fn write_plan(
    folder: &Path,
    plan: &Plan,
    shop: &Shop,
    schedule: &Schedule,
) -> Result<(), FolderError> {
    let idle = super::order_mail::idle(plan, shop);
    write_in_place_of(folder, &super::files(plan, shop, schedule), &idle)
}

/// Writes the files into the folder, which is made if it is not there. All are
/// first written under other names; only when every one is on the disk do they
/// take their places, and if one cannot, those before it are put back. (A power
/// cut between two renames is the one thing this does not survive whole; the
/// older file then lies beside the newer with `.old` at the end of its name.)
///
/// # Errors
/// If the folder or a file cannot be written. Nothing has then changed.
pub fn write<N: AsRef<str>, C: AsRef<[u8]>>(
    folder: &Path,
    files: &[(N, C)],
) -> Result<(), FolderError> {
    write_in_place_of(folder, files, &[])
}

/// The same, and once they are there the files of these other names go.
///
/// # Errors
/// As [`write()`].
pub fn write_in_place_of<N: AsRef<str>, C: AsRef<[u8]>>(
    folder: &Path,
    files: &[(N, C)],
    others: &[String],
) -> Result<(), FolderError> {
    ready(folder, files, others)?.put()
}

/// Writes one file, whole or not at all, into a folder that is there. What is no
/// file, such as a printer's device, is written to where it stands.
///
/// # Errors
/// If the file cannot be written. What it was before it still is.
pub fn write_file(path: &Path, content: impl AsRef<[u8]>) -> Result<(), FolderError> {
    let failed = |source| FolderError::File { path: path.to_owned(), source };
    if path.exists() && !path.is_file() && !path.is_dir() {
        return fs::write(path, content).map_err(failed);
    }
    // A link stays one: what it leads to is written.
    let target = path.canonicalize().unwrap_or_else(|_| path.to_owned());
    match (target.parent(), target.file_name().and_then(|name| name.to_str())) {
        (Some(folder), Some(name)) => write_into(folder, &[(name, content)]),
        _ => fs::write(path, content).map_err(failed),
    }
}

/// How every page begins.
const PAGE: &[u8] = b"<!DOCTYPE html>";

/// How every workbook begins.
const WORKBOOK: &[u8] = b"PK\x03\x04";

/// Writes a workbook as [`write_file`] does, in the place of nothing but another.
///
/// # Errors
/// As [`ready_workbook`].
pub fn write_workbook(path: &Path, content: &[u8]) -> Result<(), FolderError> {
    ready_workbook(path, content)?.put()
}

/// Writes a workbook beside where it goes, which is the place of nothing but another.
///
/// # Errors
/// As [`write_file`], or if something stands there that is no workbook.
pub fn ready_workbook(path: &Path, content: &[u8]) -> Result<Ready, FolderError> {
    if !may_hold(path, WORKBOOK)? {
        return Err(FolderError::NoWorkbook { path: path.to_owned() });
    }
    let target = path.canonicalize().unwrap_or_else(|_| path.to_owned());
    let is_free = !target.exists() || target.is_file();
    match (target.parent(), target.file_name().and_then(|name| name.to_str())) {
        (Some(folder), Some(name)) if is_free => Ready::new(folder, &[(name, content)]),
        _ => Err(FolderError::InTheWay { path: path.to_owned() }),
    }
}

/// Writes one page as [`write_file`] does, in the place of nothing but another page: a
/// book or a table of the shop is never lost to a slip.
///
/// # Errors
/// If another file stands there, or as [`write_file`].
pub fn write_page(path: &Path, content: &str) -> Result<(), FolderError> {
    may_hold_page(path)?;
    write_file(path, content)
}

/// Whether a page may be written there.
///
/// # Errors
/// If a file stands there that is no page.
pub fn may_hold_page(path: &Path) -> Result<(), FolderError> {
    match may_hold(path, PAGE)? {
        true => Ok(()),
        false => Err(FolderError::NoPage { path: path.to_owned() }),
    }
}

/// Whether nothing stands there, or what begins like that.
fn may_hold(path: &Path, beginning: &[u8]) -> Result<bool, FolderError> {
    if !path.is_file() {
        return Ok(true);
    }
    let failed = |source| FolderError::File { path: path.to_owned(), source };
    let mut begin = Vec::new();
    let limit = u64::try_from(beginning.len()).unwrap_or(u64::MAX);
    File::open(path).map_err(failed)?.take(limit).read_to_end(&mut begin).map_err(failed)?;
    Ok(begin.is_empty() || begin.eq_ignore_ascii_case(beginning))
}

fn write_into<N: AsRef<str>, C: AsRef<[u8]>>(
    folder: &Path,
    files: &[(N, C)],
) -> Result<(), FolderError> {
    Ready::new(folder, files)?.put()
}

/// Files that are on the disk under other names and can take their places. What is let
/// go before that leaves nothing behind.
#[derive(Debug)]
pub struct Ready {
    places: Vec<Target>,
    /// The folders that were made for them.
    made: Vec<PathBuf>,
    /// Files that go once they are there.
    others: Vec<PathBuf>,
}

/// Writes the files beside where they go, into the folder, which is made if it is not
/// there. Those of the other names go when they take their places.
///
/// # Errors
/// As [`write()`].
pub fn ready<N: AsRef<str>, C: AsRef<[u8]>>(
    folder: &Path,
    files: &[(N, C)],
    others: &[String],
) -> Result<Ready, FolderError> {
    let is_there = |path: &&Path| path.as_os_str().is_empty() || path.exists();
    let made: Vec<&Path> = folder.ancestors().take_while(|path| !is_there(path)).collect();
    let made = made.into_iter().map(Path::to_owned).collect();
    let others = others.iter().map(|name| folder.join(name)).collect();
    let mut ready = Ready { places: Vec::new(), made, others };
    fs::create_dir_all(folder)
        .map_err(|source| FolderError::Folder { path: folder.to_owned(), source })?;
    ready.write(folder, files)?;
    Ok(ready)
}

impl Ready {
    fn new<N: AsRef<str>, C: AsRef<[u8]>>(
        folder: &Path,
        files: &[(N, C)],
    ) -> Result<Ready, FolderError> {
        let mut ready = Ready { places: Vec::new(), made: Vec::new(), others: Vec::new() };
        ready.write(folder, files)?;
        Ok(ready)
    }

    fn write<N: AsRef<str>, C: AsRef<[u8]>>(
        &mut self,
        folder: &Path,
        files: &[(N, C)],
    ) -> Result<(), FolderError> {
        self.places = files.iter().map(|(name, _)| Target::new(folder, name.as_ref())).collect();
        write_all(&self.places, files)
    }

    /// Lets them take their places.
    ///
    /// # Errors
    /// As [`write()`].
    pub fn put(mut self) -> Result<(), FolderError> {
        put_all(&self.places)?;
        for other in &self.others {
            let _ = fs::remove_file(other);
        }
        self.places.clear();
        self.made.clear();
        Ok(())
    }
}

impl Drop for Ready {
    fn drop(&mut self) {
        for place in &self.places {
            let _ = fs::remove_file(&place.new);
        }
        for folder in &self.made {
            let _ = fs::remove_dir(folder);
        }
    }
}

/// Where a file goes, where it is written first, and where its older self waits.
#[derive(Debug)]
struct Target {
    target: PathBuf,
    new: PathBuf,
    old: PathBuf,
}

impl Target {
    fn new(folder: &Path, name: &str) -> Target {
        Target {
            target: folder.join(name),
            new: folder.join(format!("{name}.new")),
            old: folder.join(format!("{name}.old")),
        }
    }
}

fn write_all<N, C: AsRef<[u8]>>(places: &[Target], files: &[(N, C)]) -> Result<(), FolderError> {
    for place in places {
        if place.target.is_dir() {
            return Err(FolderError::InTheWay { path: place.target.clone() });
        }
    }
    for (place, (_, content)) in places.iter().zip(files) {
        let write = |path| {
            let mut file = File::create(path)?;
            file.write_all(content.as_ref())?;
            file.sync_all()
        };
        write(&place.new)
            .map_err(|source| FolderError::File { path: place.target.clone(), source })?;
    }
    Ok(())
}

fn put_all(places: &[Target]) -> Result<(), FolderError> {
    for (index, place) in places.iter().enumerate() {
        if let Err(source) = put(place) {
            for earlier in places[..index].iter().rev() {
                take_back(earlier);
            }
            return Err(FolderError::File { path: place.target.clone(), source });
        }
    }
    for place in places {
        let _ = fs::remove_file(&place.old);
    }
    Ok(())
}

/// Sets the older file aside and the newer in its place.
fn put(place: &Target) -> io::Result<()> {
    if place.target.exists() {
        fs::rename(&place.target, &place.old)?;
    }
    let put = fs::rename(&place.new, &place.target);
    if put.is_err() && place.old.exists() {
        let _ = fs::rename(&place.old, &place.target);
    }
    put
}

/// Undoes [`put`]: the older file back, the newer away.
fn take_back(place: &Target) {
    let _ = fs::remove_file(&place.target);
    if place.old.exists() {
        let _ = fs::rename(&place.old, &place.target);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let entries = fs::read_dir(folder).unwrap();
        let mut names: Vec<_> =
            entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    fn three(text: &str) -> Vec<(&'static str, String)> {
        ["a.txt", "b.txt", "c.txt"].map(|name| (name, text.to_owned())).to_vec()
    }

    #[test]
    fn all_files_are_written_and_written_over() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().join("out");
        write(&folder, &three("first")).unwrap();
        write(&folder, &three("second")).unwrap();
        assert_eq!(names(&folder), ["a.txt", "b.txt", "c.txt"]);
        assert_eq!(fs::read_to_string(folder.join("c.txt")).unwrap(), "second");
    }

    #[test]
    fn a_folder_in_the_way_leaves_everything_as_it_was() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("a.txt"), "older").unwrap();
        fs::create_dir(folder.path().join("b.txt")).unwrap();
        let error = write(folder.path(), &three("newer")).unwrap_err();
        assert!(matches!(error, FolderError::InTheWay { .. }));
        assert_eq!(names(folder.path()), ["a.txt", "b.txt"]);
        assert_eq!(fs::read_to_string(folder.path().join("a.txt")).unwrap(), "older");
    }

    #[test]
    fn a_file_that_cannot_take_its_place_puts_the_earlier_ones_back() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("a.txt"), "older").unwrap();
        fs::write(folder.path().join("c.txt"), "older").unwrap();
        // A folder where the older file would wait makes the last rename fail.
        fs::create_dir_all(folder.path().join("c.txt.old/full")).unwrap();
        let error = write(folder.path(), &three("newer")).unwrap_err();
        assert!(matches!(error, FolderError::File { .. }));
        assert_eq!(names(folder.path()), ["a.txt", "c.txt", "c.txt.old"]);
        assert_eq!(fs::read_to_string(folder.path().join("a.txt")).unwrap(), "older");
        assert_eq!(fs::read_to_string(folder.path().join("c.txt")).unwrap(), "older");
    }

    #[test]
    fn a_folder_made_for_nothing_is_taken_away_again() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().join("out");
        let files = vec![("a.txt", "text".to_owned()), ("no/such.txt", "text".to_owned())];
        write(&folder, &files).unwrap_err();
        assert!(!folder.exists());
        write(Path::new(&place.path().join("file")), &three("x")).unwrap();
        let under_a_file = place.path().join("file/a.txt/out");
        let error = write(&under_a_file, &three("x")).unwrap_err();
        assert!(matches!(error, FolderError::Folder { .. }));
    }
}
