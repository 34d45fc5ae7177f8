//! [`Timer`]: everything that can happen in a conversation by itself.

use crate::engine::quantity::Stamp;

/// What a deadline is for. At most one runs at a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Timer {
    /// Query: a question for a reading, or to the error queue, has waited `answer_within`. The meter is silent; find its place again.
    Answer,
    /// Query: an identification has waited its patience (`answer_within`, doubling up to 5 s). Ask again.
    Identification,
    /// Query, without identification: the line was quiet for `answer_within`. What was asked before is taken as lost; go on.
    Quiet,
    /// Query: the pause between an answer and the next question is over. Ask.
    Pause,
    /// Talk: no line for `silent_after`. The meter is silent.
    Silence,
}

/// A timer with the moment when it fires.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Alarm {
    pub(super) timer: Timer,
    pub(super) at: Stamp,
}

impl Alarm {
    /// The alarm in `slot`, taken out, if it is due at `now`.
    pub(super) fn take_due(slot: &mut Option<Self>, now: Stamp) -> Option<Self> {
        slot.take_if(|alarm| alarm.at <= now)
    }
}
