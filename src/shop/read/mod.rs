//! Reads a shop folder: settings first, then what refers to them, every fault at once.

mod beyond;
mod body;
mod calendar;
mod cells;
mod compare;
mod cutters;
pub(crate) mod edit;
mod fault;
pub(in crate::shop) mod figures;
mod files;
mod frames;
mod header;
mod job_cells;
mod job_mistake;
mod job_rules;
mod job_show;
mod jobs;
mod keys;
mod list_mistake;
mod listed;
mod listing;
mod lists;
mod materials;
mod mistake;
mod mouldings;
mod offers;
mod pieces;
mod price;
mod prices;
mod quoted;
mod rack;
mod register;
mod settings;
mod sheets;
mod split;
pub(super) mod suggest;
mod suppliers;
mod table;
mod ticket;
mod workbook;
mod workbook_mistake;
mod worths;

pub use beyond::Beyond;
pub use compare::{ListChanges, ListedPrice, list_changes, listed_prices};
pub use fault::{Faults, FileFault};
pub use job_mistake::JobMistake;
pub use mistake::Mistake;
pub use pieces::read_pieces;
pub(crate) use quoted::shown;

use jiff::civil::Time;

use std::collections::{BTreeMap, BTreeSet};
use std::io::ErrorKind;
use std::path::Path;

use super::{Flaw, Form, Frame, Layer, Moulding, Offer, Per, Price, Settings, Shop, WHOLE};
use crate::measure::Worth;
use files::{FILES, WORKBOOK};
use jobs::JobGround;
use listed::Listings;
use offers::Means;
use settings::Ground;
use suggest::Suggest;

/// Reads a shop folder from the disk.
///
/// # Errors
/// All faults of all files, in order; see [`Faults`].
pub fn read_folder(dir: &Path) -> Result<Shop, Faults> {
    read_folder_and_files(dir).map(|(shop, _)| shop)
}

/// As [`read_folder`], with the bytes of each file of the shop by its name.
///
/// # Errors
/// As [`read_folder`].
pub fn read_folder_and_files(dir: &Path) -> Result<(Shop, BTreeMap<String, Vec<u8>>), Faults> {
    let mut files = BTreeMap::new();
    let mut unreadable = Vec::new();
    let names = folder_names(dir)?;
    // What shop.toml names is read; that it cannot be is said below.
    let settings = std::fs::read(dir.join(settings::FILE)).unwrap_or_default();
    let known = file_names(&settings);
    let is_read = |name: &str| known.contains(name) || name == WORKBOOK;
    for name in names {
        if !is_read(&name) {
            // Only the name matters: it may be a slip.
            files.insert(name, Vec::new());
            continue;
        }
        match std::fs::read(dir.join(&name)) {
            Ok(bytes) => {
                files.insert(name, bytes);
            }
            Err(error) if error.kind() == ErrorKind::NotFound => {}
            Err(error) => {
                let problem = Mistake::Unreadable { reason: error.to_string() };
                unreadable.push(FileFault::whole(&name, problem));
            }
        }
    }
    let sheets = workbook::part(&mut files, &mut unreadable);
    let shop = read_all(&files, unreadable).map_err(|mut faults| {
        for fault in faults.0.iter_mut().filter(|fault| sheets.contains(&fault.file)) {
            fault.file = workbook::place(&fault.file);
        }
        faults
    })?;
    files.retain(|name, _| is_read(name));
    Ok((shop, files))
}

/// Reads a shop folder that is in memory: the bytes of each file by its name.
///
/// # Errors
/// As [`read_folder`].
///
/// ```
/// use longpoint::shop::read_files;
/// let faults = read_files(&Default::default()).unwrap_err();
/// assert_eq!(faults.count(), 4);
/// assert!(faults.to_string().starts_with("shop.toml: is missing"));
/// ```
pub fn read_files(files: &BTreeMap<String, Vec<u8>>) -> Result<Shop, Faults> {
    read_all(files, Vec::new())
}

/// The names of the text files that a shop folder may have: its own, and the price lists
/// that this `shop.toml` names. None of them is a path.
pub fn file_names(settings: &[u8]) -> BTreeSet<String> {
    let own = FILES.iter().map(|(name, _)| (*name).to_owned());
    own.chain(settings::list_files(settings)).collect()
}

