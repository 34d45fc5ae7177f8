//! A settled value as one of a pair that tells an impedance, and what is judged of it.
//!
//! A value is judged in the form that the meter reports, series or parallel, with one exception: an electrolytic is rated
//! by its series capacitance (IEC 60384-1 and 60384-4, as quoted on a maker's page), and the parallel one that a meter may
//! report is smaller by 1 + D².
//! The loss is judged as the meter reports it, tan δ or ESR; a parallel resistance becomes tan δ, which is what limits are
//! given in. Uncertainties go through the impedance to first order, and value and loss that come of one impedance keep
//! what they have in common until each is judged.

mod rated;

pub(super) use rated::{Rated, as_rated, is_in_series};

use crate::engine::impedance::{
    CorrectionError, Impedance, ImpedanceError, NoEquivalent, Pair, PairError, PairKind, Parameter,
    Residuals, Uncertain, angular_frequency,
};
use crate::engine::judge::loss::{LossKind, LossReading};

/// The pair and second value of a settled value of an LCR meter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LcrReading {
    /// The pair; the settled value is its first.
    pub kind: PairKind,
    /// Test frequency, Hz; `None` where the profile does not say.
    pub frequency_hz: Option<f64>,
    /// The second value with its standard uncertainty, in the unit of the pair; `None` where the meter had no number.
    pub second: Option<Uncertain>,
    /// Whether that uncertainty holds what the meter's specification says; if not, it is that of the scatter alone.
    pub specified: bool,
}

