//! [`InsulationLimit`]: the least insulation resistance, and [`InsulationTable`]: that by material and condition, with the
//! arithmetic of insulation.

use serde::Deserialize;
use toml::Spanned;

use super::Condition;
use super::subject::{CannotJudge, CapacitorCheck, Missing, Subject};
use super::table::{ShippedTable, Written, all_positive, material, text, unique};
use crate::engine::parts::{Material, Part};
use crate::engine::source::{TextError, TomlText};

/// Form of a limit of insulation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum InsulationForm {
    Resistance,
    /// The product of resistance and capacitance, in seconds (= MΩ·µF).
    ProductSeconds(f64),
    /// A resistance that the place in the circuit asks for: a coupling capacitor at a grid.
    GridCoupling,
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

/// Insulation limits of every material but electrolytics.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InsulationTable {
    product_above_uf: Spanned<f64>,
    #[serde(rename = "row")]
    rows: Vec<Row>,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    name: Spanned<String>,
    material: Spanned<String>,
    condition: Condition,
    up_to_volts: Option<Spanned<f64>>,
    resistance_mohm: Spanned<f64>,
    product_s: Option<Spanned<f64>>,
    test_volts: Spanned<f64>,
    #[serde(default)]
    by_default: bool,
    #[serde(default)]
    safety_class: bool,
    source: Spanned<String>,
}

impl Default for InsulationTable {
    /// The table that comes with the program.
    fn default() -> Self {
        Self::shipped()
    }
}

impl Written for InsulationTable {
    const TABLE: ShippedTable = ShippedTable::Insulation;

    fn check(&self, source: TomlText<'_>) -> Result<(), TextError> {
        source.positive("product_above_uf", &self.product_above_uf)?;
        for row in &self.rows {
            material(source, &row.material)?;
            let numbers = [
                ("up_to_volts", row.up_to_volts.as_ref()),
                ("resistance_mohm", Some(&row.resistance_mohm)),
                ("product_s", row.product_s.as_ref()),
                ("test_volts", Some(&row.test_volts)),
            ];
            all_positive(source, numbers)?;
            source.words("source", &row.source)?;
        }
        let names = self.rows.iter().map(|row| &row.name);
        unique(source, names, "a name that no other row has")
    }
}

impl InsulationTable {
    /// The least insulation of `part`.
    ///
    /// # Errors
    /// [`CannotJudge`] says what the list or the table lacks.
    pub fn limit(&self, part: &Part, condition: Condition) -> Result<InsulationLimit, CannotJudge> {
        self.find(part, condition)
            .map_err(|missing| CannotJudge::new(CapacitorCheck::Insulation, missing))
    }

    fn find(&self, part: &Part, condition: Condition) -> Result<InsulationLimit, Missing> {
        let subject = Subject::of(part)?;
        if subject.material == Material::Electrolytic {
            return Err(Missing::Electrolytic);
        }
        let product_above_farad = self.product_above_uf.get_ref() * 1e-6;
        for row in &self.rows {
            match row.fits(subject, condition) {
                Some(true) => {
                    return Ok(row.limit(subject.capacitance_farad, product_above_farad));
                }
                Some(false) => {}
                None => return Err(Missing::RatedVoltage),
            }
        }
        Err(Missing::NoRow {
            material: subject.material,
            condition,
        })
    }
}

impl Row {
    /// The limit for a capacitance above zero. Up to `product_above_farad` it is the resistance.
    fn limit(&self, capacitance_farad: f64, product_above_farad: f64) -> InsulationLimit {
        let product = self.product_s.as_ref().map(|seconds| *seconds.get_ref());
        let product = product.filter(|_| capacitance_farad > product_above_farad);
        let resistance_ohm = self.resistance_mohm.get_ref() * 1e6;
        InsulationLimit {
            resistance_ohm: product.map_or(resistance_ohm, |s| s / capacitance_farad),
            form: product.map_or(InsulationForm::Resistance, InsulationForm::ProductSeconds),
            test_volts: *self.test_volts.get_ref(),
            row: text(&self.name),
            source: text(&self.source),
        }
    }

