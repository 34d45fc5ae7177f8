//! [`Tables`] and [`CapacitorLimits`]: every limit of a capacitor at once, each with its source or with what it lacks.

use super::Condition;
use super::ageing::AgeingTable;
use super::insulation::{InsulationLimit, InsulationTable};
use super::leakage::{LeakageLimit, LeakageTable};
use super::loss_limit::{LossLimit, StatedLoss};
use super::loss_table::LossTable;
use super::subject::CannotJudge;
use super::table::{ShippedTable, Written};
use crate::engine::judge::Policy;
use crate::engine::parts::Part;
use crate::engine::source::TextError;

/// The tables of a job; the default is what comes with the program.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tables {
    pub loss: LossTable,
    /// Leakage current of electrolytics.
    pub leakage: LeakageTable,
    /// Insulation of everything else.
    pub insulation: InsulationTable,
    /// Distances of old parts from their nominal values.
    pub ageing: AgeingTable,
}

/// Limits that the part's own row states, or its data sheet. Each wins over the tables.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Stated {
    pub loss: Option<StatedLoss>,
    pub leakage: Option<LeakageLimit>,
}

/// Limits of a capacitor beyond its capacitance.
#[derive(Debug, Clone, PartialEq)]
pub struct CapacitorLimits {
    /// The largest loss factor, or why there is none.
    pub loss: Result<LossLimit, CannotJudge>,
    /// The largest leakage current, or why there is none.
    pub leakage: Result<LeakageLimit, CannotJudge>,
    /// The least insulation, or why there is none.
    pub insulation: Result<InsulationLimit, CannotJudge>,
}

impl Tables {
    /// Reads the tables of a job by their texts, in the order of [`ShippedTable::ALL`]; an empty one stands for the table that comes
    /// with the program.
    ///
    /// # Errors
    /// [`TextError`] names file, line and key of the first fault. A row without a source is one.
    pub fn parse(texts: [&str; ShippedTable::ALL.len()]) -> Result<Self, TextError> {
        let own = |table| Some(texts[table as usize]).filter(|text| !text.is_empty());
        Ok(Self {
            loss: own(ShippedTable::Loss)
                .map_or_else(|| Ok(LossTable::default()), LossTable::parse)?,
            leakage: own(ShippedTable::Leakage)
                .map_or_else(|| Ok(LeakageTable::default()), LeakageTable::parse)?,
            insulation: own(ShippedTable::Insulation)
                .map_or_else(|| Ok(InsulationTable::default()), InsulationTable::parse)?,
            ageing: own(ShippedTable::Ageing)
                .map_or_else(|| Ok(AgeingTable::default()), AgeingTable::parse)?,
        })
    }

    /// Every limit of `part`.
    ///
    /// The form of the leakage limit is the policy's. A coupling capacitor at a grid is held to the higher resistance of the
    /// table's and the policy's, and to the policy's where the table has none.
    pub fn limits(
        &self,
        part: &Part,
        condition: Condition,
        policy: &Policy,
        stated: Stated,
    ) -> CapacitorLimits {
        let form = policy.leakage_form(condition);
        let insulation = self.insulation.limit(part, condition);
        CapacitorLimits {
            loss: self.loss.limit(part, condition, stated.loss),
            leakage: self.leakage.limit(part, form, stated.leakage),
            insulation: at_a_grid(part, policy, insulation),
        }
    }
}

