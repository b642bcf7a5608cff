//! Who may ask, how much, and what the answers carry.
//!
//! The page listens on this computer, and with `--lan` in the workshop's network. Any web page open in the same browser could still
//! send requests to it, and a name that is made to point here could even read the answers (DNS rebinding). So a request is
//! answered only if its `Host` is the address that it came in at, and if its `Origin`, where a browser sends one, is the page itself.
//! From another device it is answered only if that device was let in (see [`super::pair`]).

use super::{Bench, Room, attachments};
use axum::{
    extract::{ConnectInfo, Request, State, connect_info::Connected},
    http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header},
    middleware::Next,
    response::{IntoResponse, Redirect, Response},
    serve::IncomingStream,
};
use sheets::words::page as words;
use std::net::{Ipv4Addr, SocketAddr};
use tokio::net::TcpListener;

/// Most bytes of a request's body: a whole machine file, percent-encoded three for one at worst.
pub const MOST_BODY_BYTES: usize = 3 * crate::input::MOST_BYTES as usize;

/// Only what this address itself serves, and no inline script or style (W3C Content Security Policy Level 3).
/// `frame-ancestors` keeps the page out of other pages.
const CONTENT_SECURITY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; media-src 'self'; \
     font-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// The two ends of a connection.
#[derive(Clone, Copy, Debug)]
pub struct Ends {
    /// The asking side.
    pub peer: SocketAddr,
    /// This side.
    pub local: SocketAddr,
}

impl Ends {
    /// Do both stand on this computer, in its usual loopback address?
    pub fn are_here(&self) -> bool {
        self.peer.ip() == Ipv4Addr::LOCALHOST && self.local.ip() == Ipv4Addr::LOCALHOST
    }
}

impl Connected<IncomingStream<'_, TcpListener>> for Ends {
    fn connect_info(stream: IncomingStream<'_, TcpListener>) -> Self {
        let peer = *stream.remote_addr();
        // A socket that no longer knows its own end is one to be refused: nothing asks from port 0 of nowhere.
        let local = stream.io().local_addr().unwrap_or(SocketAddr::from((Ipv4Addr::UNSPECIFIED, 0)));
        Self { peer, local }
    }
}

/// The address of the page on this computer.
pub fn home(port: u16) -> String {
    format!("http://{}:{port}/", Ipv4Addr::LOCALHOST)
}

/// What a device may have that was not let in: the page where it types its code, and what that page is made of.
const DOORSTEP: [&str; 8] =
    ["/pair", "/bench.css", "/bench.js", "/readout.js", "/later.js", "/mark.svg", "/inter-regular.otf", "/inter-bold.otf"];

type Refusal = (StatusCode, &'static str);

/// Is the page asked under its own name, by itself, in a way it knows?
fn judge(ends: &Ends, method: &Method, headers: &HeaderMap, most: usize) -> Result<(), Refusal> {
    let one = |name: HeaderName| {
        let mut all = headers.get_all(name).iter();
        match (all.next(), all.next()) {
            (None, _) => Ok(None),
            (Some(v), None) => v.to_str().map(Some).map_err(|_| ()),
            (Some(_), Some(_)) => Err(()),
        }
    };
    // Its own name is the address that the connection came in at, never one from a name server.
    let is_host = |host: &str| {
        host.parse() == Ok(ends.local)
            || ends.are_here() && host.eq_ignore_ascii_case(&format!("localhost:{}", ends.local.port()))
    };
    match one(header::HOST) {
        Ok(Some(host)) if is_host(host) => {}
        _ => return Err((StatusCode::MISDIRECTED_REQUEST, words::OTHER_ADDRESS)),
    }
    let from_elsewhere = match one(header::ORIGIN) {
        Ok(None) => false,
        Ok(Some(origin)) => !origin.strip_prefix("http://").is_some_and(is_host),
        Err(()) => true,
    };
    // Fetch Metadata (W3C): a page elsewhere may link to the card, but not post to it or embed it.
    let cross = matches!(one(HeaderName::from_static("sec-fetch-site")), Ok(Some("cross-site" | "same-site")));
    if from_elsewhere || (cross && method != Method::GET) {
        return Err((StatusCode::FORBIDDEN, words::OTHER_PAGE));
    }
    if method != Method::GET && method != Method::HEAD && method != Method::POST {
        return Err((StatusCode::METHOD_NOT_ALLOWED, words::OTHER_METHOD));
    }
    let announced = headers.get(header::CONTENT_LENGTH).and_then(|v| v.to_str().ok()?.parse::<u64>().ok());
    if announced.is_some_and(|n| n > most as u64) {
        return Err((StatusCode::PAYLOAD_TOO_LARGE, words::TOO_LARGE));
    }
    Ok(())
}

/// The value of a cookie.
pub fn cookie<'h>(headers: &'h HeaderMap, name: &str) -> Option<&'h str> {
    let lines = headers.get_all(header::COOKIE).iter().filter_map(|v| v.to_str().ok());
    let mut pairs = lines.flat_map(|line| line.split(';')).filter_map(|pair| pair.trim().split_once('='));
    pairs.find(|(n, _)| *n == name).map(|(_, value)| value)
}

