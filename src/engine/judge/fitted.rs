//! [`Fitted`]: what was put in place of the parts that were found, and what is asked of it.
//!
//! A fitted part answers two questions: is it what it says, and does it do its work. The limits of its article answer the first,
//! those of the circuit the second; the worse verdict counts. An article of another value than the circuit allows was chosen
//! knowingly, since the decision names it: its limits then go in place of the circuit's, but where a rectifier may charge it
//! only up to the largest value that is stated, and on condition where no part is changed so far on purpose.

use std::collections::BTreeMap;

use super::check::{Aspect, Check};
use super::conditions::Conditions;
use super::grounds::Grounds;
use super::policy::{Policy, may_be_reservoir};
use super::safety::{Places, Weight, check_class};
use super::verdict::Verdict;
use crate::engine::parts::{Article, Material, Part, Step, unfit_fuse};
use crate::engine::quantity::{Amount, Band, Rating, format_band};

/// The parts that were fitted, each with its article, or the two that make it; with none where nobody said what was put in.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Fitted {
    articles: BTreeMap<String, Vec<Article>>,
    /// Print on those that no article describes, such as fuses.
    printed: BTreeMap<String, String>,
}

impl Fitted {
    /// Puts in a part by its designator.
    pub fn add(&mut self, designator: &str, articles: Vec<Article>) {
        let name = designator.trim().to_lowercase();
        self.articles.insert(name, articles);
    }

    /// Says what is printed on a part that was put in.
    pub fn add_print(&mut self, designator: &str, said: &str) {
        let name = designator.trim().to_lowercase();
        self.printed.insert(name, said.to_owned());
    }

    /// Whether the part was fitted.
    pub fn holds(&self, part: &Part) -> bool {
        self.articles.contains_key(&part.designator.to_lowercase())
    }

    fn articles(&self, part: &Part) -> &[Article] {
        let articles = self.articles.get(&part.designator.to_lowercase());
        let own = articles.map_or(&[][..], Vec::as_slice);
        if own.iter().all(|article| article.kind == part.kind) {
            own
        } else {
            &[]
        }
    }

    /// The article of a part that was fitted as a single one, and says its value.
    fn article(&self, part: &Part) -> Option<&Article> {
        match self.articles(part) {
            [article] if part.step.is(Step::Value) => Some(article),
            _ => None,
        }
    }

    /// The part of the list with the material and the rating of what was fitted. Without an article those of the list stay. At
    /// the mains nothing but the article counts, and of two the one that is less fit for the place; elsewhere what it does not
    /// state is taken from the list, but for the class.
    #[must_use]
    pub fn put_in(&self, part: &Part, places: &Places) -> Part {
        let articles = self.articles(part);
        let place = places.at(part).map(|sited| sited.place);
        let fault = |article: &&Article| -> Option<Weight> {
            check_class(&article.rating, place?, places.mains()).weight()
        };
        let Some(least_fit) = articles.iter().max_by_key(fault) else {
            return part.clone();
        };
        let own = &least_fit.rating;
        let rating = match (place, articles) {
            (Some(_), _) => own.clone(),
            (None, [_]) => Rating {
                dc_volts: own.dc_volts.or(part.rating.dc_volts),
                ac_volts: own.ac_volts.or(part.rating.ac_volts),
                watts: own.watts.or(part.rating.watts),
                amperes: own.amperes.or(part.rating.amperes),
                classes: own.classes.clone(),
            },
            (None, _) => part.rating.clone(),
        };
        Part {
            rating,
            material: least_fit.material.or(part.material),
            ..part.clone()
        }
    }
}

/// The limits of the circuit, and how they stand to those of the article that was fitted.
pub(super) enum InPlace {
    /// Limits of the place hold.
    Needed,
    /// Limits of the article hold instead, since the decision names another value.
    Instead(Band),
    /// Limits of the article hold instead, on condition: a value so far from the listed one may be a slip.
    Far {
        /// Band of the article.
        own: Band,
        /// Band of the circuit.
        needed: Band,
    },
    /// Limits of the place hold although the decision names another value: a rectifier may
    /// charge it, and no larger one is stated as allowed.
    NotAtReservoir,
}

impl Fitted {
    /// The limits that the value of `part` is held to in its place, of which `allowed` are those of the list and the policy.
    pub(super) fn in_place(&self, part: &Part, allowed: Band, policy: &Policy) -> InPlace {
        let Some(article) = self.article(part) else {
            return InPlace::Needed;
        };
        let value = article.nominal.value();
        if allowed.contains(value) {
            return InPlace::Needed;
        }
        let within = largest(part, policy).is_some_and(|largest| value <= largest);
        if value > allowed.upper() && may_be_reservoir(part) && !within {
            return InPlace::NotAtReservoir;
        }
        let own = article.tolerance_or_usual().band(article.nominal);
        if within || !is_far(article, part) {
            return InPlace::Instead(own);
        }
        let needed = allowed;
        InPlace::Far { own, needed }
    }

