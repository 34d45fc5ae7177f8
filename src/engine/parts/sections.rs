//! [`Can`]: several capacitors in one can, and [`slashed`]: numbers with a plus or a slash between, which may be sections or a value
//! and its voltage.

use std::fmt;

use crate::engine::source::Problem;

/// Several capacitors in one can, as a list writes them: `8+8uF 450V`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Can {
    /// As it was written.
    pub text: String,
    /// Text of each section by itself: `8uF 450V`. At least two.
    pub sections: Vec<String>,
}

/// Numbers with something between.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Slashed {
    Can(Can),
    /// A value and its voltage: what it would be, written out.
    WithVoltage(String),
}

/// The largest section of a can and the largest ratio of two in one, in microfarad (common practice, no source).
const LARGEST_SECTION: f64 = 300.0;
const LARGEST_RATIO: f64 = 8.0;

/// Voltages that electrolytics are rated at, in volt (common practice, no source).
const RATED_VOLTS: [f64; 30] = [
    6.0, 6.3, 10.0, 12.0, 15.0, 16.0, 25.0, 30.0, 35.0, 50.0, 63.0, 64.0, 100.0, 150.0, 160.0,
    200.0, 250.0, 275.0, 300.0, 350.0, 385.0, 400.0, 450.0, 475.0, 500.0, 525.0, 550.0, 600.0,
    630.0, 1000.0,
];

/// From this voltage on a bare number before it may be in picofarad, as on mica and ceramic parts.
const PICOFARAD_FROM: f64 = 500.0;

/// Values of electrolytics for such voltages, in microfarad (common practice, no source).
const OLD_ELECTROLYTICS: [f64; 6] = [2.0, 4.0, 8.0, 16.0, 24.0, 32.0];

impl Can {
    /// The designators of its sections: `C4a`, `C4b`.
    pub fn designators(&self, of: &str) -> Vec<String> {
        let letters = ('a'..='z').take(self.sections.len());
        letters.map(|letter| format!("{of}{letter}")).collect()
    }

    /// Problem that a list of parts says of it.
    pub(super) fn told(&self, designator: &str) -> String {
        let rows: Vec<String> = self
            .designators(designator)
            .iter()
            .zip(&self.sections)
            .map(|(name, section)| format!("`{name}` {section}"))
            .collect();
        format!(
            "found `{}`, a can of {} sections, expected a row for each: {}; `parts check --write` writes them",
            self.text,
            self.sections.len(),
            rows.join(", ")
        )
    }
}

impl fmt::Display for Can {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sections.join(" + "))
    }
}

/// The designator of the can that a section is in: `C4` of `C4a`; `None` for a part that is in none.
pub fn can_of(designator: &str) -> Option<&str> {
    let can = designator.strip_suffix(|c: char| c.is_ascii_alphabetic())?;
    can.ends_with(|c: char| c.is_ascii_digit()).then_some(can)
}

/// A number of the text with what stands behind it.
struct Piece<'a> {
    number: f64,
    /// The number as written.
    figures: &'a str,
    unit: &'a str,
    /// The voltage of this section alone, with its unit; empty if none is stated.
    volts: &'a str,
}

