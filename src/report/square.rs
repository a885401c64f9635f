//! Square codes on labels: what a phone or a scanner reads of them.

use qrcode::render::svg;
use qrcode::{EcLevel, QrCode};

use super::escape::spelt;

/// Where the shop's page shows a stick, an offcut or a spare rail; nothing where the shop
/// has given no address.
pub(crate) fn of_stick(page: &str, id: &str) -> Option<String> {
    on_page(page, &format!("s/{}", spelt(id)))
}

/// Where the shop's page shows a frame copy to its joiner; nothing likewise.
pub(crate) fn of_copy(page: &str, frame: &str, copy: u32) -> Option<String> {
    on_page(page, &format!("joiner/{}/{copy}", spelt(frame)))
}

fn on_page(page: &str, path: &str) -> Option<String> {
    (!page.is_empty()).then(|| format!("{page}/{path}"))
}

/// What a picture that is a file of its own says of its tags.
const SPACE: &str = " xmlns=\"http://www.w3.org/2000/svg\"";

/// A text as a square code; nothing where it is too long for one.
pub(crate) fn drawn(text: &str) -> String {
    let code = QrCode::with_error_correction_level(text.as_bytes(), EcLevel::M);
    let drawn = code
        .map(|code| code.render::<svg::Color>().min_dimensions(100, 100).quiet_zone(true).build());
    // The page is no file of its own: what announces one is left out, and so is an address.
    let within = |svg: String| svg[svg.find("<svg").unwrap_or(0)..].replace(SPACE, "");
    drawn.map(within).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_leads_to_the_shops_page_where_there_is_one() {
        assert_eq!((of_stick("", "S-201"), of_copy("", "4101", 2)), (None, None));
        let page = "http://192.168.1.20:8017";
        assert_eq!(of_stick(page, "S 201").unwrap(), "http://192.168.1.20:8017/s/S%20201");
        assert_eq!(of_copy(page, "41/1", 2).unwrap(), "http://192.168.1.20:8017/joiner/41%2F1/2");
    }
}
