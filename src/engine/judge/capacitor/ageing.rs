//! [`AgeingTable`]: how far what is read on old parts lies from their nominal values.

use serde::Deserialize;
use toml::Spanned;

use super::table::{ShippedTable, Written, text};
use crate::engine::impedance::Uncertain;
use crate::engine::parts::{Kind, Material, Part};
use crate::engine::source::{TextError, TomlText};
use crate::engine::statistics::normal_cdf;

/// Distances of what is read on old parts from their nominal values: densities over ln(value/nominal). Our own model, no source.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AgeingTable {
    blur: Spanned<f64>,
    floor: Spanned<f64>,
    #[serde(rename = "row")]
    rows: Vec<Row>,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    of: Vec<Spanned<String>>,
    share: Vec<Share>,
    source: Spanned<String>,
}

/// A share of parts whose value over nominal value lies within these limits.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Share {
    from: Spanned<f64>,
    to: Spanned<f64>,
    mass: Spanned<f64>,
}

impl Default for AgeingTable {
    /// The table that comes with the program.
    fn default() -> Self {
        Self::shipped()
    }
}

impl Written for AgeingTable {
    const TABLE: ShippedTable = ShippedTable::Ageing;

    fn check(&self, source: TomlText<'_>) -> Result<(), TextError> {
        source.positive("blur", &self.blur)?;
        source.positive("floor", &self.floor)?;
        for row in &self.rows {
            let mut left = 1.0;
            for share in &row.share {
                let from = source.positive("from", &share.from)?;
                if source.positive("to", &share.to)? <= from {
                    return Err(source.fault("to", &share.to, "more than `from`"));
                }
                left -= source.positive("mass", &share.mass)?;
                if left < 0.0 {
                    let expected = "shares that are no more than 1 together";
                    return Err(source.fault("mass", &share.mass, expected));
                }
            }
            source.words("source", &row.source)?;
        }
        Ok(())
    }
}

impl AgeingTable {
    /// Density of that value on a part over ln(value/nominal); nothing for a value that is not above zero.
    pub fn density(&self, part: &Part, value: Uncertain) -> f64 {
        let off = libm::log(value.value / part.nominal.value());
        if !off.is_finite() {
            return 0.0;
        }
        let blur = libm::hypot(*self.blur.get_ref(), value.u / value.value);
        let row = self.row(part);
        let shares = row.iter().flat_map(|row| &row.share);
        let known: f64 = shares.map(|share| share.density(off, blur)).sum();
        known + self.floor.get_ref()
    }

    fn row(&self, part: &Part) -> Option<&Row> {
        let material = part.material.map(Material::name);
        let kind = Some(part.kind.name());
        let words = match part.kind {
            Kind::Resistor | Kind::Capacitor => [material, kind],
            _ => [kind, material],
        };
        let of = |word: &str| {
            let is = |of: &Spanned<String>| text(of).eq_ignore_ascii_case(word);
            self.rows.iter().find(move |row| row.of.iter().any(is))
        };
        words.into_iter().flatten().find_map(of)
    }
}

impl Share {
    fn density(&self, off: f64, blur: f64) -> f64 {
        let from = libm::log(*self.from.get_ref());
        let to = libm::log(*self.to.get_ref());
        let within = normal_cdf((off - from) / blur) - normal_cdf((off - to) / blur);
        self.mass.get_ref() * within / (to - from)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::parts::ToleranceOrigin;
    use crate::engine::quantity::{Amount, Quantity, Tolerance};

    fn part(kind: Kind, material: Option<Material>) -> Part {
        let nominal = Amount::new(Quantity::Resistance, 1000.0).unwrap();
        let mut part = Part::new("X1", kind, nominal, Tolerance::MAXIMUM);
        part.tolerance_origin = ToleranceOrigin::Default;
        part.material = material;
        part
    }

    fn density(kind: Kind, material: Option<Material>, ratio: f64) -> f64 {
        let value = Uncertain::new(1000.0 * ratio, 0.0);
        AgeingTable::default().density(&part(kind, material), value)
    }

    /// All of the mass below the curve: the shares and what the floor adds between 1/10 and 10 times the nominal value.
    #[test]
    fn the_mass_of_a_row_is_what_the_table_says() {
        let of = |kind, material| -> f64 {
            let step = 1e-3;
            let from = libm::log(0.1);
            let steps = (2.0 * -from / step) as u32;
            let ratios = (0..steps).map(|n| libm::exp(from + f64::from(n) * step));
            ratios
                .map(|ratio| step * (density(kind, material, ratio) - 0.0019))
                .sum()
        };
        for (kind, material, mass) in [
            (Kind::Resistor, Some(Material::Carbon), 0.97),
            (Kind::Resistor, None, 0.97),
            (Kind::Resistor, Some(Material::Film), 0.96),
            (Kind::Capacitor, Some(Material::Paper), 0.99),
            (Kind::Capacitor, Some(Material::Electrolytic), 0.99),
            (Kind::Potentiometer, Some(Material::Carbon), 0.95),
            (Kind::Winding, None, 0.96),
            (Kind::Point, None, 0.0),
        ] {
            let found = of(kind, material);
            assert!((found - mass).abs() < 2e-3, "{kind}: {found}");
        }
    }

    #[test]
    fn the_floor_is_left_far_away_and_nothing_below_zero() {
        assert!((density(Kind::Resistor, None, 50.0) - 0.0019).abs() < 1e-9);
        assert_eq!(density(Kind::Resistor, None, -1.0), 0.0);
        assert_eq!(density(Kind::Resistor, None, 0.0), 0.0);
    }

    #[test]
    fn a_table_whose_shares_are_more_than_all_parts_is_refused() {
        let row = |shares: &str, source: &str| {
            format!(
                "blur = 0.02\nfloor = 0.0019\n[[row]]\nof = [\"paper\"]\nshare = [{shares}]\nsource = \"{source}\"\n"
            )
        };
        let one = "{ from = 0.9, to = 1.1, mass = 0.6 }";
        assert!(AgeingTable::parse(&row(one, "x")).is_ok());
        for wrong in [
            row(&format!("{one}, {one}"), "x"),
            row("{ from = 1.1, to = 0.9, mass = 0.6 }", "x"),
            row("{ from = 0, to = 0.9, mass = 0.6 }", "x"),
            row(one, ""),
        ] {
            let error = AgeingTable::parse(&wrong).unwrap_err().to_string();
            assert!(error.contains("ageing.toml"), "{error}");
        }
    }
}
