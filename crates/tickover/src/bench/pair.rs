//! Letting another device of the workshop in: a code that is good once and for a short while, shown on this computer, then a secret that
//! only that device holds.

use super::{
    Bench, Room, Trouble, around,
    guard::{Ends, cookie},
    now,
    view::{pair as view, sheet},
};
use axum::{
    Extension,
    extract::{Form, Path, Query, State},
    http::{HeaderMap, StatusCode, Uri, header},
    response::{Html, IntoResponse, Redirect, Response},
};
use jobbook::ContentHash;
use serde::Deserialize;
use sheets::words::page as words;
use std::{
    fmt::Write,
    net::{IpAddr, Ipv4Addr, SocketAddr, UdpSocket},
    sync::{Mutex, PoisonError},
    time::{Duration, Instant},
};

/// How long a code can be used.
pub const CODE_LIFE: Duration = Duration::from_secs(600);
/// Wrong tries after which a code is void: 8 letters of 31 cannot be guessed in so few.
const TRIES: u8 = 8;
/// Letters of a code; those that look alike on a phone are left out.
const LETTERS: &[u8; 31] = b"23456789ABCDEFGHJKMNPQRSTUVWXYZ";
const CODE_LETTERS: usize = 8;
/// Name of the cookie with a device's secret.
pub const COOKIE: &str = "device";
/// Longest name of a device [letters].
const LONGEST_NAME: usize = 60;

/// The code that waits to be used, if there is one.
#[derive(Default)]
pub struct Pairing {
    waiting: Mutex<Option<Waiting>>,
}

struct Waiting {
    code: String,
    until: Instant,
    tries_left: u8,
}

impl Pairing {
    /// A new code; an older one is void.
    pub fn invite(&self) -> String {
        let code: String =
            random::<CODE_LETTERS>().iter().map(|n| char::from(LETTERS[usize::from(*n) % LETTERS.len()])).collect();
        *self.waiting() = Some(Waiting { code: code.clone(), until: Instant::now() + CODE_LIFE, tries_left: TRIES });
        code
    }

    /// The code that waits.
    fn code(&self) -> Option<String> {
        self.waiting().as_ref().filter(|w| Instant::now() < w.until).map(|w| w.code.clone())
    }

    /// Uses a code up, if it is the one that waits.
    fn redeem(&self, typed: &str) -> bool {
        let typed: String = typed.chars().filter(char::is_ascii_alphanumeric).map(|c| c.to_ascii_uppercase()).collect();
        let mut waiting = self.waiting();
        let Some(w) = waiting.as_mut() else { return false };
        let right = w.code == typed && Instant::now() < w.until;
        w.tries_left -= 1;
        if right || w.tries_left == 0 {
            *waiting = None;
        }
        right
    }

