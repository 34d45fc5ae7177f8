//! Numbers of any unit in three significant figures, for the sentences of this room.

/// Prefixes from pico to giga, with their powers of ten.
const PREFIXES: [(i32, &str); 8] = [
    (9, "G"),
    (6, "M"),
    (3, "k"),
    (0, ""),
    (-3, "m"),
    (-6, "µ"),
    (-9, "n"),
    (-12, "p"),
];

/// `value` in three significant figures with a prefix and `unit`: `33.9 Hz`, `1.27 kHz`, `47.8 mA`.
pub(super) fn figure(value: f64, unit: &str) -> String {
    if !value.is_finite() {
        return format!("{value} {unit}");
    }
    let rounded = round_to_three(value);
    let (power, prefix) = prefix_of(rounded);
    format!("{} {prefix}{unit}", plain(rounded, power))
}

/// `percent` with its sign, in two figures behind the point at most: `+20 %`, `-0.35 %`.
pub(super) fn signed_percent(percent: f64) -> String {
    let rounded = round_to_three(percent);
    if rounded == 0.0 {
        return "0 %".to_owned();
    }
    format!("{rounded:+} %")
}

/// The number nearest to `value` that three significant figures can write.
fn round_to_three(value: f64) -> f64 {
    format!("{value:.2e}").parse().unwrap_or(value)
}

fn prefix_of(value: f64) -> (i32, &'static str) {
    let exponent = exponent_of(value);
    PREFIXES
        .into_iter()
        .find(|(power, _)| value == 0.0 && *power == 0 || value != 0.0 && exponent >= *power)
        .unwrap_or((-12, "p"))
}

/// The power of ten of the first figure.
fn exponent_of(value: f64) -> i32 {
    let text = format!("{value:e}");
    text.split_once('e')
        .and_then(|(_, exponent)| exponent.parse().ok())
        .unwrap_or(0)
}

/// `value` divided by ten to `power`, without idle zeros; the decimal point is moved in text, so nothing is lost.
fn plain(value: f64, power: i32) -> String {
    let text = format!("{value:e}");
    let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
    let exponent: i32 = exponent.parse().unwrap_or(0);
    let moved: f64 = format!("{mantissa}e{}", exponent - power)
        .parse()
        .unwrap_or(value);
    moved.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_figures_and_a_prefix() {
        assert_eq!(figure(33.862_753, "Hz"), "33.9 Hz");
        assert_eq!(figure(1273.239, "Hz"), "1.27 kHz");
        assert_eq!(figure(0.047_777, "A"), "47.8 mA");
        assert_eq!(figure(999.96, "V"), "1 kV");
        assert_eq!(figure(-17.64, "V"), "-17.6 V");
        assert_eq!(figure(0.0, "V"), "0 V");
        assert_eq!(figure(3.459_89e-9, "F"), "3.46 nF");
        assert_eq!(figure(500.0, "V"), "500 V");
        assert_eq!(figure(f64::INFINITY, "V"), "inf V");
    }

    #[test]
    fn percents_carry_their_sign() {
        assert_eq!(signed_percent(20.0), "+20 %");
        assert_eq!(signed_percent(-16.666_7), "-16.7 %");
        assert_eq!(signed_percent(0.0), "0 %");
    }
}
