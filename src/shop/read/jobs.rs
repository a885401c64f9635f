//! Reads `jobs.csv`: the tickets that begin with an artwork, and works out their packages.

use std::collections::{BTreeMap, BTreeSet};

use crate::job::package::{ArtIn, Display, Misfit, package};
use crate::job::window::{Borders, Weighting};
use crate::measure::{Length, LengthStyle, Mitre, Unit};
use crate::shop::{
    Art, Back, Consent, Frame, Hang, Job, MaterialKind, Moulding, Settings, ShopMaterial, lip,
};

use super::body::weight;
use super::cells::{self, ReadingUnits};
use super::fault::FileFault;
use super::header::{ColumnRule, needed, optional};
use super::job_cells::{self, MatCell};
use super::job_mistake::JobMistake;
use super::job_show::{Show, display, show};
use super::materials::of_kind;
use super::mistake::Mistake;
use super::register::Register;
use super::table::{FileTable, Row};

/// The file's name.
pub(super) const FILE: &str = "jobs.csv";

const COLUMNS: &[ColumnRule] = &[
    needed("frame", "the ticket's number").in_words(),
    optional("art", "paper, canvas, panel, object, mirror or none").in_words(),
    needed("art_width", "the art's width over all"),
    needed("art_height", "the art's height over all"),
    optional("art_thick", "how thick the art is, of a canvas with its bars and folds"),
    optional("art_weight", "what the art weighs, such as 2.5 kg"),
    optional("image_width", "the width of what is to be seen"),
    optional("image_height", "the height of what is to be seen"),
    optional("show", "window, float, edge, canvas or floater").in_words(),
    optional("overlap", "how far the window lies on the art, on each side"),
    optional("reveal_art", "how much paper is seen, such as 1/4 or 1/4; 1/2"),
    optional("border", "the mat's border, such as 2 or 2; 2; 2; 2 1/2"),
    optional("bottom_extra", "how much wider the border is below, or optical"),
    optional("mats", "the mats, outermost first, such as OFF-WHITE; BLACK 1/4").in_words(),
    optional("mat_fillet", "the moulding of a fillet in the mat").in_words(),
    optional("spacer", "the spacer's code").in_words(),
    optional("float_margin", "how much board is seen round the art"),
    optional("glazing", "the glazing's code").in_words(),
    optional("mount", "the code of the board that it is mounted on").in_words(),
    optional("backing", "the code of the board behind").in_words(),
    optional("dust_cover", "yes, tape or no").in_words(),
    optional("hang", "wire, cord, straps, cleat, security, strut or none").in_words(),
    optional(
        "place",
        "where it hangs: bed, seat, stair, child, public, quake; stud, masonry, rail",
    )
    .in_words(),
    optional("level", "your own name for the care that it asks for").in_words(),
    optional("value", "what it is worth, as the customer says"),
    optional("consent", "what the customer consents to: trim; mount; reuse").in_words(),
];

const ARTS: [(&str, Art); 6] = [
    (Art::Paper.word(), Art::Paper),
    (Art::Canvas.word(), Art::Canvas),
    (Art::Panel.word(), Art::Panel),
    (Art::Object.word(), Art::Object),
    (Art::Mirror.word(), Art::Mirror),
    (Art::Nothing.word(), Art::Nothing),
];

const BACKS: [(&str, Back); 3] = [("yes", Back::Cover), ("tape", Back::Tape), ("no", Back::Open)];

const HANGS: [(&str, Hang); 7] = [
    (Hang::Wire.word(), Hang::Wire),
    (Hang::Cord.word(), Hang::Cord),
    (Hang::Straps.word(), Hang::Straps),
    (Hang::Cleat.word(), Hang::Cleat),
    (Hang::Security.word(), Hang::Security),
    (Hang::Strut.word(), Hang::Strut),
    (Hang::Nowhere.word(), Hang::Nowhere),
];

/// How thick a sheet of paper is, where nothing is said: 0.3 mm, as a framer counts it.
const PAPER: Length = Length::from_nm(300_000);

/// No package is longer.
const LONGEST: Length = Length::from_mm(50_000);

/// What jobs refer to.
pub(super) struct JobGround<'a> {
    pub(super) figures: &'a ReadingUnits,
    pub(super) settings: Option<&'a Settings>,
    pub(super) style: LengthStyle,
    pub(super) mouldings: &'a Register<Moulding>,
    pub(super) materials: &'a Register<ShopMaterial>,
    pub(super) tickets: &'a Register<()>,
}

/// The tickets that the file names, as far as it can be read.
pub(super) fn tickets(bytes: Option<&[u8]>) -> BTreeSet<String> {
    let mut unsaid = Vec::new();
    let table = bytes.and_then(|bytes| FileTable::open(FILE, COLUMNS, bytes, &mut unsaid));
    let Some(mut table) = table else { return BTreeSet::new() };
    let mut tickets = BTreeSet::new();
    while let Some(row) = table.next_row(&mut unsaid) {
        tickets.extend(row.text("frame"));
    }
    tickets
}

