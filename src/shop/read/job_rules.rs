//! Reads `[job]` and `[tell]` of `shop.toml`: how jobs are worked out, and what is told.

use std::collections::BTreeMap;

use crate::measure::{Length, Unit};
use crate::shop::JobRules;

use super::body::weight;
use super::cells::{self, ReadingUnits};
use super::keys::Section;

const JOB: &[(&str, &str)] = &[
    ("border", "the border of a mat where a job says none, such as \"2 1/2\""),
    ("hook_factor", "how many times its share a hook is rated for, from 2 on, such as \"4\""),
    ("hardware", "what screws, points and tape of a frame weigh, such as \"0.1 kg\""),
    ("glue_hours", "the hours from joining until a frame may be loaded, such as \"24\""),
    ("tuck", "how much canvas is tucked behind the bars, such as \"1\""),
    ("undermat", "how much smaller than the package an undermat is cut, such as \"0\""),
    ("build_out", "\"yes\" where a package that is too thick adds a build-out by itself"),
];

/// What may be told to a customer, each under its name.
const TELL: &[(&str, &str)] = &[
    ("hang", "what is told of hanging, or \"no\""),
    ("light", "what is told of light, or \"no\""),
    ("clean", "what is told of cleaning, or \"no\""),
    ("carry", "what is told of carrying, or \"no\""),
    ("people", "what is told where people are under it, or \"no\""),
    ("check", "what is told of looking after the fixings, or \"no\""),
    ("sign", "what stands over the signature, or \"no\""),
    ("promise", "what the shop promises of its work"),
];

/// Nobody waits longer for glue.
const MOST_HOURS: u32 = 14 * 24;

/// The shop's rules for jobs, each as usual where it is left out.
pub(super) fn read(top: &mut Section, figures: &ReadingUnits) -> Option<JobRules> {
    let usual = match figures.unit {
        Unit::Inch => JobRules::default(),
        Unit::Millimetre => JobRules {
            border: Length::from_mm(50),
            tuck: Length::from_mm(25),
            undermat: Length::from_mm(6),
            ..JobRules::default()
        },
    };
    let rules = match top.has("job") {
        true => rules(&mut top.section("job", JOB, "job")?, figures, usual),
        false => Some(usual),
    };
    let tell = match top.has("tell") {
        true => tell(&mut top.section("tell", TELL, "tell")?),
        false => Some(BTreeMap::new()),
    };
    Some(JobRules { tell: tell?, ..rules? })
}

fn rules(section: &mut Section, figures: &ReadingUnits, usual: JobRules) -> Option<JobRules> {
    let border = section.take("border", figures.positive("the border"));
    let hook_factor = section.take("hook_factor", cells::count(2, 20));
    let hardware = section.take("hardware", weight);
    let glue_hours = section.take("glue_hours", cells::count(1, MOST_HOURS));
    let tuck = section.take("tuck", figures.positive("the tuck"));
    let undermat = section.take("undermat", figures.small("undermat"));
    let build_out = section.take("build_out", cells::word(&cells::ANSWERS));
    Some(JobRules {
        border: border?.unwrap_or(usual.border),
        hook_factor: hook_factor?.unwrap_or(usual.hook_factor),
        hardware: hardware?.or(usual.hardware),
        glue_hours: glue_hours?.unwrap_or(usual.glue_hours),
        tuck: tuck?.unwrap_or(usual.tuck),
        undermat: undermat?.unwrap_or(usual.undermat),
        build_out: build_out?.unwrap_or(usual.build_out),
        tell: usual.tell,
    })
}

fn tell(section: &mut Section) -> Option<BTreeMap<String, Option<String>>> {
    let mut told = Some(BTreeMap::new());
    for (name, _) in TELL {
        match (section.take(name, cells::text), &mut told) {
            (Some(Some(text)), Some(told)) => {
                let text = if text.eq_ignore_ascii_case("no") { None } else { Some(text) };
                told.insert((*name).to_owned(), text);
            }
            (Some(None), _) => {}
            _ => told = None,
        }
    }
    told
}
