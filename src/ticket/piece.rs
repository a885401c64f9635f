//! The pieces of a job: what is cut to which size, and what is taken as it is.

use super::depth::Depth;
use super::hang::{Fixing, Hanging};
use crate::job::hanging::wire_length;
use crate::job::movement::cut;
use crate::job::pieces;
use crate::measure::Length;
use crate::shop::{Art, Back, Frame, Hang, Job, Kind, MaterialKind, Place, Shop};

/// One piece, or several alike.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobPiece {
    /// What it is.
    pub what: PieceOf,
    /// The code of its material; nothing where the shop has not written one down.
    pub material: Option<String>,
    /// Its size.
    pub size: PieceSize,
    /// The window that is cut in it, as width and height.
    pub opening: Option<(Length, Length)>,
    /// How many.
    pub count: u32,
}

/// What a piece is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PieceOf {
    /// Glass or acrylic.
    Glazing,
    /// A strip of a spacer.
    Spacer,
    /// A mat: 1 is the outermost.
    Mat(usize),
    /// A strip behind a mat, as thick as its fillet's lip.
    FilletFiller,
    /// The board that the art is mounted on.
    Mount,
    /// The board behind.
    Backing,
    /// Canvas, if it is stretched here.
    Canvas,
    /// A strip behind the frame.
    BuildOut,
    /// The tape round the package.
    Tape,
    /// The sheet over the back.
    DustCover,
    /// The tape over the back, in its place.
    BackTape,
    /// What holds the package in its rabbet.
    Point,
    /// An offset clip for a canvas.
    Clip,
    /// A hanger or a strap.
    Hanger,
    /// Wire or cord.
    Wire,
    /// A plate or a turn-button that holds a canvas which does not stand out.
    Plate,
    /// What goes to the wall.
    Hook,
    /// What holds a hook in brick, stone or concrete.
    Plug,
    /// Two bars that hang in one another, one on the frame and one on the wall.
    Cleat,
    /// A set that cannot be lifted off.
    SecuritySet,
    /// What it stands on.
    Strut,
}

/// How large a piece is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PieceSize {
    /// Width and height.
    Sheet(Length, Length),
    /// A length.
    Long(Length),
    /// As it is sold.
    Whole,
}

impl JobPiece {
    /// Whether it is ordered as large as it is, and never cut: a pane of toughened glass.
    pub fn is_made_to_size(&self, shop: &Shop) -> bool {
        self.material.as_ref().is_some_and(|code| shop.is_made_to_size(code))
    }
}

impl PieceOf {
    /// What it is called on the sheets.
    pub fn words(self) -> String {
        match self {
            PieceOf::Mat(1) => "mat".to_owned(),
            PieceOf::Mat(2) => "undermat".to_owned(),
            PieceOf::Mat(n) => format!("undermat {}", n - 1),
            PieceOf::Glazing => "glazing".to_owned(),
            PieceOf::Spacer => "spacer".to_owned(),
            PieceOf::FilletFiller => "filler behind the mat".to_owned(),
            PieceOf::Mount => "mount".to_owned(),
            PieceOf::Backing => "backing".to_owned(),
            PieceOf::Canvas => "canvas, if stretched here".to_owned(),
            PieceOf::BuildOut => "build-out".to_owned(),
            PieceOf::Tape => "sealing tape".to_owned(),
            PieceOf::DustCover => "dust cover".to_owned(),
            PieceOf::BackTape => "tape behind".to_owned(),
            PieceOf::Point => "point".to_owned(),
            PieceOf::Clip => "offset clip".to_owned(),
            PieceOf::Hanger => "hanger".to_owned(),
            PieceOf::Wire => "wire".to_owned(),
            PieceOf::Plate => "plate or turn-button".to_owned(),
            PieceOf::Hook => "hook".to_owned(),
            PieceOf::Plug => "screw with a plug for masonry".to_owned(),
            PieceOf::Cleat => "cleat".to_owned(),
            PieceOf::SecuritySet => "security set".to_owned(),
            PieceOf::Strut => "strut".to_owned(),
        }
    }
}

