//! The other row of the list that is made like one: the [`sibling`] of a coil, the [`other_half`] of a winding.

use crate::engine::parts::{Kind, Part};

/// The sibling of a coil: the one coil that its column `with` names, or that names it. `None` for any other part, and
/// where there are several.
pub fn sibling<'a>(part: &Part, list: &'a [Part]) -> Option<&'a Part> {
    let is_sibling = |other: &&Part| {
        other.kind == Kind::Coil
            && !other.designator.eq_ignore_ascii_case(&part.designator)
            && (part.partners.name(&other.designator) || other.partners.name(&part.designator))
    };
    let mut siblings = list.iter().filter(is_sibling);
    let only = siblings.next().filter(|_| part.kind == Kind::Coil);
    only.filter(|_| siblings.next().is_none())
}

/// The other half of a winding: the one that its column `with` names, the one that names it, or, for a designator that ends in
/// `.a` or `.b`, the one that ends in the other letter. `None` for any other part, and where several windings are named.
pub fn other_half<'a>(part: &Part, list: &'a [Part]) -> Option<&'a Part> {
    if part.kind != Kind::Winding {
        return None;
    }
    let others = || {
        list.iter().filter(|other| {
            other.kind == Kind::Winding && !other.designator.eq_ignore_ascii_case(&part.designator)
        })
    };
    let is_paired = |other: &Part| {
        part.partners.name(&other.designator) || other.partners.name(&part.designator)
    };
    let mut named = others().filter(|other| is_paired(other));
    match (named.next(), named.next()) {
        (Some(other), None) => Some(other),
        (Some(_), Some(_)) => None,
        _ => {
            let name = name_of_other_half(&part.designator)?;
            others().find(|other| other.designator.eq_ignore_ascii_case(&name))
        }
    }
}

/// `T1.a` for `T1.b` and the other way round.
fn name_of_other_half(designator: &str) -> Option<String> {
    let (whole, half) = designator.rsplit_once('.')?;
    let other = match half {
        "a" | "A" => "b",
        "b" | "B" => "a",
        _ => return None,
    };
    Some(format!("{whole}.{other}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::parts::{ListSettings, read};

    const COILS: &str = "\
ref,kind,value,with
L1,coil,1 mH,l2
L2,coil,1 mH,
L3,coil,1 mH,L4 L5
L4,coil,1 mH,
L5,coil,1 mH,
L6,coil,1 mH,R1
R1,resistor,1k,L6
W1,winding,165R,W2
W2,winding,165R,
";

    #[test]
    fn a_sibling_is_the_one_coil_that_is_named() {
        let list = read(COILS.as_bytes(), &ListSettings::default()).unwrap();
        let of = |designator| {
            let sibling = sibling(list.find(designator).unwrap(), &list.parts);
            sibling.map(|sibling| sibling.designator.as_str())
        };
        assert_eq!(of("L1"), Some("L2"));
        assert_eq!(of("L2"), Some("L1"));
        assert_eq!(of("L4"), Some("L3"));
        for alone in ["L3", "L6", "R1", "W1"] {
            assert_eq!(of(alone), None, "{alone}");
        }
    }

    const HALVES: &str = "\
ref,kind,value,with
T1.a,winding,165R,
T1.B,winding,180R,
T1.sec,winding,1R2,
T2.hta,winding,165R,T2.htb
T2.htb,winding,165R,
T3.x,winding,165R,T3.y T3.z
T3.y,winding,165R,
T3.z,winding,165R,
T4.a,winding,165R,
R5.a,resistor,165R,
R5.b,resistor,165R,
";

    #[test]
    fn halves_are_known_by_their_letters_or_because_one_names_the_other() {
        let list = read(HALVES.as_bytes(), &ListSettings::default()).unwrap();
        let other = |designator| {
            let half = other_half(list.find(designator).unwrap(), &list.parts);
            half.map(|half| half.designator.as_str())
        };
        assert_eq!(other("T1.a"), Some("T1.B"));
        assert_eq!(other("T1.B"), Some("T1.a"));
        assert_eq!(other("T2.hta"), Some("T2.htb"));
        assert_eq!(other("T2.htb"), Some("T2.hta"));
        for alone in ["T1.sec", "T3.x", "T4.a", "R5.a"] {
            assert_eq!(other(alone), None, "{alone}");
        }
    }
}
