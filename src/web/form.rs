//! Forms with a press in them, and the addresses that they go to.

use maud::{Markup, html};

use super::visit::Visit;

/// A form with a press in it: it carries a token of its own.
pub fn form(visit: &Visit, action: &str, inner: &Markup) -> Markup {
    html! {
        form method="post" action=(action) autocomplete="off" {
            input type="hidden" name="token" value=(visit.token());
            (inner)
        }
    }
}

/// A word as it stands in a path.
pub fn spelt(word: &str) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"-_~".contains(&byte);
    let each = word.bytes().map(|byte| {
        if plain(byte) { char::from(byte).to_string() } else { format!("%{byte:02X}") }
    });
    each.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_is_one_part_of_a_path() {
        assert_eq!(spelt("S-201"), "S-201");
        assert_eq!(spelt("../a b/ü?"), "%2E%2E%2Fa%20b%2F%C3%BC%3F");
    }
}
