//! [`Wording`]: all that a text says of a part: value, tolerance and rating, and the words beside them.
//!
//! The one reader of value cells, articles and the command `value`.

use thiserror::Error;

use super::sections::{self, Can, Slashed};
use super::{Kind, Law, Material, ToleranceOrigin, conduction};
use crate::engine::quantity::{
    Drawing, Marking, MarkingError, Quantity, Rating, Remark, ValueError, parse_marking,
};
use crate::engine::source::Problem;

/// A text about a part, understood: `10K 5%`, `100 ohms 10W WW`, `500K log pot`, `430 ohms CT`.
#[derive(Debug, Clone, PartialEq)]
pub struct Wording {
    /// Value, tolerance and rating, and what had to be decided while reading them.
    pub marking: Marking,
    /// The kind of part, if it was known before or a word names it.
    pub kind: Option<Kind>,
    /// The material, if it was known before or a word names it.
    pub material: Option<Material>,
    /// The law of a potentiometer, if a word names it.
    pub law: Option<Law>,
    /// Where the limit of a part that has only to conduct comes from; `None` for one that has a value.
    pub limit: Option<ToleranceOrigin>,
}

/// Facts about a part from before its text is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Known {
    pub kind: Option<Kind>,
    pub material: Option<Material>,
    /// Whether it was called a choke: a coil if its inductance is listed, else a winding.
    pub is_choke: bool,
    /// Quantity of its value.
    pub quantity: Option<Quantity>,
    /// Habits of its drawing in writing values.
    pub drawing: Drawing,
}

