//! [`Need`]: what a rating must stand.
//!
//! Shortcomings of an article that somebody has chosen, in words.

use std::fmt;

use super::answer::power;
use super::want::Want;
use super::{Arrangement, Share};
use crate::engine::parts::{Article, Kind, Material};
use crate::engine::quantity::{Quantity, Rating, format_value};

/// The share of the voltage that one of two capacitors in series takes at most where resistors of 5 % across them divide a
/// direct voltage evenly: 1.05/(1.05 + 0.95), by arithmetic.
pub(super) const EQUALISED: f64 = 0.525;

/// Load on one part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Need<'a> {
    want: &'a Want,
    dc_volts: Option<f64>,
    watts: Option<f64>,
}

impl<'a> Need<'a> {
    /// All that is asked.
    pub(super) fn whole(want: &'a Want) -> Self {
        Self {
            want,
            dc_volts: want.least_volts(),
            watts: want.least_watts(),
        }
    }

    /// The need of the one of a pair that takes that share.
    ///
    /// In series capacitors a direct voltage divides by capacitance at first and by leakage, or by the resistors that equalise
    /// it, in the end: both must be stood.
    pub(super) fn shared(want: &'a Want, arrangement: Arrangement, share: Share) -> Self {
        let volts = match (arrangement, want.original.kind) {
            (Arrangement::Series, Kind::Capacitor) => share.volts.largest.max(EQUALISED),
            _ => share.volts.largest,
        };
        let whole = Self::whole(want);
        Self {
            want,
            dc_volts: whole.dc_volts.map(|all| all * volts),
            watts: whole.watts.map(|all| all * share.power().largest),
        }
    }

    /// Whether a part with that rating stands it.
    pub(super) fn is_met_by(&self, rating: &Rating) -> bool {
        // A hair's breadth, so that what comes out of a division is not turned away for its last figure.
        let stands = |has: Option<f64>, least: Option<f64>| {
            least.is_none_or(|least| has.is_some_and(|has| has >= least * (1.0 - 1e-9)))
        };
        match &self.want.at_mains {
            Some(at) => at.accepts(rating),
            None => stands(rating.dc_volts, self.dc_volts) && stands(rating.watts, self.watts),
        }
    }

    /// The first of the ratings that stands it.
    pub(super) fn first_of<'r>(&self, ratings: &'r [Rating]) -> Option<&'r Rating> {
        ratings.iter().find(|rating| self.is_met_by(rating))
    }
}

/// Reason why nothing can be offered before anything is looked at; `None` if it can.
pub(super) fn unanswerable(want: &Want) -> Option<String> {
    let rating = &want.original.rating;
    match want.original.kind {
        Kind::Coil => Some(
            "coils are not sold by value alone: look for one like it or have it made".to_owned(),
        ),
        Kind::Capacitor if want.at_mains.is_some() => None,
        Kind::Capacitor if rating.ac_volts.is_some() => Some(
            "an alternating voltage is stated and no class: at the mains the class decides, so ask for it (X2 across the line, \
             Y2 or Y1 from line to chassis), or say where it sits"
                .to_owned(),
        ),
        Kind::Capacitor if want.least_volts().is_none() => Some(
            "no voltage is known, and a capacitor of too low a voltage fails: give the rating, or the highest voltage that can \
             occur with --volts"
                .to_owned(),
        ),
        Kind::Resistor if want.least_watts().is_none() => Some(
            "no power is known, and a resistor of too little power burns: give the rating, or what it dissipates with --watts \
             or --volts"
                .to_owned(),
        ),
        _ => None,
    }
}

/// Whether a substitute of that material may sit where the original did.
pub(super) fn polarity_warning(want: &Want, material: Material) -> Option<&'static str> {
    (material == Material::Electrolytic && want.original.material.is_none()).then_some(
        "an electrolytic has a polarity: only where the original had one, and never where the voltage changes its sign",
    )
}

/// The voltage or power that it must withstand: `273 V`, `0.5 W`.
impl fmt::Display for Need<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let volts = self
            .dc_volts
            .map(|volts| format_value(Quantity::Voltage, volts, 3));
        let needs: Vec<String> = volts.into_iter().chain(self.watts.map(power)).collect();
        f.write_str(&needs.join(" and "))
    }
}

