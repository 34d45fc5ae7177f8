//! Voltages of a service sheet: what another meter reads where the sheet's meter loaded the circuit.
//!
//! Pure formulas; no file, port, clock or printing. A sheet states which meter it was made with: so many ohms per volt, on
//! such a range. Unloaded = V (Rs + S R)/(S R), and a meter of resistance N reads that times N/(N + Rs), by the definition
//! of a voltage divider.

use std::fmt;

use super::BadFigure;
use super::figure::figure;
use super::figure::{finite, not_negative, positive};
use crate::engine::quantity::Band;

/// Resistance of most digital voltmeters on their direct-voltage ranges, in ohm (common practice, no source).
pub const USUAL_METER_OHMS: f64 = 10e6;

/// The moving-coil meter that a service sheet was made with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SheetMeter {
    ohms_per_volt: f64,
    range_volts: f64,
}

impl SheetMeter {
    /// A meter of `ohms_per_volt` (1000, 20 000 ...) on the range that ends at `range_volts`.
    ///
    /// # Errors
    /// If one of them is not a finite number above zero.
    pub fn new(ohms_per_volt: f64, range_volts: f64) -> Result<Self, BadFigure> {
        Ok(Self {
            ohms_per_volt: positive("the sensitivity in ohm per volt", ohms_per_volt)?,
            range_volts: positive("the end of the range in volt", range_volts)?,
        })
    }

    /// Its resistance on that range, in ohm: sensitivity times range.
    fn ohms(self) -> f64 {
        self.ohms_per_volt * self.range_volts
    }

    /// The voltage at the point without the meter, in volt, where it reads `volts` at a source resistance of
    /// `source_ohms`: V (Rs + S R)/(S R).
    fn unloaded_volts(self, volts: f64, source_ohms: f64) -> f64 {
        volts * (1.0 + source_ohms / self.ohms())
    }
}

/// Expected reading of a meter at a point. Each pair holds the least and the greatest, in volt; they are equal if the source
/// resistance is known. Of negative voltages the more negative one is the least.
#[expect(clippy::struct_field_names, reason = "each name says its unit")]
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expectation {
    /// The voltage without any meter; infinite where nothing bounds it.
    pub unloaded_volts: (f64, f64),
    /// Reading if the point has just the sheet's voltage.
    pub nominal_volts: (f64, f64),
    /// Possible readings with the point inside the sheet's tolerance.
    pub limit_volts: (f64, f64),
    /// Readings inside the sheet's tolerance whatever the source resistance is within its bounds; the same as
    /// `limit_volts` if that is known, `None` if no reading is sure.
    pub sure_volts: Option<(f64, f64)>,
}

