//! [`Bag`]: one new part, in a bag with a number.
//!
//! [`Bags`]: what was found of each bag of a job before its part went in, by number.
//!
//! [`parts_list`]: the parts list that a batch is measured by; and [`last_number`]: the numbers that are taken already.

use std::collections::{BTreeSet, HashMap};
use std::path::Path;

use anyhow::Result;

use crate::bench::recorded::{Recorded, sitting_name};
use crate::books::job::{Folder, JobError};
use crate::books::ledger::{Decision, Row, counting, read_incoming};
use crate::books::when::day;
use crate::engine::judge::{Aspect, Verdict};
use crate::engine::parts::{Article, ListSettings, Step};
use crate::engine::quantity::{Amount, Quantity};
use crate::engine::sitting::What;
use crate::engine::source::DecimalMark;

/// Word before the number on a bag.
const WORD: &str = "bag";

/// The label of the bag of that number, which is the designator of what is in it: `bag 3`.
pub fn bag_label(number: u32) -> String {
    format!("{WORD} {number}")
}

/// The number of a bag by its label: `bag 3`, `Bag 3`, `bag3`; `None` for anything else, a bare number too.
pub fn bag_number(label: &str) -> Option<u32> {
    let label = label.trim();
    let (word, number) = label.split_at_checked(WORD.len())?;
    let digits = number.trim_start();
    let is_label = word.eq_ignore_ascii_case(WORD) && digits.bytes().all(|b| b.is_ascii_digit());
    is_label.then(|| digits.parse().ok())?
}

/// One new part as it was measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Bag {
    /// Its number, unique in the job.
    pub number: u32,
    /// Measurement of the part in it.
    pub row: Row,
}

impl Bag {
    /// The bag that a row is about; `None` if it is not about the value of what is in a bag.
    pub fn of(row: &Row) -> Option<Self> {
        let number = bag_number(&row.designator)?;
        (row.step == Step::Value).then(|| Self {
            number,
            row: row.clone(),
        })
    }

    /// The value that was judged, in the SI unit; `None` if there was none.
    pub fn value(&self) -> Option<f64> {
        self.row.value.map(|value| value.value)
    }

    pub fn label(&self) -> String {
        bag_label(self.number)
    }

    /// Whether it passed, or passed conditionally.
    pub fn is_good(&self) -> bool {
        matches!(self.row.verdict, Verdict::Pass | Verdict::ConditionalPass)
    }

    /// The value with its expanded uncertainty, k = 2; else the reason why there is none.
    pub fn found(&self) -> String {
        match self.row.value {
            Some(_) => self.row.words(),
            None => self.row.reason.clone(),
        }
    }

    /// Loss or equivalent series resistance as the meter told it: `tan δ 0.0812 at 120 Hz`; empty if nothing.
    pub fn loss(&self) -> &str {
        let Some(check) = self.row.check(Aspect::Loss) else {
            return "";
        };
        // The figure ends where the limit or the reason why it is not judged begins.
        let ends = [",", ":", ";", " not judged"];
        let words = check.words.as_str();
        let length = ends.iter().filter_map(|end| words.find(end)).min();
        &words[..length.unwrap_or(words.len())]
    }
}

/// Findings on each bag of a job before its part went in, by number.
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

    /// `bag 3: 47.10 µF ± 0.50 µF, pass, 3 Nov 2056`, or that it is not in incoming.csv.
    pub fn words(&self, number: u32) -> String {
        let label = bag_label(number);
        match self.bag(number) {
            Some(bag) => format!(
                "{label}: {}, {}, {}",
                bag.found(),
                bag.row.verdict,
                day(bag.row.time)
            ),
            None => format!("{label} is not in incoming.csv"),
        }
    }
}

