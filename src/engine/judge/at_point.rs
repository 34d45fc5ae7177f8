//! A point is held to what this meter should read there, where the sheet's meter loaded the circuit.

use super::BadFigure;
use super::check::{Aspect, Check};
use super::conditions::Conditions;
use super::feed::Source;
use super::figure::figure;
use super::point::{Expectation, SheetMeter, expected_reading};
use super::rule::Rule;
use super::verdict::Verdict;
use crate::engine::impedance::Uncertain;
use crate::engine::parts::{Kind, Part, Sheet};
use crate::engine::quantity::{Band, Quantity, Rating, format_value};

/// A point of which the list states the sheet's meter.
pub(super) struct Loaded {
    volts: f64,
    sheet: Sheet,
    meter_ohms: f64,
    /// The resistance behind it from the list, where the list does not state it.
    computed: Option<Source>,
    expected: Result<Expectation, BadFigure>,
}

/// The reading that this meter should have at `part`, listed with the limits of `band`; nothing unless the list states the sheet's meter.
pub(super) fn loaded(part: &Part, band: Band, conditions: &Conditions) -> Option<Loaded> {
    let sheet = part
        .sheet
        .filter(|_| part.measured() == Quantity::Voltage)?;
    let volts = part.nominal.value();
    let meter_ohms = conditions.meter_ohms;
    let feed = conditions.feeds.at(part);
    let computed = feed.and_then(|feed| feed.source.clone());
    let computed = computed.filter(|_| sheet.source_ohm.is_none());
    let source = match (sheet.source_ohm, &computed) {
        (Some(ohms), _) => (ohms, ohms),
        (None, Some(source)) => source.ohms,
        (None, None) => (0.0, f64::INFINITY),
    };
    Some(Loaded {
        volts,
        sheet,
        meter_ohms,
        computed,
        expected: expect(volts, band, sheet, (source, meter_ohms)),
    })
}

/// Remark that an alternating voltage is held to the list as it is, where the list states the sheet's meter: what that one loaded
/// depends on the frequency and on its rectifier too, of which the list says nothing.
pub(super) fn uncorrected(part: &Part) -> Option<Check> {
    let sheet = part
        .sheet
        .filter(|_| part.measured() == Quantity::AcVoltage)?;
    let words = format!(
        "the sheet's meter ({sheet}) is not taken into account: an alternating voltage is judged as listed"
    );
    Some(Check::remark(Aspect::Loading, words))
}

fn expect(
    volts: f64,
    band: Band,
    sheet: Sheet,
    (source, meter_ohms): ((f64, f64), f64),
) -> Result<Expectation, BadFigure> {
    let meter = SheetMeter::new(sheet.ohm_per_volt, sheet.range_volt)?;
    expected_reading(volts, band, meter, source, meter_ohms)
}

/// The capacitors at a point whose rating its voltage exceeds: each is a fault of its own, whatever the sheet says. One whose
/// other end is fed as well may bear less: that is said, and not judged.
pub(super) fn above_ratings<'a>(
    part: &Part,
    judged: Option<Uncertain>,
    conditions: &'a Conditions,
) -> impl Iterator<Item = Check> + use<'a> {
    let feed = conditions
        .feeds
        .at(part)
        .filter(|_| part.kind == Kind::Point);
    let quantity = part.measured();
    let capacitors = feed.map_or(&[][..], |feed| &feed.capacitors);
    capacitors.iter().filter_map(move |one| {
        let judged = judged?;
        let limit = rated_volts(&one.rating, quantity)?;
        let band = Band::new(-limit, limit)?;
        let found = conditions.rule.decide(judged.value, judged.u, band);
        let verdict = if one.whole {
            found
        } else {
            Verdict::Inconclusive
        };
        let shared = if one.whole {
            ""
        } else {
            ", and what stands at its other end is not known: measure across it"
        };
        (found != Verdict::Pass).then(|| Check {
            aspect: Aspect::Overvoltage,
            verdict: Some(verdict),
            words: format!(
                "{} at {}, which is rated {}{shared}",
                format_value(quantity, judged.value, 4),
                one.designator,
                format_value(quantity, limit, 4),
            ),
        })
    })
}

