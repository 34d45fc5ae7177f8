//! [`LossTable`]: the largest loss factor by material, rated voltage and capacitance; the text of a table that a person can
//! replace.

mod electrolytic;
mod file;

use electrolytic::Electrolytic;

use super::cannot_judge::{CannotJudge, Check, Missing};
use super::loss_limit::{LossLimit, LossRow, StatedLoss};
use super::subject::Subject;
use super::{Condition, material};
use crate::engine::parts::{Material, Part};
use crate::engine::source::{TextError, TomlText};

const SHIPPED: &str = include_str!("../tables/loss.toml");

/// Loss limits of every material.
#[derive(Debug, Clone, PartialEq)]
pub struct LossTable {
    electrolytic: Electrolytic,
    rows: Vec<Row>,
}

/// A limit of a material that is not electrolytic.
#[derive(Debug, Clone, PartialEq)]
struct Row {
    material: Material,
    condition: Condition,
    up_to_farad: f64,
    frequency_hz: f64,
    tan_delta: f64,
    source: String,
}

impl Default for LossTable {
    /// The table that comes with the program.
    fn default() -> Self {
        Self::parse(SHIPPED).expect("a test reads the table that comes with the program")
    }
}

impl LossTable {
    /// The text of the table that comes with the program, to start one's own from.
    pub const fn shipped_text() -> &'static str {
        SHIPPED
    }

    /// Reads a table.
    ///
    /// # Errors
    /// [`TextError`] points at the line that is not TOML, has an unknown key, or says something impossible.
    pub fn parse(text: &str) -> Result<Self, TextError> {
        let source = TomlText {
            file: "loss.toml",
            text,
        };
        let file: file::File = source.read()?;
        let rows = file.material.iter().map(|row| Row::check(source, row));
        Ok(Self {
            electrolytic: Electrolytic::check(source, &file.electrolytic)?,
            rows: rows.collect::<Result<_, _>>()?,
        })
    }

    /// The largest loss factor of `part`. A limit that is `stated` for the part wins.
    ///
    /// Electrolytics: the row of the rated voltage; between two rows the smaller limit of both, below and above the table
    /// the row at that end. Large ones are allowed more, and parts in service a multiple of what new ones are. The result
    /// says which row it was.
    ///
    /// # Errors
    /// [`CannotJudge`] says what the list or the table lacks.
    pub fn limit(
        &self,
        part: &Part,
        condition: Condition,
        stated: Option<StatedLoss>,
    ) -> Result<LossLimit, CannotJudge> {
        self.find(part, condition, stated)
            .map_err(|missing| CannotJudge::new(Check::Loss, missing))
    }

    fn find(
        &self,
        part: &Part,
        condition: Condition,
        stated: Option<StatedLoss>,
    ) -> Result<LossLimit, Missing> {
        let subject = Subject::of(part);
        if let Some(stated) = stated {
            return match subject {
                Err(missing @ (Missing::NotACapacitor { .. } | Missing::Capacitance)) => {
                    Err(missing)
                }
                _ => Ok(stated.limit()),
            };
        }
        let subject = subject?;
        if subject.material == Material::Electrolytic {
            let rated_volts = subject.rated_volts()?;
            return Ok(self
                .electrolytic
                .limit(subject.capacitance_farad, rated_volts, condition));
        }
        self.rows
            .iter()
            .find(|row| row.fits(subject, condition))
            .map(Row::limit)
            .ok_or(Missing::NoRow {
                material: subject.material,
                condition,
            })
    }
}

impl Row {
    fn check(source: TomlText<'_>, row: &file::Row) -> Result<Self, TextError> {
        let up_to_farad = match &row.up_to_nf {
            Some(nanofarad) => source.positive("up_to_nf", nanofarad)? * 1e-9,
            None => f64::INFINITY,
        };
        Ok(Self {
            material: material::read(source, &row.material)?,
            condition: row.condition,
            up_to_farad,
            frequency_hz: source.positive("frequency_hz", &row.frequency_hz)?,
            tan_delta: source.positive("tan_delta", &row.tan_delta)?,
            source: source.words("source", &row.source)?,
        })
    }

    fn fits(&self, subject: Subject, condition: Condition) -> bool {
        self.material == subject.material
            && self.condition == condition
            && subject.capacitance_farad <= self.up_to_farad
    }

