//! [`circuit_of`]: the circuit of a part, from its role and its partners in the parts list.

use super::{Member, WorkingCircuit};
use crate::engine::judge::policy::{plain, stands_in};
use crate::engine::parts::{Kind, Part};

/// Function of a part and its partners by its role.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Duty {
    Coupling,
    LowPass,
    Divider,
    Cathode,
}

/// Words of roles, as a whole and in this order (common practice, no source).
const WORDS: [(&str, Duty); 11] = [
    ("grid leak", Duty::Coupling),
    ("coupling", Duty::Coupling),
    ("low pass", Duty::LowPass),
    ("decoupling", Duty::LowPass),
    ("tone", Duty::LowPass),
    ("avc", Duty::LowPass),
    ("agc", Duty::LowPass),
    ("divider", Duty::Divider),
    ("cathode bias", Duty::Cathode),
    ("cathode resistor", Duty::Cathode),
    ("cathode bypass", Duty::Cathode),
];

/// Names of the node that voltages are counted from (common practice, no source).
const COMMON: [&str; 7] = ["chassis", "ground", "gnd", "earth", "common", "0", "0v"];

/// The circuit that `part` works in, with the nominal values of `list`, and the place of the part in it.
///
/// Its role says which circuit, its partners (column `with`) say with what: exactly one capacitor for a resistor, exactly one
/// resistor for a capacitor or in a divider. A divider needs its supply among the partners (`250V`) and nodes that tell which
/// of the two is at chassis; a cathode resistor with a voltage (`12.9V`) is judged by its current. `None` for anything else.
pub fn circuit_of(part: &Part, list: &[Part]) -> Option<(WorkingCircuit, Member)> {
    let partner = |resistive| partner(part, list, resistive);
    let duty = duty(&part.role)?;
    let own = part.nominal.value();
    let (ohms, farads, member) = match (part.kind, duty) {
        (Kind::Resistor | Kind::Potentiometer, Duty::Divider) => {
            return divider(part, partner(true)?);
        }
        (Kind::Resistor | Kind::Potentiometer, Duty::Cathode)
            if part.partners.volts().is_some() =>
        {
            return self_bias(part);
        }
        (Kind::Resistor | Kind::Potentiometer, _) => {
            (own, partner(false)?.nominal.value(), Member::Resistor)
        }
        (Kind::Capacitor, _) => (partner(true)?.nominal.value(), own, Member::Capacitor),
        _ => return None,
    };
    let circuit = match duty {
        Duty::Coupling => WorkingCircuit::Coupling { ohms, farads },
        Duty::LowPass => WorkingCircuit::LowPass { ohms, farads },
        Duty::Cathode => WorkingCircuit::Bypass { ohms, farads },
        Duty::Divider => return None,
    };
    Some((circuit, member))
}

fn duty(role: &str) -> Option<Duty> {
    let role = plain(role);
    let found = WORDS.into_iter().find(|(word, _)| stands_in(&role, word));
    found.map(|(_, duty)| duty)
}

/// The only partner with a resistance, or with a capacitance.
fn partner<'a>(part: &Part, list: &'a [Part], resistive: bool) -> Option<&'a Part> {
    let fits = |kind| match kind {
        Kind::Resistor | Kind::Potentiometer => resistive,
        Kind::Capacitor => !resistive,
        _ => false,
    };
    let mut found = list
        .iter()
        .filter(|other| fits(other.kind) && part.partners.name(&other.designator));
    let only = found.next()?;
    found.next().is_none().then_some(only)
}

fn self_bias(part: &Part) -> Option<(WorkingCircuit, Member)> {
    let circuit = WorkingCircuit::SelfBias {
        cathode_volts: part.partners.volts()?,
        ohms: part.nominal.value(),
    };
    Some((circuit, Member::Resistor))
}

fn divider(part: &Part, other: &Part) -> Option<(WorkingCircuit, Member)> {
    let supply_volts = part.partners.volts()?;
    let (upper, lower, member) = match (is_at_common(part), is_at_common(other)) {
        (true, false) => (other, part, Member::Lower),
        (false, true) => (part, other, Member::Upper),
        _ => return None,
    };
    let circuit = WorkingCircuit::Divider {
        supply_volts,
        upper_ohms: upper.nominal.value(),
        lower_ohms: lower.nominal.value(),
    };
    Some((circuit, member))
}

