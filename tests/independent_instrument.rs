//! The conversation with an instrument that somebody else programmed: the parser, the number formats, the identification and
//! the error queue are those of the public library `scpi` with `scpi-contrib`.

use std::collections::VecDeque;
use std::sync::Arc;

use probewright::face::engine::meter::{Conversation, Heard, Profile, Shown, shipped_profile};
use probewright::face::engine::quantity::{Quantity, Stamp};
use scpi::error::Error;
use scpi::tree::prelude::*;
use scpi::{Branch, Context, Device, Leaf, Root, cmd_nquery, cmd_qonly};
use scpi_contrib::ieee488::prelude::*;
use scpi_contrib::scpi1999::prelude::*;
use scpi_contrib::{ieee488_cls, ieee488_idn, scpi_system};

/// A meter of resistance and direct voltage, of values to order.
#[derive(Default)]
pub(crate) struct Instrument {
    /// Its next readings, one after the other; not a number when there is nothing left.
    pub(crate) values: VecDeque<f64>,
    errors: VecDeque<Error>,
    set_up: bool,
    esr: u8,
    ese: u8,
    sre: u8,
    operation: EventRegister,
    questionable: EventRegister,
}

impl Device for Instrument {
    fn handle_error(&mut self, error: Error) {
        self.push_error(error);
    }
}

impl IEEE4882 for Instrument {
    fn stb(&self) -> u8 {
        self.scpi_stb()
    }

    fn sre(&self) -> u8 {
        self.sre
    }

    fn set_sre(&mut self, value: u8) {
        self.sre = value;
    }

    fn esr(&self) -> u8 {
        self.esr
    }

    fn set_esr(&mut self, value: u8) {
        self.esr = value;
    }

    fn ese(&self) -> u8 {
        self.ese
    }

    fn set_ese(&mut self, value: u8) {
        self.ese = value;
    }

    fn tst(&mut self) -> scpi::error::Result<()> {
        Ok(())
    }

    fn rst(&mut self) -> scpi::error::Result<()> {
        Ok(())
    }

    fn cls(&mut self) -> scpi::error::Result<()> {
        self.scpi_cls()
    }

    fn opc(&mut self) -> scpi::error::Result<()> {
        self.scpi_opc()
    }
}

impl GetEventRegister<Operation> for Instrument {
    fn register(&self) -> &EventRegister {
        &self.operation
    }

    fn register_mut(&mut self) -> &mut EventRegister {
        &mut self.operation
    }
}

impl GetEventRegister<Questionable> for Instrument {
    fn register(&self) -> &EventRegister {
        &self.questionable
    }

    fn register_mut(&mut self) -> &mut EventRegister {
        &mut self.questionable
    }
}

impl ErrorQueue for Instrument {
    fn push_back_error(&mut self, error: Error) {
        self.errors.push_back(error);
    }

    fn pop_front_error(&mut self) -> Option<Error> {
        self.errors.pop_front()
    }

    fn num_errors(&self) -> usize {
        self.errors.len()
    }

    fn clear_errors(&mut self) {
        self.errors.clear();
    }
}

impl ScpiDevice for Instrument {}

struct Configure;

impl Command<Instrument> for Configure {
    cmd_nquery!();

    fn event(
        &self,
        device: &mut Instrument,
        _: &mut Context,
        _: Parameters,
    ) -> scpi::error::Result<()> {
        device.set_up = true;
        Ok(())
    }
}

struct Read;

impl Command<Instrument> for Read {
    cmd_qonly!();

    fn query(
        &self,
        device: &mut Instrument,
        _: &mut Context,
        _: Parameters,
        mut response: ResponseUnit,
    ) -> scpi::error::Result<()> {
        response
            .data(device.values.pop_front().unwrap_or(f64::NAN))
            .finish()
    }
}