/// The tables that are not written with commas between their cells, and how they are.
pub fn written_otherwise(files: &BTreeMap<String, Vec<u8>>) -> Vec<(&str, &'static str)> {
    let tables = files.iter().filter(|(name, _)| name.ends_with(".csv"));
    tables.filter_map(|(name, bytes)| Some((name.as_str(), figures::otherwise(bytes)?))).collect()
}

/// A code as it may stand in a file, typed elsewhere: of a lot, a label.
///
/// # Errors
/// Why it may not.
pub fn read_code(text: &str) -> Result<String, Mistake> {
    cells::id(text.trim())
}

/// Free words as they may stand in a file, typed elsewhere: a place, a reason.
///
/// # Errors
/// Why they may not.
pub fn read_words(text: &str) -> Result<String, Mistake> {
    cells::text(text.trim())
}

/// A time of day as it may stand in a file, typed elsewhere: `14:30`.
///
/// # Errors
/// Why it is none.
pub fn read_time(text: &str) -> Result<Time, Mistake> {
    calendar::time(text)
}

/// Flaws as a cell has them, typed elsewhere: `14 1/2 .. 16; 90 .. 91`.
///
/// # Errors
/// Why they are none.
pub fn read_flaws(text: &str, settings: &Settings) -> Result<Vec<Flaw>, Mistake> {
    let figures = cells::ReadingUnits { unit: settings.unit, currency: settings.currency.clone() };
    let ranges = lists::ranges(text, &figures)?;
    Ok(ranges.into_iter().map(|(from, to)| Flaw { from, to }).collect())
}

/// The names in a folder, in order.
fn folder_names(dir: &Path) -> Result<Vec<String>, Faults> {
    let list = || -> std::io::Result<Vec<String>> {
        let mut names = Vec::new();
        for entry in std::fs::read_dir(dir)? {
            names.extend(entry?.file_name().into_string().ok());
        }
        names.sort_unstable();
        Ok(names)
    };
    list().map_err(|error| {
        let problem = Mistake::NoFolder { reason: error.to_string() };
        Faults(vec![FileFault::whole(&dir.display().to_string(), problem)])
    })
}

fn read_all(files: &BTreeMap<String, Vec<u8>>, unreadable: Vec<FileFault>) -> Result<Shop, Faults> {
    let mut faults = unreadable;
    let bytes = |name: &str| files.get(name).map(Vec::as_slice);
    check_names(files, &mut faults);
    let ground = settings::read(bytes(settings::FILE), &mut faults);
    let mouldings = mouldings::read(bytes(mouldings::FILE), &ground, &mut faults);
    let Ground { figures, settings, cutters, mut sheet_rules, lists } = ground;
    let means = (&figures, settings.as_ref());
    let suppliers = suppliers::read(bytes(suppliers::FILE), means, &mut faults);
    let ways = (&figures, &suppliers);
    let materials = materials::read(bytes(materials::FILE), ways, &mut faults);
    let with_jobs = jobs::tickets(bytes(jobs::FILE));
    let means = (&figures, &mouldings, &with_jobs);
    let (mut frames, tickets) = frames::read(bytes(frames::FILE), means, &mut faults);
    let style = settings::style(&figures, settings.as_ref());
    let bench = JobGround {
        figures: &figures,
        settings: settings.as_ref(),
        style,
        mouldings: &mouldings,
        materials: &materials,
        tickets: &tickets,
    };
    let jobs = jobs::read(bytes(jobs::FILE), &bench, &mut frames, &mut faults);
    let (rack, sticks) = rack::read(bytes(rack::FILE), &figures, style, &mouldings, &mut faults);
    let sheets = sheets::read(bytes(sheets::FILE), &figures, &sticks, &mut faults);
    let means = (&figures, &mouldings, settings.as_ref());
    let worths = worths::read(bytes(worths::FILE), means, style, &mut faults);
    let has_lists = !lists.is_empty();
    let lists = Listings::read(&lists, bytes, ways, &mut faults);
    let settings_read = settings.as_ref();
    let means = Means {
        figures: &figures,
        settings: settings_read,
        suppliers: &suppliers,
        mouldings: &mouldings,
    };
    let (offers, lists) = offers::read(bytes(offers::FILE), lists, &means, &mut faults);
    let is_known = files.contains_key(suppliers::FILE)
        || faults.iter().any(|fault| fault.file == suppliers::FILE);
    let has_sellers = materials.items().any(|material| material.supplier.is_some());
    if (!offers.is_empty() || has_lists || has_sellers) && !is_known {
        faults.push(FileFault::whole(suppliers::FILE, Mistake::MissingFile));
    }
    if !faults.is_empty() {
        sort(&mut faults);
        return Err(Faults(faults));
    }
    let mut mouldings = mouldings.into_items();
    for (moulding, worths) in worths {
        mouldings.entry(moulding).and_modify(|moulding| moulding.worths = worths);
    }
    let offers = whole(offers);
    price_by_offers(&mut mouldings, &offers);
    let materials = materials.into_items();
    for material in materials.values().filter(|material| material.is_made_to_size()) {
        sheet_rules.entry(material.id.clone()).or_default().made_to_size = true;
    }
    let mut shop = Shop {
        settings: settings.expect("settings without a fault are whole"),
        cutters: cutters.into_items(),
        mouldings,
        frames: whole(frames),
        materials,
        jobs,
        rack: whole(rack),
        sheets: whole(sheets),
        sheet_rules,
        coming: Vec::new(),
        spare: Vec::new(),
        suppliers: suppliers.into_items(),
        offers,
        lists,
    };
    build_out(&mut shop);
    Ok(shop)
}

