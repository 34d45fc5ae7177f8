//! [`ValueError`]: why a text is no value.

use thiserror::Error;

use super::{Amount, Quantity, ToleranceError};

/// Why a text is no value.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ValueError {
    /// Nothing but blanks.
    #[error("found nothing, expected a value such as `4K7`, `820` or `47n`")]
    Empty,
    /// The text does not begin like a value, or figures stand where none can.
    #[error("found `{text}`, expected a value such as `4K7`, `4.7k`, `.047 MFD` or `47n`")]
    NotAValue {
        /// The text.
        text: String,
    },
    /// No ratio of turns.
    #[error("found `{text}`, expected a ratio of turns such as `38:1`")]
    NotARatio {
        /// The text.
        text: String,
    },
    /// The word behind the number is not known for the quantity.
    #[error("found `{word}` behind the number in `{text}`, expected a unit of {quantity} such as {examples}", examples = examples(*quantity))]
    UnknownUnit {
        /// The text.
        text: String,
        /// The word.
        word: String,
        /// The quantity that was expected.
        quantity: Quantity,
    },
    /// A comma: a decimal sign for some, a separator of thousands for others.
    #[error(
        "found a comma in `{text}`, expected a full stop as the decimal sign and nothing between thousands"
    )]
    Comma {
        /// The text.
        text: String,
    },
    /// Zero or less.
    #[error("found `{text}`, expected a value above zero")]
    NotPositive {
        /// The text.
        text: String,
    },
    /// Zero, where a value may have either sign.
    #[error("found `{text}`, expected a value other than zero")]
    Zero {
        /// The text.
        text: String,
    },
    /// The number is too large or too small to be kept.
    #[error("found `{text}`, expected a value within the range of the program's numbers")]
    OutOfRange {
        /// The text.
        text: String,
    },
    /// The text has more than one meaning.
    #[error("found `{text}`, which is ambiguous: {meanings}")]
    Ambiguous {
        /// The text.
        text: String,
        /// The meanings and what to write instead.
        meanings: String,
    },
    /// The text is good for a resistance and for a capacitance.
    #[error(
        "found `{text}`, which is ambiguous: {resistance} or {capacitance}; say which quantity is meant, or write the unit"
    )]
    AmbiguousQuantity {
        /// The text.
        text: String,
        /// Read as a resistance.
        resistance: Amount,
        /// Read as a capacitance.
        capacitance: Amount,
    },
    /// The letter behind the value is no good tolerance.
    #[error("in `{text}`: {source}")]
    Tolerance {
        /// The text.
        text: String,
        /// What is wrong with the letter.
        source: ToleranceError,
    },
}

impl ValueError {
    /// Whether the text has more than one meaning, rather than none.
    pub(super) const fn is_ambiguity(&self) -> bool {
        matches!(self, Self::Ambiguous { .. } | Self::Tolerance { .. })
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
