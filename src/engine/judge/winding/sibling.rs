//! [`sibling`]: which coil of the list is made like one.

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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::parts::{ListSettings, read};

    const LIST: &str = "\
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
        let list = read(LIST.as_bytes(), &ListSettings::default()).unwrap();
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
}
