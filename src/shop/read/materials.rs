//! Reads `materials.csv`: what jobs take beside moulding.

use crate::measure::{Length, parse_decimal};
use crate::shop::{MaterialKind, MaterialPer, MaterialPrice, SafetyClass, ShopMaterial, Supplier};

use super::body::weight;
use super::cells::{self, ReadingUnits};
use super::fault::FileFault;
use super::header::{ColumnRule, needed, optional};
use super::job_mistake::JobMistake;
use super::mistake::Mistake;
use super::register::Register;
use super::table::{FileTable, Row};

/// The file's name.
pub(super) const FILE: &str = "materials.csv";

const LIST: &str = "in materials.csv";

const COLUMNS: &[ColumnRule] = &[
    needed("material", "the material's code").in_words(),
    needed("kind", "what it is, such as mat, glass or hook").in_words(),
    optional("name", "what it is called").in_words(),
    optional("thick", "how thick it is; of a spacer or a build-out how high"),
    optional("strip", "how wide a strip of it is"),
    optional("weight", "what it weighs, such as 0.95 kg"),
    optional("sheets", "the sizes in which it is sold, such as 32x40; 40x60"),
    optional("price", "its price"),
    optional("per", "what the price is for: sheet, m2, sq ft, m, ft or piece").in_words(),
    optional("load", "the load that its packet prints for one, such as 50 lb"),
    optional("breaks", "what a wire breaks at, such as 68 lb"),
    optional("screw", "the diameter of its screw"),
    optional("safety", "its class of safety: laminated, toughened, tempered or filmed").in_words(),
    optional("supplier", "who sells it in sheets, by their name in suppliers.csv").in_words(),
    optional("code", "their own code for it").in_words(),
    optional("expansion", "how it grows with warmth, in millionths for a kelvin, such as 72"),
];

const PERS: [(&str, MaterialPer); 6] = [
    (MaterialPer::Sheet.word(), MaterialPer::Sheet),
    (MaterialPer::SquareMetre.word(), MaterialPer::SquareMetre),
    (MaterialPer::SquareFoot.word(), MaterialPer::SquareFoot),
    (MaterialPer::Metre.word(), MaterialPer::Metre),
    (MaterialPer::Foot.word(), MaterialPer::Foot),
    (MaterialPer::Piece.word(), MaterialPer::Piece),
];

/// Reads the file, which may be missing.
pub(super) fn read(
    bytes: Option<&[u8]>,
    (figures, suppliers): (&ReadingUnits, &Register<Supplier>),
    faults: &mut Vec<FileFault>,
) -> Register<ShopMaterial> {
    let Some(bytes) = bytes else { return Register::new(LIST, true) };
    let table = FileTable::open(FILE, COLUMNS, bytes, faults);
    let Some(table) = table else { return Register::new(LIST, false) };
    Register::of_rows((LIST, "material"), table, faults, |row, id| {
        read_row(row, id, (figures, suppliers))
    })
}

fn read_row(
    row: &mut Row,
    id: Option<String>,
    (figures, suppliers): (&ReadingUnits, &Register<Supplier>),
) -> Option<ShopMaterial> {
    let kinds = MaterialKind::ALL.map(|kind| (kind.word(), kind));
    let kind = row.need("kind", cells::word(&kinds));
    let name = row.take("name", cells::text);
    let thick = row.take("thick", figures.positive("the thickness"));
    let strip = row.take("strip", figures.positive("the width"));
    let weight_of = row.take("weight", weight);
    let sheets = row.take("sheets", |text| sheets(text, figures));
    let price = price(row, kind, figures);
    let load = row.take("load", weight);
    let breaks = row.take("breaks", weight);
    let screw = row.take("screw", figures.small("screw"));
    let safety = row.take("safety", safety(kind));
    let expansion = row.take("expansion", expansion);
    let known = |text: &str| suppliers.resolve(text).map(|_| text.to_owned());
    let supplier = row.take("supplier", known);
    let code = row.take("code", cells::text);
    if let Some(kind) = kind {
        let is_load = |kind| {
            matches!(
                kind,
                MaterialKind::Hanger
                    | MaterialKind::Strap
                    | MaterialKind::Wire(_)
                    | MaterialKind::Hook
                    | MaterialKind::Cleat
            )
        };
        let is_wire = |kind| matches!(kind, MaterialKind::Wire(_));
        let is_strip = |kind| matches!(kind, MaterialKind::Spacer | MaterialKind::BuildOut);
        let is_hanger = |kind| matches!(kind, MaterialKind::Hanger | MaterialKind::Strap);
        let belongs: [(&'static str, bool, &'static str); 9] = [
            ("strip", is_strip(kind), "spacers and build-outs"),
            ("sheets", kind.is_sheet(), "mats, boards and glazing"),
            ("supplier", kind.is_sheet(), "mats, boards and glazing"),
            ("code", kind.is_sheet(), "mats, boards and glazing"),
            ("load", is_load(kind), "hangers, straps, wires, hooks and cleats"),
            ("breaks", is_wire(kind), "wires and cords"),
            ("screw", is_hanger(kind), "hangers and straps"),
            ("safety", kind.is_glazing(), "glass and acrylic"),
            ("expansion", kind == MaterialKind::Acrylic, "acrylic"),
        ];
        for (column, fits, belongs) in belongs {
            if !fits && !row.is_empty(column) {
                row.fault(column, Mistake::OutOfPlace { belongs });
            }
        }
        // A strip that is not as high as something cannot be worked with.
        for column in ["thick", "strip"] {
            let is_needed = match column {
                "strip" => kind == MaterialKind::Spacer,
                _ => matches!(kind, MaterialKind::Spacer | MaterialKind::BuildOut),
            };
            if is_needed && row.is_empty(column) {
                let what =
                    if column == "strip" { "how wide its strip is" } else { "how high it is" };
                row.fault(column, Mistake::Missing { what });
            }
        }
    }
    let id = id?;
    Some(ShopMaterial {
        name: name?.unwrap_or_else(|| id.clone()),
        id,
        kind: kind?,
        thick: thick?,
        strip: strip?,
        weight: weight_of?,
        sheets: sheets?.unwrap_or_default(),
        price: price?,
        load: load?,
        breaks: breaks?,
        screw: screw?,
        safety: safety?.flatten(),
        supplier: supplier?,
        code: code?.unwrap_or_default(),
        expansion: expansion?,
    })
}