/// The text of a parts list with one row a bag, `count` of them from the number `first` on, each for one part of that
/// article. Read with the same settings it gives the article back.
///
/// # Panics
/// Never: what is written goes into memory.
pub fn parts_list(article: &Article, first: u32, count: u32, settings: ListSettings) -> Vec<u8> {
    let text = |text: Option<String>| text.unwrap_or_default();
    let row = [
        article.kind.name().to_owned(),
        value_text(article.nominal, settings),
        text(article.tolerance.map(|tolerance| tolerance.to_string())),
        article.rating.to_string(),
        text(article.material.map(|material| material.to_string())),
    ]
    .map(|cell| match settings.dialect.decimal {
        Some(DecimalMark::Comma) => cell.replace('.', ","),
        _ => cell,
    });
    let mut csv = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .delimiter(settings.dialect.separator.unwrap_or_default().byte())
        .from_writer(Vec::new());
    let header = ["ref", "kind", "value", "tolerance", "rating", "material"];
    let written = "writing to memory cannot fail";
    csv.write_record(header).expect(written);
    for number in (first..).take(count as usize) {
        let label = bag_label(number);
        let cells = std::iter::once(&label).chain(&row);
        csv.write_record(cells).expect(written);
    }
    csv.into_inner().expect(written)
}

/// The value so that it reads back; where `M` means a thousand, megohms are written in kilohm.
fn value_text(nominal: Amount, settings: ListSettings) -> String {
    let megohms = nominal.quantity() == Quantity::Resistance && nominal.value() >= 1e6;
    if settings.m_is_thousand && megohms {
        format!("{} kΩ", nominal.value() / 1e3)
    } else {
        nominal.to_string()
    }
}

/// The largest bag number that was ever given away in the job; 0 if none was.
///
/// It stands in the rows of `incoming.csv`, in the decisions, or, where rows are missing (the file was moved away, or a sitting was killed
/// before it wrote the last one), in the recordings, which are then computed again.
pub(crate) fn last_number(folder: &Folder, remark: fn(&str)) -> Result<u32> {
    let rows = read_incoming(&folder.read_incoming()?)?;
    let decisions = Decision::read_all(&folder.read_decisions()?)?;
    let written = rows.iter().filter_map(|row| bag_number(&row.designator));
    let decided = decisions.iter().filter_map(|decision| decision.bag);
    let mut last = written.chain(decided).max().unwrap_or(0);
    for file in folder.batches()? {
        match last_in(&file, &rows) {
            Ok(number) => last = last.max(number),
            Err(error) => remark(&format!(
                "which bags `{}` is about cannot be read ({error:#}); see to it that no bag gets a number twice",
                file.display()
            )),
        }
    }
    Ok(last)
}

