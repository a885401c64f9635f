//! Why a frame stands where it stands, in plain words.

use crate::measure::LengthStyle;
use crate::plan::WaitReason;
use crate::shop::{Match, Shop};
use crate::why::{Answer, Change, Effect, Shortage, Standing, StickGroup, WantedStick, What};

use super::either::either;
use super::text::Page;
use super::words;

/// The whole answer, at most eighty columns wide.
pub fn why(answer: &Answer, shop: &Shop) -> String {
    on(Page::new(), answer, shop)
}

/// The whole answer, each sentence or item in one line however long.
pub fn why_lines(answer: &Answer, shop: &Shop) -> Vec<String> {
    let text = on(Page::pressed(), answer, shop);
    text.lines().map(|line| line.trim().to_owned()).filter(|line| !line.is_empty()).collect()
}

fn on(mut page: Page, answer: &Answer, shop: &Shop) -> String {
    let style = shop.settings.style();
    for (copies, standing) in &answer.standings {
        let stands = stands(standing, copies.len() > 1, &style);
        page.line("", &format!("{} {stands}", subject(answer, copies)));
    }
    for shortage in &answer.shortages {
        page.gap();
        page.line("", &lacks(shortage, &style));
        for group in shortage.groups.iter().filter(|_| shortage.groups.len() > 1) {
            page.line("  ", &format!("{}.", left(shortage, group, &style)));
        }
        if !shortage.users.is_empty() {
            let users = shortage.users.join(", ");
            page.line("", &format!("Cut from {} today: {users}.", shortage.moulding));
        }
    }
    changes(&mut page, answer, &style);
    if !answer.unproven.is_empty() {
        page.gap();
        let mouldings = answer.unproven.join(" and ");
        page.line("", &format!("Today's plan for {mouldings} is not proven: a longer search might decide otherwise."));
    }
    page.into_text()
}

fn changes(page: &mut Page, answer: &Answer, style: &LengthStyle) {
    if answer.trials == 0 {
        return;
    }
    page.gap();
    let times = match answer.trials {
        1 => "once".to_owned(),
        times => format!("{times} times"),
    };
    let planned = format!("planned {times} with one thing changed");
    let is_today = |(_, standing): &(_, Standing)| matches!(standing, Standing::Today { .. });
    if answer.changes.is_empty() && answer.standings.iter().all(is_today) {
        page.line("", "No other frame would be cut in its place (planned again without it).");
    } else if answer.changes.is_empty() {
        page.line("", &format!("Nothing that was tried would change that ({planned})."));
    } else {
        page.line("", &format!("What would change it ({planned}):"));
    }
    for change in &answer.changes {
        page.line("* ", &format!("{}.", changed(answer, change, style)));
    }
    if !answer.whole {
        page.line("", "There is more that could be tried; this was as much as is tried at once.");
    }
}

/// `4133, due 2026-12-01,` or `4117, copies 2 and 3, undated,`.
fn subject(answer: &Answer, copies: &[u32]) -> String {
    let due = match answer.due {
        Some(due) => format!("due {due}"),
        None => "undated".to_owned(),
    };
    let numbers: Vec<String> = copies.iter().map(u32::to_string).collect();
    let which = match numbers.as_slice() {
        _ if !answer.is_numbered => String::new(),
        [one] => format!(" copy {one},"),
        all => format!(" copies {},", all.join(", ")),
    };
    format!("{},{which} {due},", answer.frame)
}

fn stands(standing: &Standing, many: bool, style: &LengthStyle) -> String {
    let (is, waits, it) = if many { ("are", "wait", "They") } else { ("is", "waits", "It") };
    match standing {
        Standing::Today { sticks } => format!("{is} cut today, from {}.", words::and(sticks)),
        // Its rails come chopped.
        Standing::Waits { reason, sticks } if sticks.is_empty() => {
            format!("{waits}: {}.", reason.words())
        }
        Standing::Waits { reason, sticks } => {
            format!("{waits}: {}. {it} will be cut from {}.", reason.words(), words::and(sticks))
        }
        Standing::Held { reason } => {
            format!("cannot be made as asked: {}", words::held(reason, style))
        }
    }
}

/// What is lacking, in one sentence: `Its 4 rails must come from one lot, and
/// neither lot of ASH-20 has the 96 1/2 in left that they take.`
fn lacks(shortage: &Shortage, style: &LengthStyle) -> String {
    let Shortage { moulding, rails, needed, .. } = shortage;
    let needed = style.show_unit(*needed);
    let layer = if shortage.layer > 1 {
        format!("Layer {}: its", shortage.layer)
    } else {
        "Its".to_owned()
    };
    let must = match shortage.match_ {
        Match::Any => format!("{layer} {rails} rails take {needed}"),
        Match::Lot => format!("{layer} {rails} rails must come from one lot and take {needed}"),
        Match::Halves => {
            format!(
                "{layer} {rails} rails must come from one lot, in pairs of neighbours, and take {needed}"
            )
        }
        Match::Stick => format!("{layer} {rails} rails must come from one stick and take {needed}"),
        Match::Wrap => {
            format!(
                "{layer} {rails} rails must run on from one another in one clear piece and take {needed}"
            )
        }
    };
    let all_short = shortage.groups.iter().all(|group| group.is_short(shortage));
    match (shortage.groups.as_slice(), all_short) {
        ([], _) => format!("{must}, and there is no {moulding} on the rack."),
        ([group], _) => format!("{must}; {}.", left(shortage, group, style)),
        ([_, _], true) => {
            format!("{must}, and neither {} of {moulding} has that left:", kind(shortage))
        }
        (_, true) => format!("{must}, and no {} of {moulding} has that left:", kind(shortage)),
        (_, false) => {
            format!("{must}, and in no {} of {moulding} do they find room:", kind(shortage))
        }
    }
}

