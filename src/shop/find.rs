//! A frame or a moulding by the name that somebody typed.

use super::read::shown;
use super::read::suggest::{Suggest, did_you_mean};
use super::{Frame, Moulding, Shop};

/// A name that the shop's files do not have, with the nearest that they do.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("there is no {what} {:?} in {file} ({})", shown(read), did_you_mean(near, mend))]
pub struct Unknown {
    what: &'static str,
    file: &'static str,
    read: String,
    near: Option<String>,
    mend: &'static str,
}

/// The known word nearest to one that was typed, if few letters differ.
pub(crate) fn nearest<'w>(typed: &str, known: impl Iterator<Item = &'w str>) -> Option<String> {
    Suggest::new().near(typed, known)
}

impl Shop {
    /// The frame with this ticket number.
    ///
    /// # Errors
    /// The nearest ticket number, where there is no such frame.
    pub fn find_frame(&self, id: &str) -> Result<&Frame, Unknown> {
        let known = || self.frames.iter().map(|frame| frame.id.as_str());
        self.frame(id).ok_or_else(|| Unknown {
            what: "frame",
            file: "frames.csv",
            read: id.to_owned(),
            near: Suggest::new().near(id, known()),
            mend: "write a ticket number of the pile",
        })
    }

    /// The moulding with this code.
    ///
    /// # Errors
    /// The nearest code, where there is no such moulding.
    pub fn find_moulding(&self, id: &str) -> Result<&Moulding, Unknown> {
        let known = || self.mouldings.keys().map(String::as_str);
        self.mouldings.get(id).ok_or_else(|| Unknown {
            what: "moulding",
            file: "mouldings.csv",
            read: id.to_owned(),
            near: Suggest::new().near(id, known()),
            mend: "write its code as it stands there",
        })
    }

    /// The moulding that somebody means: by its code or its name, whatever the capitals,
    /// blanks and hyphens; else the only one whose name has these words in it.
    ///
    /// # Errors
    /// The nearest code, or those that it could be.
    pub fn meant_moulding(&self, typed: &str) -> Result<&Moulding, String> {
        if let Some(moulding) = self.mouldings.get(typed) {
            return Ok(moulding);
        }
        let wanted = plain(typed);
        let all = || self.mouldings.values().filter(|_| !wanted.is_empty());
        let by_code: Vec<&Moulding> = all().filter(|m| plain(&m.id) == wanted).collect();
        let by_name: Vec<&Moulding> = all().filter(|m| plain(&m.name) == wanted).collect();
        let in_name: Vec<&Moulding> = all().filter(|m| plain(&m.name).contains(&wanted)).collect();
        let found = [by_code, by_name, in_name].into_iter().find(|found| !found.is_empty());
        match found.as_deref() {
            None => self.find_moulding(typed).map_err(|unknown| {
                // Of names, the nearest is said by its code.
                let near = Suggest::new().near(typed, all().map(|m| m.name.as_str()));
                let named = near.and_then(|name| all().find(|m| m.name == name));
                let id = named.map(|moulding| format!("{}, {}", moulding.id, moulding.name));
                let near = unknown.near.clone().or(id).or_else(|| self.nearly_in_name(typed));
                Unknown { near, ..unknown }.to_string()
            }),
            Some([one]) => Ok(one),
            Some(several) => {
                let few = several.iter().take(MOST_NAMED);
                let codes: Vec<&str> = few.map(|moulding| moulding.id.as_str()).collect();
                let more = if several.len() > MOST_NAMED { ", ..." } else { "" };
                Err(format!(
                    "{:?} could be any of {} (write one of these codes: {}{more})",
                    shown(typed),
                    several.len(),
                    codes.join(", ")
                ))
            }
        }
    }

    /// The mouldings with almost these words in their names, first the words.
    fn nearly_in_name(&self, typed: &str) -> Option<String> {
        let words = || self.mouldings.values().flat_map(|m| m.name.split_whitespace());
        let suggest = Suggest::new();
        let mended = typed.split_whitespace().map(|word| {
            let is_known = words().any(|known| plain(known) == plain(word));
            if is_known { Some(word.to_owned()) } else { suggest.near(word, words()) }
        });
        let mended = mended.collect::<Option<Vec<String>>>()?;
        let has = |name: &str, word: &String| plain(name).contains(&plain(word));
        let found =
            self.mouldings.values().filter(|m| mended.iter().all(|word| has(&m.name, word)));
        let found: Vec<&str> = found.map(|moulding| moulding.id.as_str()).collect();
        let more = if found.len() > MOST_NAMED { ", ..." } else { "" };
        let few = found.iter().take(MOST_NAMED).copied().collect::<Vec<_>>().join(", ");
        let words = mended.join(" ").to_lowercase();
        (!mended.is_empty() && !found.is_empty()).then(|| format!("{words}: {few}{more}"))
    }
}

/// Of the mouldings that are meant perhaps so many are named.
const MOST_NAMED: usize = 8;

/// A name without what people leave out or write otherwise.
fn plain(name: &str) -> String {
    let letters = name.chars().filter(|c| c.is_alphanumeric());
    letters.flat_map(char::to_lowercase).collect()
}
