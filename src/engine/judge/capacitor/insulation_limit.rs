//! [`InsulationLimit`]: the least insulation resistance, and the arithmetic of insulation.

/// Which form a limit of insulation has.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum InsulationForm {
    /// A resistance.
    Resistance,
    /// The product of resistance and capacitance, in seconds (= MΩ·µF).
    ProductSeconds(f64),
    /// A resistance that the place in the circuit asks for: a coupling capacitor at a grid.
    GridCoupling,
    /// Stated for the part.
    Stated,
}

/// The least insulation resistance that is still good.
#[derive(Debug, Clone, PartialEq)]
pub struct InsulationLimit {
    /// Least resistance, in ohm.
    pub resistance_ohm: f64,
    /// The form of the limit that it follows from.
    pub form: InsulationForm,
    /// A reading with less direct voltage than this, in volt, proves nothing good: a leak grows with the voltage.
    pub test_volts: f64,
    /// Name of the row; empty where it is none.
    pub row: String,
    /// Where the row is from.
    pub source: String,
}

/// The test voltage taken where a limit names none, V: the lowest of MIL-STD-202, method 302.
const TEST_VOLTS: f64 = 100.0;

impl InsulationLimit {
    /// A limit that the part's own row states, or its data sheet; it wins over every table. `None` unless the resistance is
    /// finite and above zero.
    pub fn stated(resistance_ohm: f64) -> Option<Self> {
        (resistance_ohm.is_finite() && resistance_ohm > 0.0).then(|| Self {
            resistance_ohm,
            form: InsulationForm::Stated,
            test_volts: TEST_VOLTS,
            row: String::new(),
            source: "stated for the part".to_owned(),
        })
    }

    /// The limit of a coupling capacitor at a grid, whatever its capacitance (common practice, no source).
    pub(super) fn grid_coupling(resistance_ohm: f64, source: &str) -> Self {
        Self {
            resistance_ohm,
            form: InsulationForm::GridCoupling,
            test_volts: TEST_VOLTS,
            row: String::new(),
            source: source.to_owned(),
        }
    }
}

/// Insulation resistance in ohm of a part that passes `leakage_ampere` at `volts`: U/I.
///
/// `None` unless both are finite and above zero.
pub fn insulation_ohm(volts: f64, leakage_ampere: f64) -> Option<f64> {
    let ohm = volts / leakage_ampere;
    (volts > 0.0 && leakage_ampere > 0.0 && ohm.is_finite() && ohm > 0.0).then_some(ohm)
}

/// The product of resistance and capacitance in seconds (= MΩ·µF), by which large parts are judged.
pub fn insulation_product_s(resistance_ohm: f64, capacitance_farad: f64) -> f64 {
    resistance_ohm * capacitance_farad
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_current_no_voltage_and_no_resistance_give_no_answer() {
        assert_eq!(insulation_ohm(300.0, 0.0), None);
        assert_eq!(insulation_ohm(-300.0, 1e-6), None);
        assert_eq!(insulation_ohm(f64::NAN, 1e-6), None);
    }
}
