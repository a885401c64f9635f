//! Corners, glue and rails that bend. Sources as in `package.rs`.

use jiff::civil::date;
use longpoint::job::joining::{
    diagonals_may_differ, gape, glue, lean, may_be_loaded, nail, out_of_square,
};
use longpoint::job::stiffness::{MOST_BOW, RailSection, bow, sag, sags};
use longpoint::measure::{Length, Unit};

use crate::hang::leg as hang_leg;
use crate::size::{inch, inches, kg, mm, shows};

/// J1: a supplier's rule of three quarters, another's printed sizes.
#[test]
fn a_v_nail_is_three_quarters_of_the_height() {
    for (height, size) in [("10", "7"), ("14", "10"), ("16", "12"), ("20", "15")] {
        assert_eq!(nail(mm(height), Unit::Millimetre), Some(mm(size)), "{height}");
    }
    assert_eq!(nail(mm("9"), Unit::Millimetre), None);
    // Three quarters of it, but too near the face.
    assert_eq!(nail(mm("9.5"), Unit::Millimetre), None);
    assert_eq!(nail(inch("11/32"), Unit::Inch), None);
    assert_eq!(nail(inch("3/8"), Unit::Inch), Some(inch("1/4")));
    assert_eq!(nail(inch("3/4"), Unit::Inch), Some(inch("1/2")));
}

/// J2, J3 and J4, computed.
#[test]
fn out_of_true() {
    let sixteenth = inch("1/16");
    shows(out_of_square(inches("16", "20"), sixteenth), "0.0500", Unit::Inch);
    shows(out_of_square(inches("24", "36"), sixteenth), "0.0563", Unit::Inch);
    for size in [inches("8", "10"), inches("16", "20"), inches("24", "36")] {
        let most = diagonals_may_differ(size, inch("1/8"));
        assert!(most > inch("0.068") && most < inch("0.079"), "{}", most.nm());
        assert!(out_of_square(size, most) <= sixteenth + Length::from_nm(2));
    }
    shows(gape(inch("2")), "0.0395", Unit::Inch);
    let thousandths = lean(inch("1/32"), inch("16"));
    assert!((thousandths - 112).abs() <= 1, "{thousandths}");
}

/// J5 and J6, computed; an own estimate. A lower rail 36 in long of pine 3/4 x 3/4 under
/// 4.6 kg; one 1 1/4 wide; a side rail of 24 in under 6 kg.
#[test]
fn rails_bend() {
    let pine = |width: &str| RailSection { width: inch(width), height: inch("3/4"), modulus: 90 };
    let rail = inch("36");
    let thin = sag(rail, kg("4.6 kg"), pine("3/4"));
    shows(thin, "4.55", Unit::Millimetre);
    assert!(sags(rail, thin), "{} of {}", thin.nm(), rail.nm());
    // How many times the sag the length is, to the nearest; a sag is shown up to the micrometre.
    let over = |sag: Length| (2 * rail.nm() / (sag.nm() - 1000) + 1) / 2;
    assert_eq!(over(thin), 201);
    let wide = sag(rail, kg("4.6 kg"), pine("1 1/4"));
    shows(wide, "0.98", Unit::Millimetre);
    assert_eq!(over(wide), 931);
    assert!(!sags(rail, wide));
    for (degrees, printed) in [(15, "4.15"), (30, "1.92"), (60, "0.64")] {
        let pull = hang_leg(degrees).inward(kg("6 kg"));
        let bowed = bow(inch("24"), pull, pine("3/4"));
        shows(bowed, printed, Unit::Millimetre);
        assert_eq!(bowed > MOST_BOW, degrees < 60);
    }
}

/// J7: a maker's guide to gluing.
#[test]
fn glue_sets() {
    let day = date(2026, 11, 25);
    let at = |hour, minute| day.at(hour, minute, 0, 0);
    let next = date(2026, 11, 26).at(10, 0, 0, 0);
    assert_eq!(glue(at(10, 0), 24), [at(10, 30), at(11, 0), next]);
    assert_eq!(may_be_loaded(day, 24), date(2026, 11, 26));
    assert_eq!(may_be_loaded(day, 0), day);
}
