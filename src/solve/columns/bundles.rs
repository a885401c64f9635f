//! What a pattern may take: copies of a type, in bundles of one, two, four and so on.

/// A type on offer to the pattern.
#[derive(Debug, Clone, Copy)]
pub(crate) struct PricedType {
    pub of_type: usize,
    pub length: i64,
    pub value: i64,
    pub most: u32,
}

/// Bundles of copies that together give every count up to `most`.
pub(crate) fn bundles(most: u32) -> impl Iterator<Item = i64> {
    let mut left = i64::from(most);
    let mut size = 1;
    std::iter::from_fn(move || {
        let bundle = size.min(left);
        left -= bundle;
        size *= 2;
        (bundle > 0).then_some(bundle)
    })
}

pub(crate) fn copies(choice: &PricedType, room: i64) -> u32 {
    choice.most.min(u32::try_from(room / choice.length).unwrap_or(u32::MAX))
}
