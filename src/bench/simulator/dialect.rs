//! [`Command`]: the commands that the simulated meter understands.

use super::outbox::ScpiError;
use crate::engine::quantity::Quantity;

/// One command of a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Command {
    Identify,
    Reset,
    ClearStatus,
    OperationComplete,
    NextError,
    Version,
    Function,
    SetFunction(Quantity),
    Configure {
        quantity: Quantity,
        expected: Option<f64>,
    },
    Measure {
        quantity: Quantity,
        expected: Option<f64>,
    },
    Read,
    Fetch,
    Trigger,
}

/// Every header that takes no parameter. The others are those of [`FUNCTIONS`] behind `CONFigure` and `MEASure`, and `FUNCtion`.
const BARE: &[(&str, Command)] = &[
    ("*IDN?", Command::Identify),
    ("*RST", Command::Reset),
    ("*CLS", Command::ClearStatus),
    ("*OPC?", Command::OperationComplete),
    ("SYSTem:ERRor?", Command::NextError),
    ("SYSTem:ERRor:NEXT?", Command::NextError),
    ("SYSTem:VERSion?", Command::Version),
    ("SENSe:FUNCtion?", Command::Function),
    ("FUNCtion?", Command::Function),
    ("READ?", Command::Read),
    ("FETCh?", Command::Fetch),
    ("INITiate", Command::Trigger),
    ("INITiate:IMMediate", Command::Trigger),
    ("ABORt", Command::Trigger),
];

/// The names of functions. `:DC` may be left out.
const FUNCTIONS: &[(&str, Quantity)] = &[
    ("RESistance", Quantity::Resistance),
    ("CAPacitance", Quantity::Capacitance),
    ("INDuctance", Quantity::Inductance),
    ("VOLTage", Quantity::Voltage),
    ("VOLTage:DC", Quantity::Voltage),
    ("VOLTage:AC", Quantity::AcVoltage),
    ("CURRent", Quantity::Current),
    ("CURRent:DC", Quantity::Current),
];

/// Parses one command. `path` is the subsystem of the command before it in the same line, empty at first, and is moved on.
///
/// A header is looked for under the path, then, more forgiving than the standard, from the root.
pub(super) fn parse(unit: &str, path: &mut String) -> Result<Command, ScpiError> {
    let (header, rest) = unit
        .split_once(|letter: char| letter.is_ascii_whitespace())
        .unwrap_or((unit, ""));
    if header.is_empty() {
        return Err(ScpiError::SyntaxError);
    }
    let rooted = header.trim_start_matches(':');
    let below = format!("{path}{header}");
    let found = find(&below)
        .map(|header| (below.as_str(), header))
        .or_else(|| find(rooted).map(|header| (rooted, header)));
    let (full, header) = found.ok_or(ScpiError::UndefinedHeader)?;
    if !full.starts_with('*') {
        let next = full
            .rfind(':')
            .map_or(String::new(), |end| full[..=end].to_owned());
        *path = next;
    }
    header.with(rest.trim())
}

/// Request of a header, its parameters not yet looked at.
enum Header {
    Bare(Command),
    Configure(Quantity),
    Measure(Quantity),
    SetFunction,
}

fn find(header: &str) -> Option<Header> {
    if let Some(&(_, command)) = BARE.iter().find(|(bare, _)| matches(bare, header)) {
        return Some(Header::Bare(command));
    }
    if ["SENSe:FUNCtion", "FUNCtion"]
        .iter()
        .any(|set| matches(set, header))
    {
        return Some(Header::SetFunction);
    }
    let (verb, function) = header.split_once(':')?;
    if node_matches("CONFigure", verb) {
        return function_of(function).map(Header::Configure);
    }
    let function = function
        .strip_suffix('?')
        .filter(|_| node_matches("MEASure", verb))?;
    function_of(function).map(Header::Measure)
}

fn function_of(name: &str) -> Option<Quantity> {
    let named = FUNCTIONS.iter().find(|(pattern, _)| matches(pattern, name));
    named.map(|&(_, quantity)| quantity)
}

impl Header {
    fn with(self, rest: &str) -> Result<Command, ScpiError> {
        Ok(match self {
            Self::Bare(_) if !rest.is_empty() => return Err(ScpiError::ParameterNotAllowed),
            Self::Bare(command) => command,
            Self::SetFunction => set_function(rest)?,
            Self::Configure(quantity) => Command::Configure {
                quantity,
                expected: expected(quantity, rest)?,
            },
            Self::Measure(quantity) => Command::Measure {
                quantity,
                expected: expected(quantity, rest)?,
            },
        })
    }
}

/// The expected value that picks a range; a resolution after it is taken and not used.
fn expected(quantity: Quantity, rest: &str) -> Result<Option<f64>, ScpiError> {
    let mut parameters = rest.split(',').map(str::trim);
    let first = parameters.next().unwrap_or_default();
    if parameters.nth(1).is_some() {
        return Err(ScpiError::ParameterNotAllowed);
    }
    if first.is_empty() || ["AUTO", "DEFault"].iter().any(|word| matches(word, first)) {
        return Ok(None);
    }
    match first.parse::<f64>() {
        Ok(value) if value.is_finite() && (value >= 0.0 || quantity.is_signed()) => Ok(Some(value)),
        Ok(_) => Err(ScpiError::IllegalParameterValue),
        Err(_) => Err(ScpiError::DataTypeError),
    }
}

