//! Rails against published and computed values, each with its source.
//!
//! The rule for rails is that of a workshop tip in Fine Woodworking no. 275,
//! "Find the length of any picture-frame molding" (size + easing + twice the
//! distance from rabbet to back), and of a hardwood-moulding supplier's guide,
//! vermonthardwoods.com, "How much picture frame moulding" (one rail =
//! 2(W - r) + A + D). "Computed" means worked out by hand from that rule.

mod support;

use longpoint::measure::{Length, Mitre};
use longpoint::rails::{LayerRails, Rail, Side, frame_rails};
use longpoint::shop::{Kind, Shop};
use proptest::prelude::*;
use support::{frame, inches, layer, mm, moulding, shop};

const FINEST: Length = Length::from_nm(1);

/// A shop with one moulding P, and allowance as given.
fn with(width: Length, rabbet: Length, allowance: Length, mark: Length) -> Shop {
    let mut shop = shop();
    shop.settings.mark = mark;
    shop.settings.allowance = allowance;
    moulding(&mut shop, "P", width, rabbet, inches("96"));
    shop
}

fn layers(shop: &Shop) -> Vec<LayerRails> {
    frame_rails(shop, shop.frames.last().unwrap())
}

/// The rails of a four-sided frame in inches: size, W, r, A.
fn in_inches(size: [&str; 2], profile: [&str; 2], allowance: &str) -> Vec<Rail> {
    let [width, rabbet] = profile.map(inches);
    let mut shop = with(width, rabbet, inches(allowance), inches("1/32"));
    frame(&mut shop, "1", "P", inches(size[0]), inches(size[1]));
    layers(&shop).remove(0).rails
}

/// The rails of a four-sided frame in whole millimetres: size, W, r, A.
fn in_mm(size: [i64; 2], [width, rabbet]: [i64; 2], allowance: i64) -> Vec<Rail> {
    let long = Length::from_mm;
    let mut shop = with(long(width), long(rabbet), long(allowance), mm("0.5"));
    frame(&mut shop, "1", "P", long(size[0]), long(size[1]));
    layers(&shop).remove(0).rails
}

/// One side of a regular polygon before it is rounded to the bench mark.
fn polygon(sides: u8, size: Length, profile: [Length; 2], allowance: Length) -> Vec<Rail> {
    let mut shop = with(profile[0], profile[1], allowance, FINEST);
    frame(&mut shop, "1", "P", size, size).mitre = Mitre::new(sides).unwrap();
    layers(&shop).remove(0).rails
}

fn total(rails: &[Rail]) -> Length {
    rails.iter().map(|rail| rail.long_point).sum()
}

/// The top (shorter) and left (longer) long points, and the whole.
#[track_caller]
fn check(rails: &[Rail], top: Length, left: Length, whole: Length) {
    let sides: Vec<Side> = rails.iter().map(|rail| rail.side).collect();
    assert_eq!(sides, [Side::Left, Side::Top, Side::Right, Side::Bottom]);
    let long: Vec<Length> = rails.iter().map(|rail| rail.long_point).collect();
    assert_eq!(long, [left, top, left, top]);
    assert_eq!(total(rails), whole);
}

#[track_caller]
fn check_inches(rails: &[Rail], top: &str, left: &str, whole: &str) {
    check(rails, inches(top), inches(left), inches(whole));
}

/// Decimals as printed, to the last of their places.
#[track_caller]
fn near(length: Length, unit: i64, printed: f64, places: i32) {
    let value = length.nm() as f64 / unit as f64;
    assert!((value - printed).abs() <= 0.5001 * 10_f64.powi(-places), "{value}, not {printed}");
}

const INCH: i64 = 25_400_000;
const MM: i64 = 1_000_000;

/// R1, computed. A warning case: woodmagazine.com, "Making the perfect frame",
/// prints 52 1/4 for these four rails, having added the allowance once for
/// each dimension where each of the four rails needs it.
#[test]
fn r1_the_allowance_is_in_every_rail() {
    let rails = in_inches(["8", "10"], ["2 3/8", "3/8"], "1/8");
    check_inches(&rails, "12 1/8", "14 1/8", "52 1/2");
    assert_eq!(total(&rails) - inches("1/8") * 2, inches("52 1/4"));
}

/// R2, computed.
#[test]
fn r2() {
    let rails = in_inches(["16", "20"], ["2", "1/4"], "1/8");
    check_inches(&rails, "19 5/8", "23 5/8", "86 1/2");
    assert_eq!((rails[1].sight, rails[0].sight), (inches("15 5/8"), inches("19 5/8")));
}

