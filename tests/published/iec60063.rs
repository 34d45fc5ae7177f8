//! Preferred values: IEC 60063, as the general-purpose Python library `eseries` 1.2.1 tabulates and searches them.

use probewright::face::engine::quantity::Series;

/// The members of the series up to E24, and of E48, in full.
#[test]
fn members() {
    let tens = |series: Series| {
        series
            .members()
            .map(|member| member / 10)
            .collect::<Vec<u16>>()
    };
    assert_eq!(tens(Series::E3), [10, 22, 47]);
    assert_eq!(tens(Series::E6), [10, 15, 22, 33, 47, 68]);
    assert_eq!(
        tens(Series::E12),
        [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82]
    );
    let e24 = [
        10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82,
        91,
    ];
    assert_eq!(tens(Series::E24), e24);
    let e48 = [
        100, 105, 110, 115, 121, 127, 133, 140, 147, 154, 162, 169, 178, 187, 196, 205, 215, 226,
        237, 249, 261, 274, 287, 301, 316, 332, 348, 365, 383, 402, 422, 442, 464, 487, 511, 536,
        562, 590, 619, 649, 681, 715, 750, 787, 825, 866, 909, 953,
    ];
    assert_eq!(Series::E48.members().collect::<Vec<u16>>(), e48);
}

/// Counts and sums of every series (E24 and coarser as two figures), and the one exception to the rounding rule.
#[test]
fn counts_and_sums() {
    let table = [
        (Series::E3, 3, 790),
        (Series::E6, 6, 1950),
        (Series::E12, 12, 4290),
        (Series::E24, 24, 9010),
        (Series::E48, 48, 18313),
        (Series::E96, 96, 37070),
        (Series::E192, 192, 74599),
    ];
    for (series, count, sum) in table {
        assert_eq!(series.members().count(), count, "{}", series.name());
        assert_eq!(
            series.members().map(u32::from).sum::<u32>(),
            sum,
            "{}",
            series.name()
        );
    }
    assert!(Series::E192.members().any(|member| member == 920));
    assert!(!Series::E192.members().any(|member| member == 919));
}

/// E48 is every fourth and E96 every second member of E192; of E24 only six values are in E96.
#[test]
fn one_series_within_another() {
    let e192: Vec<u16> = Series::E192.members().collect();
    assert!(Series::E96.members().eq(e192.iter().copied().step_by(2)));
    assert!(Series::E48.members().eq(e192.iter().copied().step_by(4)));
    let shared: Vec<u16> = Series::E24
        .members()
        .filter(|member| Series::E96.members().any(|other| other == *member))
        .collect();
    assert_eq!(shared, [100, 110, 130, 150, 200, 750]);
}

/// Neighbours of old values. The library takes the nearest by difference; in every line here that is the nearest by ratio
/// too, but for 40 µF in E6, midway by difference, where 47 µF is nearer by ratio (1.175 against 1.212).
#[test]
fn neighbours_of_old_values() {
    let table = [
        (8e-6, Series::E6, 6.8e-6, 10e-6, 6.8e-6),
        (8e-6, Series::E12, 8.2e-6, 8.2e-6, 6.8e-6),
        (16e-6, Series::E6, 15e-6, 22e-6, 15e-6),
        (20e-6, Series::E6, 22e-6, 22e-6, 15e-6),
        (25e-6, Series::E6, 22e-6, 33e-6, 22e-6),
        (32e-6, Series::E6, 33e-6, 33e-6, 22e-6),
        (40e-6, Series::E6, 47e-6, 47e-6, 33e-6),
        (40e-6, Series::E12, 39e-6, 47e-6, 39e-6),
        (50e-6, Series::E12, 47e-6, 56e-6, 47e-6),
        (25e3, Series::E24, 24e3, 27e3, 24e3),
        (50e3, Series::E24, 51e3, 51e3, 47e3),
        (250e3, Series::E24, 240e3, 270e3, 240e3),
        (500e3, Series::E24, 510e3, 510e3, 470e3),
    ];
    for (wanted, series, nearest, above, below) in table {
        let found = (
            series.nearest(wanted),
            series.at_or_above(wanted),
            series.at_or_below(wanted),
        );
        assert_eq!(
            found,
            (Some(nearest), Some(above), Some(below)),
            "{wanted} in {}",
            series.name()
        );
    }
}
