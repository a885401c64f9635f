//! The rows of one frame, gathered into a ticket of one or several layers.

use jiff::civil::Date;

use crate::measure::{Length, Mitre};
use crate::shop::{BuildOutMisfit, Frame, FrameProgress, Kind, Layer, Moulding};

use super::cells::{self, ReadingUnits};
use super::mistake::Mistake;
use super::register::Register;
use super::table::Row;

/// One frame while its rows are being read.
pub(super) struct Ticket {
    id: String,
    /// The row of each layer so far; none for one that was said to be missing.
    rows: Vec<Option<u64>>,
    layers: Vec<Option<Layer>>,
    head: Head,
    notes: Vec<String>,
    first_row: u64,
    /// Whether its size may be left to a job.
    has_job: bool,
}

/// What stands once for the whole frame, on layer 1; nothing where the row has
/// a fault.
#[derive(Default)]
struct Head {
    sides: Option<u32>,
    width: Option<Length>,
    height: Option<Length>,
    copies: Option<u32>,
    due: Option<Option<Date>>,
    came: Option<Option<Date>>,
    promised: Option<bool>,
    thickness: Option<Option<Length>>,
}

impl Ticket {
    pub(super) fn new(id: String, first_row: u64, has_job: bool) -> Ticket {
        let (rows, layers, notes) = (Vec::new(), Vec::new(), Vec::new());
        Ticket { id, rows, layers, head: Head::default(), notes, first_row, has_job }
    }

    /// Takes in one row: layer 1 with the size, or the next layer of a stack.
    pub(super) fn add(
        &mut self,
        row: &mut Row,
        number: Option<u32>,
        layer: Option<Layer>,
        figures: &ReadingUnits,
    ) {
        let next = self.rows.len() + 1;
        let at = number.and_then(|number| usize::try_from(number).ok()).unwrap_or(next);
        if number == Some(1) {
            let head = Head::read(row, figures, self.has_job);
            if self.rows.is_empty() {
                self.head = head;
            }
        } else {
            self.head.check_upper(row, figures);
        }
        if let Some(&Some(first)) = self.rows.get(at - 1) {
            row.fault("frame", Mistake::RepeatedLayer { layer: at, first });
            return;
        }
        if at > next {
            row.fault("layer", Mistake::LayerGap { missing: next });
        }
        let length = self.rows.len().max(at);
        self.rows.resize(length, None);
        self.layers.resize(length, None);
        self.rows[at - 1] = Some(row.number);
        self.layers[at - 1] = layer;
        self.notes.extend(row.take("note", cells::text).flatten());
    }

    /// What keeps the next layer from lying behind the others, if anything does.
    pub(super) fn misfit(
        &self,
        layer: Option<&Layer>,
        mouldings: &Register<Moulding>,
    ) -> Option<BuildOutMisfit> {
        let known = |layer: &Layer| mouldings.resolve(&layer.moulding).ok().flatten();
        let strip = known(layer?)?;
        let mut before = None;
        for layer in &self.layers {
            // A layer with a fault of its own is judged no further.
            let moulding = known(layer.as_ref()?)?;
            before = if moulding.kind == Kind::BuildOut { before } else { Some(moulding) };
        }
        let sides = self.head.sides.and_then(|sides| Mitre::new(u8::try_from(sides).ok()?));
        BuildOutMisfit::of(strip, before, sides)
    }

    /// The frame, if none of its rows has a fault.
    pub(super) fn into_frame(self) -> Option<Frame> {
        let sides = u8::try_from(self.head.sides?).ok()?;
        Some(Frame {
            id: self.id,
            layers: self.layers.into_iter().collect::<Option<Vec<_>>>()?,
            width: self.head.width?,
            height: self.head.height?,
            mitre: Mitre::new(sides)?,
            copies: self.head.copies?,
            progress: FrameProgress::default(),
            due: self.head.due?,
            came: self.head.came?,
            promised: self.head.promised?,
            thickness: self.head.thickness?,
            note: self.notes.join("; "),
            row: self.first_row,
        })
    }
}

/// Says what is wrong in a row whose frame is not known.
pub(super) fn check_row(row: &mut Row, number: Option<u32>, figures: &ReadingUnits) {
    if number == Some(1) {
        Head::read(row, figures, false);
    } else {
        Head::default().check_upper(row, figures);
    }
    row.take("note", cells::text);
}

impl Head {
    fn read(row: &mut Row, figures: &ReadingUnits, has_job: bool) -> Head {
        let sides = row.take("sides", cells::count(3, 16)).map(|sides| sides.unwrap_or(4));
        // A job says what size it is, and has four sides.
        let has_job = has_job && row.is_empty("width") && row.is_empty("height");
        let width = match has_job {
            true => Some(Length::ZERO),
            false => row.need("width", figures.positive("the width")),
        };
        let height = if has_job {
            width
        } else if sides == Some(4) {
            row.need("height", figures.positive("the height"))
        } else {
            let height = row.take("height", figures.positive("the height"));
            let unlike = |(height, width): (Option<Length>, Length)| {
                height.is_some_and(|height| height != width)
            };
            if sides.is_some() && height.zip(width).is_some_and(unlike) {
                row.fault("height", Mistake::UnlikeWidth);
            }
            height.and(width)
        };
        let due = row.take("due", cells::date);
        let promised =
            row.take("promised", cells::word(&cells::ANSWERS)).map(|yes| yes.unwrap_or(false));
        if promised == Some(true) && due == Some(None) {
            row.fault("due", Mistake::Missing { what: "the day that was promised" });
        }
        Head {
            sides,
            width,
            height,
            copies: row.take("copies", cells::count(1, 10_000)).map(|copies| copies.unwrap_or(1)),
            due,
            came: row.take("came", cells::date),
            promised,
            thickness: row.take("thickness", figures.positive("the thickness")),
        }
    }

    /// Checks that an upper layer says nothing else than the first.
    fn check_upper(&self, row: &mut Row, figures: &ReadingUnits) {
        let sides = row.take("sides", cells::count(3, 16));
        alike(row, "sides", sides, self.sides);
        let width = row.take("width", figures.positive("the width"));
        alike(row, "width", width, self.width);
        let height = row.take("height", figures.positive("the height"));
        alike(row, "height", height, self.height);
        let copies = row.take("copies", cells::count(1, 10_000));
        alike(row, "copies", copies, self.copies);
        let due = row.take("due", cells::date);
        alike(row, "due", due.map(|due| due.map(Some)), self.due);
        let came = row.take("came", cells::date);
        alike(row, "came", came.map(|came| came.map(Some)), self.came);
        let promised = row.take("promised", cells::word(&cells::ANSWERS));
        alike(row, "promised", promised, self.promised);
        let thickness = row.take("thickness", figures.positive("the thickness"));
        alike(row, "thickness", thickness.map(|t| t.map(Some)), self.thickness);
    }
}

/// Says so if a filled cell of an upper layer is not what layer 1 has.
fn alike<T: PartialEq>(
    row: &mut Row,
    column: &'static str,
    upper: Option<Option<T>>,
    first: Option<T>,
) {
    if upper.flatten().zip(first).is_some_and(|(upper, first)| upper != first) {
        row.fault(column, Mistake::UnlikeLayerOne);
    }
}
