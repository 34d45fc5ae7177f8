//! Substitutes against tables and rules that the project did not make.

use approx::assert_relative_eq;
use probewright::face::books::substitute::{
    Answer, Arrangement, Combination, Goods, Want, nearest_pairs, substitutes,
};
use probewright::face::engine::judge::Policy;
use probewright::face::engine::judge::safety::{Mains, Places};
use probewright::face::engine::parts::{Article, ListSettings, read};
use probewright::face::engine::quantity::{Band, Drawing, SafetyClass, Series};

fn ask(text: &str) -> Answer {
    let article = Article::parse(text, Drawing::default()).unwrap();
    substitutes(&Want::of_article(&article), &Goods::default(), 10)
}

/// The values of the single parts of that material, in the order of the answer.
fn values(answer: &Answer, material: &str) -> Vec<f64> {
    let choices = answer.choices.iter().filter(|choice| {
        let of = choice.articles[0].material.map(|one| one.to_string());
        of.as_deref() == Some(material) && choice.arrangement == Arrangement::Single
    });
    choices.map(|choice| choice.value.value()).collect()
}

/// Values that the trade puts in for old electrolytics (common practice, no source; the preferred values themselves are those of IEC
/// 60063).
#[test]
fn old_electrolytics_get_the_values_that_the_trade_puts_in() {
    for (old, new) in [
        ("8uF", 10e-6),
        ("16uF", 22e-6),
        ("20uF", 22e-6),
        ("32uF", 33e-6),
        ("40uF", 47e-6),
        ("50uF", 47e-6),
    ] {
        let found = values(&ask(&format!("{old} 350V electrolytic")), "electrolytic");
        assert_relative_eq!(found[0], new, max_relative = 1e-12);
    }
    let fifty = values(&ask("50uF 350V electrolytic"), "electrolytic");
    assert!(
        fifty.iter().any(|value| (value - 56e-6).abs() < 1e-12),
        "{fifty:?}"
    );
}

/// Nearest members of E24 by IEC 60063, as a general-purpose library computes them: 25 k: 24 k, 250 k: 240 k, 500 k: 510 k.
#[test]
fn old_decimal_resistors_get_the_nearest_of_e24() {
    for (old, new) in [
        ("25k", 24e3),
        ("50k", 51e3),
        ("250k", 240e3),
        ("500k", 510e3),
    ] {
        let answer = ask(&format!("{old} 1/4W carbon"));
        let carbon_film = answer
            .choices
            .iter()
            .find(|choice| choice.sort == "carbon film");
        assert_relative_eq!(
            carbon_film.unwrap().value.value(),
            new,
            max_relative = 1e-12
        );
    }
}

/// At least 1.2 times the highest direct voltage that can occur, so that it is at most 80 % (rounded) of the rating: a radio
/// magazine of March 1993. 1.2 × 380 V = 456 V, by arithmetic.
#[test]
fn the_working_voltage_asks_for_a_fifth_more() {
    let article = Article::parse("32uF 450V electrolytic", Drawing::default()).unwrap();
    let want = Want::of_article(&article).at_volts(380.0);
    assert_relative_eq!(want.least_volts().unwrap(), 456.0, max_relative = 1e-12);
    let answer = substitutes(&want, &Goods::default(), 10);
    assert!(!answer.choices.is_empty());
    for choice in answer.choices {
        assert!(
            choice.articles[0].rating.dc_volts.unwrap() >= 456.0,
            "{choice}"
        );
    }
    assert_eq!(
        Want::of_article(&article).at_volts(350.0).least_volts(),
        Some(450.0)
    );
}

