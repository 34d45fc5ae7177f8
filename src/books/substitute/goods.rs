//! [`Goods`]: what is on sale.

use super::file;
use super::sort::Sort;
use crate::engine::source::{TextError, TomlText};

const SHIPPED: &str = include_str!("goods.toml");

/// What is on sale: every sort, in the order of the table.
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
        let file: file::File = source.read()?;
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
