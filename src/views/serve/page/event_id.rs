//! [`EventId`]: which item of which sitting an event carries.

use std::fmt;
use std::str::FromStr;

/// Which item of which sitting an event carries: `20561103T192530-17`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct EventId<'a> {
    /// Name of the sitting.
    pub(super) sitting: &'a str,
    /// The item.
    pub(super) item: u64,
}

impl fmt::Display for EventId<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}-{}", self.sitting, self.item)
    }
}

/// The item in what a browser sends back as `Last-Event-ID`, if that is of this sitting.
pub(super) fn item_of(text: &str, sitting: &str) -> Option<u64> {
    let (name, item) = text.rsplit_once('-')?;
    (name == sitting).then(|| u64::from_str(item).ok())?
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_event_id_reads_back_only_in_its_own_sitting() {
        let id = EventId {
            sitting: "20561103T192530-2",
            item: 17,
        }
        .to_string();
        assert_eq!(id, "20561103T192530-2-17");
        assert_eq!(item_of(&id, "20561103T192530-2"), Some(17));
        assert_eq!(item_of(&id, "20561103T192530"), None);
        for text in ["", "17", "20561103T192530-", "20561103T192530-x"] {
            assert_eq!(item_of(text, "20561103T192530"), None, "{text}");
        }
    }
}
