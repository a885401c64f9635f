//! A job: a ticket that begins with an artwork.
//!
//! # Why jobs are a table of their own
//!
//! A frame's row is about moulding, and a stack has several; what is asked of an artwork
//! is another two dozen cells that no shop fills which gives package sizes. So a job has
//! one row in `jobs.csv` under its ticket's number, and the frame's row leaves its size
//! empty, or gives it where the frame is there already: then the borders follow.

use std::collections::BTreeMap;

use super::{Consent, FilletWindow, Kind, Layer, Match, Moulding, Settings, ShopMaterial};
use crate::job::package::{ArtIn, Display, Lip, Misfit, Package, package};
use crate::job::pieces::UNDERMAT;
use crate::measure::{Length, Money, Weight};

/// One job, worked out as far as its package.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Job {
    /// The ticket's number.
    pub frame: String,
    /// What is framed.
    pub art: Art,
    /// How thick it is; of a canvas its bars with the folds.
    pub thick: Option<Length>,
    /// What it weighs.
    pub weight: Option<Weight>,
    /// Its sizes and how it is shown.
    pub shown: ArtIn,
    /// The codes of its mats, innermost first.
    pub mats: Vec<String>,
    /// The moulding of a fillet in the innermost mat.
    pub fillet: Option<String>,
    /// The code of its spacer.
    pub spacer: Option<String>,
    /// The code of its glazing.
    pub glazing: Option<String>,
    /// The code of the board that it is mounted on.
    pub mount: Option<String>,
    /// The code of the board behind.
    pub backing: Option<String>,
    /// What closes its back.
    pub back: Back,
    /// How it is to hang; by its weight if nothing is said.
    pub hang: Option<Hang>,
    /// What is known of where it hangs.
    pub place: Vec<Place>,
    /// The shop's own name for the care that it asks for.
    pub level: String,
    /// What it is worth to the customer, as they say.
    pub value: Option<Money>,
    /// What the customer consents to; nothing if empty.
    pub consent: Consent,
    /// What follows.
    pub package: Package,
}

/// What is framed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Art {
    /// A sheet of paper.
    Paper,
    /// A canvas on bars.
    Canvas,
    /// A panel.
    Panel,
    /// A thing.
    Object,
    /// A mirror.
    Mirror,
    /// Nothing: an empty frame.
    Nothing,
}

/// What closes the back of a frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Back {
    /// A sheet over all of it, the dust cover.
    Cover,
    /// Tape over the joint between frame and package.
    Tape,
    /// Nothing.
    Open,
}

/// How a frame is to hang.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hang {
    /// By a wire.
    Wire,
    /// By a cord.
    Cord,
    /// From two straps.
    Straps,
    /// On a cleat.
    Cleat,
    /// By a set that cannot be lifted off.
    Security,
    /// It stands on a strut.
    Strut,
    /// It does not.
    Nowhere,
}

/// What is known of the place where a frame hangs, and of its wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// Over a bed.
    Bed,
    /// Over a seat.
    Seat,
    /// Over a stair.
    Stair,
    /// In a child's room.
    Child,
    /// Where everybody goes.
    Public,
    /// Where the earth quakes.
    Quake,
    /// On a wall of studs and boards.
    Stud,
    /// On a wall of brick, stone or concrete.
    Masonry,
    /// From a picture rail.
    Rail,
}

/// The shop's rules for jobs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobRules {
    /// The border of a mat where a job says none.
    pub border: Length,
    /// How many times its share a hook must be rated for.
    pub hook_factor: u32,
    /// What screws, points, wire and tape weigh together, if the shop has weighed them.
    pub hardware: Option<Weight>,
    /// How many hours after it is joined a frame may be loaded and hung.
    pub glue_hours: u32,
    /// How much canvas is tucked behind bars on each side.
    pub tuck: Length,
    /// How much smaller than the package an undermat is cut, in each dimension.
    pub undermat: Length,
    /// Whether a package that is too thick adds a build-out to its frame by itself.
    pub build_out: bool,
    /// What the shop writes in place of what is usually told to a customer, by its name;
    /// nothing where it leaves that out.
    pub tell: BTreeMap<String, Option<String>>,
}

impl Default for JobRules {
    /// Hooks for four times their share (a trade author), glue for 24 hours (a maker's
    /// guide), an inch of canvas (two suppliers), two inches of border (an open textbook).
    fn default() -> JobRules {
        JobRules {
            border: Length::from_64ths(128),
            hook_factor: 4,
            hardware: None,
            glue_hours: 24,
            tuck: Length::from_64ths(64),
            undermat: UNDERMAT,
            build_out: false,
            tell: BTreeMap::new(),
        }
    }
}

impl Job {
    /// Whether it is a frame and nothing else: nothing is put into it here.
    pub fn is_empty_frame(&self) -> bool {
        self.art == Art::Nothing && self.fillet.is_none() && self.materials().next().is_none()
    }

