//! [`Setup`]: everything that a sitting starts from.

use std::collections::BTreeMap;

use super::meters::FIRST_METER;
use super::plan::PlanError;
use crate::engine::judge::Fitted;
use crate::engine::judge::capacitor::{Condition, ShippedTable};
use crate::engine::parts::{self, Article, ListSettings, PartsList};
use crate::engine::quantity::Drawing;
use crate::engine::settings::{BenchMeter, Settings};
use crate::engine::source::utf8;

/// Files by name, settings by key, meters by number: the head of a recording, so that a replay makes the very same [`Plan`](super::Plan).
/// A file or setting that is not there counts as an empty one unless its reader says otherwise.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Setup {
    files: BTreeMap<String, Vec<u8>>,
    settings: BTreeMap<String, String>,
    meters: BTreeMap<u16, BenchMeter>,
}

impl Setup {
    /// The settings of the job.
    pub const JOB: &str = "job.toml";
    /// The parts list.
    pub const PARTS: &str = "parts.csv";
    /// The policy; none for the one that comes with the program.
    pub const POLICY: &str = "policy.toml";
    /// Every file of a job that a sitting starts from. Only the first two must be there.
    pub const JOB_FILES: [&str; 7] = [
        Self::PARTS,
        Self::JOB,
        Self::POLICY,
        ShippedTable::Loss.file_name(),
        ShippedTable::Leakage.file_name(),
        ShippedTable::Insulation.file_name(),
        ShippedTable::Ageing.file_name(),
    ];
    /// Earlier readings on parts that are still in: `ref,quantity,value`, made from the results.
    pub const EARLIER: &str = "earlier.csv";
    /// The profile of the first meter.
    pub const PROFILE: &str = "profile.toml";

    /// Name of the profile of the first meter.
    pub const PROFILE_NAME: &str = "profile";
    /// Choice of parts: designators with `*` and `?` and places, separated by commas; none for all.
    pub const ONLY: &str = "only";
    /// Name of the decision rule; none for the one in `job.toml`.
    pub const RULE: &str = "rule";
    /// Temperature at the bench, °C; none for the one in `job.toml`.
    pub const TEMPERATURE: &str = "temperature";
    /// Name of the [`Condition`] of the parts; none for those of the equipment.
    pub const CONDITION: &str = "condition";
    /// The parts that were fitted since the equipment was found, as designators separated by commas.
    pub const FITTED: &str = "fitted";
    /// Text before the designator of a fitted part in the key of the setting that tells its article; of two that make one
    /// part with ` + ` between them.
    pub const ARTICLE: &str = "article ";
    /// Text before the designator of a fitted part in the key of the setting that tells what is printed on it, where that is no article.
    pub const PRINTED: &str = "printed ";
    /// There, with whatever value, if the cautions before a voltage are to be agreed to: since 0.2.0 each sitting says so.
    pub const CAUTIONS: &str = "cautions";
    /// There, with whatever value, if the recording tells what became of each decision: since 0.3.0 each sitting says so.
    pub const DECISIONS: &str = "decisions";

    /// There, with whatever value, if nothing is unsoldered: what is in hand is a pair of places, and the parts are judged by their own
    /// values.
    pub const IN_CIRCUIT: &str = "in-circuit";

    /// The edition of the format of a recording before 1.2, which a reader puts there: a part gripped again was not told then, a
    /// remark went to the part in hand, and a selection named no places; capacitors counted as discharged below 60 V, `override`
    /// was for all of them at once, no test point waited for `live`, and columns of the parts list had no other names. No head holds it.
    pub const EDITION: &str = "edition";

    /// A sitting over that parts list with one meter of that profile, and a `job.toml` that says nothing.
    pub fn of(parts: impl Into<Vec<u8>>, profile_name: &str, profile: &str) -> Self {
        let meter = BenchMeter {
            name: FIRST_METER.to_owned(),
            profile: profile_name.to_owned(),
            port: String::new(),
        };
        Self::default()
            .with_file(Self::JOB, "")
            .with_file(Self::PARTS, parts)
            .with_meter(meter, profile)
    }

    /// This, but with that file.
    #[must_use]
    pub fn with_file(mut self, name: &str, content: impl Into<Vec<u8>>) -> Self {
        self.files.insert(name.to_owned(), content.into());
        self
    }

    /// This, but with that setting.
    #[must_use]
    pub fn with_setting(mut self, key: &str, value: &str) -> Self {
        self.settings.insert(key.to_owned(), value.to_owned());
        self
    }

    /// This, but with a further meter, which gets the next number, and the text of its profile.
    #[must_use]
    pub fn with_meter(mut self, meter: BenchMeter, profile: &str) -> Self {
        let number = self.meters.keys().next_back().map_or(0, |last| last + 1);
        if number == 0 {
            self = self.with_setting(Self::PROFILE_NAME, &meter.profile);
        }
        self.numbered(number, meter)
            .with_file(&profile_file(number), profile)
    }

