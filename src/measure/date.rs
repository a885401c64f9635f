//! Dates where a length is wanted: a spreadsheet takes 3/4 for the third of April, or
//! the fourth of March.

const MONTHS: [&str; 12] =
    ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];

/// What parts the figures of a date, the same throughout.
const SIGNS: [char; 4] = ['-', '/', '.', ' '];

/// What to write in place of a date that was a fraction; nothing if it is no date.
///
/// Read are `2026-04-03`, `03/04/2026`, `3.4.26` and `3-Apr`, in any order.
pub(super) fn fraction(text: &str) -> Option<String> {
    let by = text.chars().find(|c| SIGNS.contains(c))?;
    let parts: Vec<&str> = text.split(by).collect();
    let named = |part: &str| {
        let place = MONTHS.iter().position(|month| part.to_ascii_lowercase().starts_with(month))?;
        part.bytes().all(|b| b.is_ascii_alphabetic()).then_some(place + 1)
    };
    let number = |part: &str| -> Option<usize> {
        let digits = (1..=2).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit());
        if digits { part.parse().ok().filter(|number| (1..=31).contains(number)) } else { None }
    };
    let is_year = |part: &str| part.len() == 4 && part.bytes().all(|b| b.is_ascii_digit());
    let one = |part: &str| number(part).or_else(|| named(part));
    let (first, second) = match parts.as_slice() {
        [year, a, b] if is_year(year) => (one(a)?, one(b)?),
        [a, b, year] if is_year(year) => (one(a)?, one(b)?),
        [a, b, year] if named(a).or_else(|| named(b)).is_some() => {
            number(year)?;
            (one(a)?, one(b)?)
        }
        [a, b] if named(a).is_some() != named(b).is_some() => (one(a)?, one(b)?),
        _ => return None,
    };
    if first.min(second) > MONTHS.len() {
        return None;
    }
    let (above, below) = (first.min(second), first.max(second));
    let is_meant = above < below && below.is_power_of_two();
    Some(match is_meant {
        true => format!("write {above}/{below} or {}", decimal(above, below)),
        false => "write the fraction as a decimal".to_owned(),
    })
}

/// A fraction of at most 32nds as a decimal.
fn decimal(above: usize, below: usize) -> String {
    let places = format!("{:05}", above * 100_000 / below);
    format!("0.{}", places.trim_end_matches('0'))
}

#[cfg(test)]
mod tests {
    use super::fraction;

    #[test]
    fn a_date_is_the_fraction_that_it_was_made_of() {
        for date in ["2026-04-03", "03/04/2026", "3.4.2026", "3-Apr", "Apr-03", "04-Mar-26"] {
            assert_eq!(fraction(date).as_deref(), Some("write 3/4 or 0.75"), "{date}");
        }
        assert_eq!(fraction("2026-03-16").as_deref(), Some("write 3/16 or 0.1875"));
        assert_eq!(fraction("7/32/2026"), None, "no month has so many days");
        assert_eq!(fraction("2026-05-07").as_deref(), Some("write the fraction as a decimal"));
        for length in [
            "16 1/4", "3/4", "16-1/4", "12.5", "5' 3 1/2", "412 mm", "1.2 m", "x", "2000 1/2",
            "2000-1/2",
        ] {
            assert_eq!(fraction(length), None, "{length}");
        }
    }
}
