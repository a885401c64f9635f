//! The mitre of a frame of n sides, and the lengths that its angle makes.

use super::Length;

/// The mitre of a regular frame: the saw stands 180/n degrees off square. Or none at all,
/// where strips are cut square and put end to side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Mitre {
    /// 0 where the ends are cut square.
    sides: u8,
}

/// What the two tables below are counted in: one is 10^18.
const ONE: i128 = 1_000_000_000_000_000_000;

/// tan(180/n degrees) for n = 3..=16, rounded up to 10^-18 (exact for 4).
///
/// Computed to sixty digits from the Taylor series.
const TAN: [i128; 14] = [
    1_732_050_807_568_877_294,
    1_000_000_000_000_000_000,
    726_542_528_005_360_886,
    577_350_269_189_625_765,
    481_574_618_807_528_645,
    414_213_562_373_095_049,
    363_970_234_266_202_362,
    324_919_696_232_906_327,
    293_626_492_938_366_715,
    267_949_192_431_122_707,
    246_477_863_031_977_512,
    228_243_474_390_149_939,
    212_556_561_670_022_126,
    198_912_367_379_658_007,
];

/// 1/cos(180/n degrees) for n = 3..=16, rounded up to 10^-18 (exact for 3).
const SECANT: [i128; 14] = [
    2_000_000_000_000_000_000,
    1_414_213_562_373_095_049,
    1_236_067_977_499_789_697,
    1_154_700_538_379_251_530,
    1_109_916_264_174_742_383,
    1_082_392_200_292_393_969,
    1_064_177_772_475_912_141,
    1_051_462_224_238_267_213,
    1_042_217_116_226_405_446,
    1_035_276_180_410_083_050,
    1_029_927_830_949_727_403,
    1_025_716_863_272_553_900,
    1_022_340_594_865_029_274,
    1_019_591_158_208_318_338,
];

impl Mitre {
    /// The mitre of the ordinary frame: 45 degrees.
    pub const SQUARE: Mitre = Mitre { sides: 4 };

    /// No mitre: four strips whose ends are cut square, and which meet end to side. Such a
    /// strip is as long on one edge as on the other.
    pub const BUTT: Mitre = Mitre { sides: 0 };

    /// The mitre of a frame of 3 to 16 sides; `None` for any other number.
    pub fn new(sides: u8) -> Option<Mitre> {
        (3..=16).contains(&sides).then_some(Mitre { sides })
    }

    /// How many sides the frame has.
    pub const fn sides(self) -> u8 {
        if self.sides == 0 { 4 } else { self.sides }
    }

    /// The angle off square in millidegrees, to the nearest.
    pub fn millidegrees(self) -> i64 {
        let n = i64::from(self.sides);
        if n == 0 { 0 } else { (180_000 + n / 2) / n }
    }

    /// The angle off square in degrees as a decimal, such as `45` or `25.714`.
    pub fn degrees(self) -> String {
        let thousandths = self.millidegrees();
        let text = format!("{}.{:03}", thousandths / 1000, thousandths % 1000);
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    }

    /// How far a cut runs along the stick for each unit across it: for drawing only.
    pub fn slope(self) -> f64 {
        if self.sides == 0 { 0.0 } else { (std::f64::consts::PI / f64::from(self.sides)).tan() }
    }

    /// `length` x tan(180/n), rounded up to the nanometre.
    ///
    /// ```
    /// use longpoint::measure::{Length, Mitre};
    /// // The side of an octagon two inches across: .828427 in.
    /// let side = Mitre::new(8).unwrap().tan_up(Length::from_64ths(128));
    /// assert_eq!(side, Length::from_nm(21_042_049));
    /// ```
    pub fn tan_up(self, length: Length) -> Length {
        scale_up(length, self.row().map_or(0, |row| TAN[row]))
    }

    /// `length` x tan(180/n), rounded down to the nanometre.
    pub fn tan_down(self, length: Length) -> Length {
        -self.tan_up(-length)
    }

    /// `length` / tan(180/n), rounded up to the nanometre: how far across its
    /// flats a polygon of that side is.
    pub fn over_tan_up(self, length: Length) -> Length {
        let tan = self.row().map_or(ONE, |row| TAN[row]);
        let below = if tan % ONE == 0 { tan } else { tan - 1 };
        let product = i128::from(length.nm()) * ONE;
        let up = product.div_euclid(below) + i128::from(product.rem_euclid(below) > 0);
        Length::from_nm(i64::try_from(up).expect("a length of at most 50 m over at least 0.19"))
    }

