//! [`Glance`]: where a job stands.

use std::collections::HashSet;

use super::{Account, Book, Standing};

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
        let measured = book.measurements.iter().map(|one| one.designator.as_str());
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

    /// How many parts have that standing.
    pub fn count(&self, standing: Standing) -> usize {
        self.of(standing).count()
    }

    /// How many parts are still to be dealt with.
    pub fn open(&self) -> usize {
        let open = |(standing, _): &&(Standing, Account<'_>)| standing.is_open();
        self.parts.iter().filter(open).count()
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

/// Those of `named` that the list of `book` does not have, each once.
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
        assert_eq!((glance.open(), glance.parts.len()), (3, 3));
        assert_eq!(glance.decided_strangers, ["C9"]);
        assert!(glance.measured_strangers.is_empty());
        let to_measure = glance.to_measure().map(|one| one.part.designator.as_str());
        assert_eq!(to_measure.collect::<Vec<_>>(), ["R1", "R2", "C4"]);
        assert_eq!(glance.worse_since().count(), 0);
    }
}
