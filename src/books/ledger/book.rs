//! [`Book`]: the ledger of a job, read from its files.

use std::collections::HashMap;

use chrono::{DateTime, FixedOffset, TimeDelta};

use super::measurements::rows_of;
use super::{Account, Decision, Row, counting};
use crate::books::job::{Folder, JobError};
use crate::engine::parts::{self, PartsList};
use crate::engine::settings::Settings;
use crate::engine::source::TextError;

/// The ledger of a job.
#[derive(Debug, Clone)]
pub struct Book {
    /// What `job.toml` says.
    pub settings: Settings,
    /// The parts list.
    pub list: PartsList,
    /// Every measurement, in the order of the file, which is that of their making; also what was withdrawn.
    pub measurements: Vec<Row>,
    /// Every decision, the oldest first.
    pub decisions: Vec<Decision>,
    /// How results and decisions were saved, where not by this program.
    pub remarks: Vec<String>,
}

impl Book {
    /// Reads the ledger of the job in `folder`. Results and decisions need not be there.
    ///
    /// # Errors
    /// If a file cannot be read or understood.
    pub fn open(folder: &Folder) -> Result<Self, JobError> {
        Ok(Self::read(
            &folder.read_job()?,
            &folder.read_parts()?,
            &folder.read_results()?,
            &folder.read_decisions()?,
        )?)
    }

    /// The ledger that these files make.
    ///
    /// # Errors
    /// If one cannot be understood.
    pub fn read(
        job: &str,
        parts: &[u8],
        results: &[u8],
        decisions: &[u8],
    ) -> Result<Self, TextError> {
        let settings = Settings::parse(job)?;
        let list = parts::read(parts, &settings.list)?;
        let (measurements, of_results) = rows_of("results.csv", results)?;
        let (decisions, of_decisions) = Decision::all_of(decisions)?;
        let said = |file: &'static str| move |remark| format!("{file}: {remark}");
        let of_results = of_results.into_iter().map(said("results.csv"));
        let of_decisions = of_decisions.into_iter().map(said("decisions.csv"));
        Ok(Self {
            settings,
            list,
            measurements,
            decisions,
            remarks: of_results.chain(of_decisions).collect(),
        })
    }

    /// The account of every part, in the order of the list, with the measurements that count.
    pub fn accounts(&self) -> Vec<Account<'_>> {
        let key = |designator: &str| designator.to_lowercase();
        let parts = self.list.parts.iter();
        let mut accounts: Vec<Account<'_>> = parts
            .map(|part| Account {
                part,
                measurements: Vec::new(),
                decisions: Vec::new(),
            })
            .collect();
        let keys = accounts.iter().map(|account| key(&account.part.designator));
        let places: HashMap<String, usize> = keys.zip(0..).collect();
        for one in counting(&self.measurements) {
            if let Some(place) = places.get(&key(&one.designator)) {
                accounts[*place].measurements.push(one);
            }
        }
        for one in &self.decisions {
            if let Some(place) = places.get(&key(&one.designator)) {
                accounts[*place].decisions.push(one);
            }
        }
        accounts
    }

    /// The account of the part with this designator, upper and lower case alike.
    pub fn account(&self, designator: &str) -> Option<Account<'_>> {
        let mut accounts = self.accounts().into_iter();
        accounts.find(|account| account.part.designator.eq_ignore_ascii_case(designator))
    }

    /// The time of a decision about that part that is made `now`: never before the newest measurement of the part, which the
    /// decision is about, even if the clock was set back since.
    pub fn time_of_decision(
        &self,
        designator: &str,
        now: DateTime<FixedOffset>,
    ) -> DateTime<FixedOffset> {
        let of_part = self
            .measurements
            .iter()
            .filter(|one| one.designator.eq_ignore_ascii_case(designator));
        let newest = of_part.map(|one| one.time).max();
        newest.map_or(now, |newest| now.max(newest + TimeDelta::milliseconds(1)))
    }
}