/// Reason why a text says nothing of a part.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum WordingError {
    /// Value, tolerance or rating cannot be read.
    #[error(transparent)]
    Marking(#[from] MarkingError),
    /// Several capacitors in one can.
    #[error("{}", .0.told("C4"))]
    Can(Can),
    /// A text that has two meanings, or a word that does not go with the others.
    #[error(transparent)]
    Said(#[from] Problem),
}

impl WordingError {
    /// Whether the text is good for several quantities.
    pub(super) const fn is_doubt(&self) -> bool {
        matches!(
            self,
            Self::Marking(MarkingError::Value(ValueError::AmbiguousQuantity { .. }))
        )
    }
}

impl Wording {
    /// Reads the text, with the value first and the words in any order behind it.
    ///
    /// # Errors
    /// [`WordingError`] names the word that is not understood, or all meanings of a text that has several.
    pub fn read(text: &str, known: Known) -> Result<Self, WordingError> {
        let words = Words::of(text);
        let is_choke = known.is_choke || words.is_choke;
        let named = words
            .kind
            .filter(|_| !(words.is_choke && known.kind == Some(Kind::Coil)));
        let mut kind = agree("kind", known.kind, named, Kind::name)?;
        if is_choke && kind == Some(Kind::Winding) && words.is_inductance(known.drawing) {
            kind = Some(Kind::Coil);
        }
        let material = agree("material", known.material, words.material, Material::name)?;
        let kind = kind.or_else(|| words.law.map(|_| Kind::Potentiometer));
        let (marking, limit) =
            match kind.and_then(|kind| Some((kind, conduction::default_limit(kind)?))) {
                Some((kind, limit)) => of_conductor(&words.rest, kind, limit, known.drawing)?,
                None => (words.marking(kind, material, known)?, None),
            };
        let mut wording = Self {
            marking,
            kind,
            material,
            law: words.law,
            limit,
        };
        if is_choke && kind == Some(Kind::Coil) && known.kind != kind {
            wording.marking.remarks.push(Remark::ChokeAsCoil);
        }
        Ok(wording)
    }
}

/// The known thing and that of a word, which must be the same where both are there. A potentiometer is a resistor too.
fn agree<T: PartialEq + Copy>(
    what: &str,
    known: Option<T>,
    found: Option<T>,
    name: fn(T) -> &'static str,
) -> Result<Option<T>, Problem> {
    match (known, found) {
        (Some(known), Some(found)) if known != found => Err(Problem(format!(
            "found the {what} `{}` beside the value, expected {} as stated, or no such word",
            name(found),
            name(known)
        ))),
        (known, found) => Ok(known.or(found)),
    }
}

/// A part that has only to conduct: its largest resistance, and where that is from.
fn of_conductor(
    text: &str,
    kind: Kind,
    limit: f64,
    drawing: Drawing,
) -> Result<(Marking, Option<ToleranceOrigin>), Problem> {
    let (value, origin) = conduction::limit(text, kind, limit, drawing)?;
    let marking = Marking {
        amount: value.amount,
        tolerance: value.tolerance,
        rating: Rating::default(),
        remarks: value.remarks,
    };
    Ok((marking, Some(origin)))
}

/// A text with the words taken out that are no value, tolerance or rating.
#[derive(Default)]
struct Words {
    /// The others, in their order.
    rest: String,
    kind: Option<Kind>,
    material: Option<Material>,
    law: Option<Law>,
    has_centre_tap: bool,
    is_choke: bool,
}

impl Words {
    /// Whether the rest is an inductance with its unit.
    fn is_inductance(&self, drawing: Drawing) -> bool {
        parse_marking(&self.rest, Some(Quantity::Inductance), drawing).is_ok()
    }

    /// The longest run of words that means something counts.
    fn of(text: &str) -> Self {
        const LONGEST_RUN: usize = 3;
        let words: Vec<&str> = text.split_whitespace().collect();
        let (mut found, mut rest) = (Self::default(), Vec::new());
        let mut at = 0;
        while at < words.len() {
            let longest = LONGEST_RUN.min(words.len() - at);
            let lengths = (1..=longest).rev();
            let taken = lengths
                .into_iter()
                .find(|length| found.take(words[at..at + length].join(" ").trim_matches(',')));
            if taken.is_none() {
                rest.push(words[at]);
            }
            at += taken.unwrap_or(1);
        }
        found.rest = rest.join(" ");
        found
    }

    /// Takes what the run of words means; a second word of the same sort is left.
    fn take(&mut self, run: &str) -> bool {
        let (material, law, kind) = (Material::named(run), Law::named(run), Kind::spelled(run));
        if self.material.is_none() && material.is_some() {
            self.material = material;
        } else if self.law.is_none() && law.is_some() {
            self.law = law;
        } else if self.kind.is_none() && kind.is_some() {
            self.kind = kind;
            self.is_choke = run.to_ascii_lowercase().starts_with("choke");
        } else if is_centre_tap(run) {
            self.has_centre_tap = true;
        } else if is_manner_of_fuse(run) {
            self.kind = self.kind.or(Some(Kind::Fuse));
        } else {
            return false;
        }
        true
    }

    /// The rest as value, tolerance and rating of a part of that kind.
    fn marking(
        &self,
        kind: Option<Kind>,
        material: Option<Material>,
        known: Known,
    ) -> Result<Marking, WordingError> {
        let quantity = known.quantity;
        let quantity = quantity.or_else(|| kind.map(|kind| kind.quantity_of(&self.rest)));
        let quantity = quantity.or_else(|| material.and_then(quantity_of));
        let may_be_capacitance = quantity.is_none_or(|quantity| quantity == Quantity::Capacitance);
        let (mut text, mut remarks) = (self.rest.clone(), Vec::new());
        if may_be_capacitance
            && let Some(slashed) = sections::slashed(&self.rest, quantity.is_some())?
        {
            match slashed {
                Slashed::Can(can) => return Err(WordingError::Can(can)),
                Slashed::WithVoltage(plain) => text = plain,
            }
            remarks.push(Remark::ValueAndVoltage);
        } else if material == Some(Material::Electrolytic)
            && let Some(plain) = sections::in_microfarad(&self.rest)
        {
            text = plain;
            remarks.push(Remark::ElectrolyticMicrofarad);
        }
        let quantity = quantity.or_else(|| (!remarks.is_empty()).then_some(Quantity::Capacitance));
        let mut marking = parse_marking(&text, quantity, known.drawing)?;
        if self.has_centre_tap {
            remarks.push(Remark::CentreTap);
        }
        marking.remarks.extend(remarks);
        Ok(marking)
    }
}

fn is_centre_tap(run: &str) -> bool {
    let run = run.to_ascii_lowercase().replace(['.', '-'], " ");
    let run = run.split_whitespace().collect::<Vec<_>>().join(" ");
    matches!(
        run.as_str(),
        "ct" | "c t" | "centre tap" | "center tap" | "centre tapped" | "center tapped"
    )
}

/// Speed at which a fuse blows, in the words printed on lists.
fn is_manner_of_fuse(run: &str) -> bool {
    let run = run.to_ascii_lowercase().replace('-', " ");
    matches!(
        run.as_str(),
        "slow"
            | "slow blow"
            | "time lag"
            | "anti surge"
            | "antisurge"
            | "quick"
            | "quick blow"
            | "fast blow"
    )
}

/// The quantity of the only kind that a material is for.
fn quantity_of(material: Material) -> Option<Quantity> {
    match (
        material.suits(Kind::Resistor),
        material.suits(Kind::Capacitor),
    ) {
        (true, false) => Some(Quantity::Resistance),
        (false, true) => Some(Quantity::Capacitance),
        _ => None,
    }
}

/// Content of the cell of a kind: `resistor`, `carbon resistor`, `electrolytic`, `log pot`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct KindCell {
    pub(super) kind: Kind,
    pub(super) material: Option<Material>,
    pub(super) law: Option<Law>,
    pub(super) is_choke: bool,
    /// Whether the cell is empty, and designator and value say it.
    pub(super) is_inferred: bool,
}

