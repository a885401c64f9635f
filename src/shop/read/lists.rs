//! Lists within one cell: ranges of lengths, and prices that change with the order.

use crate::measure::Length;

use super::cells::ReadingUnits;
use super::mistake::Mistake;

/// `14 1/2 .. 16`: two lengths, the second not less than the first.
pub(super) fn range(text: &str, figures: &ReadingUnits) -> Result<(Length, Length), Mistake> {
    let (from, to) = text.split_once("..").ok_or(Mistake::Range)?;
    if from.trim().is_empty() || to.trim().is_empty() {
        return Err(Mistake::Range);
    }
    let (from, to) = (figures.length(from)?, figures.length(to)?);
    if from > to { Err(Mistake::Backwards) } else { Ok((from, to)) }
}

/// `14 1/2 .. 16; 90 .. 91`: ranges, in order, with those that touch made one.
pub(super) fn ranges(text: &str, figures: &ReadingUnits) -> Result<Vec<(Length, Length)>, Mistake> {
    let mut ranges: Vec<_> =
        text.split(';').map(|part| range(part, figures)).collect::<Result<_, _>>()?;
    ranges.sort_unstable();
    let mut apart: Vec<(Length, Length)> = Vec::with_capacity(ranges.len());
    for (from, to) in ranges {
        match apart.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => apart.push((from, to)),
        }
    }
    Ok(apart)
}

/// `18; 9 from 250; 0 from 500`: what each step gives and from where it holds,
/// rising. With `base`, the first step stands alone and holds from there.
pub(super) fn steps<V, F: Copy + PartialOrd>(
    text: &str,
    base: Option<F>,
    example: &'static str,
    value: impl Fn(&str) -> Result<V, Mistake>,
    from: impl Fn(&str) -> Result<F, Mistake>,
) -> Result<Vec<(F, V)>, Mistake> {
    let mut steps: Vec<(F, V)> = Vec::new();
    for part in text.split(';').map(str::trim) {
        let alone = base.filter(|_| steps.is_empty());
        let (worth, start) = match (part.split_once("from"), alone) {
            (Some((worth, start)), None) => (worth.trim(), from(start.trim())?),
            (None, Some(base)) => (part, base),
            _ => return Err(Mistake::Step { example }),
        };
        if worth.is_empty() {
            return Err(Mistake::Step { example });
        }
        if steps.last().is_some_and(|(before, _)| *before >= start) {
            return Err(Mistake::StepOrder);
        }
        steps.push((start, value(worth)?));
    }
    Ok(steps)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Currency, Unit};

    fn figures() -> ReadingUnits {
        ReadingUnits { unit: Unit::Millimetre, currency: Currency::new("EUR").unwrap() }
    }

    fn mm(pairs: &[(i64, i64)]) -> Vec<(Length, Length)> {
        pairs.iter().map(|&(a, b)| (Length::from_mm(a), Length::from_mm(b))).collect()
    }

    #[test]
    fn ranges_are_put_in_order_and_those_that_touch_are_one() {
        let read = |text| ranges(text, &figures());
        assert_eq!(read("90 .. 95; 10..20 ; 15 .. 30; 30 .. 31"), Ok(mm(&[(10, 31), (90, 95)])));
        assert_eq!(read("7 .. 7"), Ok(mm(&[(7, 7)])));
        assert_eq!(read("20 .. 10"), Err(Mistake::Backwards));
        assert_eq!(read("20"), Err(Mistake::Range));
        assert_eq!(read("20 .. "), Err(Mistake::Range));
        assert_eq!(read("1 .. 2;"), Err(Mistake::Range));
    }

    #[test]
    fn steps_begin_at_their_base_and_rise() {
        let count = super::super::cells::count(1, 1000);
        let read = |text, base| steps(text, base, "x", &count, &count);
        assert_eq!(read("18; 9 from 250", Some(0)), Ok(vec![(0, 18), (250, 9)]));
        assert_eq!(read("9 from 50; 8 from 100", None), Ok(vec![(50, 9), (100, 8)]));
        assert_eq!(read("9 from 50; 8 from 50", None), Err(Mistake::StepOrder));
        for wrong in ["", "9", "from 50", "9 from 50;"] {
            assert_eq!(read(wrong, None), Err(Mistake::Step { example: "x" }), "{wrong:?}");
        }
        assert_eq!(read("9 from 50", Some(0)), Err(Mistake::Step { example: "x" }));
        assert_eq!(read("9; 8", Some(0)), Err(Mistake::Step { example: "x" }));
    }
}
