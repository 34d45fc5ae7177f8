//! [`Policy`]: what is replaced whatever it measures, how close each role is held, which limits capacitors are held to.
//!
//! A person's choice and no measurement: it comes as a text of its own and every rule says where it is from. Pure: takes the
//! text, opens no file.

mod file;
mod grid_coupling;
mod largest_rule;
mod replace_rule;
mod reservoir;
mod role_rule;
mod role_words;

use toml::Spanned;

pub use grid_coupling::GridCoupling;
pub use largest_rule::LargestRule;
pub use replace_rule::ReplaceRule;
pub use reservoir::{MAY_BE_HIGH_TENSION, is_reservoir, may_be_reservoir};
pub use role_rule::{BandChange, PolicyBand, RoleRule};
pub use role_words::RoleWords;
pub(super) use role_words::{plain, stands_in};

use super::capacitor::Condition;
use crate::engine::parts::{Kind, Part};
use crate::engine::source::{TextError, TomlText};

const SHIPPED: &str = include_str!("policy.toml");

/// The rules of a job.
#[derive(Debug, Clone, PartialEq)]
pub struct Policy {
    replace: Vec<ReplaceRule>,
    roles: Vec<RoleRule>,
    largest: Vec<LargestRule>,
    leakage: LeakageForms,
    grid_coupling: GridCoupling,
}

/// Names of forms in the leakage table.
#[derive(Debug, Clone, PartialEq)]
struct LeakageForms {
    new: String,
    in_service: String,
}

impl Default for Policy {
    /// The policy that comes with the program.
    fn default() -> Self {
        Self::parse(SHIPPED).expect("a test reads the policy that comes with the program")
    }
}

impl Policy {
    /// The policy of a job by the text of its file; the one that comes with the program if that is empty.
    ///
    /// # Errors
    /// As for [`parse`](Self::parse).
    pub fn of_job(text: &str) -> Result<Self, TextError> {
        if text.is_empty() {
            Ok(Self::default())
        } else {
            Self::parse(text)
        }
    }

    /// Reads a policy. Everything may be left out: without rules, all parts are judged by the band of the list; without
    /// `[leakage]` or `[grid_coupling]`, that section of the policy that comes with the program holds.
    ///
    /// # Errors
    /// [`TextError`] points at the line that is not TOML, has an unknown key, or says something impossible.
    pub fn parse(text: &str) -> Result<Self, TextError> {
        let source = TomlText {
            file: "policy.toml",
            text,
        };
        let file: file::File = source.read()?;
        let replace = file.replace.iter().map(|r| ReplaceRule::check(source, r));
        let roles = file.role.iter().map(|r| RoleRule::check(source, r));
        let largest = file.largest.iter().map(|r| LargestRule::check(source, r));
        Ok(Self {
            replace: replace.collect::<Result<_, _>>()?,
            roles: roles.collect::<Result<_, _>>()?,
            largest: largest.collect::<Result<_, _>>()?,
            leakage: match &file.leakage {
                Some(leakage) => LeakageForms {
                    new: source.words("new", &leakage.new)?,
                    in_service: source.words("in_service", &leakage.in_service)?,
                },
                None => Self::default().leakage,
            },
            grid_coupling: match &file.grid_coupling {
                Some(rule) => GridCoupling::check(source, rule)?,
                None => Self::default().grid_coupling,
            },
        })
    }

    /// The first rule that replaces `part` whatever it measures; `None`: it is judged. The rules are about the parts of the
    /// old equipment; do not ask about a part that was bought for the job.
    pub fn replaces(&self, part: &Part) -> Option<&ReplaceRule> {
        self.replace.iter().find(|rule| rule.fits(part))
    }

    /// The band of the list and the one that is allowed in the role of `part`. The first rule that fits holds.
    pub fn band_for(&self, part: &Part) -> PolicyBand<'_> {
        let role_rule = self.roles.iter().find(|rule| rule.fits(part));
        PolicyBand {
            listed: part.band,
            allowed: role_rule.map_or(part.band, |rule| rule.allowed(part)),
            role_rule,
        }
    }

    /// The first rule about the largest capacitor that may stand in for `part`; `None` if there is none.
    pub fn largest_for(&self, part: &Part) -> Option<&LargestRule> {
        self.largest.iter().find(|rule| rule.fits(part))
    }

    /// The name of the form of the leakage limit, to be looked up in the leakage table.
    pub fn leakage_form(&self, condition: Condition) -> &str {
        match condition {
            Condition::New => &self.leakage.new,
            Condition::InService => &self.leakage.in_service,
        }
    }

    /// Demands on a coupling capacitor at a grid.
    pub const fn grid_coupling(&self) -> &GridCoupling {
        &self.grid_coupling
    }
}

