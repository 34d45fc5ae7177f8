//! [`LossLimit`]: the largest loss factor, where it holds and where it comes from.

use std::f64::consts::TAU;

/// A limit of the loss factor that the part's own row states, or its data sheet; it wins over every table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StatedLoss {
    tan_delta: f64,
    frequency_hz: f64,
}

impl StatedLoss {
    /// At most `tan_delta` at `frequency_hz`; `None` unless both are finite and above zero.
    pub fn new(tan_delta: f64, frequency_hz: f64) -> Option<Self> {
        let usable = |number: f64| number.is_finite() && number > 0.0;
        (usable(tan_delta) && usable(frequency_hz)).then_some(Self {
            tan_delta,
            frequency_hz,
        })
    }

    pub(super) fn limit(self) -> LossLimit {
        LossLimit {
            tan_delta: self.tan_delta,
            frequencies_hz: vec![self.frequency_hz],
            row: LossRow::Stated,
            source: "stated for the part".to_owned(),
        }
    }
}

/// The row of the table that a limit was taken from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LossRow {
    /// None: the limit is stated for the part.
    Stated,
    /// The row of the material.
    Material,
    /// The row of exactly this rated voltage, V.
    Listed(f64),
    /// The rated voltage lies between two rows; the one with the larger limit was taken, whose voltage this is.
    Between(f64),
    /// The rated voltage lies below the lowest row, whose voltage this is.
    BelowTable(f64),
    /// The rated voltage lies above the highest row, whose voltage this is.
    AboveTable(f64),
}

/// The largest loss factor that is still good.
#[derive(Debug, Clone, PartialEq)]
pub struct LossLimit {
    /// Largest tan δ.
    pub tan_delta: f64,
    /// The frequencies at which it holds, in hertz, rising; at least one.
    pub frequencies_hz: Vec<f64>,
    /// The row it was taken from.
    pub row: LossRow,
    /// Where the row is from.
    pub source: String,
}

impl LossLimit {
    /// The largest ESR in ohm at `frequency_hz`, one of the limit's own: tan δ/(2π f C).
    pub fn esr_ohm(&self, frequency_hz: f64, capacitance_farad: f64) -> f64 {
        esr_ohm(self.tan_delta, frequency_hz, capacitance_farad)
    }

    /// The frequency of the limit that lies nearest to `frequency_hz` by ratio.
    pub(super) fn nearest_frequency_hz(&self, frequency_hz: f64) -> f64 {
        let distance = |own: f64| libm::log(own / frequency_hz).abs();
        let nearer = |best: f64, own: f64| {
            if distance(own) < distance(best) {
                own
            } else {
                best
            }
        };
        self.frequencies_hz
            .iter()
            .copied()
            .reduce(nearer)
            .unwrap_or(frequency_hz)
    }
}

/// ESR in ohm of a capacitor of `capacitance_farad` with the loss factor `tan_delta` at `frequency_hz`:
/// tan δ/(2π f C), by the definition of the loss factor for the series circuit, tan δ = ω C ESR.
///
/// Frequency and capacitance above zero.
pub fn esr_ohm(tan_delta: f64, frequency_hz: f64, capacitance_farad: f64) -> f64 {
    tan_delta / (TAU * frequency_hz * capacitance_farad)
}
