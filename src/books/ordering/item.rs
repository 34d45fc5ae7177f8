//! [`Item`]: what can stand on an order list.
//!
//! Use of one article where another is asked for.
//!
//! [`Wanted`]: what the ledgers of jobs say about buying.

use std::cmp::Ordering;
use std::fmt;

use chrono::{DateTime, FixedOffset};
use thiserror::Error;

use super::{Need, User};
use crate::engine::judge::safety::class_data;
use crate::engine::parts::{Article, ArticleError, Kind};
use crate::engine::quantity::{Band, Drawing, Rating};

/// An entry of an order list.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// A part that value, rating and material describe.
    Article(Article),
    /// Anything else, in the person's words: `500k potentiometer with switch`.
    Words(String),
}

/// A text does not say what is to be bought in place of a part.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ItemError {
    #[error(transparent)]
    NoArticle(#[from] ArticleError),
    /// Article of another kind than the part.
    #[error("`{text}` is a {found}, expected a {expected}")]
    OtherKind {
        /// As it was written.
        text: String,
        found: Kind,
        /// Kind of the part.
        expected: Kind,
    },
}

impl Item {
    /// The items that a text asks for in place of a part of that kind; of two that make one, with ` + ` between them. What can be
    /// asked for by value must be an article, read as new parts are marked (IEC 60062), whatever the drawing of the job does.
    ///
    /// # Errors
    /// If it should be an article and is none, or one of another kind.
    pub fn read(text: &str, kind: Kind) -> Result<Vec<Self>, ItemError> {
        text.split(" + ")
            .map(|piece| Self::one(piece, kind))
            .collect()
    }

    fn one(text: &str, kind: Kind) -> Result<Self, ItemError> {
        match Article::parse(text, Drawing::default()) {
            Ok(article) if article.kind == kind => Ok(Self::Article(article)),
            Ok(article) if kind.is_asked_for_by_value() => Err(ItemError::OtherKind {
                text: text.trim().to_owned(),
                found: article.kind,
                expected: kind,
            }),
            Err(error) if kind.is_asked_for_by_value() => Err(error.into()),
            _ => Ok(Self::Words(text.trim().to_owned())),
        }
    }

    /// Whether it can be used where `asked` is.
    pub fn does_for(&self, asked: &Self) -> bool {
        match (self, asked) {
            (Self::Article(own), Self::Article(asked)) => does_for(own, asked),
            (Self::Words(own), Self::Words(asked)) => own.eq_ignore_ascii_case(asked),
            _ => false,
        }
    }

    /// Reason why it cannot be used where `asked` is, although kind and value are those; else `None`.
    pub(super) fn shortfall(&self, asked: &Self) -> Option<String> {
        match (self, asked) {
            (Self::Article(own), Self::Article(asked)) if own.kind == asked.kind => {
                same_value(own, asked).then(|| shortfall(own, asked))?
            }
            _ => None,
        }
    }

    /// Whether it is not made for much more than `asked`, so that it still fits in its place.
    pub(super) fn fits_in_place_of(&self, asked: &Self) -> bool {
        match (self, asked) {
            (Self::Article(bought), Self::Article(asked)) => not_much_more(bought, asked),
            _ => true,
        }
    }

    /// Whether both are of one kind and value.
    pub(super) fn is_of_the_value_of(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Article(own), Self::Article(other)) => {
                let times = own.nominal.value() / other.nominal.value();
                own.kind == other.kind && (times - 1.0).abs() <= SAME_VALUE
            }
            (Self::Words(own), Self::Words(other)) => own.eq_ignore_ascii_case(other),
            _ => false,
        }
    }

    /// By kind and value, and of the same value the more demanding one first; words behind.
    pub(super) fn compare(&self, other: &Self) -> Ordering {
        match (self, other) {
            (Self::Article(one), Self::Article(other)) => compare(one, other),
            (Self::Article(_), Self::Words(_)) => Ordering::Less,
            (Self::Words(_), Self::Article(_)) => Ordering::Greater,
            (Self::Words(one), Self::Words(other)) => one.cmp(other),
        }
    }
}

impl fmt::Display for Item {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Article(article) => f.pad(&article.to_string()),
            Self::Words(words) => f.pad(words),
        }
    }
}