/// Expected reading of a meter of `meter_ohms` (10 MΩ for most) at a point where the sheet states `volts`, read with
/// `sheet_meter`, and `band` in volt as its tolerance, which is carried over. `source_ohms` is the least and the
/// greatest resistance behind the point, Ω; of one that is not known nothing and infinity.
///
/// # Errors
/// If `volts` is not finite, `source_ohms` below zero or not in order, or `meter_ohms` not above zero.
pub fn expected_reading(
    volts: f64,
    band: Band,
    sheet_meter: SheetMeter,
    source_ohms: (f64, f64),
    meter_ohms: f64,
) -> Result<Expectation, BadFigure> {
    let meter_ohms = positive("the resistance of the meter in ohm", meter_ohms)?;
    let volts = finite("the voltage on the sheet in volt", volts)?;
    let least_ohms = not_negative("the source resistance in ohm", source_ohms.0)?;
    let most_ohms = source_ohms.1.max(least_ohms);
    let factor = |source_ohms| reading_factor(source_ohms, sheet_meter.ohms(), meter_ohms);
    let factors = ordered(factor(least_ohms), factor(most_ohms));
    let (lower, upper) = (band.lower(), band.upper());
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

/// Reading of the new meter over that of the sheet's meter: (1 + Rs/Rm)/(1 + Rs/N), for any source resistance, an
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

    /// A band of so many percent to either side.
    fn around(volts: f64, percent: f64) -> Band {
        let reach = volts.abs() * percent / 100.0;
        Band::new(volts - reach, volts + reach).unwrap()
    }

    fn expected(volts: f64, percent: f64, meter: (f64, f64), source: Option<f64>) -> Expectation {
        let meter = SheetMeter::new(meter.0, meter.1).unwrap();
        let source = source.map_or((0.0, f64::INFINITY), |ohms| (ohms, ohms));
        expected_reading(volts, around(volts, percent), meter, source, 10e6).unwrap()
    }

    #[test]
    fn an_unknown_source_gives_bounds() {
        let found = expected(150.0, 0.0, (1000.0, 300.0), None);
        // From no source resistance at all to one that makes both meters short circuits: 10 MΩ over 300 kΩ.
        assert_relative_eq!(found.nominal_volts.0, 150.0);
        assert_relative_eq!(found.nominal_volts.1, 5000.0, max_relative = 1e-12);
        assert_eq!(found.unloaded_volts, (150.0, f64::INFINITY));
    }

    #[test]
    fn bounds_are_said_and_allow_what_lies_between() {
        let found = expected(150.0, 20.0, (1000.0, 300.0), None);
        // 10 MΩ over 300 kΩ: 33.3 times as much at most.
        assert_eq!(
            found.to_string(),
            "expect between 150 V and 5000 V, in tolerance from 120 V to 6000 V"
        );
        assert!(found.allows(200.0) && !found.allows(119.0) && !found.allows(6001.0));
    }

    #[test]
    fn a_voltage_of_nothing_stays_nothing() {
        let found = expected(0.0, 20.0, (1000.0, 300.0), None);
        assert_eq!(found.nominal_volts, (0.0, 0.0));
        assert_eq!(found.unloaded_volts, (0.0, 0.0));
    }

    #[test]
    fn what_cannot_be_is_refused() {
        let meter = SheetMeter::new(1000.0, 300.0).unwrap();
        let refused = |volts, source, ohms| {
            expected_reading(volts, around(150.0, 20.0), meter, source, ohms).is_err()
        };
        assert!(refused(150.0, (-1.0, 5.0), 10e6));
        assert!(refused(150.0, (0.0, 5.0), 0.0));
        assert!(refused(f64::NAN, (0.0, 5.0), 10e6));
        assert!(SheetMeter::new(0.0, 300.0).is_err());
    }

    proptest! {
        #[test]
        fn a_known_source_lies_within_the_bounds_of_an_unknown_one(
            volts in -500.0..500.0_f64, ohms in 0.0..1e8_f64, range in 1.0..1000.0_f64, percent in 0.0..50.0_f64,
        ) {
            let known = expected(volts, percent, (20e3, range), Some(ohms));
            let unknown = expected(volts, percent, (20e3, range), None);
            let slack = 1e-9 * volts.abs();
            prop_assert_eq!(known.nominal_volts.0, known.nominal_volts.1);
            prop_assert!(unknown.nominal_volts.0 - slack <= known.nominal_volts.0);
            prop_assert!(known.nominal_volts.1 <= unknown.nominal_volts.1 + slack);
            prop_assert!(known.limit_volts.0 <= known.nominal_volts.0 && known.nominal_volts.1 <= known.limit_volts.1);
        }

        #[test]
        fn the_same_meter_reads_the_same(volts in -500.0..500.0_f64, ohms in 0.0..1e8_f64) {
            let meter = SheetMeter::new(20e3, 500.0).unwrap();
            let found = expected_reading(volts, around(volts, 0.0), meter, (ohms, ohms), 10e6).unwrap();
            assert_relative_eq!(found.nominal_volts.0, volts, max_relative = 1e-12);
        }

        #[test]
        fn a_higher_source_resistance_raises_what_a_better_meter_reads(
            ohms in 0.0..1e7_f64, more in 1.0..1e6_f64,
        ) {
            let at = |ohms| expected(100.0, 0.0, (1000.0, 300.0), Some(ohms)).nominal_volts.0;
            prop_assert!(at(ohms + more) > at(ohms));
        }
    }
}
