//! What a job takes beside moulding: boards, glazing, spacers and fixings, with what is
//! printed on their packets.

use std::fmt;

use crate::job::hanging::WireKind;
use crate::job::movement::Growth;
use crate::measure::{Length, Weight, Worth};

/// One material, as the shop buys it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShopMaterial {
    /// The shop's code for it.
    pub id: String,
    /// What it is called.
    pub name: String,
    /// What it is.
    pub kind: MaterialKind,
    /// How thick it is; of a spacer or a build-out how high.
    pub thick: Option<Length>,
    /// How wide a strip of it is, of a spacer or a build-out.
    pub strip: Option<Length>,
    /// What a square metre of a sheet weighs, a metre of a strip or a wire, or one piece of
    /// anything else.
    pub weight: Option<Weight>,
    /// The sizes in which it is sold.
    pub sheets: Vec<(Length, Length)>,
    /// What it costs.
    pub price: Option<MaterialPrice>,
    /// The load that its packet prints for one of it.
    pub load: Option<Weight>,
    /// What a wire or a cord breaks at.
    pub breaks: Option<Weight>,
    /// The diameter of a hanger's screw.
    pub screw: Option<Length>,
    /// The class of safety that its glass is marked with, if with any.
    pub safety: Option<SafetyClass>,
    /// Who sells it in sheets, by their id, if that is written down.
    pub supplier: Option<String>,
    /// Their own code for it; empty if not known.
    pub code: String,
    /// How a plastic glazing grows with warmth, in parts of a thousand million for each
    /// kelvin.
    pub expansion: Option<i64>,
}

/// Square nanometres in a square metre.
pub const SQUARE_METRE: i128 = 1_000_000_000_000_000_000;
/// Square nanometres in a square foot.
pub const SQUARE_FOOT: i128 = 304_800_000 * 304_800_000;

/// What a material is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum MaterialKind {
    /// Board with a window, in front of the art.
    Mat,
    /// Board behind the art.
    Board,
    /// Glass.
    Glass,
    /// Plastic glazing.
    Acrylic,
    /// A strip between glazing and art.
    Spacer,
    /// A strip behind the frame that makes its rabbet deeper.
    BuildOut,
    /// A ring or a plate that a wire is tied to.
    Hanger,
    /// A hanger that hangs on its hook directly.
    Strap,
    /// Wire or cord.
    Wire(WireKind),
    /// What is fixed to the wall.
    Hook,
    /// Two bars that hang in one another.
    Cleat,
}

/// How a pane breaks without hurting whoever is under it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SafetyClass {
    /// Two panes with a film between them that holds the pieces.
    Laminated,
    /// Toughened, so that it breaks into crumbs.
    Toughened,
    /// With a safety film on it that holds the pieces.
    Filmed,
    /// Not glass at all.
    Acrylic,
}

/// A price of a material.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MaterialPrice {
    /// What one `per` costs, to a thousandth of a minor unit.
    pub amount: Worth,
    /// What the amount buys.
    pub per: MaterialPer,
}

/// What a price of a material is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MaterialPer {
    /// One sheet of the first size.
    Sheet,
    /// A square metre.
    SquareMetre,
    /// A square foot.
    SquareFoot,
    /// A metre.
    Metre,
    /// A foot.
    Foot,
    /// One of it.
    Piece,
}

impl MaterialKind {
    /// Every kind, under its word.
    pub const ALL: [MaterialKind; 13] = [
        MaterialKind::Mat,
        MaterialKind::Board,
        MaterialKind::Glass,
        MaterialKind::Acrylic,
        MaterialKind::Spacer,
        MaterialKind::BuildOut,
        MaterialKind::Hanger,
        MaterialKind::Strap,
        MaterialKind::Wire(WireKind::Braided),
        MaterialKind::Wire(WireKind::Coated),
        MaterialKind::Wire(WireKind::Cord),
        MaterialKind::Hook,
        MaterialKind::Cleat,
    ];

