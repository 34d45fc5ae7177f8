//! [`Batch`]: bags with parts of one article, and [`read`]: every batch of a job.

use std::collections::HashMap;
use std::path::Path;

use super::{Bag, Spread};
use crate::bench::recording::{Event, Reader};
use crate::books::job::{Folder, JobError};
use crate::books::ledger::{Row, counting, read_incoming};
use crate::engine::parts::{self, Article};
use crate::engine::quantity::{Amount, Rating};
use crate::engine::settings::Settings;

/// Bags with parts of one article, measured in one sitting.
#[derive(Debug, Clone, PartialEq)]
pub struct Batch {
    /// Name of its recording, without the ending.
    pub name: String,
    /// Article in the bags. If the recording is gone, kind and value alone.
    pub article: Article,
    /// The bags that were measured, by number; of each the last settled value.
    pub bags: Vec<Bag>,
}

impl Batch {
    /// The batches that these rows make, the oldest first. `article` says what a recording is about, if it can.
    pub fn all(rows: &[Row], article: impl Fn(&str) -> Option<Article>) -> Vec<Self> {
        let mut batches: Vec<Self> = Vec::new();
        let mut places: HashMap<&str, usize> = HashMap::new();
        for row in counting(rows) {
            let Some(bag) = Bag::of(row) else { continue };
            let known = places.get(row.sitting.as_str()).copied();
            let place = known.or_else(|| {
                let described = article(&row.sitting).or_else(|| article_of(row));
                batches.push(Self {
                    name: row.sitting.clone(),
                    article: described?,
                    bags: Vec::new(),
                });
                Some(batches.len() - 1)
            });
            let Some(place) = place else { continue };
            places.insert(&row.sitting, place);
            batches[place].put(bag);
        }
        batches
    }

    /// The bag of that number.
    pub fn bag(&self, number: u32) -> Option<&Bag> {
        self.bags.iter().find(|bag| bag.number == number)
    }

    /// The good bags, those that passed or passed conditionally.
    pub fn good(&self) -> Vec<&Bag> {
        self.bags.iter().filter(|bag| bag.is_good()).collect()
    }

    /// The spread of the values of the good bags; `None` if none is good.
    pub fn spread(&self) -> Option<Spread> {
        let good = self.good().into_iter();
        let values: Vec<(f64, f64)> = good
            .filter_map(|bag| bag.row.value.map(|value| (value.value, value.u)))
            .collect();
        Spread::of(&values)
    }

    /// Puts in what was found last of a bag.
    fn put(&mut self, bag: Bag) {
        match self
            .bags
            .binary_search_by_key(&bag.number, |one| one.number)
        {
            Ok(place) => self.bags[place] = bag,
            Err(place) => self.bags.insert(place, bag),
        }
    }
}

/// Every batch of the job, the oldest first. What is in the bags stands in the recordings; one that is gone or damaged in its
/// head is no error.
///
/// # Errors
/// If `incoming.csv` cannot be read or understood.
pub fn read(folder: &Folder) -> Result<Vec<Batch>, JobError> {
    let rows = read_incoming(&folder.read_incoming()?)?;
    let recorded = |name: &str| {
        let file = folder.incoming_recordings().join(format!("{name}.rec"));
        article_in(&file)
    };
    Ok(Batch::all(&rows, recorded))
}

/// The article that a recording is about, from the parts list in its head.
fn article_in(recording: &Path) -> Option<Article> {
    let (mut list, mut job) = (None, None);
    let mut reader = Reader::open(recording).ok()?;
    while list.is_none() || job.is_none() {
        match reader.next_entry().ok()??.event {
            Event::File {
                name: "parts.csv",
                content,
            } => list = Some(content.to_owned()),
            Event::File {
                name: "job.toml",
                content,
            } => job = Some(content.to_owned()),
            Event::In { .. } | Event::Command { .. } => return None,
            _ => {}
        }
    }
    let settings = Settings::parse(std::str::from_utf8(&job?).ok()?).ok()?;
    let list = parts::read(&list?, &settings.list).ok()?;
    Article::of(list.parts.first()?)
}

/// Article, as far as a row alone tells.
fn article_of(row: &Row) -> Option<Article> {
    Some(Article {
        kind: row.kind,
        nominal: Amount::new(row.quantity, row.nominal)?,
        tolerance: None,
        rating: Rating::default(),
        material: None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::judge::Verdict;
    use crate::engine::parts::Kind;
    use crate::engine::quantity::{Band, Quantity};

    fn row(sitting: &str, label: &str, value: f64, verdict: Verdict) -> Row {
        let row = Row {
            sitting: sitting.to_owned(),
            kind: Kind::Capacitor,
            listed: "47 µF".to_owned(),
            quantity: Quantity::Capacitance,
            nominal: 47e-6,
            band: Band::new(37.6e-6, 56.4e-6).unwrap(),
            ..Row::sample(label)
        };
        Row {
            verdict,
            ..row.with_value(value, 0.1e-6)
        }
    }

    #[test]
    fn rows_become_batches_and_the_last_value_of_a_bag_counts() {
        let rows = [
            row("a", "bag 2", 60e-6, Verdict::Fail),
            row("a", "bag 1", 47e-6, Verdict::Pass),
            row("a", "bag 2", 48e-6, Verdict::ConditionalPass),
            row("b", "bag 3", 20e-6, Verdict::Fail),
            row("b", "R1", 20e-6, Verdict::Fail),
        ];
        let batches = Batch::all(&rows, |_| None);
        let short: Vec<_> = batches
            .iter()
            .map(|batch| {
                (
                    batch.name.as_str(),
                    batch.bags.iter().map(|bag| bag.number).collect::<Vec<_>>(),
                )
            })
            .collect();
        assert_eq!(short, [("a", vec![1, 2]), ("b", vec![3])]);
        assert_eq!(batches[0].bag(2).unwrap().row.value.unwrap().value, 48e-6);
        assert_eq!(batches[0].article.to_string(), "47 µF");
        let spread = batches[0].spread().unwrap();
        approx::assert_relative_eq!(spread.mean, 47.5e-6, max_relative = 1e-12);
        assert_eq!(batches[1].spread(), None);
    }
}
