//! A bench page on a port of its own, and the smallest HTTP/1.1 client (RFC 9112) that can ask it.

#![allow(dead_code, reason = "each test binary uses its own part of this")]

use jobbook::Book;
use std::{
    io::{Read, Write},
    net::{Shutdown, SocketAddr, TcpListener, TcpStream},
    sync::Arc,
    time::Duration,
};
use tickover::bench::{self, Bench};

/// Nothing here takes this long; a test that waits longer has failed.
const PATIENCE: Duration = Duration::from_secs(120);

/// An answer.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }
    pub fn header(&self, name: &str) -> Option<&str> {
        self.head.lines().find_map(|line| {
            let (n, value) = line.split_once(':')?;
            n.eq_ignore_ascii_case(name).then(|| value.trim())
        })
    }
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|e| panic!("{e}: {}", self.text()))
    }
}

/// Serves a book at an address of its own.
pub fn serve(ip: &str, book: Book) -> (SocketAddr, Arc<Bench>) {
    let listener = TcpListener::bind((ip, 0)).unwrap();
    let at = listener.local_addr().unwrap();
    let bench = Bench::new(book, vec![at]);
    let served = bench.clone();
    std::thread::spawn(move || {
        let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build().unwrap();
        runtime.block_on(bench::serve(listener, served, std::future::pending())).unwrap();
    });
    (at, bench)
}

/// A book in memory with the demonstration machines.
pub fn demos() -> Book {
    let mut book = Book::in_memory().unwrap();
    bench::add_demos(&mut book).unwrap();
    book
}

/// Sends one request, `headers` each with its line end, and reads the whole answer.
pub fn ask(at: SocketAddr, method: &str, path: &str, headers: &str, body: &[u8]) -> Answer {
    let mut stream = TcpStream::connect(at).expect("the server listens");
    stream.set_read_timeout(Some(PATIENCE)).unwrap();
    let host = if headers.to_ascii_lowercase().contains("host:") { String::new() } else { format!("Host: {at}\r\n") };
    let length = body.len();
    let head = format!("{method} {path} HTTP/1.1\r\n{host}{headers}Content-Length: {length}\r\nConnection: close\r\n\r\n");
    stream.write_all(head.as_bytes()).unwrap();
    // The server may refuse and close before it has read everything.
    let _ = stream.write_all(body);
    let mut bytes = Vec::new();
    let mut part = [0; 65536];
    // Not every server closes when it is asked to, so a stated length ends the answer as well.
    while !whole(&bytes) {
        match stream.read(&mut part) {
            Ok(0) => break,
            Ok(n) => bytes.extend_from_slice(&part[..n]),
            Err(e) => {
                assert!(!bytes.is_empty(), "no answer: {e}");
                break;
            }
        }
    }
    let _ = stream.shutdown(Shutdown::Both);
    parse(&bytes)
}

fn head_end(bytes: &[u8]) -> Option<usize> {
    bytes.windows(4).position(|w| w == b"\r\n\r\n")
}

fn whole(bytes: &[u8]) -> bool {
    head_end(bytes).is_some_and(|end| {
        let answer = Answer { status: 0, head: String::from_utf8_lossy(&bytes[..end]).into_owned(), body: Vec::new() };
        answer.header("content-length").and_then(|n| n.parse::<usize>().ok()).is_some_and(|n| bytes.len() >= end + 4 + n)
    })
}

fn parse(bytes: &[u8]) -> Answer {
    let end = head_end(bytes).unwrap_or_else(|| panic!("no head in {bytes:?}"));
    let head = String::from_utf8_lossy(&bytes[..end]).into_owned();
    let status = head.split(' ').nth(1).and_then(|s| s.parse().ok()).expect("a status");
    let mut answer = Answer { status, head, body: bytes[end + 4..].to_vec() };
    if answer.header("transfer-encoding").is_some_and(|t| t.eq_ignore_ascii_case("chunked")) {
        answer.body = unchunk(&answer.body);
    }
    answer
}

fn unchunk(mut rest: &[u8]) -> Vec<u8> {
    let mut body = Vec::new();
    while let Some(end) = rest.windows(2).position(|w| w == b"\r\n") {
        let size = usize::from_str_radix(std::str::from_utf8(&rest[..end]).unwrap(), 16).expect("a chunk size");
        if size == 0 {
            break;
        }
        body.extend_from_slice(&rest[end + 2..end + 2 + size]);
        rest = &rest[end + 4 + size..];
    }
    body
}

/// `application/x-www-form-urlencoded` (WHATWG URL, 5).
pub fn form(pairs: &[(&str, &str)]) -> String {
    let encode = |text: &str| -> String {
        text.bytes()
            .map(|b| match b {
                b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'*' | b'-' | b'.' | b'_' => (b as char).to_string(),
                b' ' => "+".to_owned(),
                _ => format!("%{b:02X}"),
            })
            .collect()
    };
    pairs.iter().map(|(n, v)| format!("{}={}", encode(n), encode(v))).collect::<Vec<_>>().join("&")
}

pub const FORM: &str = "Content-Type: application/x-www-form-urlencoded\r\n";

/// A page over the demonstration machines.
pub fn fresh() -> SocketAddr {
    serve("127.0.0.1", demos()).0
}

/// A page that is there.
pub fn get(at: SocketAddr, path: &str) -> String {
    let answer = ask(at, "GET", path, "", b"");
    assert_eq!(answer.status, 200, "{path}: {}", answer.text());
    answer.text()
}

/// The answer to a form.
pub fn post(at: SocketAddr, path: &str, pairs: &[(&str, &str)]) -> Answer {
    ask(at, "POST", path, FORM, form(pairs).as_bytes())
}
