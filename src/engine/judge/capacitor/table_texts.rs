//! [`Table`] and [`TableTexts`]: the tables that a job may have of its own, and their texts.

use super::{InsulationTable, LeakageTable, LossTable};

/// One of the tables of limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Table {
    /// The largest loss factor.
    Loss,
    /// The largest leakage current of electrolytics.
    Leakage,
    /// The least insulation of all other capacitors.
    Insulation,
}

impl Table {
    /// Every table.
    pub const ALL: [Self; 3] = [Self::Loss, Self::Leakage, Self::Insulation];

    /// The file that holds it, in the folder of a job and in a recording.
    pub const fn file_name(self) -> &'static str {
        match self {
            Self::Loss => "loss.toml",
            Self::Leakage => "leakage.toml",
            Self::Insulation => "insulation.toml",
        }
    }

    /// The text of the one that comes with the program, with its comments: to start one's own from.
    pub const fn shipped_text(self) -> &'static str {
        match self {
            Self::Loss => LossTable::shipped_text(),
            Self::Leakage => LeakageTable::shipped_text(),
            Self::Insulation => InsulationTable::shipped_text(),
        }
    }
}

/// The texts of a job's own tables. An empty one, as all are by default, stands for the table that comes with the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct TableTexts<'a> {
    texts: [&'a str; Table::ALL.len()],
}

impl<'a> TableTexts<'a> {
    /// These, but that text for `table`.
    #[must_use]
    pub const fn with(mut self, table: Table, text: &'a str) -> Self {
        self.texts[table as usize] = text;
        self
    }

    /// The text for `table`.
    pub const fn get(self, table: Table) -> &'a str {
        self.texts[table as usize]
    }
}
