//! [`parse_ratio`]: a ratio of turns, as drawings and catalogues write it.

use super::{Amount, MarkedValue, Quantity, ValueError};

/// Reads `38:1`, `1 : 3` (0.333) or a plain number `38`: turns of the primary over those of the secondary.
pub(super) fn parse_ratio(text: &str) -> Result<MarkedValue, ValueError> {
    let text = text.trim();
    let shown = || text.to_owned();
    if text.is_empty() {
        return Err(ValueError::Empty);
    }
    let number = |part: &str| {
        let part = part.trim();
        let plain = part.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+'));
        let number = part.parse::<f64>().ok().filter(|_| plain);
        number.ok_or_else(|| ValueError::NotARatio { text: shown() })
    };
    let (first, second) = text.split_once(':').unwrap_or((text, "1"));
    let (first, second) = (number(first)?, number(second)?);
    if first <= 0.0 || second <= 0.0 {
        return Err(ValueError::NotPositive { text: shown() });
    }
    let amount = Amount::new(Quantity::Ratio, first / second).filter(|ratio| ratio.value() > 0.0);
    Ok(MarkedValue {
        amount: amount.ok_or_else(|| ValueError::OutOfRange { text: shown() })?,
        tolerance: None,
        remarks: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ratio_is_read_in_both_directions_and_as_a_number() {
        let read = |text| parse_ratio(text).map(|value| value.amount.value());
        for text in ["38:1", " 38 : 1 ", "38", "76:2", "3.8e1:1"] {
            assert_eq!(read(text), Ok(38.0), "{text}");
        }
        assert_eq!(read("1:4"), Ok(0.25));
        for text in ["38:1:1", "a:1", ":1", "38:", "inf:1", "38 Ω", "NaN"] {
            assert!(
                matches!(read(text), Err(ValueError::NotARatio { .. })),
                "{text}"
            );
        }
        for text in ["0:1", "38:0", "-38:1"] {
            assert!(
                matches!(read(text), Err(ValueError::NotPositive { .. })),
                "{text}"
            );
        }
        assert!(matches!(
            read("1e300:1e-300"),
            Err(ValueError::OutOfRange { .. })
        ));
    }
}
