//! [`parts_list`]: the parts list that a batch is measured by; and [`last_number`]: the numbers that are taken already.

use std::collections::BTreeSet;
use std::path::Path;

use anyhow::Result;

use super::{bag_label, bag_number};
use crate::bench::recorded::{Recorded, sitting_name};
use crate::books::job::Folder;
use crate::books::ledger::{Decision, Row, read_incoming};
use crate::engine::parts::{Article, ListSettings};
use crate::engine::quantity::{Amount, Quantity};
use crate::engine::sitting::What;
use crate::engine::source::DecimalMark;

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
    use crate::engine::parts::read;
    use crate::engine::quantity::Drawing;
    use crate::engine::source::{Dialect, Separator};

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
