//! [`Decimal`]: a number as decimal figures, so that moving the point loses nothing.

/// Figures `d.ddd` times ten to `exponent`.
pub(super) struct Decimal {
    negative: bool,
    figures: String,
    exponent: i32,
}

impl Decimal {
    /// The shortest figures that read back as `value`, which is finite.
    pub(super) fn shortest(value: f64) -> Self {
        Self::from_scientific(&format!("{value:e}"))
    }

    /// `value`, which is finite, rounded to `count` significant figures (at least one, at most seventeen).
    pub(super) fn rounded(value: f64, count: usize) -> Self {
        Self::from_scientific(&format!("{value:.*e}", count.clamp(1, 17) - 1))
    }

    /// Takes apart what the standard formatter writes: `-4.7e3`.
    fn from_scientific(text: &str) -> Self {
        let (mantissa, exponent) = text.split_once('e').unwrap_or((text, "0"));
        let figures: String = mantissa.chars().filter(char::is_ascii_digit).collect();
        Self {
            negative: mantissa.starts_with('-'),
            figures,
            exponent: exponent.parse().unwrap_or(0),
        }
    }

    /// The power of ten of the first figure.
    pub(super) const fn exponent(&self) -> i32 {
        self.exponent
    }

    /// The number itself, correctly rounded.
    pub(super) fn value(&self) -> f64 {
        let sign = if self.negative { "-" } else { "" };
        let (first, others) = self.figures.split_at(1.min(self.figures.len()));
        format!("{sign}{first}.{others}e{}", self.exponent)
            .parse()
            .unwrap_or(f64::NAN)
    }

    /// The number divided by ten to `shift`, written without an exponent and without idle zeros at the end.
    pub(super) fn divided_by_power_of_ten(&self, shift: i32) -> String {
        let kept = self.figures.trim_end_matches('0');
        let before_point = self.exponent - shift + 1;
        let mut text = String::from(if self.negative { "-" } else { "" });
        match usize::try_from(before_point) {
            _ if kept.is_empty() => text.push('0'),
            Ok(count) if count >= kept.len() => {
                text.push_str(kept);
                text.extend(std::iter::repeat_n('0', count - kept.len()));
            }
            Ok(count) if count > 0 => {
                text.push_str(&kept[..count]);
                text.push('.');
                text.push_str(&kept[count..]);
            }
            _ => {
                text.push_str("0.");
                text.extend(std::iter::repeat_n(
                    '0',
                    before_point.unsigned_abs() as usize,
                ));
                text.push_str(kept);
            }
        }
        text
    }
}

/// `value` rounded to fourteen significant figures: takes back what binary arithmetic added to a decimal result.
pub(super) fn tidy(value: f64) -> f64 {
    // Whole numbers of fewer figures are tidy; this is the quick way for most resistances.
    if value.abs() < 1e14 && value.fract() == 0.0 {
        return value;
    }
    format!("{value:.13e}").parse().unwrap_or(value)
}

/// Ten to `power`, correctly rounded.
pub(super) fn power_of_ten(power: i32) -> f64 {
    format!("1e{power}").parse().unwrap_or(f64::NAN)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_point_moves_without_rounding() {
        let written = |value, shift| Decimal::shortest(value).divided_by_power_of_ten(shift);
        assert_eq!(written(4700.0, 3), "4.7");
        assert_eq!(written(4700.0, 0), "4700");
        assert_eq!(written(47e-9, -9), "47");
        assert_eq!(written(47e-9, -6), "0.047");
        assert_eq!(written(0.33e-12, -12), "0.33");
        assert_eq!(written(-1e6, 6), "-1");
        assert_eq!(written(0.0, 3), "0");
    }

    #[test]
    fn tidying_takes_back_binary_noise() {
        assert_eq!(tidy(0.1 + 0.2).to_bits(), 0.3_f64.to_bits());
        assert_eq!(
            tidy(47e-9 + 47e-9 * 10.0 / 100.0).to_bits(),
            51.7e-9_f64.to_bits()
        );
        assert!(tidy(f64::INFINITY).is_infinite());
    }
}
