//! The chop sheet: one page to print and pin over the bench.

use std::fmt::Write;

use jiff::civil::Date;

use crate::chop::{Caution, Cut, MachineSheet, Schedule, StickSteps};
use crate::measure::LengthStyle;
use crate::plan::{Left, Plan, Warning};
use crate::shop::{Shop, Stop};

use super::escape::{escape, figure};
use super::name::{self, Names};
use super::summary::Summary;
use super::{spares, svg, words};

/// From so many cuts on, a stick's cuts stand in two columns, so that even a
/// polygon's stick stays on one page.
const MANY: usize = 17;

/// So many cuts are kept on one page with their stick.
const TOGETHER: usize = 4;

/// What stands over a sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Heading {
    /// What it is, with the number of its plan where it has one.
    pub title: String,
    /// What to know of it before anything else, such as which cards it replaces.
    pub note: String,
}

impl Default for Heading {
    fn default() -> Heading {
        Heading { title: "Chop sheet".to_owned(), note: String::new() }
    }
}

pub(crate) const STYLE: &str = include_str!("sheet.css");

/// Everything to cut today, machine by machine: self-contained, without
/// scripts, for A4 or Letter in black and white.
pub fn chop(plan: &Plan, shop: &Shop, schedule: &Schedule) -> String {
    chop_under(&Heading::default(), plan, shop, schedule)
}

/// The same under another heading.
pub fn chop_under(heading: &Heading, plan: &Plan, shop: &Shop, schedule: &Schedule) -> String {
    let names = Names::new(shop);
    let mut out = head(&escape(&heading.title), plan);
    if !heading.note.is_empty() {
        let _ = writeln!(out, "<p class=\"sum\"><b>{}</b></p>", escape(&heading.note));
    }
    summary(&mut out, plan, shop, schedule);
    look_first(&mut out, plan, shop);
    spare_rails(&mut out, plan, shop);
    not_today(&mut out, plan, shop);
    for bench in &schedule.benches {
        self::bench(&mut out, bench, shop, &names);
    }
    out.push_str("</body>\n</html>\n");
    out
}

/// What to look at, of the frames that are cut today.
fn look_first(out: &mut String, plan: &Plan, shop: &Shop) {
    let rails = || plan.today.iter().flat_map(|stick| &stick.rails);
    let concerns_today =
        |warning: &&Warning| rails().any(|rail| rail.frame == words::ticket_of(warning));
    let mut warnings = plan.warnings.iter().filter(concerns_today).peekable();
    if warnings.peek().is_none() {
        return;
    }
    out.push_str("<div class=\"look\"><h3>Look at first</h3><ul>\n");
    for warning in warnings {
        let text = escape(&words::warning(warning, &shop.settings.style()));
        let _ = writeln!(out, "<li>{text}</li>");
    }
    out.push_str("</ul></div>\n");
}

/// The spare rails that are taken in place of rails to be cut.
fn spare_rails(out: &mut String, plan: &Plan, shop: &Shop) {
    if plan.spares_today().next().is_none() {
        return;
    }
    out.push_str("<div class=\"look\"><h3>Not to be cut, since they are there</h3><ul>\n");
    for of in plan.spares_today() {
        let _ = writeln!(out, "<li>{}</li>", escape(&spares::words(of, shop)));
    }
    out.push_str("</ul></div>\n");
}

/// What could be cut today and waits for others, so that nobody misses it.
fn not_today(out: &mut String, plan: &Plan, shop: &Shop) {
    let patient = words::patient(plan, shop);
    if patient.is_empty() {
        return;
    }
    out.push_str("<div class=\"look\"><h3>Not today: better cut together with others</h3><ul>\n");
    for line in patient {
        let _ = writeln!(out, "<li>{}</li>", escape(&line));
    }
    out.push_str("</ul></div>\n");
}

/// The opening of a page, as far as the shop's name and the date.
pub(super) fn head(title: &str, plan: &Plan) -> String {
    opening(title, &plan.shop, plan.date)
}

/// The same of a page that is no plan's.
pub(super) fn opening(title: &str, shop: &str, date: Date) -> String {
    let (shop, day) = (escape(shop), date.strftime("%a %-d %B %Y"));
    let top = format!("<div class=\"top\"><h1>{shop}</h1><p>{title}, {day}</p></div>\n");
    open(title, date) + &top
}