/// What a group of sticks is.
fn kind(shortage: &Shortage) -> &'static str {
    match shortage.match_ {
        Match::Any => "part",
        Match::Lot | Match::Halves => "lot",
        Match::Stick | Match::Wrap => "stick",
    }
}

/// `lot A9 has 44 1/4 in left after 4105 and 4144, the longest piece 27 1/2 in`
fn left(shortage: &Shortage, group: &StickGroup, style: &LengthStyle) -> String {
    let name = match shortage.match_ {
        Match::Any => shortage.moulding.clone(),
        _ => format!("{} {}", kind(shortage), group.name),
    };
    let after = if group.after.is_empty() {
        String::new()
    } else {
        format!(" after {}", words::and(&group.after))
    };
    if !group.left.is_positive() {
        return format!("{name} has nothing left{after}");
    }
    let longest = if group.longest == group.left {
        ", in one piece".to_owned()
    } else {
        format!(", the longest piece {}", style.show_down_unit(group.longest))
    };
    format!("{name} has {} left{after}{longest}", style.show_down_unit(group.left))
}

fn changed(answer: &Answer, change: &Change, style: &LengthStyle) -> String {
    let effect = &change.effect;
    match &change.what {
        What::Sticks(sticks) => {
            let long: Vec<String> = sticks.iter().map(|stick| stick_words(stick, style)).collect();
            let more = if sticks.len() == 1 { "one more stick" } else { "more sticks" };
            format!("With {more}, {}: {}", words::and(&long), comes_to(answer, effect))
        }
        What::Match { layer, asked, instead } => format!(
            "With match {} instead of {} on layer {layer}: {}",
            instead.word(),
            asked.word(),
            comes_to(answer, effect)
        ),
        What::Size { width, height } => format!(
            "With a size of {} x {} instead: {}",
            style.show(*width),
            style.show_unit(*height),
            comes_to(answer, effect)
        ),
        What::Rush => {
            let rush = either(&format!(" (--rush {})", answer.frame), "");
            format!("Put first{rush}: {}", comes_to(answer, effect))
        }
        What::Due(Some(due)) => format!("Due on {due}: {}", comes_to(answer, effect)),
        What::Due(None) => format!("Without a date: {}", comes_to(answer, effect)),
        What::Without(frame) if *frame == answer.frame => {
            format!("Left aside, it would make room today for {}", words::and(&effect.also))
        }
        What::Without(frame) => format!("Without {frame}: {}", comes_to(answer, effect)),
    }
}

/// `52 1/4 in of ASH-20, lot A9`
fn stick_words(stick: &WantedStick, style: &LengthStyle) -> String {
    let lot = if stick.lot.is_empty() { String::new() } else { format!(", lot {}", stick.lot) };
    format!("{} of {}{lot}", style.show_unit(stick.length), stick.moulding)
}

/// What becomes of the frame, and of the others.
fn comes_to(answer: &Answer, effect: &Effect) -> String {
    let is_held = |(_, standing): &(_, Standing)| matches!(standing, Standing::Held { .. });
    let was_held = answer.standings.iter().any(is_held);
    let is_chopped = |(_, standing): &(_, Standing)| {
        matches!(standing, Standing::Waits { reason: WaitReason::Chops(_), .. })
    };
    let was_chopped = answer.standings.iter().any(is_chopped);
    let cut = match (effect.today, answer.copies) {
        (1, 1) => "it is cut today".to_owned(),
        (today, all) if today == all => format!("all its {all} copies are cut today"),
        (0, _) if effect.held == 0 && was_held => {
            "it can be made, and waits for moulding".to_owned()
        }
        (0, _) if effect.held + effect.chopped == 0 && was_chopped => {
            "it can be cut here, and waits for moulding".to_owned()
        }
        (0, _) if effect.held == 0 => "it waits".to_owned(),
        (0, _) => "it is not cut today".to_owned(),
        (1, all) => format!("1 of its {all} copies is cut today"),
        (today, all) => format!("{today} of its {all} copies are cut today"),
    };
    let mut words = cut;
    if !effect.instead.is_empty() {
        words += &format!(", and {} not", are(&effect.instead));
    }
    if !effect.also.is_empty() {
        words += &format!(", and {} cut as well", are(&effect.also));
    }
    words
}

/// `4105 is`, `4105 and 4124 are`.
fn are(frames: &[String]) -> String {
    format!("{} {}", words::and(frames), if frames.len() == 1 { "is" } else { "are" })
}
