//! Who may ask, how much, and what the answers carry.
//!
//! The page listens on this computer only, but any web page open in the same browser could still send requests to
//! it, and a name that is made to point at 127.0.0.1 could even read the answers (DNS rebinding). So a request is
//! answered only if its `Host` is the address that was printed, and if its `Origin`, where a browser sends one, is
//! the page itself.

use axum::{
    extract::{Request, State},
    http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header},
    middleware::Next,
    response::{IntoResponse, Response},
};

/// Most bytes of a request's body: a whole machine file, percent-encoded three for one at worst.
pub const MOST_BODY_BYTES: usize = 3 * crate::input::MOST_BYTES as usize;

/// Only what this address itself serves, and no inline script or style (W3C Content Security Policy Level 3).
/// `frame-ancestors` keeps the page out of other pages.
const CONTENT_SECURITY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; \
     connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// The addresses under which the page is the page.
#[derive(Clone, Debug)]
pub struct Home {
    hosts: [String; 2],
}

impl Home {
    /// For the port that is listened on.
    pub fn at(port: u16) -> Self {
        Self { hosts: [format!("127.0.0.1:{port}"), format!("localhost:{port}")] }
    }

    /// The address to print and to open.
    pub fn address(&self) -> String {
        format!("http://{}/", self.hosts[0])
    }

    fn is_host(&self, host: &str) -> bool {
        self.hosts.iter().any(|h| h.eq_ignore_ascii_case(host))
    }

    fn judge(&self, method: &Method, headers: &HeaderMap) -> Result<(), (StatusCode, &'static str)> {
        let one = |name: HeaderName| {
            let mut all = headers.get_all(name).iter();
            match (all.next(), all.next()) {
                (None, _) => Ok(None),
                (Some(v), None) => v.to_str().map(Some).map_err(|_| ()),
                (Some(_), Some(_)) => Err(()),
            }
        };
        match one(header::HOST) {
            Ok(Some(host)) if self.is_host(host) => {}
            _ => return Err((StatusCode::MISDIRECTED_REQUEST, "Open the bench page at the address that Tickover printed.")),
        }
        let from_elsewhere = match one(header::ORIGIN) {
            Ok(None) => false,
            Ok(Some(origin)) => !origin.strip_prefix("http://").is_some_and(|host| self.is_host(host)),
            Err(()) => true,
        };
        // Fetch Metadata (W3C): a page elsewhere may link to the card, but not post to it or embed it.
        let cross = matches!(one(HeaderName::from_static("sec-fetch-site")), Ok(Some("cross-site" | "same-site")));
        if from_elsewhere || (cross && method != Method::GET) {
            return Err((StatusCode::FORBIDDEN, "This request came from another web page and was not answered."));
        }
        if method != Method::GET && method != Method::HEAD && method != Method::POST {
            return Err((StatusCode::METHOD_NOT_ALLOWED, "The bench page knows GET and POST."));
        }
        let announced = headers.get(header::CONTENT_LENGTH).and_then(|v| v.to_str().ok()?.parse::<u64>().ok());
        if announced.is_some_and(|n| n > MOST_BODY_BYTES as u64) {
            return Err((StatusCode::PAYLOAD_TOO_LARGE, "That is too large for a machine file, so it was not read."));
        }
        Ok(())
    }
}

/// Refuses what must not be asked and puts the security headers on every answer.
pub async fn guard(State(home): State<Home>, request: Request, next: Next) -> Response {
    let mut answer = match home.judge(request.method(), request.headers()) {
        Ok(()) => next.run(request).await,
        Err((status, words)) => (status, words).into_response(),
    };
    let headers = answer.headers_mut();
    let mut set = |name, value| headers.insert(name, HeaderValue::from_static(value));
    set(header::CONTENT_SECURITY_POLICY, CONTENT_SECURITY);
    set(header::X_CONTENT_TYPE_OPTIONS, "nosniff");
    // `no-referrer` would make browsers send `Origin: null` with our own forms (Fetch standard, 3.2); this one tells
    // nobody else anything either.
    set(header::REFERRER_POLICY, "same-origin");
    set(HeaderName::from_static("cross-origin-opener-policy"), "same-origin");
    set(HeaderName::from_static("cross-origin-resource-policy"), "same-origin");
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    answer
}

#[cfg(test)]
mod tests {
    use super::*;

    fn judged(method: Method, pairs: &[(&str, &str)]) -> Option<u16> {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            headers.append(HeaderName::from_bytes(name.as_bytes()).unwrap(), value.parse().unwrap());
        }
        Home::at(7878).judge(&method, &headers).err().map(|(status, _)| status.as_u16())
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
