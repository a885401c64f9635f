//! Square roots in whole numbers.

/// The least whole number whose square is not less; of what is not less than zero.
pub(super) fn up(square: i128) -> i128 {
    let mut root = down(square);
    if root * root < square {
        root += 1;
    }
    root
}

/// The greatest whole number whose square is not more; of what is not less than zero.
fn down(square: i128) -> i128 {
    if square < 2 {
        return square.max(0);
    }
    // Newton's steps from above fall until they have arrived.
    let mut root = 1_i128 << (square.ilog2() / 2 + 1);
    loop {
        let next = (root + square / root) / 2;
        if next >= root {
            return root;
        }
        root = next;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_root_is_between_its_neighbours(square in 0_i128..10_i128.pow(30)) {
            let (low, high) = (down(square), up(square));
            prop_assert!(low * low <= square && (low + 1) * (low + 1) > square);
            prop_assert!(high * high >= square && high - low <= 1);
        }
    }
}
