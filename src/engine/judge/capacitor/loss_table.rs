//! [`LossTable`]: the largest loss factor by material, rated voltage and capacitance; the text of a table that a person can
//! replace.

use serde::Deserialize;
use toml::Spanned;

use super::Condition;
use super::loss_limit::{LossLimit, LossRow, StatedLoss};
use super::subject::{CannotJudge, CapacitorCheck, Missing, Subject};
use super::table::{ShippedTable, Written, all_positive, filled, material, rising, text};
use crate::engine::parts::{Material, Part};
use crate::engine::source::{TextError, TomlText};

/// Multiple of the limit of a new electrolytic that one in service may have at most, whatever a table says (common practice, no
/// source).
const LARGEST_FACTOR: f64 = 2.0;

/// Loss limits of every material.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LossTable {
    electrolytic: Electrolytic,
    #[serde(default, rename = "material")]
    rows: Vec<Row>,
}

/// The limits of electrolytics: by rated voltage, enlarged with the capacitance.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Electrolytic {
    frequencies_hz: Spanned<Vec<Spanned<f64>>>,
    extra_from_uf: Spanned<f64>,
    extra_per_1000_uf: Spanned<f64>,
    in_service_factor: Spanned<f64>,
    condemned_from: Spanned<f64>,
    /// Rated voltages rise.
    rows: Spanned<Vec<VoltageRow>>,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct VoltageRow {
    rated_volts: Spanned<f64>,
    tan_delta: Spanned<f64>,
    source: Spanned<String>,
}

/// A limit of a material that is not electrolytic.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    material: Spanned<String>,
    condition: Condition,
    up_to_nf: Option<Spanned<f64>>,
    frequency_hz: Spanned<f64>,
    tan_delta: Spanned<f64>,
    source: Spanned<String>,
}

impl Default for LossTable {
    /// The table that comes with the program.
    fn default() -> Self {
        Self::shipped()
    }
}

impl Written for LossTable {
    const TABLE: ShippedTable = ShippedTable::Loss;

    fn check(&self, source: TomlText<'_>) -> Result<(), TextError> {
        self.electrolytic.check(source)?;
        self.rows.iter().try_for_each(|row| row.check(source))
    }
}

impl LossTable {
    /// The largest loss factor of `part`. A limit that is `stated` for the part wins.
    ///
    /// Electrolytics: the row of the rated voltage; between two rows the larger limit of both, below and above the table
    /// the row at that end. Large ones are allowed more, and parts in service up to twice what new ones are, never less.
    /// The result says which row it was.
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
            .map_err(|missing| CannotJudge::new(CapacitorCheck::Loss, missing))
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

impl Electrolytic {
    fn check(&self, source: TomlText<'_>) -> Result<(), TextError> {
        let expected = "at least one frequency";
        filled(source, "frequencies_hz", &self.frequencies_hz, expected)?;
        rising(
            source,
            "frequencies_hz",
            self.frequencies(),
            "rising frequencies",
        )?;
        let (extra, factor) = (&self.extra_per_1000_uf, &self.in_service_factor);
        source.positive("extra_from_uf", &self.extra_from_uf)?;
        source.at_least("extra_per_1000_uf", extra, 0.0, "zero or more")?;
        source.at_least("in_service_factor", factor, 1.0, "1 or more")?;
        source.positive("condemned_from", &self.condemned_from)?;
        filled(source, "rows", &self.rows, "at least one row")?;
        let rows = self.rows.get_ref();
        let volts = rows.iter().map(|row| &row.rated_volts);
        rising(source, "rated_volts", volts, "rising voltages")?;
        for row in rows {
            source.positive("tan_delta", &row.tan_delta)?;
            source.words("source", &row.source)?;
        }
        Ok(())
    }

    /// The limit of a part of this capacitance and rated voltage, both above zero.
    fn limit(&self, capacitance_farad: f64, rated_volts: f64, condition: Condition) -> LossLimit {
        let (row, choice) = self.row(rated_volts);
        let beyond_uf = (capacitance_farad * 1e6 - self.extra_from_uf.get_ref()).max(0.0);
        let new = row.tan_delta.get_ref() + self.extra_per_1000_uf.get_ref() * beyond_uf / 1000.0;
        LossLimit {
            tan_delta: match condition {
                Condition::New => new,
                Condition::InService => {
                    let factor = self.in_service_factor.get_ref().min(LARGEST_FACTOR);
                    (new * factor).min(*self.condemned_from.get_ref()).max(new)
                }
            },
            frequencies_hz: self.frequencies().map(|hertz| *hertz.get_ref()).collect(),
            row: choice,
            source: text(&row.source),
        }
    }

    /// The row for a rated voltage: its own, else the wider of both neighbours, else the one at that end of the table.
    fn row(&self, rated_volts: f64) -> (&VoltageRow, LossRow) {
        let rows = self.rows.get_ref();
        let volts = |row: &VoltageRow| *row.rated_volts.get_ref();
        let after = rows.partition_point(|row| volts(row) < rated_volts);
        let below = after.checked_sub(1).and_then(|index| rows.get(index));
        match (below, rows.get(after)) {
            (_, Some(row)) if volts(row) == rated_volts => (row, LossRow::Listed(rated_volts)),
            (Some(below), Some(above)) => {
                let row = if below.tan_delta.get_ref() >= above.tan_delta.get_ref() {
                    below
                } else {
                    above
                };
                (row, LossRow::Between(volts(row)))
            }
            (Some(below), None) => (below, LossRow::AboveTable(volts(below))),
            (None, _) => (&rows[0], LossRow::BelowTable(volts(&rows[0]))),
        }
    }