/// R3: framing4yourself.com, "How to select the right length of moulding",
/// prints 88 1/4 in and 7.35 ft.
#[test]
fn r3() {
    let rails = in_inches(["16", "20"], ["2", "0"], "1/16");
    check_inches(&rails, "20 1/16", "24 1/16", "88 1/4");
    near(total(&rails), 12 * INCH, 7.354, 3);
}

/// R4, computed; 10.375 ft.
#[test]
fn r4() {
    let rails = in_inches(["24", "36"], ["3/4", "1/4"], "1/8");
    check_inches(&rails, "25 1/8", "37 1/8", "124 1/2");
    near(total(&rails), 12 * INCH, 10.375, 3);
}

/// R5, computed; less than the 4 ft that decormoulding.com's policies name as
/// the least that a chop is billed for.
#[test]
fn r5() {
    let rails = in_inches(["5", "7"], ["3/4", "1/4"], "1/8");
    check_inches(&rails, "6 1/8", "8 1/8", "28 1/2");
    assert!(total(&rails) < inches("48"));
}

/// R6, computed.
#[test]
fn r6() {
    let rails = in_inches(["11", "14"], ["1 1/4", "1/4"], "1/8");
    check_inches(&rails, "13 1/8", "16 1/8", "58 1/2");
}

/// R7, computed.
#[test]
fn r7() {
    let rails = in_inches(["18", "24"], ["1 1/2", "5/16"], "1/8");
    check_inches(&rails, "20 1/2", "26 1/2", "94");
}

/// R8, computed.
#[test]
fn r8() {
    let rails = in_inches(["30", "40"], ["4", "3/8"], "1/4");
    check_inches(&rails, "37 1/2", "47 1/2", "170");
}

/// R9: wtfwoodworking.com, "Simple rabbeted miter frame measurements", prints
/// 8.5. A warning case: its formula takes off the rabbet's depth as well as its
/// width, which is right only where they are equal, as in its example. The
/// depth plays no part in a rail.
#[test]
fn r9_the_depth_of_the_rabbet_plays_no_part() {
    let rails = in_inches(["5", "5"], ["2", "1/4"], "0");
    check_inches(&rails, "8 1/2", "8 1/2", "34");
    let as_printed = |depth| inches("5") + inches("2") * 2 - inches("1/4") - inches(depth);
    assert_eq!(as_printed("1/4"), inches("8 1/2"));
    assert_eq!(as_printed("1/2"), inches("8 1/4"), "too short for a deeper rabbet");
    let mut shop = with(inches("2"), inches("1/4"), inches("0"), inches("1/32"));
    shop.mouldings.get_mut("P").unwrap().depth = Some(inches("1/2"));
    frame(&mut shop, "1", "P", inches("5"), inches("5"));
    assert_eq!(layers(&shop)[0].rails, rails);
}

/// R10, computed; A3 from ISO 216.
#[test]
fn r10() {
    let rails = in_mm([297, 420], [20, 5], 2);
    check(&rails, mm("329"), mm("452"), mm("1562"));
    assert_eq!((rails[1].sight, rails[0].sight), (mm("289"), mm("412")));
}

/// R11, computed; A2 from ISO 216.
#[test]
fn r11() {
    let rails = in_mm([420, 594], [30, 6], 3);
    check(&rails, mm("471"), mm("645"), mm("2232"));
    assert_eq!((rails[1].sight, rails[0].sight), (mm("411"), mm("585")));
}

/// R12: ashcraftframing.co.uk, moulding by length, prints 1956.
#[test]
fn r12() {
    check(&in_mm([305, 407], [66, 0], 1), mm("438"), mm("540"), mm("1956"));
}

/// R14: rinaldin.ru, chop service, prints 1.64 m.
#[test]
fn r14() {
    check(&in_mm([300, 400], [30, 0], 0), mm("360"), mm("460"), mm("1640"));
}

/// R15, a framers' forum's worked case, and R16, computed: the outside of the
/// inner layer is the size of the outer one.
#[test]
fn r15_and_r16_a_stack() {
    let mut shop = with(inches("2"), inches("1/4"), inches("0"), inches("1/32"));
    moulding(&mut shop, "Q", inches("3"), inches("1/2"), inches("96"));
    let stack = frame(&mut shop, "1", "P", inches("16"), inches("20"));
    stack.layers.push(layer("Q"));
    stack.layers[1].allowance = Some(inches("1/8"));
    let layers = layers(&shop);
    check_inches(&layers[0].rails, "19 1/2", "23 1/2", "86");
    check_inches(&layers[1].rails, "24 5/8", "28 5/8", "106 1/2");
}

