//! [`Answer`]: what goes back to the browser, with the headers that every answer has; the page's files, and why one is refused.

use http_body_util::{Either, Full};
use hyper::body::Bytes;
use hyper::header::{
    ALLOW, CACHE_CONTROL, CONTENT_SECURITY_POLICY, CONTENT_TYPE, HeaderName, HeaderValue,
    REFERRER_POLICY, RETRY_AFTER, SET_COOKIE, WWW_AUTHENTICATE, X_CONTENT_TYPE_OPTIONS,
    X_FRAME_OPTIONS,
};
use hyper::{Response, StatusCode};

use super::stream::Stream;
use crate::views::serve::protocol;

/// Answer to a request: a text, or a stream of events.
pub(super) type Answer = Response<Either<Full<Bytes>, Stream>>;

/// Nothing from elsewhere, nothing inline, no form, no frame around it.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; \
    connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// The same for a picture opened by itself, but for its own style.
const OF_PICTURE: &str = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; \
    form-action 'none'; frame-ancestors 'none'";

/// Headers of every answer.
const HEADERS: [(HeaderName, &str); 6] = [
    (CONTENT_SECURITY_POLICY, POLICY),
    (X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (X_FRAME_OPTIONS, "DENY"),
    (REFERRER_POLICY, "no-referrer"),
    (CACHE_CONTROL, "no-store"),
    (
        HeaderName::from_static("cross-origin-resource-policy"),
        "same-origin",
    ),
];

/// A file of the page.
pub(super) fn file(found: &Asset) -> Answer {
    asset(found.media_type, found.text)
}

/// A text of that type.
pub(super) fn asset(media_type: &'static str, text: impl Into<Bytes>) -> Answer {
    let mut answer = Response::new(Either::Left(Full::new(text.into())));
    set(&mut answer, CONTENT_TYPE, media_type);
    for (name, value) in HEADERS {
        set(&mut answer, name, value);
    }
    answer
}

/// Data.
pub(super) fn json(text: String) -> Answer {
    asset("application/json", text)
}

/// A picture, which has its style within itself.
pub(super) fn svg(text: String) -> Answer {
    let mut answer = asset("image/svg+xml", text);
    set(&mut answer, CONTENT_SECURITY_POLICY, OF_PICTURE);
    answer
}

/// A stream of events.
pub(super) fn stream(stream: Stream) -> Answer {
    asset("text/event-stream", "").map(|_| Either::Right(stream))
}

/// Done.
pub(super) fn nothing() -> Answer {
    let mut answer = asset("text/plain; charset=utf-8", "");
    answer.headers_mut().remove(CONTENT_TYPE);
    *answer.status_mut() = StatusCode::NO_CONTENT;
    answer
}

/// Done, and this is the cookie.
pub(super) fn with_cookie(cookie: &str) -> Answer {
    let mut answer = nothing();
    // A cookie is made of hexadecimal figures and fixed words.
    if let Ok(value) = HeaderValue::from_str(cookie) {
        answer.headers_mut().insert(SET_COOKIE, value);
    }
    answer
}

/// Not done, and why.
pub(super) fn refuse(refusal: &Refusal) -> Answer {
    let mut answer = asset("text/plain; charset=utf-8", format!("{refusal}\n"));
    *answer.status_mut() = refusal.status();
    match refusal {
        Refusal::Method { allowed } => set(&mut answer, ALLOW, allowed),
        // RFC 9110, 11.6.1, wants a scheme with this status; no browser knows this one, so none asks for a password.
        Refusal::NoKey | Refusal::WrongKey => set(&mut answer, WWW_AUTHENTICATE, "Key"),
        Refusal::TooManyViewers { .. } => set(&mut answer, RETRY_AFTER, "5"),
        _ => {}
    }
    answer
}

fn set(answer: &mut Answer, name: HeaderName, value: &'static str) {
    answer
        .headers_mut()
        .insert(name, HeaderValue::from_static(value));
}

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
    Command(#[from] protocol::Refusal),
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
            Self::Command(protocol::Refusal::Over) => StatusCode::CONFLICT,
            Self::NoHost | Self::BrokenOff | Self::NotText | Self::Command(_) => {
                StatusCode::BAD_REQUEST
            }
            Self::TooManyViewers { .. } => StatusCode::SERVICE_UNAVAILABLE,
        }
    }
}

/// A file of the page.
#[derive(Debug)]
pub(super) struct Asset {
    /// Where it is.
    pub(super) path: &'static str,
    /// Its media type.
    pub(super) media_type: &'static str,
    /// It.
    pub(super) text: &'static str,
}

/// All files. None of them holds data of a sitting.
const ALL: [Asset; 4] = [
    Asset {
        path: "/",
        media_type: "text/html; charset=utf-8",
        text: include_str!("index.html"),
    },
    Asset {
        path: "/page.css",
        media_type: "text/css; charset=utf-8",
        text: include_str!("page.css"),
    },
    Asset {
        path: "/page.js",
        media_type: "text/javascript; charset=utf-8",
        text: include_str!("page.js"),
    },
    Asset {
        path: "/icon.svg",
        media_type: "image/svg+xml",
        text: include_str!("icon.svg"),
    },
];

impl Asset {
    /// The one at that path.
    pub(super) fn at(path: &str) -> Option<&'static Self> {
        ALL.iter().find(|asset| asset.path == path)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    #[test]
    fn the_page_names_no_file_that_is_not_built_in() {
        let page = Asset::at("/").unwrap().text;
        for attribute in ["src=\"", "href=\""] {
            for rest in page.split(attribute).skip(1) {
                let target = rest.split('"').next().unwrap();
                let inside = target.starts_with('#') || Asset::at(target).is_some();
                assert!(inside, "{target}");
            }
        }
    }

    #[test]
    fn data_never_becomes_markup_and_nothing_is_inline() {
        for asset in &ALL {
            // The name of a namespace is no address.
            let text = asset.text.replace("http://www.w3.org/2000/svg", "");
            for word in [
                "innerHTML",
                "outerHTML",
                "insertAdjacentHTML",
                "document.write",
                "eval(",
                "http://",
                "https://",
                "style=",
                " onclick=",
                "@import",
                "url(",
            ] {
                assert!(!text.contains(word), "{word} in {}", asset.path);
            }
        }
    }
}