    /// The word used in files and on sheets.
    pub const fn word(self) -> &'static str {
        match self {
            MaterialKind::Mat => "mat",
            MaterialKind::Board => "board",
            MaterialKind::Glass => "glass",
            MaterialKind::Acrylic => "acrylic",
            MaterialKind::Spacer => "spacer",
            MaterialKind::BuildOut => "build-out",
            MaterialKind::Hanger => "hanger",
            MaterialKind::Strap => "strap",
            MaterialKind::Wire(WireKind::Braided) => "wire",
            MaterialKind::Wire(WireKind::Coated) => "coated wire",
            MaterialKind::Wire(WireKind::Cord) => "cord",
            MaterialKind::Hook => "hook",
            MaterialKind::Cleat => "cleat",
        }
    }

    /// How thick it usually is, for the depth of a package alone: picture glass 2 mm, acrylic
    /// 3, a mat 1.5 (framers' and suppliers' pages). Boards are of too many kinds.
    pub const fn usual_thick(self) -> Option<Length> {
        match self {
            MaterialKind::Glass => Some(Length::from_mm(2)),
            MaterialKind::Acrylic => Some(Length::from_mm(3)),
            MaterialKind::Mat => Some(Length::from_nm(1_500_000)),
            _ => None,
        }
    }

    /// Whether it is sold in sheets.
    pub const fn is_sheet(self) -> bool {
        matches!(
            self,
            MaterialKind::Mat | MaterialKind::Board | MaterialKind::Glass | MaterialKind::Acrylic
        )
    }

    /// Whether it is in front of the art.
    pub const fn is_glazing(self) -> bool {
        matches!(self, MaterialKind::Glass | MaterialKind::Acrylic)
    }

    /// Whether it is sold and cut by its length.
    pub const fn is_strip(self) -> bool {
        matches!(self, MaterialKind::Spacer | MaterialKind::BuildOut | MaterialKind::Wire(_))
    }
}

impl SafetyClass {
    /// Every word for a class of glass.
    pub const OF_GLASS: [(&str, SafetyClass); 4] = [
        ("laminated", SafetyClass::Laminated),
        ("toughened", SafetyClass::Toughened),
        ("tempered", SafetyClass::Toughened),
        ("filmed", SafetyClass::Filmed),
    ];

    /// The word used on sheets.
    pub const fn word(self) -> &'static str {
        match self {
            SafetyClass::Laminated => "laminated",
            SafetyClass::Toughened => "toughened",
            SafetyClass::Filmed => "filmed",
            SafetyClass::Acrylic => "acrylic",
        }
    }
}

impl MaterialPer {
    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            MaterialPer::Sheet => "sheet",
            MaterialPer::SquareMetre => "m2",
            MaterialPer::SquareFoot => "sq ft",
            MaterialPer::Metre => "m",
            MaterialPer::Foot => "ft",
            MaterialPer::Piece => "piece",
        }
    }

    /// Whether a material of a kind can be priced so.
    pub const fn fits(self, kind: MaterialKind) -> bool {
        match self {
            MaterialPer::Sheet | MaterialPer::SquareMetre | MaterialPer::SquareFoot => {
                kind.is_sheet()
            }
            MaterialPer::Metre | MaterialPer::Foot => kind.is_strip(),
            MaterialPer::Piece => !kind.is_sheet() && !kind.is_strip(),
        }
    }
}

impl fmt::Display for MaterialKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

impl ShopMaterial {
    /// Whether each pane is ordered as large as it is wanted, and never cut: toughened glass,
    /// which breaks wholly wherever it is cut.
    pub fn is_made_to_size(&self) -> bool {
        self.safety == Some(SafetyClass::Toughened)
    }

    /// How much of a package's depth it takes: as measured, or as is usual.
    pub fn takes(&self) -> Option<Length> {
        self.thick.or(self.kind.usual_thick())
    }

    /// How a plastic glazing grows: as typed, or as acrylic does.
    pub fn growth(&self) -> Growth {
        let warm = self.expansion.unwrap_or(Growth::ACRYLIC.warm);
        Growth { warm, ..Growth::ACRYLIC }
    }

    /// What one sheet of a size costs, to the nearest thousandth of a minor unit; nothing
    /// where the price is for a sheet of another size.
    pub fn price_of_sheet(&self, (width, height): (Length, Length)) -> Option<Worth> {
        let MaterialPrice { amount, per } = self.price?;
        let area = i128::from(width.nm()) * i128::from(height.nm());
        let unit = match per {
            MaterialPer::SquareMetre => SQUARE_METRE,
            MaterialPer::SquareFoot => SQUARE_FOOT,
            _ => {
                let first = *self.sheets.first()?;
                let is_it = first == (width, height) || first == (height, width);
                return is_it.then_some(amount);
            }
        };
        let worth = (i128::from(amount.0) * area + unit / 2).div_euclid(unit);
        i64::try_from(worth).ok().map(Worth)
    }

    /// What it weighs, as [`weight`](Self::weight) counts it: as typed, or of glazing by
    /// its thickness. A standard for float glass gives 2.5 kg a square metre for each
    /// millimetre, a maker of acrylic a specific gravity of 1.19.
    pub fn weighs(&self) -> Option<Weight> {
        let per_mm = match self.kind {
            MaterialKind::Glass => 2500,
            MaterialKind::Acrylic => 1190,
            _ => return self.weight,
        };
        let by_thickness = |thick: Length| {
            // Grams a millimetre are micrograms a nanometre.
            Weight::from_ug(thick.nm() * per_mm)
        };
        self.weight.or_else(|| self.thick.map(by_thickness))
    }
}
