//! [`Refusal`]: why a request is not answered.

use hyper::StatusCode;

use crate::views::serve::commands;

/// Why a request is not answered, in words for the person at the browser.
#[derive(Debug, thiserror::Error)]
pub(super) enum Refusal {
    /// None, more than one, or one that is no text.
    #[error("expected one header Host with the address of this page")]
    NoHost,
    /// The browser was led here under another name.
    #[error("found host `{found}`, expected `{expected}`: open the page by its address as printed")]
    WrongHost { found: String, expected: String },
    /// Another site asks.
    #[error("found origin `{found}`, expected `{expected}`: only this page may ask")]
    WrongOrigin { found: String, expected: String },
    /// Nobody says on whose behalf a command comes.
    #[error("no header Origin, expected `{expected}`: only this page may send commands")]
    NoOrigin { expected: String },
    /// No key.
    #[error("no key: open the page with the whole address printed where the sitting began")]
    NoKey,
    /// Another key.
    #[error("this is not the key of this sitting: open the page with the address printed last")]
    WrongKey,
    /// Nothing here.
    #[error("there is nothing here; the page is at /")]
    NotFound,
    /// A method that is of no use here.
    #[error("method not allowed here, expected {allowed}")]
    Method { allowed: &'static str },
    /// The body is too large.
    #[error("the text is too long: at most {most} bytes")]
    TooLarge { most: usize },
    /// The body did not come.
    #[error("the text did not come in time")]
    TooSlow,
    /// The body broke off.
    #[error("the text broke off")]
    BrokenOff,
    /// The body is no text.
    #[error("found bytes that are no text, expected UTF-8")]
    NotText,
    /// The body is no command, or the sitting takes none.
    #[error(transparent)]
    Command(#[from] commands::Refusal),
    /// Too many look on already.
    #[error("{most} pages are looking on already: close one, then try again")]
    TooManyViewers { most: usize },
}

impl Refusal {
    /// The status that goes with it.
    pub(super) const fn status(&self) -> StatusCode {
        match self {
            Self::WrongHost { .. } => StatusCode::MISDIRECTED_REQUEST,
            Self::WrongOrigin { .. } | Self::NoOrigin { .. } => StatusCode::FORBIDDEN,
            Self::NoKey | Self::WrongKey => StatusCode::UNAUTHORIZED,
            Self::NotFound => StatusCode::NOT_FOUND,
            Self::Method { .. } => StatusCode::METHOD_NOT_ALLOWED,
            Self::TooLarge { .. } => StatusCode::PAYLOAD_TOO_LARGE,
            Self::TooSlow => StatusCode::REQUEST_TIMEOUT,
            Self::Command(commands::Refusal::Over) => StatusCode::CONFLICT,
            Self::NoHost | Self::BrokenOff | Self::NotText | Self::Command(_) => {
                StatusCode::BAD_REQUEST
            }
            Self::TooManyViewers { .. } => StatusCode::SERVICE_UNAVAILABLE,
        }
    }
}
