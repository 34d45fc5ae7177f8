//! [`LineSettings`]: how bits travel on a serial line.

use crate::engine::meter::{self, DataBits, Flow, Parity, StopBits};

/// Settings of a serial line; a TCP connection ignores them. The default is 9600 baud, 8 data bits, no parity, 1 stop bit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct LineSettings {
    /// Bits per second, over 0.
    pub baud: u32,
    /// Data bits of a character.
    pub data_bits: DataBits,
    /// Parity bit of a character.
    pub parity: Parity,
    /// Stop bits of a character.
    pub stop_bits: StopBits,
    /// Flow control.
    pub flow: Flow,
    /// Level of the DTR line after opening; `None` leaves it as the operating system sets it. Isolating cables often draw their
    /// power from it (common practice, no source). A port without the line ignores this.
    pub dtr: Option<bool>,
    /// Level of the RTS line after opening; `None` leaves it alone. A port without the line ignores this.
    pub rts: Option<bool>,
}

impl Default for LineSettings {
    fn default() -> Self {
        Self {
            baud: 9600,
            data_bits: DataBits::Eight,
            parity: Parity::default(),
            stop_bits: StopBits::One,
            flow: Flow::default(),
            dtr: None,
            rts: None,
        }
    }
}

impl LineSettings {
    /// The settings that a meter's profile asks for.
    pub fn of(line: &meter::LineSettings) -> Self {
        Self {
            baud: line.baud,
            data_bits: line.data_bits,
            parity: line.parity,
            stop_bits: line.stop_bits,
            flow: line.flow,
            dtr: None,
            rts: None,
        }
    }

    /// The settings in the words of the serial library, for the port at `path`.
    pub(super) fn builder(&self, path: &str) -> serialport::SerialPortBuilder {
        serialport::new(path, self.baud)
            .data_bits(match self.data_bits {
                DataBits::Seven => serialport::DataBits::Seven,
                DataBits::Eight => serialport::DataBits::Eight,
            })
            .parity(match self.parity {
                Parity::None => serialport::Parity::None,
                Parity::Odd => serialport::Parity::Odd,
                Parity::Even => serialport::Parity::Even,
            })
            .stop_bits(match self.stop_bits {
                StopBits::One => serialport::StopBits::One,
                StopBits::Two => serialport::StopBits::Two,
            })
            .flow_control(match self.flow {
                Flow::None => serialport::FlowControl::None,
                Flow::Software => serialport::FlowControl::Software,
                Flow::Hardware => serialport::FlowControl::Hardware,
            })
    }
}
