//! [`Want`]: what is asked of a substitute.
//!
//! [`CannotSubstitute`]: why nothing can be looked for.

use thiserror::Error;

use super::at_mains::{self, AtMains};
use super::candidate;
use crate::engine::judge::drift::{Member, WorkingCircuit, circuit_of};
use crate::engine::judge::policy::Policy;
use crate::engine::judge::safety::{MainsPlace, Places, Sited};
use crate::engine::parts::{Article, Kind, Material, Part};
use crate::engine::quantity::Band;

/// Factor over the highest direct voltage that a capacitor is to stand, so that it works at some 80 % of its rating at most
/// (a radio magazine of March 1993).
pub const VOLTAGE_MARGIN: f64 = 1.2;

/// Factor over its dissipation that a resistor is to stand: run at half its rating or less (common practice, no source).
pub const POWER_MARGIN: f64 = 2.0;

/// From this capacitance on a capacitor of which the material is not stated may be an electrolytic, in farad (common practice, no
/// source).
const MAY_BE_ELECTROLYTIC: f64 = 1e-6;

/// Order of the values.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Preference {
    /// The nearest, to either side.
    Nearest,
    /// The nearest at or above; a little below will do.
    AtOrAbove,
    /// The nearest at or below.
    AtOrBelow,
}

/// The largest value that may stand in, and who says so.
#[derive(Debug, Clone, PartialEq)]
pub struct Ceiling {
    /// In the SI base unit.
    pub value: f64,
    /// Source of it, to stand behind `up to 50 µF: `.
    pub words: String,
}

/// The voltage across a resistor, by its role.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bears {
    /// Some tens of volts: nobody is asked about it.
    Little,
    /// Hundreds of volts: what surely stands them goes first.
    Much,
}

/// Demands on a substitute.
#[derive(Debug, Clone, PartialEq)]
pub struct Want {
    /// The original, as one asks for it.
    pub original: Article,
    /// Where the value has to stay, tolerances included, in the SI base unit: the band that the policy allows in its role.
    pub allowed: Band,
    /// The nominal values that may stand in; `None` if there are none.
    pub values: Option<Band>,
    /// Rule by which one value is preferred to another.
    pub preference: Preference,
    /// The largest one, where something limits it.
    pub ceiling: Option<Ceiling>,
    /// The highest direct voltage across it, in volt, if known.
    pub working_volts: Option<f64>,
    /// Power that it turns into heat, in watt, if known; resistors only.
    pub dissipated_watts: Option<f64>,
    /// Demands at the mains; `None` if it is not there.
    pub at_mains: Option<AtMains>,
    /// Whether it sets a frequency.
    pub tuned: bool,
    /// Whether an inductance does harm there.
    pub bars_inductance: bool,
    /// Voltage across a resistor, as its place tells it; `None` if it tells nothing.
    pub bears: Option<Bears>,
    /// Whether pairs are wanted even where a single part will do.
    pub pairs_too: bool,
    /// Remarks to read before choosing.
    pub warnings: Vec<String>,
}

impl Want {
    /// A part asked for over a counter. Where it will sit is not known, so everything is held as close as where it matters.
    pub fn of_article(article: &Article) -> Self {
        let part = article.as_part();
        let mut want = Self::bare(&part, article.clone(), part.band);
        want.at_mains = at_mains_by_rating(article);
        candidate::settle(&mut want, &part, &Policy::default());
        want
    }

    /// The want of a substitute for `part` of the parts list `list`, by `policy`; `places` are those of that list.
    ///
    /// # Errors
    /// If the part is not sold by its value, or sits at the mains and its class cannot be told.
    pub fn of_part(
        part: &Part,
        list: &[Part],
        policy: &Policy,
        places: &Places,
    ) -> Result<Self, CannotSubstitute> {
        let article = Article::of(part).filter(|article| article.kind != Kind::Coil);
        let article = article.ok_or(CannotSubstitute::NotByValue { kind: part.kind })?;
        let mut want = Self::bare(part, article, policy.band_for(part).allowed);
        want.at_mains =
            at_mains(part, list, places)?.or_else(|| at_mains_by_rating(&want.original));
        want.load_from(part, list);
        candidate::settle(&mut want, part, policy);
        Ok(want)
    }

    /// The highest direct voltage across it is `volts`; overrides the list.
    #[must_use]
    pub fn at_volts(mut self, volts: f64) -> Self {
        self.working_volts = Some(volts);
        if self.original.kind == Kind::Resistor {
            self.dissipated_watts = Some(volts * volts / self.original.nominal.value());
        }
        self
    }

    /// Sets the heat in watt that it is to stand; overrides what follows from a voltage.
    #[must_use]
    pub const fn at_watts(mut self, watts: f64) -> Self {
        self.dissipated_watts = Some(watts);
        self
    }

    /// Pairs are wanted even where a single part will do.
    #[must_use]
    pub const fn with_pairs(mut self) -> Self {
        self.pairs_too = true;
        self
    }

    /// The direct voltage that a substitute is to stand, in volt: that of the original, and of a capacitor at least
    /// [`VOLTAGE_MARGIN`] times the highest one that is known. `None` if neither is known.
    pub fn least_volts(&self) -> Option<f64> {
        let margin = match self.original.kind {
            Kind::Capacitor => VOLTAGE_MARGIN,
            _ => 1.0,
        };
        let working = self.working_volts.map(|volts| margin * volts.abs());
        self.original
            .rating
            .dc_volts
            .into_iter()
            .chain(working)
            .reduce(f64::max)
    }

