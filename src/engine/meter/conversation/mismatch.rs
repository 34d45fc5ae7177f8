//! [`Mismatch`]: whether it was said already that something else than the wanted quantity arrives.

use crate::engine::quantity::Quantity;

/// What arrives instead of the wanted quantity.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Mismatch {
    /// The wanted quantity arrives, as far as is known.
    #[default]
    None,
    /// Another one that the program measures.
    Measured(Quantity),
    /// Something that the program does not measure.
    Foreign,
}

impl Mismatch {
    /// Takes note of what arrives; whether that was not said before.
    pub(super) fn is_news(&mut self, arriving: Option<Quantity>) -> bool {
        let now = arriving.map_or(Self::Foreign, Self::Measured);
        std::mem::replace(self, now) != now
    }
}