/// All pieces of one copy, in the order of work.
pub(super) fn pieces(
    shop: &Shop,
    (frame, job): (&Frame, &Job),
    outside: (Length, Length),
    (depth, hanging): (&Depth, &Hanging),
) -> Vec<JobPiece> {
    let package = &job.package;
    let mut all = Vec::new();
    let mut add = |what, material: &Option<String>, size, opening, count: u32| {
        let material = material.clone();
        all.push(JobPiece { what, material, size, opening, count });
    };
    let whole = PieceSize::Sheet(package.size.0, package.size.1);
    for (at, code) in job.mats.iter().rev().enumerate() {
        // From the outermost in; undermats are cut while they are stuck to the mat over them,
        // if enough of them is left beside the opening.
        let opening = package.mats.get(job.mats.len() - 1 - at).copied();
        let less = shop.settings.job.undermat;
        let lesser = (package.size.0 - less, package.size.1 - less);
        let holds = opening.is_some_and(|opening| opening.0 < lesser.0 && opening.1 < lesser.1);
        let (width, height) = if at > 0 && holds { lesser } else { package.size };
        let size = PieceSize::Sheet(width, height);
        add(PieceOf::Mat(at + 1), &Some(code.clone()), size, opening, 1);
    }
    if job.fillet.is_some() {
        add(PieceOf::FilletFiller, &None, PieceSize::Long(perimeter(package.size)), None, 1);
    }
    if job.glazing.is_some() {
        add(PieceOf::Glazing, &job.glazing, glazing(shop, job), None, 1);
    }
    add_some(&mut add, PieceOf::Mount, &job.mount, whole);
    add_some(&mut add, PieceOf::Backing, &job.backing, whole);
    if let Some(strip) = spacer(shop, job).and_then(|spacer| spacer.strip) {
        // They lie on the glazing, which may be cut smaller.
        let round = match glazing(shop, job) {
            PieceSize::Sheet(width, height) if job.glazing.is_some() => (width, height),
            _ => package.size,
        };
        for length in pieces::spacers(round, strip) {
            let down = PieceSize::Long(length.round_down(shop.settings.mark));
            add(PieceOf::Spacer, &job.spacer, down, None, 2);
        }
    }
    if job.art == Art::Canvas {
        let bars =
            job.thick.map(|depth| pieces::canvas(job.shown.art, depth, shop.settings.job.tuck));
        if let Some((width, height)) = bars {
            add(PieceOf::Canvas, &None, PieceSize::Sheet(width, height), None, 1);
        }
    }
    let inner = shop.moulding(&frame.layers[0].moulding);
    let is_floater = inner.kind == Kind::Floater;
    let holders = clips(job.shown.art);
    match depth.clips {
        Some(offset) => {
            let offset = PieceSize::Long(offset.round_up(shop.settings.mark));
            add(PieceOf::Clip, &None, offset, None, holders);
        }
        None if job.art == Art::Canvas && !is_floater => {
            add(PieceOf::Plate, &None, PieceSize::Whole, None, holders);
        }
        None => {}
    }
    if let Some(high) = &depth.build_out {
        let outer = frame.layers.iter().rfind(|layer| shop.goes_round(layer));
        let outer = shop.moulding(&outer.expect("a frame has a layer of its own").moulding);
        // Between them lies the rabbet's opening.
        let strip = (outer.width - outer.rabbet) * 2;
        let (across, up) = outside;
        for length in [across, up - strip] {
            let down = PieceSize::Long(length.round_down(shop.settings.mark));
            add(PieceOf::BuildOut, &high.material, down, None, 2);
        }
    }
    if job.glazing.is_some() {
        let tape = pieces::tape(package.size).round_up(shop.settings.mark);
        add(PieceOf::Tape, &None, PieceSize::Long(tape), None, 1);
    }
    let is_bare = job.is_empty_frame();
    if job.art != Art::Canvas && !is_floater && !is_bare {
        let points = (pieces::points(package.size.0) + pieces::points(package.size.1)) * 2;
        let points = u32::try_from(points).unwrap_or(u32::MAX);
        add(PieceOf::Point, &None, PieceSize::Whole, None, points);
    }
    match job.back {
        Back::Cover if job.art != Art::Canvas && !is_bare => {
            let (width, height) = pieces::dust_cover(outside);
            let whole = shop.settings.unit.either(Length::from_64ths(1), Length::from_mm(1));
            let (width, height) = (width.round_down(whole), height.round_down(whole));
            add(PieceOf::DustCover, &None, PieceSize::Sheet(width, height), None, 1);
        }
        Back::Tape if job.art != Art::Canvas && !is_bare => {
            let tape = pieces::tape(package.size).round_up(shop.settings.mark);
            add(PieceOf::BackTape, &None, PieceSize::Long(tape), None, 1);
        }
        _ => {}
    }
    let code = |fixing: &Option<Fixing>| fixing.as_ref().map(|fixing| fixing.material.clone());
    if matches!(hanging.way, Some(Hang::Wire | Hang::Cord | Hang::Straps)) {
        add(PieceOf::Hanger, &code(&hanging.hangers), PieceSize::Whole, None, 2);
    }
    if let (Some(Hang::Wire | Hang::Cord), Some(leg)) = (hanging.way, hanging.leg) {
        let length = wire_length(leg, hanging.hooks_apart).round_up(shop.settings.mark);
        add(PieceOf::Wire, &code(&hanging.wire), PieceSize::Long(length), None, 1);
    }
    if let Some((bar, _)) = hanging.cleat {
        add(PieceOf::Cleat, &code(&hanging.hooks), PieceSize::Long(bar), None, 1);
    } else if hanging.hook_count > 0 {
        add(PieceOf::Hook, &code(&hanging.hooks), PieceSize::Whole, None, hanging.hook_count);
        if job.place.contains(&Place::Masonry) && !hanging.on_rail {
            add(PieceOf::Plug, &None, PieceSize::Whole, None, hanging.hook_count);
        }
    }
    match hanging.way {
        Some(Hang::Security) => add(PieceOf::SecuritySet, &None, PieceSize::Whole, None, 1),
        Some(Hang::Strut) => add(PieceOf::Strut, &None, PieceSize::Whole, None, 1),
        _ => {}
    }
    all
}

