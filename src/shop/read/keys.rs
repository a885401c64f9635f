//! TOML sections as keys with places: what stands under a key, and on which line.

use std::collections::BTreeSet;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::fault::FileFault;
use super::mistake::Mistake;
use super::quoted::shown;
use super::suggest::Suggest;

/// Keys of the top that had another name: as they were, and as they are.
const RENAMED: [(&str, &str); 1] = [("list", "import")];

/// Turns a byte of the file into a line.
#[derive(Debug)]
pub(super) struct Lines {
    starts: Vec<usize>,
}

impl Lines {
    pub(super) fn of(text: &str) -> Lines {
        Lines { starts: text.match_indices('\n').map(|(at, _)| at + 1).collect() }
    }

    pub(super) fn at(&self, byte: usize) -> u64 {
        let before = self.starts.partition_point(|&start| start <= byte);
        u64::try_from(before).unwrap_or(u64::MAX).saturating_add(1)
    }
}

/// One section of the file and where to say what is wrong with it.
pub(super) struct Section<'t, 'i> {
    file: &'static str,
    /// Its name before each key, such as `offcuts.`; empty at the top.
    prefix: String,
    /// Where its header stands; nothing at the top.
    line: Option<u64>,
    table: &'t DeTable<'i>,
    keys: &'static [(&'static str, &'static str)],
    lines: &'t Lines,
    /// Keys that are there under nearly their name, which has been said.
    misspelt: Vec<String>,
    faults: &'t mut Vec<FileFault>,
}

impl<'t, 'i> Section<'t, 'i> {
    /// The top of the file.
    pub(super) fn top(
        file: &'static str,
        table: &'t DeTable<'i>,
        keys: &'static [(&'static str, &'static str)],
        lines: &'t Lines,
        faults: &'t mut Vec<FileFault>,
    ) -> Section<'t, 'i> {
        let (prefix, misspelt) = (String::new(), Vec::new());
        let mut top = Section { file, prefix, line: None, table, keys, lines, misspelt, faults };
        top.report_unknown();
        top
    }

