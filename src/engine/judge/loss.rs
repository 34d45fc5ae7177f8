//! The loss of a capacitor, from the second value of an LCR meter.

use super::capacitor::{
    CannotJudge, Condition, LossBasis, LossJudgement, LossLimit, LossMeasurement, Stated,
    StatedLoss, esr_ohm, judge_esr, judge_loss,
};
use super::check::{Aspect, Check};
use super::conditions::Conditions;
use super::verdict::Verdict;
use crate::engine::impedance::{Uncertain, angular_frequency};
use crate::engine::parts::{Kind, Material, Part};
use crate::engine::quantity::{Quantity, format_value};

/// Kind of the second value of a reading.
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
    /// Loss factor or resistance.
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

/// Holds the loss of a capacitor of `farads` against its limit; nothing where there is no loss to be judged. `in_series`:
/// whether that is its series capacitance.
pub(super) fn check(
    part: &Part,
    farads: Uncertain,
    in_series: bool,
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
    let condition = conditions.condition_of(part);
    let limit = match limit_of(part, condition, conditions) {
        Ok(limit) => limit,
        Err(lacking) => return not_judged(format!("{shown}: {lacking}")),
    };
    let rule = conditions.rule;
    let judged = match loss.kind {
        LossKind::TanDelta => Some(judge_loss(measured, &limit, rule)),
        LossKind::Esr => judge_esr(measured, &limit, farads.value, rule),
    };
    let Some(judged) = judged else {
        return not_judged(format!(
            "{shown} not judged: the capacitance is no use for it"
        ));
    };
    let tan_delta = tan_delta(loss, farads.value, frequency_hz);
    let share = tan_delta.value / limit.tan_delta;
    let (mut verdict, mut remark) = elsewhere(part, judged, share);
    if part.in_circuit {
        let designator = part.designator.to_lowercase();
        let lone = conditions.lone_capacitors.contains(&designator);
        let least = (in_series && lone).then(|| least_tan_delta(part, farads, tan_delta));
        let least = least
            .flatten()
            .and_then(|least| LossMeasurement::new(least.value, least.u, frequency_hz));
        let proven = least.map(|least| judge_loss(least, &limit, rule).verdict);
        (verdict, remark) = in_circuit(verdict, remark, proven);
    }
    let as_esr = part.material == Some(Material::Electrolytic) && is_elsewhere(judged);
    let limit_hz = judged.limit_frequency_hz;
    let most = |limit: &LossLimit| match loss.kind {
        _ if as_esr => ohms(limit.esr_ohm(limit_hz, farads.value)),
        LossKind::TanDelta => format!("{:.4}", limit.tan_delta),
        LossKind::Esr => format!("{:.3} Ω", limit.esr_ohm(limit_hz, farads.value)),
    };
    let esr = (as_esr && loss.kind == LossKind::TanDelta)
        .then(|| ohms(esr_ohm(loss.value, frequency_hz, farads.value)))
        .map_or_else(String::new, |esr| format!(" is an ESR of {esr}"));
    let new = limit_of(part, Condition::New, conditions).ok();
    let new = new
        .filter(|new| as_esr && *new != limit)
        .map_or_else(String::new, |new| format!(", {} when new", most(&new)));
    let (most, basis) = (most(&limit), judged.basis.words());
    let words = format!(
        "{shown}{esr}, at most {most}{new} at {limit_hz} Hz{remark} ({basis}; limit: {})",
        limit.source
    );
    Some(Check {
        aspect: Aspect::Loss,
        verdict,
        words,
    })
}

/// The largest loss that the part may have in that condition.
fn limit_of(
    part: &Part,
    condition: Condition,
    conditions: &Conditions,
) -> Result<LossLimit, CannotJudge> {
    let Conditions { tables, policy, .. } = conditions;
    tables.limits(part, condition, policy, stated(part)).loss
}

/// Whether the measurement was at another frequency than that of the limit.
fn is_elsewhere(judged: LossJudgement) -> bool {
    matches!(judged.basis, LossBasis::AtLeast | LossBasis::AtMost)
}

