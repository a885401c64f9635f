//! The stick in hand: which it is, what comes next, and how the machine stands.

use crate::book::{AtBench, BenchRail, BenchStick, BookError, RailState};
use crate::chop::{Cut, MachineSheet, StickSteps};
use crate::measure::{Length, LengthStyle, Mitre, Unit};
use crate::plan::{Left, Warning};
use crate::shop::Flaw;
use crate::web::today::Today;

/// A stick at the bench with all that is known of it.
pub struct InHand<'a> {
    /// The plan that it belongs to.
    pub at: &'a AtBench,
    /// Its machine.
    pub sheet: &'a MachineSheet,
    /// What is done to it.
    pub steps: &'a StickSteps,
    /// What became of it.
    pub stick: &'a BenchStick,
    /// In what lengths are read.
    unit: Unit,
    /// How its machine stands, if that is known: what the stop reads, and the mitre.
    standing: Option<(Length, Mitre)>,
}

/// What is to be done before a cut.
pub struct Before {
    /// The stop moves.
    pub stop: bool,
    /// The mitre changes.
    pub mitre: bool,
    /// So much comes off first, from one place to another.
    pub away: Option<(Length, Length)>,
    /// What of it is kept.
    pub kept: Vec<Left>,
}

impl<'a> InHand<'a> {
    /// The stick of that label, as it stands or but for capitals and blanks.
    pub fn find(today: &'a Today, label: &str) -> Result<InHand<'a>, BookError> {
        let plain = |text: &str| -> String {
            text.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase).collect()
        };
        let meant = plain(label);
        let mut all = InHand::all(today);
        let found = all.find(|hand| plain(&hand.steps.stick) == meant);
        found.ok_or_else(|| {
            BookError::Wrong(format!(
                "{label} is not at the bench: put it back, and take the one that the list says"
            ))
        })
    }

    /// All sticks at the bench, in the order in which they are cut.
    pub fn all(today: &'a Today) -> impl Iterator<Item = InHand<'a>> {
        today.steps().filter_map(|(at, sheet, steps)| {
            let stick = at.sticks.iter().find(|stick| stick.lay.stick == steps.stick)?;
            let standing = today.standing.get(&sheet.cutter).copied();
            Some(InHand { at, sheet, steps, stick, unit: today.shop.settings.unit, standing })
        })
    }

    /// Its label.
    pub fn label(&self) -> &'a str {
        &self.steps.stick
    }

    /// Whether nothing was cut of it yet.
    pub fn is_whole(&self) -> bool {
        !self.stick.is_cut
    }

    /// What is still to be cut of it, in order.
    pub fn to_cut(&self) -> Vec<(&'a Cut, &'a BenchRail)> {
        let both = self.steps.cuts.iter().zip(&self.stick.lay.rails);
        both.filter(|(_, rail)| rail.state == RailState::ToCut).collect()
    }

    /// How long a piece of it is that one taps on: an inch, or two centimetres; longer on a
    /// stick on which there were more of them than anybody looks through.
    pub fn slot(&self) -> Length {
        const MOST: i64 = 160;
        let least = match self.unit {
            Unit::Inch => Length::from_nm(Unit::Inch.nm()),
            Unit::Millimetre => Length::from_nm(20 * Unit::Millimetre.nm()),
        };
        let times = (self.stick.left.nm() / (MOST * least.nm())).max(0) + 1;
        Length::from_nm(least.nm() * times)
    }

    /// Its flaws, measured from the end from which it is cut on: as far as they show.
    pub fn flaws(&self) -> Vec<Flaw> {
        let gone = self.stick.lay.length - self.stick.left;
        let moved = |flaw: &Flaw| Flaw { from: flaw.from - gone, to: flaw.to - gone };
        let beyond = self.steps.flaws.iter().map(moved).filter(|flaw| flaw.to.is_positive());
        beyond.map(|flaw| Flaw { from: flaw.from.max(Length::ZERO), ..flaw }).collect()
    }

    /// The same in words, and that a cut lies on one; nothing where it has none.
    pub fn flaw_words(&self, style: &LengthStyle) -> Option<String> {
        let zone =
            |flaw: &Flaw| format!("{} to {}", style.show(flaw.from), style.show_unit(flaw.to));
        let each: Vec<String> = self.flaws().iter().map(zone).collect();
        let end = end(self.is_whole());
        let cut = if self.stick.on_flaw.is_empty() { "" } else { "; A CUT LIES ON IT" };
        (!each.is_empty()).then(|| format!("FLAW {} from the {end}{cut}", each.join(", ")))
    }

