//! [`LineSettings`]: how bits travel on a serial line.

/// Data bits of a character.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum DataBits {
    /// Five.
    Five,
    /// Six.
    Six,
    /// Seven.
    Seven,
    /// Eight, the usual one.
    #[default]
    Eight,
}

/// Parity bit of a character.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Parity {
    /// No parity bit, the usual one.
    #[default]
    None,
    /// Odd parity.
    Odd,
    /// Even parity.
    Even,
}

/// Stop bits of a character.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum StopBits {
    /// One, the usual one.
    #[default]
    One,
    /// Two.
    Two,
}

/// How the receiver holds the sender back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Flow {
    /// Not at all, the usual one.
    #[default]
    None,
    /// XON and XOFF characters.
    Software,
    /// RTS and CTS lines.
    Hardware,
}

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
            data_bits: DataBits::default(),
            parity: Parity::default(),
            stop_bits: StopBits::default(),
            flow: Flow::default(),
            dtr: None,
            rts: None,
        }
    }
}

impl LineSettings {
    /// The settings in the words of the serial library, for the port at `path`.
    pub(super) fn builder(&self, path: &str) -> serialport::SerialPortBuilder {
        serialport::new(path, self.baud)
            .data_bits(match self.data_bits {
                DataBits::Five => serialport::DataBits::Five,
                DataBits::Six => serialport::DataBits::Six,
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
