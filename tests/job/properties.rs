//! What holds of every job.

use longpoint::job::hanging::{WireKind, WireLeg, must_be_rated, must_break_at};
use longpoint::job::movement::{Growth, INDOORS, cut, movement, step, tight, undersize};
use longpoint::job::package::{ArtIn, Display, Lip, package};
use longpoint::job::thickness;
use longpoint::job::window::{Borders, Weighting};
use longpoint::measure::{Length, Unit, Weight};
use proptest::prelude::*;

fn length(least: i64, most: i64) -> impl Strategy<Value = Length> {
    (least..most).prop_map(|tenths| Length::from_nm(tenths * 100_000))
}

fn weighting() -> impl Strategy<Value = Weighting> {
    prop_oneof![length(0, 200).prop_map(Weighting::Below), Just(Weighting::Optical)]
}

fn display() -> impl Strategy<Value = Display> {
    prop_oneof![
        length(1, 100).prop_map(|overlap| Display::Overlapped { overlap }),
        (length(0, 150), length(0, 150))
            .prop_map(|(sides, bottom)| Display::Revealed { sides, bottom }),
        length(0, 300).prop_map(|margin| Display::Floated { margin }),
        Just(Display::Whole),
    ]
}

prop_compose! {
    fn artwork()(
        art in (length(200, 20_000), length(200, 20_000)),
        less in (length(0, 100), length(0, 100)),
        display in display(),
        reveals in proptest::collection::vec(length(1, 200), 0..4),
        fillet in proptest::option::of(length(1, 100)),
        borders in [length(1, 1500), length(1, 1500), length(1, 1500), length(1, 1500)],
        weighting in weighting(),
        given in proptest::option::of((length(200, 25_000), length(200, 25_000))),
        lip in (length(10, 150), length(0, 60)),
        inches in any::<bool>(),
    ) -> ArtIn {
        let [left, top, right, bottom] = borders;
        let grain = if inches { Length::from_64ths(2) } else { Length::from_nm(500_000) };
        // Every window has a mat.
        let no_mat = matches!(display, Display::Floated { .. } | Display::Whole);
        let reveals = if reveals.is_empty() && !no_mat { vec![Length::ZERO] } else { reveals };
        ArtIn {
            art,
            image: (art.0 - less.0, art.1 - less.1),
            display,
            reveals,
            fillet,
            borders: Borders { left, top, right, bottom },
            weighting,
            given,
            lip: Lip { rabbet: lip.0, allowance: lip.1 },
            grain,
        }
    }
}

proptest! {
    /// Borders and opening are the blank, mats nest, art does not fall through, and no
    /// opening is off what the knife is set to.
    #[test]
    fn a_package_is_whole(of in artwork()) {
        let Ok(made) = package(&of) else { return Ok(()) };
        if let Some(given) = of.given {
            prop_assert_eq!(made.size, given);
        }
        if let (Some(borders), Some(outer)) = (made.borders, made.mats.last()) {
            let sums = borders.sums();
            prop_assert_eq!(made.size, (outer.0 + sums.0, outer.1 + sums.1));
            prop_assert!(borders.least().is_positive());
        }
        for pair in made.mats.windows(2) {
            prop_assert!(pair[0].0 <= pair[1].0 && pair[0].1 <= pair[1].1);
        }
        if let Some(opening) = made.opening {
            prop_assert!(opening.0.is_positive() && opening.1.is_positive());
            prop_assert_eq!(opening.0.round_down(of.grain), opening.0);
            let inner = made.mats[0];
            prop_assert!(inner.0 >= opening.0 && inner.1 >= opening.1);
            if !matches!(of.display, Display::Floated { .. }) {
                prop_assert!(opening.0 < of.art.0 && opening.1 < of.art.1);
            }
        }
        if of.display == Display::Whole {
            for (size, art) in [(made.size.0, of.art.0), (made.size.1, of.art.1)] {
                prop_assert!(art <= size && art > of.lip.sight(size));
            }
        }
        if let Some(margin) = made.margin {
            prop_assert!(of.art.0 + margin.0 * 2 <= of.lip.sight(made.size.0));
            prop_assert!(of.art.1 + margin.1 * 2 <= of.lip.sight(made.size.1));
        }
    }

    /// A build-out is enough and no more, to the nanometre; glazing has room to move.
    #[test]
    fn what_is_added_is_enough(thick in length(10, 900), depth in length(10, 900), long in length(100, 25_000), allowance in length(0, 60)) {
        let added = thickness::build_out(thick, depth, Unit::Inch).unwrap_or(Length::ZERO);
        prop_assert!(depth + added >= thickness::wanted(thick, Unit::Inch));
        let cut = undersize(long, allowance, Growth::ACRYLIC, Unit::Millimetre);
        prop_assert!(allowance + cut > movement(long, Growth::ACRYLIC, INDOORS));
    }

    /// Acrylic lies in its package, and has room to move or says that it has not; unless
    /// it has not, the lip holds it.
    #[test]
    fn acrylic_is_held_and_moves(
        long in length(100, 25_000),
        rabbet in length(10, 150),
        allowance in length(0, 60),
        inches in any::<bool>(),
    ) {
        let unit = if inches { Unit::Inch } else { Unit::Millimetre };
        let lip = Lip { rabbet, allowance };
        let made = cut(long, lip, Growth::ACRYLIC, unit);
        prop_assert!(made <= long);
        prop_assert_eq!(made.round_down(step(unit)), made);
        let moves = movement(long, Growth::ACRYLIC, INDOORS);
        match tight((long, made), lip, Growth::ACRYLIC) {
            None => prop_assert!(long + allowance - made > moves),
            Some((moves, room)) => prop_assert!(moves > room),
        }
        // Its edge never shows where a package's own would not.
        prop_assert!(made > lip.sight(long) || long.round_down(step(unit)) == made);
    }

    /// More weight, or a flatter wire, never asks for less.
    #[test]
    fn more_weight_never_gives_a_weaker_wire(
        grams in 1_i64..200_000,
        more in 0_i64..50_000,
        run in length(100, 10_000),
        rise in length(10, 5_000),
        higher in length(0, 1_000),
        factor in 2_u32..8,
    ) {
        let (light, heavy) = (Weight::from_g(grams), Weight::from_g(grams + more));
        let (flat, steep) = (WireLeg { run, rise }, WireLeg { run, rise: rise + higher });
        for kind in [WireKind::Braided, WireKind::Coated, WireKind::Cord] {
            let breaks = |leg: WireLeg, weight| must_break_at(kind, weight, leg.tension(weight));
            prop_assert!(breaks(flat, light) <= breaks(flat, heavy));
            prop_assert!(breaks(steep, light) <= breaks(flat, light));
        }
        prop_assert!(must_be_rated(light, 2, factor) <= must_be_rated(heavy, 2, factor));
        prop_assert!(must_be_rated(light, 2, factor) <= must_be_rated(light, 1, factor));
        // A leg is the third side of its triangle, up.
        let length = i128::from(flat.length().nm());
        let square = i128::from(run.nm()).pow(2) + i128::from(rise.nm()).pow(2);
        prop_assert!(length.pow(2) >= square && (length - 1).pow(2) < square);
        prop_assert!(flat.tension(light).half() <= flat.tension(light));
        prop_assert!(flat.tension(light) * 2 >= light);
    }
}
