//! [`InsulationTable`]: the least insulation by material and condition; the text of a table that a person can replace.

mod file;
mod row;

use row::Row;

use super::Condition;
use super::cannot_judge::{CannotJudge, Check, Missing};
use super::insulation_limit::InsulationLimit;
use super::subject::Subject;
use crate::engine::parts::{Material, Part};
use crate::engine::source::{TextError, TomlText};

const SHIPPED: &str = include_str!("../tables/insulation.toml");

/// Insulation limits of every material but electrolytics.
#[derive(Debug, Clone, PartialEq)]
pub struct InsulationTable {
    product_above_farad: f64,
    rows: Vec<Row>,
}

impl Default for InsulationTable {
    /// The table that comes with the program.
    fn default() -> Self {
        Self::parse(SHIPPED).expect("a test reads the table that comes with the program")
    }
}

impl InsulationTable {
    /// The text of the table that comes with the program, to start one's own from.
    pub const fn shipped_text() -> &'static str {
        SHIPPED
    }

    /// Reads a table.
    ///
    /// # Errors
    /// [`TextError`] points at the line that is not TOML, has an unknown key, or says something impossible; two rows of one
    /// name are an error.
    pub fn parse(text: &str) -> Result<Self, TextError> {
        let source = TomlText {
            file: "insulation.toml",
            text,
        };
        let file: file::File = source.read()?;
        let mut rows: Vec<Row> = Vec::new();
        for row in &file.row {
            let checked = Row::check(source, row)?;
            if rows.iter().any(|other| other.name == checked.name) {
                return Err(source.fault("name", &row.name, "a name that no other row has"));
            }
            rows.push(checked);
        }
        Ok(Self {
            product_above_farad: source.positive("product_above_uf", &file.product_above_uf)?
                * 1e-6,
            rows,
        })
    }

    /// The names of the rows, in the order of the table.
    pub fn row_names(&self) -> impl Iterator<Item = &str> {
        self.rows.iter().map(|row| row.name.as_str())
    }

    /// The limit of the row of that name for a capacitance; `None` if there is no such row or the capacitance is not finite
    /// and above zero. For a person who knows more of a part than its list says: that a film is polypropylene.
    pub fn named(&self, row: &str, capacitance_farad: f64) -> Option<InsulationLimit> {
        let row = self.rows.iter().find(|own| own.name == row)?;
        (capacitance_farad.is_finite() && capacitance_farad > 0.0)
            .then(|| row.limit(capacitance_farad, self.product_above_farad))
    }

    /// The least insulation of `part`. A limit that is `stated` for the part wins.
    ///
    /// # Errors
    /// [`CannotJudge`] says what the list or the table lacks.
    pub fn limit(
        &self,
        part: &Part,
        condition: Condition,
        stated: Option<InsulationLimit>,
    ) -> Result<InsulationLimit, CannotJudge> {
        self.find(part, condition, stated)
            .map_err(|missing| CannotJudge::new(Check::Insulation, missing))
    }

    fn find(
        &self,
        part: &Part,
        condition: Condition,
        stated: Option<InsulationLimit>,
    ) -> Result<InsulationLimit, Missing> {
        let subject = match (Subject::of(part), stated) {
            (Ok(subject), _) if subject.material == Material::Electrolytic => {
                return Err(Missing::Electrolytic);
            }
            (Ok(_) | Err(Missing::Material), Some(stated)) => return Ok(stated),
            (subject, _) => subject?,
        };
        for row in &self.rows {
            match row.fits(subject, condition) {
                Some(true) => {
                    return Ok(row.limit(subject.capacitance_farad, self.product_above_farad));
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

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::engine::judge::capacitor::InsulationForm;
    use crate::engine::judge::capacitor::sample::capacitor;
    use crate::engine::quantity::SafetyClass;

    fn new(part: &Part) -> Result<InsulationLimit, CannotJudge> {
        InsulationTable::default().limit(part, Condition::New, None)
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
            "cannot judge insulation: no rated voltage in the list"
        );
        assert!(said(&capacitor(Some(Material::Electrolytic), 8.0, None)).contains("leakage"));
        assert!(said(&capacitor(Some(Material::Ceramic), 0.01, None)).contains("ceramic, new"));
        assert!(said(&capacitor(None, 0.01, None)).contains("no material"));
    }

    #[test]
    fn a_stated_limit_wins_and_needs_no_material() {
        let stated = InsulationLimit::stated(1e9);
        let part = capacitor(None, 0.1, None);
        let found = InsulationTable::default().limit(&part, Condition::New, stated.clone());
        assert_eq!(found.ok(), stated);
        assert_eq!(InsulationLimit::stated(0.0), None);
    }

    #[test]
    fn a_fault_in_a_table_is_found_in_its_line() {
        let line = |from: &str, to: &str| {
            let text = SHIPPED.replacen(from, to, 1);
            let error = InsulationTable::parse(&text).unwrap_err();
            let expected = 1 + SHIPPED[..SHIPPED.find(from).unwrap()].matches('\n').count();
            assert_eq!(error.line(), expected, "{error}");
        };
        line("product_above_uf = 0.33", "product_above_uf = 0");
        line("resistance_mohm = 15000", "resistance_mohm = inf");
        line("name = \"mica\"", "name = \"polyester\"");
        line("material = \"mica\"", "material = \"glass\"");
        line("product_s", "product_ms");
    }

    proptest! {
        #[test]
        fn a_larger_capacitance_is_never_held_to_a_higher_resistance(micro in 0.001..20.0, more in 1.0..10.0) {
            let table = InsulationTable::default();
            for row in table.row_names() {
                let [small, large] = [micro, micro * more].map(|micro| table.named(row, micro * 1e-6).unwrap());
                // At the step from resistance to product, 0.33 µF, rounded figures of the standards may differ by 2 %.
                prop_assert!(large.resistance_ohm <= small.resistance_ohm * 1.02, "{row}");
                let is_product = matches!(small.form, InsulationForm::ProductSeconds(_));
                prop_assert!(!is_product || micro > 0.33);
            }
        }
    }
}