/// The limit of a coupling capacitor at a grid, else the one of the table.
fn at_a_grid(
    part: &Part,
    policy: &Policy,
    table: Result<InsulationLimit, CannotJudge>,
) -> Result<InsulationLimit, CannotJudge> {
    let rule = policy.grid_coupling();
    let stands = table
        .as_ref()
        .is_ok_and(|limit| limit.resistance_ohm >= rule.least_ohm);
    if stands || !rule.fits(part) {
        return table;
    }
    Ok(InsulationLimit::grid_coupling(rule.least_ohm, &rule.source))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::judge::capacitor::sample::capacitor;
    use crate::engine::judge::capacitor::{InsulationForm, ReadAfter};
    use crate::engine::parts::Material;

    fn limits(part: &Part, condition: Condition) -> CapacitorLimits {
        Tables::default().limits(part, condition, &Policy::default(), Stated::default())
    }

    #[test]
    fn a_new_electrolytic_is_held_to_the_standard_and_old_stock_to_the_old_rule() {
        let part = capacitor(Some(Material::Electrolytic), 16.0, Some(450.0));
        let form = |condition| limits(&part, condition).leakage.unwrap().form;
        assert_eq!(form(Condition::New), "iec60384-4-general");
        assert_eq!(form(Condition::InService), "old-stock");
    }

    #[test]
    fn without_a_rated_voltage_every_check_says_what_it_lacks() {
        let limits = limits(
            &capacitor(Some(Material::Electrolytic), 16.0, None),
            Condition::New,
        );
        let said = limits.loss.unwrap_err().to_string();
        assert_eq!(
            said,
            "cannot judge loss: no rated voltage in the list, expected one in `rating`, such as `400V`"
        );
        let said = limits.leakage.unwrap_err().to_string();
        assert_eq!(
            said,
            "cannot judge leakage current: no rated voltage in the list, expected one in `rating`, such as `400V`"
        );
        let said = limits.insulation.unwrap_err().to_string();
        assert!(said.contains("by its leakage current instead"), "{said}");
    }

    #[test]
    fn at_a_grid_the_higher_resistance_holds() {
        let form = |micro, material, condition| {
            let mut part = capacitor(material, micro, Some(400.0));
            part.role = "coupling".to_owned();
            let limit = limits(&part, condition).insulation.unwrap();
            (limit.form, limit.resistance_ohm)
        };
        let grid = (InsulationForm::GridCoupling, 100e6);
        assert_eq!(form(0.1, None, Condition::InService), grid);
        assert_eq!(
            form(0.1, Some(Material::Ceramic), Condition::InService),
            grid
        );
        assert_eq!(
            form(10.0, Some(Material::Paper), Condition::InService),
            grid
        );
        let (form, ohm) = form(0.1, Some(Material::Paper), Condition::InService);
        assert_eq!((form, ohm), (InsulationForm::Resistance, 900e6));
    }

    #[test]
    fn a_job_replaces_the_tables_that_it_wants() {
        assert_eq!(Tables::parse([""; 4]), Ok(Tables::default()));
        let stricter = ShippedTable::Loss
            .shipped_text()
            .replace("tan_delta = 0.03", "tan_delta = 0.02");
        let own = Tables::parse([&stricter, "", "", ""]).unwrap();
        assert_ne!(own.loss, LossTable::default());
        assert_eq!(own.leakage, LeakageTable::default());
        let part = capacitor(Some(Material::Paper), 0.1, Some(400.0));
        let limit = own.loss.limit(&part, Condition::InService, None).unwrap();
        assert_eq!(limit.tan_delta, 0.02);
    }

    #[test]
    fn a_row_of_any_table_without_a_source_is_refused_with_file_line_and_key() {
        for table in ShippedTable::ALL {
            let lines: Vec<&str> = table.shipped_text().lines().collect();
            let last = lines.iter().rposition(|line| line.contains("source = "));
            let last = last.unwrap();
            let (before, source) = lines[last].split_once("source = ").unwrap();
            let behind = source.rsplit_once('"').unwrap().1;
            let said = |row: String| {
                let mut lines = lines.clone();
                lines[last] = &row;
                let text = lines.join("\n");
                let own = |other| if other == table { text.as_str() } else { "" };
                Tables::parse(ShippedTable::ALL.map(own)).unwrap_err()
            };
            let file = table.file_name();
            let line = last + 1;
            let blank = said(format!("{before}source = \" \"{behind}")).to_string();
            assert!(
                blank.starts_with("error: found source = ` `, expected a text\n")
                    && blank.contains(&format!("--> {file}:{line}:")),
                "{blank}"
            );
            let without = said(format!(
                "{}{behind}",
                before.trim_end().trim_end_matches(',')
            ));
            let message = without.to_string();
            assert!(
                message.contains(&format!("--> {file}:")) && message.contains("`source`"),
                "{message}"
            );
            // A row that is a section of its own begins some lines before its end.
            assert!((line - 8..=line).contains(&without.line()), "{message}");
        }
    }

    #[test]
    fn stated_limits_win_everywhere() {
        let mut part = capacitor(Some(Material::Paper), 10.0, None);
        part.role = "coupling".to_owned();
        let stated = Stated {
            loss: StatedLoss::new(0.5, 1000.0),
            leakage: LeakageLimit::stated(1e-3, ReadAfter::TwoMinutes),
        };
        let limits =
            Tables::default().limits(&part, Condition::InService, &Policy::default(), stated);
        assert_eq!(limits.loss.unwrap().tan_delta, 0.5);
        assert!(limits.leakage.is_err(), "paper has no leakage limit");
    }
}