    /// The frames of which something is cut from it whose match is weaker than was asked.
    pub fn relaxed(&self) -> impl Iterator<Item = &'a Warning> {
        let rails = &self.stick.lay.rails;
        self.at.warnings.iter().filter(|warning| match warning {
            Warning::Relaxed { frame, layer, .. } => {
                rails.iter().any(|rail| (&rail.frame, rail.layer) == (frame, *layer))
            }
            Warning::TooThick { .. } | Warning::Late { .. } => false,
        })
    }

    /// How many cuts it has that are made or to be made, and the place of one among them.
    pub fn place(&self, number: usize) -> (usize, usize) {
        let stays = |rail: &&BenchRail| rail.state != RailState::Off;
        let all = self.stick.lay.rails.iter().filter(stays);
        let place = all.clone().filter(|rail| rail.number <= number).count();
        (place, all.count())
    }

    /// Whether the rest of its moulding is planned again before more of it is cut.
    pub fn waits(&self) -> bool {
        !self.stick.lay.is_done() && self.otherwise().next().is_some()
    }

    /// The sticks of its moulding that measure otherwise, each after the moulding.
    pub fn otherwise(&self) -> impl Iterator<Item = &'a (String, String)> {
        self.at.measured.iter().filter(|(moulding, _)| *moulding == self.steps.moulding)
    }

    /// Whether a cut lies on a flaw that was found since.
    pub fn is_on_flaw(&self, rail: &BenchRail) -> bool {
        self.stick.on_flaw.contains(&rail.number)
    }

    /// What is to be done before a cut, where the one before it, if any, was made just now.
    pub fn before(&self, cut: &Cut, just_made: Option<&Cut>) -> Before {
        let standing = just_made.map_or(self.standing, |made| Some((made.stop, made.rail.mitre)));
        let (away, kept) = self.away(cut);
        Before {
            stop: standing.is_none_or(|(stop, _)| stop != cut.stop),
            // Whoever cut last may have left it at any mitre.
            mitre: standing.is_none_or(|(_, mitre)| mitre != cut.rail.mitre),
            away,
            kept,
        }
    }

    /// What comes off before a cut: what no rail lies in.
    fn away(&self, cut: &Cut) -> (Option<(Length, Length)>, Vec<Left>) {
        if let Some(skip) = &cut.skip {
            return (Some((skip.from, skip.to)), skip.kept.clone());
        }
        let own = usize::try_from(cut.number).unwrap_or(usize::MAX);
        let earlier = self.stick.lay.rails.iter().filter(|rail| rail.number < own);
        match earlier.clone().next_back() {
            None if self.steps.first_trim.is_positive() => {
                (Some((Length::ZERO, self.steps.first_trim)), Vec::new())
            }
            // What is not cut any more between two rails goes as scrap.
            Some(last) if last.state == RailState::Off => {
                let stays = earlier.filter(|rail| rail.state != RailState::Off);
                let from = stays.map(|rail| rail.to).max().unwrap_or_default();
                (Some((from, cut.rail.from)), Vec::new())
            }
            _ => (None, Vec::new()),
        }
    }

    /// Whether all that is cut here of a frame copy is cut, once these rails are too.
    pub fn completes(&self, frame: &str, copy: u32, with: &[i64]) -> bool {
        let is_own = |own: &str, number: u32| own == frame && number == copy;
        let mut open = self.at.sticks.iter().flat_map(|stick| &stick.lay.rails);
        let open = open.any(|rail| {
            let is_open = rail.state == RailState::ToCut && !with.contains(&rail.id());
            is_open && is_own(&rail.frame, rail.copy)
        });
        let owed = self.at.owed.iter().any(|owed| is_own(&owed.frame, owed.copy));
        !open && !owed && self.at.copies.iter().any(|(own, number)| is_own(own, *number))
    }

    /// The next stick of this machine that has something to cut, after this one if there
    /// is one.
    pub fn next_stick(&self, today: &'a Today) -> Option<InHand<'a>> {
        let open = InHand::all(today).filter(|hand| {
            hand.sheet.cutter == self.sheet.cutter
                && hand.label() != self.label()
                && !hand.stick.lay.is_done()
        });
        let (after, before): (Vec<_>, Vec<_>) =
            open.partition(|hand| hand.steps.number > self.steps.number);
        after.into_iter().chain(before).next()
    }
}

/// The end from which a stick is measured now.
pub(in crate::web) fn end(is_whole: bool) -> &'static str {
    if is_whole { "marked end" } else { "end you cut last" }
}
