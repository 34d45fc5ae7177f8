//! [`LeakageLimit`]: the largest leakage current, and when it is to be read; [`LeakageTable`]: the forms that it is computed by.

use std::time::Duration;

use serde::Deserialize;
use toml::Spanned;

use super::subject::{CannotJudge, CapacitorCheck, Missing, Subject};
use super::table::{ShippedTable, Written, all_positive, filled, text, unique};
use crate::engine::parts::{Material, Part};
use crate::engine::source::{TextError, TomlText};

/// When a leakage current is read, counted from the moment at which the rated voltage is on the part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ReadAfter {
    /// One minute, as an insulation is.
    OneMinute,
    TwoMinutes,
    FiveMinutes,
}

impl ReadAfter {
    /// All, in the order of time.
    pub const ALL: [Self; 3] = [Self::OneMinute, Self::TwoMinutes, Self::FiveMinutes];

    /// The time as a duration.
    pub const fn duration(self) -> Duration {
        match self {
            Self::OneMinute => Duration::from_secs(60),
            Self::TwoMinutes => Duration::from_secs(120),
            Self::FiveMinutes => Duration::from_secs(300),
        }
    }
}

/// The largest leakage current that is still good.
#[derive(Debug, Clone, PartialEq)]
pub struct LeakageLimit {
    /// Largest current, in ampere.
    pub ampere: f64,
    /// When it is read.
    pub read_after: ReadAfter,
    /// The form that it was computed by; empty where it is stated for the part.
    pub form: String,
    /// Where the form is from.
    pub source: String,
}

impl LeakageLimit {
    /// A limit that the part's own row states, or its data sheet; it wins over every form. `None` unless the current is
    /// finite and above zero.
    pub fn stated(ampere: f64, read_after: ReadAfter) -> Option<Self> {
        (ampere.is_finite() && ampere > 0.0).then(|| Self {
            ampere,
            read_after,
            form: String::new(),
            source: "stated for the part".to_owned(),
        })
    }
}

/// Every form that is known.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LeakageTable {
    #[serde(rename = "form")]
    forms: Vec<LeakageForm>,
}

/// One way to compute the limit of the leakage current from capacitance and rated voltage.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LeakageForm {
    name: Spanned<String>,
    rows: Spanned<Vec<Row>>,
}

/// The limit in µA is `ua_per_cv` · C V + `ua_per_uf` · C + `plus_ua`, but not less than `at_least_ua`.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    up_to_cv: Option<Spanned<f64>>,
    up_to_volts: Option<Spanned<f64>>,
    after_minutes: Spanned<i64>,
    ua_per_cv: Option<Spanned<f64>>,
    ua_per_uf: Option<Spanned<f64>>,
    plus_ua: Option<Spanned<f64>>,
    at_least_ua: Option<Spanned<f64>>,
    source: Spanned<String>,
}

impl Default for LeakageTable {
    /// The table that comes with the program.
    fn default() -> Self {
        Self::shipped()
    }
}

impl Written for LeakageTable {
    const TABLE: ShippedTable = ShippedTable::Leakage;

    fn check(&self, source: TomlText<'_>) -> Result<(), TextError> {
        for form in &self.forms {
            filled(source, "rows", &form.rows, "at least one row")?;
            let mut rows = form.rows.get_ref().iter();
            rows.try_for_each(|row| row.check(source))?;
        }
        let names = self.forms.iter().map(|form| &form.name);
        unique(source, names, "a name that no other form has")
    }
}

impl LeakageTable {
    /// The form of that name.
    pub fn form(&self, name: &str) -> Option<&LeakageForm> {
        self.forms
            .iter()
            .find(|form| form.name.get_ref().trim() == name)
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
            .map_err(|missing| CannotJudge::new(CapacitorCheck::Leakage, missing))
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
                form: text(&form.name),
            })
    }

    fn names(&self) -> String {
        let names: Vec<String> = self
            .forms
            .iter()
            .map(|form| format!("`{}`", text(&form.name)))
            .collect();
        names.join(", ")
    }
}

impl LeakageForm {
    /// The limit of a part of `capacitance_farad` and `rated_volts`.
    ///
    /// `None` if one of them is not finite and above zero, or the form ends below this voltage.
    pub fn limit(&self, capacitance_farad: f64, rated_volts: f64) -> Option<LeakageLimit> {
        let usable = |number: f64| number.is_finite() && number > 0.0;
        if !usable(capacitance_farad) || !usable(rated_volts) {
            return None;
        }
        let microfarad = capacitance_farad * 1e6;
        let cv = microfarad * rated_volts;
        let mut rows = self.rows.get_ref().iter();
        let row = rows.find(|row| {
            cv <= number(row.up_to_cv.as_ref(), f64::INFINITY)
                && rated_volts <= number(row.up_to_volts.as_ref(), f64::INFINITY)
        })?;
        let [per_cv, per_uf, plus, at_least] = row.terms().map(|(_, term)| number(term, 0.0));
        let microampere = per_cv * cv + per_uf * microfarad + plus;
        Some(LeakageLimit {
            ampere: microampere.max(at_least) * 1e-6,
            read_after: row.read_after()?,
            form: text(&self.name),
            source: text(&row.source),
        })
    }
}