fn is_at_common(part: &Part) -> bool {
    [&part.from, &part.to]
        .into_iter()
        .any(|node| is_common(node))
}

/// Whether voltages are counted from the node of that name.
pub fn is_common(node: &str) -> bool {
    COMMON.contains(&node.trim().to_lowercase().as_str())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::parts::{ListSettings, PartsList, read};

    const LIST: &str = "\
ref,kind,value,role,from,to,with
C1,capacitor,10 nF,Coupling,A1,G2,R1
R1,resistor,470k,grid-leak,G2,chassis,C1
C2,capacitor,20 nF,tone,W,chassis,P1
P1,potentiometer,50k,tone control,A2,W,C2
C3,capacitor,100 nF,AVC decoupling,V,chassis,R3
R3,resistor,2M2,,D,V,C3
C4,capacitor,25uF,cathode bypass,K1,chassis,R4
R4,resistor,2K2,cathode bias,K1,chassis,C4
R5,resistor,270R,cathode bias,K2,chassis,12.9V
R6,resistor,220k,screen divider,HT,S,R7 250V
R7,resistor,47k,screen divider,S,Chassis,R6 250V
R8,resistor,47k,divider,S,T,R6 250V
R9,resistor,47k,divider,S,chassis,R6
C5,capacitor,10 nF,coupling,A1,G2,R1 R3
C6,capacitor,10 nF,coupling,A1,G2,
L1,coil,10 H,coupling,A1,G2,R1
";

    fn of(designator: &str) -> Option<(WorkingCircuit, Member)> {
        let PartsList { parts, .. } = read(LIST.as_bytes(), &ListSettings::default()).unwrap();
        let part = parts.iter().find(|part| part.designator == designator);
        circuit_of(part.unwrap(), &parts)
    }

    #[test]
    fn both_parts_of_a_pair_have_the_same_circuit() {
        let coupling = WorkingCircuit::Coupling {
            ohms: 470e3,
            farads: 10e-9,
        };
        assert_eq!(of("C1"), Some((coupling, Member::Capacitor)));
        assert_eq!(of("R1"), Some((coupling, Member::Resistor)));
        let tone = WorkingCircuit::LowPass {
            ohms: 50e3,
            farads: 20e-9,
        };
        assert_eq!(of("C2"), Some((tone, Member::Capacitor)));
        assert_eq!(of("P1"), Some((tone, Member::Resistor)));
        let bypass = WorkingCircuit::Bypass {
            ohms: 2200.0,
            farads: 25e-6,
        };
        assert_eq!(of("C4"), Some((bypass, Member::Capacitor)));
        assert_eq!(of("R4"), Some((bypass, Member::Resistor)));
    }

    #[test]
    fn a_decoupling_is_no_coupling_and_a_role_is_needed() {
        assert!(matches!(
            of("C3"),
            Some((WorkingCircuit::LowPass { .. }, Member::Capacitor))
        ));
        assert_eq!(of("R3"), None);
    }

    #[test]
    fn a_voltage_at_the_cathode_gives_a_current() {
        let bias = WorkingCircuit::SelfBias {
            cathode_volts: 12.9,
            ohms: 270.0,
        };
        assert_eq!(of("R5"), Some((bias, Member::Resistor)));
    }

    #[test]
    fn the_nodes_say_which_end_of_a_divider_a_resistor_is() {
        let divider = WorkingCircuit::Divider {
            supply_volts: 250.0,
            upper_ohms: 220e3,
            lower_ohms: 47e3,
        };
        assert_eq!(of("R6"), Some((divider, Member::Upper)));
        assert_eq!(of("R7"), Some((divider, Member::Lower)));
        assert_eq!(of("R8"), None, "neither is at chassis");
        assert_eq!(of("R9"), None, "no supply is stated");
    }

    #[test]
    fn no_partner_two_of_them_or_another_kind_give_nothing() {
        for designator in ["C5", "C6", "L1"] {
            assert_eq!(of(designator), None, "{designator}");
        }
    }
}
