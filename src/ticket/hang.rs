//! How a job hangs: where its hangers go, and which of the shop's fixings hold it.
//!
//! Nothing is chosen without a load that the shop has copied from its packet, and no wire
//! that is flatter than 30 degrees.

use crate::job::hanging::{
    CLEAT_IN, HIDDEN, STRAPS_FROM, TWO_PEOPLE_FROM, WireKind, WireLeg, cleat_bar, hangers_down,
    most_rise, must_be_rated, must_break_at, rise_at_60, run,
};
use crate::measure::{Length, Unit, Weight};
use crate::shop::{Frame, Hang, Job, MaterialKind, Place, Shop, ShopMaterial};

use super::heft::Heft;

/// How a job hangs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hanging {
    /// What it hangs by; nothing where its weight is not known and nothing was asked for.
    pub way: Option<Hang>,
    /// How far its hangers stand below the top.
    pub down: Length,
    /// How far they stand in from the sides: in the middle of the wood behind the face.
    pub inset: Length,
    /// A leg of the wire as it would hang with its hook hidden, even where it does not
    /// hang by one; nothing where there is no room for any rise.
    pub leg: Option<WireLeg>,
    /// What a leg of the wire that it hangs by pulls with.
    pub tension: Option<Weight>,
    /// What each side rail is pulled inwards with.
    pub inward: Option<Weight>,
    /// How many hooks go to the wall.
    pub hook_count: u32,
    /// How far apart they are.
    pub hooks_apart: Length,
    /// How far below the frame's top they are, or the upper edge of a cleat; nothing of those on
    /// a picture rail.
    pub hooks_below: Length,
    /// How long the cleat's bar is, and how far it stays in from each side.
    pub cleat: Option<(Length, Length)>,
    /// Whether its straps hang from a picture rail, a chain or wire straight up from each.
    pub on_rail: bool,
    /// The hangers or straps that hold it, each.
    pub hangers: Option<Fixing>,
    /// The wire or cord.
    pub wire: Option<Fixing>,
    /// The hooks, or the cleat.
    pub hooks: Option<Fixing>,
    /// What each must be rated for, or break at, whether or not there is one.
    pub asked: Vec<(MaterialKind, Weight)>,
    /// The fixings that were passed over since no load is known of them.
    pub unrated: Vec<String>,
}

/// A fixing that holds, and by how much.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fixing {
    /// Its code.
    pub material: String,
    /// What it must be rated for, or break at.
    pub needs: Weight,
    /// What its packet prints.
    pub prints: Weight,
}

/// The hanging of a frame of this size outside.
pub(super) fn hanging(
    shop: &Shop,
    frame: &Frame,
    job: &Job,
    outside: (Length, Length),
    heft: &Heft,
) -> Hanging {
    let outer = frame.layers.iter().rfind(|layer| shop.goes_round(layer));
    let outer = shop.moulding(&outer.expect("a frame has a layer of its own").moulding);
    let down = hangers_down(outside.1).round_down(shop.settings.mark);
    let inset = Length::from_nm((outer.width - outer.rabbet).nm() / 2);
    let between = outside.0 - inset * 2;
    let hooks = if run(between, outside.0, 2).is_positive() { 2 } else { 1 };
    let run = run(between, outside.0, hooks);
    let rise = rise_at_60(run).min(most_rise(down)).round_down(shop.settings.mark);
    let leg = rise.is_positive().then_some(WireLeg { run, rise });
    let way = way(job, heft.total, leg);
    let is_wire = matches!(way, Some(Hang::Wire | Hang::Cord));
    let on_rail = way == Some(Hang::Straps)
        && job.place.contains(&Place::Rail)
        && heft.known() <= TWO_PEOPLE_FROM;
    let pulls = leg.zip(heft.total).filter(|_| is_wire);
    let hook_count = match way {
        Some(Hang::Wire | Hang::Cord) => u32::from(hooks),
        Some(Hang::Straps) => 2,
        Some(Hang::Cleat) => 1,
        _ => 0,
    };
    let apart = match (is_wire, hooks) {
        (true, 1) => Length::ZERO,
        (true, _) => between - run * 2,
        _ if way == Some(Hang::Straps) => between,
        _ => Length::ZERO,
    };
    // As high as a wire's hook at the most, so that it is not seen over the frame.
    let (cleat_in, cleat_below) = match shop.settings.unit {
        Unit::Inch => (CLEAT_IN, HIDDEN),
        Unit::Millimetre => (Length::from_mm(25), Length::from_mm(50)),
    };
    let mut hanging = Hanging {
        way,
        down,
        inset,
        leg,
        tension: pulls.map(|(leg, weight)| leg.tension(weight)),
        inward: pulls.map(|(leg, weight)| leg.inward(weight)),
        hook_count,
        hooks_apart: apart,
        hooks_below: match (is_wire, on_rail) {
            _ if way == Some(Hang::Cleat) => cleat_below.min(down),
            (true, _) => down - rise,
            (false, true) => Length::ZERO,
            (false, false) => down,
        },
        cleat: (way == Some(Hang::Cleat))
            .then(|| (cleat_bar(outside.0, cleat_in).round_down(shop.settings.mark), cleat_in)),
        on_rail,
        hangers: None,
        wire: None,
        hooks: None,
        asked: Vec::new(),
        unrated: Vec::new(),
    };
    if let Some(weight) = heft.total {
        choose(shop, &mut hanging, weight);
    }
    hanging
}