/// Reads the file, which may be missing, and gives the frames of its tickets their sizes
/// and fillets.
pub(super) fn read(
    bytes: Option<&[u8]>,
    bench: &JobGround,
    frames: &mut [Option<Frame>],
    faults: &mut Vec<FileFault>,
) -> BTreeMap<String, Job> {
    let table = bytes.and_then(|bytes| FileTable::open(FILE, COLUMNS, bytes, faults));
    let Some(mut table) = table else { return BTreeMap::new() };
    let places = frames.iter().enumerate();
    let places = places.filter_map(|(at, frame)| Some((frame.as_ref()?.id.clone(), at)));
    let places: BTreeMap<String, usize> = places.collect();
    let mut register: Register<()> = Register::new("in jobs.csv", true);
    let mut jobs = BTreeMap::new();
    while let Some(mut row) = table.next_row(faults) {
        let id = row.need("frame", |text| bench.tickets.resolve(text).map(|_| text.to_owned()));
        let new = register.is_new(&mut row, "frame", id.as_ref());
        register.add(id.clone(), row.number, Some(()));
        let place = id.as_ref().and_then(|id| places.get(id));
        let mut frame = place.and_then(|place| frames[*place].as_mut()).filter(|_| new);
        let Some(job) = read_row(&mut row, bench, frame.as_deref()) else { continue };
        if let Some(frame) = &mut frame {
            fit(frame, &job, bench);
            jobs.insert(frame.id.clone(), job);
        }
    }
    jobs
}

fn read_row(row: &mut Row, bench: &JobGround, frame: Option<&Frame>) -> Option<Job> {
    let figures = bench.figures;
    let art = row.take("art", cells::word(&ARTS)).map(|art| art.unwrap_or(Art::Paper));
    let width = row.need("art_width", figures.positive("the art's width"));
    let height = row.need("art_height", figures.positive("the art's height"));
    let thick = row.take("art_thick", figures.positive("the art's thickness"));
    let weighs = row.take("art_weight", weight);
    let inner = frame.and_then(|frame| frame.layers.first());
    let moulding = inner.and_then(|layer| bench.mouldings.resolve(&layer.moulding).ok()?);
    let show = show(row, art, moulding);
    let display = display(row, show, figures);
    let image = image(row, (width, height), figures);
    let window = window(row, show, bench);
    let mut coded = |column, wanted, is: fn(MaterialKind) -> bool| {
        let read = |text: &str| of_kind(bench.materials, text, wanted, is).map(|(code, _)| code);
        row.take(column, read)
    };
    let spacer = coded("spacer", "spacer", |kind| kind == MaterialKind::Spacer);
    let glazing = coded("glazing", "glass or acrylic", MaterialKind::is_glazing);
    let mount = coded("mount", "board", |kind| kind == MaterialKind::Board);
    let backing = coded("backing", "board", |kind| kind == MaterialKind::Board);
    let back = row.take("dust_cover", cells::word(&BACKS));
    let hang = row.take("hang", cells::word(&HANGS));
    let place = row.take("place", job_cells::places);
    let level = row.take("level", cells::text);
    let value = row.take("value", |text| figures.money(text));
    let consent = row.take("consent", cells::text);
    if frame.is_some_and(|frame| frame.mitre != Mitre::SQUARE) {
        row.fault("frame", JobMistake::NotFourSides.into());
        return None;
    }
    let (art, (fillet, mats, borders, weighting)) = (art?, window?);
    let lip = lip(moulding?, inner?, bench.settings?);
    let given = frame.filter(|frame| frame.width.is_positive());
    let seen = fillet.as_ref().and_then(|fillet| bench.mouldings.resolve(fillet).ok()??.body.seen);
    let shown = ArtIn {
        art: (width?, height?),
        image: image?,
        display: display?,
        reveals: mats.iter().map(|(_, reveal)| *reveal).collect(),
        fillet: seen,
        borders: borders.unwrap_or(Borders::all(bench.settings?.job.border)),
        weighting,
        given: given.map(|frame| (frame.width, frame.height)),
        lip,
        grain: grain(figures.unit),
    };
    let package = match package(&shown) {
        Ok(package) => package,
        Err(misfit) => return misfits(row, misfit, &shown, bench),
    };
    if package.size.0.max(package.size.1) > LONGEST {
        row.fault("art_width", JobMistake::Absurd.into());
        return None;
    }
    Some(Job {
        frame: frame?.id.clone(),
        art,
        thick: thick?.or((art == Art::Paper).then_some(PAPER)),
        weight: weighs?,
        shown,
        mats: mats.into_iter().map(|(code, _)| code).collect(),
        fillet,
        spacer: spacer?,
        glazing: glazing?,
        mount: mount?,
        backing: backing?,
        back: back?.unwrap_or(Back::Cover),
        hang: hang?,
        place: place?.unwrap_or_default(),
        level: level?.unwrap_or_default(),
        value: value?,
        consent: Consent { text: consent?.unwrap_or_default() },
        package,
    })
}