fn compare(one: &Article, other: &Article) -> Ordering {
    let rating = |pick: fn(&Article) -> Option<f64>| {
        let volts = |article| pick(article).unwrap_or(0.0);
        volts(other).total_cmp(&volts(one))
    };
    let half_width = |article: &Article| {
        let band = article
            .tolerance
            .map(|tolerance| tolerance.band(article.nominal));
        band.map_or(f64::INFINITY, |band| band.upper() - band.lower())
    };
    one.kind
        .cmp(&other.kind)
        .then(one.nominal.value().total_cmp(&other.nominal.value()))
        .then(one.material.cmp(&other.material).reverse())
        .then(one.rating.classes.cmp(&other.rating.classes).reverse())
        .then(rating(|article| article.rating.ac_volts))
        .then(rating(|article| article.rating.dc_volts))
        .then(rating(|article| article.rating.watts))
        .then(rating(|article| article.rating.amperes))
        .then(half_width(one).total_cmp(&half_width(other)))
}

/// Share by which two nominal values may lie apart and still be the same one: less than half a step of E192, more than
/// what rounding a marking does.
const SAME_VALUE: f64 = 0.004;

/// Factor by which an article may stand more voltage or power and still be merged with one that asks for less: half as much
/// again, so that what is bought still fits where the smaller one would (common practice, no source).
const MERGED_UP_TO: f64 = 1.5;

/// Whether `shelf` can be used where `asked` is: the same kind and nominal value, the material where one is asked for, no
/// lower rating of any sort that is asked for, every safety class, and no wider tolerance than one that is stated.
pub(super) fn does_for(shelf: &Article, asked: &Article) -> bool {
    shelf.kind == asked.kind && same_value(shelf, asked) && shortfall(shelf, asked).is_none()
}

/// Reason why an article of the kind and value that are asked for cannot be used; `None` if it can.
fn shortfall(shelf: &Article, asked: &Article) -> Option<String> {
    if let Some(material) = asked.material.filter(|one| shelf.material != Some(*one)) {
        return Some(match shelf.material {
            Some(own) => format!("it is {own}, and {material} is asked for"),
            None => format!("it states no material, and {material} is asked for"),
        });
    }
    if !holds(&shelf.rating, &asked.rating) {
        let stated = shelf.rating.to_string();
        let stated = match stated.as_str() {
            "" => "no rating",
            stated => stated,
        };
        return Some(format!(
            "it states {stated}, and {} are asked for",
            asked.rating
        ));
    }
    let tolerance = asked.tolerance?;
    let usual = shelf.tolerance_or_usual();
    let is_within = within(usual.band(asked.nominal), tolerance.band(asked.nominal));
    (!is_within).then(|| match shelf.tolerance {
        Some(own) => format!("{own} is wider than the {tolerance} that are asked for"),
        None => format!(
            "it states no tolerance, and the usual one, {usual}, is wider than the {tolerance} that are asked for"
        ),
    })
}

/// Tells whether an article is not made for much more than was asked for.
pub(super) fn not_much_more(bought: &Article, asked: &Article) -> bool {
    let near = |bought: Option<f64>, asked: Option<f64>| match (bought, asked) {
        (Some(bought), Some(asked)) => bought <= MERGED_UP_TO * asked,
        (Some(_), None) => false,
        (None, _) => true,
    };
    near(bought.rating.dc_volts, asked.rating.dc_volts)
        && near(bought.rating.ac_volts, asked.rating.ac_volts)
        && near(bought.rating.watts, asked.rating.watts)
        && near(bought.rating.amperes, asked.rating.amperes)
}

fn same_value(one: &Article, other: &Article) -> bool {
    let (a, b) = (one.nominal, other.nominal);
    let largest = a.value().abs().max(b.value().abs());
    a.quantity() == b.quantity() && (a.value() - b.value()).abs() <= SAME_VALUE * largest
}

