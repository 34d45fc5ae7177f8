//! [`ChargedPart`]: a capacitor of the parts list that may hold a charge, and [`Bleed`]: what the resistors across it do.

use std::fmt;

use super::{DISCHARGED_VOLTS, StoredCharge};
use crate::engine::judge::BadFigure;
use crate::engine::judge::figure::figure;
use crate::engine::parts::{Kind, Material, Part};

/// Why a capacitor is on the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum WhyListed {
    /// Its role is to hold a supply: reservoir, smoothing, filter, decoupling.
    Role,
    /// An electrolytic that is rated over 60 V.
    RatedElectrolytic,
    /// Another one that at its rating holds more than counts as harmless.
    Charge,
    /// Neither rating nor role say what it may hold.
    Unknown,
}

/// A capacitor of the parts list that may hold a charge.
#[derive(Debug, Clone, PartialEq)]
pub struct ChargedPart {
    /// Reference designator.
    pub designator: String,
    /// Why it is listed.
    pub why: WhyListed,
    /// Nominal capacitance at the full rated voltage, the worst that is to be expected; `None` if no voltage is stated.
    pub charge: Option<StoredCharge>,
    /// What its bleeders do; `None` without a bleeder in the list or without a rated voltage.
    pub bleed: Option<Bleed>,
}

/// Capacitance that counts as harmless where no voltage is stated, in farad: as in [`StoredCharge::is_harmless`] to 450 V.
const HARMLESS_FARADS: f64 = 0.1e-6;

/// Words of roles that hold a supply's charge (common practice, no source).
const SUPPLY_ROLES: [&str; 6] = [
    "reservoir",
    "smoothing",
    "filter",
    "decoupling",
    "supply",
    "multiplier",
];

/// The capacitors that must be discharged before work, in the order of the list.
///
/// Listed are all that at their rated voltage, or the peak of an alternating one, hold more than counts as harmless
/// ([`StoredCharge::is_harmless`]), and those over 0.1 µF of which no voltage is stated.
pub fn parts_to_discharge(parts: &[Part]) -> Vec<ChargedPart> {
    parts
        .iter()
        .filter_map(|part| ChargedPart::of(part, parts))
        .collect()
}

impl ChargedPart {
    /// The charge that `part` may hold, and its bleeder, which is looked for among `parts`; `None` if it need not be discharged.
    pub fn of(part: &Part, parts: &[Part]) -> Option<Self> {
        let why = WhyListed::of(part)?;
        let charge = charge_at_rating(part);
        Some(Self {
            designator: part.designator.clone(),
            why,
            charge,
            bleed: charge.and_then(|charge| bleed(part, charge, parts)),
        })
    }
}

fn bleed(part: &Part, charge: StoredCharge, parts: &[Part]) -> Option<Bleed> {
    let ohms = bleeder_ohms(part, parts)?;
    let upper = part.band.upper();
    let largest = if upper.is_finite() {
        upper
    } else {
        charge.farads()
    };
    Bleed::new(charge, largest, ohms).ok()
}

impl WhyListed {
    /// Why `part` must be discharged before work, by its own row alone; `None` if it need not be, or is no capacitor.
    pub fn of(part: &Part) -> Option<Self> {
        let charge = charge_at_rating(part);
        let harmless = match charge {
            Some(charge) => charge.is_harmless(),
            None => part.nominal.value() <= HARMLESS_FARADS,
        };
        let electrolytic = part.material == Some(Material::Electrolytic);
        match charge {
            _ if part.kind != Kind::Capacitor || harmless => None,
            _ if holds_supply(&part.role) => Some(Self::Role),
            Some(_) if electrolytic => Some(Self::RatedElectrolytic),
            Some(_) => Some(Self::Charge),
            None => Some(Self::Unknown),
        }
    }
}

/// The nominal capacitance at the rated voltage; of an alternating rating the peak.
fn charge_at_rating(part: &Part) -> Option<StoredCharge> {
    let peak = part
        .rating
        .ac_volts
        .map(|volts| volts * std::f64::consts::SQRT_2);
    let volts = part.rating.dc_volts.into_iter().chain(peak);
    StoredCharge::new(part.nominal.value(), volts.reduce(f64::max)?).ok()
}

fn holds_supply(role: &str) -> bool {
    let role = role.to_lowercase();
    SUPPLY_ROLES.iter().any(|word| role.contains(word))
}

impl fmt::Display for ChargedPart {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: ", self.designator)?;
        let Some(charge) = self.charge else {
            return f.write_str("rated voltage not stated, take it as charged");
        };
        let stored = figure(charge.joules(), "J");
        write!(f, "up to {}, {stored}, ", figure(charge.volts(), "V"))?;
        match self.bleed {
            Some(bleed) => write!(
                f,
                "below {} after {} to {} if its bleeder of {} is whole",
                figure(DISCHARGED_VOLTS, "V"),
                figure(bleed.seconds, "s"),
                figure(bleed.slowest_seconds, "s"),
                figure(bleed.ohms, "Ω"),
            ),
            None => f.write_str("no bleeder in the list: it may hold its charge for days"),
        }
    }
}

/// What the bleeders of a capacitor do to its charge, as long as they are whole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bleed {
    /// All of them in parallel, nominal, in ohm.
    pub ohms: f64,
    /// Seconds until the voltage has fallen below 60 V, nominal values.
    pub seconds: f64,
    /// The same with both at the upper limits of their tolerances.
    pub slowest_seconds: f64,
}

