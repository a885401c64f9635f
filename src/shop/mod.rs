//! The shop as plain data: what people typed, checked and made exact.
//!
//! The reader is the only way in; everything after it can rely on what the
//! types here promise (references resolve, sizes are positive, ids are unique).

mod build_out;
mod buying;
mod calendar;
mod consent;
mod cutter;
mod doubts;
mod find;
mod frame;
mod job;
mod material;
mod moulding;
mod offer_doubts;
pub(crate) mod price;
mod rabbet;
mod rack;
mod read;
mod settings;
mod sheets;
mod spare;
mod typed;
mod wood;
pub mod write;

pub use build_out::BuildOutMisfit;
pub use buying::{
    Carton, Form, Freight, Lengths, LongParcel, Offer, OfferDates, PriceList, PriceStep,
    SmallOrder, Supplier, WHOLE, halved,
};
pub use calendar::{Days, ShopDays};
pub use consent::{Consent, ConsentTo};
pub use cutter::{Cutter, Stop};
pub use doubts::doubts;
pub use find::Unknown;
pub(crate) use find::nearest;
pub use frame::{FilletWindow, Frame, FrameProgress, Layer, Supplied};
pub use job::{Art, Back, Hang, Job, JobRules, Place, lip};
pub use material::{
    MaterialKind, MaterialPer, MaterialPrice, SQUARE_FOOT, SQUARE_METRE, SafetyClass, ShopMaterial,
};
pub use moulding::{Kind, MOST_WORTHS, Match, Moulding, Per, Price};
pub use offer_doubts::odd_move;
pub use price::{Footage, Markup, PriceRules};
pub use rabbet::FilledRabbet;
pub use rack::{Coming, Flaw, Stick};
pub use read::edit::table_rows;
pub use read::{
    Beyond, Faults, FileFault, JobMistake, ListChanges, ListedPrice, Mistake, file_names,
    list_changes, listed_prices, read_code, read_files, read_flaws, read_folder,
    read_folder_and_files, read_pieces, read_time, read_words, written_otherwise,
};
pub(crate) use read::{edit::with_cells, shown};
pub use settings::{Buying, Contact, Restock, Settings};
pub use sheets::{Parting, SheetPiece, SheetRules, SheetStock, USUAL_KEEP, piece_word};
pub use spare::Spare;
pub use typed::read_day;
pub use wood::{Body, Wood};

use std::collections::BTreeMap;

use jiff::civil::{Date, Time};

/// Everything that a plan is made from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shop {
    /// Name, units, bench mark and what is worth keeping.
    pub settings: Settings,
    /// The cutting machines by name.
    pub cutters: BTreeMap<String, Cutter>,
    /// The mouldings by id.
    pub mouldings: BTreeMap<String, Moulding>,
    /// The pending frames, in the order of the file.
    pub frames: Vec<Frame>,
    /// What jobs take beside moulding, by id.
    pub materials: BTreeMap<String, ShopMaterial>,
    /// The tickets that begin with an artwork, by number.
    pub jobs: BTreeMap<String, Job>,
    /// The sticks and offcuts on the rack, in the order of the file.
    pub rack: Vec<Stick>,
    /// The boards and glass at hand, in the order of the file.
    pub sheets: Vec<SheetStock>,
    /// How each material is cut, as far as the shop says so.
    pub sheet_rules: BTreeMap<String, SheetRules>,
    /// The sticks that are on order; none in a shop folder.
    pub coming: Vec<Coming>,
    /// The rails that are cut and nobody's; none in a shop folder.
    pub spare: Vec<Spare>,
    /// Who moulding can be bought from, by id.
    pub suppliers: BTreeMap<String, Supplier>,
    /// What can be bought: in the order of the file, then that of the price lists.
    pub offers: Vec<Offer>,
    /// What was read of each price list.
    pub lists: Vec<PriceList>,
}

impl Shop {
    /// The frame with this ticket number, if there is one.
    pub fn frame(&self, id: &str) -> Option<&Frame> {
        self.frames.iter().find(|frame| frame.id == id)
    }

    /// The shop at a time of a day: an order of that day goes out on it to a supplier only
    /// before their cut-off.
    #[must_use]
    pub fn at(mut self, date: Date, time: Time) -> Shop {
        for supplier in self.suppliers.values_mut() {
            if supplier.is_past(time) {
                supplier.orders = supplier.orders.but([(date, date)]);
            }
        }
        self
    }

    /// Whether pieces of a board or a glass may lie either way.
    pub fn may_turn(&self, material: &str) -> bool {
        self.sheet_rules.get(material).is_none_or(|rules| !rules.grain)
    }

    /// Whether a material is made to the size that is wanted, and never cut.
    pub fn is_made_to_size(&self, material: &str) -> bool {
        self.sheet_rules.get(material).is_some_and(|rules| rules.made_to_size)
    }

    /// The last day on which moulding may come for what is due on a day.
    pub fn needed_by(&self, due: Date) -> Date {
        self.settings.days.needed_by(due)
    }

    /// Whether moulding that comes then is too late for what is due on a day.
    pub fn is_late(&self, arrives: Date, due: Option<Date>) -> bool {
        due.is_some_and(|due| arrives > self.needed_by(due))
    }

    /// The sticks on the rack, then those on order: a place in this list is a
    /// stick's place.
    pub fn sticks(&self) -> impl Iterator<Item = &Stick> {
        self.rack.iter().chain(self.coming.iter().map(|coming| &coming.stick))
    }

    /// The stick in a place of [`sticks`](Self::sticks).
    ///
    /// # Panics
    /// If there is no such place.
    pub fn stick(&self, place: usize) -> &Stick {
        match place.checked_sub(self.rack.len()) {
            None => &self.rack[place],
            Some(beyond) => &self.coming[beyond].stick,
        }
    }

    /// What is on order under a name.
    pub fn coming_stick(&self, name: &str) -> Option<&Coming> {
        self.coming.iter().find(|coming| coming.stick.id == name)
    }

    /// The moulding that a frame's layer or a stick names.
    ///
    /// # Panics
    /// If the shop was not read by this module and the name does not resolve.
    pub fn moulding(&self, id: &str) -> &Moulding {
        &self.mouldings[id]
    }

    /// The machine that cuts a moulding.
    ///
    /// # Panics
    /// As [`moulding`](Self::moulding).
    pub fn cutter_of(&self, moulding: &Moulding) -> &Cutter {
        &self.cutters[&moulding.cutter]
    }
}
