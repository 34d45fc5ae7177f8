//! [`Saying`]: a decision as it was given on the command line, checked.

use anyhow::Result;
use chrono::{DateTime, FixedOffset};

use crate::books::ledger::{Choice, Decision};
use crate::books::ordering::Item;
use crate::cli::status::BadInput;
use crate::engine::parts::Part;

/// What is decided, and what belongs to it.
#[derive(Debug, clap::Args)]
pub(super) struct SayingArguments {
    /// What becomes of them: keep, replace, order, fitted, or accept (which needs a reason).
    #[arg(value_name = "DECISION")]
    choice: Option<Choice>,
    /// Why.
    #[arg(long, requires = "choice", value_name = "TEXT")]
    reason: Option<String>,
    /// What is to replace it, is on order or was fitted, as one asks for it over a counter: "47uF 450V electrolytic", of two that make one "A + B".
    #[arg(long, requires = "choice", value_name = "ARTICLE")]
    article: Option<String>,
    /// The number of the bag that the fitted part came from.
    #[arg(long, requires = "choice", value_name = "NUMBER")]
    bag: Option<u32>,
}

/// A decision about whichever part.
#[derive(Debug)]
pub(super) struct Saying {
    choice: Choice,
    reason: String,
    article: String,
    bag: Option<u32>,
}

impl SayingArguments {
    /// What is decided about those parts; `None` if nothing is.
    ///
    /// # Errors
    /// If a reason is missing, or something does not belong to the choice or to a part.
    pub(super) fn read(&self, parts: &[&Part]) -> Result<Option<Saying>> {
        let Some(choice) = self.choice else {
            return Ok(None);
        };
        let reason = self.reason.as_deref().unwrap_or_default().trim().to_owned();
        if choice.needs_reason() && reason.is_empty() {
            return bad(format!(
                "`{choice}` needs a reason: add --reason \"why it may stay as it is\""
            ));
        }
        if self.bag.is_some() && choice != Choice::Fitted {
            return bad(format!(
                "`--bag` goes with `fitted`, found it with `{choice}`"
            ));
        }
        let article = match self.article.as_deref() {
            Some(text) => article(text, choice, parts)?,
            None => String::new(),
        };
        Ok(Some(Saying {
            choice,
            reason,
            article,
            bag: self.bag,
        }))
    }
}

impl Saying {
    /// The decision about that part.
    pub(super) fn about(&self, designator: &str, time: DateTime<FixedOffset>) -> Decision {
        Decision {
            time,
            designator: designator.to_owned(),
            choice: self.choice,
            reason: self.reason.clone(),
            article: self.article.clone(),
            bag: self.bag,
        }
    }
}

fn bad<T>(message: String) -> Result<T> {
    Err(BadInput(message).into())
}

/// The text of an article, if it can stand for each of the parts.
fn article(text: &str, choice: Choice, parts: &[&Part]) -> Result<String> {
    if matches!(choice, Choice::Keep | Choice::Accept) {
        return bad(format!(
            "`--article` goes with replace, order and fitted, found it with `{choice}`"
        ));
    }
    let text = text.trim();
    for part in parts {
        Item::read(text, part.kind)
            .map_err(|error| BadInput(format!("--article for {}: {error}", part.designator)))?;
    }
    Ok(text.to_owned())
}

/// A decision for people: `fitted (47uF 450V electrolytic, bag 3): it was leaky`.
pub(super) fn words(decision: &Decision) -> String {
    let (thing, reason) = parts_of(decision);
    let mut words = decision.choice.name().to_owned();
    if !thing.is_empty() {
        words = format!("{words} ({thing})");
    }
    if reason.is_empty() {
        words
    } else {
        format!("{words}: {reason}")
    }
}

/// What is ordered or fitted, `47uF 450V electrolytic, bag 3`, and why; either may be empty.
fn parts_of(decision: &Decision) -> (String, &str) {
    let article = Some(decision.article.clone()).filter(|article| !article.is_empty());
    let bag = decision.bag.map(|bag| format!("bag {bag}"));
    let thing: Vec<String> = article.into_iter().chain(bag).collect();
    (thing.join(", "), &decision.reason)
}