    /// Reason why the value of an article may be a slip: it is further from the listed one than any is chosen on purpose, and neither
    /// list nor policy allows it. `None` for any other.
    pub fn slip(&self, part: &Part, policy: &Policy) -> Option<String> {
        let article = self.article(part)?;
        let value = article.nominal.value();
        let allowed = policy.band_for(part).allowed.contains(value)
            || largest(part, policy)
                .is_some_and(|largest| (part.nominal.value()..=largest).contains(&value));
        (!allowed && is_far(article, part)).then(|| far(article, part))
    }

    /// Consequence of an article of another value than the place of `part` has, for whoever decides on it; `None` where it
    /// has that value.
    pub fn other_value(&self, part: &Part, policy: &Policy) -> Option<String> {
        let article = self.article(part)?;
        match self.in_place(part, policy.band_for(part).allowed, policy) {
            InPlace::Needed => None,
            InPlace::Instead(_) => Some(instead(article, part)),
            InPlace::Far { .. } => Some(far(article, part)),
            InPlace::NotAtReservoir => Some(not_at_reservoir(article)),
        }
    }
}

fn instead(article: &Article, part: &Part) -> String {
    format!(
        "{} in place of the listed {}, as the decision names it: held to its own limits",
        article.nominal, part.nominal
    )
}

/// Multiple of the listed value that one may be which is chosen on purpose, and its inverse (common practice, no source).
const CHOSEN_FACTOR: f64 = 2.0;

/// Multiple likewise for an electrolytic that becomes larger, as 25 µF becomes 100 µF (common practice, no source).
const CHOSEN_ELECTROLYTIC_FACTOR: f64 = 4.0;

fn most_chosen(article: &Article, part: &Part) -> f64 {
    let materials = [article.material, part.material];
    if materials.contains(&Some(Material::Electrolytic)) {
        CHOSEN_ELECTROLYTIC_FACTOR
    } else {
        CHOSEN_FACTOR
    }
}

fn is_far(article: &Article, part: &Part) -> bool {
    let share = article.nominal.value() / part.nominal.value();
    // A hair more, for values that arithmetic has rounded.
    let chosen = 0.999 / CHOSEN_FACTOR..=1.001 * most_chosen(article, part);
    !chosen.contains(&share)
}

fn far(article: &Article, part: &Part) -> String {
    let share = article.nominal.value() / part.nominal.value();
    let share = if share < 10.0 {
        format!("{share:.2}")
    } else {
        format!("{share:.0}")
    };
    format!(
        "{} is {share} times the listed {}, and on purpose such a part becomes {} to {} times as large: a slip? (common practice, \
         no source)",
        article.nominal,
        part.nominal,
        1.0 / CHOSEN_FACTOR,
        most_chosen(article, part)
    )
}

fn not_at_reservoir(article: &Article) -> String {
    format!(
        "a rectifier may charge it, and neither the column `largest` nor the policy allows {}",
        article.nominal
    )
}

/// The largest capacitor that may stand in, in farad, as list or policy state it.
fn largest(part: &Part, policy: &Policy) -> Option<f64> {
    let stated = part.largest.map(Amount::value);
    let by_rule = || Some(policy.largest_for(part)?.farads(part.nominal.value()));
    stated.or_else(by_rule)
}

/// The limits of the article and of the circuit, each named; nothing for a part that was not fitted as one of an article, or of
/// which no value was found. `grounds` have the limits that hold in its place.
pub(super) fn check(
    part: &Part,
    grounds: &Grounds,
    in_place: &InPlace,
    conditions: &Conditions,
) -> Vec<Check> {
    let printed = conditions
        .fitted
        .printed
        .get(&part.designator.to_lowercase());
    if let Some(words) = printed.and_then(|said| unfit_fuse(part, said)) {
        let verdict = Some(Verdict::Fail);
        let aspect = Aspect::Article;
        return vec![Check {
            aspect,
            verdict,
            words,
        }];
    }
    let Some(article) = conditions
        .fitted
        .article(part)
        .filter(|_| grounds.value.is_some())
    else {
        return Vec::new();
    };
    let quantity = part.nominal.quantity();
    let own = article.tolerance_or_usual().band(article.nominal);
    let (verdict, reason) = Grounds {
        band: own,
        ..*grounds
    }
    .verdict();
    let limits = format_band(quantity, own);
    let of_article = Check {
        aspect: Aspect::Article,
        verdict: Some(verdict),
        words: format!("{article} is {limits}: {}", reason.words()),
    };
    let needed = format_band(quantity, grounds.band);
    let (verdict, reason) = grounds.verdict();
    let of_circuit = match in_place {
        InPlace::Instead(_) => Check::remark(Aspect::InPlace, instead(article, part)),
        InPlace::Far { needed, .. } => Check {
            aspect: Aspect::InPlace,
            verdict: Some(Verdict::ConditionalPass),
            words: format!(
                "its place needs {}: {}",
                format_band(quantity, *needed),
                far(article, part)
            ),
        },
        InPlace::Needed => Check {
            aspect: Aspect::InPlace,
            verdict: Some(verdict),
            words: format!("its place needs {needed}: {}", reason.words()),
        },
        InPlace::NotAtReservoir => Check {
            aspect: Aspect::InPlace,
            verdict: Some(verdict),
            words: format!("its place needs {needed}: {}", not_at_reservoir(article)),
        },
    };
    vec![of_article, of_circuit]
}
