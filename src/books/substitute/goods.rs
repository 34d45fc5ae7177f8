//! [`Goods`]: what is on sale.
//!
//! [`Sort`]: a sort of part that is on sale.
//!
//! The table of goods as it is written. The only place that knows its keys.

use serde::Deserialize;
use toml::Spanned;

use crate::engine::parts::{Article, Kind, Material};
use crate::engine::quantity::{
    Amount, Band, Drawing, Rating, Series, Tolerance, parse_rating, parse_tolerance, parse_value,
};
use crate::engine::source::{TextError, TomlText};

const SHIPPED: &str = include_str!("goods.toml");

/// Goods on sale: every sort, in the order of the table.
#[derive(Debug, Clone, PartialEq)]
pub struct Goods {
    sorts: Vec<Sort>,
}

impl Default for Goods {
    /// The table that comes with the program.
    fn default() -> Self {
        Self::parse(SHIPPED).expect("a test reads the table that comes with the program")
    }
}

impl Goods {
    /// The file that holds a job's own table.
    pub const FILE_NAME: &'static str = "goods.toml";

    /// The text of the table that comes with the program, to start one's own from.
    pub const fn shipped_text() -> &'static str {
        SHIPPED
    }

    /// Reads a table; an empty text stands for the one that comes with the program.
    ///
    /// # Errors
    /// [`TextError`] points at the line that is not TOML, has an unknown key, or says something impossible.
    pub fn parse(text: &str) -> Result<Self, TextError> {
        if text.trim().is_empty() {
            return Ok(Self::default());
        }
        let source = TomlText {
            file: Self::FILE_NAME,
            text,
        };
        let file: File = source.read()?;
        let sorts = file.goods.iter().map(|row| Sort::check(source, row));
        Ok(Self {
            sorts: sorts.collect::<Result<_, _>>()?,
        })
    }

    /// Every sort, in the order of the table.
    pub fn sorts(&self) -> &[Sort] {
        &self.sorts
    }
}

/// A sort of part that is on sale: a row of the table of goods.
#[derive(Debug, Clone, PartialEq)]
pub struct Sort {
    /// Name for people.
    pub name: String,
    /// Resistor or capacitor.
    pub kind: Kind,
    pub material: Material,
    /// Series of the values between the smallest and the largest.
    pub series: Series,
    /// Every value on sale, in the SI base unit, ascending; at least one.
    pub values: Vec<f64>,
    /// Its tolerance, with an upper limit.
    pub tolerance: Tolerance,
    /// Uses it is sold for, in the order of the table; at least one.
    pub ratings: Vec<Rating>,
    /// Whether it may set a frequency.
    pub stable: bool,
    /// Whether it has an inductance that bars it from radio frequencies and grids.
    pub inductive: bool,
    /// Where the row is from.
    pub source: String,
}

impl Sort {
    /// The part of this sort with that value (SI base unit) and rating.
    pub(super) fn article(&self, value: f64, rating: Rating) -> Option<Article> {
        Some(Article {
            kind: self.kind,
            nominal: Amount::new(self.kind.quantity(), value)?,
            tolerance: Some(self.tolerance),
            rating,
            material: Some(self.material),
        })
    }

    /// Range that a part of this sort with that value may measure.
    pub(super) fn band(&self, value: f64) -> Option<Band> {
        let nominal = Amount::new(self.kind.quantity(), value)?;
        Some(self.tolerance.band(nominal))
    }

    pub(super) fn check(source: TomlText<'_>, row: &Row) -> Result<Self, TextError> {
        let Some(kind @ (Kind::Resistor | Kind::Capacitor)) = Kind::named(row.kind.get_ref())
        else {
            return Err(source.fault("kind", &row.kind, "`resistor` or `capacitor`"));
        };
        let material = Material::named(row.material.get_ref())
            .filter(|material| material.suits(kind))
            .ok_or_else(|| {
                source.fault("material", &row.material, "what such a part is made of")
            })?;
        let series = Series::named(row.series.get_ref())
            .ok_or_else(|| source.fault("series", &row.series, "a series such as `E12`"))?;
        let from = value(source, "from", &row.from, kind)?;
        let to = value(source, "to", &row.to, kind)?;
        let values = series.between(from.value(), to.value());
        if values.is_empty() {
            return Err(source.fault(
                "to",
                &row.to,
                "a value that leaves some of the series above `from`",
            ));
        }
        Ok(Self {
            name: source.words("name", &row.name)?,
            kind,
            material,
            series,
            values,
            tolerance: tolerance(source, &row.tolerance, from)?,
            ratings: ratings(source, &row.ratings)?,
            stable: row.stable,
            inductive: row.inductive,
            source: source.words("source", &row.source)?,
        })
    }
}

