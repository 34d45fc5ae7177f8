//! [`Item`]: what can stand on an order list.

use std::cmp::Ordering;
use std::fmt;

use thiserror::Error;

use super::does_for::{does_for, not_much_more};
use crate::engine::parts::{Article, ArticleError, Kind};
use crate::engine::quantity::Drawing;

/// What can stand on an order list.
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
    /// It is no article.
    #[error(transparent)]
    NoArticle(#[from] ArticleError),
    /// It is an article of another kind than the part.
    #[error("`{text}` is a {found}, expected a {expected}")]
    OtherKind {
        /// The text.
        text: String,
        /// What it is.
        found: Kind,
        /// What the part is.
        expected: Kind,
    },
}

impl Item {
    /// What a text asks for in place of a part of that kind; of two that make one, with ` + ` between them. What can be
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

    /// Whether it is not made for much more than `asked`, so that it still fits in its place.
    pub(super) fn fits_in_place_of(&self, asked: &Self) -> bool {
        match (self, asked) {
            (Self::Article(bought), Self::Article(asked)) => not_much_more(bought, asked),
            _ => true,
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
        .then(half_width(one).total_cmp(&half_width(other)))
}

#[cfg(test)]
mod tests {
    use super::*;

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
}
