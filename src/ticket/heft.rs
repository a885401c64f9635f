//! What a job weighs, part by part, rounded up; or what keeps that from being known.

use crate::job::weight::{Profile, along_the_face, of_volume, run, sheet, volume};
use crate::measure::{Length, Weight};
use crate::rails::{LayerRails, frame_rails};
use crate::shop::{Art, Body, Frame, Hang, Job, Kind, Moulding, Shop};

use super::depth::Depth;
use super::hang::Hanging;

/// What a job weighs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Heft {
    /// Its parts.
    pub parts: Vec<HeftPart>,
    /// What of its fixings is not counted, since the shop has not weighed it.
    pub not_counted: Vec<String>,
    /// What it weighs in all; nothing where a part is not known.
    pub total: Option<Weight>,
    /// What of it the lower rail carries: all but the frame itself.
    pub package: Option<Weight>,
}

/// One part of a job's weight.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeftPart {
    /// What it is: a code, or what it is called.
    pub what: String,
    /// What it weighs; nothing where that is not known.
    pub weight: Option<Weight>,
    /// What it was worked out from, or what to write down so that it can be.
    pub from: String,
    /// Whether it is part of the frame and not of what is in it.
    pub is_frame: bool,
}

/// What a job weighs with what it hangs by, and how it hangs. Hangers and a cleat are part
/// of the weight that they are chosen for, so this is gone round until what is taken weighs
/// no more than what was counted.
pub(super) fn settled(
    shop: &Shop,
    bare: &Heft,
    hang: impl Fn(&Heft) -> Hanging,
) -> (Heft, Hanging) {
    let mut heft = bare.clone();
    loop {
        let hanging = hang(&heft);
        let parts = bare.parts.iter().cloned().chain(fixings(shop, &hanging));
        let more = Heft { not_counted: unweighed(shop, &hanging), ..Heft::of(parts.collect()) };
        let is_settled = more.total.is_some_and(|more| heft.total.is_some_and(|all| more <= all));
        if is_settled || heft.total.is_none() {
            return (Heft { not_counted: more.not_counted, ..heft }, hanging);
        }
        heft = more;
    }
}

/// Two hangers, if the shop has weighed them; a cleat, all of it.
fn fixings(shop: &Shop, hanging: &Hanging) -> Vec<HeftPart> {
    let weighs = |code: &String| shop.materials[code].weight;
    let part = |what: &str, code: &String, weight: Option<Weight>| HeftPart {
        what: format!("{what} {code}"),
        weight,
        from: match weight {
            Some(_) => "as weighed".to_owned(),
            None => "write its weight in materials.csv".to_owned(),
        },
        is_frame: true,
    };
    let hangers = hanging.hangers.as_ref().map(|fixing| &fixing.material);
    let hangers = hangers.and_then(|code| Some(part("two of", code, Some(weighs(code)? * 2))));
    let cleat = hanging.hooks.as_ref().filter(|_| hanging.way == Some(Hang::Cleat));
    let cleat = cleat.map(|of| part("the cleat", &of.material, weighs(&of.material)));
    hangers.into_iter().chain(cleat).collect()
}

/// The hangers that the shop has not weighed: some grams, which no sum may hide.
fn unweighed(shop: &Shop, hanging: &Hanging) -> Vec<String> {
    let hangers = hanging.hangers.as_ref().map(|fixing| &fixing.material);
    let bare = hangers.filter(|code| shop.materials[*code].weight.is_none());
    bare.map(|code| format!("two of {code}")).into_iter().collect()
}

/// `around` are the layers that go round the package, with their rails.
pub(super) fn heft(
    shop: &Shop,
    (frame, job): (&Frame, &Job),
    around: &[(usize, &LayerRails)],
    outside: (Length, Length),
    depth: &Depth,
) -> Heft {
    let mut parts = Vec::new();
    let size = job.package.size;
    let windows = job.mats.iter().zip(&job.package.mats).rev();
    let windows = windows.map(|(code, window)| (code, Some(*window)));
    let whole = [&job.glazing, &job.spacer, &job.mount, &job.backing];
    let whole = whole.into_iter().flatten().map(|code| (code, None));
    for (code, window) in windows.chain(whole) {
        let material = &shop.materials[code];
        let is_strip = material.kind.is_strip();
        let (weight, from) = match (material.weighs(), is_strip) {
            (Some(of), true) => (Some(run((size.0 + size.1) * 2, of)), "by its length".to_owned()),
            (Some(of), false) => (Some(sheet(size, window, of)), "by its area".to_owned()),
            (None, _) => (None, "write its weight in materials.csv".to_owned()),
        };
        parts.push(HeftPart { what: code.clone(), weight, from, is_frame: false });
    }
    parts.extend(art(job));
    for (at, rails) in around {
        let moulding = shop.moulding(&frame.layers[*at].moulding);
        let (weight, from) = of_moulding(moulding, rails);
        parts.push(HeftPart { what: moulding.id.clone(), weight, from, is_frame: true });
    }
    for (layer, rails) in frame.layers.iter().zip(frame_rails(shop, frame)) {
        if shop.moulding(&layer.moulding).kind == Kind::BuildOut {
            parts.push(of_strips(shop.moulding(&layer.moulding), &rails));
        }
    }
    parts.extend(strips_behind(shop, outside, depth));
    if let (Some(fillet), Some(opening)) = (&job.fillet, job.package.mats.first()) {
        let moulding = shop.moulding(fillet);
        let length = (opening.0 + opening.1) * 2 + moulding.width * 8;
        let weight = moulding.body.weight.map(|of| run(length, of));
        let from = match weight {
            Some(_) => "weighed stick",
            None => "write its weight in mouldings.csv",
        };
        let from = from.to_owned();
        parts.push(HeftPart { what: fillet.clone(), weight, from, is_frame: false });
    }
    let hardware = shop.settings.job.hardware;
    let from = match hardware {
        Some(_) => "hardware in [job] of shop.toml",
        None => "write what screws, points and tape weigh under [job] in shop.toml",
    };
    let (what, from) = ("hardware".to_owned(), from.to_owned());
    parts.push(HeftPart { what, weight: hardware, from, is_frame: true });
    Heft::of(parts)
}

