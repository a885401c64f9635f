//! What the customer is told: the usual, as far as the shop writes nothing else, and no
//! promise that it did not write.

use super::sheet::JobSheet;
use crate::measure::Length;
use crate::shop::{Art, Hang, MaterialKind, Shop};

/// Light that fades alike, in lux and hours: the dose counts, a maker of lamps prints.
const ALIKE: [(u32, u32); 2] = [(50, 10), (250, 2)];

/// What a hook stands higher than the hanger of the strap that hangs on it.
pub const STRAP_LESS: &str = ", less what the strap reaches up";

/// What is told, a sentence or two each.
pub fn tell(sheet: &JobSheet, shop: &Shop) -> Vec<String> {
    let job = &sheet.job;
    let glazing = job.glazing.as_ref().map(|code| shop.materials[code].kind);
    let hangs = !matches!(sheet.hanging.way, Some(Hang::Strut | Hang::Nowhere));
    let mut told = Vec::new();
    if !hangs {
        told.push(weighs(sheet).unwrap_or_else(|| "Weigh it before it is put up.".to_owned()));
    }
    let mut say = |name: &str, usual: Option<String>| match shop.settings.job.tell.get(name) {
        Some(own) => told.extend(own.clone()),
        None => told.extend(usual),
    };
    if hangs {
        say("hang", Some(hang(sheet, shop)));
    }
    say("light", (!job.is_empty_frame()).then(|| light(glazing)));
    say("clean", clean(glazing, job.art));
    say(
        "carry",
        Some(
            "Carry it upright by both sides, never by the top; two people when it is large.".into(),
        ),
    );
    if job.place.iter().any(|place| place.is_over_people()) {
        say(
            "people",
            Some("Over beds and seats, on stairs and where people pass, nothing heavy, and no glass \
                  but safety glass or acrylic."
                .into()),
        );
    }
    if hangs {
        say(
            "check",
            Some(
                "Look at wire, hooks and screws every few years; never use old wire again.".into(),
            ),
        );
    }
    say("promise", None);
    let condition = match job.art {
        Art::Nothing | Art::Mirror => "",
        _ => "Condition of the art when it came: ......................  ",
    };
    say(
        "sign",
        Some(format!(
            "Worked out from what was entered. {condition}Weighed when it was finished: \
             ............  Signed: ............................"
        )),
    );
    told
}

/// What it weighs, if that is known.
fn weighs(sheet: &JobSheet) -> Option<String> {
    let weight = sheet.heft.total?;
    Some(format!("It weighs about {} ({}).", weight.show(), weight.show_pounds()))
}

fn hang(sheet: &JobSheet, shop: &Shop) -> String {
    let style = shop.settings.style();
    let hanging = &sheet.hanging;
    let wall = "The fixings must suit your wall; if in doubt ask whoever is trained on it.";
    let Some(weighs) = weighs(sheet) else {
        return format!("Weigh it before it is hung. {wall}");
    };
    let hooks = match (hanging.way, hanging.hook_count) {
        (_, 0) => String::new(),
        (Some(Hang::Cleat), _) => {
            let bar = hanging.cleat.map_or(Length::ZERO, |(bar, _)| bar);
            format!(
                " It hangs on a cleat over its width, {} long, {} below its top edge.",
                style.show_down_unit(bar),
                style.show_unit(hanging.hooks_below)
            )
        }
        (_, count) => {
            let rated = hanging.asked.iter().find(|(kind, _)| *kind == MaterialKind::Hook);
            let rated = rated.map_or_else(String::new, |(_, needs)| {
                format!(", rated for {} ({}) each at least", needs.show(), needs.show_pounds())
            });
            let apart = match count {
                1 => "One hook".to_owned(),
                _ => format!("Two hooks, {} apart", style.show_unit(hanging.hooks_apart)),
            };
            let below = style.show_unit(hanging.hooks_below);
            match hanging.way {
                Some(Hang::Straps) if hanging.on_rail => {
                    format!(
                        " {apart}, on the picture rail{rated}; a chain or wire of that strength \
                             goes straight up to each."
                    )
                }
                Some(Hang::Straps) => {
                    format!(" {apart} and {below} below its top edge{STRAP_LESS}{rated}.")
                }
                _ => format!(" {apart} and {below} below its top edge{rated}."),
            }
        }
    };
    format!("{weighs}{hooks} {wall}")
}

fn light(glazing: Option<MaterialKind>) -> String {
    let slows = match glazing {
        Some(_) => " Glazing against ultraviolet slows fading and does not stop it.",
        None => "",
    };
    let [(dim, long), (bright, short)] = ALIKE;
    format!(
        "Never in direct sun, over heat or near ducts, nor on a damp outside wall.{slows} {bright} lux \
         for {short} hours fade as much as {dim} lux for {long}."
    )
}

fn clean(glazing: Option<MaterialKind>, art: Art) -> Option<String> {
    let words = match glazing {
        Some(MaterialKind::Acrylic) => "Clean it with a soft damp cloth: no ammonia, no paper.",
        Some(_) => "Spray the cloth, not the glass.",
        None if art == Art::Mirror => "Spray the cloth, not the mirror.",
        None => return None,
    };
    Some(words.to_owned())
}
