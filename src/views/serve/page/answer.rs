//! [`Answer`]: what goes back to the browser, and the headers that every answer has.

use http_body_util::{Either, Full};
use hyper::body::Bytes;
use hyper::header::{
    ALLOW, CACHE_CONTROL, CONTENT_SECURITY_POLICY, CONTENT_TYPE, HeaderName, HeaderValue,
    REFERRER_POLICY, RETRY_AFTER, SET_COOKIE, WWW_AUTHENTICATE, X_CONTENT_TYPE_OPTIONS,
    X_FRAME_OPTIONS,
};
use hyper::{Response, StatusCode};

use super::asset::Asset;
use super::refusal::Refusal;
use super::stream::Stream;

/// What goes back: a text, or a stream of events.
pub(super) type Answer = Response<Either<Full<Bytes>, Stream>>;

/// Nothing from elsewhere, nothing inline, no form, no frame around it.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; \
    connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

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