/// The largest voltage of that kind that a rating allows, V; of an alternating one on a part rated for direct voltage the one
/// whose peak is that.
fn rated_volts(rating: &Rating, quantity: Quantity) -> Option<f64> {
    match quantity {
        Quantity::Voltage => rating.dc_volts,
        _ => rating
            .ac_volts
            .or_else(|| Some(rating.dc_volts? / std::f64::consts::SQRT_2)),
    }
}

impl Loaded {
    /// The limits for a reading of this meter; the widest ones if the source resistance is not known.
    pub(super) fn band(&self) -> Option<Band> {
        let (lower, upper) = self.expected.as_ref().ok()?.limit_volts;
        Band::new(lower, upper)
    }

    /// The remark about it, and the verdict that the bounds settle of a reading that was `judged` by those limits.
    pub(super) fn check(&self, judged: Option<Uncertain>, rule: Rule) -> Check {
        let (verdict, words) = match &self.expected {
            Ok(expected) => (
                judged.and_then(|judged| settled(expected, judged, rule)),
                self.words(expected),
            ),
            Err(error) => (
                Some(Verdict::Inconclusive),
                format!("no reading can be foretold: {error}"),
            ),
        };
        Check {
            aspect: Aspect::Loading,
            verdict,
            words,
        }
    }

    fn words(&self, expected: &Expectation) -> String {
        let sheet = self.sheet;
        let resistance = figure(sheet.ohm_per_volt * sheet.range_volt, "Ω");
        let listed = format!(
            "the listed {} was read with {}/V on the {} range ({resistance})",
            figure(self.volts, "V"),
            figure(sheet.ohm_per_volt, "Ω"),
            figure(sheet.range_volt, "V"),
        );
        let meter = figure(self.meter_ohms, "Ω");
        let behind = |ohms: f64| {
            format!(
                "{listed} behind {}; without any meter it is {}; for this meter of {meter} {expected}",
                figure(ohms, "Ω"),
                figure(expected.unloaded_volts.0, "V"),
            )
        };
        match (sheet.source_ohm, &self.computed) {
            (Some(ohms), _) => behind(ohms),
            (
                None,
                Some(Source {
                    ohms: (least, most),
                    because,
                }),
            ) if least == most => {
                format!(
                    "{}; the resistance behind it is computed from the list: {because}",
                    behind(*most)
                )
            }
            (
                None,
                Some(Source {
                    ohms: (_, most),
                    because,
                }),
            ) => format!(
                "{listed} behind {} at most, {because}; for this meter of {meter} {expected}; `source_ohm` in the list would say which",
                figure(*most, "Ω"),
            ),
            (None, None) => format!(
                "{listed}, and how much that meter loaded the point is not known; for this meter of {meter} {expected}; \
                 `source_ohm` in the list would say which"
            ),
        }
    }
}

/// Verdict on a reading if the source resistance lies anywhere within its bounds; nothing if it is known, or if the
/// reading is outside whatever it is, since the limits themselves say so.
fn settled(expected: &Expectation, judged: Uncertain, rule: Rule) -> Option<Verdict> {
    if expected.is_certain() || !expected.allows(judged.value) {
        return None;
    }
    let sure = expected
        .sure_volts
        .and_then(|(lower, upper)| Band::new(lower, upper));
    let verdict = sure.map(|sure| rule.decide(judged.value, judged.u, sure));
    match verdict {
        Some(verdict @ (Verdict::Pass | Verdict::ConditionalPass)) => Some(verdict),
        _ => Some(Verdict::Inconclusive),
    }
}

#[cfg(test)]
mod tests {
    use super::super::judgement::{Judgement, judge};
    use super::*;
    use crate::engine::parts::{ListSettings, read};
    use crate::engine::probing::{Estimate, Finding, SettledValue};
    use crate::engine::quantity::Stamp;

    /// The point of a row behind `ref,kind`, read as `volts` by a meter of `meter_ohms`.
    fn judged(row: &str, volts: f64, meter_ohms: f64) -> Judgement {
        let list = format!(
            "ref,kind,value,tolerance,sheet_ohm_per_volt,sheet_range,source_ohm\nTP1,point,{row}\n"
        );
        let list = read(list.as_bytes(), &ListSettings::default()).unwrap();
        let settled = SettledValue {
            quantity: list.parts[0].measured(),
            contact: Stamp::ZERO,
            at: Stamp::ZERO,
            readings: 5,
            finding: Finding::Value(Estimate::combine(volts, 0.0, 0.05, 0.0)),
            second: None,
        };
        let mut conditions = Conditions::by(Rule::GuardBand);
        conditions.meter_ohms = meter_ohms;
        judge(
            &list.parts[0],
            &settled,
            &crate::engine::judge::Beside::default(),
            &conditions,
        )
    }