/// The kind that a policy's word means.
fn kind(source: TomlText<'_>, word: Option<&Spanned<String>>) -> Result<Option<Kind>, TextError> {
    let Some(word) = word else { return Ok(None) };
    match Kind::named(word.get_ref()) {
        Some(kind) => Ok(Some(kind)),
        None => Err(source.fault("kind", word, "a kind such as `capacitor`")),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::engine::judge::capacitor::LeakageTable;
    use crate::engine::judge::capacitor::sample::capacitor;
    use crate::engine::parts::Material;
    use crate::engine::quantity::{Amount, Band, Quantity, Tolerance};

    fn resistor(percent: f64, role: &str) -> Part {
        let nominal = Amount::new(Quantity::Resistance, 1000.0).unwrap();
        let tolerance = Tolerance::symmetric(percent).unwrap();
        let mut part = Part::new("R1", Kind::Resistor, nominal, tolerance);
        part.role = role.to_owned();
        part
    }

    fn band(percent: f64, role: &str) -> (f64, f64) {
        let policy = Policy::default();
        let found = policy.band_for(&resistor(percent, role));
        (found.allowed.lower(), found.allowed.upper())
    }

    #[test]
    fn a_tone_part_is_held_less_closely_and_a_bias_part_more() {
        assert_eq!(band(20.0, "tone"), (700.0, 1300.0));
        assert_eq!(band(20.0, "cathode bias"), (900.0, 1100.0));
        assert_eq!(band(20.0, "grid leak"), (800.0, 1200.0));
        assert_eq!(band(20.0, ""), (800.0, 1200.0));
    }

    #[test]
    fn a_rule_that_widens_never_narrows_and_the_other_way_round() {
        assert_eq!(band(50.0, "tone"), (500.0, 1500.0));
        assert_eq!(band(5.0, "bias"), (950.0, 1050.0));
    }

    #[test]
    fn the_result_names_both_bands_and_the_rule() {
        let policy = Policy::default();
        let part = resistor(20.0, "tone");
        let found = policy.band_for(&part);
        assert_eq!(Some(found.listed), Band::new(800.0, 1200.0));
        assert_eq!(
            found.role_rule.unwrap().reason,
            "a drift does no harm there"
        );
        assert_eq!(policy.band_for(&resistor(20.0, "")).role_rule, None);
    }

    #[test]
    fn a_guaranteed_minimum_stays_without_upper_limit_when_widened() {
        let mut part = resistor(20.0, "tone");
        part.band = Tolerance::GUARANTEED_MINIMUM.band(part.nominal);
        let allowed = Policy::default().band_for(&part).allowed;
        assert_eq!(Some(allowed), Band::new(700.0, f64::INFINITY));
    }

    #[test]
    fn paper_and_old_electrolytics_are_replaced_and_the_rest_is_judged() {
        let policy = Policy::default();
        let replaced = |material| policy.replaces(&capacitor(material, 0.1, None)).is_some();
        for material in Material::ALL {
            let expected = matches!(material, Material::Paper | Material::Electrolytic);
            assert_eq!(replaced(Some(material)), expected, "{material}");
        }
        assert!(!replaced(None));
    }

    #[test]
    fn without_rules_everything_is_judged_by_the_band_of_the_list() {
        let policy = Policy::parse("").unwrap();
        let part = capacitor(Some(Material::Paper), 0.1, None);
        assert_eq!(policy.replaces(&part), None);
        assert_eq!(policy.band_for(&part).allowed, part.band);
        let shipped = Policy::default();
        assert_eq!(policy.grid_coupling(), shipped.grid_coupling());
        for condition in Condition::ALL {
            assert_eq!(
                policy.leakage_form(condition),
                shipped.leakage_form(condition)
            );
        }
    }

    #[test]
    fn the_leakage_forms_of_the_shipped_policy_are_in_the_shipped_table() {
        for condition in Condition::ALL {
            let form = Policy::default().leakage_form(condition).to_owned();
            assert!(LeakageTable::default().form(&form).is_some(), "{form}");
        }
    }

    #[test]
    fn only_coupling_capacitors_need_the_insulation_of_a_grid() {
        let policy = Policy::default();
        let mut part = capacitor(Some(Material::Film), 0.1, None);
        assert!(!policy.grid_coupling().fits(&part));
        part.role = "Coupling to V3".to_owned();
        assert!(policy.grid_coupling().fits(&part));
        part.kind = Kind::Resistor;
        assert!(!policy.grid_coupling().fits(&part));
    }

    #[test]
    fn a_fault_is_found_in_its_line() {
        let fault = |from: &str, to: &str| {
            let text = SHIPPED.replacen(from, to, 1);
            let error = Policy::parse(&text).unwrap_err();
            let line = 1 + SHIPPED[..SHIPPED.find(from).unwrap()].matches('\n').count();
            assert_eq!(error.line(), line, "{error}");
            error.to_string()
        };
        assert!(fault("kind = \"capacitor\"", "kind = \"valve\"").contains("`valve`"));
        assert!(fault("narrow_to_percent = 5", "narrow_to_percent = 0").contains("above 0"));
        assert!(fault("better_mohm = 500", "better_mohm = 50").contains("not below"));
        assert!(fault("least_mohm", "least_ohm").contains("least_ohm"));
    }

    #[test]
    fn rules_that_make_no_sense_are_refused() {
        let said = |rule: &str| {
            let text = format!("{rule}\nreason = 'x'\nsource = 'x'\n");
            Policy::parse(&text).unwrap_err().to_string()
        };
        assert!(said("[[replace]]").contains("would replace everything"));
        assert!(said("[[replace]]\nkind = 'resistor'\nmaterial = 'mica'").contains("go together"));
        assert!(said("[[role]]\nwords = ['x']").contains("widen_to_percent or"));
        assert!(
            said("[[role]]\nwords = ['x']\nwiden_to_percent = 9\nnarrow_to_percent = 9")
                .contains("either this or")
        );
        assert!(said("[[role]]\nwords = []\nwiden_to_percent = 9").contains("at least one word"));
        assert!(said("[[role]]\nwords = [' ']\nwiden_to_percent = 9").contains("with a letter"));
        assert!(said("[[role]]\nwords = ['x']\nwiden_to_percent = -9").contains("policy.toml:3:"));
        assert!(said("[[role]]\nwords = ['x']\nwiden_by_percent = 9").contains("widen_by_percent"));
    }

    proptest! {
        #[test]
        fn the_allowed_band_holds_the_nominal_value(percent in 0.1..100.0, role in "(tone|bias|feedback|bypass|)") {
            let part = resistor(percent, &role);
            prop_assert!(Policy::default().band_for(&part).allowed.contains(1000.0));
        }
    }
}