/// Meaning of a text that begins with several numbers; `None` if it does not. `is_capacitance` says that it is known to be one.
///
/// # Errors
/// If it has two meanings.
pub(super) fn slashed(text: &str, is_capacitance: bool) -> Result<Option<Slashed>, Problem> {
    let Some(Numbers { pieces, rest, plus }) = Numbers::of(text) else {
        return Ok(None);
    };
    let (last, others) = pieces.split_last().expect("there are two or more");
    let has_voltage = is_volt(last.unit) || has_volts(rest);
    let with_unit = pieces.iter().any(|piece| is_farad(piece.unit));
    if plus {
        return Ok(Some(Slashed::Can(can(text, &pieces, rest))));
    }
    // `22µF/350V` has one meaning anyhow.
    if pieces.len() == 2 && is_farad(pieces[0].unit) && is_volt(last.unit) {
        return Ok(None);
    }
    // `1/2`, `1/4`: a fraction.
    if pieces.len() == 2
        && pieces[0].unit.is_empty()
        && [2.0, 4.0].contains(&last.number)
        && pieces[0].number < 4.0
    {
        return Ok(None);
    }
    if !is_capacitance && !with_unit && !has_voltage && !RATED_VOLTS.contains(&last.number) {
        return Ok(None);
    }
    let as_voltage = is_volt(last.unit)
        || (last.unit.is_empty() && !has_volts(rest) && RATED_VOLTS.contains(&last.number));
    let as_section = !is_volt(last.unit) && is_section(last.number, others);
    match (as_voltage, as_section) {
        (true, true) => {
            let values: Vec<&str> = pieces.iter().map(|piece| piece.figures).collect();
            let (first, volts) = (values[..values.len() - 1].join("+"), last.figures);
            Err(Problem(format!(
                "found `{text}`, which is ambiguous: {first} µF at {volts} V, or a can of {} µF; write `{first}uF {volts}V` or `{}uF`",
                values.join(" µF and "),
                values.join("+"),
            )))
        }
        (true, false) if others.len() > 1 => {
            let volts = format!("{}V {rest}", last.figures);
            Ok(Some(Slashed::Can(can(text, others, &volts))))
        }
        (true, false) => Ok(Some(Slashed::WithVoltage(with_voltage(
            text, &others[0], last, rest,
        )?))),
        (false, true) => Ok(Some(Slashed::Can(can(text, &pieces, rest)))),
        (false, false) => Err(Problem(format!(
            "found `{text}`, expected a value and its voltage such as `16uF 450V`, or the sections of a can such as `8+8uF`"
        ))),
    }
}

/// A bare number at the beginning, with its unit: electrolytics are in microfarad.
pub(super) fn in_microfarad(text: &str) -> Option<String> {
    let (first, rest) = text.split_once(' ').unwrap_or((text, ""));
    let number: f64 = first.parse().ok()?;
    let follows_unit = rest.starts_with(|c: char| c.is_alphabetic() && !"gG".contains(c));
    (number >= 1.0 && !follows_unit).then(|| format!("{first}uF {rest}").trim_end().to_owned())
}

/// Whether a number may be a section beside the others, in microfarad.
fn is_section(number: f64, others: &[Piece<'_>]) -> bool {
    let near = |other: &Piece<'_>| {
        let ratio = number / other.number;
        (1.0 / LARGEST_RATIO..=LARGEST_RATIO).contains(&ratio) && other.number >= 1.0
    };
    (1.0..=LARGEST_SECTION).contains(&number) && others.iter().all(near)
}

/// The value with its unit, and the voltage with its own.
fn with_voltage(
    text: &str,
    value: &Piece<'_>,
    volts: &Piece<'_>,
    rest: &str,
) -> Result<String, Problem> {
    let (figures, at) = (value.figures, volts.figures);
    let unit = if value.unit.is_empty() {
        "uF"
    } else {
        value.unit
    };
    let may_be_pico = value.unit.is_empty()
        && value.number >= 1.0
        && volts.number >= PICOFARAD_FROM
        && !OLD_ELECTROLYTICS.contains(&value.number);
    if may_be_pico {
        return Err(Problem(format!(
            "found `{text}`, which is ambiguous: {figures} µF or {figures} pF at {at} V; write `{figures}uF {at}V` or `{figures}pF {at}V`"
        )));
    }
    Ok(format!("{figures}{unit} {at}V {rest}")
        .trim_end()
        .to_owned())
}

