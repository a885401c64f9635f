//! Which commit a working tree is at, read from its `.git` as git writes it down: for the
//! build alone.

use std::fs;
use std::path::{Path, PathBuf};

/// The commit, and the files that say so: one that is not there says so too.
pub fn commit(git: &Path) -> Option<(String, Vec<PathBuf>)> {
    let dir = dir(git)?;
    // A further working tree has a head of its own, and shares the rest.
    let shared = fs::read_to_string(dir.join("commondir")).ok();
    let shared = shared.map_or(dir.clone(), |path| dir.join(path.trim()));
    let head = dir.join("HEAD");
    let said = fs::read_to_string(&head).ok()?;
    let Some(name) = said.trim().strip_prefix("ref: ") else {
        return Some((hash(said.trim())?, vec![head]));
    };
    let (loose, packed) = (shared.join(name), shared.join("packed-refs"));
    let found = match fs::read_to_string(&loose) {
        Ok(said) => hash(said.trim()),
        Err(_) => fs::read_to_string(&packed).ok().and_then(|all| {
            let own = |line: &str| hash(line.strip_suffix(name)?.strip_suffix(' ')?);
            all.lines().find_map(own)
        }),
    };
    // Where a branch is not loose yet, its folder tells when it is.
    let loose = if loose.exists() { loose } else { shared.join("refs/heads") };
    Some((found?, [head, loose, packed].into_iter().filter(|path| path.exists()).collect()))
}

/// Where git keeps what it knows: here, or where a file says.
fn dir(git: &Path) -> Option<PathBuf> {
    if git.is_dir() {
        return Some(git.to_owned());
    }
    let said = fs::read_to_string(git).ok()?;
    let path = Path::new(said.trim().strip_prefix("gitdir: ")?);
    Some(git.parent().unwrap_or(Path::new("")).join(path))
}

fn hash(text: &str) -> Option<String> {
    let is_one = text.len() >= 40 && text.chars().all(|c| c.is_ascii_hexdigit());
    is_one.then(|| text.to_owned())
}
