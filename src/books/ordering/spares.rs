//! [`Spares`]: how many more than needed are to be bought.

use std::str::FromStr;

use thiserror::Error;

/// How many more than needed are to be bought of each article.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spares {
    /// That many.
    Count(u32),
    /// That many per cent of what is needed, rounded up.
    Percent(f64),
}

/// A text says no number of spares.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error(
    "found `{found}`, expected a number of spares for each article such as `1`, or per cent such as `10%`"
)]
pub struct NoSpares {
    /// The text.
    pub found: String,
}

impl Spares {
    /// The spares for so many needed; none where none are.
    pub fn of(self, needed: u32) -> u32 {
        match self {
            _ if needed == 0 => 0,
            Self::Count(count) => count,
            Self::Percent(percent) => (f64::from(needed) * percent / 100.0).ceil() as u32,
        }
    }
}

impl FromStr for Spares {
    type Err = NoSpares;

    fn from_str(text: &str) -> Result<Self, NoSpares> {
        let none = || NoSpares {
            found: text.to_owned(),
        };
        match text.trim().strip_suffix('%') {
            Some(percent) => percent
                .trim()
                .parse()
                .ok()
                .filter(|percent| (0.0..=1000.0).contains(percent))
                .map(Self::Percent)
                .ok_or_else(none),
            None => match text.trim().parse() {
                Ok(count) if count <= 1000 => Ok(Self::Count(count)),
                _ => Err(none()),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spares_are_a_number_or_a_share_rounded_up() {
        assert_eq!("2".parse::<Spares>().unwrap().of(5), 2);
        assert_eq!("10%".parse::<Spares>().unwrap().of(5), 1);
        assert_eq!("10 %".parse::<Spares>().unwrap().of(20), 2);
        assert_eq!("10%".parse::<Spares>().unwrap().of(0), 0);
        for text in ["", "-1", "few", "1.5", "-5%", "NaN%"] {
            assert!(text.parse::<Spares>().is_err(), "{text}");
        }
    }
}
