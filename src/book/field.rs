//! The columns of the book that have a state, and the words for what they hold.

/// A column whose every change is noted, so that it can be undone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Field {
    PaperText,
    StickMoulding,
    StickLot,
    StickPlace,
    StickFlaws,
    StickSince,
    StickJob,
    JobState,
    CopyState,
    CopyJob,
    LayState,
    LayLength,
    LayRemains,
    LayLabel,
    RailState,
    RailFrame,
    RailCopy,
    RailLayer,
    RailSide,
    RailAlike,
    LineCame,
    LineState,
    ChopState,
}

use Field::*;

impl Field {
    /// All of them.
    pub const ALL: [Field; 23] = [
        PaperText,
        StickMoulding,
        StickLot,
        StickPlace,
        StickFlaws,
        StickSince,
        StickJob,
        JobState,
        CopyState,
        CopyJob,
        LayState,
        LayLength,
        LayRemains,
        LayLabel,
        RailState,
        RailFrame,
        RailCopy,
        RailLayer,
        RailSide,
        RailAlike,
        LineCame,
        LineState,
        ChopState,
    ];

    /// The table and its column.
    pub fn column(self) -> (&'static str, &'static str) {
        match self {
            PaperText => ("paper", "text"),
            StickMoulding => ("stick", "moulding"),
            StickLot => ("stick", "lot"),
            StickPlace => ("stick", "place"),
            StickFlaws => ("stick", "flaws"),
            StickSince => ("stick", "since"),
            StickJob => ("stick", "job"),
            JobState => ("job", "state"),
            CopyState => ("copy", "state"),
            CopyJob => ("copy", "job"),
            LayState => ("lay", "state"),
            LayLength => ("lay", "length"),
            LayRemains => ("lay", "remains"),
            LayLabel => ("lay", "label"),
            RailState => ("rail", "state"),
            RailFrame => ("rail", "frame"),
            RailCopy => ("rail", "copy"),
            RailLayer => ("rail", "layer"),
            RailSide => ("rail", "side"),
            RailAlike => ("rail", "alike"),
            LineCame => ("line", "came"),
            LineState => ("line", "state"),
            ChopState => ("chop", "state"),
        }
    }

    /// How notes name it.
    pub fn name(self) -> String {
        let (table, column) = self.column();
        format!("{table}.{column}")
    }

    /// The field that a note names.
    pub fn named(name: &str) -> Option<Field> {
        Field::ALL.into_iter().find(|field| field.name() == name)
    }
}