/// The largest number of a bag that was judged in a recording. Where all of its bags have rows, those are enough.
fn last_in(file: &Path, rows: &[Row]) -> Result<u32> {
    let name = sitting_name(file);
    let own = rows.iter().filter(|row| row.sitting == name);
    let written: BTreeSet<u32> = own.filter_map(|row| bag_number(&row.designator)).collect();
    let recorded = Recorded::open(file)?;
    let plan = recorded.plan()?;
    let number = |place: usize| bag_number(&plan.parts()[place].designator);
    let planned: BTreeSet<u32> = (0..plan.parts().len()).filter_map(number).collect();
    if planned.is_subset(&written) {
        return Ok(planned.last().copied().unwrap_or(0));
    }
    let mut last = 0;
    recorded.play(
        plan.clone(),
        |_| (),
        |event| {
            if let What::Judged(record) = &event.what {
                last = last.max(number(record.part).unwrap_or(0));
            }
            Ok(())
        },
    )?;
    Ok(last)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::judge::Check;
    use crate::engine::parts::{Kind, read};
    use crate::engine::quantity::{Band, Drawing, Quantity};
    use crate::engine::source::{Dialect, Separator};

    fn bag(number: u32, value: f64) -> Bag {
        let row = Row {
            kind: Kind::Capacitor,
            quantity: Quantity::Capacitance,
            nominal: 47e-6,
            band: Band::new(37.6e-6, 56.4e-6).unwrap(),
            ..Row::sample(&bag_label(number))
        };
        let row = row.with_value(value, 0.1e-6);
        Bag { number, row }
    }

    #[test]
    fn a_label_gives_its_number_back_and_nothing_else_is_one() {
        for number in [1, 3, 10, 4_000_000] {
            assert_eq!(bag_number(&bag_label(number)), Some(number));
        }
        assert_eq!(bag_number(" Bag  7 "), Some(7));
        assert_eq!(bag_number("bag7"), Some(7));
        for other in [
            "",
            "bag",
            "bag ",
            "3",
            "bag x",
            "bag -3",
            "bag +3",
            "baggage 3",
            "bä 3",
        ] {
            assert_eq!(bag_number(other), None, "{other}");
        }
    }

    #[test]
    fn a_loss_is_read_out_of_the_checks_with_its_frequency() {
        let loss = |aspect, words: &str| {
            let mut bag = bag(1, 47e-6);
            bag.row.checks = vec![Check {
                aspect,
                verdict: None,
                words: words.to_owned(),
            }];
            bag.loss().to_owned()
        };
        let judged = "tan δ 0.0812 at 120 Hz, at most 0.1500 at 120 Hz (measured; limit: y)";
        assert_eq!(loss(Aspect::Loss, judged), "tan δ 0.0812 at 120 Hz");
        assert_eq!(
            loss(Aspect::Loss, "ESR 0.410 Ω at 1000 Hz not judged: z"),
            "ESR 0.410 Ω at 1000 Hz"
        );
        assert_eq!(
            loss(
                Aspect::Loss,
                "tan δ 0.0812 at 120 Hz: the list says no material"
            ),
            "tan δ 0.0812 at 120 Hz"
        );
        assert_eq!(loss(Aspect::Temperature, "about tan δ"), "");
    }

    #[test]
    fn a_bag_is_told_with_what_was_found_of_it_and_one_that_is_not_there_is_said_to_be_missing() {
        let bags = Bags {
            by_number: HashMap::from([(3, bag(3, 47.1e-6))]),
        };
        assert_eq!(bags.words(3), "bag 3: 47.10 µF ± 0.20 µF, pass, 3 Nov 2056");
        assert_eq!(bags.words(4), "bag 4 is not in incoming.csv");
    }

    #[test]
    fn the_list_gives_the_article_back_for_every_bag() {
        for text in [
            "47uF 450V",
            "32uF 450V electrolytic",
            "220k 1/2W 5% film",
            "10nF X1/Y2 300V~ ceramic",
            "10 H",
            "47uF 450V -10/+50% electrolytic",
            "100pF ±2 pF mica",
            "2.2 Meg 1/2W carbon",
            "0.1 Ω 5W wirewound",
        ] {
            let german = ListSettings {
                dialect: Dialect {
                    separator: Some(Separator::Semicolon),
                    decimal: Some(DecimalMark::Comma),
                },
                ..ListSettings::default()
            };
            let commas_both = ListSettings {
                dialect: Dialect {
                    decimal: Some(DecimalMark::Comma),
                    ..Dialect::default()
                },
                ..ListSettings::default()
            };
            let old = ListSettings {
                m_is_thousand: true,
                ..ListSettings::default()
            };
            for settings in [ListSettings::default(), german, commas_both, old] {
                let article = Article::parse(text, Drawing::default()).unwrap();
                let list = read(&parts_list(&article, 8, 3, settings), &settings).unwrap();
                let labels: Vec<_> = list.parts.iter().map(|part| &part.designator).collect();
                assert_eq!(labels, ["bag 8", "bag 9", "bag 10"]);
                for part in &list.parts {
                    assert_eq!(Article::of(part).as_ref(), Some(&article), "{text}");
                }
            }
        }
    }
}