/// A section has its own unit and voltage, or those of the next one that states them.
fn can(text: &str, pieces: &[Piece<'_>], rest: &str) -> Can {
    let unit_of = |at: usize| {
        let later = pieces[at..].iter().map(|piece| piece.unit);
        later
            .into_iter()
            .find(|unit| !unit.is_empty())
            .unwrap_or("uF")
    };
    let volts_of = |at: usize| {
        let later = pieces[at..].iter().map(|piece| piece.volts);
        later.into_iter().find(|volts| !volts.is_empty())
    };
    let section = |at: usize| {
        let behind = volts_of(at).unwrap_or(rest);
        let section = format!("{}{} {behind}", pieces[at].figures, unit_of(at));
        section.trim_end().to_owned()
    };
    Can {
        text: text.to_owned(),
        sections: (0..pieces.len()).map(section).collect(),
    }
}

/// The numbers at the beginning of a text.
struct Numbers<'a> {
    pieces: Vec<Piece<'a>>,
    /// Text behind them.
    rest: &'a str,
    /// Whether a plus stands between them, rather than a slash.
    plus: bool,
}

impl<'a> Numbers<'a> {
    /// Two numbers or more.
    fn of(text: &'a str) -> Option<Self> {
        let (mut pieces, mut rest, mut plus) = (Vec::new(), text.trim(), false);
        loop {
            let (piece, behind) = Piece::of(rest)?;
            pieces.push(piece);
            let sign = behind.chars().next().filter(|c| matches!(c, '+' | '/'));
            let next = sign.map(|sign| behind[sign.len_utf8()..].trim_start());
            let Some(next) = next.filter(|next| begins_piece(next)) else {
                rest = behind;
                break;
            };
            plus |= sign == Some('+');
            rest = next;
        }
        (pieces.len() > 1).then_some(Self { pieces, rest, plus })
    }
}

/// Whether a number begins here that is no limit of a tolerance.
fn begins_piece(text: &str) -> bool {
    let figures = text
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .unwrap_or(text.len());
    let behind = text[figures..].trim_start();
    figures > 0 && !behind.starts_with(['%', '-'])
}

impl<'a> Piece<'a> {
    /// The number that the text begins with, with a unit of capacitance or voltage, and what follows.
    fn of(text: &'a str) -> Option<(Self, &'a str)> {
        let end = text
            .find(|c: char| !c.is_ascii_digit() && c != '.')
            .unwrap_or(text.len());
        let figures = &text[..end];
        let number: f64 = figures.parse().ok().filter(|number| *number > 0.0)?;
        let behind = text[end..].trim_start();
        let word = behind
            .find(|c: char| !c.is_alphabetic() && c != '.')
            .unwrap_or(behind.len());
        let unit = &behind[..word];
        let is_unit = is_farad(unit) || is_volt(unit);
        let (unit, behind) = if is_unit {
            (unit, behind[word..].trim_start())
        } else {
            ("", behind)
        };
        let (volts, behind) = section_volts(behind);
        let piece = Self {
            number,
            figures,
            unit,
            volts,
        };
        Some((piece, behind))
    }
}

/// The voltage before a plus, and what follows: `40uF 450V + 25uF 25V`.
fn section_volts(text: &str) -> (&str, &str) {
    let figures = text
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(text.len());
    let behind = text[figures..].trim_start();
    let word = behind
        .find(|c: char| !c.is_alphabetic())
        .unwrap_or(behind.len());
    let rest = behind[word..].trim_start();
    if figures > 0
        && is_volt(&behind[..word])
        && rest.starts_with('+')
        && begins_piece(rest[1..].trim_start())
    {
        (text[..text.len() - rest.len()].trim_end(), rest)
    } else {
        ("", text)
    }
}

fn is_farad(word: &str) -> bool {
    let plain = word.replace('.', "").to_lowercase();
    matches!(
        plain.as_str(),
        "uf" | "µf" | "μf" | "mfd" | "mf" | "u" | "µ" | "mfds" | "microfarad" | "microfarads"
    )
}

fn is_volt(word: &str) -> bool {
    let plain = word.replace('.', "").to_lowercase();
    matches!(plain.as_str(), "v" | "volt" | "volts" | "vdc" | "vw" | "wv")
}

/// Whether a voltage is stated.
fn has_volts(text: &str) -> bool {
    let mut rest = text;
    while let Some(at) = rest.find(|c: char| c.is_ascii_digit()) {
        let Some((piece, behind)) = Piece::of(&rest[at..]) else {
            return false;
        };
        if is_volt(piece.unit) {
            return true;
        }
        rest = behind;
    }
    false
}