/// Most bytes of this request's body.
fn most_of(request: &Request) -> usize {
    match request.uri().path() {
        super::TAKE_IN => super::exchange::MOST_UPLOAD_BYTES,
        path if attachments::is_upload(path) => attachments::MOST_UPLOAD_BYTES,
        path if super::parts::is_upload(path) => super::parts::MOST_UPLOAD_BYTES,
        path if super::recording::is_upload(path) => super::recording::MOST_UPLOAD_BYTES,
        _ => MOST_BODY_BYTES,
    }
}

/// The answer to what must not be asked.
fn refuse(bench: &Bench, ends: &Ends, request: &Request) -> Option<Response> {
    if let Err((status, words)) = judge(ends, request.method(), request.headers(), most_of(request)) {
        return Some((status, words).into_response());
    }
    if ends.are_here() || DOORSTEP.contains(&request.uri().path()) || bench.knows(request.headers()) {
        return None;
    }
    Some(match *request.method() {
        Method::GET => Redirect::to("/pair").into_response(),
        _ => (StatusCode::FORBIDDEN, words::STRANGER).into_response(),
    })
}

/// Refuses what must not be asked and puts the security headers on every answer.
pub async fn guard(State(bench): Room, ConnectInfo(ends): ConnectInfo<Ends>, mut request: Request, next: Next) -> Response {
    request.extensions_mut().insert(ends);
    let mut answer = match refuse(&bench, &ends, &request) {
        Some(refusal) => refusal,
        None => next.run(request).await,
    };
    let headers = answer.headers_mut();
    let mut set = |name, value| headers.insert(name, HeaderValue::from_static(value));
    set(header::X_CONTENT_TYPE_OPTIONS, "nosniff");
    // `no-referrer` would make browsers send `Origin: null` with our own forms (Fetch standard, 3.2); this one tells
    // nobody else anything either.
    set(header::REFERRER_POLICY, "same-origin");
    set(HeaderName::from_static("cross-origin-opener-policy"), "same-origin");
    set(HeaderName::from_static("cross-origin-resource-policy"), "same-origin");
    // A file from elsewhere brings a stricter one.
    headers.entry(header::CONTENT_SECURITY_POLICY).or_insert(HeaderValue::from_static(CONTENT_SECURITY));
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    answer
}

#[cfg(test)]
mod tests {
    use super::*;

    fn judged_at(local: &str, peer: &str, method: Method, pairs: &[(&str, &str)]) -> Option<u16> {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            headers.append(HeaderName::from_bytes(name.as_bytes()).unwrap(), value.parse().unwrap());
        }
        let ends = Ends { peer: peer.parse().unwrap(), local: local.parse().unwrap() };
        judge(&ends, &method, &headers, MOST_BODY_BYTES).err().map(|(status, _)| status.as_u16())
    }

    fn judged(method: Method, pairs: &[(&str, &str)]) -> Option<u16> {
        judged_at("127.0.0.1:7878", "127.0.0.1:50000", method, pairs)
    }

    #[test]
    fn in_the_network_its_name_is_the_address_asked_at() {
        let ask = |host| judged_at("192.168.1.20:7878", "192.168.1.31:50000", Method::GET, &[("host", host)]);
        assert_eq!(ask("192.168.1.20:7878"), None);
        for host in ["localhost:7878", "127.0.0.1:7878", "192.168.1.21:7878", "workshop.example:7878", "192.168.1.20"] {
            assert_eq!(ask(host), Some(421), "{host}");
        }
    }

    #[test]
    fn answers_only_its_own_name() {
        assert_eq!(judged(Method::GET, &[("host", "127.0.0.1:7878")]), None);
        assert_eq!(judged(Method::GET, &[("host", "LocalHost:7878")]), None);
        for host in ["127.0.0.1", "127.0.0.1:78", "rebound.example:7878", "127.0.0.1:7878.example", ""] {
            assert_eq!(judged(Method::GET, &[("host", host)]), Some(421), "{host}");
        }
        assert_eq!(judged(Method::GET, &[]), Some(421));
        assert_eq!(judged(Method::GET, &[("host", "127.0.0.1:7878"), ("host", "x")]), Some(421));
    }

    #[test]
    fn other_pages_cannot_post() {
        let home = ("host", "127.0.0.1:7878");
        assert_eq!(judged(Method::POST, &[home, ("origin", "http://127.0.0.1:7878")]), None);
        assert_eq!(judged(Method::POST, &[home]), None, "a tool without a browser");
        for origin in ["null", "http://127.0.0.1:80", "https://127.0.0.1:7878", "http://evil.example", ""] {
            assert_eq!(judged(Method::POST, &[home, ("origin", origin)]), Some(403), "{origin}");
        }
        assert_eq!(judged(Method::POST, &[home, ("sec-fetch-site", "cross-site")]), Some(403));
        assert_eq!(judged(Method::GET, &[home, ("sec-fetch-site", "cross-site")]), None, "a link from elsewhere");
        assert_eq!(judged(Method::POST, &[home, ("content-length", "50000000")]), Some(413));
        assert_eq!(judged(Method::DELETE, &[home]), Some(405));
    }
}