fn holds(shelf: &Rating, asked: &Rating) -> bool {
    let enough = |shelf: Option<f64>, asked: Option<f64>| {
        asked.is_none_or(|asked| shelf.is_some_and(|shelf| shelf >= asked))
    };
    let classed = asked.classes.iter().all(|wanted| {
        let mut classes = shelf.classes.iter();
        classes.any(|class| class_data(*class).may_replace(*wanted))
    });
    enough(shelf.dc_volts, asked.dc_volts)
        && enough(shelf.ac_volts, asked.ac_volts)
        && enough(shelf.watts, asked.watts)
        && enough(shelf.amperes, asked.amperes)
        && classed
}

/// Whether the one band lies in the other, up to the last figures.
fn within(inner: Band, outer: Band) -> bool {
    let slack = 1e-9 * inner.upper().abs().min(outer.upper().abs());
    inner.lower() >= outer.lower() - slack && inner.upper() <= outer.upper() + slack
}

/// Needs and orders from the ledgers of jobs.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Wanted {
    pub needs: Vec<Need>,
    /// Parts of which nobody has said what is to be bought, so that the best substitute stands on the list.
    pub proposed: Vec<User>,
    /// Doubts about something that was said to be bought.
    pub doubts: Vec<Doubt>,
    /// Parts of which nobody has said what is to be bought, and for which no substitute can be named.
    pub unknown: Vec<Unknown>,
    /// Parts that the policy replaces and nobody has decided about: they are on no list before that.
    pub by_policy: Vec<User>,
    /// Articles on order.
    pub on_order: Vec<OnOrder>,
}

/// Something speaks against what was said to be bought, or against what lies in the drawer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    pub user: User,
    /// The article, as it was said.
    pub what: String,
    /// Reason against it, as the end of a sentence.
    pub why: String,
}

/// Article that is not known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unknown {
    pub user: User,
    pub why: String,
}

/// Something is on order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OnOrder {
    pub user: User,
    pub what: String,
    pub since: DateTime<FixedOffset>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::quantity::Drawing;

    #[test]
    fn what_cannot_be_asked_for_by_value_is_asked_for_in_words() {
        let words =
            |text: &str, kind| matches!(Item::read(text, kind).unwrap()[..], [Item::Words(_)]);
        assert!(words("500k potentiometer with switch", Kind::Potentiometer));
        assert!(words("500k", Kind::Potentiometer));
        assert!(words("output transformer 38:1", Kind::Winding));
        assert!(Item::read("a good one", Kind::Capacitor).is_err());
        assert!(Item::read("47k 1W", Kind::Capacitor).is_err());
        assert!(matches!(
            Item::read(
                "22uF 450V electrolytic + 10uF 450V electrolytic",
                Kind::Capacitor
            )
            .unwrap()[..],
            [Item::Article(_), Item::Article(_)]
        ));
    }

    fn ok(shelf: &str, asked: &str) -> bool {
        let article = |text: &str| Article::parse(text, Drawing::default()).unwrap();
        does_for(&article(shelf), &article(asked))
    }

    #[test]
    fn more_voltage_or_power_does_and_less_does_not() {
        assert!(ok("47uF 450V electrolytic", "47uF 350V electrolytic"));
        assert!(!ok("47uF 350V electrolytic", "47uF 450V electrolytic"));
        assert!(ok("220k 1W film", "220k 1/2W film"));
        assert!(!ok("220k film", "220k 1/2W film"));
        assert!(!ok("220k 1W film", "240k 1/2W film"));
    }

    #[test]
    fn a_material_that_is_asked_for_must_be_it() {
        assert!(ok("47nF 630V film", "47nF 630V"));
        assert!(!ok("47nF 630V", "47nF 630V film"));
        assert!(!ok("47nF 630V ceramic", "47nF 630V film"));
    }

    #[test]
    fn a_y_capacitor_does_for_an_x_one_and_never_the_other_way_round() {
        assert!(ok("10nF Y2 300V~", "10nF X2 275V~"));
        assert!(!ok("10nF X2 300V~", "10nF Y2 275V~"));
    }

    #[test]
    fn a_stated_tolerance_may_be_closer_and_not_wider() {
        assert!(ok("100k 1% film", "100k 5% film"));
        assert!(!ok("100k 10% film", "100k 5% film"));
        assert!(ok("100k film", "100k 5% film"));
        assert!(!ok("100k carbon", "100k 5% carbon"));
    }
}
