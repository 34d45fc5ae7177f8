//! The loss of a capacitor, from the second value of an LCR meter.

use super::capacitor::{
    LossBasis, LossJudgement, LossMeasurement, Stated, StatedLoss, judge_esr, judge_loss,
};
use super::check::{Aspect, Check};
use super::conditions::Conditions;
use super::verdict::Verdict;
use crate::engine::parts::{Kind, Material, Part};

/// What the second value of a reading is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LossKind {
    /// Loss factor tan δ.
    TanDelta,
    /// Equivalent series resistance, ohm.
    Esr,
}

/// A loss as it was measured beside a capacitance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LossReading {
    /// What it is.
    pub kind: LossKind,
    /// Its value: a plain number, or ohm.
    pub value: f64,
    /// Its standard uncertainty, in the same unit.
    pub standard_uncertainty: f64,
    /// Whether it is below zero by more than its uncertainty explains, which no part's is.
    pub is_negative: bool,
    /// Test frequency, Hz; `None` where the profile does not say.
    pub frequency_hz: Option<f64>,
}

/// Holds the loss of a capacitor against its limit; nothing where there is no loss to be judged.
pub(super) fn check(
    part: &Part,
    farads: f64,
    loss: Option<LossReading>,
    conditions: &Conditions,
) -> Option<Check> {
    let loss = loss.filter(|_| part.kind == Kind::Capacitor)?;
    let not_judged = |words: String| Some(Check::remark(Aspect::Loss, words));
    let shown = shown(loss);
    let Some(frequency_hz) = loss.frequency_hz else {
        return not_judged(format!(
            "{shown} not judged: the profile does not say at which frequency (frequency_hz)"
        ));
    };
    let Some(measured) = LossMeasurement::new(loss.value, loss.standard_uncertainty, frequency_hz)
    else {
        return not_judged(format!("{shown} not judged: no possible figure"));
    };
    let Conditions {
        tables,
        policy,
        rule,
        ..
    } = conditions;
    let limit = match tables
        .limits(part, conditions.condition_of(part), policy, stated(part))
        .loss
    {
        Ok(limit) => limit,
        Err(lacking) => return not_judged(format!("{shown}: {lacking}")),
    };
    let judged = match loss.kind {
        LossKind::TanDelta => Some(judge_loss(measured, &limit, *rule)),
        LossKind::Esr => judge_esr(measured, &limit, farads, *rule),
    };
    let Some(judged) = judged else {
        return not_judged(format!(
            "{shown} not judged: the capacitance is no use for it"
        ));
    };
    // A bound that proves nothing says so, and leaves the verdict to what could be judged.
    let proves_nothing =
        judged.verdict == Verdict::Inconclusive && judged.basis != LossBasis::Negative;
    Some(Check {
        aspect: Aspect::Loss,
        verdict: (!proves_nothing).then_some(judged.verdict),
        words: words(loss.kind, &shown, judged, &limit.source),
    })
}

/// The limit of the part's own row: at the frequency that stands there, or else at 120 Hz for an electrolytic
/// and at 1 kHz for the rest (common practice, no source).
fn stated(part: &Part) -> Stated {
    let hertz = part.loss_frequency_hertz.unwrap_or(match part.material {
        Some(Material::Electrolytic) => 120.0,
        _ => 1000.0,
    });
    Stated {
        loss: part
            .loss_limit
            .and_then(|limit| StatedLoss::new(limit, hertz)),
        ..Stated::default()
    }
}

fn shown(loss: LossReading) -> String {
    let at = loss
        .frequency_hz
        .map(|hertz| format!(" at {hertz} Hz"))
        .unwrap_or_default();
    match loss.kind {
        LossKind::TanDelta => format!("tan δ {:.4}{at}", loss.value),
        LossKind::Esr => format!("ESR {:.3} Ω{at}", loss.value),
    }
}

fn words(kind: LossKind, shown: &str, judged: LossJudgement, source: &str) -> String {
    let limit = match kind {
        LossKind::TanDelta => format!("{:.4}", judged.limit),
        LossKind::Esr => format!("{:.3} Ω", judged.limit),
    };
    format!(
        "{shown}, at most {limit} at {} Hz ({}; limit: {source})",
        judged.limit_frequency_hz,
        judged.basis.words()
    )
}