/// A reading of an LCR meter tells no impedance, or none that can be corrected.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum LcrError {
    /// The two values are no pair.
    #[error(transparent)]
    Pair(#[from] PairError),
    /// The pair means no impedance.
    #[error(transparent)]
    Impedance(#[from] ImpedanceError),
    /// The residuals do not fit.
    #[error(transparent)]
    Correction(#[from] CorrectionError),
    /// The corrected impedance is something else than the part should be.
    #[error(transparent)]
    NoEquivalent(#[from] NoEquivalent),
}

impl LcrReading {
    /// The pair with `value` as its first. The correlation of the two as the meter found them is not known and counts as 0.
    /// A second value of which no accuracy is known counts as no better than the first: the error of the impedance as
    /// equally large in every direction (common practice, no source).
    ///
    /// # Errors
    /// [`PairError`] names what is missing or not possible.
    pub fn pair(&self, value: Uncertain) -> Result<Pair, PairError> {
        Pair::from_fields(
            self.kind,
            self.frequency_hz,
            [Some(value), self.second_beside(value)],
            0.0,
        )
    }

    /// The second value, with an uncertainty that holds more than the scatter: where nothing is specified that which the
    /// relative uncertainty of `value` means for it (by definition of the pair, for an error of any direction).
    fn second_beside(&self, value: Uncertain) -> Option<Uncertain> {
        let second = self.second?;
        if self.specified {
            return Some(second);
        }
        let relative = (value.u / value.value).abs();
        let per_farad = self.frequency_hz.map_or(0.0, angular_frequency) * value.value;
        let steepness = match self.kind {
            PairKind::CsD | PairKind::CpD => 1.0,
            PairKind::CsEsr => 1.0 / per_farad,
            PairKind::CpRp => per_farad * second.value * second.value,
            PairKind::LsQ | PairKind::LpQ => second.value * second.value,
            PairKind::ZTheta => 1_f64.to_degrees(),
            PairKind::RX => libm::hypot(value.value, second.value),
        };
        Some(Uncertain::new(
            second.value,
            libm::hypot(second.u, relative * steepness),
        ))
    }

    /// The impedance with `value` as the first of the pair, without `residuals` where those are known. Every
    /// [`Parameter`] follows from it with its uncertainty.
    ///
    /// # Errors
    /// [`LcrError`] if the pair is none, or the residuals are of another frequency.
    pub fn impedance(
        &self,
        value: Uncertain,
        residuals: Option<&Residuals>,
    ) -> Result<Impedance, LcrError> {
        let read = self.pair(value)?.impedance()?;
        Ok(match residuals {
            Some(residuals) => residuals.correct(&read)?,
            None => read,
        })
    }

    /// Loss of a capacitor of `value` by the second value; `None` where that says nothing.
    pub fn loss(&self, value: Uncertain) -> Option<LossReading> {
        let (kind, loss) = match self.kind {
            PairKind::CsD | PairKind::CpD => (LossKind::TanDelta, self.second?),
            PairKind::CsEsr => (LossKind::Esr, self.second?),
            PairKind::CpRp => return self.loss_of(&self.impedance(value, None).ok()?).ok(),
            PairKind::LsQ | PairKind::LpQ | PairKind::ZTheta | PairKind::RX => return None,
        };
        let beside = self.second_beside(value)?;
        Some(LossReading {
            is_negative: is_negative(beside),
            ..self.loss_reading(kind, loss)
        })
    }

    /// The loss of an impedance, as what the meter reports it.
    pub(super) fn loss_of(&self, z: &Impedance) -> Result<LossReading, NoEquivalent> {
        let (kind, parameter) = match self.kind {
            PairKind::CsEsr => (LossKind::Esr, Parameter::SeriesResistance),
            _ => (LossKind::TanDelta, Parameter::DissipationFactor),
        };
        Ok(self.loss_reading(kind, z.equivalent(parameter)?))
    }

    fn loss_reading(&self, kind: LossKind, loss: Uncertain) -> LossReading {
        LossReading {
            kind,
            value: loss.value,
            standard_uncertainty: loss.u,
            is_negative: is_negative(loss),
            frequency_hz: self.frequency_hz,
        }
    }

    /// The parameter of the value.
    pub(super) const fn parameter(&self) -> Parameter {
        self.kind.parameters()[0]
    }
}

/// Whether a loss is below zero by more than twice its standard uncertainty explains.
fn is_negative(loss: Uncertain) -> bool {
    loss.value + 2.0 * loss.u < 0.0
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;

    fn reading(kind: PairKind, second: Uncertain, specified: bool) -> LcrReading {
        LcrReading {
            kind,
            frequency_hz: Some(1e3),
            second: Some(second),
            specified,
        }
    }

    #[test]
    fn only_what_tells_a_loss_is_one() {
        let value = Uncertain::exact(1.0);
        let loss = |kind| reading(kind, Uncertain::exact(10.0), true).loss(value);
        assert_eq!(loss(PairKind::CsEsr).unwrap().kind, LossKind::Esr);
        for kind in [PairKind::LsQ, PairKind::LpQ, PairKind::ZTheta, PairKind::RX] {
            assert_eq!(loss(kind), None);
        }
    }

    /// An error of 1 % of |Z| across it turns it by 0.01, whatever pair tells it.
    #[test]
    fn a_second_value_without_accuracy_is_no_better_than_the_first() {
        let exact = |kind, [first, second]: [f64; 2]| {
            let reading = reading(kind, Uncertain::exact(second), false);
            let value = Uncertain::new(first, 0.01 * first);
            let z = reading.impedance(value, None).unwrap();
            let turned = z.equivalent(Parameter::Angle).unwrap().u.to_radians();
            assert_relative_eq!(turned, 0.01, max_relative = 2e-3);
        };
        let w = angular_frequency(1e3);
        exact(PairKind::CsD, [1e-6, 0.01]);
        exact(PairKind::CpD, [1e-6, 0.01]);
        exact(PairKind::CsEsr, [1e-6, 0.01 / (w * 1e-6)]);
        exact(PairKind::CpRp, [1e-6, 100.0 / (w * 1e-6)]);
        exact(PairKind::LsQ, [1.0, 100.0]);
        exact(PairKind::LpQ, [1.0, 100.0]);
        exact(PairKind::ZTheta, [100.0, -89.0]);
    }

    #[test]
    fn a_loss_is_negative_beyond_its_uncertainty_only() {
        let value = Uncertain::new(1e-6, 0.01e-6);
        for (d, specified, expected) in [
            (-0.000_3, true, true),
            (-0.000_1, true, false),
            (-0.000_3, false, false),
            (-0.019, false, false),
            (-0.021, false, true),
        ] {
            let reading = reading(PairKind::CsD, Uncertain::new(d, 0.000_1), specified);
            let loss = reading.loss(value).unwrap();
            assert_eq!(loss.is_negative, expected, "{d} {specified}");
            // The uncertainty that the loss is judged by does not change.
            assert_relative_eq!(loss.standard_uncertainty, 0.000_1);
        }
    }
}