/// The price with what it is for: both or neither.
fn price(
    row: &mut Row,
    kind: Option<MaterialKind>,
    figures: &ReadingUnits,
) -> Option<Option<MaterialPrice>> {
    let amount = row.take("price", |text| figures.price(text));
    let per = match amount {
        Some(None) => row.take("per", cells::word(&PERS)),
        _ => row.need("per", cells::word(&PERS)).map(Some),
    };
    if let (Some(None), Some(Some(_))) = (amount, per) {
        row.fault("per", Mistake::PerAlone);
    }
    if let (Some(Some(per)), Some(kind)) = (per, kind) {
        if !per.fits(kind) {
            let allowed = PERS.iter().filter(|(_, per)| per.fits(kind)).map(|(word, _)| *word);
            let allowed = allowed.collect::<Vec<_>>().join(" or ");
            row.fault("per", JobMistake::WrongPer { kind: kind.word(), allowed }.into());
            return None;
        }
        if per == MaterialPer::Sheet && row.is_empty("sheets") {
            row.fault("sheets", Mistake::Missing { what: "the size of the sheet that it is for" });
        }
    }
    Some(amount?.zip(per?).map(|(amount, per)| MaterialPrice { amount, per }))
}

/// A class of safety that a pane of this kind can have. Of anything else the cell is out of
/// place, and said to be so.
fn safety(kind: Option<MaterialKind>) -> impl Fn(&str) -> Result<Option<SafetyClass>, Mistake> {
    move |text| match kind {
        Some(MaterialKind::Glass) => cells::word(&SafetyClass::OF_GLASS)(text).map(Some),
        Some(MaterialKind::Acrylic) => {
            cells::word(&[(SafetyClass::Acrylic.word(), SafetyClass::Acrylic)])(text).map(Some)
        }
        _ => Ok(None),
    }
}

/// `32x40; 40x60`.
fn sheets(text: &str, figures: &ReadingUnits) -> Result<Vec<(Length, Length)>, Mistake> {
    let size = |part: &str| {
        let by = ['x', 'X', '\u{d7}'];
        let (width, height) = part.split_once(by).ok_or(JobMistake::Sheets)?;
        let side = figures.positive("the size of a sheet");
        Ok((side(width.trim())?, side(height.trim())?))
    };
    text.split(';').map(str::trim).map(size).collect()
}

/// Millionths for a kelvin, in parts of a thousand million.
fn expansion(text: &str) -> Result<i64, Mistake> {
    const MOST: i64 = 1_000_000;
    let parts = parse_decimal(text, 3)?;
    if parts > MOST { Err(Mistake::AboveMost { most: 1000 }) } else { Ok(parts) }
}

/// Whether a material is of a kind that belongs somewhere.
pub(super) fn of_kind(
    materials: &Register<ShopMaterial>,
    text: &str,
    wanted: &'static str,
    is_wanted: impl Fn(MaterialKind) -> bool,
) -> Result<(String, Option<ShopMaterial>), Mistake> {
    let material = materials.resolve(text)?;
    match material.map(|material| material.kind) {
        Some(kind) if !is_wanted(kind) => {
            Err(JobMistake::OtherKind { is: kind.word(), wanted }.into())
        }
        _ => Ok((text.to_owned(), material.cloned())),
    }
}