fn set_function(rest: &str) -> Result<Command, ScpiError> {
    let name = rest.trim_matches(|letter| letter == '"' || letter == '\'');
    if let Some(quantity) = function_of(name) {
        Ok(Command::SetFunction(quantity))
    } else if name.is_empty() {
        Err(ScpiError::MissingParameter)
    } else {
        Err(ScpiError::IllegalParameterValue)
    }
}

/// Whether `header` is a way to write `pattern`, whose capital letters are the short form: `SYSTem:ERRor?`.
///
/// A node is either its short or its long form, nothing in between (SCPI-1999 vol. 1, as quoted in makers' manuals).
pub(super) fn matches(pattern: &str, header: &str) -> bool {
    let (pattern, asks) = query_mark(pattern);
    let (header, asked) = query_mark(header);
    let (mut nodes, mut words) = (pattern.split(':'), header.split(':'));
    let alike = nodes
        .by_ref()
        .all(|node| words.next().is_some_and(|word| node_matches(node, word)));
    alike && words.next().is_none() && asks == asked
}

fn query_mark(header: &str) -> (&str, bool) {
    header
        .strip_suffix('?')
        .map_or((header, false), |bare| (bare, true))
}

fn node_matches(node: &str, word: &str) -> bool {
    let short = node.trim_end_matches(|letter: char| letter.is_ascii_lowercase());
    word.eq_ignore_ascii_case(node) || word.eq_ignore_ascii_case(short)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parsed(unit: &str) -> Result<Command, ScpiError> {
        parse(unit, &mut String::new())
    }

    #[test]
    fn commands_are_understood_in_every_form() {
        let ohms = Command::Configure {
            quantity: Quantity::Resistance,
            expected: None,
        };
        for unit in [
            "CONF:RES",
            "conf:res",
            ":CONFIGURE:RESISTANCE",
            "Conf:Res AUTO",
            "CONF:RES DEF",
        ] {
            assert_eq!(parsed(unit), Ok(ohms), "{unit}");
        }
        let nano = Command::Configure {
            quantity: Quantity::Capacitance,
            expected: Some(1e-9),
        };
        assert_eq!(parsed("CONF:CAP 1E-9,1e-12"), Ok(nano));
        assert_eq!(
            parsed("SENS:FUNC 'CAP'"),
            Ok(Command::SetFunction(Quantity::Capacitance))
        );
        assert_eq!(parsed("FETC?"), Ok(Command::Fetch));
        for (unit, quantity, expected) in [
            ("CONF:VOLT:DC", Quantity::Voltage, None),
            ("CONF:VOLT:AC", Quantity::AcVoltage, None),
            ("CONF:VOLT -12", Quantity::Voltage, Some(-12.0)),
            ("CONFIGURE:CURRENT:DC DEF", Quantity::Current, None),
            ("CONF:IND", Quantity::Inductance, None),
        ] {
            let configure = Command::Configure { quantity, expected };
            assert_eq!(parsed(unit), Ok(configure), "{unit}");
        }
        assert_eq!(
            parsed("FUNC \"VOLT:DC\""),
            Ok(Command::SetFunction(Quantity::Voltage))
        );
    }

    #[test]
    fn wrong_commands_give_the_number_of_the_standard() {
        assert_eq!(parsed("CONF:CURR:AC"), Err(ScpiError::UndefinedHeader));
        assert_eq!(parsed("READ"), Err(ScpiError::UndefinedHeader));
        assert_eq!(parsed("*IDN? 1"), Err(ScpiError::ParameterNotAllowed));
        assert_eq!(parsed("CONF:RES much"), Err(ScpiError::DataTypeError));
        assert_eq!(parsed("CONF:RES -1"), Err(ScpiError::IllegalParameterValue));
        assert_eq!(parsed("FUNC"), Err(ScpiError::MissingParameter));
        assert_eq!(parsed(""), Err(ScpiError::SyntaxError));
    }

    #[test]
    fn a_header_after_a_semicolon_is_looked_for_under_the_last_path() {
        let mut path = String::new();
        parse("SYST:ERR?", &mut path).unwrap();
        assert_eq!(parse("VERS?", &mut path), Ok(Command::Version));
        assert_eq!(parse("*OPC?", &mut path), Ok(Command::OperationComplete));
        assert_eq!(
            parse("ERR?", &mut path),
            Ok(Command::NextError),
            "a common command leaves the path"
        );
        assert_eq!(parse(":READ?", &mut path), Ok(Command::Read));
        assert_eq!(parse("ERR?", &mut path), Err(ScpiError::UndefinedHeader));
    }

    #[test]
    fn long_and_short_forms_in_any_case_match() {
        for header in ["SYST:ERR?", "syst:err?", "SYSTEM:ERROR?", "System:Err?"] {
            assert!(matches("SYSTem:ERRor?", header), "{header}");
        }
    }

    #[test]
    fn nothing_in_between_matches() {
        // `SYSTe:ERR?` is a makers' manual's own example of a wrong header.
        for header in [
            "SYSTe:ERR?",
            "SYST:ERR",
            "SYST?",
            "SYST:ERR:NEXT?",
            "SYST:",
            "",
        ] {
            assert!(!matches("SYSTem:ERRor?", header), "{header}");
        }
    }
}
