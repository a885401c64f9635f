//! The check of layers in layers, from the outside in.

use super::sheet::JobSheet;
use crate::measure::Length;
use crate::shop::{Kind, Shop};

/// Each rabbet round others holds what reaches farthest back in it: the package, or a layer
/// within with its strips, each behind the lips before it.
pub(super) fn stacked(sheet: &JobSheet, shop: &Shop, say: &mut impl FnMut(bool, &str)) {
    let layers: Vec<_> = sheet.frame.layers.iter().filter(|of| of.window.is_none()).collect();
    let of = |at: usize| shop.moulding(&layers[at].moulding);
    let is_strip = |at: &usize| of(*at).kind == Kind::BuildOut;
    let strips = |from: usize, to: usize| -> Length {
        (from..to).filter(is_strip).filter_map(|at| of(at).body.height).sum()
    };
    let around: Vec<usize> = (0..layers.len()).filter(|at| !is_strip(at)).collect();
    let mut said = sheet.depth.outer.iter();
    for (place, &at) in around.iter().enumerate().skip(1) {
        if of(at).kind == Kind::Floater {
            continue;
        }
        let Some(outer) = said.next() else { return say(false, "a rabbet is left out") };
        let within = &around[..place];
        let holds = within.iter().map(|&at| Some(of(at).body.height? - of(at).depth?));
        let holds = holds.collect::<Option<Vec<Length>>>().map(|lips| {
            // A floater hides what is in front of its base.
            let base = within.iter().rposition(|&at| of(at).kind == Kind::Floater);
            let lips_from = |first: usize| lips[first..].iter().copied().sum::<Length>();
            let back = |first: usize| {
                let next = around[first + 1];
                let own = match of(within[first]).kind {
                    Kind::Floater => of(within[first]).depth,
                    _ => of(within[first]).depth.map(|own| own + strips(within[first], next)),
                };
                lips_from(first) + own.unwrap_or(Length::ZERO)
            };
            let layers = (base.unwrap_or(0)..within.len()).map(back);
            let package = sheet.depth.thickness.filter(|_| base.is_none());
            let package = package.map(|thick| thick + lips_from(0));
            layers.chain(package).max().unwrap_or(Length::ZERO)
        });
        let deep = of(at).depth.map(|own| own + strips(at, layers.len()));
        let is_said = outer.holds == holds && outer.depth == deep;
        say(is_said, "what lies in an outer rabbet is another");
        let added = sheet.depth.build_out.as_ref().map_or(Length::ZERO, |out| out.least);
        let stands_out = holds.zip(deep).is_some_and(|(holds, deep)| deep + added <= holds);
        say(!stands_out, "a layer stands out behind and nothing is said of it");
    }
    say(said.next().is_none(), "there is no such outer rabbet");
}