impl Heft {
    /// What is known of it weighs so much together.
    pub(super) fn known(&self) -> Weight {
        self.parts.iter().filter_map(|part| part.weight).sum()
    }

    fn of(parts: Vec<HeftPart>) -> Heft {
        let sum = |package: bool| {
            let counted = parts.iter().filter(|part| !package || !part.is_frame);
            counted.map(|part| part.weight).sum::<Option<Weight>>()
        };
        let (total, package) = (sum(false), sum(true));
        Heft { parts, not_counted: Vec::new(), total, package }
    }
}

/// The strips that build out a rabbet which is too shallow, as if each were as long as the
/// frame.
fn strips_behind(shop: &Shop, outside: (Length, Length), depth: &Depth) -> Option<HeftPart> {
    let out = depth.build_out.as_ref()?;
    let weighs = out.material.as_ref().and_then(|code| shop.materials[code].weight);
    let weight = weighs.map(|of| run((outside.0 + outside.1) * 2, of));
    let (what, from) = match (&out.material, weight) {
        (Some(code), Some(_)) => (format!("the build-out {code}"), "by its length"),
        (Some(code), None) => {
            (format!("the build-out {code}"), "write its weight in materials.csv")
        }
        (None, _) => (
            "the build-out".to_owned(),
            "write one that is high enough in materials.csv, with its weight",
        ),
    };
    Some(HeftPart { what, weight, from: from.to_owned(), is_frame: true })
}

/// Paper that is thicker is a board, and weighs too much to be left out: 1 mm. Own caution.
pub(super) const THIN_PAPER: Length = Length::from_mm(1);

/// The art. A sheet of thin paper is not counted unless it was weighed.
fn art(job: &Job) -> Option<HeftPart> {
    const GLASS_PER_MM: i64 = 2500;
    let is_thin = job.thick.is_none_or(|thick| thick <= THIN_PAPER);
    let (weight, from) = match (job.art, job.weight, job.thick) {
        (Art::Nothing, None, _) => return None,
        (Art::Paper, None, _) if is_thin => return None,
        (_, Some(weight), _) => (Some(weight), "as weighed"),
        (Art::Mirror, None, Some(thick)) => {
            let of = Weight::from_ug(thick.nm() * GLASS_PER_MM);
            (Some(sheet(job.package.size, None, of)), "as glass of its thickness")
        }
        _ => (None, "weigh it and write art_weight in jobs.csv"),
    };
    let what = format!("the art ({})", job.art.word());
    Some(HeftPart { what, weight, from: from.to_owned(), is_frame: false })
}

/// A build-out: by a weighed stick, else as full strips of its wood.
fn of_strips(strip: &Moulding, rails: &LayerRails) -> HeftPart {
    let length = rails.rails.iter().map(|rail| rail.long_point).sum();
    let Body { height, weight, wood, .. } = strip.body;
    let (weight, from) = match (weight, height.zip(wood)) {
        (Some(of), _) => (Some(run(length, of)), "weighed stick".to_owned()),
        (None, Some((height, wood))) => {
            let density = wood.density().1;
            let from = format!("volume of {}, {density} kg a cubic metre", wood.word());
            let cubic = [length, strip.width, height].map(|side| i128::from(side.nm()));
            (Some(of_volume(cubic.into_iter().product(), density)), from)
        }
        (None, None) => {
            let words = "weigh a stick and write what a metre weighs in mouldings.csv";
            (None, words.to_owned())
        }
    };
    HeftPart { what: strip.id.clone(), weight, from, is_frame: true }
}

/// A moulding: by a weighed stick, else by its volume.
fn of_moulding(moulding: &Moulding, rails: &LayerRails) -> (Option<Weight>, String) {
    let size = |of: fn(&crate::rails::Rail) -> Length| (of(&rails.rails[1]), of(&rails.rails[0]));
    let outside = size(|rail| rail.long_point);
    let body = moulding.body;
    if let Some(of) = body.weight {
        let along = along_the_face(outside, moulding.width);
        return (Some(run(along, of)), "weighed stick".to_owned());
    }
    match (body.height, body.wood) {
        (Some(height), Some(wood)) if moulding.kind != Kind::Floater => {
            let deep = moulding.depth.unwrap_or(Length::ZERO).min(height);
            let profile =
                Profile { height, width: moulding.width, rabbet: (moulding.rabbet, deep) };
            let cubic = volume(profile, outside, size(|rail| rail.rabbet));
            let density = wood.density().1;
            let from = format!("volume of {}, {density} kg a cubic metre", wood.word());
            (Some(of_volume(cubic, density)), from)
        }
        _ => (None, "weigh a stick and write what a metre weighs in mouldings.csv".to_owned()),
    }
}
