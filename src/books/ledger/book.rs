//! [`Book`]: the ledger of a job, read from its files.
//!
//! [`Glance`]: where a job stands.

use std::collections::{HashMap, HashSet};

use chrono::{DateTime, FixedOffset, TimeDelta};

use super::measurements::rows_of;
use super::{Account, Decision, Row, Standing, counting};
use crate::books::job::{Folder, JobError};
use crate::books::session::with_fitted;
use crate::engine::parts::{self, PartsList, Step};
use crate::engine::settings::Settings;
use crate::engine::sitting::{LeftOut, Outlook};
use crate::engine::source::TextError;

/// The ledger of a job.
#[derive(Debug, Clone)]
pub struct Book {
    /// Settings of `job.toml`.
    pub settings: Settings,
    /// Parts list as it is now.
    pub list: PartsList,
    /// Every measurement, in the order of the file, which is that of their making; also what was withdrawn.
    pub measurements: Vec<Row>,
    /// Every decision, the oldest first.
    pub decisions: Vec<Decision>,
    /// Remarks on how results and decisions were saved, where not by this program.
    pub remarks: Vec<String>,
    /// Measurements that the list asks for and no rule can judge; none where the rules cannot be read, which a sitting says.
    pub left_out: Vec<LeftOut>,
}

impl Book {
    /// Reads the ledger of the job in `folder`. Results and decisions need not be there.
    ///
    /// # Errors
    /// If a file cannot be read or understood.
    pub fn open(folder: &Folder) -> Result<Self, JobError> {
        let book = Self::read(
            &folder.read_job()?,
            &folder.read_parts()?,
            &folder.read_results()?,
            &folder.read_decisions()?,
        )?;
        let setup = with_fitted(folder.read_setup()?, Ok(&book), folder);
        let outlook = Outlook::of(&setup, &book.list);
        let left_out = outlook.map(|outlook| outlook.left_out().to_vec());
        Ok(Self {
            left_out: left_out.unwrap_or_default(),
            ..book
        })
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
            left_out: Vec::new(),
        })
    }

    /// The account of every part, in the order of the list, with the measurements that count.
    pub fn accounts(&self) -> Vec<Account<'_>> {
        let key = |designator: &str| designator.to_lowercase();
        let parts = self.list.parts.iter();
        let mut accounts: Vec<Account<'_>> = parts
            .map(|part| Account {
                part,
                left_out: self.left_out.iter().filter(|one| one.is_of(part)).collect(),
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

/// Where a job stands: the account and the standing of every part, and what does not fit together.
#[derive(Debug, Clone)]
pub struct Glance<'a> {
    /// Every part, in the order of the list.
    pub parts: Vec<(Standing, Account<'a>)>,
    /// Designators that decisions name and the list does not have, each once, in the order of the file.
    pub decided_strangers: Vec<&'a str>,
    /// Designators that results name and the list does not have, each once, in the order of the file.
    pub measured_strangers: Vec<&'a str>,
}

impl<'a> Glance<'a> {
    /// The glance at that ledger.
    pub fn at(book: &'a Book) -> Self {
        let accounts = book.accounts().into_iter();
        let parts = accounts.map(|account| (account.standing(), account));
        let decided = book.decisions.iter().map(|one| one.designator.as_str());
        let of_a_part = |one: &&Row| !one.is_of_one_of() && one.step != Step::Between;
        let one_alone = book.measurements.iter().filter(of_a_part);
        let measured = one_alone.map(|one| one.designator.as_str());
        Self {
            parts: parts.collect(),
            decided_strangers: strangers(book, decided),
            measured_strangers: strangers(book, measured),
        }
    }

    /// The parts of that standing, in the order of the list.
    pub fn of(&self, standing: Standing) -> impl Iterator<Item = &Account<'a>> {
        let of = self.parts.iter().filter(move |(one, _)| *one == standing);
        of.map(|(_, account)| account)
    }

    /// Number of parts with that standing.
    pub fn count(&self, standing: Standing) -> usize {
        self.of(standing).count()
    }

    /// Number of parts still to be dealt with.
    pub fn to_do(&self) -> usize {
        let to_do = |(standing, _): &&(Standing, Account<'_>)| standing.is_to_do();
        self.parts.iter().filter(to_do).count()
    }

    /// The parts that are to be measured: those that were not, and those that were fitted and not measured since.
    pub fn to_measure(&self) -> impl Iterator<Item = &Account<'a>> {
        const WANTED: [Standing; 2] = [Standing::NotMeasured, Standing::FittedNotMeasured];
        let of = self.parts.iter().filter(|(one, _)| WANTED.contains(one));
        of.map(|(_, account)| account)
    }

    /// The parts that were kept or accepted and came to a worse verdict since.
    pub fn worse_since(&self) -> impl Iterator<Item = &Account<'a>> {
        let accounts = self.parts.iter().map(|(_, account)| account);
        accounts.filter(|account| account.worse_since())
    }
}

/// Designators of `named` that the list of `book` does not have, each once.
fn strangers<'a>(book: &Book, named: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let parts = book.list.parts.iter();
    let mut known: HashSet<String> = parts.map(|part| part.designator.to_lowercase()).collect();
    named
        .filter(|designator| known.insert(designator.to_lowercase()))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const PARTS: &[u8] = b"ref,kind,value\nR1,resistor,4K7\nR2,resistor,220k\nC4,capacitor,47nF\n";
    const DECISIONS: &[u8] = b"time,ref,decision,reason,article,bag\n\
    2056-11-03T19:25:30Z,r2,fitted,,,\n2056-11-03T19:26:30Z,C9,keep,,,\n2056-11-04T19:26:30Z,C9,replace,,,\n";

    #[test]
    fn every_part_has_its_standing_and_strangers_are_named_once() {
        let book = Book::read("", PARTS, b"", DECISIONS).unwrap();
        let glance = Glance::at(&book);
        assert_eq!(glance.count(Standing::NotMeasured), 2);
        assert_eq!(glance.count(Standing::FittedNotMeasured), 1);
        assert_eq!((glance.to_do(), glance.parts.len()), (3, 3));
        assert_eq!(glance.decided_strangers, ["C9"]);
        assert!(glance.measured_strangers.is_empty());
        let to_measure = glance.to_measure().map(|one| one.part.designator.as_str());
        assert_eq!(to_measure.collect::<Vec<_>>(), ["R1", "R2", "C4"]);
        assert_eq!(glance.worse_since().count(), 0);
    }
}
