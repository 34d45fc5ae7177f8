//! [`Standing`]: where a part stands.

use std::fmt;

/// Where a part stands, from what is most urgent to what is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Standing {
    /// Not good, or not known to be, and nobody has said what is to be done.
    Undecided,
    /// Something of it was never measured, and nothing was decided.
    NotMeasured,
    /// It is to be replaced.
    ToReplace,
    /// A new one is on order.
    OnOrder,
    /// A new one was put in, and not measured since.
    FittedNotMeasured,
    /// A new one was put in, measured since, and good.
    FittedGood,
    /// It stays although it is not good, knowingly.
    Accepted,
    /// The person said that it stays.
    Kept,
    /// Measured, good, and nothing needed to be decided.
    Good,
}

impl Standing {
    /// Every standing, from what is most urgent to what is done.
    pub const ALL: [Self; 9] = [
        Self::Undecided,
        Self::NotMeasured,
        Self::ToReplace,
        Self::OnOrder,
        Self::FittedNotMeasured,
        Self::FittedGood,
        Self::Accepted,
        Self::Kept,
        Self::Good,
    ];

    /// The words for people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Undecided => "not good, to be decided",
            Self::NotMeasured => "not measured yet",
            Self::ToReplace => "to be replaced",
            Self::OnOrder => "on order",
            Self::FittedNotMeasured => "fitted, to be measured",
            Self::FittedGood => "fitted and good",
            Self::Accepted => "accepted as it is",
            Self::Kept => "kept",
            Self::Good => "good",
        }
    }

    /// Whether something is still to be done.
    pub const fn is_open(self) -> bool {
        match self {
            Self::Undecided
            | Self::NotMeasured
            | Self::ToReplace
            | Self::OnOrder
            | Self::FittedNotMeasured => true,
            Self::FittedGood | Self::Accepted | Self::Kept | Self::Good => false,
        }
    }
}

impl fmt::Display for Standing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.words())
    }
}