    /// The section that stands under a key, and the key's own line.
    pub(super) fn section<'s>(
        &'s mut self,
        key: &str,
        keys: &'static [(&'static str, &'static str)],
        example: &'static str,
    ) -> Option<Section<'s, 'i>> {
        let (name, value) = self.table.get_key_value(key)?;
        let DeValue::Table(table) = value.get_ref() else {
            self.fault(key, Mistake::NotSection { example });
            return None;
        };
        let line = Some(self.lines.at(name.span().start));
        let prefix = format!("{}{key}.", self.prefix);
        let Section { file, lines, .. } = *self;
        let (misspelt, faults) = (Vec::new(), &mut *self.faults);
        let mut inner = Section { file, prefix, line, table, keys, lines, misspelt, faults };
        inner.report_unknown();
        Some(inner)
    }

    /// The file that it stands in.
    pub(super) fn file(&self) -> &'static str {
        self.file
    }

    /// Where its header stands.
    pub(super) fn line(&self) -> u64 {
        self.line.unwrap_or(1)
    }

    /// The section's own keys, for sections whose keys are names.
    pub(super) fn names(&self) -> Vec<String> {
        self.table.keys().map(|key| key.get_ref().to_string()).collect()
    }

    /// Whether a key is there.
    pub(super) fn has(&self, key: &str) -> bool {
        self.table.contains_key(key)
    }

    /// Reads a key that must be there; `None` after a fault.
    pub(super) fn need<T>(
        &mut self,
        key: &'static str,
        read: impl FnOnce(&str) -> Result<T, Mistake>,
    ) -> Option<T> {
        let value = self.take(key, read)?;
        if value.is_none() {
            if self.has(key) {
                let what = self.what(key);
                self.fault(key, Mistake::Missing { what });
            } else {
                self.missing(key);
            }
        }
        value
    }

    /// Reads a key that may be left out, which gives `Some(None)`; `None` after
    /// a fault.
    pub(super) fn take<T>(
        &mut self,
        key: &'static str,
        read: impl FnOnce(&str) -> Result<T, Mistake>,
    ) -> Option<Option<T>> {
        let what = self.what(key);
        self.take_named(key, what, read)
    }

    /// The same of a section whose keys are names.
    pub(super) fn take_named<T>(
        &mut self,
        key: &str,
        what: &'static str,
        read: impl FnOnce(&str) -> Result<T, Mistake>,
    ) -> Option<Option<T>> {
        let Some(value) = self.table.get(key) else { return Some(None) };
        let result = match plain_text(value, what) {
            Ok(text) if text.trim().is_empty() => return Some(None),
            Ok(text) => read(text.trim()),
            Err(problem) => Err(problem),
        };
        match result {
            Ok(value) => Some(Some(value)),
            Err(problem) => {
                self.fault(key, problem);
                None
            }
        }
    }

    /// Says that a key or section is missing, unless it was said to be misspelt.
    pub(super) fn missing(&mut self, key: &str) {
        if !self.misspelt.iter().any(|misspelt| misspelt == key) {
            let what = self.what(key);
            self.fault(key, Mistake::MissingKey { what });
        }
    }

    /// Says that a key is wrong, repeating what stands there.
    pub(super) fn fault(&mut self, key: &str, problem: Mistake) {
        let entry = self.table.get_key_value(key);
        let read = entry.and_then(|(_, value)| plainly(value)).filter(|text| !text.is_empty());
        let start = entry.map(|(name, _)| name.span().start);
        self.faults.push(FileFault {
            file: self.file.to_owned(),
            row: start.map(|start| self.lines.at(start)).or(self.line),
            column: Some(format!("{}{key}", self.prefix)),
            read,
            problem,
            position: start.unwrap_or(usize::MAX),
        });
    }

    fn report_unknown(&mut self) {
        if self.keys.is_empty() {
            return;
        }
        let suggest = Suggest::new();
        let known: BTreeSet<&str> = self.keys.iter().map(|(key, _)| *key).collect();
        for name in self.table.keys().filter(|name| !known.contains(name.get_ref().as_ref())) {
            let absent = known.iter().copied().filter(|key| !self.table.contains_key(*key));
            let now =
                RENAMED.iter().find(|(was, _)| self.prefix.is_empty() && was == name.get_ref());
            let near = match now {
                Some((_, now)) => Some((*now).to_owned()),
                None => suggest.near(name.get_ref(), absent),
            };
            self.misspelt.extend(near.clone());
            let problem = Mistake::UnknownColumn {
                near,
                known: self.keys.iter().map(|(key, _)| *key).collect::<Vec<_>>().join(", "),
            };
            let start = name.span().start;
            self.faults.push(FileFault {
                file: self.file.to_owned(),
                row: Some(self.lines.at(start)),
                column: None,
                read: Some(format!("{}{}", self.prefix, name.get_ref())),
                problem,
                position: start,
            });
        }
    }

    fn what(&self, key: &str) -> &'static str {
        let known = self.keys.iter().find(|(known, _)| *known == key);
        known.expect("a reader asks for its own section's keys").1
    }
}

/// The text under a key. Whole numbers are taken as text; a bare decimal is
/// not, because TOML's numbers are floating.
fn plain_text<'v>(value: &'v Spanned<DeValue>, what: &'static str) -> Result<&'v str, Mistake> {
    let found = match value.get_ref() {
        DeValue::String(text) => return Ok(text),
        DeValue::Integer(number) if number.radix() == 10 => return Ok(number.as_str()),
        DeValue::Float(number) => {
            return Err(Mistake::BareDecimal { text: shown(number.as_str()) });
        }
        DeValue::Integer(_) => "a coded number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a section",
    };
    Err(Mistake::NotText { found, what })
}

fn plainly(value: &Spanned<DeValue>) -> Option<String> {
    match value.get_ref() {
        DeValue::String(text) => Some(text.trim().to_owned()),
        DeValue::Integer(number) => Some(number.to_string()),
        DeValue::Float(number) => Some(number.as_str().to_owned()),
        DeValue::Boolean(truth) => Some(truth.to_string()),
        DeValue::Datetime(date) => Some(date.to_string()),
        DeValue::Array(_) | DeValue::Table(_) => None,
    }
}
