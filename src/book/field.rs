//! The columns of the book that have a state, and the words for what they hold.

/// Names each field with its table and column.
macro_rules! fields {
    ($($field:ident: $table:literal . $column:literal,)*) => {
        /// A column whose every change is noted, so that it can be undone.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub(super) enum Field {
            $($field,)*
        }

        impl Field {
            /// All of them.
            pub const ALL: &[Field] = &[$(Field::$field,)*];

            /// The table and its column.
            pub fn column(self) -> (&'static str, &'static str) {
                match self {
                    $(Field::$field => ($table, $column),)*
                }
            }
        }
    };
}

fields! {
    PaperText: "paper"."text",
    StickMoulding: "stick"."moulding",
    StickLot: "stick"."lot",
    StickPlace: "stick"."place",
    StickFlaws: "stick"."flaws",
    StickSince: "stick"."since",
    StickJob: "stick"."job",
    JobState: "job"."state",
    CopyState: "copy"."state",
    CopyJob: "copy"."job",
    CopyMade: "copy"."made",
    LayState: "lay"."state",
    LayLength: "lay"."length",
    LayRemains: "lay"."remains",
    LayLabel: "lay"."label",
    RailState: "rail"."state",
    RailFrame: "rail"."frame",
    RailCopy: "rail"."copy",
    RailLayer: "rail"."layer",
    RailSide: "rail"."side",
    RailAlike: "rail"."alike",
    LineCame: "line"."came",
    LineGivenUp: "line"."given_up",
    LineArrives: "line"."arrives",
    LineAnswer: "line"."answer",
    LineReference: "line"."reference",
    LineState: "line"."state",
    ChopState: "chop"."state",
    BillState: "bill"."state",
    SheetWidth: "sheet"."width",
    SheetHeight: "sheet"."height",
    SheetPlace: "sheet"."place",
    SheetNote: "sheet"."note",
    SheetSince: "sheet"."since",
    SheetState: "sheet"."state",
    SheetCutState: "sheet_cut"."state",
    SheetPieceState: "sheet_piece"."state",
    PromiseState: "promise"."state",
}

impl Field {
    /// How notes name it.
    pub fn name(self) -> String {
        let (table, column) = self.column();
        format!("{table}.{column}")
    }

    /// The field that a note names.
    pub fn named(name: &str) -> Option<Field> {
        Field::ALL.iter().copied().find(|field| field.name() == name)
    }
}