    /// Whether the row is taken. `None`: that hangs on a rated voltage which is not stated.
    fn fits(&self, subject: Subject, condition: Condition) -> Option<bool> {
        let material = Material::named(self.material.get_ref());
        if material != Some(subject.material) || self.condition != condition {
            return Some(false);
        }
        if subject.safety_class || self.safety_class {
            return Some(subject.safety_class && self.safety_class);
        }
        match (self.by_default, &self.up_to_volts) {
            (false, _) => Some(false),
            (true, None) => Some(true),
            (true, Some(up_to)) => subject.rated_volts.map(|volts| volts <= *up_to.get_ref()),
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::engine::judge::capacitor::sample::capacitor;
    use crate::engine::quantity::SafetyClass;

    fn shipped() -> &'static str {
        ShippedTable::Insulation.shipped_text()
    }

    fn new(part: &Part) -> Result<InsulationLimit, CannotJudge> {
        InsulationTable::default().limit(part, Condition::New)
    }

    #[test]
    fn the_rated_voltage_chooses_the_row_of_a_film() {
        let row = |volts| {
            new(&capacitor(Some(Material::Film), 0.1, Some(volts)))
                .unwrap()
                .row
        };
        assert_eq!(row(63.0), "polyester-low-voltage");
        assert_eq!(row(100.0), "polyester-low-voltage");
        assert_eq!(row(400.0), "polyester");
    }

    #[test]
    fn a_safety_class_chooses_its_own_row_without_a_rated_voltage() {
        let mut part = capacitor(Some(Material::Film), 0.1, None);
        part.rating.classes = vec![SafetyClass::named("X2").unwrap()];
        assert_eq!(new(&part).unwrap().row, "class-x-y");
    }

    #[test]
    fn what_the_list_or_the_table_lacks_is_named() {
        let said = |part: &Part| new(part).unwrap_err().to_string();
        assert_eq!(
            said(&capacitor(Some(Material::Film), 0.1, None)),
            "cannot judge insulation: no rated voltage in the list, expected one in `rating`, such as `400V`"
        );
        assert!(said(&capacitor(Some(Material::Electrolytic), 8.0, None)).contains("leakage"));
        assert!(said(&capacitor(Some(Material::Ceramic), 0.01, None)).contains("ceramic, new"));
        assert!(said(&capacitor(None, 0.01, None)).contains("no material"));
    }

    #[test]
    fn a_fault_in_a_table_is_found_in_its_line() {
        let line = |from: &str, to: &str| {
            let text = shipped().replacen(from, to, 1);
            let error = InsulationTable::parse(&text).unwrap_err();
            let expected = 1 + shipped()[..shipped().find(from).unwrap()]
                .matches('\n')
                .count();
            assert_eq!(error.line(), expected, "{error}");
        };
        line("product_above_uf = 0.33", "product_above_uf = 0");
        line("resistance_mohm = 15000", "resistance_mohm = inf");
        line("name = \"mica\"", "name = \"polyester\"");
        line("material = \"mica\"", "material = \"glass\"");
        line("product_s", "product_ms");
    }

    /// Insulation in MΩ up to 0.33 µF and product in s (= MΩ·µF) above: metallized polyester (IEC 60384-2), polypropylene
    /// (IEC 60384-16), X and Y film (IEC 60384-14), all from memory; mica 7500 MΩ (unverified), 3000 MΩ for
    /// characteristic A, 6000 MΩ for the others (MIL-C-5A, unverified). Paper: common practice, no source.
    #[test]
    fn insulation_of_every_row() {
        for (row, megohm, seconds) in [
            ("polyester", 15_000.0, Some(5000.0)),
            ("polyester-low-voltage", 3750.0, Some(1250.0)),
            ("polypropylene", 100_000.0, Some(30_000.0)),
            ("class-x-y", 15_000.0, Some(5000.0)),
            ("mica", 7500.0, None),
            ("mica-characteristic-a", 3000.0, None),
            ("mica-characteristic-b-to-j", 6000.0, None),
            ("paper-new", 6000.0, Some(2000.0)),
            ("paper-in-service", 900.0, Some(300.0)),
        ] {
            for microfarad in [0.01, 0.33] {
                let limit = insulation(row, microfarad);
                approx::assert_relative_eq!(
                    limit.resistance_ohm,
                    megohm * 1e6,
                    max_relative = 1e-12
                );
                assert_eq!(limit.form, InsulationForm::Resistance);
            }
            let above = insulation(row, 1.0);
            let product = insulation_product_s(above.resistance_ohm, 1e-6);
            approx::assert_relative_eq!(product, seconds.unwrap_or(megohm), max_relative = 1e-12);
        }
    }

    /// The limit by that row of the shipped table, alone in a table and taken by default.
    fn insulation(name: &str, microfarad: f64) -> InsulationLimit {
        let mut sections = ShippedTable::Insulation.shipped_text().split("[[row]]");
        let head = sections.next().unwrap();
        let row = sections.find(|row| row.contains(&format!("name = \"{name}\"")));
        let row = row.unwrap().replace("by_default = true\n", "");
        let text = format!("{head}[[row]]\nby_default = true{row}");
        let table = InsulationTable::parse(&text).unwrap();
        let material = match name {
            _ if name.starts_with("poly") || name.starts_with("class") => Material::Film,
            _ if name.starts_with("mica") => Material::Mica,
            _ => Material::Paper,
        };
        let condition = match name {
            "paper-in-service" => Condition::InService,
            _ => Condition::New,
        };
        let mut part = capacitor(Some(material), microfarad, Some(63.0));
        if name.starts_with("class") {
            part.rating.classes = vec![SafetyClass::X2];
        }
        table.limit(&part, condition).unwrap()
    }

    proptest! {
        #[test]
        fn a_larger_capacitance_is_never_held_to_a_higher_resistance(micro in 0.001..20.0, more in 1.0..10.0) {
            let table = InsulationTable::default();
            let product_above = table.product_above_uf.get_ref() * 1e-6;
            for row in &table.rows {
                let [small, large] = [micro, micro * more].map(|micro| row.limit(micro * 1e-6, product_above));
                // At the step from resistance to product, 0.33 µF, rounded figures of the standards may differ by 2 %.
                prop_assert!(large.resistance_ohm <= small.resistance_ohm * 1.02, "{}", small.row);
                let is_product = matches!(small.form, InsulationForm::ProductSeconds(_));
                prop_assert!(!is_product || micro > 0.33);
            }
        }
    }

    #[test]
    fn no_current_no_voltage_and_no_resistance_give_no_answer() {
        assert_eq!(insulation_ohm(300.0, 0.0), None);
        assert_eq!(insulation_ohm(-300.0, 1e-6), None);
        assert_eq!(insulation_ohm(f64::NAN, 1e-6), None);
    }
}
