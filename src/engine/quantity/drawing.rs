//! [`Drawing`]: the conventions of the drawing or parts list that the values were copied from.

/// How the maker's drawing writes its values, where old practice was not of one mind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Drawing {
    /// `M` (or `m`) behind a resistance means a thousand: `10M` is 10 kΩ. Otherwise it means a million.
    /// `Meg` is a million in either case.
    pub m_is_thousand: bool,
}