const TREE: Node<Instrument> = Root![
    ieee488_cls!(),
    ieee488_idn!(b"Example Works", b"Ohmmeter", b"0", b"0"),
    Branch![b"CONFigure";
        Leaf!(b"RESistance" => &Configure),
        Branch![b"VOLTage"; Leaf!(default b"DC" => &Configure)]
    ],
    Leaf!(b"READ" => &Read),
    scpi_system!()
];

impl Instrument {
    /// Takes a command with its line end, and answers if it was a question.
    pub(crate) fn take(&mut self, command: &[u8]) -> Vec<u8> {
        let mut response = Vec::new();
        match TREE.run(command, self, &mut Context::default(), &mut response) {
            Ok(()) => response,
            // The error is in its queue.
            Err(_) => Vec::new(),
        }
    }
}

/// Talks until the instrument has no more values, a microsecond a step; what was heard, in words.
fn talk(instrument: &mut Instrument, quantity: Quantity) -> Vec<String> {
    let shipped = shipped_profile("scpi-multimeter").expect("it is shipped");
    let profile = Profile::parse(shipped.text, shipped.name).expect("it is well-formed");
    let mut conversation = Conversation::new(Arc::new(profile));
    conversation
        .measure(quantity, Stamp::ZERO)
        .expect("it has the function");
    conversation.link_up(Stamp::ZERO);
    let mut said = Vec::new();
    for step in 1..40 {
        let mut answers = Vec::new();
        while let Some(bytes) = conversation.transmit() {
            for command in bytes.split_inclusive(|&b| b == b'\n') {
                answers.extend(instrument.take(command));
            }
        }
        let asked_all = instrument.values.is_empty();
        conversation.receive(&answers, Stamp::from_micros(step), &mut |heard| {
            said.push(match heard {
                Heard::Reading(reading) => format!("{:?}", reading.shown),
                Heard::Identified { text, .. } => text.to_owned(),
                Heard::DeviceError { code, text, .. } => format!("{code} {text}"),
                other => format!("{other:?}"),
            });
        });
        if asked_all {
            break;
        }
    }
    said
}

#[test]
fn readings_of_an_independent_instrument_arrive_to_the_last_bit() {
    let values = [
        4712.3,
        1.234_567e-12,
        0.001_234_567,
        -0.5,
        1e9,
        f64::INFINITY,
        f64::NAN,
        1.0 / 3.0,
    ];
    let mut instrument = Instrument {
        values: values.into(),
        ..Instrument::default()
    };
    let said = talk(&mut instrument, Quantity::Resistance);
    assert!(
        instrument.set_up,
        "the instrument did not understand its set-up"
    );
    let expected: Vec<String> = values
        .into_iter()
        .map(|value| match value {
            _ if value.is_infinite() => Shown::Overload,
            _ if value.is_nan() => Shown::NotANumber,
            _ => Shown::Value(value),
        })
        .map(|shown| format!("{shown:?}"))
        .collect();
    assert_eq!(said[0], "Example Works,Ohmmeter,0,0");
    assert_eq!(said[1..], expected);
}

#[test]
fn voltages_of_an_independent_instrument_arrive_with_their_sign() {
    let values = [250.0, -12.0, -1.0 / 3.0, 63e-3];
    let mut instrument = Instrument {
        values: values.into(),
        ..Instrument::default()
    };
    let said = talk(&mut instrument, Quantity::Voltage);
    assert!(instrument.set_up, "CONF:VOLT:DC was not understood");
    let expected = values.map(|value| format!("{:?}", Shown::Value(value)));
    assert_eq!(said[1..], expected);
}

/// SCPI-1999's list of errors (second-hand): -113 is "Undefined header".
#[test]
fn an_independent_instrument_that_lacks_a_function_says_so() {
    let mut instrument = Instrument {
        values: [1.0].into(),
        ..Instrument::default()
    };
    let said = talk(&mut instrument, Quantity::Capacitance);
    assert_eq!(
        said[..2],
        ["Example Works,Ohmmeter,0,0", "-113 Undefined header"]
    );
}
