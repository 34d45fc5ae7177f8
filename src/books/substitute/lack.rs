//! What an article that somebody has chosen lacks of what is asked, in words.

use super::Want;
use super::wording::power;
use crate::engine::parts::{Article, Material};
use crate::engine::quantity::{Quantity, format_value};

/// How far from the original a value may lie before it is asked whether it was meant, as a factor: the slip of a prefix is
/// caught, and what a role allows is not (common practice, no source).
const FAR_OFF: f64 = 2.0;

impl Want {
    /// What speaks against `article` in this place, each as the end of a sentence about it: `350 V is less than the 500 V that
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
