//! [`Header`]: the first line of a parts list, which names the columns.

use std::borrow::Cow;

use strum::{EnumString, IntoStaticStr, VariantArray};

use crate::engine::source::{Fault, Problem, width};

/// A column that the program knows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, EnumString, IntoStaticStr, VariantArray)]
#[strum(serialize_all = "snake_case", ascii_case_insensitive)]
pub(super) enum Column {
    Ref,
    Kind,
    Value,
    Tolerance,
    Rating,
    Material,
    Role,
    From,
    To,
    InCircuit,
    Note,
    Loss,
    Leakage,
    Frequency,
    SheetOhmPerVolt,
    SheetRange,
    SourceOhm,
    With,
    Also,
    Law,
    Load,
    Largest,
    Group,
}

words!(Column: ALL, name);

impl Column {
    /// The columns that a list cannot do without.
    pub(super) const REQUIRED: [Self; 3] = [Self::Ref, Self::Kind, Self::Value];

    /// Contents of its cells, as the manual has them.
    const fn meaning(self) -> &'static str {
        match self {
            Self::Ref => "reference designator: `R12`, `T1.pri`",
            Self::Kind => {
                "kind of part, see below; may be empty where designator and value leave no doubt"
            }
            Self::Value => "nominal value",
            Self::Tolerance => {
                "`10%`, `±5 %`, `-20/+50%`, `±1pF`, `GMV`; a bare `5` is per cent; empty: the default of the kind"
            }
            Self::Rating => "voltage, power and safety class: `450V`, `0.5W`, `X2 275VAC`",
            Self::Material => {
                "what it is made of: `carbon`, `film`, `wirewound`, `paper`, `electrolytic`, `mica`, `ceramic`, `oil`"
            }
            Self::Role => "what it does in the circuit: `coupling`, `reservoir`, `cathode bypass`",
            Self::From => "where its one end is connected; `probewright manual network`",
            Self::To => "where its other end is connected",
            Self::InCircuit => {
                "`yes` or `y` if it is measured where it is, without a lead off; `no` or `n` if a lead of it is lifted"
            }
            Self::Note => "anything you want to see when the part is in hand",
            Self::Loss => "of a capacitor: largest tan δ, `0.15` or `15%`",
            Self::Leakage => "of a capacitor: largest leakage current, `0.5 mA`",
            Self::Frequency => "the frequency at which that holds: `120 Hz`",
            Self::SheetOhmPerVolt => {
                "of a test point: the sensitivity of the meter that the service sheet was made with: `1000`, `20k`"
            }
            Self::SheetRange => "of a test point: the range that meter was on: `300 V`",
            Self::SourceOhm => "of a test point: the resistance behind it, if you know it: `100k`",
            Self::With => {
                "designators of the parts that it works with, separated by blanks, and a voltage there: `R8`, `R4 250V`"
            }
            Self::Also => "further measurements; `probewright manual measurements`",
            Self::Law => {
                "of a potentiometer: `linear`, `audio` or `reverse`; `probewright manual measurements`"
            }
            Self::Load => "of a ratio: the resistance on the secondary, `8 Ω`",
            Self::Largest => {
                "of a capacitor: the largest capacitance that may replace it, as the rectifier's data sheet says: `50uF`"
            }
            Self::Group => {
                "the sub-assembly that it belongs to, such as a tone switch board; it becomes a heading in lists, glance and report"
            }
        }
    }

    /// Whether its cells are words or text; those of any other column have numbers.
    pub(super) const fn is_text(self) -> bool {
        matches!(
            self,
            Self::Ref
                | Self::Kind
                | Self::Material
                | Self::Role
                | Self::From
                | Self::To
                | Self::InCircuit
                | Self::Note
                | Self::Also
                | Self::Law
                | Self::Group
        )
    }

    pub(super) fn named(text: &str) -> Option<Self> {
        let (text, _) = super::cells::even(text);
        text.trim().parse().ok()
    }

    /// The column that a heading means by another name that people give it: `Type`, `Designator`, `In circuit`.
    pub(super) fn called(heading: &str) -> Option<Self> {
        match plain(heading).as_str() {
            "type" => Some(Self::Kind),
            "designator" | "reference" | "ref_des" | "refdes" | "circuit_ref" => Some(Self::Ref),
            "tol" => Some(Self::Tolerance),
            "dielectric" | "construction" | "composition" => Some(Self::Material),
            "function" | "purpose" => Some(Self::Role),
            "from_node" | "node_1" | "node_a" => Some(Self::From),
            "to_node" | "node_2" | "node_b" => Some(Self::To),
            "notes" | "remark" | "remarks" | "comment" | "comments" => Some(Self::Note),
            name if unit_of(name).is_some() => Some(Self::Rating),
            name => name.parse().ok(),
        }
    }
}

/// Unit that a bare number has below such a heading of a rating, all in lower case.
fn unit_of(heading: &str) -> Option<&'static str> {
    match heading {
        "voltage" | "volts" | "v" | "wv" | "w.v" | "vdc" | "working_voltage" | "rated_voltage"
        | "voltage_rating" => Some("V"),
        "power" | "watts" | "wattage" | "w" | "power_rating" => Some("W"),
        _ => None,
    }
}

/// Heading as other names of columns are known by.
fn plain(heading: &str) -> String {
    let (heading, _) = super::cells::even(heading);
    let plain = heading.trim().trim_end_matches('.').to_ascii_lowercase();
    plain.replace([' ', '-'], "_")
}

