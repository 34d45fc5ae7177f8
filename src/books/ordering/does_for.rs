//! Whether one article can be used where another is asked for.

use crate::engine::judge::safety::class_data;
use crate::engine::parts::Article;
use crate::engine::quantity::{Band, Rating};

/// How far two nominal values may lie apart and still be the same one, as a share: less than half a step of E192, more than
/// what rounding a marking does.
const SAME_VALUE: f64 = 0.004;

/// How much more voltage or power an article may be made for and still be merged with one that asks for less: half as much
/// again, so that what is bought still fits where the smaller one would (common practice, no source).
const MERGED_UP_TO: f64 = 1.5;

/// Whether `shelf` can be used where `asked` is: the same kind and nominal value, the material where one is asked for, no
/// lower rating of any sort that is asked for, every safety class, and no wider tolerance than one that is stated.
pub(super) fn does_for(shelf: &Article, asked: &Article) -> bool {
    shelf.kind == asked.kind
        && same_value(shelf, asked)
        && asked
            .material
            .is_none_or(|material| shelf.material == Some(material))
        && holds(&shelf.rating, &asked.rating)
        && asked.tolerance.is_none_or(|tolerance| {
            let asked_band = tolerance.band(asked.nominal);
            within(shelf.tolerance_or_usual().band(asked.nominal), asked_band)
        })
}

/// Whether what is bought is not made for much more than what was asked for.
pub(super) fn not_much_more(bought: &Article, asked: &Article) -> bool {
    let near = |bought: Option<f64>, asked: Option<f64>| match (bought, asked) {
        (Some(bought), Some(asked)) => bought <= MERGED_UP_TO * asked,
        (Some(_), None) => false,
        (None, _) => true,
    };
    near(bought.rating.dc_volts, asked.rating.dc_volts)
        && near(bought.rating.ac_volts, asked.rating.ac_volts)
        && near(bought.rating.watts, asked.rating.watts)
}

fn same_value(one: &Article, other: &Article) -> bool {
    let (a, b) = (one.nominal, other.nominal);
    let largest = a.value().abs().max(b.value().abs());
    a.quantity() == b.quantity() && (a.value() - b.value()).abs() <= SAME_VALUE * largest
}

fn holds(shelf: &Rating, asked: &Rating) -> bool {
    let enough = |shelf: Option<f64>, asked: Option<f64>| {
        asked.is_none_or(|asked| shelf.is_some_and(|shelf| shelf >= asked))
    };
    let classed = asked.classes.iter().all(|wanted| {
        let mut classes = shelf.classes.iter();
        classes.any(|class| class_data(*class).may_replace(*wanted))
    });
    enough(shelf.dc_volts, asked.dc_volts)
        && enough(shelf.ac_volts, asked.ac_volts)
        && enough(shelf.watts, asked.watts)
        && classed
}

/// Whether the one band lies in the other, up to the last figures.
fn within(inner: Band, outer: Band) -> bool {
    let slack = 1e-9 * inner.upper().abs().min(outer.upper().abs());
    inner.lower() >= outer.lower() - slack && inner.upper() <= outer.upper() + slack
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::quantity::Drawing;

    fn ok(shelf: &str, asked: &str) -> bool {
        let article = |text: &str| Article::parse(text, Drawing::default()).unwrap();
        does_for(&article(shelf), &article(asked))
    }

    #[test]
    fn more_voltage_or_power_does_and_less_does_not() {
        assert!(ok("47uF 450V electrolytic", "47uF 350V electrolytic"));
        assert!(!ok("47uF 350V electrolytic", "47uF 450V electrolytic"));
        assert!(ok("220k 1W film", "220k 1/2W film"));
        assert!(!ok("220k film", "220k 1/2W film"));
        assert!(!ok("220k 1W film", "240k 1/2W film"));
    }

    #[test]
    fn a_material_that_is_asked_for_must_be_it() {
        assert!(ok("47nF 630V film", "47nF 630V"));
        assert!(!ok("47nF 630V", "47nF 630V film"));
        assert!(!ok("47nF 630V ceramic", "47nF 630V film"));
    }

    #[test]
    fn a_y_capacitor_does_for_an_x_one_and_never_the_other_way_round() {
        assert!(ok("10nF Y2 300V~", "10nF X2 275V~"));
        assert!(!ok("10nF X2 300V~", "10nF Y2 275V~"));
    }

    #[test]
    fn a_stated_tolerance_may_be_closer_and_not_wider() {
        assert!(ok("100k 1% film", "100k 5% film"));
        assert!(!ok("100k 10% film", "100k 5% film"));
        assert!(ok("100k film", "100k 5% film"));
        assert!(!ok("100k carbon", "100k 5% carbon"));
    }
}
