//! [`Rated`]: what is judged of a part that was measured as one of a pair.

use super::{LcrError, LcrReading};
use crate::engine::impedance::{Parameter, Residuals, Uncertain};
use crate::engine::judge::check::{Aspect, Check};
use crate::engine::judge::judgement::Beside;
use crate::engine::judge::loss::LossReading;
use crate::engine::parts::{Kind, Material, Part};
use crate::engine::quantity::{Quantity, format_value};

/// The judged value in the form the part is rated in, its loss, and the steps to get there.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::engine::judge) struct Rated {
    pub(in crate::engine::judge) value: Uncertain,
    pub(in crate::engine::judge) loss: Option<LossReading>,
    pub(in crate::engine::judge) checks: Vec<Check>,
}

impl Rated {
    /// A value that is judged as it is, without a loss.
    pub(in crate::engine::judge) const fn plain(value: Uncertain) -> Self {
        Self {
            value,
            loss: None,
            checks: Vec::new(),
        }
    }
}

/// Takes off what the leads add and brings the value into the form that the part is rated in. What does not support that
/// is left as it was read, and the check says why.
pub(in crate::engine::judge) fn as_rated(part: &Part, read: Uncertain, beside: &Beside) -> Rated {
    let mut rated = Rated {
        value: read,
        loss: beside.loss,
        checks: Vec::new(),
    };
    let belongs = matches!(part.kind, Kind::Capacitor | Kind::Coil);
    let Some(reading) = beside.pair.filter(|_| belongs) else {
        return rated;
    };
    let quantity = part.measured();
    if let Some(residuals) = &beside.residuals {
        let words = match without_residuals(&reading, read, residuals) {
            Ok((value, loss)) => {
                rated.value = value;
                rated.loss = loss.filter(|_| rated.loss.is_some());
                taken_off(quantity, residuals, [read, value])
            }
            Err(why) => format!("leads not taken off: {why}"),
        };
        rated.checks.push(Check::remark(Aspect::Fixture, words));
    }
    if part.material == Some(Material::Electrolytic)
        && reading.parameter() == Parameter::ParallelCapacitance
    {
        in_series(&reading, read, beside.residuals.as_ref(), &mut rated);
    }
    rated
}

/// Whether the capacitance that is judged is that of the series circuit.
pub(in crate::engine::judge) fn is_in_series(part: &Part, beside: &Beside) -> bool {
    let pair = beside.pair.map(|reading| reading.parameter());
    part.material == Some(Material::Electrolytic) || pair == Some(Parameter::SeriesCapacitance)
}

/// Value and loss without what the leads add.
fn without_residuals(
    reading: &LcrReading,
    read: Uncertain,
    residuals: &Residuals,
) -> Result<(Uncertain, Option<LossReading>), LcrError> {
    let z = reading.impedance(read, Some(residuals))?;
    let value = z.equivalent(reading.parameter())?;
    Ok((value, reading.loss_of(&z).ok()))
}

fn taken_off(quantity: Quantity, residuals: &Residuals, [read, value]: [Uncertain; 2]) -> String {
    let reactive = match quantity {
        Quantity::Inductance => residuals.series_inductance(),
        _ => residuals.stray_capacitance(),
    };
    format!(
        "{} and {} of the leads taken off: {} is {}",
        format_value(quantity, reactive, 2),
        format_value(Quantity::Resistance, residuals.series_resistance(), 2),
        format_value(quantity, read.value, 5),
        format_value(quantity, value.value, 5)
    )
}