impl KindCell {
    /// Reads the cell. Where a material alone leaves several kinds the designator settles it.
    pub(super) fn read(text: &str, designator: &str) -> Result<Self, Problem> {
        let words = Words::of(text);
        let is_choke = words.is_choke || text.eq_ignore_ascii_case("l");
        let cell = |kind| Self {
            kind,
            material: words.material,
            law: words.law,
            is_choke,
            is_inferred: false,
        };
        if let Some(kind) = Kind::named(text) {
            return Ok(cell(kind));
        }
        if !words.rest.is_empty() || text.is_empty() {
            let wrong = if words.rest.is_empty() {
                text
            } else {
                &words.rest
            };
            return Err(Problem::cell(wrong, Kind::names()));
        }
        if let Some(kind) = words
            .kind
            .or_else(|| words.law.map(|_| Kind::Potentiometer))
        {
            return Ok(cell(kind));
        }
        let made_of_it: Vec<Kind> = words
            .material
            .into_iter()
            .flat_map(Material::kinds)
            .collect();
        let fitting = Kind::of_designator(designator).iter();
        let fitting = fitting.copied().find(|kind| made_of_it.contains(kind));
        let only = match made_of_it[..] {
            [kind] => Some(kind),
            _ => fitting,
        };
        only.map(cell).ok_or_else(|| {
            let kinds = made_of_it.iter().map(|kind| format!("`{text} {kind}`"));
            Problem::cell(text, kinds.collect::<Vec<_>>().join(" or "))
        })
    }

    /// The kind that designator and value leave no doubt of.
    pub(super) fn inferred(
        designator: &str,
        value: &str,
        drawing: Drawing,
    ) -> Result<Self, Problem> {
        let words = Words::of(value);
        let candidates = Kind::of_designator(designator);
        let found = match words
            .kind
            .or_else(|| words.law.map(|_| Kind::Potentiometer))
        {
            Some(kind) => Some(kind),
            None => candidates
                .iter()
                .copied()
                .find(|kind| fits(*kind, value, &words.rest, drawing)),
        };
        match found {
            Some(kind) => Ok(Self {
                kind,
                material: None,
                law: None,
                is_choke: words.is_choke,
                is_inferred: true,
            }),
            None if candidates.is_empty() || value.is_empty() => {
                Err(Problem::cell("", Kind::names()))
            }
            None => {
                let kinds: Vec<&str> = candidates.iter().map(|kind| kind.name()).collect();
                Err(Problem(format!(
                    "found nothing; `{designator}` looks like a {}, and `{value}` does not say it beyond doubt, expected {}",
                    kinds.join(" or "),
                    Kind::names()
                )))
            }
        }
    }
}

