//! [`Header`]: the first line of a parts list, which names the columns.

use std::sync::Arc;

use super::{ListError, Problem};

/// A column that the program knows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Column {
    Ref,
    Kind,
    Value,
    Tolerance,
    Rating,
    Material,
    Role,
    From,
    To,
    InCircuit,
    Note,
    Loss,
    Leakage,
    Frequency,
    SheetOhmPerVolt,
    SheetRange,
    SourceOhm,
    With,
    Also,
    Law,
    Load,
    Largest,
}

impl Column {
    /// Every column, in the order of their declaration.
    pub(super) const ALL: [Self; 22] = [
        Self::Ref,
        Self::Kind,
        Self::Value,
        Self::Tolerance,
        Self::Rating,
        Self::Material,
        Self::Role,
        Self::From,
        Self::To,
        Self::InCircuit,
        Self::Note,
        Self::Loss,
        Self::Leakage,
        Self::Frequency,
        Self::SheetOhmPerVolt,
        Self::SheetRange,
        Self::SourceOhm,
        Self::With,
        Self::Also,
        Self::Law,
        Self::Load,
        Self::Largest,
    ];

    /// The columns that a list cannot do without.
    const REQUIRED: [Self; 3] = [Self::Ref, Self::Kind, Self::Value];

    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Ref => "ref",
            Self::Kind => "kind",
            Self::Value => "value",
            Self::Tolerance => "tolerance",
            Self::Rating => "rating",
            Self::Material => "material",
            Self::Role => "role",
            Self::From => "from",
            Self::To => "to",
            Self::InCircuit => "in_circuit",
            Self::Note => "note",
            Self::Loss => "loss",
            Self::Leakage => "leakage",
            Self::Frequency => "frequency",
            Self::SheetOhmPerVolt => "sheet_ohm_per_volt",
            Self::SheetRange => "sheet_range",
            Self::SourceOhm => "source_ohm",
            Self::With => "with",
            Self::Also => "also",
            Self::Law => "law",
            Self::Load => "load",
            Self::Largest => "largest",
        }
    }

    fn named(text: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|column| column.name().eq_ignore_ascii_case(text.trim()))
    }
}

/// Where each column stands.
pub(super) struct Header {
    /// The place of each known column, in the order of [`Column::ALL`].
    places: [Option<usize>; Column::ALL.len()],
    /// The place of each other column.
    extra: Vec<usize>,
    /// The names of the other columns.
    extra_names: Arc<[String]>,
    /// How many columns there are.
    width: usize,
}

impl Header {
    /// Reads the first record, with everything that is wrong with it.
    pub(super) fn read(record: &csv::StringRecord, row: usize) -> (Self, Vec<ListError>) {
        let mut header = Self {
            places: [None; Column::ALL.len()],
            extra: Vec::new(),
            extra_names: Arc::default(),
            width: record.len(),
        };
        let mut errors = Vec::new();
        let mut extra_names = Vec::new();
        for (place, name) in record.iter().enumerate() {
            match Column::named(name) {
                Some(column) if header.place(column).is_some() => {
                    errors.push(ListError::in_column(
                        row,
                        column.name(),
                        Problem::ColumnTwice,
                    ));
                }
                Some(column) => header.places[column as usize] = Some(place),
                None => {
                    header.extra.push(place);
                    extra_names.push(name.to_owned());
                }
            }
        }
        header.extra_names = extra_names.into();
        errors.extend(header.missing(record, row));
        (header, errors)
    }

    fn missing(&self, record: &csv::StringRecord, row: usize) -> Vec<ListError> {
        let separator = record
            .iter()
            .next()
            .and_then(|only| only.chars().find(|c| matches!(c, ';' | '\t')));
        if let (1, Some(found)) = (record.len(), separator) {
            return vec![ListError::in_file(row, Problem::WrongSeparator { found })];
        }
        let missing = Column::REQUIRED
            .into_iter()
            .filter(|column| self.place(*column).is_none());
        missing
            .map(|column| ListError::in_column(row, column.name(), Problem::MissingColumn))
            .collect()
    }

    /// Whether the required columns are there, so that rows can be read.
    pub(super) fn is_complete(&self) -> bool {
        Column::REQUIRED
            .into_iter()
            .all(|column| self.place(column).is_some())
    }

    /// Where `column` stands, if it is there.
    pub(super) const fn place(&self, column: Column) -> Option<usize> {
        self.places[column as usize]
    }

    /// The places of the columns that the program does not know.
    pub(super) fn extra_places(&self) -> impl Iterator<Item = usize> {
        self.extra.iter().copied()
    }

    /// How many columns there are.
    pub(super) const fn width(&self) -> usize {
        self.width
    }

    /// The names of the columns that the program does not know.
    pub(super) const fn extra_names(&self) -> &Arc<[String]> {
        &self.extra_names
    }
}