    fn frequencies(&self) -> impl Iterator<Item = &Spanned<f64>> {
        self.frequencies_hz.get_ref().iter()
    }
}

impl Row {
    fn check(&self, source: TomlText<'_>) -> Result<(), TextError> {
        material(source, &self.material)?;
        let numbers = [
            ("up_to_nf", self.up_to_nf.as_ref()),
            ("frequency_hz", Some(&self.frequency_hz)),
            ("tan_delta", Some(&self.tan_delta)),
        ];
        all_positive(source, numbers)?;
        source.words("source", &self.source).map(drop)
    }

    fn fits(&self, subject: Subject, condition: Condition) -> bool {
        let up_to = self
            .up_to_nf
            .as_ref()
            .map(|nanofarad| nanofarad.get_ref() * 1e-9);
        Material::named(self.material.get_ref()) == Some(subject.material)
            && self.condition == condition
            && up_to.is_none_or(|up_to| subject.capacitance_farad <= up_to)
    }

    fn limit(&self) -> LossLimit {
        LossLimit {
            tan_delta: *self.tan_delta.get_ref(),
            frequencies_hz: vec![*self.frequency_hz.get_ref()],
            row: LossRow::Material,
            source: text(&self.source),
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::engine::judge::capacitor::sample::capacitor;

    fn shipped() -> &'static str {
        ShippedTable::Loss.shipped_text()
    }

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
    fn between_two_rated_voltages_the_larger_limit_holds() {
        for (volts, tan_delta, row) in [
            (12.0, 0.25, LossRow::Between(10.0)),
            (150.0, 0.20, LossRow::Between(160.0)),
            (300.0, 0.25, LossRow::Between(350.0)),
            (4.0, 0.30, LossRow::BelowTable(6.3)),
            (500.0, 0.25, LossRow::AboveTable(450.0)),
            (450.0, 0.25, LossRow::Listed(450.0)),
        ] {
            let limit = limit(8.0, Some(volts), Condition::New);
            assert_eq!((limit.tan_delta, limit.row), (tan_delta, row), "{volts} V");
        }
    }

    #[test]
    fn in_service_twice_the_limit_is_allowed_but_not_what_condemns_unless_a_new_one_may_have_it() {
        let limit = |micro, volts, condition| limit(micro, Some(volts), condition).tan_delta;
        assert_eq!(limit(25.0, 25.0, Condition::InService), 0.4);
        assert_eq!(limit(10_000.0, 6.3, Condition::InService), 0.5);
        let new = limit(22_000.0, 6.3, Condition::New);
        assert!(new > 0.5);
        assert_eq!(limit(22_000.0, 6.3, Condition::InService), new);
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
            "cannot judge loss: no rated voltage in the list, expected one in `rating`, such as `400V`"
        );
        assert_eq!(
            said(&capacitor(None, 8.0, Some(450.0))),
            "cannot judge loss: no material in the list, expected one in `material`, such as `paper`"
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
            let text = shipped().replacen(from, to, 1);
            assert_ne!(text, shipped());
            let line = 1 + shipped()[..shipped().find(from).unwrap()]
                .matches('\n')
                .count();
            let error = LossTable::parse(&text).unwrap_err();
            assert_eq!(error.line(), line, "{error}");
            error.to_string()
        };
        assert!(
            fault("rated_volts = 25,", "rated_volts = 16,").contains("expected rising voltages\n")
        );
        assert!(fault("tan_delta = 0.30", "tan_delta = -0.30").contains("above zero"));
        assert!(fault("material = \"mica\"", "material = \"glass\"").contains("`glass`"));
        assert!(fault("up_to_nf", "up_to_pf").contains("up_to_pf"));
        assert!(fault("[100, 120]", "[120, 100]").contains("rising"));
        assert!(fault("[100, 120]", "[]").contains("at least one"));
        assert!(fault("condition = \"new\"", "condition = \"old\"").contains("old"));
    }

    /// New: mica under 0.0005 at 1 MHz to 1 nF and at 1 kHz above (unverified); ceramic class 2 at most 0.025
    /// (MIL-PRF-123D); polyester and paper 0.005 to 0.01 (from memory). In service, all at 1 kHz: film 0.02, mica 0.003, paper
    /// 0.02 to 0.03 (common practice, no source).
    #[test]
    fn loss_of_other_materials() {
        for (material, micro, condition, tan_delta, hertz) in [
            (Material::Mica, 470e-6, Condition::New, 0.0005, 1e6),
            (Material::Mica, 1e-3, Condition::New, 0.0005, 1e6),
            (Material::Mica, 4.7e-3, Condition::New, 0.0005, 1e3),
            (Material::Ceramic, 0.01, Condition::New, 0.025, 1e3),
            (Material::Film, 0.1, Condition::New, 0.01, 1e3),
            (Material::Paper, 0.1, Condition::New, 0.01, 1e3),
            (Material::Film, 0.1, Condition::InService, 0.02, 1e3),
            (Material::Mica, 470e-6, Condition::InService, 0.003, 1e3),
            (Material::Paper, 0.1, Condition::InService, 0.03, 1e3),
        ] {
            let part = capacitor(Some(material), micro, Some(400.0));
            let limit = LossTable::default().limit(&part, condition, None).unwrap();
            assert_eq!(
                (limit.tan_delta, limit.frequencies_hz),
                (tan_delta, vec![hertz]),
                "{material}, {condition}"
            );
        }
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
        fn in_service_is_never_stricter_than_new_and_at_most_twice_as_wide(micro in 0.1..1e5, volts in 1.0..600.0) {
            let (new, old) = (limit(micro, Some(volts), Condition::New), limit(micro, Some(volts), Condition::InService));
            prop_assert!(new.tan_delta <= old.tan_delta && old.tan_delta <= 2.0 * new.tan_delta);
        }
    }
}
