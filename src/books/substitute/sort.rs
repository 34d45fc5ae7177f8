//! [`Sort`]: a sort of part that is on sale.

use toml::Spanned;

use super::file;
use crate::engine::parts::{Article, Kind, Material};
use crate::engine::quantity::{
    Amount, Band, Drawing, Rating, Series, Tolerance, parse_rating, parse_tolerance, parse_value,
};
use crate::engine::source::{TextError, TomlText};

/// A sort of part that is on sale: a row of the table of goods.
#[derive(Debug, Clone, PartialEq)]
pub struct Sort {
    /// What to call it.
    pub name: String,
    /// Resistor or capacitor.
    pub kind: Kind,
    /// What it is made of.
    pub material: Material,
    /// Which values there are between the smallest and the largest.
    pub series: Series,
    /// Every value on sale, in the SI base unit, ascending; at least one.
    pub values: Vec<f64>,
    /// Its tolerance, with an upper limit.
    pub tolerance: Tolerance,
    /// What it is sold for, in the order of the table; at least one.
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

    /// What a part of this sort with that value may measure.
    pub(super) fn band(&self, value: f64) -> Option<Band> {
        let nominal = Amount::new(self.kind.quantity(), value)?;
        Some(self.tolerance.band(nominal))
    }

    pub(super) fn check(source: TomlText<'_>, row: &file::Row) -> Result<Self, TextError> {
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
