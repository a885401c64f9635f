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
}