impl Row {
    /// Terms of the limit, in µA.
    const fn terms(&self) -> [(&'static str, Option<&Spanned<f64>>); 4] {
        [
            ("ua_per_cv", self.ua_per_cv.as_ref()),
            ("ua_per_uf", self.ua_per_uf.as_ref()),
            ("plus_ua", self.plus_ua.as_ref()),
            ("at_least_ua", self.at_least_ua.as_ref()),
        ]
    }

    fn check(&self, source: TomlText<'_>) -> Result<(), TextError> {
        let bounds = [
            ("up_to_cv", self.up_to_cv.as_ref()),
            ("up_to_volts", self.up_to_volts.as_ref()),
        ];
        all_positive(source, bounds)?;
        if self.read_after().is_none() {
            return Err(source.fault("after_minutes", &self.after_minutes, "1, 2 or 5"));
        }
        let mut sum = 0.0;
        for (key, term) in self.terms() {
            if let Some(term) = term {
                sum += source.at_least(key, term, 0.0, "zero or more")?;
            }
        }
        source.words("source", &self.source)?;
        if sum > 0.0 {
            return Ok(());
        }
        let expected = "a current above zero in the same row";
        Err(source.fault("source", &self.source, expected))
    }

    fn read_after(&self) -> Option<ReadAfter> {
        let minutes = u64::try_from(*self.after_minutes.get_ref()).ok()?;
        let mut all = ReadAfter::ALL.into_iter();
        all.find(|after| after.duration().as_secs() == 60 * minutes)
    }
}

fn number(value: Option<&Spanned<f64>>, missing: f64) -> f64 {
    value.map_or(missing, |value| *value.get_ref())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
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
            "cannot judge leakage current: no rated voltage in the list, expected one in `rating`, such as `400V`"
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

    /// Every row of the forms by its formula, in µA. IEC 60384-4 (from memory): 0.01 CV or 1, the greater, and 0.05 CV or 5, up
    /// to CV = 1000, where both lines of a form meet at 10 and 50. Old stock: k = 0.01 to 100 V, 0.02 to 250, 0.025 to 350,
    /// 0.04 to 500; plain foil 0.15 CV (common practice, no source).
    #[test]
    fn leakage_limits_of_every_row() {
        let table = LeakageTable::default();
        for (form, micro, volts, microampere) in [
            ("iec60384-4-long-life", 1.0, 50.0, 1.0),
            ("iec60384-4-long-life", 10.0, 50.0, 5.0),
            ("iec60384-4-long-life", 10.0, 100.0, 10.0),
            ("iec60384-4-long-life", 20.0, 100.0, 16.0),
            ("iec60384-4-general", 1.0, 50.0, 5.0),
            ("iec60384-4-general", 10.0, 50.0, 25.0),
            ("iec60384-4-general", 10.0, 100.0, 50.0),
            ("iec60384-4-general", 20.0, 100.0, 80.0),
            ("old-stock", 100.0, 100.0, 1300.0),
            ("old-stock", 100.0, 250.0, 2300.0),
            ("old-stock", 100.0, 350.0, 2800.0),
            ("old-stock", 100.0, 500.0, 4300.0),
            ("plain-foil", 10.0, 100.0, 150.0),
        ] {
            let found = table
                .form(form)
                .unwrap()
                .limit(micro * 1e-6, volts)
                .unwrap()
                .ampere
                * 1e6;
            approx::assert_relative_eq!(found, microampere, max_relative = 1e-12);
        }
    }

    /// The old rule ends at 500 V.
    #[test]
    fn the_old_rule_says_nothing_above_500_volts() {
        let table = LeakageTable::default();
        assert_eq!(table.form("old-stock").unwrap().limit(8e-6, 500.1), None);
    }

    proptest! {
        #[test]
        fn limits_rise_with_capacitance_and_voltage(
            micro in 0.5..5000.0, more in 1.0..3.0, volts in 3.0..500.0, higher in 1.0..1.5,
        ) {
            for form in &LeakageTable::default().forms {
                let ampere = |micro: f64, volts: f64| form.limit(micro * 1e-6, volts).map(|limit| limit.ampere);
                let Some(limit) = ampere(micro, volts) else { continue };
                prop_assert!(ampere(micro * more, volts).unwrap() >= limit * (1.0 - 1e-12), "{}", text(&form.name));
                if let Some(above) = ampere(micro, volts * higher) {
                    prop_assert!(above >= limit * (1.0 - 1e-12), "{}", text(&form.name));
                }
            }
        }
    }
}
