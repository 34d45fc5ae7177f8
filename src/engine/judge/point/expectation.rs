//! [`expected_reading`]: what a meter should read at a point of a service sheet.

use std::fmt;

use super::{PointError, SheetMeter, SheetValue, SourceResistance};
use crate::engine::judge::bad_figure::positive;
use crate::engine::judge::figure::figure;

/// What a meter should read at a point. Each pair holds the least and the greatest, in volt; they are equal if the source
/// resistance is known. Of negative voltages the more negative one is the least.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expectation {
    /// What would be there without any meter; infinite where nothing bounds it.
    pub unloaded_volts: (f64, f64),
    /// What the meter reads if the point has just the sheet's voltage.
    pub nominal_volts: (f64, f64),
    /// What the meter may read with the point inside the sheet's tolerance.
    pub limit_volts: (f64, f64),
    /// What the meter reads inside the sheet's tolerance whatever the source resistance is within its bounds; the same as
    /// `limit_volts` if that is known, `None` if no reading is sure.
    pub sure_volts: Option<(f64, f64)>,
}

/// What a meter of `meter_ohms` (10 MΩ for most) should read at a point where the sheet states `sheet`, made with
/// `sheet_meter`, at this source resistance. The sheet's tolerance is carried over; an unknown source resistance gives bounds.
///
/// # Errors
/// If `meter_ohms` is not a finite number above zero, or [`PointError`] says what is wrong with the source resistance.
pub fn expected_reading(
    sheet: SheetValue,
    sheet_meter: SheetMeter,
    source: SourceResistance,
    meter_ohms: f64,
) -> Result<Expectation, PointError> {
    let meter_ohms = positive("the resistance of the meter in ohm", meter_ohms)?;
    let volts = sheet.volts();
    let (least_ohms, most_ohms) = source.bounds(volts, sheet_meter)?;
    let factor = |source_ohms| reading_factor(source_ohms, sheet_meter.ohms(), meter_ohms);
    let factors = ordered(factor(least_ohms), factor(most_ohms));
    let (lower, upper) = sheet.limits();
    let sure = (
        (lower * factors.0).max(lower * factors.1),
        (upper * factors.0).min(upper * factors.1),
    );
    Ok(Expectation {
        unloaded_volts: unloaded(volts, sheet_meter, (least_ohms, most_ohms)),
        nominal_volts: ordered(volts * factors.0, volts * factors.1),
        limit_volts: (
            (lower * factors.0).min(lower * factors.1),
            (upper * factors.0).max(upper * factors.1),
        ),
        sure_volts: (sure.0 <= sure.1).then_some(sure),
    })
}

impl Expectation {
    /// Whether one reading is expected, since the source resistance is known (or does not matter).
    pub fn is_certain(&self) -> bool {
        self.sure_volts == Some(self.limit_volts)
    }

    /// Whether a reading, in volt, may be of a point inside the sheet's tolerance.
    pub fn allows(&self, volts: f64) -> bool {
        self.limit_volts.0 <= volts && volts <= self.limit_volts.1
    }
}

impl fmt::Display for Expectation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let volts = |volts| figure(volts, "V");
        let (least, most) = self.nominal_volts;
        let nominal = if volts(least) == volts(most) {
            volts(least)
        } else {
            format!("between {} and {}", volts(least), volts(most))
        };
        let (least, most) = self.limit_volts;
        write!(
            f,
            "expect {nominal}, in tolerance from {} to {}",
            volts(least),
            volts(most)
        )
    }
}

/// What the new meter reads over what the sheet's meter read: (1 + Rs/Rm)/(1 + Rs/N), for any source resistance, an
/// infinite one included (then N/Rm). It is monotone in Rs, so bounds of Rs give bounds of the reading.
fn reading_factor(source_ohms: f64, sheet_ohms: f64, meter_ohms: f64) -> f64 {
    if source_ohms.is_infinite() {
        return meter_ohms / sheet_ohms;
    }
    (1.0 + source_ohms / sheet_ohms) * (meter_ohms / (meter_ohms + source_ohms))
}

fn unloaded(volts: f64, meter: SheetMeter, (least, most): (f64, f64)) -> (f64, f64) {
    if volts == 0.0 {
        return (0.0, 0.0);
    }
    ordered(
        meter.unloaded_volts(volts, least),
        meter.unloaded_volts(volts, most),
    )
}

