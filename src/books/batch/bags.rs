//! [`Bags`]: what was found of each bag of a job before its part went in, by number.

use std::collections::HashMap;

use super::{Bag, bag_label};
use crate::books::job::{Folder, JobError};
use crate::books::ledger::{Decision, Row, counting, read_incoming};

/// What was found of each bag of a job before its part went in, by number.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Bags {
    by_number: HashMap<u32, Bag>,
}

impl Bags {
    /// The bags that these rows are about; of each the last settled value counts.
    pub fn of(rows: &[Row]) -> Self {
        let bags = counting(rows).into_iter().filter_map(Bag::of);
        Self {
            by_number: bags.map(|bag| (bag.number, bag)).collect(),
        }
    }

    /// The bags of the job, if one of these decisions names a bag; otherwise none, and nothing is read.
    ///
    /// # Errors
    /// If `incoming.csv` cannot be read or understood.
    pub fn named_in<'a>(
        decisions: impl IntoIterator<Item = &'a Decision>,
        folder: &Folder,
    ) -> Result<Self, JobError> {
        if decisions.into_iter().all(|one| one.bag.is_none()) {
            return Ok(Self::default());
        }
        Ok(Self::of(&read_incoming(&folder.read_incoming()?)?))
    }

    /// The bag of that number.
    pub fn bag(&self, number: u32) -> Option<&Bag> {
        self.by_number.get(&number)
    }

    /// `bag 3: 47.10 µF ± 0.50 µF, pass, 2056-11-03`, or that it is not in incoming.csv.
    pub fn words(&self, number: u32) -> String {
        let label = bag_label(number);
        match self.bag(number) {
            Some(bag) => format!(
                "{label}: {}, {}, {}",
                bag.found(),
                bag.row.verdict,
                bag.row.time.format("%Y-%m-%d")
            ),
            None => format!("{label} is not in incoming.csv"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::books::batch::bag::tests::bag;

    #[test]
    fn a_bag_is_told_with_what_was_found_of_it_and_one_that_is_not_there_is_said_to_be_missing() {
        let bags = Bags {
            by_number: HashMap::from([(3, bag(3, 47.1e-6))]),
        };
        assert_eq!(bags.words(3), "bag 3: 47.10 µF ± 0.20 µF, pass, 2056-11-03");
        assert_eq!(bags.words(4), "bag 4 is not in incoming.csv");
    }
}
