//! How an art is shown: what is typed, what is usual, and which columns go with it.

use crate::job::package::Display;
use crate::measure::{Length, Unit};
use crate::shop::{Art, Kind, Moulding};

use super::cells::{self, ReadingUnits};
use super::job_cells;
use super::job_mistake::JobMistake;
use super::mistake::Mistake;
use super::table::Row;

/// How art is shown, as it is typed.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Show {
    Window,
    Float,
    Edge,
    Canvas,
    Floater,
}

const SHOWS: [(&str, Show); 5] = [
    ("window", Show::Window),
    ("float", Show::Float),
    ("edge", Show::Edge),
    ("canvas", Show::Canvas),
    ("floater", Show::Floater),
];

/// How much board is seen round a float, where nothing is said: 1/2 in. Common practice,
/// no source.
const MARGIN: Length = Length::from_64ths(32);

/// How it is shown: as typed, or as is usual for the art and its moulding.
pub(super) fn show(row: &mut Row, art: Option<Art>, moulding: Option<&Moulding>) -> Option<Show> {
    let typed = row.take("show", cells::word(&SHOWS))?;
    let is_floater = moulding.map(|moulding| moulding.kind == Kind::Floater);
    let usual = |art| match art {
        Art::Canvas if is_floater == Some(true) => Show::Floater,
        Art::Canvas => Show::Canvas,
        Art::Paper => Show::Window,
        Art::Object => Show::Float,
        Art::Panel if is_floater == Some(true) => Show::Floater,
        Art::Panel | Art::Mirror | Art::Nothing => Show::Edge,
    };
    let show = typed.or(art.map(usual))?;
    let why = match (show == Show::Floater, is_floater) {
        (true, Some(false)) => "it is no floater: name one in frames.csv, or write another show",
        (false, Some(true)) => {
            "a floater shows a canvas or a panel: write floater, or leave it empty"
        }
        _ => return Some(show),
    };
    let moulding = moulding.map(|moulding| moulding.id.clone()).unwrap_or_default();
    row.fault("show", JobMistake::OtherMoulding { moulding, why }.into());
    None
}

/// What of its columns a show asks for; the others must be empty.
pub(super) fn display(
    row: &mut Row,
    show: Option<Show>,
    figures: &ReadingUnits,
) -> Option<Display> {
    let overlap = row.take("overlap", figures.positive("the overlap"));
    let reveal = row.take("reveal_art", |text| job_cells::reveal(text, figures));
    let margin = row.take("float_margin", |text| figures.length(text));
    let show = show?;
    let in_window = !row.is_empty("mats");
    let mut only = |column: &'static str, fits: bool, belongs: &'static str| {
        if !fits && !row.is_empty(column) {
            row.fault(column, Mistake::OutOfPlace { belongs });
        }
    };
    only("overlap", show == Show::Window, "art in a window");
    let reveals = show == Show::Window || (show == Show::Float && in_window);
    only("reveal_art", reveals, "art in a window");
    only("float_margin", show == Show::Float && !in_window, "floats without a window");
    let (overlap, reveal, margin) = (overlap?, reveal?, margin?);
    if show == Show::Window && overlap.is_some() && reveal.is_some() {
        row.fault("overlap", Mistake::OutOfPlace { belongs: "art without reveal_art" });
        return None;
    }
    Some(match (show, reveal) {
        (Show::Window, Some((sides, bottom))) => Display::Revealed { sides, bottom },
        (Show::Window, None) => {
            Display::Overlapped { overlap: overlap.unwrap_or(usual_overlap(figures.unit)) }
        }
        (Show::Float, Some((sides, _))) => Display::Floated { margin: sides },
        (Show::Float, None) => Display::Floated { margin: margin.unwrap_or(MARGIN) },
        (Show::Edge | Show::Canvas | Show::Floater, _) => Display::Whole,
    })
}

/// 1/8 in, or 3 mm: as several pages say.
const fn usual_overlap(unit: Unit) -> Length {
    match unit {
        Unit::Inch => Length::from_64ths(8),
        Unit::Millimetre => Length::from_mm(3),
    }
}