/// Every column that the program knows, with what it holds.
pub fn columns() -> impl Iterator<Item = (&'static str, &'static str)> {
    Column::ALL
        .map(|column| (column.name(), column.meaning()))
        .into_iter()
}

/// Places of the columns.
pub(super) struct Header {
    /// The place of each known column, in the order of [`Column::ALL`].
    places: [Option<usize>; Column::ALL.len()],
    /// The names of the other columns.
    extra_names: Vec<String>,
    /// Number of columns, without those at the end that have no name.
    width: usize,
    /// Headings that mean a column by another name, each with that column.
    other_names: Vec<(String, Column)>,
    /// The column of a rating beside another one: the voltage stands in the one and the power in the other.
    further_rating: Option<usize>,
    /// Units that bare numbers of ratings have, by the places of the columns.
    units: Vec<(usize, &'static str)>,
}

impl Header {
    /// Reads the first record, with everything that is wrong with it. With `exact_headings` a column is known by its own name alone.
    pub(super) fn read(
        record: &csv::StringRecord,
        row: usize,
        exact_headings: bool,
    ) -> (Self, Vec<Fault>) {
        let mut header = Self {
            places: [None; Column::ALL.len()],
            extra_names: Vec::new(),
            width: width(record),
            other_names: Vec::new(),
            further_rating: None,
            units: Vec::new(),
        };
        let mut errors = Vec::new();
        let named = |name: &str| {
            record
                .iter()
                .any(|other| Column::named(other) == Column::called(name))
        };
        for (place, name) in record.iter().enumerate().take(header.width) {
            let called = || Column::called(name).filter(|_| !exact_headings && !named(name));
            let known = Column::named(name).or_else(called);
            let unit = known.and_then(|_| unit_of(&plain(name)));
            header.units.extend(unit.map(|unit| (place, unit)));
            match known {
                Some(Column::Rating) if header.is_the_other_rating(unit) => {
                    header.further_rating = Some(place);
                    header
                        .other_names
                        .push((name.trim().to_owned(), Column::Rating));
                }
                Some(column) if header.place(column).is_some() => {
                    errors.push(Fault::in_column(
                        row,
                        column.name(),
                        Problem("found two columns of this name, expected one".to_owned()),
                    ));
                }
                Some(column) => {
                    header.places[column as usize] = Some(place);
                    if Column::named(name).is_none() {
                        header.other_names.push((name.trim().to_owned(), column));
                    }
                }
                None => header.extra_names.push(name.to_owned()),
            }
        }
        errors.extend(header.missing(row));
        (header, errors)
    }

    /// Whether a further column of ratings has what the first has not: the power beside the voltage, or the other way round.
    fn is_the_other_rating(&self, unit: Option<&str>) -> bool {
        let first = self.place(Column::Rating).and_then(|at| self.unit(at));
        let is_other = first.zip(unit).is_some_and(|(first, unit)| first != unit);
        is_other && self.further_rating.is_none()
    }

    /// Unit of a bare number in the column at that place.
    fn unit(&self, place: usize) -> Option<&'static str> {
        let mut units = self.units.iter();
        units.find(|(at, _)| *at == place).map(|(_, unit)| *unit)
    }

    /// The cell at that place with the unit that its heading says, where it is a bare number; a power may be one half, `1/2`.
    pub(super) fn with_unit<'a>(&self, place: usize, text: Cow<'a, str>) -> Cow<'a, str> {
        let bare = text.trim();
        let unit = self.unit(place);
        let fits = |byte: u8| match byte {
            b'/' => unit == Some("W"),
            _ => byte.is_ascii_digit() || byte == b'.',
        };
        let is_number = bare.bytes().all(fits);
        match unit {
            Some(unit) if is_number && !bare.is_empty() => Cow::Owned(format!("{bare}{unit}")),
            _ => text,
        }
    }

    /// The places of both columns of ratings, where there are two.
    pub(super) fn both_ratings(&self) -> Option<[usize; 2]> {
        Some([self.place(Column::Rating)?, self.further_rating?])
    }

    fn missing(&self, row: usize) -> Vec<Fault> {
        let words = "found no such column, expected at least `ref`, `kind` and `value`";
        let missing = Column::REQUIRED
            .into_iter()
            .filter(|column| self.place(*column).is_none());
        missing
            .map(|column| Fault::in_column(row, column.name(), Problem(words.to_owned())))
            .collect()
    }

    /// Whether the required columns are there, so that rows can be read.
    pub(super) fn is_complete(&self) -> bool {
        Column::REQUIRED
            .into_iter()
            .all(|column| self.place(column).is_some())
    }

    /// Where `column` stands, if it is there.
    pub(super) const fn place(&self, column: Column) -> Option<usize> {
        self.places[column as usize]
    }

    /// The column that the program knows at that place.
    pub(super) fn column(&self, place: usize) -> Option<Column> {
        if self.further_rating == Some(place) {
            return Some(Column::Rating);
        }
        let known = self.places.iter().position(|at| *at == Some(place))?;
        Some(Column::ALL[known])
    }

    /// Headings that mean a column by another name, each with the name of that column.
    pub(super) fn other_names(&self) -> impl Iterator<Item = (&str, &'static str)> {
        let names = self.other_names.iter();
        names.map(|(found, column)| (found.as_str(), column.name()))
    }

    /// Number of columns, without those at the end that have no name.
    pub(super) const fn width(&self) -> usize {
        self.width
    }

    /// The names of the columns that the program does not know.
    pub(super) const fn extra_names(&self) -> &Vec<String> {
        &self.extra_names
    }
}