    /// How thick the package is, if all of it is measured or as usual; nothing for a canvas, whose bars
    /// stand out behind, and for an empty frame. A fillet counts with its whole height.
    pub fn thickness<'a>(
        &self,
        material: impl Fn(&String) -> Option<&'a ShopMaterial>,
        moulding: impl Fn(&String) -> Option<&'a Moulding>,
    ) -> Option<Length> {
        if self.art == Art::Canvas || self.is_empty_frame() {
            return None;
        }
        let boards = [&self.spacer, &self.glazing, &self.mount, &self.backing];
        let boards = boards.into_iter().flatten().chain(&self.mats);
        let boards = boards.map(|code| material(code)?.takes()).sum::<Option<Length>>()?;
        let fillet = self.fillet.iter().map(|code| moulding(code)?.body.height);
        let art = if self.art == Art::Nothing { Some(Length::ZERO) } else { self.thick };
        Some(boards + fillet.sum::<Option<Length>>()? + art?)
    }

    /// The same at the least: what floats lies within the spacer and the mats that keep glazing
    /// off it.
    pub fn least_thickness<'a>(
        &self,
        material: impl Fn(&String) -> Option<&'a ShopMaterial>,
        moulding: impl Fn(&String) -> Option<&'a Moulding>,
    ) -> Option<Length> {
        let within = self.thick.filter(|_| self.floats());
        Some(self.thickness(material, moulding)? - within.unwrap_or(Length::ZERO))
    }

    /// How thick a canvas is with the glazing and the spacer in front of it: what lies in its
    /// rabbet, or stands out of it.
    pub fn glazed<'a>(
        &self,
        bars: Length,
        material: impl Fn(&String) -> Option<&'a ShopMaterial>,
    ) -> Option<Length> {
        let front = self.glazing.iter().chain(&self.spacer);
        let front = front.map(|code| material(code)?.takes()).sum::<Option<Length>>()?;
        Some(front + bars)
    }

    /// Whether it lies on a board that is seen round it.
    pub fn floats(&self) -> bool {
        matches!(self.shown.display, Display::Floated { .. })
    }

    /// Whether its package lies in the rabbet with all of it: a canvas stands out behind.
    pub fn is_in_rabbet(&self) -> bool {
        self.art != Art::Canvas
    }

    /// The same job in a frame whose innermost moulding meets the package otherwise.
    ///
    /// # Errors
    /// Why it cannot be shown so.
    pub fn within(&self, lip: Lip) -> Result<Job, Misfit> {
        let shown = ArtIn { lip, ..self.shown.clone() };
        let package = package(&shown)?;
        Ok(Job { shown, package, ..self.clone() })
    }

    /// The layer of its fillet, of a moulding that is matched so.
    pub fn fillet_layer(&self, match_: Match) -> Option<Layer> {
        let inner = self.package.mats.first()?;
        let window = FilletWindow { width: inner.0, height: inner.1, seen: self.shown.fillet? };
        Some(Layer {
            moulding: self.fillet.clone()?,
            allowance: None,
            gap: Length::ZERO,
            window: Some(window),
            match_,
            match_floor: match_,
        })
    }

    /// Every material that it names, in the order of the package from the front.
    pub fn materials(&self) -> impl Iterator<Item = &str> {
        let front = self.glazing.iter().chain(&self.spacer).chain(self.mats.iter().rev());
        front.chain(&self.mount).chain(&self.backing).map(String::as_str)
    }
}

/// How a frame's innermost layer meets its package.
pub fn lip(moulding: &Moulding, layer: &Layer, settings: &Settings) -> Lip {
    match moulding.kind {
        Kind::Floater | Kind::BuildOut => Lip { rabbet: Length::ZERO, allowance: Length::ZERO },
        Kind::Rebated | Kind::Reversible => {
            let own = layer.allowance.or(moulding.allowance).unwrap_or(settings.allowance);
            Lip { rabbet: moulding.rabbet, allowance: own }
        }
    }
}

impl Art {
    /// The word used in files and on sheets.
    pub const fn word(self) -> &'static str {
        match self {
            Art::Paper => "paper",
            Art::Canvas => "canvas",
            Art::Panel => "panel",
            Art::Object => "object",
            Art::Mirror => "mirror",
            Art::Nothing => "none",
        }
    }
}

impl Hang {
    /// The word used in files and on sheets.
    pub const fn word(self) -> &'static str {
        match self {
            Hang::Wire => "wire",
            Hang::Cord => "cord",
            Hang::Straps => "straps",
            Hang::Cleat => "cleat",
            Hang::Security => "security",
            Hang::Strut => "strut",
            Hang::Nowhere => "none",
        }
    }
}

impl Place {
    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Place::Bed => "bed",
            Place::Seat => "seat",
            Place::Stair => "stair",
            Place::Child => "child",
            Place::Public => "public",
            Place::Quake => "quake",
            Place::Stud => "stud",
            Place::Masonry => "masonry",
            Place::Rail => "rail",
        }
    }

    /// Whether somebody may be under it who is hurt by what falls.
    pub const fn is_over_people(self) -> bool {
        matches!(self, Place::Bed | Place::Seat | Place::Stair | Place::Child | Place::Public)
    }
}