/// Factor from the original beyond which it is asked whether a value was meant: the slip of a prefix is
/// caught, and what a role allows is not (common practice, no source).
const FAR_OFF: f64 = 2.0;

impl Want {
    /// Faults of `article` in this place, each as the end of a sentence about it: `350 V is less than the 500 V that
    /// are asked`. Empty if nothing does. One of a pair is not to be asked about, since it takes a share only.
    pub fn lacks(&self, article: &Article) -> Vec<String> {
        let mut said = Vec::new();
        match &self.at_mains {
            Some(at) if !at.accepts(&article.rating) => said.push(
                "its safety class and voltage do not cover what its place at the mains asks"
                    .to_owned(),
            ),
            Some(_) => {}
            None => {
                let volts = |volts| format_value(Quantity::Voltage, volts, 3);
                said.extend(less(
                    article.rating.dc_volts,
                    self.least_volts(),
                    volts,
                    "voltage",
                ));
                said.extend(less(
                    article.rating.watts,
                    self.least_watts(),
                    power,
                    "power",
                ));
            }
        }
        said.extend(self.too_large(article));
        said.extend(self.far_off(article));
        said.extend(self.wrong_polarity(article));
        said
    }

    fn too_large(&self, article: &Article) -> Option<String> {
        let ceiling = self.ceiling.as_ref()?;
        let nominal = article.nominal;
        (nominal.value() > ceiling.value * (1.0 + 1e-9)).then(|| {
            let largest = format_value(nominal.quantity(), ceiling.value, 3);
            format!(
                "{nominal} is more than the {largest} that are allowed ({})",
                ceiling.words
            )
        })
    }

    fn far_off(&self, article: &Article) -> Option<String> {
        let (own, original) = (article.nominal, self.original.nominal);
        let times = own.value() / original.value();
        let far = times > FAR_OFF || (times < 1.0 / FAR_OFF && self.at_mains.is_none());
        far.then(|| format!("{own} is far from the {original} of the original"))
    }

    fn wrong_polarity(&self, article: &Article) -> Option<String> {
        let original = self.original.material?;
        let polar = |material| material == Material::Electrolytic;
        (article.material.is_some_and(polar) && !polar(original)).then(|| {
            format!("an electrolytic has a polarity and leaks, and the original is {original}")
        })
    }
}

fn less(
    has: Option<f64>,
    asked: Option<f64>,
    words: impl Fn(f64) -> String,
    of: &str,
) -> Option<String> {
    let asked = asked?;
    match has {
        Some(has) if has >= asked * (1.0 - 1e-9) => None,
        Some(has) => Some(format!(
            "{} is less than the {} that are asked",
            words(has),
            words(asked)
        )),
        None => Some(format!("it states no {of}, and {} are asked", words(asked))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::quantity::Drawing;

    fn lacks(original: &str, chosen: &str) -> Vec<String> {
        let article = |text: &str| Article::parse(text, Drawing::default()).unwrap();
        Want::of_article(&article(original)).lacks(&article(chosen))
    }

    #[test]
    fn less_voltage_or_power_than_the_original_is_named() {
        assert_eq!(
            lacks("32uF 500V electrolytic", "33uF 350V electrolytic"),
            ["350 V is less than the 500 V that are asked"]
        );
        assert_eq!(
            lacks("330k 1/2W carbon", "330k film"),
            ["it states no power, and 0.5 W are asked"]
        );
        assert!(lacks("32uF 500V electrolytic", "47uF 500V electrolytic").is_empty());
        assert!(lacks("330k 1/2W carbon", "330k 1W film").is_empty());
    }

    #[test]
    fn a_slip_of_the_prefix_a_wrong_class_and_a_polarity_are_named() {
        assert_eq!(
            lacks("47nF 400V paper", "47pF 400V film"),
            ["47 pF is far from the 47 nF of the original"]
        );
        assert_eq!(lacks("10nF Y2 250V~", "10nF X2 275V~").len(), 1);
        assert!(lacks("10nF X2 250V~", "10nF Y2 275V~").is_empty());
        assert_eq!(lacks("1uF 400V paper", "1uF 450V electrolytic").len(), 1);
    }
}
