//! What has passed its check, and cannot be had otherwise.

use std::ops::Deref;

/// A plan, or a part of one, that has passed its check: the checks of this module alone
/// make one, and nothing of it can be changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verified<T>(T);

impl<T> Verified<T> {
    pub(super) fn new(passed: T) -> Verified<T> {
        Verified(passed)
    }

    /// What passed, to be changed: nobody vouches for it any more.
    pub fn into_inner(self) -> T {
        self.0
    }
}

impl<T> Deref for Verified<T> {
    type Target = T;

    fn deref(&self) -> &T {
        &self.0
    }
}

/// Nothing at all, with which nothing can be wrong.
impl<T> Default for Verified<Vec<T>> {
    fn default() -> Verified<Vec<T>> {
        Verified(Vec::new())
    }
}
