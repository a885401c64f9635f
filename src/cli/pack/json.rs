//! Reads the JSON form, keeping the place of every value for its faults.

use serde_json::value::RawValue;

use super::fault::{InputError, InputFault, Quantity};
use super::number;
use super::quote::Excerpt;
use crate::cli::members::Members;
use crate::solve::{Item, Problem, Stock};

const WHOLE: &str = r#"{"stock":[..],"items":[..]}"#;
const STOCK: &str = r#"{"length":2440,"cost":1,"supply":null}"#;
const ITEM: &str = r#"{"length":410,"demand":2}"#;

/// Reads an instance in the JSON form; faults are added to `faults`.
pub(super) fn read(text: &str, faults: &mut Vec<InputFault>) -> Problem {
    let breaks = text.bytes().enumerate().filter(|&(_, byte)| byte == b'\n');
    let breaks = breaks.map(|(at, _)| at).collect();
    let mut reader = JsonReader { text, breaks, faults };
    match serde_json::from_str::<&RawValue>(text) {
        Ok(whole) => reader.problem(whole),
        Err(error) => {
            let line = error.line();
            let message = error.to_string();
            // The line is said before; the words would say it again.
            let message = Excerpt::new(message.split(" at line").next().unwrap_or_default());
            reader.faults.push(InputFault { line, flaw: InputError::NotJson { message } });
            Problem::default()
        }
    }
}

struct JsonReader<'a> {
    text: &'a str,
    /// Where its lines end, rising.
    breaks: Vec<usize>,
    faults: &'a mut Vec<InputFault>,
}

impl<'a> JsonReader<'a> {
    fn problem(&mut self, whole: &'a RawValue) -> Problem {
        let keys = ["stock", "items"];
        let Some([stock, items]) = self.object(whole, keys, "stock, items", WHOLE) else {
            return Problem::default();
        };
        let stock = self.need(whole, "stock", stock, WHOLE);
        let items = self.need(whole, "items", items, WHOLE);
        Problem {
            stock: stock.map_or_else(Vec::new, |raw| self.list(raw, Self::stock)),
            items: items.map_or_else(Vec::new, |raw| self.list(raw, Self::item)),
        }
    }

    fn stock(&mut self, raw: &'a RawValue) -> Option<Stock> {
        let keys = ["length", "cost", "supply"];
        let [length, cost, supply] = self.object(raw, keys, "length, cost, supply", STOCK)?;
        let length = self.need(raw, "length", length, STOCK);
        let length = length.and_then(|raw| self.number(raw, Quantity::StockLength, number::amount));
        let cost = match cost {
            Some(cost) => self.number(cost, Quantity::Cost, number::amount),
            None => Some(1),
        };
        let supply = match supply.filter(|supply| supply.get() != "null") {
            Some(supply) => self.number(supply, Quantity::Available, number::count).map(Some),
            None => Some(None),
        };
        Some(super::read::stock(length?, cost?, supply?))
    }

    fn item(&mut self, raw: &'a RawValue) -> Option<Item> {
        let [length, demand] = self.object(raw, ["length", "demand"], "length, demand", ITEM)?;
        let length = self.need(raw, "length", length, ITEM);
        let length = length.and_then(|raw| self.number(raw, Quantity::Length, number::amount));
        let demand = match demand {
            Some(demand) => self.number(demand, Quantity::Demand, number::count),
            None => Some(1),
        };
        Some(super::read::item(length?, demand?))
    }

    /// The values of `keys` in an object that may have no others.
    fn object<const N: usize>(
        &mut self,
        raw: &'a RawValue,
        keys: [&str; N],
        known: &'static str,
        example: &'static str,
    ) -> Option<[Option<&'a RawValue>; N]> {
        let mut values = [None; N];
        let Ok(Members(members)) = serde_json::from_str(raw.get()) else {
            self.shape(raw, "object", example);
            return None;
        };
        for (key, value) in members {
            let quote = || Excerpt::new(&key);
            match keys.iter().position(|&known| known == key) {
                None => self.fault(value, InputError::UnknownKey { key: quote(), known }),
                Some(at) if values[at].is_some() => {
                    self.fault(value, InputError::Twice { key: quote() })
                }
                Some(at) => values[at] = Some(value),
            }
        }
        Some(values)
    }

    fn list<T>(
        &mut self,
        raw: &'a RawValue,
        each: fn(&mut Self, &'a RawValue) -> Option<T>,
    ) -> Vec<T> {
        let entries: Vec<&'a RawValue> = serde_json::from_str(raw.get()).unwrap_or_default();
        if entries.is_empty() {
            self.shape(raw, "list with something in it", WHOLE);
        }
        let entries = entries.into_iter();
        entries.filter_map(|entry| each(self, entry)).collect()
    }

    fn need(
        &mut self,
        object: &RawValue,
        key: &'static str,
        value: Option<&'a RawValue>,
        example: &'static str,
    ) -> Option<&'a RawValue> {
        if value.is_none() {
            self.fault(object, InputError::Missing { key, example });
        }
        value
    }

    fn number<T>(
        &mut self,
        raw: &RawValue,
        field: Quantity,
        number: fn(Quantity, &str) -> Result<T, InputError>,
    ) -> Option<T> {
        let read = raw.get();
        if !read.starts_with(|first: char| first == '-' || first.is_ascii_digit()) {
            self.shape(raw, "number", "digits only, without quotes");
            return None;
        }
        match number(field, read) {
            Ok(value) => Some(value),
            Err(flaw) => {
                self.fault(raw, flaw);
                None
            }
        }
    }

    fn shape(&mut self, raw: &RawValue, wanted: &'static str, example: &'static str) {
        let read = Excerpt::new(raw.get().lines().next().unwrap_or_default());
        self.fault(raw, InputError::Shape { read, wanted, example });
    }

    fn fault(&mut self, at: &RawValue, flaw: InputError) {
        // Every raw value is a slice of the text that was read.
        let offset = at.get().as_ptr().addr() - self.text.as_ptr().addr();
        let line = self.breaks.partition_point(|&at| at < offset) + 1;
        self.faults.push(InputFault { line, flaw });
    }
}