/// R17, computed: a hexagon 12 in across flats.
#[test]
fn r17_hexagon() {
    let profile = [inches("1 1/2"), inches("1/4")];
    let rails = polygon(6, inches("12"), profile, inches("1/8"));
    near(rails[0].long_point, INCH, 8.4437, 4);
    near(rails[0].rabbet, INCH, 7.0004, 4);
    near(rails[0].sight, INCH, 6.7117, 4);
    near(total(&rails), INCH, 50.6625, 3);
}

/// R18, computed: an octagon of the same.
#[test]
fn r18_octagon() {
    let profile = [inches("1 1/2"), inches("1/4")];
    let rails = polygon(8, inches("12"), profile, inches("1/8"));
    near(rails[0].long_point, INCH, 6.0579, 4);
    near(rails[0].rabbet, INCH, 5.0223, 4);
    near(rails[0].sight, INCH, 4.8152, 4);
    near(total(&rails), INCH, 48.463, 3);
}

/// R19, computed: an octagon 300 mm across flats.
#[test]
fn r19_octagon() {
    let rails = polygon(8, mm("300"), [mm("30"), mm("6")], mm("3"));
    near(rails[0].long_point, MM, 145.389, 3);
    near(rails[0].rabbet, MM, 125.507, 3);
    near(rails[0].sight, MM, 120.536, 3);
}

/// R20, computed: a hexagon of the same.
#[test]
fn r20_hexagon() {
    let rails = polygon(6, mm("300"), [mm("30"), mm("6")], mm("3"));
    near(rails[0].long_point, MM, 202.650, 3);
    near(rails[0].rabbet, MM, 174.937, 3);
    near(rails[0].sight, MM, 168.009, 3);
}

/// R21, computed.
#[test]
fn r21_pentagon() {
    let rails = polygon(5, inches("10"), [inches("1"), inches("1/4")], inches("1/8"));
    near(rails[0].long_point, INCH, 8.4461, 4);
    near(rails[0].rabbet, INCH, 7.3562, 4);
    near(rails[0].sight, INCH, 6.9930, 4);
}

/// R22, computed.
#[test]
fn r22_twelve_sides() {
    let rails = polygon(12, inches("24"), [inches("2"), inches("1/4")], inches("1/8"));
    near(rails[0].long_point, INCH, 7.4021, 4);
    near(rails[0].rabbet, INCH, 6.4643, 4);
    near(rails[0].sight, INCH, 6.3303, 4);
}

/// R24, computed: a floater takes no allowance but a gap on every side.
#[test]
fn r24_floater() {
    let mut shop = with(inches("3/8"), inches("0"), inches("1/8"), inches("1/32"));
    shop.mouldings.get_mut("P").unwrap().kind = Kind::Floater;
    frame(&mut shop, "1", "P", inches("16"), inches("20")).layers[0].gap = inches("1/8");
    let rails = layers(&shop).remove(0).rails;
    check_inches(&rails, "17", "21", "76");
    assert_eq!((rails[1].rabbet, rails[0].rabbet), (inches("16 1/4"), inches("20 1/4")));
}

/// The strips of a build-out as wide as `strip`, behind a moulding of this profile.
fn strips(size: [&str; 2], profile: [&str; 2], strip: &str) -> LayerRails {
    let [width, rabbet] = profile.map(inches);
    let mut shop = with(width, rabbet, inches("1/8"), inches("1/32"));
    let built = moulding(&mut shop, "B", inches(strip), Length::ZERO, inches("96"));
    built.kind = Kind::BuildOut;
    let frame = frame(&mut shop, "1", "P", inches(size[0]), inches(size[1]));
    frame.layers.extend([layer("B"), layer("P")]);
    let mut all = layers(&shop);
    // What follows lies round the frame, as if nothing were built out.
    let plain = in_inches(size, profile, "1/8");
    assert_eq!(
        all[2].rails[1].long_point,
        plain[1].long_point + inches("1/8") + (width - rabbet) * 2
    );
    all.remove(1)
}

