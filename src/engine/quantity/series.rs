//! [`Series`]: the preferred values of IEC 60063.

use super::written_number::{Decimal, tidy};
use strum::{EnumString, IntoStaticStr, VariantArray};

/// The historical members of E24; E12, E6 and E3 are every second, fourth and eighth of them (IEC 60063).
const E24: [u16; 24] = [
    100, 110, 120, 130, 150, 160, 180, 200, 220, 240, 270, 300, 330, 360, 390, 430, 470, 510, 560,
    620, 680, 750, 820, 910,
];

/// A series of preferred values: so many to the decade.
#[derive(Debug, Clone, Copy, PartialEq, Eq, EnumString, IntoStaticStr, VariantArray)]
#[strum(ascii_case_insensitive)]
pub enum Series {
    /// Three to the decade.
    E3,
    /// Six to the decade, usual at 20 %.
    E6,
    /// Twelve to the decade, usual at 10 %.
    E12,
    /// Twenty-four to the decade, usual at 5 %.
    E24,
    /// Forty-eight to the decade, usual at 2 %.
    E48,
    /// Ninety-six to the decade, usual at 1 %.
    E96,
    /// A hundred and ninety-two to the decade, usual at 0.5 % and closer.
    E192,
}

words!(Series: ALL, name);

impl Series {
    /// The series of that [name](Self::name), upper and lower case alike.
    pub fn named(text: &str) -> Option<Self> {
        text.trim().parse().ok()
    }

    /// Every member from `lower` to `upper`, both included, in ascending order; none if they are not finite, not above
    /// zero or crossed.
    pub fn between(self, lower: f64, upper: f64) -> Vec<f64> {
        let (Some((lower, first)), Some((upper, last))) = (split(lower), split(upper)) else {
            return Vec::new();
        };
        let decades = first..=last;
        let members = decades.flat_map(|decade| self.members().map(move |m| scaled(m, decade)));
        members
            .filter(|member| lower <= *member && *member <= upper)
            .collect()
    }

    /// Number of members to the decade.
    pub const fn count(self) -> usize {
        match self {
            Self::E3 => 3,
            Self::E6 => 6,
            Self::E12 => 12,
            Self::E24 => 24,
            Self::E48 => 48,
            Self::E96 => 96,
            Self::E192 => 192,
        }
    }

    /// The members of one decade, as three figures, from 100 upward.
    ///
    /// E48 to E192 are ten to the power m/n rounded to three figures, but for 920 in E192 where the rule gives 919;
    /// E24 and coarser are a table, because they do not follow the rule.
    pub fn members(self) -> impl DoubleEndedIterator<Item = u16> + Clone {
        let count = self.count();
        (0..count).map(move |index| {
            if count <= 24 {
                E24[index * (24 / count)]
            } else {
                rounded_member(index, count)
            }
        })
    }

    /// The member nearest to `value`, by ratio; of two equally near the lower one.
    ///
    /// By ratio, because a tolerance is one: 40 lies midway between 33 and 47 by difference and nearer to 47 by ratio.
    /// `None` if `value` is not above zero, not finite, or so near the end of the numbers that its neighbours are not.
    pub fn nearest(self, value: f64) -> Option<f64> {
        let (below, above) = (self.at_or_below(value)?, self.at_or_above(value)?);
        Some(if value / below > above / value {
            above
        } else {
            below
        })
    }

    /// The smallest member that is not below `value`. `None` as for [`Series::nearest`].
    pub fn at_or_above(self, value: f64) -> Option<f64> {
        let (wanted, decade) = split(value)?;
        let members = self.members().map(|member| scaled(member, decade));
        members
            .chain([scaled(100, decade + 1)])
            .find(|member| *member >= wanted)
            .filter(|member| member.is_finite())
    }

    /// The largest member that is not above `value`. `None` as for [`Series::nearest`].
    pub fn at_or_below(self, value: f64) -> Option<f64> {
        let (wanted, decade) = split(value)?;
        let mut members = self.members().rev().map(|member| scaled(member, decade));
        members
            .find(|member| *member <= wanted)
            .filter(|member| *member > 0.0)
    }
}

/// Member `index` of the rounded series with `count` members.
fn rounded_member(index: usize, count: usize) -> u16 {
    // IEC 60063 has 920 where the rounding rule gives 919: the one exception.
    if index * 192 == 185 * count {
        920
    } else {
        libm::round(100.0 * libm::pow(10.0, index as f64 / count as f64)) as u16
    }
}

/// The value without binary noise, and the power of ten of its first figure.
fn split(value: f64) -> Option<(f64, i32)> {
    let usable = value.is_finite() && value > 0.0;
    usable
        .then(|| tidy(value))
        .map(|wanted| (wanted, Decimal::shortest(wanted).exponent()))
}

/// A member of three figures in the decade that begins at ten to `decade`.
fn scaled(member: u16, decade: i32) -> f64 {
    format!("{member}e{}", decade - 2)
        .parse()
        .unwrap_or(f64::NAN)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn a_member_is_its_own_neighbour() {
        for series in Series::ALL {
            for member in series.members() {
                let value = scaled(member, -7);
                assert_eq!(series.nearest(value), Some(value));
                assert_eq!(series.at_or_above(value), Some(value));
                assert_eq!(series.at_or_below(value), Some(value));
            }
        }
    }

    #[test]
    fn the_next_decade_is_a_neighbour() {
        assert_eq!(Series::E6.at_or_above(7.0), Some(10.0));
        assert_eq!(Series::E6.nearest(9.9), Some(10.0));
        assert_eq!(Series::E6.at_or_below(9.9), Some(6.8));
    }

    #[test]
    fn what_is_no_value_has_no_neighbour() {
        for value in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(Series::E12.nearest(value), None);
        }
        assert_eq!(Series::E12.at_or_above(f64::MAX), None);
    }

    proptest! {
        #[test]
        fn neighbours_enclose_the_value(value in proptest::num::f64::POSITIVE | proptest::num::f64::NORMAL) {
            for series in Series::ALL {
                if let (Some(below), Some(above)) = (series.at_or_below(value), series.at_or_above(value)) {
                    prop_assert!(below <= tidy(value) && tidy(value) <= above);
                    prop_assert!(above / below < 2.3);
                }
            }
        }
    }
}