/// 12.9 V across 270 Ω are 0.616333 W (by definition, V²/R); run at half its rating or less (common practice) that asks for
/// 1.232667 W.
#[test]
fn a_cathode_resistor_runs_at_half_its_rating() {
    let text = "ref,kind,value,tolerance,rating,material,role,with\nR5,resistor,270R,10%,1W,carbon,cathode bias,12.9V\n";
    let list = read(text.as_bytes(), &ListSettings::default()).unwrap();
    let want = Want::of_part(
        &list.parts[0],
        &list.parts,
        &Policy::default(),
        &Places::default(),
    )
    .unwrap();
    assert_relative_eq!(
        want.dissipated_watts.unwrap(),
        0.616_333,
        max_relative = 1e-6
    );
    assert_relative_eq!(want.least_watts().unwrap(), 1.232_667, max_relative = 1e-6);
    for choice in substitutes(&want, &Goods::default(), 10).choices {
        assert!(choice.articles[0].rating.watts.unwrap() >= 2.0, "{choice}");
    }
}

/// The resistor at chassis of 220 kΩ over 47 kΩ from 250 V stands at 44.0074906 V (a general-purpose library), so it turns
/// 44.0074906²/47 000 W into heat.
#[test]
fn the_voltage_of_a_divider_is_that_across_the_part() {
    let text = "\
ref,kind,value,tolerance,rating,material,role,from,to,with
R6,resistor,220k,10%,1W,carbon,divider,HT,S,R7 250V
R7,resistor,47k,10%,1W,carbon,divider,S,chassis,R6 250V
";
    let list = read(text.as_bytes(), &ListSettings::default()).unwrap();
    let want = Want::of_part(
        &list.parts[1],
        &list.parts,
        &Policy::default(),
        &Places::default(),
    )
    .unwrap();
    assert_relative_eq!(
        want.working_volts.unwrap(),
        44.007_490_6,
        max_relative = 1e-8
    );
    let expected = 44.007_490_6 * 44.007_490_6 / 47e3;
    assert_relative_eq!(
        want.dissipated_watts.unwrap(),
        expected,
        max_relative = 1e-8
    );
}

/// Across the mains X (a Y may stand in), from line to chassis Y and never X: IEC 60384-14 as quoted in public texts. The
/// largest capacitance for 0.25 mA is 3.4598901 nF at 230 V 50 Hz and 5.5262133 nF at 120 V 60 Hz (2πfCV, a general-purpose
/// library; the limit of IEC 60950-1, table 5A, quoted on a public mailing list).
#[test]
fn at_the_mains_class_and_touch_current_decide() {
    let text = "\
ref,kind,value,rating,material,role
C1,capacitor,.1 MFD,600V,paper,across the line
C2,capacitor,.05 MFD,600V,paper,line to chassis
";
    let list = read(text.as_bytes(), &ListSettings::default()).unwrap();
    let is_x = |class: &SafetyClass| class.name().starts_with('X');
    for (volts, hertz, largest) in [(230.0, 50.0, 3.459_890_1e-9), (120.0, 60.0, 5.526_213_3e-9)] {
        let places = Places::of(&list.parts, Mains::new(volts, hertz).ok(), None);
        let answer = |at: usize| {
            let part = &list.parts[at];
            let want = Want::of_part(part, &list.parts, &Policy::default(), &places).unwrap();
            let ceiling = want.ceiling.as_ref().map(|one| one.value);
            (substitutes(&want, &Goods::default(), 20), ceiling)
        };
        let (across, none) = answer(0);
        assert_eq!(none, None);
        assert!(across.choices.len() >= 2);
        let (chassis, ceiling) = answer(1);
        assert_relative_eq!(ceiling.unwrap(), largest, max_relative = 1e-7);
        assert!(!chassis.choices.is_empty());
        for choice in across.choices.iter().chain(&chassis.choices) {
            let rating = &choice.articles[0].rating;
            assert_eq!(choice.articles.len(), 1);
            assert!(
                !rating.classes.is_empty() && rating.ac_volts.unwrap() >= volts,
                "{choice}"
            );
        }
        for choice in &chassis.choices {
            let classes = &choice.articles[0].rating.classes;
            assert!(classes.iter().any(|class| !is_x(class)), "{choice}");
            assert!(choice.worst.upper() <= largest, "{choice}");
        }
        // Y1 bridges reinforced insulation, and is safe whether or not the chassis is earthed.
        assert!(
            chassis.choices[0].articles[0]
                .rating
                .classes
                .contains(&SafetyClass::Y1)
        );
    }
}

