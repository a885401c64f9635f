//! Ways through a table, kept as links: each names the one before it and what was
//! taken there, so that ways share what they have in common.

/// Drops the links that none of the ways leads over any more. `ends` are the last
/// links of the ways, and are told where these are afterwards.
///
/// The first link begins every way; each leads over earlier ones only.
pub(crate) fn forget<T: Copy>(links: &mut Vec<(u32, T)>, ends: &mut [u32]) {
    let mut kept = vec![false; links.len()];
    kept[0] = true;
    ends.iter().for_each(|&end| kept[end as usize] = true);
    for link in (1..links.len()).rev() {
        if kept[link] {
            kept[links[link].0 as usize] = true;
        }
    }
    let mut place = vec![0; links.len()];
    let mut next = 0;
    for link in (0..links.len()).filter(|&link| kept[link]) {
        let (before, taken) = links[link];
        links[next] = (place[before as usize], taken);
        place[link] = u32::try_from(next).expect("a table limits its links");
        next += 1;
    }
    links.truncate(next);
    ends.iter_mut().for_each(|end| *end = place[*end as usize]);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ways_stay_and_what_leads_nowhere_goes() {
        // 0 - 1 - 3 and 0 - 2 - 4 - 5; the way to 4 is given up for that to 3.
        let mut links = vec![(0, ' '), (0, 'a'), (0, 'b'), (1, 'c'), (2, 'd'), (4, 'e')];
        let mut ends = [3, 1, 0];
        forget(&mut links, &mut ends);
        assert_eq!(links, [(0, ' '), (0, 'a'), (1, 'c')]);
        assert_eq!(ends, [2, 1, 0]);
    }
}
