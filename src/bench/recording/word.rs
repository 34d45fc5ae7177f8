//! [`Word`]: the second field of every line, which says what the line tells.

/// What a line tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Word {
    Program,
    Begun,
    File,
    Setting,
    Meter,
    In,
    Out,
    Link,
    Command,
    Sealed,
}

impl Word {
    const ALL: [Self; 10] = [
        Self::In,
        Self::Out,
        Self::Command,
        Self::Link,
        Self::Program,
        Self::Begun,
        Self::File,
        Self::Setting,
        Self::Meter,
        Self::Sealed,
    ];

    /// As it stands in the file.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Program => "program",
            Self::Begun => "begun",
            Self::File => "file",
            Self::Setting => "setting",
            Self::Meter => "meter",
            Self::In => "in",
            Self::Out => "out",
            Self::Link => "link",
            Self::Command => "command",
            Self::Sealed => "sealed",
        }
    }

    /// The word that stands there, if it is one of ours.
    pub(super) fn of(text: &[u8]) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|word| word.name().as_bytes() == text)
    }
}