/// Gives the frames of jobs the build-outs that they add by themselves.
fn build_out(shop: &mut Shop) {
    let add = |frame: &Frame| shop.build_out_by_itself(frame, shop.jobs.get(&frame.id)?);
    let added: Vec<Option<Layer>> = shop.frames.iter().map(add).collect();
    for (frame, layer) in shop.frames.iter_mut().zip(added) {
        frame.layers.extend(layer);
    }
}

/// Gives a moulding without a price that of its first offer of sticks, so that
/// what is left of it is worth money.
fn price_by_offers(mouldings: &mut BTreeMap<String, Moulding>, offers: &[Offer]) {
    for moulding in mouldings.values_mut().filter(|moulding| moulding.price.is_none()) {
        let own = |offer: &&Offer| {
            offer.moulding == moulding.id
                && matches!(offer.form, Form::Length | Form::Box { .. })
                && offer.per != Per::Box
                && (offer.per != Per::Stick
                    || offer.lengths.ends() == (moulding.stick, moulding.stick))
        };
        let paid = |offer: &Offer| Worth(offer.price.0 * offer.paid() / i64::from(WHOLE));
        let price = |offer: &Offer| Price { amount: paid(offer), per: offer.per };
        moulding.price = offers.iter().find(own).map(price);
    }
}

/// What was read of rows, once no file has a fault.
fn whole<T>(rows: Vec<Option<T>>) -> Vec<T> {
    rows.into_iter().map(|row| row.expect("a row without a fault is whole")).collect()
}

/// Says which files are missing, and which are there under nearly their name.
fn check_names(files: &BTreeMap<String, Vec<u8>>, faults: &mut Vec<FileFault>) {
    let unreadable: Vec<String> = faults.iter().map(|fault| fault.file.clone()).collect();
    let absent = |name: &str| !files.contains_key(name) && !unreadable.iter().any(|u| u == name);
    let suggest = Suggest::new();
    let settings = files.get(settings::FILE).map(Vec::as_slice).unwrap_or_default();
    let lists = settings::list_files(settings);
    let is_other =
        |name: &&String| !lists.contains(*name) && FILES.iter().all(|(known, _)| known != name);
    for name in files.keys().filter(is_other) {
        let candidates = FILES.iter().map(|(known, _)| *known).filter(|known| absent(known));
        if let Some(near) = suggest.near(name, candidates) {
            faults.push(FileFault::whole(name, Mistake::Misnamed { near }));
        }
    }
    for (name, needed) in FILES {
        if needed && absent(name) {
            faults.push(FileFault::whole(name, Mistake::MissingFile));
        }
    }
}

/// By file in the order of reading, then row, then column.
fn sort(faults: &mut [FileFault]) {
    let place = |file: &str| FILES.iter().position(|(known, _)| *known == file);
    faults.sort_by_key(|fault| (place(&fault.file), fault.row, fault.position));
}