    /// `length` / cos(180/n), rounded up to the nanometre: how much of the
    /// stick a kerf of that width takes at this mitre.
    pub fn over_cos_up(self, length: Length) -> Length {
        scale_up(length, self.row().map_or(ONE, |row| SECANT[row]))
    }

    /// Where it stands in the tables; a square end has a tangent of nothing, a secant of one.
    fn row(self) -> Option<usize> {
        usize::from(self.sides).checked_sub(3)
    }
}

/// `length` x `factor` / 10^18, up to the nanometre. `factor` is exact or at
/// most 10^-18 too large, so for lengths up to 50 m the answer is the true one
/// or, when that lies within 5 x 10^-8 nm of a whole number, 1 nm more. For
/// negative lengths the factor's lower neighbour is used, which keeps the
/// direction.
fn scale_up(length: Length, factor: i128) -> Length {
    let exact = factor % ONE == 0;
    let factor = if length.nm() < 0 && !exact { factor - 1 } else { factor };
    let product = i128::from(length.nm()) * factor;
    let up = product.div_euclid(ONE) + i128::from(product.rem_euclid(ONE) > 0);
    Length::from_nm(i64::try_from(up).expect("a length of at most 50 m times at most 2"))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Published saw settings and factors: handbook trigonometry, as printed by
    /// a woodworking site's article on uncommon angles (saw set 180/n off
    /// square, long side = across flats x tan, kerf along the stick = k / cos).
    #[allow(clippy::approx_constant, reason = "the figures as printed, to six places")]
    const HANDBOOK: [(u8, &str, f64, f64); 8] = [
        (4, "45", 1.0, 1.414214),
        (5, "36", 0.726543, 1.236068),
        (6, "30", 0.577350, 1.154701),
        (7, "25.714", 0.481575, 1.109916),
        (8, "22.5", 0.414214, 1.082392),
        (9, "20", 0.363970, 1.064178),
        (10, "18", 0.324920, 1.051462),
        (12, "15", 0.267949, 1.035276),
    ];

    #[test]
    fn the_tables_agree_with_the_handbook() {
        let metre = Length::from_mm(1000);
        for (sides, degrees, tan, secant) in HANDBOOK {
            let mitre = Mitre::new(sides).unwrap();
            assert_eq!(mitre.degrees(), degrees);
            assert!((mitre.tan_up(metre).as_mm() / 1000.0 - tan).abs() < 6e-7, "tan {sides}");
            assert!(
                (mitre.over_cos_up(metre).as_mm() / 1000.0 - secant).abs() < 6e-7,
                "cos {sides}"
            );
        }
    }

    /// tan^2 + 1 = 1/cos^2 (computed), which no slip of a digit would keep.
    #[test]
    fn each_row_of_both_tables_lies_on_the_unit_circle() {
        for row in 0..14 {
            let (tan, secant) = (TAN[row], SECANT[row]);
            let under = (tan - 1) * (tan - 1) + ONE * ONE;
            let over = tan * tan + ONE * ONE;
            assert!((secant - 1) * (secant - 1) <= over && secant * secant >= under, "row {row}");
        }
    }

    #[test]
    fn the_tables_agree_with_floating_point_trigonometry() {
        for sides in 3..=16_u8 {
            let angle = std::f64::consts::PI / f64::from(sides);
            let row = usize::from(sides - 3);
            assert!((TAN[row] as f64 / 1e18 - angle.tan()).abs() < 1e-14);
            assert!((SECANT[row] as f64 / 1e18 - 1.0 / angle.cos()).abs() < 1e-14);
        }
    }

    #[test]
    fn square_mitres_are_exact_and_the_rest_round_outwards() {
        let length = Length::from_nm(1_234_567);
        assert_eq!(Mitre::SQUARE.tan_up(length), length);
        assert_eq!(Mitre::SQUARE.tan_down(length), length);
        let octagon = Mitre::new(8).unwrap();
        assert_eq!(octagon.tan_up(length) - octagon.tan_down(length), Length::from_nm(1));
        assert_eq!(Mitre::new(2), None);
        assert_eq!(Mitre::new(17), None);
    }
}
