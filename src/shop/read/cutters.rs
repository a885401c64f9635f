//! Reads the cutters of `shop.toml`: what each machine takes and can hold.

use crate::measure::parse_decimal;
use crate::shop::{Cutter, Stop};

use super::cells::{self, ReadingUnits};
use super::keys::Section;
use super::mistake::Mistake;
use super::register::Register;

/// What a name is if a section has it.
pub(super) const LIST: &str = "a cutter of shop.toml";

const KEYS: &[(&str, &str)] = &[
    ("kerf", "the width that one pass turns to dust, \"0\" for knives"),
    ("passes", "1 for knives or a double saw, 2 for most single saws"),
    ("nick", "what is lost at each joint beside the kerf, such as \"1/16\""),
    ("first_trim", "what is cut away at the marked end, such as \"1\""),
    ("last_trim", "what must stay uncut at the far end, such as \"1\""),
    ("grip", "what the machine must still hold when the last rail is cut, or \"0\""),
    ("shortest", "the shortest rail, tip to tip, that it can hold safely, such as \"6\""),
    ("mitres", "the mitres that it cuts, in degrees off square, such as \"45\" or \"22.5 .. 45\""),
    ("stop", "what its scale reads: \"long\", \"rabbet\" or \"sight\""),
];

const STOPS: [(&str, Stop); 3] = [
    (Stop::Long.word(), Stop::Long),
    (Stop::Rabbet.word(), Stop::Rabbet),
    (Stop::Sight.word(), Stop::Sight),
];

/// Reads the sections `[cutter.NAME]`; there must be one at least.
pub(super) fn read(top: &mut Section, figures: &ReadingUnits) -> Register<Cutter> {
    let Some(mut all) = top.section("cutter", &[], "cutter.\"bench chopper\"") else {
        if !top.has("cutter") {
            top.missing("cutter");
        }
        return Register::new(LIST, false);
    };
    let names = all.names();
    if names.is_empty() {
        top.missing("cutter");
        return Register::new(LIST, false);
    }
    let mut cutters = Register::new(LIST, true);
    for name in names {
        if let Err(problem) = cells::name(&name) {
            all.fault(&name, problem);
        }
        let section = all.section(&name, KEYS, "cutter.\"bench chopper\"");
        let cutter = section.and_then(|section| read_one(section, &name, figures));
        cutters.add(Some(name.trim().to_owned()), 0, cutter);
    }
    cutters
}

fn read_one(mut keys: Section, name: &str, figures: &ReadingUnits) -> Option<Cutter> {
    let length = |text: &str| figures.length(text);
    let kerf = keys.need("kerf", figures.small("kerf"));
    let passes = if kerf.is_some_and(|kerf| kerf.is_positive()) {
        keys.need("passes", cells::count(1, 2))
    } else {
        keys.take("passes", cells::count(1, 2)).map(|passes| passes.unwrap_or(1))
    };
    let nick = keys.need("nick", figures.small("nick"));
    let first_trim = keys.need("first_trim", length);
    let last_trim = keys.need("last_trim", length);
    let grip = keys.need("grip", length);
    let shortest =
        keys.need("shortest", figures.positive("the shortest rail that it can hold safely"));
    let mitres = keys.take("mitres", mitres);
    let stop = keys.need("stop", cells::word(&STOPS));
    Some(Cutter {
        name: name.to_owned(),
        kerf: kerf?,
        passes: u8::try_from(passes?).ok()?,
        nick: nick?,
        first_trim: first_trim?,
        last_trim: last_trim?,
        grip: grip?,
        shortest: shortest?,
        stop: stop?,
        mitres: mitres?.unwrap_or_default(),
    })
}

/// Mitres one by one or in ranges: `45`, `0; 45`, `22.5 .. 45`; 0 is a square cut.
fn mitres(text: &str) -> Result<Vec<(i64, i64)>, Mistake> {
    let angle = |text: &str| match parse_decimal(text.trim().trim_end_matches('°'), 3) {
        Ok(angle) if (0..90_000).contains(&angle) => Ok(angle),
        _ => Err(Mistake::Mitres),
    };
    let range = |part: &str| match part.split_once("..") {
        None => angle(part).map(|angle| (angle, angle)),
        Some((from, to)) => {
            let (from, to) = (angle(from)?, angle(to)?);
            Ok((from.min(to), from.max(to)))
        }
    };
    text.split(';').map(range).collect()
}
