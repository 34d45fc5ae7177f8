//! [`Row`]: one record of the file on its way to a [`Part`].

use super::cells::even;
use super::header::{Column, Header};
use super::wording::KindCell;
use super::{
    Kind, Known, Law, Material, Part, Partners, Sheet, Step, ToleranceOrigin, Wording,
    WordingError, conduction, default_tolerance, optional_cell,
};
use crate::engine::quantity::{
    Amount, Drawing, MarkedValue, Quantity, Rating, Remark, Tolerance, parse_rating,
    parse_tolerance,
};
use crate::engine::source::{Fault, Problem, width};

/// A record with what is needed to read it.
pub(super) struct Row<'a> {
    pub(super) header: &'a Header,
    /// Its cells, the numbers of them with a point for the decimal sign.
    pub(super) record: &'a csv::StringRecord,
    /// Its cells as written.
    pub(super) written: &'a csv::StringRecord,
    /// The line that the record begins on.
    pub(super) line: usize,
    pub(super) drawing: Drawing,
}

/// Content of a cell: `None` if it was wrong, and that has been reported.
type Cell<T> = Option<T>;

/// The tolerance that the list or the value states; `None` if neither does.
type Stated = Option<(Tolerance, ToleranceOrigin)>;

impl Row<'_> {
    /// The designator, if there is one.
    pub(super) fn designator(&self) -> Option<&str> {
        Some(self.field(Column::Ref)).filter(|text| !text.is_empty())
    }

    /// The part; `None` if anything is wrong with the row. Everything that is wrong goes to `errors`.
    pub(super) fn part(&self, errors: &mut Vec<Fault>) -> Option<Part> {
        let expected = self.header.width();
        // A spreadsheet pads all rows to the width of the widest.
        let found = self.record.len().min(width(self.record).max(expected));
        if found != expected {
            errors.push(Fault::in_line(
                self.line,
                Problem(format!(
                    "found {found} fields, expected {expected} as in the first line; put text that contains what parts the columns in quotation marks"
                )),
            ));
            return None;
        }
        let designator = self.checked(Column::Ref, errors, |text| {
            if text.is_empty() {
                Err(Problem(
                    "found no designator, expected one such as `R12`".to_owned(),
                ))
            } else {
                Ok(text.to_owned())
            }
        });
        let (cell, wording) = self.wording(errors);
        let kind = match &wording {
            Some(wording) => wording.kind.filter(|_| cell.is_some()),
            None => cell.map(|cell| cell.kind),
        };
        let material = self.material(kind, cell, wording.as_ref(), errors);
        let rating = self.rating(wording.as_ref(), errors);
        let in_circuit = self.checked(Column::InCircuit, errors, read_in_circuit);
        let limits = self.limits(kind, errors);
        let also = self.checked(Column::Also, errors, |text| Step::read_also(text, kind));
        let named = wording.as_ref().and_then(|wording| wording.law);
        let named = named.or_else(|| cell?.law);
        let law = self.law(kind, named, also.as_deref(), errors);
        let load_ohm = self.checked(Column::Load, errors, |text| {
            optional_cell::load_ohm(text, kind, self.drawing)
        });
        let (value, stated) = self.value_and_tolerance(kind, wording, errors);
        let largest = self.checked(Column::Largest, errors, |text| {
            optional_cell::largest(text, kind, value.as_ref().map(|value| value.amount))
        });
        let sheet = self.sheet(kind, value.as_ref(), errors);
        let facts = Facts {
            rating: rating?,
            material: material?,
            in_circuit: in_circuit?,
            limits: limits?,
            sheet: sheet?,
            also: also?,
            law: law?,
            load_ohm: load_ohm?,
            largest: largest?,
        };
        Some(self.assemble(designator?, kind?, value?, stated?, facts))
    }

    /// The cell of the kind, and what the value says with the words beside it; each `None` if it is wrong.
    fn wording(&self, errors: &mut Vec<Fault>) -> (Cell<KindCell>, Cell<Wording>) {
        let value = self.field(Column::Value);
        let designator = self.field(Column::Ref);
        let cell = self.checked(Column::Kind, errors, |text| match text {
            "" => KindCell::inferred(designator, value, self.drawing),
            text => KindCell::read(text, designator),
        });
        let stated = Material::named(self.field(Column::Material));
        let known = Known {
            kind: cell.map(|cell| cell.kind),
            material: cell.and_then(|cell| cell.material).or(stated),
            is_choke: cell.is_some_and(|cell| cell.is_choke),
            quantity: None,
            drawing: self.drawing,
        };
        // Without a kind it is looked at all the same, so that its errors come at once with the kind's.
        let problem = match Wording::read(value, known) {
            Ok(mut wording) => {
                if cell.is_some_and(|cell| cell.is_inferred) {
                    wording.marking.remarks.push(Remark::KindByDesignator);
                }
                return (cell, Some(wording));
            }
            Err(error) if cell.is_none() && error.is_doubt() => return (cell, None),
            Err(WordingError::Can(can)) => Problem(can.told(designator)),
            Err(error) => Problem::said(error),
        };
        errors.push(Fault::in_column(self.line, Column::Value.name(), problem));
        (cell, None)
    }

    /// The material, as its column, the kind and the words beside the value say.
    fn material(
        &self,
        kind: Option<Kind>,
        cell: Cell<KindCell>,
        wording: Option<&Wording>,
        errors: &mut Vec<Fault>,
    ) -> Cell<Option<Material>> {
        let of_kind = cell.and_then(|cell| cell.material);
        let named = of_kind.or_else(|| wording?.material);
        self.checked(Column::Material, errors, |text| {
            match (read_material(text, kind)?, named) {
                (Some(stated), Some(named)) if stated != named => Err(Problem::cell(
                    text,
                    format!("`{named}` as kind or value say, or nothing"),
                )),
                (None, Some(named)) => match kind.filter(|kind| !named.suits(*kind)) {
                    Some(kind) => Err(Problem::of_kind(
                        named.name(),
                        kind,
                        materials(|material| material.suits(kind)),
                    )),
                    None => Ok(Some(named)),
                },
                (stated, named) => Ok(stated.or(named)),
            }
        })
    }

    /// The rating, as its column and the value say.
    fn rating(&self, wording: Option<&Wording>, errors: &mut Vec<Fault>) -> Cell<Rating> {
        self.checked(Column::Rating, errors, |text| {
            let mut rating = parse_rating(text).map_err(Problem::said)?;
            let beside = wording.map(|wording| wording.marking.rating.clone());
            let beside = beside
                .filter(|beside| *beside != rating)
                .unwrap_or_default();
            let says = beside.to_string();
            match rating.merge(beside, text) {
                Ok(()) => Ok(rating),
                Err(_) => Err(Problem::cell(
                    text,
                    format!("{says} as the value says, or nothing"),
                )),
            }
        })
    }

    /// Loss, leakage and frequency.
    fn limits(&self, kind: Option<Kind>, errors: &mut Vec<Fault>) -> Cell<LimitCells> {
        let loss = self.checked(Column::Loss, errors, |text| optional_cell::loss(text, kind));
        let leakage = self.checked(Column::Leakage, errors, |text| {
            optional_cell::leakage(text, kind)
        });
        let frequency = self.checked(Column::Frequency, errors, |text| {
            optional_cell::frequency(text, kind)
        });
        Some(LimitCells {
            loss: loss?,
            leakage: leakage?,
            frequency: frequency?,
        })
    }

    /// The law of a potentiometer; a measurement at half its travel needs it.
    fn law(
        &self,
        kind: Option<Kind>,
        named: Option<Law>,
        also: Option<&[Step]>,
        errors: &mut Vec<Fault>,
    ) -> Cell<Option<Law>> {
        let needed = also.is_some_and(|also| also.contains(&Step::Middle));
        let read = |text: &str| match (Law::read(text, kind)?, named) {
            (Some(stated), Some(named)) if stated != named => Err(Problem::cell(
                text,
                format!("`{named}` as kind or value say, or nothing"),
            )),
            (None, Some(named)) => Law::read(named.name(), kind),
            (stated, _) => Ok(stated),
        };
        self.checked(Column::Law, errors, |text| match read(text)? {
            None if needed => Err(Problem::cell(
                "",
                "`linear`, `audio` or `reverse`, since `also` asks for `middle`",
            )),
            law => Ok(law),
        })
    }

    /// The meter of the service sheet: of the three columns the first two come together, and the third with them.
    fn sheet(
        &self,
        kind: Option<Kind>,
        value: Option<&MarkedValue>,
        errors: &mut Vec<Fault>,
    ) -> Cell<Option<Sheet>> {
        let drawing = self.drawing;
        let ohm_per_volt = self.checked(Column::SheetOhmPerVolt, errors, |text| {
            optional_cell::ohm_per_volt(text, kind)
        });
        let range = self.checked(Column::SheetRange, errors, |text| {
            optional_cell::range(text, kind, value.map(|value| value.amount.value()))
        });
        let source = self.checked(Column::SourceOhm, errors, |text| {
            optional_cell::source_ohm(text, kind, drawing)
        });
        match (ohm_per_volt?, range?, source?) {
            (None, None, None) => Some(None),
            (Some(ohm_per_volt), Some(range_volt), source_ohm) => Some(Some(Sheet {
                ohm_per_volt,
                range_volt,
                source_ohm,
            })),
            (ohm_per_volt, _, _) => {
                let missing = match ohm_per_volt {
                    None => Column::SheetOhmPerVolt,
                    Some(_) => Column::SheetRange,
                };
                errors.push(Fault::in_column(
                    self.line,
                    missing.name(),
                    Problem::cell("", "`sheet_ohm_per_volt` and `sheet_range` together, and both wherever `source_ohm` is stated"),
                ));
                None
            }
        }
    }

    fn value_and_tolerance(
        &self,
        kind: Option<Kind>,
        wording: Cell<Wording>,
        errors: &mut Vec<Fault>,
    ) -> (Cell<MarkedValue>, Cell<Stated>) {
        let limit = wording.as_ref().and_then(|wording| wording.limit);
        let value = wording.map(|wording| MarkedValue {
            amount: wording.marking.amount,
            tolerance: wording.marking.tolerance,
            remarks: wording.marking.remarks,
        });
        if let Some(kind) = kind.filter(|kind| kind.conducts()) {
            let stated = self.of_limit(kind, limit, errors);
            return (value, stated);
        }
        let stated = match &value {
            Some(value) => self.tolerance(value, errors),
            None => self.tolerance_alone(kind, errors),
        };
        (value, stated)
    }

    /// The tolerance of a part that has only to conduct: its column says nothing beside the limit.
    fn of_limit(
        &self,
        kind: Kind,
        origin: Option<ToleranceOrigin>,
        errors: &mut Vec<Fault>,
    ) -> Cell<Stated> {
        let blank = self.checked(Column::Tolerance, errors, |text| match text {
            "" => Ok(()),
            text if text.eq_ignore_ascii_case("max") => Ok(()),
            text => Err(conduction::tolerance_of_limit(text, kind)),
        });
        let origin = origin.unwrap_or(ToleranceOrigin::Stated);
        blank.map(|()| Some((Tolerance::MAXIMUM, origin)))
    }

    /// The text of a column, blanks at its ends removed; empty if the list has no such column.
    fn field(&self, column: Column) -> &str {
        self.header
            .place(column)
            .and_then(|place| self.record.get(place))
            .unwrap_or("")
            .trim()
    }

    /// The value as the list writes it, in one line.
    fn value_text(&self) -> String {
        let place = self.header.place(Column::Value);
        let written = place.and_then(|place| self.written.get(place));
        let (text, _) = even(written.unwrap_or(""));
        text.trim().to_owned()
    }

    fn checked<T>(
        &self,
        column: Column,
        errors: &mut Vec<Fault>,
        read: impl FnOnce(&str) -> Result<T, Problem>,
    ) -> Cell<T> {
        let result = read(self.field(column));
        result
            .map_err(|problem| errors.push(Fault::in_column(self.line, column.name(), problem)))
            .ok()
    }

    /// Looks at the tolerance of a row whose value is wrong: reports what is wrong whatever the value is.
    fn tolerance_alone<T>(&self, kind: Option<Kind>, errors: &mut Vec<Fault>) -> Cell<T> {
        let text = self.field(Column::Tolerance);
        let quantities = Quantity::ALL
            .into_iter()
            .filter(|quantity| kind.is_none_or(|kind| kind.quantity() == *quantity));
        let nominals = quantities.filter_map(|quantity| Amount::new(quantity, 1.0));
        let results: Vec<_> = nominals
            .map(|nominal| read_tolerance(text, nominal, None))
            .collect();
        if results.iter().all(Result::is_err) {
            let problem = results.into_iter().find_map(Result::err);
            errors.extend(
                problem
                    .map(|problem| Fault::in_column(self.line, Column::Tolerance.name(), problem)),
            );
        }
        None
    }

    /// The tolerance that the list or the value states; inside, `None` if neither does.
    fn tolerance(&self, value: &MarkedValue, errors: &mut Vec<Fault>) -> Cell<Stated> {
        self.checked(Column::Tolerance, errors, |text| {
            read_tolerance(text, value.amount, value.tolerance)
        })
    }

    fn assemble(
        &self,
        designator: String,
        kind: Kind,
        value: MarkedValue,
        stated: Stated,
        facts: Facts,
    ) -> Part {
        let default = || {
            (
                default_tolerance(kind, facts.material),
                ToleranceOrigin::Default,
            )
        };
        let (tolerance, tolerance_origin) = stated.unwrap_or_else(default);
        let text = |column| self.field(column).to_owned();
        let mut remarks = value.remarks;
        if is_bare(self.field(Column::Tolerance)) {
            remarks.push(Remark::BareTolerance);
        }
        Part {
            designator,
            kind,
            step: Step::Value,
            also: facts.also,
            nominal: value.amount,
            tolerance,
            band: tolerance.band(value.amount),
            tolerance_origin,
            value_text: self.value_text(),
            rating: facts.rating,
            material: facts.material,
            loss_limit: facts.limits.loss,
            leakage_limit_ampere: facts.limits.leakage,
            loss_frequency_hertz: facts.limits.frequency,
            law: facts.law,
            sheet: facts.sheet,
            load_ohm: facts.load_ohm,
            largest: facts.largest,
            partners: Partners::read(self.field(Column::With)),
            role: text(Column::Role),
            from: text(Column::From),
            to: text(Column::To),
            in_circuit: facts.in_circuit == Some(true),
            is_lifted: facts.in_circuit == Some(false),
            note: text(Column::Note),
            group: text(Column::Group),
            remarks,
            row: self.line,
        }
    }
}

