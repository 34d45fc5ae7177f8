//! How a browser names the page, and the [`Key`] that it must know to see a sitting over the network.

use std::fmt::{self, Write as _};
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr, UdpSocket};

use subtle::ConstantTimeEq as _;

/// The port that a browser leaves out.
const HTTP: u16 = 80;

/// How a browser may name this end of a connection in `Host`.
pub(super) fn authorities(here: SocketAddr) -> Vec<String> {
    // An IPv4 client of an IPv6 listener shows as a mapped address, but names the page by the IPv4 one.
    let ip = here.ip().to_canonical();
    let here = SocketAddr::new(ip, here.port());
    let mut hosts = vec![here.to_string()];
    if ip.is_loopback() {
        hosts.push(format!("localhost:{}", here.port()));
    }
    if here.port() == HTTP {
        let without: Vec<_> = hosts
            .iter()
            .filter_map(|host| host.strip_suffix(":80").map(str::to_owned))
            .collect();
        hosts.extend(without);
    }
    hosts
}

/// The origin of a page of that host (RFC 6454; there is no TLS).
pub(super) fn origin(host: &str) -> String {
    format!("http://{host}")
}

/// An address to open for a listener there: of one that listens everywhere, the address by which this machine is reached.
pub(super) fn reachable(address: SocketAddr) -> SocketAddr {
    if !address.ip().is_unspecified() {
        return address;
    }
    let ip = outward(address.ip()).unwrap_or(match address.ip() {
        IpAddr::V4(_) => IpAddr::V4(Ipv4Addr::LOCALHOST),
        IpAddr::V6(_) => IpAddr::V6(Ipv6Addr::LOCALHOST),
    });
    SocketAddr::new(ip, address.port())
}

/// The address from which this machine speaks to others. Nothing is sent: connecting a datagram socket only picks the route.
/// The destinations are those for documentation (RFC 5737, RFC 3849).
fn outward(everywhere: IpAddr) -> Option<IpAddr> {
    let destination = if everywhere.is_ipv4() {
        "192.0.2.1:9"
    } else {
        "[2001:db8::1]:9"
    };
    let socket = UdpSocket::bind((everywhere, 0)).ok()?;
    socket.connect(destination).ok()?;
    Some(socket.local_addr().ok()?.ip())
}

/// A random number of 128 bits, new for each sitting.
pub(super) struct Key(String);

impl Key {
    /// A new one.
    ///
    /// # Errors
    /// If the operating system gives no random numbers.
    pub(super) fn random() -> Result<Self, getrandom::Error> {
        let mut bytes = [0; 16];
        getrandom::fill(&mut bytes)?;
        Ok(Self(bytes.iter().fold(String::new(), |mut text, byte| {
            // Writing into a string cannot fail.
            let _ = write!(text, "{byte:02x}");
            text
        })))
    }

    /// As 32 hexadecimal figures.
    pub(super) fn text(&self) -> &str {
        &self.0
    }

    /// Whether that is the key. How long it takes tells nothing about where they differ.
    pub(super) fn is(&self, text: &str) -> bool {
        self.0.as_bytes().ct_eq(text.as_bytes()).into()
    }
}

impl fmt::Debug for Key {
    /// Without the key itself.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Key")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    fn named(here: &str) -> Vec<String> {
        authorities(here.parse().unwrap())
    }

    #[test]
    fn a_page_is_named_by_its_address_and_at_home_by_localhost() {
        assert_eq!(
            named("127.0.0.1:7391"),
            ["127.0.0.1:7391", "localhost:7391"]
        );
        assert_eq!(named("[::1]:7391"), ["[::1]:7391", "localhost:7391"]);
        assert_eq!(named("192.0.2.7:7391"), ["192.0.2.7:7391"]);
        assert_eq!(named("[::ffff:192.0.2.7]:7391"), ["192.0.2.7:7391"]);
        assert_eq!(named("192.0.2.7:80"), ["192.0.2.7:80", "192.0.2.7"]);
        assert_eq!(named("192.0.2.7:8080"), ["192.0.2.7:8080"]);
    }

    #[test]
    fn one_that_listens_everywhere_is_opened_by_an_address_that_is_somewhere() {
        let everywhere: SocketAddr = "0.0.0.0:7391".parse().unwrap();
        let address = reachable(everywhere);
        assert!(!address.ip().is_unspecified());
        assert_eq!(address.port(), 7391);
        let here = "192.0.2.7:1".parse().unwrap();
        assert_eq!(reachable(here), here);
    }

    #[test]
    fn a_key_has_128_bits_and_no_two_are_the_same() {
        let (one, other) = (Key::random().unwrap(), Key::random().unwrap());
        assert_eq!(one.text().len(), 32);
        assert!(one.text().bytes().all(|byte| byte.is_ascii_hexdigit()));
        assert!(one.is(one.text()));
        assert!(!one.is(other.text()));
        assert!(!one.is(&one.text()[..31]));
        assert!(!one.is(""));
        assert_eq!(format!("{one:?}"), "Key");
    }
}