    fn limit(&self) -> LossLimit {
        LossLimit {
            tan_delta: self.tan_delta,
            frequencies_hz: vec![self.frequency_hz],
            row: LossRow::Material,
            source: self.source.clone(),
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::engine::judge::capacitor::sample::capacitor;

    fn limit(micro: f64, volts: Option<f64>, condition: Condition) -> LossLimit {
        LossTable::default()
            .limit(
                &capacitor(Some(Material::Electrolytic), micro, volts),
                condition,
                None,
            )
            .unwrap()
    }

    #[test]
    fn between_two_rated_voltages_the_smaller_limit_holds() {
        for (volts, tan_delta, row) in [
            (12.0, 0.16, LossRow::Between(16.0)),
            (150.0, 0.08, LossRow::Between(100.0)),
            (300.0, 0.17, LossRow::Between(250.0)),
            (4.0, 0.23, LossRow::BelowTable(6.3)),
            (500.0, 0.25, LossRow::AboveTable(450.0)),
            (450.0, 0.25, LossRow::Listed(450.0)),
        ] {
            let limit = limit(8.0, Some(volts), Condition::New);
            assert_eq!((limit.tan_delta, limit.row), (tan_delta, row), "{volts} V");
        }
    }

    #[test]
    fn in_service_twice_the_limit_is_allowed_but_never_what_condemns() {
        assert_eq!(
            limit(25.0, Some(25.0), Condition::InService).tan_delta,
            0.28
        );
        assert_eq!(
            limit(10_000.0, Some(6.3), Condition::InService).tan_delta,
            0.5
        );
    }

    #[test]
    fn what_the_list_does_not_say_is_named() {
        let table = LossTable::default();
        let said = |part: &Part| {
            table
                .limit(part, Condition::New, None)
                .unwrap_err()
                .to_string()
        };
        assert_eq!(
            said(&capacitor(Some(Material::Electrolytic), 8.0, None)),
            "cannot judge loss: no rated voltage in the list"
        );
        assert_eq!(
            said(&capacitor(None, 8.0, Some(450.0))),
            "cannot judge loss: no material in the list"
        );
        assert_eq!(
            said(&capacitor(Some(Material::Carbon), 8.0, None)),
            "cannot judge loss: the table has no row for carbon, new"
        );
        let mut part = capacitor(Some(Material::Film), 8.0, None);
        part.kind = crate::engine::parts::Kind::Resistor;
        assert_eq!(
            said(&part),
            "cannot judge loss: found a resistor, expected a capacitor"
        );
    }

    #[test]
    fn a_stated_limit_wins_and_needs_no_rated_voltage() {
        let stated = StatedLoss::new(0.11, 100.0);
        let part = capacitor(Some(Material::Electrolytic), 8.0, None);
        let limit = LossTable::default()
            .limit(&part, Condition::New, stated)
            .unwrap();
        assert_eq!((limit.tan_delta, limit.row), (0.11, LossRow::Stated));
        assert_eq!(limit.frequencies_hz, [100.0]);
        assert_eq!(StatedLoss::new(0.0, 100.0), None);
        assert_eq!(StatedLoss::new(0.1, f64::NAN), None);
    }

    #[test]
    fn a_fault_in_a_table_is_found_in_its_line() {
        let fault = |from: &str, to: &str| {
            let text = SHIPPED.replacen(from, to, 1);
            assert_ne!(text, SHIPPED);
            let line = 1 + SHIPPED[..SHIPPED.find(from).unwrap()].matches('\n').count();
            let error = LossTable::parse(&text).unwrap_err();
            assert_eq!(error.line(), line, "{error}");
            error.to_string()
        };
        assert!(
            fault("rated_volts = 25,", "rated_volts = 16,").contains("expected rising voltages\n")
        );
        assert!(fault("tan_delta = 0.14", "tan_delta = -0.14").contains("above zero"));
        assert!(fault("material = \"mica\"", "material = \"glass\"").contains("`glass`"));
        assert!(fault("up_to_nf", "up_to_pf").contains("up_to_pf"));
        assert!(fault("[100, 120]", "[120, 100]").contains("rising"));
        assert!(fault("[100, 120]", "[]").contains("at least one"));
        assert!(fault("condition = \"new\"", "condition = \"old\"").contains("old"));
    }

    proptest! {
        #[test]
        fn a_larger_capacitance_is_never_held_to_less(micro in 0.1..1e5, more in 1.0..10.0, volts in 1.0..600.0) {
            for condition in Condition::ALL {
                let (small, large) = (limit(micro, Some(volts), condition), limit(micro * more, Some(volts), condition));
                prop_assert!(small.tan_delta <= large.tan_delta);
            }
        }

        #[test]
        fn in_service_is_never_stricter_than_new_unless_condemned(micro in 0.1..1e5, volts in 1.0..600.0) {
            let (new, old) = (limit(micro, Some(volts), Condition::New), limit(micro, Some(volts), Condition::InService));
            prop_assert!(new.tan_delta <= old.tan_delta || old.tan_delta == 0.5);
        }
    }
}