/// The opening of a page before anything stands on it.
pub(super) fn open(title: &str, date: Date) -> String {
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width\">\n<title>{title}, {date}</title>\n\
         <style>\n{STYLE}@page {{ @bottom-left {{ content: \"{title}, {date}\"; font-size: 3.2mm; }} \
         @bottom-right {{ content: counter(page) \" of \" counter(pages); font-size: 3.2mm; }} }}\n</style>\n\
         </head>\n<body>\n{}",
        svg::HATCHINGS,
    )
}

fn summary(out: &mut String, plan: &Plan, shop: &Shop, schedule: &Schedule) {
    let wishes = words::wishes(plan, shop);
    if !wishes.is_empty() {
        let _ = writeln!(out, "<p class=\"sum\">{}</p>", escape(&wishes.join(" ")));
    }
    let sum = Summary::new(plan, shop, schedule);
    if sum.sticks == 0 && sum.frames == 0 {
        out.push_str("<p class=\"sum\">Nothing to cut today.</p>\n");
        return;
    }
    let _ = writeln!(
        out,
        "<p class=\"sum\"><b>{}</b> from <b>{}</b>, {}, lengths in <b>{}</b></p>",
        words::count(sum.frames, "frame", "frames"),
        words::count(sum.sticks, "stick", "sticks"),
        words::count(sum.rails, "rail", "rails"),
        words::unit(shop.settings.unit),
    );
    out.push_str(
        "<p class=\"key\"><span>Drawn to scale: marked end on the left, back edge on top.</span>\
         <span><svg viewBox=\"0 0 9 4\"><rect class=\"waste\" x=\".3\" y=\".3\" width=\"8.4\" height=\"3.4\"/></svg>waste</span>\
         <span><svg viewBox=\"0 0 9 4\"><rect class=\"flaw\" x=\".3\" y=\".3\" width=\"8.4\" height=\"3.4\"/></svg>flaw</span>\
         <span><svg viewBox=\"0 0 9 4\"><rect class=\"kept\" x=\".3\" y=\".3\" width=\"8.4\" height=\"3.4\"/></svg>keep</span>\
         <span><b>&#9654;</b> move the stop</span></p>\n",
    );
}

fn bench(out: &mut String, bench: &MachineSheet, shop: &Shop, names: &Names) {
    let style = shop.settings.style();
    let _ = writeln!(
        out,
        "<section class=\"bench\">\n<div class=\"start\">\n<h2>{}</h2>\n<p class=\"stop\">{}, {}, the stop is set {} and reads the <b>{}</b></p>",
        escape(&bench.cutter),
        words::count(bench.sticks.len(), "stick", "sticks"),
        words::count(bench.rails(), "rail", "rails"),
        times(bench.settings),
        reads(bench.stop),
    );
    out.push_str("<ul class=\"cautions\">\n");
    for caution in &bench.cautions {
        let class = if is_pressing(caution) { " class=\"pressing\"" } else { "" };
        let _ = writeln!(out, "<li{class}>{}</li>", escape(&caution.words(&style)));
    }
    out.push_str("</ul>\n</div>\n");
    for steps in &bench.sticks {
        stick(out, steps, bench.stop, shop, names);
    }
    out.push_str("</section>\n");
}

fn times(count: u32) -> String {
    match count {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        more => format!("{more} times"),
    }
}

/// Whether a caution is about today's work and not about every day's.
fn is_pressing(caution: &Caution) -> bool {
    matches!(caution, Caution::ShortRails { .. } | Caution::TurnOver(_) | Caution::Grip(_))
}

/// What the scale reads, in words.
fn reads(stop: Stop) -> &'static str {
    match stop {
        Stop::Long => "long point",
        Stop::Rabbet => "rabbet",
        Stop::Sight => "sight edge",
    }
}