/// Share of its limit that the ESR of an electrolytic may have above the frequency of that and still be good without
/// more ado: as much again is left for what the lower frequency adds (common practice, no source).
const PLAIN_SHARE: f64 = 0.5;

/// Consequence of a loss for the part, with words for it; `share` is tan δ as measured, over that of the limit. Where only the
/// frequency of the limit could tell, an electrolytic that was measured above it is good on that condition unless its ESR
/// leaves room enough, any other part if the figure itself exceeds the limit. What exceeds it below that frequency is
/// open; any other bound that proves nothing leaves the verdict to what could be judged.
fn elsewhere(part: &Part, judged: LossJudgement, share: f64) -> (Option<Verdict>, &'static str) {
    let tells = judged.verdict != Verdict::Inconclusive || judged.basis == LossBasis::Negative;
    let electrolytic = part.material == Some(Material::Electrolytic);
    let close = if electrolytic {
        judged.compared > PLAIN_SHARE * judged.limit
    } else {
        share > 1.0
    };
    match judged.basis {
        _ if tells => (Some(judged.verdict), ""),
        LossBasis::AtLeast if close => (Some(Verdict::ConditionalPass), ": only that could tell"),
        LossBasis::AtMost if share > 1.0 => (Some(Verdict::Inconclusive), ": only that could tell"),
        _ => (None, ""),
    }
}

/// Verdict left of it in circuit: a parallel resistor raises the loss, a parallel capacitor lowers it. `proven` is the verdict
/// on the least loss that the part has whatever lies in parallel.
fn in_circuit(
    verdict: Option<Verdict>,
    remark: &'static str,
    proven: Option<Verdict>,
) -> (Option<Verdict>, &'static str) {
    let is_bad = |verdict| matches!(verdict, Verdict::ConditionalFail | Verdict::Fail);
    match (verdict, proven) {
        (Some(verdict), Some(proven)) if is_bad(verdict) && is_bad(proven) => {
            (Some(proven), ", whatever lies in parallel")
        }
        (Some(verdict), _) if is_bad(verdict) => (
            Some(Verdict::Inconclusive),
            ": a parallel path may do that: lift one lead",
        ),
        (Some(Verdict::Pass), _) => (Some(Verdict::ConditionalPass), remark),
        _ => (verdict, remark),
    }
}

/// tan δ of a loss at the frequency at which it was measured, by definition of the series circuit.
fn tan_delta(loss: LossReading, farads: f64, hertz: f64) -> Uncertain {
    let factor = match loss.kind {
        LossKind::TanDelta => 1.0,
        LossKind::Esr => angular_frequency(hertz) * farads,
    };
    Uncertain::new(loss.value * factor, loss.standard_uncertainty * factor)
}

/// The least tan δ of a part in circuit whose series capacitance with all that lies in parallel is `farads`; `None` where none
/// is proven.
///
/// Resistors and capacitors in parallel can only lower an impedance (Rayleigh's law, as for the value; a coil could raise it), so
/// |Z| of the part is no less than √(1 + D²)/(ωCs) as measured. One of no less than its least capacitance C₀ has then
/// D₀ = √((1 + D²) (C₀/Cs)² − 1) at least; one of less fails by that.
fn least_tan_delta(part: &Part, farads: Uncertain, measured: Uncertain) -> Option<Uncertain> {
    let share = part.band.lower() / farads.value;
    let square = share * share * (1.0 + measured.value * measured.value);
    let least = libm::sqrt(square - 1.0);
    let by_loss = share * share * measured.value / least * measured.u;
    let by_value = square / least * farads.u / farads.value;
    (share > 0.0 && least > 0.0).then(|| Uncertain::new(least, libm::hypot(by_loss, by_value)))
}

/// The limit of the part's own row: at the frequency that stands there, or else at 120 Hz for an electrolytic
/// and at 1 kHz for the rest (common practice, no source).
pub(crate) fn stated(part: &Part) -> Stated {
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

fn ohms(value: f64) -> String {
    format_value(Quantity::Resistance, value, 3)
}
