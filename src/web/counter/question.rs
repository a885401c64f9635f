//! What is asked at the counter, as it stands in the page's form.

use std::num::NonZeroU32;

use jiff::civil::Date;

use crate::measure::Mitre;
use crate::quote::{TypedWish, Wish, wishes};
use crate::shop::{Match, Shop, read_day, shown};
use crate::web::visit::Visit;

/// So many mouldings are asked for side by side.
pub(super) const SIDE_BY_SIDE: usize = 4;

/// A field is no longer than that.
const LONGEST: usize = 200;

/// No more frames alike are asked for at once.
const MOST_COPIES: u32 = 200;

/// What is asked at the counter, as it is typed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct CounterQuestion {
    pub size: String,
    pub mouldings: Vec<String>,
    pub due: String,
    pub copies: String,
    pub sides: String,
    pub gap: String,
    pub match_: String,
}

impl CounterQuestion {
    pub fn of(visit: &Visit) -> CounterQuestion {
        let field = |name: &str| tidy(visit.query(name));
        let mouldings = visit.queries("moulding").map(tidy).filter(|text| !text.is_empty());
        CounterQuestion {
            size: field("size"),
            mouldings: mouldings.take(SIDE_BY_SIDE).collect(),
            due: field("due"),
            copies: field("copies"),
            sides: field("sides"),
            gap: field("gap"),
            match_: field("match"),
        }
    }

    /// Whether nothing was asked yet.
    pub fn is_empty(&self) -> bool {
        self.size.is_empty() && self.mouldings.is_empty()
    }

    /// The same, wanted on another day.
    pub fn on(&self, day: Date) -> CounterQuestion {
        CounterQuestion { due: day.to_string(), ..self.clone() }
    }

    /// The same for another moulding alone.
    pub fn of_moulding(&self, moulding: &str) -> CounterQuestion {
        CounterQuestion { mouldings: vec![moulding.to_owned()], ..self.clone() }
    }

    /// The page's address with it.
    pub fn address(&self) -> String {
        let mut query = form_urlencoded::Serializer::new("/counter?".to_owned());
        query.append_pair("size", &self.size);
        for moulding in &self.mouldings {
            query.append_pair("moulding", moulding);
        }
        let rest = [
            ("due", &self.due),
            ("copies", &self.copies),
            ("sides", &self.sides),
            ("gap", &self.gap),
            ("match", &self.match_),
        ];
        for (name, text) in rest.into_iter().filter(|(_, text)| !text.is_empty()) {
            query.append_pair(name, text);
        }
        query.finish().replace("/counter?&", "/counter?")
    }

    /// The wishes, and the day that is asked for; or everything that is wrong.
    pub fn read(&self, shop: &Shop, today: Date) -> Result<(Vec<Wish>, Option<Date>), Vec<String>> {
        let mut wrong = Vec::new();
        let due = match self.due.as_str() {
            "" => None,
            typed => {
                read_day(typed, today).map_err(|fault| wrong.push(format!("wanted: {fault}"))).ok()
            }
        };
        let copies = match self.copies.as_str() {
            "" => Ok(1),
            typed => typed.parse::<NonZeroU32>().map(NonZeroU32::get),
        };
        let copies = copies.ok().filter(|copies| *copies <= MOST_COPIES).unwrap_or_else(|| {
            let (read, most) = (shown(&self.copies), MOST_COPIES);
            wrong.push(format!("copies: \"{read}\" is not a number from 1 to {most}"));
            1
        });
        let sides = match self.sides.as_str() {
            "" => None,
            typed => typed
                .parse::<u8>()
                .map_err(|_| {
                    let read = shown(typed);
                    wrong.push(format!("sides: \"{read}\" is not a number from 3 to 16"));
                })
                .ok(),
        };
        let match_ = match self.match_.as_str() {
            "" => None,
            typed => Match::read(typed).map_err(|fault| wrong.push(format!("match: {fault}"))).ok(),
        };
        if self.mouldings.is_empty() {
            wrong.push("moulding: say one, by its code or a word of its name".to_owned());
        }
        let gap = Some(self.gap.as_str()).filter(|gap| !gap.is_empty());
        let (mouldings, size) = (&self.mouldings, &self.size);
        let (size, job) = (Some(size.as_str()), None);
        let asked = TypedWish { mark: "", mouldings, size, sides, gap, copies, match_, due, job };
        match wishes(&asked, shop) {
            Ok(wishes) if wrong.is_empty() => Ok((wishes, due)),
            Ok(_) => Err(wrong),
            Err(mut faults) => {
                // How a size is written is known once it is known how many sides there are.
                let is_odd =
                    !self.sides.is_empty() && sides.is_none_or(|n| Mitre::new(n).is_none());
                faults.retain(|fault| !is_odd || !fault.starts_with("size: "));
                Err([faults, wrong].concat())
            }
        }
    }
}

/// What was typed, without what nobody types.
pub(super) fn tidy(text: &str) -> String {
    let plain = text.chars().map(|c| if c.is_control() { ' ' } else { c });
    plain.take(LONGEST).collect::<String>().trim().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_asks_the_same_again() {
        let question = CounterQuestion {
            size: "16 1/4 x 20".to_owned(),
            mouldings: vec!["LNR-19 + BLK-20".to_owned(), "R&B".to_owned()],
            due: "Thursday".to_owned(),
            ..CounterQuestion::default()
        };
        let address = question.address();
        assert_eq!(
            address,
            "/counter?size=16+1%2F4+x+20&moulding=LNR-19+%2B+BLK-20&moulding=R%26B&due=Thursday"
        );
    }
}
