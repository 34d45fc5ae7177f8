//! [`LeakageTest`]: what the leakage of a capacitor is held to, and the verdict on it.
//!
//! An electrolytic has a largest leakage current, read two or five minutes after its rated voltage was applied. Every other
//! capacitor has a least insulation resistance, read after one minute (IEC 60384-1, insulation resistance: 60 s ± 5 s, from
//! memory); at the voltage applied that is a largest current, I = U/R, so one band serves both.

use super::capacitor::{
    CannotJudge, InsulationForm, InsulationLimit, LeakageLimit, Missing, ReadAfter, Stated,
    insulation_ohm, insulation_product_s,
};
use super::check::{Aspect, Check};
use super::conditions::Conditions;
use super::grounds::Grounds;
use super::judgement::{Looked, without_value};
use super::rule::Rule;
use super::verdict::Verdict;
use crate::engine::impedance::Uncertain;
use crate::engine::parts::{Material, Part, Step};
use crate::engine::probing::Finding;
use crate::engine::quantity::{Amount, Quantity, Tolerance, format_value};

/// Share of the voltage asked for that still counts as it: ± 10 % (MIL-STD-202, method 302).
const SAME_VOLTAGE: f64 = 0.9;

/// Limit of a capacitor's leakage.
#[derive(Debug, Clone, PartialEq)]
pub struct LeakageTest {
    /// The direct voltage to be applied, V: the rated one.
    pub volts: f64,
    /// The largest current, and when it is to be read.
    pub limit: LeakageLimit,
    /// The insulation that the limit follows from; `None` for an electrolytic, which has a current of its own.
    pub insulation: Option<InsulationLimit>,
    /// The nominal capacitance, F.
    pub farads: f64,
}

impl LeakageTest {
    /// The test of `part`, a row of the list.
    ///
    /// # Errors
    /// Lack of the row or of the tables: material, rated voltage, a row of the table.
    pub fn of(part: &Part, conditions: &Conditions) -> Result<Self, CannotJudge> {
        let Conditions { tables, policy, .. } = conditions;
        let volts = test_volts(part).ok_or_else(|| CannotJudge::leakage(Missing::RatedVoltage))?;
        let farads = part.nominal.value();
        let stated = |read_after| {
            let ampere = part.leakage_limit_ampere?;
            LeakageLimit::stated(ampere, read_after)
        };
        let limits = |stated| tables.limits(part, conditions.condition_of(part), policy, stated);
        if part.material == Some(Material::Electrolytic) {
            let stated = Stated {
                leakage: stated(ReadAfter::FiveMinutes),
                ..Stated::default()
            };
            let limit = limits(stated).leakage?;
            return Ok(Self {
                volts,
                limit,
                insulation: None,
                farads,
            });
        }
        if let Some(limit) = stated(ReadAfter::OneMinute) {
            return Ok(Self {
                volts,
                limit,
                insulation: None,
                farads,
            });
        }
        let insulation = limits(Stated::default()).insulation?;
        let limit = LeakageLimit {
            ampere: volts / insulation.resistance_ohm,
            read_after: ReadAfter::OneMinute,
            form: insulation.row.clone(),
            source: insulation.source.clone(),
        };
        Ok(Self {
            volts,
            limit,
            insulation: Some(insulation),
            farads,
        })
    }

    /// The measurement as an entry of a plan: `part` with the largest current as its nominal value, and the band up to it.
    pub fn entry(&self, part: &Part) -> Option<Part> {
        let nominal = Amount::new(Quantity::Current, self.limit.ampere)?;
        Some(part.further(Step::Leakage, nominal, Tolerance::MAXIMUM))
    }

    /// After how many minutes the current is read.
    pub const fn minutes(&self) -> u64 {
        self.limit.read_after.duration().as_secs() / 60
    }

    /// Task as a clause for people: `450 V for 5 min, then at most 0.3 mA`.
    pub fn words(&self) -> String {
        format!(
            "{} for {} min, then at most {}",
            format_value(Quantity::Voltage, self.volts, 4),
            self.minutes(),
            format_value(Quantity::Current, self.limit.ampere, 3)
        )
    }

    /// Where the limit is from, as a clause for people.
    fn origin(&self) -> String {
        let shown = |quantity, value| format_value(quantity, value, 3);
        let Some(insulation) = &self.insulation else {
            let form = match self.limit.form.as_str() {
                "" => String::new(),
                form => format!("form `{form}`, "),
            };
            return format!("{form}{}", self.limit.source);
        };
        let least = shown(Quantity::Resistance, insulation.resistance_ohm);
        let form = match insulation.form {
            InsulationForm::ProductSeconds(seconds) => {
                format!(
                    "{least} for {seconds} MΩ·µF at {}",
                    shown(Quantity::Capacitance, self.farads)
                )
            }
            _ => least,
        };
        format!("insulation of at least {form}; {}", insulation.source)
    }
}

/// The direct voltage that the leakage of `part` is measured at, V: the rated one, or of one that is rated for alternating voltage
/// alone its peak, √2 times the stated root mean square of a sine (IEC 60050-103, from memory), which it bears in each half-wave.
fn test_volts(part: &Part) -> Option<f64> {
    let peak = part
        .rating
        .ac_volts
        .map(|volts| volts * std::f64::consts::SQRT_2);
    part.rating.dc_volts.or(peak).filter(|volts| *volts > 0.0)
}

/// A test as it was carried out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Soaked<'a> {
    /// Voltage, time and limit of the test.
    pub test: &'a LeakageTest,
    /// The direct voltage that was applied, V.
    pub volts: f64,
    /// The cautions had been agreed to before.
    pub heeded: bool,
}