/// The cells that nothing else depends on.
struct Facts {
    rating: Rating,
    material: Option<Material>,
    /// Yes or no; `None` where the cell is blank.
    in_circuit: Option<bool>,
    limits: LimitCells,
    sheet: Option<Sheet>,
    also: Vec<Step>,
    law: Option<Law>,
    load_ohm: Option<f64>,
    largest: Option<Amount>,
}

/// Cells of the list beside the value; nothing where one is empty.
struct LimitCells {
    loss: Option<f64>,
    leakage: Option<f64>,
    frequency: Option<f64>,
}

fn read_material(text: &str, kind: Option<Kind>) -> Result<Option<Material>, Problem> {
    if text.is_empty() {
        return Ok(None);
    }
    let material = Material::named(text).ok_or_else(|| Problem::cell(text, materials(|_| true)))?;
    match kind {
        Some(kind) if !material.suits(kind) => Err(Problem::of_kind(
            text,
            kind,
            materials(|material| material.suits(kind)),
        )),
        _ => Ok(Some(material)),
    }
}

/// The materials that fit, as a message lists them.
fn materials(fits: impl Fn(Material) -> bool) -> String {
    let fitting = Material::ALL.into_iter().filter(|one| fits(*one));
    let mut names: Vec<String> = fitting.map(|one| format!("`{one}`")).collect();
    names.push("or nothing".to_owned());
    names.join(", ")
}

