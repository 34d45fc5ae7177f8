//! [`TouchLimit`]: the currents that standards allow through a person who touches the equipment.

/// Form in which a limit is stated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Waveform {
    /// Alternating, root mean square.
    Rms,
    /// Alternating, peak.
    Peak,
    /// Limit of a direct voltage.
    Direct,
}

impl Waveform {
    /// Clause behind a limit of this sort.
    pub(super) const fn suffix(self) -> &'static str {
        match self {
            Self::Rms => "",
            Self::Peak => " peak",
            Self::Direct => " direct",
        }
    }
}

/// A limit, with where it is from. Standards measure with a network that stands for the body; 2πfCV is the current into a
/// short circuit and therefore on the safe side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TouchLimit {
    pub standard: &'static str,
    /// Subject of the limit.
    pub condition: &'static str,
    /// The limit, in ampere.
    pub amperes: f64,
    pub waveform: Waveform,
    /// Where the figure was read, since the standards themselves were not at hand.
    pub source: &'static str,
}

impl TouchLimit {
    /// The limit as a root mean square of a sine, in ampere; `None` for direct current.
    pub fn rms_amperes(&self) -> Option<f64> {
        match self.waveform {
            Waveform::Rms => Some(self.amperes),
            Waveform::Peak => Some(self.amperes * std::f64::consts::FRAC_1_SQRT_2),
            Waveform::Direct => None,
        }
    }
}

const LIST: &str = "quoted on a public mailing list of product-safety engineers";
const SUPPLY: &str = "quoted by a maker of power supplies";
const SET: &str = "quoted in a public television manual";
const MEMORY: &str = "from memory";

/// Commonly quoted limits.
pub const TOUCH_LIMITS: [TouchLimit; 10] = [
    limit(
        "IEC 60950-1, table 5A",
        "accessible parts not connected to protective earth",
        0.25e-3,
        Waveform::Rms,
        LIST,
    ),
    limit(
        "IEC 60950-1, table 5A",
        "hand-held equipment",
        0.75e-3,
        Waveform::Rms,
        LIST,
    ),
    limit(
        "IEC 60950-1, table 5A",
        "other earthed equipment",
        3.5e-3,
        Waveform::Rms,
        SUPPLY,
    ),
    limit(
        "ANSI C101",
        "household equipment, two-wire or earthed",
        0.5e-3,
        Waveform::Rms,
        LIST,
    ),
    limit(
        "IEC 60065",
        "terminals not to be live, alternating",
        0.7e-3,
        Waveform::Peak,
        SET,
    ),
    limit(
        "IEC 60065",
        "terminals not to be live, direct",
        2e-3,
        Waveform::Direct,
        SET,
    ),
    limit(
        "IEC 62368-1, ES1",
        "ordinary persons, alternating",
        0.5e-3,
        Waveform::Rms,
        MEMORY,
    ),
    limit(
        "IEC 62368-1, ES1",
        "ordinary persons, direct",
        2e-3,
        Waveform::Direct,
        MEMORY,
    ),
    limit(
        "IEC 62368-1, ES2",
        "instructed persons, alternating",
        5e-3,
        Waveform::Rms,
        MEMORY,
    ),
    limit(
        "IEC 62368-1, ES2",
        "instructed persons, direct",
        25e-3,
        Waveform::Direct,
        MEMORY,
    ),
];

const fn limit(
    standard: &'static str,
    condition: &'static str,
    amperes: f64,
    waveform: Waveform,
    source: &'static str,
) -> TouchLimit {
    TouchLimit {
        standard,
        condition,
        amperes,
        waveform,
        source,
    }
}