    /// This, but with a meter of that number, whose profile is a file by itself.
    #[must_use]
    pub fn numbered(mut self, number: u16, meter: BenchMeter) -> Self {
        self.meters.insert(number, meter);
        self
    }

    /// Each file with its bytes.
    pub fn files(&self) -> impl Iterator<Item = (&str, &[u8])> {
        let files = self.files.iter();
        files.map(|(name, content)| (name.as_str(), content.as_slice()))
    }

    /// Each setting.
    pub fn settings(&self) -> impl Iterator<Item = (&str, &str)> {
        let settings = self.settings.iter();
        settings.map(|(key, value)| (key.as_str(), value.as_str()))
    }

    /// Each meter with its number.
    pub fn meters(&self) -> impl Iterator<Item = (u16, &BenchMeter)> {
        self.meters.iter().map(|(number, meter)| (*number, meter))
    }

    /// Each profile: the name of its file here, and the name by which it was asked for.
    pub fn profiles(&self) -> impl Iterator<Item = (String, &str)> {
        let first = self.settings.get(Self::PROFILE_NAME);
        let first = first.map(|name| (Self::PROFILE.to_owned(), name.as_str()));
        let further = self.meters.range(1..);
        let further =
            further.map(|(number, meter)| (profile_file(*number), meter.profile.as_str()));
        first.into_iter().chain(further)
    }

    /// The bytes of a file.
    pub fn file(&self, name: &str) -> Option<&[u8]> {
        self.files.get(name).map(Vec::as_slice)
    }

    /// A setting, empty if there is none.
    pub fn setting(&self, key: &str) -> &str {
        self.settings.get(key).map_or("", String::as_str)
    }

    /// Settings of `job.toml`.
    ///
    /// # Errors
    /// If it is not there or cannot be used.
    pub fn job(&self) -> Result<Settings, PlanError> {
        Ok(Settings::parse(self.needed_text(Self::JOB)?)?)
    }

    /// The whole parts list, also what is not to be measured.
    ///
    /// # Errors
    /// If it or `job.toml` is not there or cannot be used.
    pub fn list(&self) -> Result<PartsList, PlanError> {
        let parts = self.needed(Self::PARTS)?;
        let settings = ListSettings {
            exact_headings: !self.setting(Self::EDITION).is_empty(),
            ..self.job()?.list
        };
        Ok(parts::read(parts, &settings)?)
    }

    /// Condition of the parts: those of the equipment, or new ones.
    ///
    /// # Errors
    /// If this version does not know the word for it.
    pub fn condition(&self) -> Result<Condition, PlanError> {
        match self.setting(Self::CONDITION) {
            "" => Ok(Condition::default()),
            word => Condition::named(word).ok_or_else(|| PlanError::UnknownCondition {
                found: word.to_owned(),
            }),
        }
    }

    /// Parts fitted since the equipment was found.
    ///
    /// # Errors
    /// If an article cannot be read.
    pub fn fitted(&self) -> Result<Fitted, PlanError> {
        let mut fitted = Fitted::default();
        let named = self.setting(Self::FITTED).split(',');
        for designator in named.filter(|name| !name.trim().is_empty()) {
            fitted.add(designator, Vec::new());
        }
        for (key, text) in self.settings() {
            if let Some(designator) = key.strip_prefix(Self::PRINTED) {
                fitted.add_print(designator, text);
            }
            let Some(designator) = key.strip_prefix(Self::ARTICLE) else {
                continue;
            };
            let articles = text.split(" + ");
            let articles = articles.map(|one| Article::parse(one, Drawing::default()));
            let articles = articles.collect::<Result<_, _>>();
            fitted.add(
                designator,
                articles.map_err(|why| PlanError::NoArticle {
                    designator: designator.to_owned(),
                    why,
                })?,
            );
        }
        Ok(fitted)
    }

    /// The text of a file that need not be there; empty if it is not.
    pub(super) fn text(&self, name: &str) -> Result<&str, PlanError> {
        Ok(utf8(name, self.file(name).unwrap_or_default())?)
    }

    /// The text of a file that must be there.
    pub(super) fn needed_text(&self, name: &str) -> Result<&str, PlanError> {
        self.needed(name).and_then(|_| self.text(name))
    }

    fn needed(&self, name: &str) -> Result<&[u8], PlanError> {
        self.file(name).ok_or_else(|| PlanError::Missing {
            what: format!("`{name}`"),
        })
    }
}

/// The name of the file that holds the profile of a meter.
pub(super) fn profile_file(number: u16) -> String {
    match number {
        0 => Setup::PROFILE.to_owned(),
        number => format!("profile-{number}.toml"),
    }
}