/// Openings are cut to 1/32 in, or half a millimetre.
const fn grain(unit: Unit) -> Length {
    match unit {
        Unit::Inch => Length::from_64ths(2),
        Unit::Millimetre => Length::from_nm(500_000),
    }
}

/// What is to be seen of the art.
fn image(
    row: &mut Row,
    art: (Option<Length>, Option<Length>),
    figures: &ReadingUnits,
) -> Option<(Length, Length)> {
    let mut side = |column, art: Option<Length>| {
        let image = row.take(column, figures.positive("what is to be seen"))?;
        if image.zip(art).is_some_and(|(image, art)| image > art) {
            row.fault(column, JobMistake::LargerThanArt.into());
            return None;
        }
        image.or(art)
    };
    let (width, height) = (side("image_width", art.0), side("image_height", art.1));
    Some((width?, height?))
}

/// The mats with what belongs to them: fillet, mats, borders, weighting.
type WindowCells = (Option<String>, Vec<MatCell>, Option<Borders>, Weighting);

fn window(row: &mut Row, show: Option<Show>, bench: &JobGround) -> Option<WindowCells> {
    let figures = bench.figures;
    let mats = row.take("mats", |text| job_cells::mats(text, figures, bench.materials));
    let fillet = row.take("mat_fillet", |text| {
        let moulding = bench.mouldings.resolve(text)?;
        match moulding.is_some_and(|moulding| moulding.body.seen.is_none()) {
            true => Err(JobMistake::NotSeen.into()),
            false => Ok(text.to_owned()),
        }
    });
    let borders = row.take("border", |text| job_cells::borders(text, figures));
    let weighting = row.take("bottom_extra", |text| job_cells::weighting(text, figures));
    let show = show?;
    let may_have = matches!(show, Show::Window | Show::Float);
    if !may_have && !row.is_empty("mats") {
        row.fault("mats", Mistake::OutOfPlace { belongs: "windows and floats" });
    }
    if show == Show::Window && row.is_empty("mats") {
        row.fault("mats", Mistake::Missing { what: "the mat that has the window" });
        return None;
    }
    for column in ["mat_fillet", "border", "bottom_extra"] {
        if row.is_empty("mats") && !row.is_empty(column) {
            row.fault(column, Mistake::OutOfPlace { belongs: "jobs with mats" });
        }
    }
    let weighting = weighting?.unwrap_or(Weighting::Below(Length::ZERO));
    Some((fillet?, mats?.unwrap_or_default(), borders?, weighting))
}

/// Says why art cannot be shown as asked, at the column that is to be mended.
fn misfits(row: &mut Row, misfit: Misfit, of: &ArtIn, bench: &JobGround) -> Option<Job> {
    let show = |length| bench.style.show_unit(length);
    let given = of.given.unwrap_or(of.art);
    let is_wide_enough = match misfit {
        Misfit::TooLarge { package } => of.art.0 <= package.0,
        Misfit::Covered { .. } => of.art.0 <= of.lip.sight(given.0),
        _ => of.art.0 > of.lip.sight(given.0),
    };
    let side = if is_wide_enough { "art_height" } else { "art_width" };
    let column = match of.display {
        Display::Overlapped { .. } => "overlap",
        Display::Revealed { .. } => "reveal_art",
        Display::Floated { .. } | Display::Whole => side,
    };
    let is_turned = of.art.0 <= given.1 && of.art.1 <= given.0 && given.0 != given.1;
    let (column, mistake) = match misfit {
        Misfit::NoOpening => (column, JobMistake::NoOpening),
        Misfit::FallsThrough { opening } => {
            (column, JobMistake::FallsThrough { opening: show(opening) })
        }
        Misfit::NoBorder { opening } => {
            ("border", JobMistake::NoBorder { opening: show(opening), is_turned })
        }
        Misfit::Covered { sight } => (side, JobMistake::Covered { sight: show(sight), is_turned }),
        Misfit::TooLarge { package } => {
            let is_turned = of.art.0 <= package.1 && of.art.1 <= package.0;
            let package = show(if is_wide_enough { package.1 } else { package.0 });
            match of.given {
                Some(_) => (side, JobMistake::TooLarge { package, is_turned }),
                None => (side, JobMistake::BeyondBorders { package }),
            }
        }
        Misfit::ThroughFrame { sight } => (side, JobMistake::ThroughFrame { sight: show(sight) }),
    };
    row.fault(column, mistake.into());
    None
}

/// Gives a frame what its job says: size, thickness, fillet.
fn fit(frame: &mut Frame, job: &Job, bench: &JobGround) {
    (frame.width, frame.height) = job.package.size;
    let material = |code: &String| bench.materials.resolve(code).ok().flatten();
    let moulding = |code: &String| bench.mouldings.resolve(code).ok().flatten();
    frame.thickness = frame.thickness.or_else(|| job.thickness(material, moulding));
    let fillet = job.fillet.as_ref().and_then(moulding);
    frame.layers.extend(fillet.and_then(|fillet| job.fillet_layer(fillet.match_)));
}
