//! [`Today`]: the files of a job as they are now, beside those that a recording keeps.

use anyhow::Result;

use crate::bench::profile;
use crate::bench::recorded::{Instead, Recorded};
use crate::books::audit::Observation;
use crate::books::job::Folder;
use crate::engine::judge::capacitor::{Table, TableTexts};
use crate::engine::settings::Settings;

const PARTS: &str = "parts.csv";

/// The files of a job as they are now.
#[derive(Debug)]
pub(super) struct Today {
    parts: Vec<u8>,
    job: String,
    policy: String,
    tables: [String; Table::ALL.len()],
}

/// A way in which a row could have come about: judged by that file as it is today.
pub(super) struct Suspect<'a> {
    /// The file, in words.
    pub(super) by: String,
    /// What it puts in place of the recorded texts.
    pub(super) instead: Instead<'a>,
}

impl Today {
    /// Reads them.
    ///
    /// # Errors
    /// If one that should be there cannot be read.
    pub(super) fn of(job: &Folder) -> Result<Self> {
        Ok(Self {
            parts: job.read_parts()?,
            job: job.read_job()?,
            policy: job.read_policy()?,
            tables: job.read_tables()?,
        })
    }

    /// Each file with its bytes; none where the job does not have it.
    fn files(&self) -> impl Iterator<Item = (&'static str, &[u8])> {
        let tables = Table::ALL.into_iter().zip(&self.tables);
        [
            (PARTS, self.parts.as_slice()),
            ("job.toml", self.job.as_bytes()),
            ("policy.toml", self.policy.as_bytes()),
        ]
        .into_iter()
        .chain(tables.map(|(table, text)| (table.file_name(), text.as_bytes())))
    }

    fn differing(&self, recorded: &Recorded) -> Vec<(&'static str, &'static str)> {
        // The list of a batch is made of its article, and never was that of the job.
        let own_list = recorded.is_of_new_parts();
        self.files()
            .filter(|(name, _)| !(own_list && *name == PARTS))
            .filter_map(|(name, today)| {
                let kept = recorded.kept(name).unwrap_or_default();
                (kept != today).then(|| {
                    let how = match (kept, today) {
                        ([], _) => "is new since then",
                        (_, []) => "is not there any more",
                        _ => "is another today",
                    };
                    (name, how)
                })
            })
            .collect()
    }

    /// Each file that is not the one that the recording keeps.
    pub(super) fn observations(&self, recorded: &Recorded) -> Vec<Observation> {
        let observation = |(name, how): (&str, &'static str)| Observation::OtherToday {
            file: name.to_owned(),
            how,
        };
        self.differing(recorded)
            .into_iter()
            .map(observation)
            .collect()
    }

    /// Everything by which the sitting could have been judged instead: each file that differs, then all of them.
    pub(super) fn suspects<'a>(
        &'a self,
        recorded: &Recorded,
        profile: Option<&'a str>,
    ) -> Vec<Suspect<'a>> {
        let mut names: Vec<&str> = self
            .differing(recorded)
            .into_iter()
            .map(|(name, _)| name)
            .collect();
        names.extend(profile.map(|_| PROFILE));
        let rule = self.rule().filter(|_| recorded.has_rule_of_its_job());
        let mut suspects: Vec<Suspect<'a>> = names
            .iter()
            .map(|name| Suspect {
                by: described(&[name]),
                instead: self.instead(&[name], profile, rule),
            })
            .collect();
        if names.len() > 1 {
            suspects.push(Suspect {
                by: described(&names),
                instead: self.instead(&names, profile, rule),
            });
        }
        suspects
    }

    /// The decision rule of `job.toml` as it is today.
    fn rule(&self) -> Option<&'static str> {
        Settings::parse(&self.job).ok().map(|job| job.rule.name())
    }

    fn instead<'a>(
        &'a self,
        names: &[&str],
        profile: Option<&'a str>,
        rule: Option<&'static str>,
    ) -> Instead<'a> {
        let has = |name: &str| names.contains(&name);
        let is_table = |name: &&str| Table::ALL.iter().any(|table| table.file_name() == *name);
        let tables = Table::ALL
            .into_iter()
            .zip(&self.tables)
            .fold(TableTexts::default(), |texts, (table, text)| {
                texts.with(table, text)
            });
        Instead {
            parts: has("parts.csv").then_some(&self.parts),
            job: has("job.toml").then_some(&self.job),
            policy: has("policy.toml").then_some(&self.policy),
            tables: names.iter().any(is_table).then_some(tables),
            profile: profile.filter(|_| has(PROFILE)),
            rule: rule.filter(|_| has("job.toml")),
        }
    }
}

/// How the profile of the first meter is named among the files.
const PROFILE: &str = "the profile";

fn described(names: &[&str]) -> String {
    let name = |name: &&str| {
        if *name == PROFILE {
            PROFILE.to_owned()
        } else {
            format!("`{name}`")
        }
    };
    names.iter().map(name).collect::<Vec<_>>().join(" and ")
}

/// What became of the profiles since the sitting, and the text of the first meter's where that is another.
pub(super) fn profiles(recorded: &Recorded) -> (Vec<Observation>, Option<String>) {
    let mut observations = Vec::new();
    let mut first = None;
    for (number, (file, name)) in recorded.profiles().enumerate() {
        let today = profile::text(name).ok();
        let kept = recorded.kept(&file);
        if today.as_deref().map(str::as_bytes) == kept {
            continue;
        }
        let how = match today {
            Some(_) if crate::engine::meter::shipped_profile(name).is_some() => {
                "that comes with the program is another today"
            }
            Some(_) => "is another today",
            None => "cannot be found today",
        };
        observations.push(Observation::OtherProfile {
            profile: name.to_owned(),
            how,
        });
        if number == 0 {
            first = today;
        }
    }
    (observations, first)
}
