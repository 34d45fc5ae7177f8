//! [`Gate`]: what every request must show before anything is answered.

use std::net::SocketAddr;

use hyper::header::{COOKIE, HOST, HeaderMap, HeaderName, ORIGIN};
use hyper::http::request::Parts;
use hyper::{Method, Uri};

use super::address::{Key, authorities, origin};
use super::answer::Refusal;

/// Marks that every request must show.
#[derive(Debug)]
pub(super) struct Gate {
    key: Option<Key>,
    cookie: String,
}

impl Gate {
    /// A gate at that port, with a key where one is wanted. Cookies know no ports, so the name of the cookie tells it.
    pub(super) fn new(key: Option<Key>, port: u16) -> Self {
        Self {
            key,
            cookie: format!("probewright-{port}"),
        }
    }

    /// Whether it asks for a key at all.
    pub(super) const fn wants_key(&self) -> bool {
        self.key.is_some()
    }

    /// Whether the request has the key in its cookie, if one is wanted.
    pub(super) fn check_key(&self, request: &Parts) -> Result<(), Refusal> {
        let Some(key) = &self.key else { return Ok(()) };
        let shown = cookies(&request.headers).find(|(name, _)| *name == self.cookie);
        match shown {
            None => Err(Refusal::NoKey),
            Some((_, value)) if key.is(value) => Ok(()),
            Some(_) => Err(Refusal::WrongKey),
        }
    }

    /// The cookie for a browser that shows the key.
    pub(super) fn admit(&self, text: &str) -> Result<String, Refusal> {
        match &self.key {
            Some(key) if key.is(text.trim()) => Ok(format!(
                "{}={}; Path=/; HttpOnly; SameSite=Strict",
                self.cookie,
                key.text()
            )),
            Some(_) => Err(Refusal::WrongKey),
            None => Err(Refusal::NotFound),
        }
    }
}

/// Whether the request is for this page and from this page. `here` is the end of the connection on this side.
///
/// A name that was made to point here (DNS rebinding) shows in `Host`, another site's page in `Origin`.
pub(super) fn check_source(request: &Parts, here: SocketAddr) -> Result<(), Refusal> {
    let host = host(&request.headers, &request.uri)?;
    let expected = authorities(here);
    if !expected.iter().any(|one| one.eq_ignore_ascii_case(&host)) {
        return Err(Refusal::WrongHost {
            found: host,
            expected: expected.join("` or `"),
        });
    }
    let expected = origin(&host);
    match only(&request.headers, &ORIGIN) {
        Some(found) if found.eq_ignore_ascii_case(&expected) => Ok(()),
        Some(found) => Err(Refusal::WrongOrigin { found, expected }),
        None if request.method == Method::POST => Err(Refusal::NoOrigin { expected }),
        None => Ok(()),
    }
}

/// The host that is asked for: the same in the header and, where that has one, in the target of the request.
fn host(headers: &HeaderMap, target: &Uri) -> Result<String, Refusal> {
    let host = only(headers, &HOST).ok_or(Refusal::NoHost)?;
    match target.authority() {
        Some(other) if other.as_str() != host => Err(Refusal::NoHost),
        _ => Ok(host),
    }
}

/// The one value of that header; `None` if there is none, `?` if there are more or it is no text.
fn only(headers: &HeaderMap, name: &HeaderName) -> Option<String> {
    let mut values = headers.get_all(name).iter();
    let first = values.next()?.to_str().unwrap_or("?");
    Some(if values.next().is_none() { first } else { "?" }.to_owned())
}

/// Names and values of all cookies (RFC 6265, 4.2.1: pairs separated by a semicolon and a blank; clause from memory).
fn cookies(headers: &HeaderMap) -> impl Iterator<Item = (&str, &str)> {
    headers
        .get_all(COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
}

#[cfg(test)]
mod tests {
    use super::*;
    use hyper::Request;

    const HERE: &str = "192.0.2.7:7391";

    fn request(method: &str, target: &str, headers: &[(&str, &str)]) -> Parts {
        let mut request = Request::builder().method(method).uri(target);
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        request.body(()).unwrap().into_parts().0
    }

    fn status(method: &str, target: &str, headers: &[(&str, &str)]) -> u16 {
        match check_source(&request(method, target, headers), HERE.parse().unwrap()) {
            Ok(()) => 200,
            Err(refusal) => refusal.status().as_u16(),
        }
    }

    #[test]
    fn only_the_address_itself_is_a_host() {
        assert_eq!(status("GET", "/", &[("host", HERE)]), 200);
        for host in [
            "192.0.2.7",
            "192.0.2.7:80",
            "localhost:7391",
            "127.0.0.1:7391",
            "bench.example:7391",
            "192.0.2.7:7391.bench.example",
            "user@192.0.2.7:7391",
            "",
        ] {
            assert_eq!(status("GET", "/", &[("host", host)]), 421, "{host}");
        }
        assert_eq!(status("GET", "/", &[]), 400);
        assert_eq!(status("GET", "/", &[("host", HERE), ("host", HERE)]), 421);
        let elsewhere = "http://bench.example/";
        assert_eq!(status("GET", elsewhere, &[("host", HERE)]), 400);
    }

    #[test]
    fn a_command_comes_from_this_page_alone() {
        let post = |origin: &str| status("POST", "/command", &[("host", HERE), ("origin", origin)]);
        assert_eq!(post("http://192.0.2.7:7391"), 200);
        for origin in [
            "null",
            "http://192.0.2.7",
            "https://192.0.2.7:7391",
            "http://bench.example",
        ] {
            assert_eq!(post(origin), 403, "{origin}");
        }
        assert_eq!(status("POST", "/command", &[("host", HERE)]), 403);
        let other = [("host", HERE), ("origin", "http://bench.example")];
        assert_eq!(status("GET", "/events", &other), 403);
    }

    #[test]
    fn the_key_is_shown_once_and_then_kept_in_a_cookie() {
        let gate = Gate::new(Some(Key::random().unwrap()), 7391);
        let key = gate.key.as_ref().unwrap().text().to_owned();
        assert!(matches!(gate.admit("0123"), Err(Refusal::WrongKey)));
        let cookie = gate.admit(&format!("{key}\n")).unwrap();
        assert!(cookie.ends_with("; HttpOnly; SameSite=Strict"), "{cookie}");
        let pair = cookie.split(';').next().unwrap();
        let other = format!("a=b; {pair}; c=d");
        let check = |cookie: &str| gate.check_key(&request("GET", "/state", &[("cookie", cookie)]));
        assert!(check(pair).is_ok());
        assert!(check(&other).is_ok());
        assert!(matches!(check("a=b"), Err(Refusal::NoKey)));
        assert!(matches!(
            check("probewright-7391=00"),
            Err(Refusal::WrongKey)
        ));
        let port_of_another = pair.replace("7391", "7392");
        assert!(matches!(check(&port_of_another), Err(Refusal::NoKey)));
    }
}
