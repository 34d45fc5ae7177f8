//! Checks of `[number]`.

use toml::Spanned;

use super::{Check, file, printable};
use crate::engine::meter::{Profile, Sentinels};

impl Check {
    pub(super) fn sentinels(&mut self, number: &file::Numbers) -> Sentinels {
        let default = Sentinels::default();
        for nan in number.not_a_number.iter().flatten() {
            if number
                .overload
                .iter()
                .flatten()
                .any(|over| Sentinels::confusable(*over.get_ref(), *nan.get_ref()))
            {
                self.find(
                    nan.span(),
                    "overload and not-a-number cannot be told apart",
                    "must differ by more than 0.08 % from every overload number",
                );
            }
        }
        let numbers = |list: Option<&Vec<Spanned<f64>>>, default: Vec<f64>| {
            list.map_or(default, |list| list.iter().map(|n| *n.get_ref()).collect())
        };
        let states = |list: Option<&Vec<i32>>, default: Vec<f64>| {
            list.map_or(default, |list| {
                list.iter().copied().map(f64::from).collect()
            })
        };
        Sentinels {
            overload: numbers(number.overload.as_ref(), default.overload),
            not_a_number: numbers(number.not_a_number.as_ref(), default.not_a_number),
            overload_words: self.words(&number.overload_words),
            not_a_number_words: self.words(&number.not_a_number_words),
            status_good: states(number.status_good.as_ref(), default.status_good),
            status_overload: states(number.status_overload.as_ref(), default.status_overload),
        }
    }

    fn words(&mut self, words: &[Spanned<String>]) -> Vec<String> {
        for word in words {
            let text = word.get_ref();
            let starts_well = text.bytes().next().is_some_and(|b| {
                b.is_ascii_graphic() && !b.is_ascii_digit() && b != b'+' && b != b'-'
            });
            if !starts_well || !printable(text) || text.contains([',', ';']) {
                self.find(
                    word.span(),
                    "not a word that stands for a number",
                    "expected printable ASCII without comma, not starting with a digit or sign",
                );
            }
        }
        words.iter().map(|word| word.get_ref().clone()).collect()
    }

    /// A sentinel inside a range would swallow true readings.
    pub(super) fn sentinels_outside_ranges(&mut self, number: &file::Numbers, profile: &Profile) {
        let largest = profile
            .functions()
            .flat_map(|(_, function)| function.ranges())
            .fold(0.0, |most: f64, range| most.max(range.up_to));
        for sentinel in number.overload.iter().chain(&number.not_a_number).flatten() {
            if !sentinel.get_ref().is_finite() || sentinel.get_ref().abs() <= largest {
                self.find(
                    sentinel.span(),
                    "this number lies inside a range of the meter",
                    format!(
                        "expected a number larger in size than {largest:e}, the largest `up_to`"
                    ),
                );
            }
        }
    }
}