impl Bleed {
    /// From a charge, the largest capacitance that is in tolerance (in farad), and the bleeders' resistance, nominal and
    /// largest (in ohm).
    ///
    /// # Errors
    /// If one of the figures is not a finite number above zero.
    pub fn new(
        charge: StoredCharge,
        largest_farads: f64,
        (ohms, largest_ohms): (f64, f64),
    ) -> Result<Self, BadFigure> {
        let slowest = StoredCharge::new(largest_farads, charge.volts())?;
        Ok(Self {
            ohms,
            seconds: charge.seconds_to(DISCHARGED_VOLTS, ohms)?,
            slowest_seconds: slowest.seconds_to(DISCHARGED_VOLTS, largest_ohms)?,
        })
    }
}

/// The resistance of all resistors between the same two nodes as `capacitor`, in parallel: nominal, and with each at its
/// upper limit, in ohm. `None` if there is none, or the list names no nodes. Ways over other parts are not followed.
pub fn bleeder_ohms(capacitor: &Part, parts: &[Part]) -> Option<(f64, f64)> {
    let across = parts
        .iter()
        .filter(|part| part.kind == Kind::Resistor && same_nodes(part, capacitor));
    let (mut nominal, mut least) = (0.0, 0.0);
    for resistor in across.filter(|part| part.nominal.value() > 0.0) {
        nominal += 1.0 / resistor.nominal.value();
        least += 1.0 / resistor.band.upper();
    }
    (nominal > 0.0 && least > 0.0).then(|| (1.0 / nominal, 1.0 / least))
}

/// Whether two parts lie between the same two nodes, in whichever order; upper and lower case alike.
fn same_nodes(a: &Part, b: &Part) -> bool {
    let same = |x: &str, y: &str| !x.is_empty() && x.to_lowercase() == y.to_lowercase();
    same(&a.from, &b.from) && same(&a.to, &b.to) || same(&a.from, &b.to) && same(&a.to, &b.from)
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;
    use crate::engine::parts::{ListSettings, read};

    const LIST: &str = "\
ref,kind,value,tolerance,rating,material,role,from,to
C1,capacitor,32uF,20%,450V,electrolytic,reservoir,HT1,chassis
C2,capacitor,25uF,,25V,electrolytic,cathode bypass,K1,chassis
C3,capacitor,16uF,,350V,electrolytic,,HT2,chassis
C4,capacitor,.02 MFD,20%,400V,paper,coupling,A1,G2
C5,capacitor,.5 MFD,20%,400V,paper,screen bypass,S1,chassis
C6,capacitor,8uF,,,electrolytic,,HT3,chassis
C7,capacitor,.22uF,10%,X2 275V~,film,across the line,L,N
C8,capacitor,100uF,,50V,electrolytic,bias smoothing,B,chassis
C9,capacitor,4uF,,,paper,smoothing,HT4,chassis
C10,capacitor,.05 MFD,,350V,paper,decoupling,S2,chassis
C11,capacitor,.5 MFD,,,paper,,S3,chassis
C12,capacitor,100 pF,,,mica,detector filter,D,chassis
R1,resistor,470k,10%,2W,carbon,bleeder,Chassis,ht1
R2,resistor,470k,10%,2W,carbon,bleeder,HT1,chassis
R3,resistor,22k,10%,2W,carbon,dropper,HT1,HT2
";

    fn listed() -> Vec<ChargedPart> {
        let list = read(LIST.as_bytes(), &ListSettings::default()).unwrap();
        parts_to_discharge(&list.parts)
    }

    #[test]
    fn what_may_hold_a_charge_is_listed_and_nothing_else() {
        let found: Vec<_> = listed()
            .into_iter()
            .map(|part| (part.designator, part.why))
            .collect();
        let expected = [
            ("C1", WhyListed::Role),
            ("C3", WhyListed::RatedElectrolytic),
            ("C5", WhyListed::Charge),
            ("C6", WhyListed::Unknown),
            ("C7", WhyListed::Charge),
            ("C9", WhyListed::Role),
            ("C11", WhyListed::Unknown),
        ];
        let expected = expected.map(|(designator, why)| (designator.to_owned(), why));
        assert_eq!(found, expected);
    }

    #[test]
    fn bleeders_across_the_same_nodes_share_the_work() {
        let parts = listed();
        let bleed = parts[0].bleed.unwrap();
        assert_relative_eq!(bleed.ohms, 235e3, max_relative = 1e-12);
        // Both at their upper limits: 1.2 times the capacitance and 1.1 times the resistance.
        assert_relative_eq!(
            bleed.slowest_seconds,
            1.32 * bleed.seconds,
            max_relative = 1e-12
        );
        assert_eq!(parts[1].bleed, None, "a dropper is no bleeder");
    }

    #[test]
    fn each_says_what_to_expect() {
        let words: Vec<String> = listed().iter().map(ToString::to_string).collect();
        assert_eq!(
            words[0],
            "C1: up to 450 V, 3.24 J, below 60 V after 15.2 s to 20 s if its bleeder of 235 kΩ is whole"
        );
        assert_eq!(
            words[1],
            "C3: up to 350 V, 980 mJ, no bleeder in the list: it may hold its charge for days"
        );
        assert_eq!(words[3], "C6: rated voltage not stated, take it as charged");
    }
}
