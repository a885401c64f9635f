//! What the office's files are called on a device that may not open them: whoever stands at
//! the counter or the bench is told what is to be written in the office, not into which file.

use super::visit::Visit;

/// Each file with what it is to whoever does not see it.
const FILES: [(&str, &str); 8] = [
    ("frames.csv", "the office's list of tickets"),
    ("jobs.csv", "the office's list of jobs"),
    ("materials.csv", "the office's list of boards and glass"),
    ("mouldings.csv", "the office's list of mouldings"),
    ("offers.csv", "the office's list of offers"),
    ("sheets.csv", "the office's list of sheets"),
    ("shop.toml", "the office's settings"),
    ("suppliers.csv", "the office's list of suppliers"),
];

/// A page, or words, as this device is to read it; between tags alone, so that no form is
/// another.
pub(super) fn told(visit: &Visit, text: String) -> String {
    let names_one = FILES.iter().any(|(file, _)| text.contains(file));
    if !names_one || visit.may_see("/files") { text } else { without_files(&text) }
}

fn without_files(text: &str) -> String {
    let part = |part: &str| {
        let (words, tag) = part.split_at(part.find('<').unwrap_or(part.len()));
        let named = |words: String, (file, name): &(&str, &str)| words.replace(file, name);
        FILES.iter().fold(words.to_owned(), named) + tag
    };
    text.split_inclusive('>').map(part).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_named_in_words_and_a_field_stays_as_it_was() {
        let page =
            "<p>write it into shop.toml, under [price]</p><input value=\"shop.toml\">jobs.csv";
        let told = "<p>write it into the office's settings, under [price]</p><input value=\"shop.toml\">the office's list of jobs";
        assert_eq!(without_files(page), told);
    }
}
