//! [`Drawing`]: the conventions that values were written by, and [`Remark`]: what the reader of a marking had to decide by itself.

use std::fmt;

/// A reading of a marking that could have been another one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Remark {
    /// `M` behind a resistance was read as a thousand, because the setting says so.
    MIsThousand,
    /// A lone `Ω` on a drawing that uses `M` for a thousand: some of those use it for a million.
    OmegaMayBeMillion,
    /// A lower-case `m` was read as a thousandth.
    SmallMIsMilli,
    /// `mF` or `MF` was read as microfarad, as old lists mean it.
    MfIsMicrofarad,
    /// A capacitance below one without a unit was read in microfarad.
    BareMicrofarad,
    /// Three figures were read as the code of two figures and a power of ten, in picofarad.
    ThreeFigureCode,
    /// A capital `M` before henry, volt or ampere was read as a thousandth.
    CapitalMIsMilli,
    /// The text fits a resistance too; the voltage beside it made it a capacitance.
    CapacitanceByVoltage,
    /// There is no tolerance band: 20 %.
    NoToleranceBand,
    /// Orange and yellow are tolerance colours since IEC 60062:2016 only.
    ToleranceColourSince2016,
    /// Grey as a tolerance was read as 0.01 %; lists before IEC 60062:2016 have 0.05 %.
    GreyTolerance,
    /// The fifth band behind gold or silver may be a military failure rate behind a code of four bands.
    PossibleFailureRate,
    /// An end or dot that cannot be seen was taken to have the colour of the body.
    HiddenMark,
}

impl fmt::Display for Remark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::MIsThousand => "`M` read as thousand, as the setting `m_is_thousand` says",
            Self::OmegaMayBeMillion => "`Ω` read as ohm; some drawings that use `M` for thousand use a lone `Ω` for a million",
            Self::SmallMIsMilli => "lower-case `m` read as a thousandth; write `M` or `Meg` for a million",
            Self::MfIsMicrofarad => "`mF` or `MF` read as microfarad, as old lists mean it",
            Self::BareMicrofarad => "capacitance below one without a unit read in µF",
            Self::ThreeFigureCode => "three figures read as the code: two figures and a power of ten, in pF",
            Self::CapitalMIsMilli => "capital `M` read as a thousandth, as lists in capitals mean it before henry, volt and ampere",
            Self::CapacitanceByVoltage => "would also fit a resistance; read as a capacitance because a voltage stands beside it",
            Self::NoToleranceBand => "no tolerance band: 20 %",
            Self::ToleranceColourSince2016 => "orange and yellow are tolerance colours since 2016 only; on an older part this band means something else",
            Self::GreyTolerance => "grey read as 0.01 %; lists before 2016 have 0.05 %",
            Self::PossibleFailureRate => "if the part is of military make, the fifth band may be a failure rate and the code one of four bands",
            Self::HiddenMark => "an end or dot not seen was taken to have the colour of the body",
        })
    }
}

/// How the maker's drawing writes its values, where old practice was not of one mind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Drawing {
    /// `M` (or `m`) behind a resistance means a thousand: `10M` is 10 kΩ. Otherwise it means a million.
    /// `Meg` is a million in either case.
    pub m_is_thousand: bool,
}
