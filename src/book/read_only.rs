//! A book on a disk that may not be written to, opened to be read.
//!
//! The database keeps a file beside the book while somebody has it open, and on
//! such a disk it cannot. It can do without if told that nobody else writes.

use std::path::Path;

use rusqlite::{Connection, OpenFlags};

use super::error::BookError;
use super::migrate;

/// Opens it, if all of it is in the one file.
pub(super) fn connect(path: &Path) -> Result<Connection, BookError> {
    let mut beside = path.as_os_str().to_owned();
    beside.push("-wal");
    if std::fs::metadata(Path::new(&beside)).is_ok_and(|file| file.len() > 0) {
        // Its last steps are in there, and only who may write can take them over.
        return Err(BookError::ReadOnly);
    }
    let Some(address) = address(path) else { return Err(BookError::ReadOnly) };
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY
        | OpenFlags::SQLITE_OPEN_URI
        | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let mut db = Connection::open_with_flags(address, flags)?;
    migrate::check(&mut db, path, migrate::VERSIONS)?;
    Ok(db)
}

/// A path as an address; what means something in addresses is spelled out.
fn address(path: &Path) -> Option<String> {
    let path = std::path::absolute(path).ok()?;
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"/-_.~:".contains(&byte);
    let text = path.to_str()?;
    let text = if cfg!(windows) { text.replace('\\', "/") } else { text.to_owned() };
    let spelled = text.into_bytes().into_iter().map(|byte| {
        if plain(byte) { char::from(byte).to_string() } else { format!("%{byte:02X}") }
    });
    let spelled: String = spelled.collect();
    let root = if spelled.starts_with('/') { "" } else { "/" };
    Some(format!("file:{root}{spelled}?immutable=1"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_spells_out_what_means_something() {
        let path = Path::new("/a shop/50% off?#1/Ä.book");
        let said = address(path).unwrap();
        assert_eq!(said, "file:/a%20shop/50%25%20off%3F%231/%C3%84.book?immutable=1");
    }
}
