//! [`Plan`]: what a sitting sets out to do.

use std::sync::Arc;

use crate::judge::{Rule, UnknownRule};
use crate::meter::{Profile, ProfileError};
use crate::parts::{ListErrors, ListSettings, Part, Selection, SelectionError};

/// The texts a plan is made of. A recording keeps these, so that a replay makes the very same plan.
#[derive(Debug, Clone, Copy)]
pub struct PlanTexts<'a> {
    /// Bytes of the parts list.
    pub parts: &'a [u8],
    /// How values on the drawing are to be read.
    pub list: ListSettings,
    /// Text of the meter's profile.
    pub profile: &'a str,
    /// Name of the profile.
    pub profile_name: &'a str,
    /// Which parts: designators with `*` and `?`, separated by commas; empty for all.
    pub only: &'a str,
    /// Name of the decision rule.
    pub rule: &'a str,
}

/// What a sitting sets out to do: these parts in this order, with this meter, by this rule.
#[derive(Debug, Clone)]
pub struct Plan {
    parts: Vec<Part>,
    profile: Arc<Profile>,
    rule: Rule,
}

/// There is no plan to be made of these texts.
#[derive(Debug, thiserror::Error)]
pub enum PlanError {
    /// The parts list has errors.
    #[error(transparent)]
    Parts(#[from] ListErrors),
    /// The profile has errors.
    #[error(transparent)]
    Profile(#[from] ProfileError),
    /// The selection cannot be read.
    #[error(transparent)]
    Selection(#[from] SelectionError),
    /// No part of the list is selected.
    #[error("no part of the list matches `{only}`")]
    NothingSelected {
        /// The selection.
        only: String,
    },
    /// There is no such decision rule.
    #[error(transparent)]
    Rule(#[from] UnknownRule),
}

impl Plan {
    /// Makes the plan of its texts.
    ///
    /// # Errors
    /// Every error of the parts list or the profile, a selection without parts, an unknown rule.
    pub fn of(texts: &PlanTexts<'_>) -> Result<Self, PlanError> {
        let list = crate::parts::read(texts.parts, &texts.list)?;
        let profile = Profile::parse(texts.profile, texts.profile_name)?;
        let mut parts = list.parts;
        if !texts.only.is_empty() {
            let selection = Selection::parse(texts.only)?;
            parts.retain(|part| selection.matches(&part.designator));
        }
        if parts.is_empty() {
            return Err(PlanError::NothingSelected {
                only: texts.only.to_owned(),
            });
        }
        Ok(Self {
            parts,
            profile: Arc::new(profile),
            rule: texts.rule.parse()?,
        })
    }

    /// The parts, in the order of the list.
    pub fn parts(&self) -> &[Part] {
        &self.parts
    }

    /// The meter's profile.
    pub fn profile(&self) -> &Arc<Profile> {
        &self.profile
    }

    /// The decision rule.
    pub fn rule(&self) -> Rule {
        self.rule
    }
}
