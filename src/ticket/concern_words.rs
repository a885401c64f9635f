//! The words for what to look at in a job.

use super::concern::Concern;
use crate::measure::{Length, LengthStyle, Unit};
use crate::shop::Hang;

impl Concern {
    /// What it is and what to do about it.
    pub fn words(&self, style: &LengthStyle) -> String {
        of_package(self, style)
            .or_else(|| of_sheets(self, style))
            .or_else(|| of_hanging(self, style))
            .unwrap_or_else(|| of_frame(self, style))
    }
}

/// Of the package and what is seen of it.
fn of_package(concern: &Concern, style: &LengthStyle) -> Option<String> {
    Some(match concern {
        Concern::Thick { wants, depth, outer, mends } => {
            let what = match outer {
                Some(outer) => format!("What lies in {outer}, the layers within it too,"),
                None => "The package".to_owned(),
            };
            let (wants, has) = (up(*wants, style), style.show_down_unit(*depth));
            let mend = mends.join(", or ");
            format!(
                "{what} wants {wants} of depth with its points, and the rabbet has {has}: {mend}."
            )
        }
        Concern::Proud { by, depth, would_do } => {
            let deeper = match would_do.is_empty() {
                true => "a deeper floater".to_owned(),
                false => would_do.join(", "),
            };
            format!(
                "It stands {} out of its floater in front, which is {} deep inside, and nothing \
                 guards it there: take {deeper}, or agree on it with the customer.",
                up(*by, style),
                style.show_down_unit(*depth)
            )
        }
        Concern::Touch(None) => {
            "The glazing lies on the art: put a mat or a spacer between them.".to_owned()
        }
        Concern::Touch(Some((stands, kept))) => format!(
            "The glazing lies on the art, which stands {} high where mat and spacer keep {} free: put \
             a deeper spacer between them.",
            up(*stands, style),
            style.show_down_unit(*kept)
        ),
        Concern::FallsThrough { beyond, is_frame: false } => format!(
            "The art is only {} larger than its window: it may fall through. Hinge it well, or \
             cut the window smaller.",
            style.show_down_unit(*beyond)
        ),
        Concern::FallsThrough { beyond, is_frame: true } => format!(
            "The art is only {} larger than what the frame leaves open: it may fall through. Measure \
             it and the rabbet again, or take a moulding whose lip is wider.",
            style.show_down_unit(*beyond)
        ),
        Concern::Loose(by) => format!(
            "The art is {} smaller than the package that the ticket gives: measure both again; if it \
             is so, set it even all round, and hold it there.",
            up(*by, style)
        ),
        Concern::Turned { package, art } => format!(
            "The ticket gives the package as {} x {}, and the art is {} x {}: one of them lies the \
             other way. Are width and height the wrong way round?",
            style.show_down(package.0),
            style.show_down_unit(package.1),
            style.show_down(art.0),
            style.show_down_unit(art.1)
        ),
        Concern::NoMargin => format!(
            "The float has no margin: the art's edge would touch what is round it, and rub there. Give \
             it some board on every side ({} is usual).",
            style.unit.either("1/2 in", "12 mm")
        ),
        Concern::TooLittle(says, adds_up) => format!(
            "The ticket says that the package is {} thick, and what is in it adds up to {}: measure it. \
             The greater counts here; write it under thickness in frames.csv, or leave that empty.",
            style.show_down_unit(*says),
            up(*adds_up, style)
        ),
        Concern::BorderThin { seen, .. } if !seen.is_positive() => {
            "The mat is not seen on one side at least: its border lies wholly behind the frame's lip, \
             which then covers what is in the window. Make the border wider."
                .to_owned()
        }
        Concern::BorderThin { seen, face } => format!(
            "{} of the mat's border is seen beside a face of {}: make it clearly wider (pages advise \
             {} more than the face, or half as much again).",
            style.show_down_unit(*seen),
            up(*face, style),
            style.unit.either("3/4 in", "19 mm")
        ),
        Concern::NotMeasured(what) => {
            format!("Whether the package fits the rabbet is not known: {}.", what.join("; "))
        }
        Concern::Stretcher => format!(
            "A side of the canvas is over {}: see that the bars have a cross bar.",
            style.unit.either("36 in", "914 mm")
        ),
        _ => return None,
    })
}

/// Of glazing, boards and strips.
fn of_sheets(concern: &Concern, style: &LengthStyle) -> Option<String> {
    Some(match concern {
        Concern::StripShows { strip, hidden } => format!(
            "The spacer's strip is {} wide and the lip hides {}: it will be seen.",
            up(*strip, style),
            style.show_down_unit(*hidden)
        ),
        Concern::AcrylicTight { moves, room } => format!(
            "The acrylic moves by {} with its clearance and has {} behind this lip: it will bow. Give \
             the frame more allowance, or take a wider rabbet, or glass.",
            up(*moves, style),
            style.show_down_unit(*room)
        ),
        Concern::GlassLarge { is_mirror: false } => {
            "Over a square metre, or a metre long: use glass of 3 mm, or acrylic.".to_owned()
        }
        Concern::GlassLarge { is_mirror: true } => {
            "Over a square metre, or a metre long: use a mirror of 3 mm at the least.".to_owned()
        }
        Concern::NoSheet { material, size, .. } => {
            format!(
                "{material} comes in no sheet of {} x {}.",
                up(size.0, style),
                up(size.1, style)
            )
        }
        Concern::OverPeople { is_mirror: false } => "Glass over people, and no class of safety is \
            written down of it: use acrylic, laminated or toughened glass (toughened is ordered to \
            size)."
            .to_owned(),
        Concern::OverPeople { is_mirror: true } => {
            "A mirror over people is glass over people: take \
            one whose back is filmed so that it holds together when it breaks, or one of acrylic."
                .to_owned()
        }
        Concern::Quake => {
            "Glass of this size where the earth quakes: use acrylic, closed hooks, and \
            putty at the lower corners."
                .to_owned()
        }
        _ => return None,
    })
}