    fn waiting(&self) -> std::sync::MutexGuard<'_, Option<Waiting>> {
        self.waiting.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A mark that no other form has: what is sent twice is kept once.
pub(super) fn token() -> String {
    hex(&random::<16>())
}

/// Bytes of the system's own random source.
fn random<const N: usize>() -> [u8; N] {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).expect("the system has a source of random numbers");
    bytes
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

impl Bench {
    /// Does a request carry the secret of a device that was let in?
    pub(super) fn knows(&self, headers: &HeaderMap) -> bool {
        cookie(headers, COOKIE)
            .is_some_and(|secret| self.book().knows_device(ContentHash::of(secret.as_bytes()).as_str()).unwrap_or(false))
    }
}

/// Addresses under which the workshop's network reaches this computer; that of the network with the way out comes first, for
/// the others are more often those of cables and virtual machines.
pub fn addresses(port: u16) -> Vec<SocketAddr> {
    let all = if_addrs::get_if_addrs().unwrap_or_default();
    let near = |ip: &Ipv4Addr| !ip.is_loopback() && !ip.is_link_local();
    let ips = all.iter().filter_map(|i| match i.ip() {
        IpAddr::V4(ip) if near(&ip) => Some(ip),
        _ => None,
    });
    let mut ips: Vec<Ipv4Addr> = ips.collect();
    let main = outward();
    ips.sort_by_key(|ip| Some(*ip) != main);
    ips.into_iter().map(|ip| SocketAddr::from((ip, port))).collect()
}

/// Own address on the way out of this network, as the system would choose it. Nothing is sent: connecting a datagram socket only
/// looks the way up.
fn outward() -> Option<Ipv4Addr> {
    // An address for documentation (RFC 5737), which nobody has.
    const ELSEWHERE: (Ipv4Addr, u16) = (Ipv4Addr::new(192, 0, 2, 1), 9);
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    socket.connect(ELSEWHERE).ok()?;
    match socket.local_addr().ok()?.ip() {
        IpAddr::V4(ip) => Some(ip),
        IpAddr::V6(_) => None,
    }
}

/// Where a phone goes with a code.
pub fn address_with(at: SocketAddr, code: &str) -> String {
    format!("http://{at}/pair?code={code}")
}

/// The devices, and a code for the next one. Only on this computer.
pub(super) async fn devices(
    State(bench): Room,
    Extension(ends): Extension<Ends>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Trouble> {
    here_only(&ends)?;
    let devices = bench.book().devices()?;
    let places: Vec<String> = bench.lan.iter().map(ToString::to_string).collect();
    let invitation = bench.pairing.code().map(|code| {
        let addresses = bench.lan.iter().map(|at| address_with(*at, &code)).collect();
        view::Invitation { code, addresses }
    });
    let page = view::devices(&devices, &places, invitation.as_ref());
    Ok(Html(sheet::page(around(&uri, &headers), words::DEVICES, &page)).into_response())
}

/// A code for the next device.
pub(super) async fn invite(State(bench): Room, Extension(ends): Extension<Ends>) -> Result<Response, Trouble> {
    here_only(&ends)?;
    bench.pairing.invite();
    Ok(Redirect::to("/devices").into_response())
}

/// Lets a device in no longer.
pub(super) async fn forget(
    State(bench): Room,
    Extension(ends): Extension<Ends>,
    Path(id): Path<i64>,
) -> Result<Response, Trouble> {
    here_only(&ends)?;
    bench.book().forget_device(id)?;
    Ok(Redirect::to("/devices").into_response())
}

fn here_only(ends: &Ends) -> Result<(), Trouble> {
    if ends.are_here() {
        return Ok(());
    }
    Err(Trouble { status: StatusCode::FORBIDDEN, title: words::DEVICES, words: words::HERE_ONLY.to_owned() })
}

#[derive(Deserialize)]
pub(super) struct Code {
    #[serde(default)]
    code: String,
}

/// Where another device types its code. Looking uses nothing up.
pub(super) async fn page(Query(asked): Query<Code>, uri: Uri, headers: HeaderMap) -> Response {
    Html(sheet::page(around(&uri, &headers), words::PAIR, &view::pair(&asked.code, false))).into_response()
}

#[derive(Deserialize)]
pub(super) struct PairForm {
    code: String,
    #[serde(default)]
    name: String,
}

/// Uses the code up and gives the device its secret.
pub(super) async fn pair(
    State(bench): Room,
    uri: Uri,
    headers: HeaderMap,
    Form(form): Form<PairForm>,
) -> Result<Response, Trouble> {
    if !bench.pairing.redeem(&form.code) {
        let page = sheet::page(around(&uri, &headers), words::PAIR, &view::pair("", true));
        return Ok((StatusCode::FORBIDDEN, Html(page)).into_response());
    }
    let name: String = form.name.trim().chars().take(LONGEST_NAME).collect();
    let name = if name.is_empty() { words::NAMELESS.to_owned() } else { name };
    let secret = hex(&random::<32>());
    bench.book().add_device(&name, ContentHash::of(secret.as_bytes()).as_str(), now())?;
    let cookie = format!("{COOKIE}={secret}; Path=/; Max-Age=31536000; HttpOnly; SameSite=Strict");
    Ok(([(header::SET_COOKIE, cookie)], Redirect::to("/")).into_response())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_good_once_and_for_few_tries() {
        let pairing = Pairing::default();
        assert!(!pairing.redeem(""), "no code, no door");
        let code = pairing.invite();
        assert_eq!(code.len(), CODE_LETTERS);
        assert!(pairing.redeem(&format!(" {}-{} ", code[..4].to_lowercase(), &code[4..])), "as a person types it");
        assert!(!pairing.redeem(&code), "a second time");

        let first = pairing.invite();
        let second = pairing.invite();
        assert_ne!(first, second);
        assert!(!pairing.redeem(&first), "void since the second");
        for _ in 1..TRIES {
            assert!(!pairing.redeem("AAAAAAAA"));
        }
        assert!(!pairing.redeem(&second), "too many tries");
    }
}