/// Whether the value can only be one of that kind. A bare number is one of a resistor, a capacitor or a potentiometer alone.
fn fits(kind: Kind, value: &str, rest: &str, drawing: Drawing) -> bool {
    let may_be_bare = matches!(kind, Kind::Resistor | Kind::Capacitor | Kind::Potentiometer);
    let has_unit = rest.contains(|c: char| c.is_alphabetic() || c == ':');
    let known = Known {
        kind: Some(kind),
        drawing,
        ..Known::default()
    };
    match Wording::read(value, known) {
        Ok(_) | Err(WordingError::Can(_)) => !value.is_empty() && (may_be_bare || has_unit),
        Err(_) => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::quantity::{Amount, Tolerance};

    fn read(text: &str, kind: Option<Kind>) -> Result<Wording, WordingError> {
        Wording::read(
            text,
            Known {
                kind,
                ..Known::default()
            },
        )
    }

    fn understood(text: &str, kind: Option<Kind>) -> Wording {
        read(text, kind).unwrap_or_else(|error| panic!("{text}: {error}"))
    }

    fn said(text: &str, kind: Option<Kind>) -> String {
        match read(text, kind) {
            Err(error) => error.to_string(),
            Ok(wording) => panic!("{text}: {wording:?}"),
        }
    }

    #[test]
    fn what_stands_on_lists_is_understood_word_by_word() {
        let amount = |quantity, value| Amount::new(quantity, value);
        let one = understood("0.05 mfd 400V", Some(Kind::Capacitor));
        assert_eq!(
            Some(one.marking.amount),
            amount(Quantity::Capacitance, 0.05e-6)
        );
        assert_eq!(one.marking.rating.dc_volts, Some(400.0));
        let one = understood("10K 5%", Some(Kind::Resistor));
        assert_eq!(one.marking.tolerance, Tolerance::symmetric(5.0).ok());
        let one = understood("100 ohms 10W WW", None);
        assert_eq!(one.material, Some(Material::Wirewound));
        assert_eq!(one.marking.rating.watts, Some(10.0));
        let one = understood("500K log pot", None);
        assert_eq!(
            (one.kind, one.law),
            (Some(Kind::Potentiometer), Some(Law::Audio))
        );
        let one = understood(".01 GMV", Some(Kind::Capacitor));
        assert_eq!(one.marking.tolerance, Some(Tolerance::GUARANTEED_MINIMUM));
        let one = understood("10H 80mA", Some(Kind::Coil));
        assert_eq!(one.marking.rating.amperes, Some(0.08));
        let one = understood("430 ohms CT", Some(Kind::Winding));
        assert_eq!(one.marking.remarks, [Remark::CentreTap]);
        let one = understood("250 mA slow", None);
        assert_eq!(
            (one.kind, one.limit),
            (Some(Kind::Fuse), Some(ToleranceOrigin::Rating))
        );
        let one = understood("16 450V electrolytic", None);
        assert_eq!(
            Some(one.marking.amount),
            amount(Quantity::Capacitance, 16e-6)
        );
    }

    #[test]
    fn a_slash_parts_value_and_voltage_where_no_second_section_makes_sense() {
        for (text, farad, volts) in [
            ("16/450", 16e-6, 450.0),
            ("8/500", 8e-6, 500.0),
            ("16/450V", 16e-6, 450.0),
            ("32uF/350", 32e-6, 350.0),
            (".05/400", 0.05e-6, 400.0),
            ("0.1/350", 0.1e-6, 350.0),
        ] {
            let one = understood(text, Some(Kind::Capacitor)).marking;
            assert_eq!(
                Some(one.amount),
                Amount::new(Quantity::Capacitance, farad),
                "{text}"
            );
            assert_eq!(one.rating.dc_volts, Some(volts), "{text}");
            assert!(one.remarks.contains(&Remark::ValueAndVoltage), "{text}");
        }
        for text in ["50/50", "50/12", "16/16", "100/200"] {
            let said = said(text, Some(Kind::Capacitor));
            let (first, second) = text.split_once('/').unwrap();
            assert!(
                said.contains(&format!(
                    "{first} µF at {second} V, or a can of {first} µF and {second} µF"
                )),
                "{said}"
            );
        }
        assert!(said("47/500", Some(Kind::Capacitor)).contains("47 µF or 47 pF at 500 V"));
        assert!(
            understood("1/4 Meg", Some(Kind::Resistor))
                .marking
                .remarks
                .is_empty()
        );
        assert!(understood("22µF/350V", None).marking.remarks.is_empty());
    }

    #[test]
    fn sections_of_a_can_are_told_with_the_rows_that_they_need() {
        for (text, sections) in [
            ("8+8uF 450V", &["8uF 450V", "8uF 450V"][..]),
            ("8/8 uF 450V", &["8uF 450V", "8uF 450V"]),
            ("32+32+16 350V", &["32uF 350V", "32uF 350V", "16uF 350V"]),
            ("32/32/450", &["32uF 450V", "32uF 450V"]),
            (
                "40+40uF 450V + 25uF 25V",
                &["40uF 450V", "40uF 450V", "25uF 25V"],
            ),
            (
                "16+16uF 450V -20/+50%",
                &["16uF 450V -20/+50%", "16uF 450V -20/+50%"],
            ),
        ] {
            let Err(WordingError::Can(can)) = read(text, Some(Kind::Capacitor)) else {
                panic!("{text}: {:?}", read(text, Some(Kind::Capacitor)));
            };
            assert_eq!(can.sections, sections, "{text}");
        }
        let said = said("8+8uF 450V", None);
        assert!(
            said.contains("`C4a` 8uF 450V, `C4b` 8uF 450V; `parts check --write` writes them"),
            "{said}"
        );
        assert!(
            understood("16uF 450V -10/+50%", None)
                .marking
                .tolerance
                .is_some()
        );
    }

    #[test]
    fn the_word_that_is_wrong_is_blamed() {
        for (text, kind, blamed) in [
            ("4K7 carbn", Kind::Resistor, "`carbn` beside the value"),
            ("47 nX", Kind::Capacitor, "`nX` behind the number"),
            ("10K 5% big", Kind::Resistor, "`big` beside the value"),
            ("100 ohms 10Q", Kind::Resistor, "`10Q` beside the value"),
            ("4K7 pot", Kind::Resistor, "the kind `potentiometer`"),
        ] {
            let said = said(text, Some(kind));
            assert!(said.contains(blamed), "{text}: {said}");
        }
    }

    #[test]
    fn a_kind_may_be_said_by_its_material_or_left_to_designator_and_value() {
        let kind = |text, designator| KindCell::read(text, designator);
        let one = kind("electrolytic", "").unwrap();
        assert_eq!(
            (one.kind, one.material),
            (Kind::Capacitor, Some(Material::Electrolytic))
        );
        let one = kind("Carbon resistor", "X").unwrap();
        assert_eq!(
            (one.kind, one.material),
            (Kind::Resistor, Some(Material::Carbon))
        );
        assert_eq!(kind("log pot", "").unwrap().law, Some(Law::Audio));
        assert_eq!(kind("wirewound", "R7").unwrap().kind, Kind::Resistor);
        let said = kind("wirewound", "X7").unwrap_err().to_string();
        assert!(
            said.contains("`wirewound resistor` or `wirewound potentiometer`"),
            "{said}"
        );
        let said = kind("carbon resistr", "").unwrap_err().to_string();
        assert!(said.contains("found `resistr`"), "{said}");
        let inferred =
            |designator, value| KindCell::inferred(designator, value, Drawing::default());
        for (designator, value, kind) in [
            ("R12", "4K7", Kind::Resistor),
            ("R12", "500K log pot", Kind::Potentiometer),
            ("VR1", "500K", Kind::Potentiometer),
            ("C4", ".047", Kind::Capacitor),
            ("C4", "8+8uF 450V", Kind::Capacitor),
            ("L1", "10 H", Kind::Coil),
            ("L1", "430 ohms", Kind::Winding),
            ("T1.pri", "430 ohms CT", Kind::Winding),
            ("T2", "38:1", Kind::Ratio),
            ("F1", "250 mA slow", Kind::Fuse),
            ("TP3", "250 V", Kind::Point),
        ] {
            assert_eq!(
                inferred(designator, value).map(|cell| cell.kind),
                Ok(kind),
                "{designator} {value}"
            );
        }
        for (designator, value) in [
            ("R5", "47nF"),
            ("L1", "430"),
            ("X1", "4K7"),
            ("S1", ""),
            ("TP3", "250"),
        ] {
            assert!(inferred(designator, value).is_err(), "{designator} {value}");
        }
    }
}