fn value(
    source: TomlText<'_>,
    key: &'static str,
    text: &Spanned<String>,
    kind: Kind,
) -> Result<Amount, TextError> {
    let read = parse_value(text.get_ref(), Some(kind.quantity()), Drawing::default());
    read.map(|value| value.amount)
        .map_err(|_| source.fault(key, text, "a value with its unit, such as `47nF` or `4k7`"))
}

fn tolerance(
    source: TomlText<'_>,
    text: &Spanned<String>,
    from: Amount,
) -> Result<Tolerance, TextError> {
    let read = parse_tolerance(text.get_ref(), from).ok();
    read.filter(|tolerance| {
        tolerance.band(from).upper().is_finite() && tolerance.band(from).lower() > 0.0
    })
    .ok_or_else(|| source.fault("tolerance", text, "a tolerance such as `10%`"))
}

fn ratings(
    source: TomlText<'_>,
    texts: &Spanned<Vec<Spanned<String>>>,
) -> Result<Vec<Rating>, TextError> {
    if texts.get_ref().is_empty() {
        let empty = Spanned::new(texts.span(), "[]");
        return Err(source.fault("ratings", &empty, "at least one rating"));
    }
    let each = texts.get_ref().iter().map(|text| {
        let rating = parse_rating(text.get_ref()).ok();
        rating
            .filter(|rating| !rating.is_empty())
            .ok_or_else(|| source.fault("ratings", text, "ratings such as `450V` or `1/2W 350V`"))
    });
    each.collect()
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct File {
    #[serde(default)]
    pub(super) goods: Vec<Row>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Row {
    pub(super) name: Spanned<String>,
    pub(super) kind: Spanned<String>,
    pub(super) material: Spanned<String>,
    pub(super) from: Spanned<String>,
    pub(super) to: Spanned<String>,
    pub(super) series: Spanned<String>,
    pub(super) tolerance: Spanned<String>,
    pub(super) ratings: Spanned<Vec<Spanned<String>>>,
    #[serde(default)]
    pub(super) stable: bool,
    #[serde(default)]
    pub(super) inductive: bool,
    pub(super) source: Spanned<String>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_names_its_source_and_ratings_ascend() {
        let goods = Goods::default();
        assert!(goods.sorts().len() > 15);
        for sort in goods.sorts() {
            assert!(sort.source.len() > 10, "{}", sort.name);
            let load = |rating: &crate::engine::quantity::Rating| {
                rating
                    .watts
                    .or(rating.dc_volts)
                    .or(rating.ac_volts)
                    .unwrap()
            };
            assert!(
                sort.ratings
                    .windows(2)
                    .all(|two| load(&two[0]) < load(&two[1])),
                "{}",
                sort.name
            );
        }
    }

    #[test]
    fn nobody_sells_paper_or_composition() {
        use crate::engine::parts::Material::{Carbon, Oil, Paper};
        let goods = Goods::default();
        let old = |sort: &&Sort| matches!(sort.material, Paper | Carbon | Oil);
        assert_eq!(goods.sorts().iter().find(old), None);
    }

    #[test]
    fn a_fault_is_found_in_its_line() {
        let said = |from: &str, to: &str| {
            let text = SHIPPED.replacen(from, to, 1);
            let error = Goods::parse(&text).unwrap_err();
            let line = 1 + SHIPPED[..SHIPPED.find(from).unwrap()].matches('\n').count();
            assert_eq!(error.line(), line, "{error}");
            error.to_string()
        };
        assert!(said("kind = \"capacitor\"", "kind = \"coil\"").contains("goods.toml"));
        assert!(said("material = \"film\"", "material = \"carbon\"").contains("`carbon`"));
        assert!(said("series = \"E6\"", "series = \"E7\"").contains("such as `E12`"));
        assert!(said("from = \"1uF\"", "from = \"1V\"").contains("`1V`"));
        assert!(said("to = \"4700uF\"", "to = \"1pF\"").contains("above `from`"));
        assert!(said("tolerance = \"20%\"", "tolerance = \"GMV\"").contains("`GMV`"));
        assert!(said("ratings = [\"16V\"", "ratings = [\"16\"").contains("`16`"));
        assert!(said("stable = true", "steady = true").contains("steady"));
        assert!(said("source = \"common", "source = \"\" # \"common").contains("a text"));
    }
}