fn read_in_circuit(text: &str) -> Result<Option<bool>, Problem> {
    match text.to_ascii_lowercase().as_str() {
        "" => Ok(None),
        "yes" | "y" => Ok(Some(true)),
        "no" | "n" => Ok(Some(false)),
        _ => Err(Problem::cell(text, "`yes`, `no` or nothing")),
    }
}

fn read_tolerance(
    text: &str,
    nominal: Amount,
    marked: Option<Tolerance>,
) -> Result<Stated, Problem> {
    if text.is_empty() {
        return Ok(marked.map(|tolerance| (tolerance, ToleranceOrigin::Marked)));
    }
    let stated = if is_bare(text) {
        in_percent(text, nominal)?
    } else {
        parse_tolerance(text, nominal).map_err(Problem::said)?
    };
    match marked {
        Some(marked) if marked != stated => Err(Problem::cell(
            text,
            format!("{marked} as the value says, or a value without its tolerance"),
        )),
        _ => Ok(Some((stated, ToleranceOrigin::Stated))),
    }
}

/// Whether a tolerance has neither a unit nor a letter: `5`, `±5`, `-10/+50`.
fn is_bare(text: &str) -> bool {
    !text.is_empty()
        && text
            .chars()
            .all(|c| c.is_ascii_digit() || c.is_whitespace() || "+-−±/.".contains(c))
}

/// A tolerance without a unit, which is in per cent unless it may be something else.
fn in_percent(text: &str, nominal: Amount) -> Result<Tolerance, Problem> {
    /// Below this capacitance, in farad, tolerances are stated in picofarad as well.
    const PICOFARAD_BELOW: f64 = 10e-12;
    let plain = text.trim_start_matches(['±', '+', '-', '/', ' ']);
    if nominal.quantity() == Quantity::Capacitance && nominal.value() < PICOFARAD_BELOW {
        return Err(Problem(format!(
            "found `{text}`, which is ambiguous: {plain} % or {plain} pF; write `{plain}%` or `±{plain}pF`"
        )));
    }
    if let Ok(number) = plain.parse::<f64>()
        && number > 0.0
        && number < 1.0
    {
        let percent = format_percent(number * 100.0);
        return Err(Problem(format!(
            "found `{text}`, which is ambiguous: {plain} %, or {percent} as spreadsheets keep it; write the `%`"
        )));
    }
    parse_tolerance(&format!("{text}%"), nominal).map_err(Problem::said)
}

/// Per cent without needless figures.
fn format_percent(percent: f64) -> String {
    let rounded = libm::round(percent * 1e6) / 1e6;
    format!("{rounded} %")
}