/// Brings the parallel capacitance of an electrolytic to the series capacitance that it is rated by.
fn in_series(
    reading: &LcrReading,
    read: Uncertain,
    residuals: Option<&Residuals>,
    rated: &mut Rated,
) {
    let shown = |value| format_value(Quantity::Capacitance, value, 5);
    // Residuals that do not fit were named already: what was read is what there is.
    let z = reading
        .impedance(read, residuals)
        .or_else(|_| reading.impedance(read, None));
    let series = z.and_then(|z| Ok(z.equivalent(Parameter::SeriesCapacitance)?));
    let words = match series {
        Ok(series) => {
            let parallel = std::mem::replace(&mut rated.value, series);
            format!(
                "Cp {} is Cs {}, by which electrolytics are rated",
                shown(parallel.value),
                shown(series.value)
            )
        }
        Err(why) => format!("judged by Cp, since no Cs follows: {why}"),
    };
    rated.checks.push(Check::remark(Aspect::Circuit, words));
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;
    use crate::engine::impedance::{Pair, PairKind};
    use crate::engine::judge::loss::LossKind;
    use crate::engine::judge::{Conditions, Judgement, Reason, Rule, Verdict, judge};
    use crate::engine::parts::{ListSettings, read};
    use crate::engine::probing::{Estimate, Finding, SettledValue};
    use crate::engine::quantity::Stamp;

    fn part(kind: &str, value: &str, material: &str) -> Part {
        let list = format!("ref,kind,value,tolerance,material\nX1,{kind},{value},10%,{material}\n");
        let list = read(list.as_bytes(), &ListSettings::default());
        list.unwrap().parts.remove(0)
    }

    fn reading(kind: PairKind, second: Uncertain) -> LcrReading {
        LcrReading {
            kind,
            frequency_hz: Some(1e3),
            second: Some(second),
            specified: true,
        }
    }

    fn residuals(hz: f64) -> Residuals {
        let pair = |kind, values: [f64; 2]| {
            Pair::new(kind, hz, values.map(Uncertain::exact), 0.0).unwrap()
        };
        let open = pair(PairKind::CpD, [0.53e-12, 0.001]);
        let short = pair(PairKind::RX, [0.02, 0.004]);
        Residuals::from_open_and_short(&open, &short).unwrap()
    }

    fn judged(
        part: &Part,
        value: Uncertain,
        reading: LcrReading,
        residuals: Option<Residuals>,
    ) -> Judgement {
        let settled = SettledValue {
            quantity: part.measured(),
            contact: Stamp::ZERO,
            at: Stamp::ZERO,
            readings: 9,
            finding: Finding::Value(Estimate::combine(value.value, value.u, 0.0, 0.0)),
            second: None,
        };
        let beside = Beside {
            loss: reading.loss(value),
            pair: Some(reading),
            residuals,
            ..Beside::default()
        };
        judge(part, &settled, &beside, &Conditions::by(Rule::GuardBand))
    }

    fn words(judgement: &Judgement, aspect: Aspect) -> Option<&str> {
        let mut checks = judgement.checks.iter();
        let check = checks.find(|check| check.aspect == aspect)?;
        assert_eq!(check.verdict, None);
        Some(&check.words)
    }

    #[test]
    fn what_the_leads_add_is_taken_off_before_the_value_is_judged() {
        let part = part("capacitor", "100 pF", "mica");
        let value = Uncertain::new(100.2e-12, 0.1e-12);
        let reading = reading(PairKind::CpD, Uncertain::new(0.001, 0.000_1));
        let judgement = judged(&part, value, reading, Some(residuals(1e3)));
        assert_relative_eq!(
            judgement.grounds.value.unwrap().value,
            99.67e-12,
            max_relative = 1e-6
        );
        assert_eq!(
            words(&judgement, Aspect::Fixture),
            Some("0.53 pF and 20 mΩ of the leads taken off: 100.2 pF is 99.67 pF")
        );
        let coil = self::part("coil", "100 uH", "");
        let reading = self::reading(PairKind::LsQ, Uncertain::new(20.0, 0.1));
        let value = Uncertain::new(100e-6, 0.1e-6);
        let judgement = judged(&coil, value, reading, Some(residuals(1e3)));
        let said = words(&judgement, Aspect::Fixture).unwrap();
        assert_eq!(
            said,
            "640 nH and 20 mΩ of the leads taken off: 100 µH is 99.363 µH"
        );
    }

    #[test]
    fn without_residuals_the_value_is_judged_as_it_was_read() {
        let part = part("capacitor", "100 pF", "mica");
        let value = Uncertain::new(100.2e-12, 0.1e-12);
        let reading = reading(PairKind::CpD, Uncertain::new(0.001, 0.000_1));
        let judgement = judged(&part, value, reading, None);
        assert_eq!(judgement.grounds.value, Some(value));
        assert_eq!(words(&judgement, Aspect::Fixture), None);
    }

    #[test]
    fn residuals_of_another_frequency_leave_the_value_and_say_so() {
        let part = part("capacitor", "100 pF", "mica");
        let value = Uncertain::new(100.2e-12, 0.1e-12);
        let mut reading = reading(PairKind::CpD, Uncertain::new(0.001, 0.000_1));
        for (hz, second, begins) in [
            (
                120.0,
                reading.second,
                "leads not taken off: the residuals are for 120 Hz, the reading is at 1000 Hz",
            ),
            (
                1e3,
                None,
                "leads not taken off: `D` of the pair `Cp-D` is missing",
            ),
        ] {
            reading.second = second;
            let judgement = judged(&part, value, reading, Some(residuals(hz)));
            assert_eq!(judgement.grounds.value, Some(value));
            let said = words(&judgement, Aspect::Fixture).unwrap();
            assert!(said.starts_with(begins), "{said}");
        }
    }

    #[test]
    fn a_resistance_is_no_matter_of_residuals() {
        let part = part("resistor", "100", "carbon");
        let value = Uncertain::new(100.0, 0.1);
        let reading = reading(PairKind::RX, Uncertain::new(0.5, 0.1));
        let judgement = judged(&part, value, reading, Some(residuals(1e3)));
        assert_eq!(judgement.grounds.value, Some(value));
        assert_eq!(judgement.checks, []);
    }

    /// The sensitivities by differences, each of the two values a little to both sides.
    #[test]
    fn the_uncertainty_of_what_is_left_is_that_of_both_values() {
        let residuals = residuals(1e3);
        let (c, d) = (Uncertain::new(10e-9, 0.1e-9), Uncertain::new(0.3, 0.02));
        let left = |c: f64, d: f64| {
            let reading = reading(PairKind::CpD, Uncertain::exact(d));
            let (value, loss) =
                without_residuals(&reading, Uncertain::exact(c), &residuals).unwrap();
            [value.value, loss.unwrap().value]
        };
        let (dc, dd) = (1e-14, 1e-6);
        let (by_c, by_d) = (
            [left(c.value + dc, d.value), left(c.value - dc, d.value)],
            [left(c.value, d.value + dd), left(c.value, d.value - dd)],
        );
        let (value, loss) = without_residuals(&reading(PairKind::CpD, d), c, &residuals).unwrap();
        for (index, u) in [(0, value.u), (1, loss.unwrap().standard_uncertainty)] {
            let of_c = (by_c[0][index] - by_c[1][index]) / (2.0 * dc) * c.u;
            let of_d = (by_d[0][index] - by_d[1][index]) / (2.0 * dd) * d.u;
            assert_relative_eq!(u, libm::hypot(of_c, of_d), max_relative = 1e-5);
        }
    }

    #[test]
    fn a_loss_below_zero_beyond_its_uncertainty_is_never_judged() {
        let part = part("capacitor", "100 pF", "mica");
        let verdict = |d: f64, pf: f64| {
            let reading = reading(PairKind::CsD, Uncertain::new(d, 0.000_5));
            let value = Uncertain::new(pf * 1e-12, 0.1e-12);
            judged(&part, value, reading, None)
        };
        for picofarad in [100.0, 50.0] {
            let judgement = verdict(-0.001_1, picofarad);
            assert_eq!(judgement.verdict, Verdict::Inconclusive);
            assert_eq!(judgement.reason, Reason::NegativeLoss);
            assert_eq!(
                (judgement.grounds.value, judgement.probability),
                (None, None)
            );
        }
        assert_eq!(verdict(-0.000_9, 50.0).verdict, Verdict::Fail);
        assert!(verdict(-0.000_9, 100.0).grounds.value.is_some());
    }

    #[test]
    fn residuals_that_make_the_loss_negative_are_found_out() {
        let part = part("capacitor", "10 uF", "paper");
        let open = Pair::new(
            PairKind::CpD,
            1e3,
            [Uncertain::exact(1e-12), Uncertain::exact(0.01)],
            0.0,
        );
        let short = Uncertain::new(2.0, 0.01);
        let residuals = Residuals::from_open_and_resistance(&open.unwrap(), short).unwrap();
        let reading = reading(PairKind::CsEsr, Uncertain::new(0.5, 0.01));
        let value = Uncertain::new(10e-6, 0.01e-6);
        let judgement = judged(&part, value, reading, Some(residuals));
        assert_eq!(judgement.reason, Reason::NegativeLoss);
        assert!(words(&judgement, Aspect::Fixture).unwrap().contains("2 Ω"));
    }

    /// 8 µF with D 0.6 reads Cp 5.88235294118 µF and Rp 45.0939005427 Ω at 1 kHz (mpmath 1.3, Cp = Cs/(1 + D²),
    /// Rp = ESR (1 + 1/D²)).
    #[test]
    fn an_electrolytic_is_judged_by_its_series_capacitance() {
        let parallel = Uncertain::new(5.882_352_941_18e-6, 0.01e-6);
        for (kind, second) in [
            (PairKind::CpD, Uncertain::new(0.6, 0.001)),
            (PairKind::CpRp, Uncertain::new(45.093_900_542_7, 0.1)),
        ] {
            let part = part("capacitor", "8 uF", "electrolytic");
            let judgement = judged(&part, parallel, reading(kind, second), None);
            assert_relative_eq!(
                judgement.grounds.value.unwrap().value,
                8e-6,
                max_relative = 1e-9
            );
            assert_eq!(
                judgement.reason,
                Reason::Value(crate::engine::judge::Side::Inside)
            );
            assert_eq!(
                words(&judgement, Aspect::Circuit),
                Some("Cp 5.8824 µF is Cs 8 µF, by which electrolytics are rated")
            );
            let loss = reading(kind, second).loss(parallel).unwrap();
            assert_eq!(loss.kind, LossKind::TanDelta);
            assert_relative_eq!(loss.value, 0.6, max_relative = 1e-9);
        }
        let paper = part("capacitor", "8 uF", "paper");
        let reading = reading(PairKind::CpD, Uncertain::new(0.6, 0.001));
        assert_eq!(
            judged(&paper, parallel, reading, None).grounds.value,
            Some(parallel)
        );
        let mut lacking = reading;
        lacking.second = None;
        let part = part("capacitor", "8 uF", "electrolytic");
        let judgement = judged(&part, parallel, lacking, None);
        assert_eq!(judgement.grounds.value, Some(parallel));
        let said = words(&judgement, Aspect::Circuit).unwrap();
        assert!(
            said.starts_with("judged by Cp, since no Cs follows: `D`"),
            "{said}"
        );
    }
}