fn add_some(
    add: &mut impl FnMut(PieceOf, &Option<String>, PieceSize, Option<(Length, Length)>, u32),
    what: PieceOf,
    material: &Option<String>,
    size: PieceSize,
) {
    if material.is_some() {
        add(what, material, size, None, 1);
    }
}

/// What the glazing is cut to: glass as the package, acrylic smaller by what it moves
/// beyond the frame's allowance.
pub(super) fn glazing(shop: &Shop, job: &Job) -> PieceSize {
    let size = job.package.size;
    let material = job.glazing.as_ref().and_then(|code| shop.materials.get(code));
    let Some(material) = material.filter(|material| material.kind == MaterialKind::Acrylic) else {
        let down = |length: Length| length.round_down(shop.settings.mark);
        return PieceSize::Sheet(down(size.0), down(size.1));
    };
    let cut = |length| cut(length, job.shown.lip, material.growth(), shop.settings.unit);
    PieceSize::Sheet(cut(size.0), cut(size.1))
}

fn spacer<'a>(shop: &'a Shop, job: &Job) -> Option<&'a crate::shop::ShopMaterial> {
    shop.materials.get(job.spacer.as_ref()?)
}

fn perimeter(size: (Length, Length)) -> Length {
    (size.0 + size.1) * 2
}

/// How many clips hold a canvas: one a side, and three a side from 24 x 36 in on, as a
/// page prints.
fn clips(size: (Length, Length)) -> u32 {
    let (short, long) = (size.0.min(size.1), size.0.max(size.1));
    let is_large = short >= Length::from_64ths(24 * 64) && long >= Length::from_64ths(36 * 64);
    if is_large { 12 } else { 4 }
}
