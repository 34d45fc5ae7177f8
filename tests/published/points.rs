//! Voltages of a service sheet on another meter, against the definition of a voltage divider, by mpmath 1.3 at 30 digits.

use approx::assert_relative_eq;
use probewright::face::engine::judge::point::{SheetMeter, expected_reading};
use probewright::face::engine::quantity::Band;

/// Volts on the sheet, source resistance, ohms per volt, range; then unloaded, and on 10 MΩ.
const ROWS: [([f64; 4], [f64; 2]); 3] = [
    ([150.0, 100e3, 1000.0, 300.0], [200.0, 198.019_802]),
    ([90.0, 220e3, 20e3, 100.0], [99.9, 97.749_511]),
    ([-12.0, 470e3, 20e3, 50.0], [-17.64, -16.848_138]),
];

#[test]
fn unloaded_and_on_ten_megohms() {
    for ([volts, ohms, ohms_per_volt, range], [unloaded, loaded]) in ROWS {
        let meter = SheetMeter::new(ohms_per_volt, range).unwrap();
        let reach = 0.2 * volts.abs();
        let band = Band::new(volts - reach, volts + reach).unwrap();
        let found = expected_reading(volts, band, meter, (ohms, ohms), 10e6).unwrap();
        assert_relative_eq!(found.unloaded_volts.0, unloaded, max_relative = 1e-12);
        assert_relative_eq!(found.unloaded_volts.1, unloaded, max_relative = 1e-12);
        assert_relative_eq!(found.nominal_volts.0, loaded, max_relative = 3e-8);
        // The circuit is linear: 20 % on the sheet are 20 % on any meter.
        let limits = (0.8 * loaded, 1.2 * loaded);
        let expected = (limits.0.min(limits.1), limits.0.max(limits.1));
        assert_relative_eq!(found.limit_volts.0, expected.0, max_relative = 3e-8);
        assert_relative_eq!(found.limit_volts.1, expected.1, max_relative = 3e-8);
    }
}

/// A meter of 10 MΩ reads the unloaded voltage times 10/(10 + Rs) (definition): no source resistance, no difference.
#[test]
fn without_source_resistance_every_meter_agrees() {
    let meter = SheetMeter::new(1000.0, 300.0).unwrap();
    let band = Band::new(120.0, 180.0).unwrap();
    let found = expected_reading(150.0, band, meter, (0.0, 0.0), 10e6).unwrap();
    assert_eq!(found.nominal_volts, (150.0, 150.0));
    assert_relative_eq!(found.limit_volts.0, 120.0, max_relative = 1e-12);
    assert_relative_eq!(found.limit_volts.1, 180.0, max_relative = 1e-12);
}
