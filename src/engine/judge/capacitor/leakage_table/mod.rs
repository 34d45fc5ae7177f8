//! [`LeakageTable`]: the forms of the largest leakage current; the text of a table that a person can replace.

mod file;
mod form;

pub use form::LeakageForm;

use super::cannot_judge::{CannotJudge, Check, Missing};
use super::leakage_limit::LeakageLimit;
use super::subject::Subject;
use crate::engine::parts::{Material, Part};
use crate::engine::source::{TextError, TomlText};

const SHIPPED: &str = include_str!("../tables/leakage.toml");

/// Every form that is known.
#[derive(Debug, Clone, PartialEq)]
pub struct LeakageTable {
    forms: Vec<LeakageForm>,
}

impl Default for LeakageTable {
    /// The table that comes with the program.
    fn default() -> Self {
        Self::parse(SHIPPED).expect("a test reads the table that comes with the program")
    }
}

impl LeakageTable {
    /// The text of the table that comes with the program, to start one's own from.
    pub const fn shipped_text() -> &'static str {
        SHIPPED
    }

    /// Reads a table.
    ///
    /// # Errors
    /// [`TextError`] points at the line that is not TOML, has an unknown key, or says something impossible; two forms of one
    /// name are an error.
    pub fn parse(text: &str) -> Result<Self, TextError> {
        let source = TomlText {
            file: "leakage.toml",
            text,
        };
        let file: file::File = source.read()?;
        let mut forms: Vec<LeakageForm> = Vec::new();
        for form in &file.form {
            let checked = LeakageForm::check(source, form)?;
            if forms.iter().any(|other| other.name() == checked.name()) {
                return Err(source.fault("name", &form.name, "a name that no other form has"));
            }
            forms.push(checked);
        }
        Ok(Self { forms })
    }

    /// Every form, in the order of the table.
    pub fn forms(&self) -> &[LeakageForm] {
        &self.forms
    }

    /// The form of that name.
    pub fn form(&self, name: &str) -> Option<&LeakageForm> {
        self.forms.iter().find(|form| form.name() == name)
    }

    /// The largest leakage current of `part`, an electrolytic, by the form of that name. A limit that is `stated` for the
    /// part wins.
    ///
    /// # Errors
    /// [`CannotJudge`] says what the list or the table lacks.
    pub fn limit(
        &self,
        part: &Part,
        form: &str,
        stated: Option<LeakageLimit>,
    ) -> Result<LeakageLimit, CannotJudge> {
        self.find(part, form, stated)
            .map_err(|missing| CannotJudge::new(Check::Leakage, missing))
    }

    fn find(
        &self,
        part: &Part,
        form: &str,
        stated: Option<LeakageLimit>,
    ) -> Result<LeakageLimit, Missing> {
        let subject = Subject::of(part)?;
        if subject.material != Material::Electrolytic {
            return Err(Missing::NotElectrolytic {
                material: subject.material,
            });
        }
        if let Some(stated) = stated {
            return Ok(stated);
        }
        let rated_volts = subject.rated_volts()?;
        let form = self.form(form).ok_or_else(|| Missing::NoForm {
            form: form.to_owned(),
            known: self.names(),
        })?;
        form.limit(subject.capacitance_farad, rated_volts)
            .ok_or_else(|| Missing::NoLeakageRow {
                form: form.name().to_owned(),
            })
    }

    fn names(&self) -> String {
        let names: Vec<String> = self
            .forms
            .iter()
            .map(|form| format!("`{}`", form.name()))
            .collect();
        names.join(", ")
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::engine::judge::capacitor::ReadAfter;
    use crate::engine::judge::capacitor::sample::capacitor;

    #[test]
    fn what_the_list_or_the_table_lacks_is_named() {
        let table = LeakageTable::default();
        let said = |material, volts, form| {
            table
                .limit(&capacitor(material, 8.0, volts), form, None)
                .unwrap_err()
                .to_string()
        };
        let electrolytic = Some(Material::Electrolytic);
        assert_eq!(
            said(electrolytic, None, "old-stock"),
            "cannot judge leakage current: no rated voltage in the list"
        );
        assert!(said(electrolytic, Some(600.0), "old-stock").contains("choose another"));
        assert!(said(electrolytic, Some(450.0), "mine").contains("`old-stock`, `plain-foil`"));
        assert!(
            said(Some(Material::Paper), Some(450.0), "old-stock").contains("by its insulation")
        );
        assert!(said(None, Some(450.0), "old-stock").contains("no material"));
    }

    #[test]
    fn a_stated_limit_wins_and_needs_no_rated_voltage() {
        let part = capacitor(Some(Material::Electrolytic), 8.0, None);
        let stated = LeakageLimit::stated(1e-3, ReadAfter::FiveMinutes);
        let found = LeakageTable::default().limit(&part, "old-stock", stated.clone());
        assert_eq!(found.ok(), stated);
        assert_eq!(LeakageLimit::stated(-1.0, ReadAfter::TwoMinutes), None);
    }

    #[test]
    fn a_fault_in_a_table_is_found_in_its_line() {
        let row = |row: &str| format!("[[form]]\nname = \"x\"\nrows = [\n  {{ {row} }},\n]\n");
        let fault = |text: &str| LeakageTable::parse(text).unwrap_err();
        for text in [
            row("after_minutes = 3, plus_ua = 1, source = 'x'"),
            row("after_minutes = 2, plus_ua = -1, source = 'x'"),
            row("after_minutes = 2, source = 'x'"),
            row("after_minutes = 2, plus_ua = 1"),
            row("after_minutes = 2, plus_ma = 1, source = 'x'"),
            row("up_to_cv = 0, after_minutes = 2, plus_ua = 1, source = 'x'"),
        ] {
            assert_eq!(fault(&text).line(), 4, "{}", fault(&text));
        }
        let good = row("after_minutes = 2, plus_ua = 1, source = 'x'");
        assert!(LeakageTable::parse(&good).is_ok());
        assert_eq!(fault(&format!("{good}{good}")).line(), 7);
        assert_eq!(fault("[[form]]\nname = 'x'\nrows = []\n").line(), 3);
    }

    proptest! {
        #[test]
        fn limits_rise_with_capacitance_and_voltage(
            micro in 0.5..5000.0, more in 1.0..3.0, volts in 3.0..500.0, higher in 1.0..1.5,
        ) {
            for form in LeakageTable::default().forms() {
                let ampere = |micro: f64, volts: f64| form.limit(micro * 1e-6, volts).map(|limit| limit.ampere);
                let Some(limit) = ampere(micro, volts) else { continue };
                prop_assert!(ampere(micro * more, volts).unwrap() >= limit * (1.0 - 1e-12), "{}", form.name());
                if let Some(above) = ampere(micro, volts * higher) {
                    prop_assert!(above >= limit * (1.0 - 1e-12), "{}", form.name());
                }
            }
        }
    }
}
