//! [`ChargedPart`]: a capacitor of the parts list that may hold a charge, and [`Bleed`]: what the resistors across it do.

use std::f64::consts::SQRT_2;
use std::fmt;

use super::{DISCHARGED_VOLTS, StoredCharge};
use crate::engine::judge::BadFigure;
use crate::engine::judge::figure::figure;
use crate::engine::parts::{Kind, Part};

/// Whom or what the charge of a capacitor may harm.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Harm {
    /// Whoever touches it.
    Person,
    /// Only the meter, or what it reads.
    Meter,
}

/// A capacitor of the parts list that may hold a charge.
#[derive(Debug, Clone, PartialEq)]
pub struct ChargedPart {
    pub designator: String,
    /// Whom or what that may harm.
    pub harm: Harm,
    /// Nominal capacitance at the full rated voltage, the worst that is to be expected; `None` if no voltage is stated.
    pub charge: Option<StoredCharge>,
    /// Effect of its bleeders; `None` without a bleeder in the list or without a rated voltage.
    pub bleed: Option<Bleed>,
}

/// Voltage that counts where a row states none and the list no higher one, V: of the usual ratings in valve equipment that is
/// received and not sent with, the highest (common practice, no source).
const UNRATED_VOLTS: f64 = 600.0;

/// A capacitor holds too much for a meter from this energy on, in joule, if it is larger than [`SMALL_FARADS`] (common
/// practice, no source): 2 µF at 32 V, 10 µF at 14 V.
const METER_JOULES: f64 = 1e-3;

/// Up to this capacitance a circuit, or a voltmeter of 10 MΩ within a few seconds, takes the charge away (common practice, no
/// source).
const SMALL_FARADS: f64 = 0.1e-6;

/// The capacitors that must be seen discharged before work: those that may harm a person, then those that may harm the meter,
/// each in the order of the list.
///
/// The voltage is that of the rating, of an alternating one the peak. A capacitor without a rating counts as charged to the
/// highest voltage that the list states anywhere, and to [`UNRATED_VOLTS`] at least.
pub fn parts_to_discharge(parts: &[Part]) -> Vec<ChargedPart> {
    let unrated = unrated_volts(parts);
    let mut charged: Vec<ChargedPart> = parts
        .iter()
        .filter_map(|part| ChargedPart::by(part, parts, unrated))
        .collect();
    charged.sort_by_key(|part| part.harm == Harm::Meter);
    charged
}

impl ChargedPart {
    /// The charge that `part` may hold, and its bleeder, which is looked for among `parts`; `None` if it need not be discharged.
    pub fn of(part: &Part, parts: &[Part]) -> Option<Self> {
        Self::by(part, parts, unrated_volts(parts))
    }

    fn by(part: &Part, parts: &[Part], unrated: f64) -> Option<Self> {
        let charge = charge_at_rating(part);
        let most = charge.or_else(|| StoredCharge::new(part.nominal.value(), unrated).ok())?;
        let harm = match part.kind {
            Kind::Capacitor if !most.is_harmless() => Harm::Person,
            Kind::Capacitor if most.farads() > SMALL_FARADS && most.joules() >= METER_JOULES => {
                Harm::Meter
            }
            _ => return None,
        };
        Some(Self {
            designator: part.designator.clone(),
            harm,
            charge,
            bleed: charge.and_then(|charge| bleed(part, charge, parts)),
        })
    }
}

/// The highest voltage that a list states, and [`UNRATED_VOLTS`] at least.
fn unrated_volts(parts: &[Part]) -> f64 {
    let stated = |part: &Part| match part.kind {
        Kind::Point => Some(part.nominal.value().abs()),
        _ => rated_volts(part),
    };
    parts
        .iter()
        .filter_map(stated)
        .fold(UNRATED_VOLTS, f64::max)
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

/// The nominal capacitance at the rated voltage.
fn charge_at_rating(part: &Part) -> Option<StoredCharge> {
    StoredCharge::new(part.nominal.value(), rated_volts(part)?).ok()
}

/// The rated voltage; of an alternating one the peak.
fn rated_volts(part: &Part) -> Option<f64> {
    let alternating = part.rating.ac_volts.map(|volts| volts * SQRT_2);
    let volts = part.rating.dc_volts.into_iter().chain(alternating);
    volts.reduce(f64::max)
}

impl fmt::Display for ChargedPart {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&words(&[self]))
    }
}

impl ChargedPart {
    /// A sentence for each charge that is said alike but for its energy, in the order of the first parts.
    pub fn sentences(charged: &[Self]) -> Vec<String> {
        let mut groups: Vec<(String, Vec<&Self>)> = Vec::new();
        for one in charged {
            let charge = one.charge_words("");
            match groups.iter_mut().find(|(known, _)| *known == charge) {
                Some((_, group)) => group.push(one),
                None => groups.push((charge, vec![one])),
            }
        }
        groups.iter().map(|(_, group)| words(group)).collect()
    }