    /// The power that a substitute is to stand, in watt: that of the original, and at least [`POWER_MARGIN`] times the
    /// dissipation that is known. `None` if neither is known.
    pub fn least_watts(&self) -> Option<f64> {
        let dissipated = self.dissipated_watts.map(|watts| POWER_MARGIN * watts);
        self.original
            .rating
            .watts
            .into_iter()
            .chain(dissipated)
            .reduce(f64::max)
    }

    /// The materials that may stand in, the best first.
    pub fn materials(&self) -> &'static [Material] {
        use Material::{Carbon, Ceramic, Electrolytic, Film, Mica, Oil, Paper, Wirewound};
        let large = self.original.nominal.value() >= MAY_BE_ELECTROLYTIC;
        match (self.original.kind, self.original.material) {
            _ if self.at_mains.is_some() => &[Film, Ceramic],
            (Kind::Resistor, Some(Wirewound)) => &[Wirewound, Film],
            (Kind::Resistor, _) => &[Film, Wirewound],
            (_, Some(Electrolytic)) => &[Electrolytic, Film],
            (_, Some(Mica)) => &[Mica, Ceramic, Film],
            (_, Some(Ceramic)) => &[Ceramic, Mica, Film],
            (_, Some(Paper | Oil | Film | Carbon | Wirewound)) if self.tuned => {
                &[Film, Mica, Ceramic]
            }
            (_, Some(Paper | Oil | Film | Carbon | Wirewound)) => &[Film],
            (_, None) if large => &[Film, Electrolytic],
            (_, None) => &[Film, Mica, Ceramic],
        }
    }

    /// Whether only what may set a frequency will do.
    pub fn needs_stability(&self) -> bool {
        self.at_mains.is_none()
            && (self.tuned || self.original.material == Some(Material::Mica))
            && self.original.kind == Kind::Capacitor
    }

    fn bare(part: &Part, original: Article, allowed: Band) -> Self {
        Self {
            original,
            allowed,
            values: None,
            preference: Preference::Nearest,
            ceiling: None,
            working_volts: None,
            dissipated_watts: None,
            at_mains: None,
            tuned: at_mains::is_tuned(part),
            bars_inductance: at_mains::bars_inductance(part),
            bears: at_mains::bears(part),
            pairs_too: false,
            warnings: Vec::new(),
        }
    }

    /// The voltage of the column `with`, where role and kind say what it means.
    fn load_from(&mut self, part: &Part, list: &[Part]) {
        let Some(volts) = part.partners.volts() else {
            return;
        };
        let own = part.nominal.value();
        let across = match circuit_of(part, list) {
            _ if part.kind == Kind::Capacitor => Some(volts),
            Some((WorkingCircuit::SelfBias { cathode_volts, .. }, _)) => Some(cathode_volts),
            Some((
                WorkingCircuit::Divider {
                    supply_volts,
                    upper_ohms,
                    lower_ohms,
                },
                Member::Upper | Member::Lower,
            )) => Some(supply_volts * own / (upper_ohms + lower_ohms)),
            _ => None,
        };
        match across {
            Some(volts) => *self = self.clone().at_volts(volts.abs()),
            None => self.warnings.push(format!(
                "{volts} V stand in the column `with`, and its role does not say that they stand across it: left aside, \
                 give the voltage across it with --volts"
            )),
        }
    }
}

/// Demands on a capacitor at the mains.
fn at_mains(
    part: &Part,
    list: &[Part],
    places: &Places,
) -> Result<Option<AtMains>, CannotSubstitute> {
    let Some(Sited { place, because }) = places.at(part) else {
        return Ok(None);
    };
    if place < MainsPlace::AcrossLine {
        return Err(CannotSubstitute::PlaceUnstated { place, because });
    }
    let mains = places
        .mains()
        .ok_or(CannotSubstitute::NoMains { place, because })?;
    let to_chassis = |other: &&Part| {
        let sited = places.at(other);
        sited.is_some_and(|sited| sited.place == MainsPlace::LineToChassis)
    };
    Ok(Some(AtMains {
        place: Some((place, mains)),
        classes: part.rating.classes.clone(),
        ac_volts: part.rating.ac_volts,
        to_chassis: list.iter().filter(to_chassis).count(),
    }))
}

/// Where only its safety class says so.
fn at_mains_by_rating(article: &Article) -> Option<AtMains> {
    (article.kind == Kind::Capacitor && !article.rating.classes.is_empty()).then(|| AtMains {
        place: None,
        classes: article.rating.classes.clone(),
        ac_volts: article.rating.ac_volts,
        to_chassis: 0,
    })
}

fn not_by_value(kind: Kind) -> String {
    match kind {
        Kind::Fuse => "a fuse keeps its rating: the same current, the same speed, at least the same voltage and breaking \
             capacity, never a larger one; find out why it blew before a new one goes in"
            .to_owned(),
        _ => format!("a {kind} is not sold by its value alone: look for one like it or have it made"),
    }
}

/// Nothing can be looked for in place of a part.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum CannotSubstitute {
    /// A part of that kind is not sold by its value.
    #[error("{}", not_by_value(*.kind))]
    NotByValue { kind: Kind },
    /// The mains is not known.
    #[error(
        "it sits {place}, by {because}, and the job does not state the mains: set [mains] in job.toml, so that class and voltage can be looked for"
    )]
    NoMains {
        /// Where it sits.
        place: MainsPlace,
        /// From what that was taken.
        because: String,
    },
    /// The list does not tell which class is needed, or whether any is.
    #[error(
        "{place}, by {because}: say between what it sits in `from` and `to`, or in the role, since `across the line` asks for class X and `line to chassis` for class Y"
    )]
    PlaceUnstated {
        /// The place, as far as it is known.
        place: MainsPlace,
        /// From what that was taken.
        because: String,
    },
}
