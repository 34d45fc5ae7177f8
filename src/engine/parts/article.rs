//! [`Article`]: a part as one asks for it over a counter.

use std::fmt;

use thiserror::Error;

use super::{
    Kind, Known, Material, Part, ToleranceOrigin, Wording, WordingError, default_tolerance,
};
use crate::engine::quantity::{
    Amount, Drawing, Marking, Quantity, Rating, Tolerance, format_value,
};

/// A part as one asks for it over a counter: `32uF 450V electrolytic`, `220k 1/2W film 5%`. Where it sits is nothing to it.
#[derive(Debug, Clone, PartialEq)]
pub struct Article {
    /// Resistor, capacitor or coil.
    pub kind: Kind,
    /// Value printed on it.
    pub nominal: Amount,
    /// Tolerance, if stated.
    pub tolerance: Option<Tolerance>,
    /// Voltage, power and safety class, as far as stated.
    pub rating: Rating,
    /// Material, if stated.
    pub material: Option<Material>,
}

/// A text is no article.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ArticleError {
    /// The text cannot be read.
    #[error(transparent)]
    Wording(#[from] WordingError),
    /// Only these can be asked for by value alone.
    #[error(
        "found a {found}, expected a resistance, a capacitance or an inductance such as `47uF 450V electrolytic`"
    )]
    NoSuchKind {
        /// Meaning of the value.
        found: Quantity,
    },
    /// No part of the kind is made of that.
    #[error("no {kind} is made of `{material}`")]
    Unsuited {
        /// Kind that the text names or implies.
        kind: Kind,
        /// Material that the text names.
        material: Material,
    },
}

impl Article {
    /// Reads value, rating, tolerance and material, the value first, the others in any order: `47uF 450V electrolytic`.
    /// A material stands at the end or directly behind the value, in the words of the parts list.
    ///
    /// # Errors
    /// [`ArticleError`] says what was not understood.
    pub fn parse(text: &str, drawing: Drawing) -> Result<Self, ArticleError> {
        let known = Known {
            drawing,
            ..Known::default()
        };
        let Wording {
            marking, material, ..
        } = Wording::read(text, known)?;
        let Marking {
            amount,
            tolerance,
            rating,
            ..
        } = marking;
        let kind = match amount.quantity() {
            Quantity::Resistance => Kind::Resistor,
            Quantity::Capacitance => Kind::Capacitor,
            Quantity::Inductance => Kind::Coil,
            found => return Err(ArticleError::NoSuchKind { found }),
        };
        match material {
            Some(material) if !material.suits(kind) => {
                Err(ArticleError::Unsuited { kind, material })
            }
            material => Ok(Self {
                kind,
                nominal: amount,
                tolerance,
                rating,
                material,
            }),
        }
    }

    /// The article that a row of the parts list describes; `None` for a kind that cannot be asked for by value.
    pub fn of(part: &Part) -> Option<Self> {
        let stated = part.tolerance_origin != ToleranceOrigin::Default;
        part.kind.is_asked_for_by_value().then(|| Self {
            kind: part.kind,
            nominal: part.nominal,
            tolerance: stated.then_some(part.tolerance),
            rating: part.rating.clone(),
            material: part.material,
        })
    }

    /// The part that it would be, without a designator and a place.
    pub fn as_part(&self) -> Part {
        let mut part = Part::new("", self.kind, self.nominal, self.tolerance_or_usual());
        part.tolerance_origin = match self.tolerance {
            Some(_) => ToleranceOrigin::Stated,
            None => ToleranceOrigin::Default,
        };
        part.rating = self.rating.clone();
        part.material = self.material;
        part
    }

    /// Its tolerance, or the one that is usual for its kind and material.
    pub fn tolerance_or_usual(&self) -> Tolerance {
        self.tolerance
            .unwrap_or_else(|| default_tolerance(self.kind, self.material))
    }
}

/// `220 kΩ 0.5 W ±5 % film`; reads back as it was.
impl fmt::Display for Article {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let nominal = format_value(self.nominal.quantity(), self.nominal.value(), 6);
        f.write_str(&nominal)?;
        let rating = self.rating.to_string().replace(", ", " ");
        if !rating.is_empty() {
            write!(f, " {rating}")?;
        }
        if let Some(tolerance) = self.tolerance {
            write!(f, " {tolerance}")?;
        }
        if let Some(material) = self.material {
            write!(f, " {material}")?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn article(text: &str) -> Article {
        Article::parse(text, Drawing::default()).unwrap()
    }

    #[test]
    fn what_one_asks_for_is_understood_in_any_order_behind_the_value() {
        let wanted = article("32uF 450V electrolytic");
        assert_eq!(wanted.kind, Kind::Capacitor);
        assert!((wanted.nominal.value() - 32e-6).abs() < 1e-12);
        assert_eq!(wanted.rating.dc_volts, Some(450.0));
        assert_eq!(wanted.material, Some(Material::Electrolytic));
        assert_eq!(article("32uF electrolytic 450 V"), wanted);
        let resistor = article("220k 1/2W 5% carbon film");
        assert_eq!(resistor.kind, Kind::Resistor);
        assert_eq!(resistor.material, Some(Material::Film));
        assert_eq!(resistor.rating.watts, Some(0.5));
        assert_eq!(article("10nF X1/Y2 300V~ ceramic").rating.classes.len(), 2);
    }

    #[test]
    fn a_material_settles_what_a_value_leaves_open() {
        assert_eq!(article("220 carbon").kind, Kind::Resistor);
        assert_eq!(article("220 pF mica").kind, Kind::Capacitor);
        assert_eq!(article(".047 paper 400V").kind, Kind::Capacitor);
    }

    #[test]
    fn an_article_reads_back_as_it_was_written() {
        for text in [
            "32uF 450V electrolytic",
            "220k 1/2W 5% film",
            "10nF X1/Y2 300V~ ceramic",
            "10 H",
            "47uF 450V -10/+50% electrolytic",
            "100pF ±2 pF mica",
        ] {
            let one = article(text);
            assert_eq!(article(&one.to_string()), one, "{text}: {one}");
        }
    }

    #[test]
    fn what_is_no_article_is_refused_with_the_reason() {
        let refused = |text: &str| Article::parse(text, Drawing::default()).unwrap_err();
        assert!(matches!(
            refused("47k mica"),
            ArticleError::Wording(_) | ArticleError::Unsuited { .. }
        ));
        assert!(matches!(refused("450V"), ArticleError::Wording(_)));
        assert!(matches!(refused("electrolytic"), ArticleError::Wording(_)));
    }
}
