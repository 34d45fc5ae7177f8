//! [`LineSettings`]: how the serial line to a meter is set. Plain words; the link maps them to its port library.

use serde::Deserialize;

/// Bits of a character.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DataBits {
    /// Seven data bits.
    Seven,
    /// Eight data bits.
    Eight,
}

/// Parity bit of a character.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Parity {
    /// No parity bit.
    #[default]
    None,
    /// The number of ones is made even.
    Even,
    /// The number of ones is made odd.
    Odd,
}

/// Stop bits after a character.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum StopBits {
    /// One stop bit.
    One,
    /// Two stop bits.
    Two,
}

/// Flow control.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Flow {
    /// None.
    #[default]
    None,
    /// XON and XOFF characters.
    Software,
    /// The lines RTS and CTS.
    Hardware,
}

/// What is sent after a command. (Every one of the three is understood as the end of an answer.)
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "UPPERCASE")]
pub enum Ending {
    /// Line feed.
    #[default]
    Lf,
    /// Carriage return.
    Cr,
    /// Carriage return and line feed.
    CrLf,
}

impl Ending {
    /// The bytes to send.
    pub const fn bytes(self) -> &'static [u8] {
        match self {
            Self::Lf => b"\n",
            Self::Cr => b"\r",
            Self::CrLf => b"\r\n",
        }
    }

    /// The word used in a profile.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Lf => "LF",
            Self::Cr => "CR",
            Self::CrLf => "CRLF",
        }
    }
}

/// Settings of the line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LineSettings {
    /// Bits a second; 50 to 4 000 000.
    pub baud: u32,
    /// Data bits.
    pub data_bits: DataBits,
    /// Parity.
    pub parity: Parity,
    /// Stop bits.
    pub stop_bits: StopBits,
    /// Flow control.
    pub flow: Flow,
    /// What is sent after a command.
    pub ending: Ending,
    /// A reply line longer than so many bytes is not taken; 16 to 65 536.
    pub longest_reply: usize,
    /// Level of the DTR line after opening; `None` leaves it as the operating system sets it. Isolating cables often draw
    /// their power from it (common practice, no source). A port without the line ignores this.
    pub dtr: Option<bool>,
    /// The same of the RTS line.
    pub rts: Option<bool>,
}

impl std::fmt::Display for LineSettings {
    /// Writes `9600 baud, 8N1, flow control none`, and behind it `, DTR high` where the profile says so.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let data = match self.data_bits {
            DataBits::Seven => 7,
            DataBits::Eight => 8,
        };
        let parity = match self.parity {
            Parity::None => 'N',
            Parity::Even => 'E',
            Parity::Odd => 'O',
        };
        let stop = match self.stop_bits {
            StopBits::One => 1,
            StopBits::Two => 2,
        };
        let flow = match self.flow {
            Flow::None => "none",
            Flow::Software => "software",
            Flow::Hardware => "hardware",
        };
        write!(
            f,
            "{} baud, {data}{parity}{stop}, flow control {flow}",
            self.baud
        )?;
        for (line, level) in [("DTR", self.dtr), ("RTS", self.rts)] {
            if let Some(level) = level {
                write!(f, ", {line} {}", if level { "high" } else { "low" })?;
            }
        }
        Ok(())
    }
}