/// Of weight, hangers, wire and hooks.
fn of_hanging(concern: &Concern, style: &LengthStyle) -> Option<String> {
    Some(match concern {
        Concern::NoWire { tenths, wants, has } => {
            let at = match tenths {
                Some(tenths) => format!(
                    "would hang at {}.{} degrees with its hook hidden",
                    tenths / 10,
                    tenths % 10
                ),
                None => "would show, with its hook, above the frame".to_owned(),
            };
            format!(
                "A wire {at}: 30 degrees want a rise of {} and there is {}. Use straps, or a cleat.",
                up(*wants, style),
                style.show_down_unit((*has).max(Length::ZERO))
            )
        }
        Concern::Narrow { wood, screw: Some(screw) } => format!(
            "Behind the face there are {} of wood for the hangers, and their screws are {} thick: a \
             screw wants its own width of wood on both sides. Put them into strips glued behind, or \
             take hangers with thinner screws.",
            style.show_down_unit(*wood),
            mm(*screw)
        ),
        Concern::Narrow { wood, screw: None } => format!(
            "The wall of a floater, here {}, takes no hanger: screw it into the floater's base, whose \
             thickness is measured first, and never into the canvas's bars.",
            style.show_down_unit(*wood)
        ),
        Concern::Weak { kind, needs } => format!(
            "No {kind} of materials.csv holds it: {} is wanted ({}).",
            needs.show(),
            needs.show_pounds()
        ),
        Concern::NoRating(codes) => format!(
            "Passed over, since no load is written down of {}: copy what the packet prints.",
            codes.join(", ")
        ),
        Concern::Heavy { weight, way, two_people } => {
            let people = if *two_people { "it takes two people, and " } else { "" };
            let by = match (way, two_people) {
                (Some(Hang::Strut), _) => {
                    "a strut is not to be trusted with it: hang it, or stand it where it can neither \
                     slide nor tip"
                }
                (Some(Hang::Nowhere), false) => "whoever hangs it takes straps, not a wire",
                (_, true) => "a full-width cleat or a shelf under it",
                (Some(Hang::Cleat | Hang::Security), false) => "it hangs from no wire",
                (_, false) => "it hangs from straps, not from a wire",
            };
            format!("At about {} {people}{by}.", weight.show())
        }
        Concern::HeavyOverPeople(weight) => format!(
            "At about {} it is too heavy to hang over people, whatever it is made of: hang it \
             elsewhere.",
            weight.show()
        ),
        Concern::NotOnRail(Some(weight)) => format!(
            "At about {} it is too heavy for a picture rail: it goes on the wall itself.",
            weight.show()
        ),
        Concern::NotOnRail(None) => {
            "What it is to hang by goes on the wall itself, and not on a picture rail: write straps, \
             or leave hang empty, if it is to hang from the rail."
                .to_owned()
        }
        Concern::NoWeight(parts) => format!(
            "Its weight is not known, so nothing is chosen to hang it: {}.",
            parts.join("; ")
        ),
        _ => return None,
    })
}

/// Of rails and joints, and whatever is left.
fn of_frame(concern: &Concern, style: &LengthStyle) -> String {
    match concern {
        Concern::RailBows(bow) => format!(
            "The wire may bow the side rails inwards by {} (own estimate): a strainer inside, a panel \
             screwed across the back, a wire loop for each of two hooks, or straps.",
            mm(*bow)
        ),
        Concern::RailSags { sag, rail } => format!(
            "The lower rail of {} may sag by {} (own estimate): a wider moulding, a strainer, or a \
             strap from top to bottom.",
            style.show_unit(*rail),
            mm(*sag)
        ),
        Concern::Glue { due, ready } => format!(
            "Due {due}, but joined today its glue may not be loaded before {ready}: tell the customer."
        ),
        _ => "No v-nail is as low as three quarters of the moulding and stays 1/8 in (3 mm) from the \
              face: join it otherwise."
            .to_owned(),
    }
}

/// A length never less than it is: what is wanted, where it is held against what is there.
fn up(length: Length, style: &LengthStyle) -> String {
    let step = match style.unit {
        Unit::Inch => style.mark,
        Unit::Millimetre => Length::from_nm(100_000),
    };
    style.show_unit(length.round_up(step))
}

/// A small bend to a tenth of a millimetre, up.
fn mm(length: Length) -> String {
    let tenths = length.round_up(Length::from_nm(100_000)).nm() / 100_000;
    format!("{}.{} mm", tenths / 10, tenths % 10)
}
