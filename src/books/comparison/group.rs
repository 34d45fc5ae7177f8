//! [`Group`]: parts that are looked at together.

use std::collections::BTreeMap;

use super::AsFound;
use crate::engine::parts::{Kind, Material};
use crate::engine::statistics::Quartiles;

/// Feature by which parts are put together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    Kind,
    /// Kind and material.
    Material,
    /// Kind and decade of age.
    Age,
}

/// Parts that are looked at together.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// Common property.
    pub name: String,
    /// Number of parts.
    pub parts: usize,
    /// Number of parts that are open, and so have no drift.
    pub open: usize,
    /// Their drift; `None` if all are open.
    pub drift: Option<Quartiles>,
    /// Number of parts outside of their bands.
    pub beyond: usize,
}

/// Key that sorts parts into groups. Its order is that of the groups.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Key {
    kind: Kind,
    material: Option<Material>,
    age: Age,
}

/// The age that the parts of a group have in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Age {
    /// Parts are not put together by age.
    Any,
    /// Not known.
    Unknown,
    /// Tens of years.
    Decade(i32),
}

impl Age {
    fn of(part: &AsFound) -> Self {
        let decade = |age: i32| Self::Decade(age.div_euclid(10));
        part.age.map_or(Self::Unknown, decade)
    }
}

impl Key {
    /// The group that a part belongs to.
    pub(super) fn of(part: &AsFound, by: By) -> Self {
        let key = Self::without_age(part, by);
        match by {
            By::Age => Self {
                age: Age::of(part),
                ..key
            },
            By::Kind | By::Material => key,
        }
    }

    /// The group whose drift is held against age.
    pub(super) fn without_age(part: &AsFound, by: By) -> Self {
        Self {
            kind: part.kind,
            material: part.material.filter(|_| by == By::Material),
            age: Age::Any,
        }
    }

    /// Name for people.
    pub(super) fn name(self, by: By) -> String {
        let kind = self.kind;
        let has_materials = Material::ALL.iter().any(|material| material.suits(kind));
        let name = match self.material {
            Some(material) => format!("{material} {kind}"),
            None if by == By::Material && has_materials => format!("{kind}, material not stated"),
            None => kind.to_string(),
        };
        match self.age {
            Age::Decade(tens) => format!("{name}, {} to {} years", tens * 10, tens * 10 + 9),
            Age::Unknown => format!("{name}, age not known"),
            Age::Any => name,
        }
    }
}

/// The groups of these parts, those of a kind one after the other.
pub fn groups(parts: &[AsFound], by: By) -> Vec<Group> {
    let mut sorted: BTreeMap<Key, Vec<&AsFound>> = BTreeMap::new();
    for part in parts {
        sorted.entry(Key::of(part, by)).or_default().push(part);
    }
    let group = |(key, parts): (Key, Vec<&AsFound>)| Group {
        name: key.name(by),
        parts: parts.len(),
        open: parts.iter().filter(|part| part.drift.is_none()).count(),
        drift: Quartiles::of(parts.iter().filter_map(|part| part.drift)),
        beyond: parts.iter().filter(|part| part.beyond).count(),
    };
    sorted.into_iter().map(group).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(material: Option<Material>, age: Option<i32>, drift: Option<f64>) -> AsFound {
        AsFound {
            job: 0,
            kind: Kind::Resistor,
            material,
            age,
            drift,
            beyond: drift.is_none_or(|drift| drift > 0.1),
        }
    }

    #[test]
    fn parts_are_put_together_by_what_they_have_in_common() {
        let parts = [
            part(Some(Material::Carbon), Some(61), Some(0.3)),
            part(Some(Material::Carbon), Some(69), Some(0.1)),
            part(Some(Material::Film), Some(70), Some(0.0)),
            part(None, None, None),
        ];
        let names = |by| -> Vec<String> {
            let groups = groups(&parts, by);
            groups.into_iter().map(|group| group.name).collect()
        };
        assert_eq!(names(By::Kind), ["resistor"]);
        assert_eq!(
            names(By::Material),
            [
                "resistor, material not stated",
                "carbon resistor",
                "film resistor"
            ]
        );
        assert_eq!(
            names(By::Age),
            [
                "resistor, age not known",
                "resistor, 60 to 69 years",
                "resistor, 70 to 79 years"
            ]
        );
        let all = &groups(&parts, By::Kind)[0];
        assert_eq!((all.parts, all.open, all.beyond), (4, 1, 2));
        assert_eq!(all.drift.unwrap().median, 0.1);
    }
}