    /// The charge, whose energy is given in words.
    fn charge_words(&self, energy: &str) -> String {
        let Some(charge) = self.charge else {
            return "rated voltage not stated, take it as charged".to_owned();
        };
        let rest = match self.bleed {
            _ if self.harm == Harm::Meter => {
                "which harms nobody, only the meter and the reading".to_owned()
            }
            Some(bleed) => format!(
                "below {} after {} to {} if its bleeder of {} is whole",
                figure(DISCHARGED_VOLTS, "V"),
                figure(bleed.seconds, "s"),
                figure(bleed.slowest_seconds, "s"),
                figure(bleed.ohms, "Ω"),
            ),
            None => "no bleeder in the list: it may hold its charge for days".to_owned(),
        };
        format!("up to {}, {energy}, {rest}", figure(charge.volts(), "V"))
    }
}

/// Parts whose charges are said alike: `C2a, C2b: up to 450 V, 1.62 J to 3.24 J each, ...`.
fn words(group: &[&ChargedPart]) -> String {
    let names: Vec<&str> = group.iter().map(|one| &*one.designator).collect();
    let mut joules: Vec<f64> = group
        .iter()
        .filter_map(|one| Some(one.charge?.joules()))
        .collect();
    joules.sort_by(f64::total_cmp);
    let mut energies: Vec<String> = joules.iter().map(|joules| figure(*joules, "J")).collect();
    energies.dedup();
    let energy = match energies.as_slice() {
        [least, .., most] => format!("{least} to {most}"),
        same => same.concat(),
    };
    let each = if group.len() > 1 { " each" } else { "" };
    let charge = group
        .first()
        .map(|one| one.charge_words(&format!("{energy}{each}")));
    format!("{}: {}", names.join(", "), charge.unwrap_or_default())
}

/// Effect of a capacitor's bleeders on its charge, as long as they are whole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bleed {
    /// All of them in parallel, nominal, in ohm.
    pub ohms: f64,
    /// Seconds until the voltage has fallen below 60 V, nominal values.
    pub seconds: f64,
    /// Time with both at the upper limits of their tolerances.
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
C13,capacitor,.1 MFD,,,paper,cathode,K2,chassis
C14,capacitor,.05 MFD,,,paper,coupling,A2,G3
C15,capacitor,.1 MFD,,600V,paper,coupling,A3,G4
C16,capacitor,2uF,,25V,electrolytic,,K3,chassis
C17,capacitor,25uF,,,electrolytic,cathode bypass,K4,chassis
C18,capacitor,.22uF,,50V,film,tone,T,chassis
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
            .map(|part| (part.designator, part.harm))
            .collect();
        let may_hurt = [
            "C1", "C3", "C5", "C6", "C7", "C9", "C11", "C13", "C15", "C17",
        ];
        let too_much_for_the_meter = ["C2", "C8"];
        let person = may_hurt.map(|part| (part.to_owned(), Harm::Person));
        let meter = too_much_for_the_meter.map(|part| (part.to_owned(), Harm::Meter));
        let expected: Vec<_> = person.into_iter().chain(meter).collect();
        assert_eq!(found, expected);
    }

    /// A row that leaves its rating out is taken for one with the highest rating of the list.
    #[test]
    fn nothing_is_left_out_for_want_of_a_rating() {
        let found = |rows: &str| {
            let text = format!("ref,kind,value,rating\n{rows}");
            let list = read(text.as_bytes(), &ListSettings::default()).unwrap();
            let found = parts_to_discharge(&list.parts);
            found.iter().any(|part| part.designator == "C1")
        };
        let small = "C1,capacitor,.02 MFD,\n";
        assert!(!found(small));
        for other in ["C2,capacitor,.02 MFD,2500V\n", "A1,point,-2500V,\n"] {
            assert!(found(&format!("{small}{other}")), "{other}");
        }
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

    #[test]
    fn charges_alike_but_for_their_energy_share_a_sentence() {
        let found = ChargedPart::sentences(&listed());
        assert_eq!(
            found[3],
            "C6, C9, C11, C13, C17: rated voltage not stated, take it as charged"
        );
        let list = "ref,kind,value,rating\nC2a,capacitor,32uF,450V\nC2b,capacitor,16uF,450V\nC3,capacitor,16uF,350V\n\
                    C2c,capacitor,8uF,450V\nC4,capacitor,16uF,350V\n";
        let list = read(list.as_bytes(), &ListSettings::default()).unwrap();
        let days = "no bleeder in the list: it may hold its charge for days";
        assert_eq!(
            ChargedPart::sentences(&parts_to_discharge(&list.parts)),
            [
                format!("C2a, C2b, C2c: up to 450 V, 810 mJ to 3.24 J each, {days}"),
                format!("C3, C4: up to 350 V, 980 mJ each, {days}"),
            ]
        );
    }
}