fn ordered(a: f64, b: f64) -> (f64, f64) {
    (a.min(b), a.max(b))
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    use super::*;

    fn expected(
        volts: f64,
        percent: f64,
        meter: (f64, f64),
        source: SourceResistance,
    ) -> Expectation {
        let meter = SheetMeter::new(meter.0, meter.1).unwrap();
        expected_reading(
            SheetValue::new(volts, percent).unwrap(),
            meter,
            source,
            10e6,
        )
        .unwrap()
    }

    #[test]
    fn an_unknown_source_gives_bounds() {
        let found = expected(150.0, 0.0, (1000.0, 300.0), SourceResistance::Unknown);
        // From no source resistance at all to one that makes both meters short circuits: 10 MΩ over 300 kΩ.
        assert_relative_eq!(found.nominal_volts.0, 150.0);
        assert_relative_eq!(found.nominal_volts.1, 5000.0, max_relative = 1e-12);
        assert_eq!(found.unloaded_volts, (150.0, f64::INFINITY));
    }

    #[test]
    fn a_known_supply_narrows_the_bounds() {
        let source = SourceResistance::FedFrom {
            supply_volts: 250.0,
        };
        let found = expected(150.0, 20.0, (1000.0, 300.0), source);
        // At most 200 kΩ can stand behind it: 250 V unloaded, and 250 V × 10/10.2 on 10 MΩ.
        assert_relative_eq!(found.unloaded_volts.1, 250.0, max_relative = 1e-12);
        assert_relative_eq!(
            found.nominal_volts.1,
            250.0 * 10.0 / 10.2,
            max_relative = 1e-12
        );
        assert_relative_eq!(found.limit_volts.0, 120.0, max_relative = 1e-12);
        assert_relative_eq!(
            found.limit_volts.1,
            300.0 * 10.0 / 10.2,
            max_relative = 1e-12
        );
        assert_eq!(
            found.to_string(),
            "expect between 150 V and 245 V, in tolerance from 120 V to 294 V"
        );
        assert!(found.allows(200.0) && !found.allows(119.0) && !found.allows(295.0));
    }

    #[test]
    fn a_voltage_of_nothing_stays_nothing() {
        let found = expected(0.0, 20.0, (1000.0, 300.0), SourceResistance::Unknown);
        assert_eq!(found.nominal_volts, (0.0, 0.0));
        assert_eq!(found.unloaded_volts, (0.0, 0.0));
    }

    #[test]
    fn what_cannot_be_is_refused() {
        let meter = SheetMeter::new(1000.0, 300.0).unwrap();
        let sheet = SheetValue::new(150.0, 20.0).unwrap();
        let refused = |source, ohms| expected_reading(sheet, meter, source, ohms).unwrap_err();
        assert!(matches!(
            refused(
                SourceResistance::FedFrom {
                    supply_volts: 140.0
                },
                10e6
            ),
            PointError::AboveSupply { .. }
        ));
        assert!(matches!(
            refused(
                SourceResistance::Between {
                    lowest: 2.0,
                    highest: 1.0
                },
                10e6
            ),
            PointError::CrossedBounds { .. }
        ));
        assert!(matches!(
            refused(SourceResistance::Known { ohms: -1.0 }, 10e6),
            PointError::Figure(_)
        ));
        assert!(matches!(
            refused(SourceResistance::Unknown, 0.0),
            PointError::Figure(_)
        ));
        assert!(SheetMeter::new(0.0, 300.0).is_err());
        assert!(SheetValue::new(150.0, 101.0).is_err());
        assert!(SheetValue::asymmetric(150.0, 10.0, -5.0).is_err());
    }

    proptest! {
        #[test]
        fn a_known_source_lies_within_the_bounds_of_an_unknown_one(
            volts in -500.0..500.0_f64, ohms in 0.0..1e8_f64, range in 1.0..1000.0_f64, percent in 0.0..50.0_f64,
        ) {
            let known = expected(volts, percent, (20e3, range), SourceResistance::Known { ohms });
            let unknown = expected(volts, percent, (20e3, range), SourceResistance::Unknown);
            let slack = 1e-9 * volts.abs();
            prop_assert_eq!(known.nominal_volts.0, known.nominal_volts.1);
            prop_assert!(unknown.nominal_volts.0 - slack <= known.nominal_volts.0);
            prop_assert!(known.nominal_volts.1 <= unknown.nominal_volts.1 + slack);
            prop_assert!(known.limit_volts.0 <= known.nominal_volts.0 && known.nominal_volts.1 <= known.limit_volts.1);
        }

        #[test]
        fn the_same_meter_reads_the_same(volts in -500.0..500.0_f64, ohms in 0.0..1e8_f64) {
            let meter = SheetMeter::new(20e3, 500.0).unwrap();
            let sheet = SheetValue::new(volts, 0.0).unwrap();
            let found = expected_reading(sheet, meter, SourceResistance::Known { ohms }, 10e6).unwrap();
            assert_relative_eq!(found.nominal_volts.0, volts, max_relative = 1e-12);
        }

        #[test]
        fn a_higher_source_resistance_raises_what_a_better_meter_reads(
            ohms in 0.0..1e7_f64, more in 1.0..1e6_f64,
        ) {
            let at = |ohms| expected(100.0, 0.0, (1000.0, 300.0), SourceResistance::Known { ohms }).nominal_volts.0;
            prop_assert!(at(ohms + more) > at(ohms));
        }
    }
}
