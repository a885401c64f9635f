//! The package in its rabbet: how thick it is, and what would make room for it.

use crate::job::thickness::{filler, stands_out, wanted};
use crate::measure::Length;
use crate::shop::{Art, FilledRabbet, Frame, Job, Kind, MaterialKind, Moulding, Shop};

/// So many mouldings that would do are named.
const FEW: usize = 4;

/// A package in its rabbet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Depth {
    /// Each layer of the package with its thickness, from the front; nothing where that is
    /// not known.
    pub layers: Vec<(String, Option<Length>)>,
    /// How thick all of it is: as the ticket says, if its layers do not add up to more.
    pub thickness: Option<Length>,
    /// How thick the ticket says that it is, where its layers add up to more.
    pub too_little: Option<Length>,
    /// How deep the innermost rabbet is, if measured, with what is built out behind it.
    pub rabbet: Option<Length>,
    /// The rabbets of the layers round that one, with what lies in them.
    pub outer: Vec<FilledRabbet>,
    /// The depth that it wants, with the points; of a floater, which has none, without.
    pub wanted: Option<Length>,
    /// What makes a rabbet deep enough that is not.
    pub build_out: Option<BuildOutHeight>,
    /// What is left over behind, if it is more than a board; in a floater nothing is, since what
    /// is in it stands on its base.
    pub filler: Option<Length>,
    /// How far a canvas, with the glazing and the spacer in front of it, stands out behind its
    /// rabbet: the offset of its clips.
    pub clips: Option<Length>,
    /// How far what is in a floater stands out of it in front, if it does.
    pub proud: Option<Length>,
    /// The shop's mouldings of the same kind that are deep enough, the nearest in width
    /// first.
    pub would_do: Vec<String>,
}

/// How high a build-out must be, and which of the shop's is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BuildOutHeight {
    /// At least this.
    pub least: Length,
    /// The code of the lowest that the shop has of that height or more.
    pub material: Option<String>,
    /// How high that is.
    pub height: Option<Length>,
    /// The code of the lowest of the shop's mouldings that would build out enough as a layer
    /// of the frame.
    pub layer: Option<String>,
}

pub(super) fn depth(shop: &Shop, frame: &Frame, job: &Job) -> Depth {
    let unit = shop.settings.unit;
    let inner = shop.moulding(&frame.layers[0].moulding);
    let typed = frame.thickness.filter(|_| job.is_in_rabbet());
    let adds_up = shop.least_thickness(job);
    let thickness = typed.max(adds_up);
    // What is put into an empty frame elsewhere takes no depth that is known.
    let filled = thickness.or(job.is_empty_frame().then_some(Length::ZERO));
    let mut rabbets = shop.rabbets(frame, filled);
    let worst = shop.most_lacking(frame, filled);
    let outer = rabbets.split_off(1);
    let rabbet = rabbets[0].depth;
    let both = thickness.zip(rabbet);
    let is_floater = inner.kind == Kind::Floater;
    let glazed = |bars| job.glazed(bars, |code| shop.materials.get(code));
    let inside = match job.art {
        Art::Canvas => job.thick.max(frame.thickness).and_then(glazed),
        _ => thickness,
    };
    let inside = inside.filter(|_| is_floater);
    let proud = inside.zip(rabbet).and_then(|(thick, deep)| stands_out(thick, deep));
    let would_do = match (worst, proud.and(inside)) {
        (Some((layer, _)), _) => deep_enough(shop, (frame, layer), thickness),
        (None, Some(thick)) => nearest(inner, deep_floaters(shop, thick)),
        (None, None) => Vec::new(),
    };
    let is_canvas = job.art == Art::Canvas && !is_floater;
    Depth {
        layers: layers(shop, job),
        thickness,
        too_little: typed.filter(|typed| adds_up.is_some_and(|all| *typed < all)),
        rabbet,
        wanted: thickness.map(|thick| if is_floater { thick } else { wanted(thick, unit) }),
        build_out: worst.map(|(_, least)| offered(shop, frame, least)),
        filler: both
            .filter(|_| !is_floater && !job.is_empty_frame())
            .and_then(|(thick, deep)| filler(thick, deep, board(shop), unit)),
        clips: job.thick.filter(|_| is_canvas).and_then(glazed).and_then(|bars| {
            let last = shop.rabbets(frame, Some(bars)).pop()?;
            stands_out(last.holds?, last.depth?)
        }),
        proud,
        outer,
        would_do,
    }
}

