//! [`RoleRule`]: how close a role is held, and [`PolicyBand`]: the bands that come of it.

use toml::Spanned;

use super::file;
use super::role_words::RoleWords;
use crate::engine::parts::{Kind, Part};
use crate::engine::quantity::{Band, Tolerance};
use crate::engine::source::{TextError, TomlText};

/// Effect of a role on the band of the list.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BandChange {
    /// Whatever lies within so much of the nominal value is allowed too.
    WidenTo(Tolerance),
    /// Whatever lies further off is not allowed.
    NarrowTo(Tolerance),
}

/// Tolerance that the parts of a role are held to.
#[derive(Debug, Clone, PartialEq)]
pub struct RoleRule {
    /// With one of these words in the role.
    pub words: RoleWords,
    /// Of this kind; `None`: of any.
    pub kind: Option<Kind>,
    pub change: BandChange,
    /// The reason, for people.
    pub reason: String,
    /// Where the rule is from.
    pub source: String,
}

/// The band of the list beside the one that the policy allows, in the SI unit of the part's quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PolicyBand<'a> {
    /// Nominal value with the tolerance of the list.
    pub listed: Band,
    /// Band of the policy in this role; the listed band where no rule fits.
    pub allowed: Band,
    /// The rule that made the difference, if one fits.
    pub role_rule: Option<&'a RoleRule>,
}

impl RoleRule {
    /// Whether the rule fits `part`.
    pub fn fits(&self, part: &Part) -> bool {
        self.kind.is_none_or(|kind| kind == part.kind) && self.words.fits(&part.role)
    }

    /// The band that the rule allows `part`. It holds the nominal value, as the listed one does.
    pub fn allowed(&self, part: &Part) -> Band {
        let listed = part.band;
        let (lower, upper) = match self.change {
            BandChange::WidenTo(tolerance) => {
                let own = tolerance.band(part.nominal);
                (
                    listed.lower().min(own.lower()),
                    listed.upper().max(own.upper()),
                )
            }
            BandChange::NarrowTo(tolerance) => {
                let own = tolerance.band(part.nominal);
                (
                    listed.lower().max(own.lower()),
                    listed.upper().min(own.upper()),
                )
            }
        };
        Band::new(lower, upper).unwrap_or(listed)
    }

    pub(super) fn check(source: TomlText<'_>, file: &file::Role) -> Result<Self, TextError> {
        let change = match (&file.widen_to_percent, &file.narrow_to_percent) {
            (Some(percent), None) => {
                BandChange::WidenTo(tolerance(source, "widen_to_percent", percent)?)
            }
            (None, Some(percent)) => {
                BandChange::NarrowTo(tolerance(source, "narrow_to_percent", percent)?)
            }
            (Some(percent), Some(_)) => {
                return Err(source.fault(
                    "widen_to_percent",
                    percent,
                    "either this or narrow_to_percent in one rule",
                ));
            }
            (None, None) => {
                return Err(source.fault(
                    "reason",
                    &file.reason,
                    "widen_to_percent or narrow_to_percent in the same rule",
                ));
            }
        };
        Ok(Self {
            words: RoleWords::check(source, &file.words)?,
            kind: super::kind(source, file.kind.as_ref())?,
            change,
            reason: source.words("reason", &file.reason)?,
            source: source.words("source", &file.source)?,
        })
    }
}

fn tolerance(
    source: TomlText<'_>,
    key: &'static str,
    percent: &Spanned<f64>,
) -> Result<Tolerance, TextError> {
    Tolerance::symmetric(*percent.get_ref())
        .map_err(|_| source.fault(key, percent, "a number above 0 and at most 100"))
}
