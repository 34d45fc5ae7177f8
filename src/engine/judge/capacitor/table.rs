//! [`ShippedTable`]: the tables that a job may have of its own, and [`Written`]: how each of them is read.

use serde::de::DeserializeOwned;
use toml::Spanned;

use crate::engine::parts::Material;
use crate::engine::source::{TextError, TomlText};

/// One of the tables: limits of capacitors, and how parts have aged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ShippedTable {
    /// The largest loss factor.
    Loss,
    /// The largest leakage current of electrolytics.
    Leakage,
    /// The least insulation of all other capacitors.
    Insulation,
    /// Distances of old parts from their nominal values.
    Ageing,
}

impl ShippedTable {
    /// Every table.
    pub const ALL: [Self; 4] = [Self::Loss, Self::Leakage, Self::Insulation, Self::Ageing];

    /// The file that holds it, in the folder of a job and in a recording.
    pub const fn file_name(self) -> &'static str {
        match self {
            Self::Loss => "loss.toml",
            Self::Leakage => "leakage.toml",
            Self::Insulation => "insulation.toml",
            Self::Ageing => "ageing.toml",
        }
    }

    /// The text of the one that comes with the program, with its comments: to start one's own from.
    pub const fn shipped_text(self) -> &'static str {
        match self {
            Self::Loss => include_str!("tables/loss.toml"),
            Self::Leakage => include_str!("tables/leakage.toml"),
            Self::Insulation => include_str!("tables/insulation.toml"),
            Self::Ageing => include_str!("tables/ageing.toml"),
        }
    }
}

/// A table as it is written, with the place of every value, which is also what is asked for limits.
pub(super) trait Written: DeserializeOwned {
    /// The table.
    const TABLE: ShippedTable;

    /// Fault of the values.
    fn check(&self, source: TomlText<'_>) -> Result<(), TextError>;

    /// Reads a table.
    ///
    /// # Errors
    /// [`TextError`] points at the line that is not TOML, has an unknown key, or says something impossible.
    fn parse(text: &str) -> Result<Self, TextError> {
        let source = TomlText {
            file: Self::TABLE.file_name(),
            text,
        };
        let table: Self = source.read()?;
        table.check(source)?;
        Ok(table)
    }

    /// The table that comes with the program.
    fn shipped() -> Self {
        Self::parse(Self::TABLE.shipped_text())
            .expect("a test reads the table that comes with the program")
    }
}

/// The values beside these keys, each a number above zero where it is there at all.
pub(super) fn all_positive<'a>(
    source: TomlText<'_>,
    values: impl IntoIterator<Item = (&'a str, Option<&'a Spanned<f64>>)>,
) -> Result<(), TextError> {
    let mut there = values
        .into_iter()
        .filter_map(|(key, value)| Some((key, value?)));
    there.try_for_each(|(key, value)| source.positive(key, value).map(drop))
}

/// Refuses a list without anything in it.
pub(super) fn filled<T>(
    source: TomlText<'_>,
    key: &str,
    list: &Spanned<Vec<T>>,
    expected: &str,
) -> Result<(), TextError> {
    if list.get_ref().is_empty() {
        let empty = Spanned::new(list.span(), "[]");
        return Err(source.fault(key, &empty, expected));
    }
    Ok(())
}

/// Refuses numbers of that key that do not rise from one to the next, or are not above zero.
pub(super) fn rising<'a>(
    source: TomlText<'_>,
    key: &str,
    numbers: impl IntoIterator<Item = &'a Spanned<f64>>,
    expected: &str,
) -> Result<(), TextError> {
    let mut before = 0.0;
    for number in numbers {
        let found = source.positive(key, number)?;
        if found <= before {
            return Err(source.fault(key, number, expected));
        }
        before = found;
    }
    Ok(())
}

/// Refuses a name that an earlier entry has, or that is none.
pub(super) fn unique<'a>(
    source: TomlText<'_>,
    names: impl IntoIterator<Item = &'a Spanned<String>>,
    expected: &str,
) -> Result<(), TextError> {
    let mut before: Vec<String> = Vec::new();
    for name in names {
        let words = source.words("name", name)?;
        if before.contains(&words) {
            return Err(source.fault("name", name, expected));
        }
        before.push(words);
    }
    Ok(())
}

/// The material that a table's word means.
pub(in crate::engine::judge) fn material(
    source: TomlText<'_>,
    word: &Spanned<String>,
) -> Result<Material, TextError> {
    Material::named(word.get_ref()).ok_or_else(|| {
        source.fault(
            "material",
            word,
            "a material such as `paper` or `electrolytic`",
        )
    })
}

/// The text of a value that was checked, without blanks around it.
pub(super) fn text(value: &Spanned<String>) -> String {
    value.get_ref().trim().to_owned()
}
