//! Wires, hooks, hangers and screws. Sources as in `package.rs`.

use longpoint::job::hanging::{
    WireKind, WireLeg, hangers_down, most_rise, must_be_rated, must_break_at, rise_at_30,
    rise_at_60, run, wire_length,
};
use longpoint::job::stiffness::holds;
use longpoint::measure::{Length, Unit, Weight};

use crate::folder::sheet;
use crate::size::{factor, inch, kg, shows};

/// The rise of a leg of 1000 mm at an angle: its tangent, from a table of tangents.
pub fn leg(degrees: u32) -> WireLeg {
    let tangent = match degrees {
        10 => 176_326_981,
        15 => 267_949_192,
        20 => 363_970_234,
        30 => 577_350_269,
        45 => 1_000_000_000,
        _ => 1_732_050_808,
    };
    WireLeg { run: Length::from_mm(1000), rise: Length::from_nm(tangent) }
}

/// H1 and H2, computed.
#[test]
fn a_flat_wire_pulls_hard() {
    let weight = kg("10 kg");
    for (degrees, tension, inward) in [
        (10, 2879, 2836),
        (15, 1932, 1866),
        (20, 1462, 1374),
        (30, 1000, 866),
        (45, 707, 500),
        (60, 577, 289),
    ] {
        factor(leg(degrees).tension(weight), weight, tension);
        factor(leg(degrees).inward(weight), weight, inward);
        assert!(leg(degrees).tenths_of_degree().abs_diff(degrees * 10) <= 1);
    }
    assert!(leg(20).is_flat() && !leg(45).is_flat());
}

/// H3: a supplier's printed table of cords, 20 to 25 % of what they break at, rounded.
#[test]
fn a_cord_carries_a_fifth_of_what_it_breaks_at() {
    for (breaks, from, to) in
        [(89_i64, 18, 22), (150, 30, 38), (184, 37, 46), (209, 42, 52), (337, 67, 84)]
    {
        // A fifth, rounded as printed, is the lower end of the table; a quarter the upper.
        assert_eq!((2 * breaks + 5) / 10, from);
        assert!((breaks - to * 4).abs() <= 2);
        let carries = |load: i64| {
            let load = Weight::from_g(load * 100);
            must_break_at(WireKind::Cord, load, Weight::ZERO) <= Weight::from_g(breaks * 1000)
        };
        assert!(carries(breaks * 2) && !carries(breaks * 2 + 1));
    }
}

/// H4: a trade author's printed factors. H5: the most that a wire may carry which breaks at
/// 68 pounds is 68/4 = 17 braided and 68/3 = 22.7 coated, computed; its maker prints 16 and
/// 20, so makers round down, and neither figure may be taken for the other.
#[test]
fn a_wire_breaks_at_three_or_four_times_the_weight() {
    let ten = kg("10 lb");
    assert_eq!(must_break_at(WireKind::Coated, ten, Weight::ZERO), kg("30 lb"));
    assert_eq!(must_break_at(WireKind::Braided, ten, Weight::ZERO), kg("40 lb"));
    // The pull counts where it is more than the weight.
    assert_eq!(must_break_at(WireKind::Braided, ten, kg("12 lb")), kg("48 lb"));
    for (kind, printed, tenths) in [(WireKind::Braided, 16, 170), (WireKind::Coated, 20, 226)] {
        let holds = |tenths: i64| {
            let load = Weight::from_ug(tenths * 45_359_237);
            must_break_at(kind, load, Weight::ZERO) <= kg("68 lb")
        };
        let most = (0..1000).take_while(|tenths| holds(*tenths)).last();
        assert_eq!(most, Some(tenths), "{kind:?}");
        assert!(printed * 10 < tenths);
    }
}

/// H6: the same author, printed: two hooks of 50 pounds for 25; one of 10 carries 2 1/2,
/// two carry 5.
#[test]
fn a_hook_is_rated_for_four_times_its_share() {
    assert_eq!(must_be_rated(kg("25 lb"), 2, 4), kg("50 lb"));
    assert_eq!(must_be_rated(kg("2.5 lb"), 1, 4), kg("10 lb"));
    assert_eq!(must_be_rated(kg("5 lb"), 2, 4), kg("10 lb"));
}

/// H7: computed; the trade's rule of one and a half widths gives 30 for a frame of 20, which is
/// enough at 30 degrees and too little at 60: a warning case, so the wire is worked out.
#[test]
fn how_much_wire_is_cut() {
    let run = run(inch("16"), inch("20"), 1);
    let leg = WireLeg { run, rise: rise_at_30(run) };
    shows(leg.rise, "4.619", Unit::Inch);
    shows(leg.length() * 2, "18.475", Unit::Inch);
    shows(wire_length(leg, Length::ZERO), "28.5", Unit::Inch);
    assert!(!leg.is_flat());
    let by_rule = Length::from_nm(inch("20").nm() * 3 / 2);
    assert_eq!(by_rule, inch("30"));
    let steep = WireLeg { run, rise: rise_at_60(run) };
    let cut = [leg, steep].map(|leg| wire_length(leg, Length::ZERO));
    assert!(cut[0] <= by_rule && by_rule < cut[1], "{cut:?}");
    shows(cut[1], "42.0", Unit::Inch);
    assert_eq!(steep.tenths_of_degree() / 10, 60);
}

/// H8 and H9, computed: hangers a third down and an inch in, the hook hidden by 2 in. The
/// first, 40 wide and 20 high, is a case for straps: even two hooks leave it flat.
#[test]
fn wide_frames_hang_flat() {
    let leg = |width: &str, height: &str, hooks| {
        let rise = most_rise(hangers_down(inch(height)));
        WireLeg { run: run(inch(width) - inch("2"), inch(width), hooks), rise }
    };
    let weight = kg("10 kg");
    for (width, height, hooks, tenths, tension) in [
        ("40", "20", 1, 138, 2096),
        ("40", "20", 2, 207, 1413),
        ("18", "22", 1, 336, 901),
        ("24", "36", 1, 422, 743),
        ("36", "24", 1, 194, 1502),
        ("48", "36", 1, 235, 1254),
    ] {
        let leg = leg(width, height, hooks);
        assert!(leg.tenths_of_degree().abs_diff(tenths) <= 1, "{width} x {height}: {leg:?}");
        factor(leg.tension(weight), weight, tension);
    }
    assert!(leg("40", "20", 2).is_flat() && !leg("24", "36", 1).is_flat());
}

/// H10: two pages, a third and a quarter down of 24.
#[test]
fn hangers_stand_a_third_down() {
    assert_eq!(hangers_down(inch("24")), inch("8"));
    // A job 24 high outside: 23 and an eighth in a frame of 1/2 beyond its rabbet less 1/8.
    let (_, hung) = sheet("1,,PINE,,,,,,\n", "1,none,10,22 7/8,,,,,,,,,,,,,,,,,straps,,\n");
    assert_eq!((hung.outside.1, hung.hanging.down), (inch("24"), inch("8")));
    // The page that says a quarter would have 6.
    assert_ne!(hung.hanging.down, Length::from_nm(inch("24").nm() / 4));
}

/// H11: printed. H12: the same formula, computed.
#[test]
fn what_a_screw_holds() {
    let pounds = |gravity, diameter: &str| holds(gravity, inch(diameter)).ug() / 45_359_237;
    assert_eq!(pounds(450, "0.190") / 10, 109);
    assert_eq!(pounds(370, "0.138"), 538);
}