impl Soaked<'_> {
    /// Whether less voltage stood at the part than the test asks for, which proves nothing good: a leak grows with it.
    fn too_low(&self) -> bool {
        self.volts < SAME_VOLTAGE * self.test.volts
    }

    /// Finding with the numbers of the test.
    fn words(&self, amperes: f64) -> String {
        let shown = |quantity, value| format_value(quantity, value, 3);
        let test = self.test;
        let insulation = test.insulation.as_ref().and_then(|_| {
            let ohms = insulation_ohm(self.volts, amperes)?;
            let product = insulation_product_s(ohms, test.farads);
            Some(format!(
                ", that is {} or {product:.3} MΩ·µF",
                shown(Quantity::Resistance, ohms)
            ))
        });
        format!(
            "{} with {} applied{}; at most {} after {} min ({})",
            shown(Quantity::Current, amperes),
            shown(Quantity::Voltage, self.volts),
            insulation.unwrap_or_default(),
            shown(Quantity::Current, test.limit.ampere),
            test.minutes(),
            test.origin()
        )
    }
}

/// The current that settled on `part`, an entry made by [`LeakageTest::entry`].
pub(super) fn look(
    part: &Part,
    finding: Finding,
    soaked: Option<Soaked<'_>>,
    rule: Rule,
) -> Looked {
    let Finding::Value(estimate) = finding else {
        // A current that is not seen proves nothing.
        return (
            without_value(part, part.band, Finding::BeyondRange, rule),
            vec![],
        );
    };
    let amperes = estimate.value;
    let grounds = Grounds {
        value: Some(Uncertain::new(amperes, estimate.standard_uncertainty)),
        ..without_value(part, part.band, finding, rule)
    };
    let Some(soaked) = soaked else {
        return (grounds, vec![]);
    };
    let good = matches!(
        grounds.verdict().0,
        Verdict::Pass | Verdict::ConditionalPass
    );
    let too_low = (good && soaked.too_low()).then(|| Check {
        aspect: Aspect::Leakage,
        verdict: Some(Verdict::Inconclusive),
        words: "good, but with too little voltage applied: proves bad, never good".to_owned(),
    });
    let unheeded = (!soaked.heeded).then(|| Check {
        aspect: Aspect::Leakage,
        verdict: Some(Verdict::Inconclusive),
        words: "the current flowed before the cautions were agreed to, so that nobody said since when: measure it again"
            .to_owned(),
    });
    let remark = Check::remark(Aspect::Leakage, soaked.words(amperes));
    let checks = unheeded.into_iter().chain(too_low).chain([remark]);
    (grounds, checks.collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::judge::Judgement;
    use crate::engine::probing::Estimate;

    fn parts(row: &str) -> Part {
        let list =
            format!("ref,kind,value,rating,material,leakage,also\nC1,capacitor,{row},leakage\n");
        crate::engine::parts::read(
            list.as_bytes(),
            &crate::engine::parts::ListSettings::default(),
        )
        .unwrap()
        .parts
        .remove(0)
    }

    fn test(row: &str) -> Result<(LeakageTest, Part), CannotJudge> {
        let part = parts(row);
        let test = LeakageTest::of(&part, &Conditions::by(Rule::GuardBand))?;
        let entry = test.entry(&part).unwrap();
        Ok((test, entry))
    }

    fn verdict(row: &str, volts: f64, amperes: f64) -> (Verdict, String) {
        let (test, entry) = test(row).unwrap();
        let finding = Finding::Value(Estimate::combine(amperes, 0.0, 0.001 * amperes, 0.0));
        let soaked = Soaked {
            test: &test,
            volts,
            heeded: true,
        };
        let (grounds, checks) = look(&entry, finding, Some(soaked), Rule::GuardBand);
        let judgement = Judgement::by(grounds, checks);
        (judgement.verdict, judgement.why())
    }

    #[test]
    fn insulation_becomes_the_largest_current_at_the_voltage() {
        let (test, entry) = test("0.1 uF,400 V,paper,").unwrap();
        let least = test.insulation.as_ref().unwrap().resistance_ohm;
        approx::assert_relative_eq!(entry.band.upper(), 400.0 / least);
        assert_eq!(test.minutes(), 1);
        assert_eq!(entry.title(), "C1 leakage");
        assert_eq!(entry.measured(), Quantity::Current);
    }

    #[test]
    fn a_limit_of_the_row_wins() {
        let (electrolytic, _) = test("16 uF,450 V,electrolytic,0.5 mA").unwrap();
        assert_eq!(
            (electrolytic.limit.ampere, electrolytic.minutes()),
            (0.5e-3, 5)
        );
        let (paper, _) = test("0.1 uF,400 V,paper,2 uA").unwrap();
        assert_eq!((paper.limit.ampere, paper.minutes()), (2e-6, 1));
    }

    #[test]
    fn with_too_little_voltage_bad_is_proved_and_good_is_not() {
        let row = "16 uF,450 V,electrolytic,0.5 mA";
        assert_eq!(verdict(row, 450.0, 0.1e-3).0, Verdict::Pass);
        let (too_low, why) = verdict(row, 300.0, 0.1e-3);
        assert_eq!(too_low, Verdict::Inconclusive);
        assert!(why.contains("too little voltage"), "{why}");
        assert_eq!(verdict(row, 300.0, 1e-3).0, Verdict::Fail);
    }

    #[test]
    fn without_a_rated_voltage_there_is_no_test() {
        let said = test("16 uF,,electrolytic,").unwrap_err().to_string();
        assert_eq!(
            said,
            "cannot judge leakage current: no rated voltage in the list, expected one in `rating`, such as `400V`"
        );
    }
}