/// 16 µF in series with 32 µF: 10.66666667 µF; 100 kΩ beside 220 kΩ: 68 750 Ω; 1 MΩ beside 470 kΩ: 319 727.8912 Ω (by
/// definition).
#[test]
fn pairs_make_what_they_make_by_definition() {
    use probewright::face::engine::parts::Kind::{Capacitor, Resistor};
    let of = |arrangement: Arrangement, kind, a, b| arrangement.combination(kind).unwrap().of(a, b);
    let close = |found, expected| assert_relative_eq!(found, expected, max_relative = 1e-9);
    close(
        of(Arrangement::Series, Capacitor, 16e-6, 32e-6),
        10.666_666_67e-6,
    );
    close(of(Arrangement::Parallel, Resistor, 100e3, 220e3), 68_750.0);
    close(
        of(Arrangement::Parallel, Resistor, 1e6, 470e3),
        319_727.891_156_5,
    );
    close(of(Arrangement::Series, Resistor, 47e3, 3.3e3), 50.3e3);
    close(of(Arrangement::Parallel, Capacitor, 22e-9, 3.3e-9), 25.3e-9);
}

/// Two parts of 100 kΩ ± 10 % in parallel: 45 kΩ to 55 kΩ at worst. 100 kΩ beside 220 kΩ, each ± 10 %: 61 875 Ω to 75 625 Ω (by
/// definition). For rectangular distributions u = a/√3 (JCGM 100:2008, 4.3.7, clause from memory), and two alike in series have
/// U = 2 √2 a/√3 = 1.632993 a.
#[test]
fn bands_of_pairs_are_those_of_arithmetic() {
    let row = "\n[[goods]]\nname = 'a'\nkind = 'resistor'\nmaterial = 'film'\nfrom = '100k'\nto = '220k'\nseries = 'E3'\ntolerance = '10%'\nratings = ['1/2W 500V']\nsource = 'x'\n";
    let goods = Goods::parse(row).unwrap();
    let pair = |text: &str| {
        let article = Article::parse(text, Drawing::default()).unwrap();
        let answer = substitutes(&Want::of_article(&article).with_pairs(), &goods, 10);
        answer
            .choices
            .into_iter()
            .find(|one| one.articles.len() == 2)
            .unwrap()
    };
    let band = |band: Band| (band.lower(), band.upper());
    let beside = pair("68.75k 1/2W 15% film");
    assert_eq!(beside.arrangement, Arrangement::Parallel);
    assert_relative_eq!(band(beside.worst).0, 61_875.0, max_relative = 1e-9);
    assert_relative_eq!(band(beside.worst).1, 75_625.0, max_relative = 1e-9);
    // 220 kΩ takes 100/320 of the current, and the smaller one 220/320.
    assert_relative_eq!(
        beside.shares[0].current.nominal,
        0.6875,
        max_relative = 1e-12
    );
    let in_series = pair("200k 1/2W 15% film");
    assert_relative_eq!(band(in_series.worst).1, 220e3, max_relative = 1e-9);
    let likely = band(in_series.statistical).1 - 200e3;
    assert_relative_eq!(likely, 1.632_993_162 * 10e3, max_relative = 1e-9);
}

/// 50 kΩ is what 47 kΩ and 3 kΩ make, members of E24 (IEC 60063), exactly; 25 kΩ two of 50 kΩ would, which is no member.
#[test]
fn an_old_decimal_value_is_hit_exactly_by_two_preferred_ones() {
    let values = Series::E24.between(1.0, 10e6);
    let within = Band::new(49e3, 51e3).unwrap();
    let found = nearest_pairs(&values, Combination::Sum, 50e3, within, 5, |_, _| true);
    assert!(
        found
            .iter()
            .any(|pair| pair.smaller == 3e3 && pair.larger == 47e3),
        "{found:?}"
    );
    assert!(
        found
            .iter()
            .all(|pair| pair.value == 50e3 || found[0].value == 50e3)
    );
    let found = nearest_pairs(&values, Combination::Reciprocal, 50e3, within, 1, |_, _| {
        true
    });
    assert_eq!((found[0].smaller, found[0].larger), (100e3, 100e3));
}
