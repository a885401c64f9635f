//! A subset row: how often patterns may hold two or more pieces of a set, as data.

/// Some types, of an odd number of pieces in all, of which patterns may hold two
/// and more only so often.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct SubsetRow(pub Vec<usize>);

impl SubsetRow {
    /// The types that it speaks of, rising.
    pub fn types(&self) -> &[usize] {
        &self.0
    }

    /// What a pattern counts for.
    pub fn times(&self, pieces: &[(usize, u32)]) -> u32 {
        let of_set = pieces.iter().filter(|(t, _)| self.0.contains(t));
        of_set.map(|(_, count)| count).sum::<u32>() / 2
    }

    /// What all patterns together count for at most.
    pub fn most(&self, wanted: &[u32]) -> u32 {
        self.0.iter().map(|&t| wanted[t]).sum::<u32>() / 2
    }
}
