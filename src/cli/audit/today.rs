//! [`Today`]: the files of a job as they are now, beside those that a recording keeps.

use crate::bench::profile;
use crate::books::audit::Observation;
use crate::books::job::{Folder, JobError};
use crate::engine::judge::capacitor::Condition;
use crate::engine::meter::shipped_profile;
use crate::engine::sitting::Setup;

/// The files of a job as they are now.
#[derive(Debug)]
pub(super) struct Today(Setup);

/// A way in which a row could have come about: judged by that file as it is today.
pub(super) struct Suspect {
    /// The file, in words.
    pub(super) by: String,
    /// What the sitting would have started from.
    pub(super) setup: Setup,
}

impl Today {
    /// Reads them.
    ///
    /// # Errors
    /// If one cannot be read.
    pub(super) fn of(job: &Folder) -> Result<Self, JobError> {
        job.read_setup().map(Self)
    }

    fn differing(&self, recorded: &Setup) -> Vec<(&'static str, &'static str)> {
        // The list of a batch is made of its article, and never was that of the job.
        let own_list = matches!(recorded.condition(), Ok(Condition::New));
        let of_job = |name: &&str| !(own_list && *name == Setup::PARTS);
        let differing = |name: &'static str| {
            let kept = recorded.file(name).unwrap_or_default();
            let today = self.0.file(name).unwrap_or_default();
            let how = match (kept, today) {
                _ if kept == today => return None,
                ([], _) => "is new since then",
                (_, []) => "is not there any more",
                _ => "is another today",
            };
            Some((name, how))
        };
        let files = Setup::JOB_FILES.into_iter().filter(of_job);
        files.filter_map(differing).collect()
    }

    /// Each file that is not the one that the recording keeps.
    pub(super) fn observations(&self, recorded: &Setup) -> Vec<Observation> {
        let observation = |(name, how): (&str, &'static str)| Observation::OtherToday {
            file: name.to_owned(),
            how,
        };
        self.differing(recorded)
            .into_iter()
            .map(observation)
            .collect()
    }

    /// Everything by which the sitting could have been judged instead: each file that differs, then all of them. `profile` is the
    /// text of the first meter's where that is another.
    pub(super) fn suspects(&self, recorded: &Setup, profile: Option<&str>) -> Vec<Suspect> {
        let differing = self.differing(recorded).into_iter();
        let mut names: Vec<&str> = differing.map(|(name, _)| name).collect();
        names.extend(profile.map(|_| Setup::PROFILE));
        let all = Some(names.as_slice()).filter(|names| names.len() > 1);
        names
            .chunks(1)
            .chain(all)
            .map(|names| Suspect {
                by: described(names),
                setup: self.exchanged(names, recorded, profile),
            })
            .collect()
    }

    /// What was recorded, but with those files as they are today.
    fn exchanged(&self, names: &[&str], recorded: &Setup, profile: Option<&str>) -> Setup {
        names.iter().fold(recorded.clone(), |setup, &name| {
            let content = match profile {
                Some(profile) if name == Setup::PROFILE => profile.as_bytes(),
                _ => self.0.file(name).unwrap_or_default(),
            };
            let setup = setup.with_file(name, content);
            if name == Setup::JOB && has_rule_of_its_job(recorded) {
                setup.with_setting(Setup::RULE, "")
            } else {
                setup
            }
        })
    }
}

/// Whether the sitting was judged by the decision rule of its own `job.toml`, none being given beside it.
fn has_rule_of_its_job(recorded: &Setup) -> bool {
    let rule = recorded.setting(Setup::RULE);
    recorded.job().is_ok_and(|job| job.rule.name() == rule)
}

fn described(names: &[&str]) -> String {
    let name = |name: &&str| {
        if *name == Setup::PROFILE {
            "the profile".to_owned()
        } else {
            format!("`{name}`")
        }
    };
    names.iter().map(name).collect::<Vec<_>>().join(" and ")
}

/// What became of the profiles since the sitting, and the text of the first meter's where that is another.
pub(super) fn profiles(recorded: &Setup) -> (Vec<Observation>, Option<String>) {
    let mut observations = Vec::new();
    let mut first = None;
    for (file, name) in recorded.profiles() {
        let today = profile::text(name).ok();
        let kept = recorded.file(&file);
        if today.as_deref().map(str::as_bytes) == kept {
            continue;
        }
        let how = match today {
            Some(_) if shipped_profile(name).is_some() => {
                "that comes with the program is another today"
            }
            Some(_) => "is another today",
            None => "cannot be found today",
        };
        observations.push(Observation::OtherProfile {
            profile: name.to_owned(),
            how,
        });
        if file == Setup::PROFILE {
            first = today;
        }
    }
    (observations, first)
}