    const KNOWN: &str = "150 V,10%,1000,300 V,100k";
    const UNKNOWN: &str = "150 V,10%,20k,300 V,";

    #[test]
    fn the_expected_reading_is_judged_and_not_the_listed_one() {
        // By the divider: 200 V without a meter, 198.02 V on 10 MΩ, ten per cent to either side.
        let found = judged(KNOWN, 200.0, 10e6);
        assert_eq!(found.verdict, Verdict::Pass);
        assert!((found.grounds.band.lower() - 178.2178).abs() < 1e-3);
        assert!((found.grounds.band.upper() - 217.8218).abs() < 1e-3);
        assert_eq!(found.checks.len(), 1);
        assert_eq!(
            found.checks[0].words,
            "the listed 150 V was read with 1 kΩ/V on the 300 V range (300 kΩ) behind 100 kΩ; without any meter it is 200 V; \
             for this meter of 10 MΩ expect 198 V, in tolerance from 178 V to 218 V"
        );
        assert_eq!(judged(KNOWN, 150.0, 10e6).verdict, Verdict::Fail);
    }

    #[test]
    fn the_resistance_of_the_meter_counts() {
        // A meter like the sheet's reads what the sheet says.
        assert_eq!(judged(KNOWN, 150.0, 300e3).verdict, Verdict::Pass);
        assert_eq!(judged(KNOWN, 200.0, 300e3).verdict, Verdict::Fail);
    }

    #[test]
    fn without_the_source_resistance_only_what_is_outside_all_bounds_is_judged() {
        // On 10 MΩ from as much to 10/6 as much as on 6 MΩ: 135 V to 275 V, none of it sure.
        assert_eq!(judged(UNKNOWN, 130.0, 10e6).verdict, Verdict::Fail);
        assert_eq!(judged(UNKNOWN, 280.0, 10e6).verdict, Verdict::Fail);
        let found = judged(UNKNOWN, 200.0, 10e6);
        assert_eq!(found.verdict, Verdict::Inconclusive);
        assert_eq!(found.probability, None);
        assert!(found.checks[0].words.contains("between 150 V and 250 V"));
    }

    #[test]
    fn a_reading_that_conforms_whatever_the_source_is_passes() {
        // Meters of 6 MΩ and 6.3 MΩ differ by 5 per cent at most: 141.75 V to 165 V is sure, 135 V to 173.25 V possible.
        assert_eq!(judged(UNKNOWN, 155.0, 6.3e6).verdict, Verdict::Pass);
        let near = judged(UNKNOWN, 164.98, 6.3e6).verdict;
        assert_eq!(near, Verdict::ConditionalPass);
        assert_eq!(judged(UNKNOWN, 170.0, 6.3e6).verdict, Verdict::Inconclusive);
    }

    #[test]
    fn a_negative_point_has_its_limits_the_right_way_round() {
        // -12 V, 470 kΩ, 20 kΩ/V, 50 V: -16.85 V on 10 MΩ.
        let row = "-12 V,10%,20k,50 V,470k";
        assert_eq!(judged(row, -16.8, 10e6).verdict, Verdict::Pass);
        assert_eq!(judged(row, -12.0, 10e6).verdict, Verdict::Fail);
    }

    #[test]
    fn an_alternating_voltage_is_judged_as_listed_and_that_is_said() {
        let found = judged("6.3 V AC,5%,1000,10 V,", 6.4, 10e6);
        assert_eq!(
            (found.verdict, found.grounds.band.upper()),
            (Verdict::Pass, 6.3 * 1.05)
        );
        assert_eq!(
            found.checks[0].words,
            "the sheet's meter (1 kΩ/V on 10 V) is not taken into account: an alternating voltage is judged as listed"
        );
        let bare = judged("6.3 V AC,5%,,,", 7.0, 10e6);
        assert_eq!((bare.verdict, bare.checks.len()), (Verdict::Fail, 0));
    }

    #[test]
    fn without_a_sheet_the_list_holds() {
        let found = judged("150 V,10%,,,", 150.0, 10e6);
        assert_eq!((found.verdict, found.checks.len()), (Verdict::Pass, 0));
    }
}
