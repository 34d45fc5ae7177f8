//! [`GridCoupling`]: the insulation that a capacitor at a grid needs.

use super::file;
use super::role_words::RoleWords;
use crate::engine::parts::{Kind, Part};
use crate::engine::source::{TextError, TomlText};

/// The insulation that a capacitor between a plate and a grid needs, whatever it is made of.
#[derive(Debug, Clone, PartialEq)]
pub struct GridCoupling {
    /// Words in the role of such a capacitor.
    pub words: RoleWords,
    /// Below this it must not stay, ohm.
    pub least_ohm: f64,
    /// From this on it is good beyond doubt, ohm; not below `least_ohm`.
    pub better_ohm: f64,
    /// Where the rule is from.
    pub source: String,
}

impl GridCoupling {
    /// Whether `part` is such a capacitor.
    pub fn fits(&self, part: &Part) -> bool {
        part.kind == Kind::Capacitor && self.words.fits(&part.role)
    }

    pub(super) fn check(
        source: TomlText<'_>,
        file: &file::GridCoupling,
    ) -> Result<Self, TextError> {
        let least = source.positive("least_mohm", &file.least_mohm)?;
        let better = source.at_least(
            "better_mohm",
            &file.better_mohm,
            least,
            "a number not below least_mohm",
        )?;
        Ok(Self {
            words: RoleWords::check(source, &file.words)?,
            least_ohm: least * 1e6,
            better_ohm: better * 1e6,
            source: source.words("source", &file.source)?,
        })
    }
}
