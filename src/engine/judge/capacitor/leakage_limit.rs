//! [`LeakageLimit`]: the largest leakage current, and when it is to be read.

use std::time::Duration;

/// When a leakage current is read, counted from the moment at which the rated voltage stands at the part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ReadAfter {
    /// One minute, as an insulation is.
    OneMinute,
    /// Two minutes.
    TwoMinutes,
    /// Five minutes.
    FiveMinutes,
}

impl ReadAfter {
    /// All, in the order of time.
    pub const ALL: [Self; 3] = [Self::OneMinute, Self::TwoMinutes, Self::FiveMinutes];

    /// The time as a duration.
    pub const fn duration(self) -> Duration {
        match self {
            Self::OneMinute => Duration::from_secs(60),
            Self::TwoMinutes => Duration::from_secs(120),
            Self::FiveMinutes => Duration::from_secs(300),
        }
    }
}

/// The largest leakage current that is still good.
#[derive(Debug, Clone, PartialEq)]
pub struct LeakageLimit {
    /// Largest current, in ampere.
    pub ampere: f64,
    /// When it is read.
    pub read_after: ReadAfter,
    /// The form that it was computed by; empty where it is stated for the part.
    pub form: String,
    /// Where the form is from.
    pub source: String,
}

impl LeakageLimit {
    /// A limit that the part's own row states, or its data sheet; it wins over every form. `None` unless the current is
    /// finite and above zero.
    pub fn stated(ampere: f64, read_after: ReadAfter) -> Option<Self> {
        (ampere.is_finite() && ampere > 0.0).then(|| Self {
            ampere,
            read_after,
            form: String::new(),
            source: "stated for the part".to_owned(),
        })
    }
}