/// Computed: the frame of R2, whose rabbets are 16 1/8 and 20 1/8 in apart. Strips as wide as
/// its back end where it ends, 19 5/8 in; narrower ones reach as far as they are wide.
#[test]
fn a_build_out_is_cut_square_and_lies_round_the_rabbet() {
    for (strip, top) in [("1 3/4", "19 5/8"), ("3/4", "17 5/8")] {
        let built = strips(["16", "20"], ["2", "1/4"], strip);
        assert_eq!((built.mitre, built.mitre.degrees()), (Mitre::BUTT, "0".to_owned()));
        let whole = (inches(top) + inches("20 1/8")) * 2;
        check(&built.rails, inches(top), inches("20 1/8"), whole);
        let ends = |rail: &Rail| rail.rabbet == rail.long_point && rail.sight == rail.long_point;
        assert!(built.rails.iter().all(ends), "a square end is as long on every edge");
    }
}

/// routerforums.com, a worked example: an octagon round a 2 in circle has sides
/// of .828427 in. Here its back edges are 2 in apart.
#[test]
fn an_octagon_round_a_circle() {
    let profile = [inches("1/4"), inches("1/4")];
    let rails = polygon(8, inches("2"), profile, Length::ZERO);
    near(rails[0].long_point, INCH, 0.828427, 6);
}

/// Handbook trigonometry, as printed by wonderfulwoodworking.com, "Figure out
/// uncommon angles": the long side is across flats x tan(180/n).
#[test]
fn polygon_facts() {
    let printed = [
        (4, 1.0),
        (5, 0.726543),
        (6, 0.577350),
        (7, 0.481575),
        (8, 0.414214),
        (9, 0.363970),
        (10, 0.324920),
        (12, 0.267949),
    ];
    for (sides, tan) in printed {
        let rails = polygon(sides, mm("900"), [mm("50"), mm("0")], Length::ZERO);
        assert_eq!(rails.len(), usize::from(sides));
        near(rails[0].long_point, 1000 * MM, tan, 6);
        assert!(rails.iter().all(|rail| rail.long_point == rails[0].long_point));
    }
}

/// ISO 216: the sizes A0 to A5 in millimetres. Each is half of the one before,
/// rounded down; the opening at the rabbet is the size itself with no allowance.
#[test]
fn iso_216_sizes() {
    let sizes = [(841, 1189), (594, 841), (420, 594), (297, 420), (210, 297), (148, 210)];
    for pair in sizes.windows(2) {
        assert_eq!(pair[1], (pair[0].1 / 2, pair[0].0));
    }
    for (width, height) in sizes {
        let rails = in_mm([width, height], [25, 7], 0);
        assert_eq!(rails[1].rabbet, Length::from_mm(width));
        assert_eq!(rails[0].rabbet, Length::from_mm(height));
        assert_eq!(rails[0].long_point, Length::from_mm(height + 36));
    }
}

/// Common practice, no source: perimeter and eight face widths. It leaves out
/// the rabbet, and so over-counts by eight of it.
#[test]
fn the_footage_rule_of_thumb_over_counts_by_eight_rabbets() {
    for [w, h, width, rabbet] in [["16", "20", "2", "1/4"], ["5", "7", "3/4", "3/8"]] {
        let rails = in_inches([w, h], [width, rabbet], "0");
        let thumb = (inches(w) + inches(h)) * 2 + inches(width) * 8;
        assert_eq!(thumb - total(&rails), inches(rabbet) * 8);
    }
}

/// Long points round up to the bench mark, and the opening grows with them.
#[test]
fn long_points_round_up_to_the_mark() {
    let mut shop = with(mm("20.3"), mm("5"), Length::ZERO, mm("0.5"));
    frame(&mut shop, "1", "P", mm("100.1"), mm("200"));
    let rails = layers(&shop).remove(0).rails;
    assert_eq!(rails[1].long_point, mm("131"), "130.7 as computed");
    assert_eq!(rails[1].rabbet, mm("100.4"));
    assert_eq!(rails[0].long_point, mm("231"), "230.6 as computed");
}

/// A frame of one to three layers of the same profile, in 64ths of an inch.
#[derive(Debug, Clone)]
struct Any {
    size: [i64; 2],
    width: i64,
    rabbet: i64,
    allowance: i64,
    mark: i64,
    sides: u8,
    layers: usize,
}

fn any() -> impl Strategy<Value = Any> {
    let size = [64..4000_i64, 64..4000];
    (size, 8..400_i64, 0..64_i64, 0..32_i64, 1..8_i64, 3..=16_u8, 1..=3_usize).prop_map(
        |(size, width, rabbet, allowance, mark, sides, layers)| Any {
            size,
            width,
            rabbet: rabbet.min(width - 1),
            allowance,
            mark,
            sides,
            layers,
        },
    )
}