/// What it hangs by: as asked, but never by a wire that is too flat, or that it is too heavy
/// for, or from a picture rail, from which two lines go straight up: up to the weight from
/// which on it is a cleat, and that goes on the wall.
fn way(job: &Job, weight: Option<Weight>, leg: Option<WireLeg>) -> Option<Hang> {
    let no_wire = leg.is_none_or(|leg| leg.is_flat()) || job.place.contains(&Place::Rail);
    let instead = match weight {
        Some(weight) if weight > TWO_PEOPLE_FROM => Some(Hang::Cleat),
        Some(weight) if weight > STRAPS_FROM => Some(Hang::Straps),
        _ => no_wire.then_some(Hang::Straps),
    };
    match job.hang {
        Some(asked @ (Hang::Wire | Hang::Cord)) => Some(instead.unwrap_or(asked)),
        Some(asked) => Some(asked),
        None => weight.map(|_| instead.unwrap_or(Hang::Wire)),
    }
}

/// The fixings that hold so much.
fn choose(shop: &Shop, hanging: &mut Hanging, weight: Weight) {
    let factor = shop.settings.job.hook_factor;
    let shares = if hanging.hook_count == 1 { 1 } else { 2 };
    let hook = must_be_rated(weight, shares, factor);
    let mut unrated = Vec::new();
    let mut least = |kinds: &[MaterialKind], needs: &dyn Fn(MaterialKind) -> Weight| {
        let of_kind = shop.materials.values().filter(|m| kinds.contains(&m.kind));
        let mut holds = Vec::new();
        for material in of_kind {
            match rating(material) {
                None => unrated.push(material.id.clone()),
                Some(prints) => holds.push((needs(material.kind), prints, &material.id)),
            }
        }
        let mut holds: Vec<_> = holds.into_iter().filter(|(needs, has, _)| has >= needs).collect();
        holds.sort_by_key(|(_, prints, id)| (*prints, *id));
        let chosen = holds.into_iter().next();
        chosen.map(|(needs, prints, id)| Fixing { material: id.clone(), needs, prints })
    };
    let mut asked = Vec::new();
    match (hanging.way, hanging.tension) {
        (Some(way @ (Hang::Wire | Hang::Cord)), Some(tension)) => {
            let hanger = tension * i64::from(factor);
            hanging.hangers = least(&[MaterialKind::Hanger], &|_| hanger);
            let kinds: &[MaterialKind] = match way {
                Hang::Cord => &[MaterialKind::Wire(WireKind::Cord)],
                _ => &[MaterialKind::Wire(WireKind::Braided), MaterialKind::Wire(WireKind::Coated)],
            };
            let breaks = |kind| match kind {
                MaterialKind::Wire(kind) => must_break_at(kind, weight, tension),
                _ => Weight::ZERO,
            };
            hanging.wire = least(kinds, &breaks);
            hanging.hooks = least(&[MaterialKind::Hook], &|_| hook);
            // Of the wire that is taken, or of all that might be.
            let taken = hanging.wire.as_ref().map(|wire| shop.materials[&wire.material].kind);
            let wires = kinds.iter().filter(|kind| taken.is_none_or(|taken| taken == **kind));
            asked.push((MaterialKind::Hanger, hanger));
            asked.extend(wires.map(|kind| (*kind, breaks(*kind))));
            asked.push((MaterialKind::Hook, hook));
        }
        (Some(Hang::Straps), _) => {
            let strap = must_be_rated(weight, 2, factor);
            hanging.hangers = least(&[MaterialKind::Strap], &|_| strap);
            hanging.hooks = least(&[MaterialKind::Hook], &|_| hook);
            asked = vec![(MaterialKind::Strap, strap), (MaterialKind::Hook, hook)];
        }
        (Some(Hang::Cleat), _) => {
            hanging.hooks = least(&[MaterialKind::Cleat], &|_| hook);
            asked.push((MaterialKind::Cleat, hook));
        }
        _ => {}
    }
    hanging.asked = asked;
    hanging.unrated = unrated;
}

/// What a packet prints: of a wire what it breaks at, but no more than four times the load
/// that is printed beside it; of anything else its load.
fn rating(material: &ShopMaterial) -> Option<Weight> {
    match material.kind {
        MaterialKind::Wire(kind) => {
            let printed = material.load.map(|load| load * kind.factor());
            let breaks = material.breaks?;
            Some(printed.map_or(breaks, |printed| printed.min(breaks)))
        }
        _ => material.load,
    }
}

/// How far the hook of a wire stays below the frame's top, at the least.
pub(super) const HOOK_HIDDEN: Length = HIDDEN;
