//! [`ErrorQueue`]: what `SYSTem:ERRor?` hands out, first in, first out.

use std::collections::VecDeque;

/// An error of the SCPI-1999 list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum ScpiError {
    SyntaxError,
    DataTypeError,
    ParameterNotAllowed,
    MissingParameter,
    UndefinedHeader,
    IllegalParameterValue,
    QueueOverflow,
    InputBufferOverrun,
}

impl ScpiError {
    /// Number and text of the standard's list, as the public C library `scpi-parser` quotes it.
    const fn entry(self) -> (i16, &'static str) {
        match self {
            Self::SyntaxError => (-102, "Syntax error"),
            Self::DataTypeError => (-104, "Data type error"),
            Self::ParameterNotAllowed => (-108, "Parameter not allowed"),
            Self::MissingParameter => (-109, "Missing parameter"),
            Self::UndefinedHeader => (-113, "Undefined header"),
            Self::IllegalParameterValue => (-224, "Illegal parameter value"),
            Self::QueueOverflow => (-350, "Queue overflow"),
            Self::InputBufferOverrun => (-363, "Input buffer overrun"),
        }
    }
}

/// Entries that are kept; the last becomes "queue overflow" when more come.
const LIMIT: usize = 16;

/// Errors not yet asked for.
#[derive(Debug, Default)]
pub(super) struct ErrorQueue(VecDeque<ScpiError>);

impl ErrorQueue {
    /// Adds `error` at the end.
    pub(super) fn push(&mut self, error: ScpiError) {
        if self.0.len() < LIMIT {
            self.0.push_back(error);
        } else if let Some(last) = self.0.back_mut() {
            *last = ScpiError::QueueOverflow;
        }
    }

    /// The answer to `SYSTem:ERRor?`: takes the oldest entry.
    pub(super) fn answer(&mut self) -> String {
        let (number, text) = self.0.pop_front().map_or((0, "No error"), ScpiError::entry);
        format!("{number},\"{text}\"")
    }

    /// Forgets all.
    pub(super) fn clear(&mut self) {
        self.0.clear();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn errors_come_out_in_the_order_they_came_in() {
        let mut queue = ErrorQueue::default();
        queue.push(ScpiError::UndefinedHeader);
        queue.push(ScpiError::SyntaxError);
        assert_eq!(queue.answer(), r#"-113,"Undefined header""#);
        assert_eq!(queue.answer(), r#"-102,"Syntax error""#);
        assert_eq!(queue.answer(), r#"0,"No error""#);
    }

    #[test]
    fn the_last_entry_tells_of_an_overflow() {
        let mut queue = ErrorQueue::default();
        (0..LIMIT + 3).for_each(|_| queue.push(ScpiError::UndefinedHeader));
        let answers: Vec<_> = (0..LIMIT).map(|_| queue.answer()).collect();
        assert_eq!(answers[LIMIT - 1], r#"-350,"Queue overflow""#);
        assert_eq!(answers[LIMIT - 2], r#"-113,"Undefined header""#);
        assert_eq!(queue.answer(), r#"0,"No error""#);
    }
}