fn rails_of(any: &Any) -> (Shop, Vec<LayerRails>) {
    let long = Length::from_64ths;
    let mut shop = with(long(any.width), long(any.rabbet), long(any.allowance), long(any.mark));
    let [width, height] = any.size.map(long);
    let square = any.sides == 4;
    let frame = frame(&mut shop, "1", "P", width, if square { height } else { width });
    frame.mitre = Mitre::new(any.sides).unwrap();
    frame.layers = vec![layer("P"); any.layers];
    let rails = layers(&shop);
    (shop, rails)
}

proptest! {
    #[test]
    fn opposite_rails_are_equal(any in any()) {
        for LayerRails { rails, .. } in rails_of(&any).1 {
            let half = rails.len() / 2;
            if rails.len() % 2 == 0 {
                for (one, other) in rails[..half].iter().zip(&rails[half..]) {
                    prop_assert_eq!(one.long_point, other.long_point);
                    prop_assert_eq!((one.rabbet, one.sight), (other.rabbet, other.sight));
                }
            }
        }
    }

    /// Both mitres take W tan(180/n) off the sight edge.
    #[test]
    fn the_short_point_is_two_mitres_shorter(any in any()) {
        let tan = (std::f64::consts::PI / f64::from(any.sides)).tan();
        let off = 2.0 * Length::from_64ths(any.width).nm() as f64 * tan;
        for rail in rails_of(&any).1.iter().flat_map(|layer| &layer.rails) {
            let found = (rail.long_point - rail.sight).nm() as f64;
            prop_assert!((found - off).abs() <= 1.0, "{} {}", found, off);
            prop_assert_eq!(rail.long_point.nm() % Length::from_64ths(any.mark).nm(), 0);
        }
    }

    /// The opening at the rabbet is never less than the package with its
    /// allowance, and by less than a mark more.
    #[test]
    fn the_package_drops_in(any in any()) {
        let (shop, layers) = rails_of(&any);
        let frame = &shop.frames[0];
        for rail in &layers[0].rails {
            let size = match rail.side {
                Side::Left | Side::Right => frame.height,
                _ => frame.width,
            };
            let needed = frame.mitre.tan_up(size + shop.settings.allowance);
            prop_assert!(rail.rabbet >= needed);
            prop_assert!(rail.rabbet < needed + shop.settings.mark + FINEST * 2);
        }
    }

    /// The package passes between the strips of a build-out, which are nowhere seen from the
    /// side, and what lies round the frame is as without them.
    #[test]
    fn build_outs_let_the_package_pass_and_do_not_show(any in any(), share in 1..=8_i64) {
        let (mut shop, plain) = rails_of(&Any { sides: 4, ..any.clone() });
        let back = Length::from_64ths(any.width - any.rabbet);
        let strip = Length::from_nm((back.nm() * share / 8).max(1));
        moulding(&mut shop, "B", strip, Length::ZERO, inches("96")).kind = Kind::BuildOut;
        for place in (1..=any.layers).rev() {
            shop.frames[0].layers.insert(place, layer("B"));
        }
        let built = layers(&shop);
        for (at, plain) in plain.iter().enumerate() {
            let (round, strips) = (&built[2 * at], &built[2 * at + 1]);
            prop_assert_eq!(&round.rails, &plain.rails);
            let [left, top] = [0, 1].map(|side| strips.rails[side].long_point);
            prop_assert!(left >= plain.rails[0].rabbet && top - strip * 2 >= plain.rails[1].rabbet);
            prop_assert!(left <= plain.rails[0].long_point && top <= plain.rails[1].long_point);
            let standing = [&strips.rails[2], &strips.rails[3]].map(|rail| rail.long_point);
            prop_assert_eq!(standing, [left, top]);
        }
    }

    /// Each layer drops into the next with its allowance.
    #[test]
    fn stacks_nest(any in any()) {
        let (shop, layers) = rails_of(&any);
        let mitre = shop.frames[0].mitre;
        for pair in layers.windows(2) {
            for (inner, outer) in pair[0].rails.iter().zip(&pair[1].rails) {
                let room = outer.rabbet - inner.long_point;
                prop_assert!(room >= mitre.tan_down(shop.settings.allowance));
            }
        }
    }
}
