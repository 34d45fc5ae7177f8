//! [`Drawing`]: the conventions that values were written by, and [`Remark`]: what the reader of a marking had to decide by itself.
//!
//! [`ValueError`]: why a text is no value.

use std::fmt;

use thiserror::Error;

use super::{Amount, Quantity, ToleranceError};

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
    /// The kind cell was empty; designator and value say it.
    KindByDesignator,
    /// A choke whose inductance is listed was read as a coil.
    ChokeAsCoil,
    /// A tolerance without a unit was read in per cent.
    BareTolerance,
    /// `16/450` was read as a value and its voltage.
    ValueAndVoltage,
    /// A bare number was read in microfarad, since it is one of an electrolytic.
    ElectrolyticMicrofarad,
    /// A centre tap: the value is that of the whole winding.
    CentreTap,
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
            Self::CapacitanceByVoltage => "would also fit a resistance; read as a capacitance because a voltage is beside it",
            Self::KindByDesignator => "no kind stated; taken from designator and value",
            Self::ChokeAsCoil => "a choke whose inductance is listed: read as a coil; write `winding` and the ohms to have its wire measured",
            Self::BareTolerance => "tolerance without a unit read in per cent",
            Self::ValueAndVoltage => "read as a capacitance in µF and its voltage",
            Self::ElectrolyticMicrofarad => "capacitance of an electrolytic without a unit read in µF",
            Self::CentreTap => "a centre tap: read as the resistance of the whole winding",
            Self::NoToleranceBand => "no tolerance band: 20 %",
            Self::ToleranceColourSince2016 => "orange and yellow are tolerance colours since 2016 only; on an older part this band means something else",
            Self::GreyTolerance => "grey read as 0.01 %; lists before 2016 have 0.05 %",
            Self::PossibleFailureRate => "if the part is of military make, the fifth band may be a failure rate and the code one of four bands",
            Self::HiddenMark => "an end or dot not seen was taken to have the colour of the body",
        })
    }
}

/// Habits of the maker's drawing in writing values, where old practice was not of one mind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Drawing {
    /// `M` (or `m`) behind a resistance means a thousand: `10M` is 10 kΩ. Otherwise it means a million.
    /// `Meg` is a million in either case.
    pub m_is_thousand: bool,
}

/// Reason why a text is no value.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ValueError {
    /// Nothing but blanks.
    #[error("found nothing, expected a value such as `4K7`, `820` or `47n`")]
    Empty,
    /// The text does not begin like a value, or figures stand where none can.
    #[error("found `{text}`, expected a value such as `4K7`, `4.7k`, `.047 MFD` or `47n`")]
    NotAValue {
        /// As it was written.
        text: String,
    },
    /// No ratio of turns.
    #[error("found `{text}`, expected a ratio of turns such as `38:1`")]
    NotARatio {
        /// As it was written.
        text: String,
    },
    /// The word behind the number is not known for the quantity.
    #[error("found `{word}` behind the number in `{text}`, expected a unit of {quantity} such as {examples}", examples = examples(*quantity))]
    UnknownUnit {
        /// As it was written.
        text: String,
        word: String,
        /// The quantity that was expected.
        quantity: Quantity,
    },
    /// A comma: a decimal sign for some, a separator of thousands for others.
    #[error(
        "found a comma in `{text}`, expected a full stop as the decimal sign and nothing between thousands"
    )]
    Comma {
        /// As it was written.
        text: String,
    },
    /// Zero or less.
    #[error("found `{text}`, expected a value above zero")]
    NotPositive {
        /// As it was written.
        text: String,
    },
    /// Zero, where a value may have either sign.
    #[error("found `{text}`, expected a value other than zero")]
    Zero {
        /// As it was written.
        text: String,
    },
    /// The number is too large or too small to be kept.
    #[error("found `{text}`, expected a value within the range of the program's numbers")]
    OutOfRange {
        /// As it was written.
        text: String,
    },
    /// The text has more than one meaning.
    #[error("found `{text}`, which is ambiguous: {meanings}")]
    Ambiguous {
        /// As it was written.
        text: String,
        /// The meanings and what to write instead.
        meanings: String,
    },
    /// The text is good for a resistance and for a capacitance.
    #[error(
        "found `{text}`, which is ambiguous: {resistance} or {capacitance}; say which quantity is meant, or write the unit"
    )]
    AmbiguousQuantity {
        /// As it was written.
        text: String,
        /// Read as a resistance.
        resistance: Amount,
        /// Read as a capacitance.
        capacitance: Amount,
    },
    /// The letter behind the value is no good tolerance.
    #[error("in `{text}`: {source}")]
    Tolerance {
        /// As it was written.
        text: String,
        /// Fault of the letter.
        source: ToleranceError,
    },
}

impl ValueError {
    /// Whether the text has more than one meaning, rather than none.
    pub(super) const fn is_ambiguity(&self) -> bool {
        matches!(self, Self::Ambiguous { .. } | Self::Tolerance { .. })
    }

    /// Whether the text is a number with its unit, but none that can be a value.
    pub(super) const fn is_number(&self) -> bool {
        matches!(
            self,
            Self::NotPositive { .. } | Self::Zero { .. } | Self::OutOfRange { .. }
        )
    }

    /// The error to show for a text that is good neither for a resistance nor for a capacitance: an ambiguity rather
    /// than a misfit, since it comes nearer to what was meant.
    pub(super) fn of_both(resistance: Self, capacitance: Self) -> Self {
        match (resistance, capacitance) {
            (
                Self::Ambiguous {
                    text,
                    meanings: first,
                },
                Self::Ambiguous {
                    meanings: second, ..
                },
            ) => Self::Ambiguous {
                text,
                meanings: format!("as a resistance, {first}; as a capacitance, {second}"),
            },
            (Self::UnknownUnit { text, .. }, Self::UnknownUnit { .. }) => Self::NotAValue { text },
            (resistance, capacitance)
                if capacitance.is_ambiguity() && !resistance.is_ambiguity() =>
            {
                capacitance
            }
            (resistance, _) => resistance,
        }
    }
}

const fn examples(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Resistance => "`R`, `k`, `M`, `Meg` or `Ω`",
        Quantity::Capacitance => "`pF`, `nF`, `µF`, `MFD` or `MMF`",
        Quantity::Inductance => "`H`, `mH` or `µH`",
        Quantity::Voltage => "`V`, `mV` or `kV`",
        Quantity::Current => "`A`, `mA` or `µA`",
        Quantity::AcVoltage => "`V AC`, `mV AC` or `kV AC`",
        Quantity::Ratio => "`:1`",
    }
}
