//! [`ReplaceRule`]: parts that are replaced whatever they measure.

use super::file;
use super::role_words::RoleWords;
use crate::engine::judge::capacitor::table::material;
use crate::engine::parts::{Kind, Material, Part};
use crate::engine::source::{TextError, TomlText};

/// Parts that are replaced whatever they measure.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReplaceRule {
    /// Of this kind; `None`: of any.
    pub kind: Option<Kind>,
    /// Of this material; `None`: of any, stated or not.
    pub material: Option<Material>,
    /// With one of these words in the role; `None`: in any role.
    pub words: Option<RoleWords>,
    /// The reason, for people.
    pub reason: String,
    /// Where the rule is from.
    pub source: String,
}

impl ReplaceRule {
    /// Whether the rule fits `part`.
    pub fn fits(&self, part: &Part) -> bool {
        self.kind.is_none_or(|kind| kind == part.kind)
            && (self.material.is_none() || self.material == part.material)
            && self
                .words
                .as_ref()
                .is_none_or(|words| words.fits(&part.role))
    }

    pub(super) fn check(source: TomlText<'_>, file: &file::Replace) -> Result<Self, TextError> {
        let rule = Self {
            kind: super::kind(source, file.kind.as_ref())?,
            material: file
                .material
                .as_ref()
                .map(|word| material(source, word))
                .transpose()?,
            words: file
                .words
                .as_ref()
                .map(|words| RoleWords::check_each(source, words))
                .transpose()?,
            reason: source.words("reason", &file.reason)?,
            source: source.words("source", &file.source)?,
        };
        match (rule.kind, rule.material, &rule.words) {
            (None, None, None) => Err(source.fault(
                "reason",
                &file.reason,
                "a kind, a material or words in the same rule: it would replace everything",
            )),
            (Some(kind), Some(material), _) if !material.suits(kind) => Err(source.fault(
                "reason",
                &file.reason,
                "a kind and a material that go together in the same rule",
            )),
            _ => Ok(rule),
        }
    }
}
