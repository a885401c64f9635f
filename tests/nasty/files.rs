//! Every file of a folder may be wrong: it is read, or refused in few words.

use jiff::civil::date;
use longpoint::morning::plan;
use longpoint::report::rails_text;
use longpoint::shop::read_files;
use longpoint::solve::Limits;
use longpoint::verify::verify;

use crate::mangle::mangled;
use crate::numbers::Numbers;
use crate::ring::ring;
use crate::shops;

/// No line that a reader says is longer: what was typed is cut, and what could
/// have been meant is listed.
pub const LONGEST_LINE: usize = 1_001;

/// How often what was read in spite of all is planned as well.
const PLANNED: u64 = 8;

#[test]
fn a_folder_that_is_wrong_is_refused_in_few_words() {
    ring("LONGPOINT_FILES", 4_000, |seed| {
        let numbers = &mut Numbers(seed ^ 0x6d61_6e67_6c65);
        let shop = match read_files(&mangled(numbers, shops::shop(seed))) {
            Ok(shop) => shop,
            Err(faults) => return in_few_words(&faults.to_string()),
        };
        let rails: u64 = shop.frames.iter().map(|frame| u64::from(frame.left())).sum();
        if rails < 500 {
            rails_text::rails(&shop);
        }
        if seed % PLANNED == 0 && shop.offers.is_empty() && rails < 50 {
            let limits = Limits { work: 2_000, deadline: None, stop: None, watch: None };
            let plan = plan(&shop, date(2026, 11, 25), limits).unwrap().into_inner();
            verify(&shop, &plan).map_err(|faults| format!("is wrong: {faults:?}"))?;
        }
        Ok(())
    });
}

/// Whether something is said, and no line of it is too long.
pub fn in_few_words(said: &str) -> Result<(), String> {
    if said.trim().is_empty() {
        return Err("refused without a word".to_owned());
    }
    let longest = said.lines().map(|line| line.chars().count()).max().unwrap_or(0);
    match longest > LONGEST_LINE {
        true => {
            let start: String = said.chars().take(300).collect();
            Err(format!("a line of {longest} letters: {start}"))
        }
        false => Ok(()),
    }
}