fn stick(out: &mut String, steps: &StickSteps, reads: Stop, shop: &Shop, names: &Names) {
    let style = shop.settings.style();
    // Its head stands again over what goes on on the next page.
    let whole = if steps.cuts.len() <= TOGETHER { " whole" } else { "" };
    let _ = writeln!(out, "<article class=\"stick{whole}\">\n<div class=\"head\">");
    stick_head(out, steps, shop, &style);
    // What is done once is no part of the head: it would be asked again where a stick
    // goes on.
    let _ = writeln!(
        out,
        "</div>\n<div class=\"body\">\n<div class=\"once\"><div class=\"check\">\
         <p><span class=\"box\"></span> measured</p>\
         <p><span class=\"box\"></span> trim {} off the marked end</p></div></div>",
        figure(&style.show(steps.first_trim)),
    );
    out.push_str(&svg::stick(steps, &style, names));
    let many = if steps.cuts.len() >= MANY { " many" } else { "" };
    let _ = writeln!(out, "<ol class=\"cuts{many}\">");
    for cut in &steps.cuts {
        self::cut(out, cut, reads, &style, names);
    }
    out.push_str("</ol>\n");
    let _ =
        writeln!(out, "<p class=\"rest\">{}</p>\n</div>\n</article>", left(&steps.left, &style));
}

fn stick_head(out: &mut String, steps: &StickSteps, shop: &Shop, style: &LengthStyle) {
    let mut facts = format!(
        "<b>{}</b> {}<br>{} long",
        escape(&steps.moulding),
        escape(&shop.moulding(&steps.moulding).name),
        figure(&style.show(steps.length))
    );
    if !steps.lot.is_empty() {
        let _ = write!(facts, ", lot {}", escape(&steps.lot));
    }
    if !steps.place.is_empty() {
        let _ = write!(facts, ", <span class=\"place\">{}</span>", escape(&steps.place));
    }
    for flaw in &steps.flaws {
        let (from, to) = (figure(&style.show(flaw.from)), figure(&style.show(flaw.to)));
        let _ = write!(facts, "<br><span class=\"flawed\">flaw {from} to {to}</span>");
    }
    let _ = writeln!(
        out,
        "<header><div class=\"no\"><small>no.</small>{}</div><div class=\"id\"><small>label</small>{}</div><div class=\"facts\">{facts}</div></header>",
        steps.number,
        escape(&steps.stick),
    );
}

fn cut(out: &mut String, cut: &Cut, reads: Stop, style: &LengthStyle, names: &Names) {
    if let Some(skip) = &cut.skip {
        let (from, to) = (figure(&style.show(skip.from)), figure(&style.show(skip.to)));
        let _ = writeln!(out, "<li><p class=\"step\">Cut out {from} to {to}</p></li>");
        for kept in &skip.kept {
            let _ = writeln!(out, "<li><p class=\"step\">{}</p></li>", left(kept, style));
        }
    }
    let (class, arrow) = if cut.move_stop { ("set move", "&#9654;") } else { ("set", "") };
    let rail = &cut.rail;
    let mut flags = Vec::new();
    flags.extend(name::mitre_of(cut));
    flags.extend(cut.turn.then(|| "TURN OVER".to_owned()));
    flags.extend(cut.clamp.then(|| "CLAMP".to_owned()));
    let flags: String =
        flags.iter().map(|flag| format!(" <span class=\"flag\">{}</span>", escape(flag))).collect();
    let _ = writeln!(
        out,
        "<li><div class=\"cut\"><span class=\"box\"></span><span class=\"n\">{}</span>\
         <span class=\"{class}\"><span class=\"arrow\">{arrow}</span><span class=\"reading\">{}</span></span>\
         <span class=\"who\"><b>{}</b> {}{flags}</span><span class=\"at\">{} to {}<small>{}</small></span></div></li>",
        cut.number,
        figure(&style.show(cut.stop)),
        escape(&names.ticket(&rail.frame, rail.copy)),
        escape(&names.place(rail)),
        figure(&style.show(rail.from)),
        figure(&style.show(rail.to)),
        words::named_lengths(reads, rail, style),
    );
}

fn left(left: &Left, style: &LengthStyle) -> String {
    let length = figure(&style.show_down(left.length));
    if left.keep {
        format!(
            "<span class=\"box\"></span> Keep <b>{length}</b>, label it <b>{}</b>",
            escape(&left.label)
        )
    } else {
        format!("Scrap {length}")
    }
}
