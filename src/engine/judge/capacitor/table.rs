//! [`Table`]: the tables that a job may have of its own.

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
