//! [`parts_list`]: the parts list that a batch is measured by.

use super::bag_label;
use crate::engine::parts::{Article, ListSettings};
use crate::engine::quantity::{Amount, Quantity};
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