/// What the package is made of, from the front.
fn layers(shop: &Shop, job: &Job) -> Vec<(String, Option<Length>)> {
    let material = |code: &str| {
        let Some(material) = shop.materials.get(code) else { return (code.to_owned(), None) };
        let is_usual = material.thick.is_none() && material.takes().is_some();
        let usual = if is_usual { ", as usual and not measured" } else { "" };
        (format!("{code}{usual}"), material.takes())
    };
    let front = job.glazing.iter().chain(&job.spacer).chain(job.mats.iter().rev());
    let mut layers: Vec<_> = front.map(|code| material(code)).collect();
    if let Some(fillet) = &job.fillet {
        layers.push((fillet.clone(), shop.moulding(fillet).body.height));
    }
    if job.art != Art::Nothing {
        layers.push((format!("the art ({})", job.art.word()), job.thick));
    }
    layers.extend([&job.mount, &job.backing].into_iter().flatten().map(|code| material(code)));
    layers
}

/// The lowest build-out of the shop that is high enough.
fn offered(shop: &Shop, frame: &Frame, least: Length) -> BuildOutHeight {
    let layer = shop.lowest_build_out(frame, least).map(|strip| strip.id.clone());
    let strips = shop.materials.values().filter(|strip| strip.kind == MaterialKind::BuildOut);
    let high = strips.filter_map(|strip| strip.thick.map(|high| (high, &strip.id)));
    let chosen = high.filter(|(high, _)| *high >= least).min();
    BuildOutHeight {
        least,
        material: chosen.map(|(_, id)| id.clone()),
        height: chosen.map(|(high, _)| high),
        layer,
    }
}

/// The mouldings that leave nothing lacking in the place of a layer.
fn deep_enough(
    shop: &Shop,
    (frame, layer): (&Frame, usize),
    package: Option<Length>,
) -> Vec<String> {
    let asked = shop.moulding(&frame.layers[layer - 1].moulding);
    let mut with = frame.clone();
    let mut does: Vec<&Moulding> = Vec::new();
    for other in shop.mouldings.values().filter(|other| other.kind == asked.kind) {
        with.layers[layer - 1].moulding.clone_from(&other.id);
        let mut rabbets = shop.rabbets(&with, package).into_iter().enumerate();
        let is_known =
            rabbets.all(|(at, of)| of.depth.is_some() && (at == 0 || of.holds.is_some()));
        if is_known && shop.most_lacking(&with, package).is_none() {
            does.push(other);
        }
    }
    nearest(asked, does)
}

/// The floaters of the shop that are so deep.
fn deep_floaters(shop: &Shop, thick: Length) -> Vec<&Moulding> {
    let floaters = shop.mouldings.values().filter(|other| other.kind == Kind::Floater);
    floaters.filter(|other| other.depth.is_some_and(|depth| depth >= thick)).collect()
}

/// A few of them, the nearest in width to the one that was asked for first.
fn nearest(asked: &Moulding, mut these: Vec<&Moulding>) -> Vec<String> {
    these.sort_by_key(|other| ((other.width - asked.width).nm().abs(), &other.id));
    these.into_iter().take(FEW).map(|other| other.id.clone()).collect()
}

/// The thinnest board of the shop, or what a foam board usually is: 5 mm.
fn board(shop: &Shop) -> Length {
    let boards = shop.materials.values().filter(|board| board.kind == MaterialKind::Board);
    boards.filter_map(|board| board.thick).min().unwrap_or(Length::from_mm(5))
}
