//! Files on the page, asked without a browser.

use crate::{
    AT,
    common::{Answer, FORM, ask, form, serve},
    fill, full_book, stamp,
};
use jobbook::{Book, Custody, Draft, Place};
use std::net::SocketAddr;
use tickover::{bench, exchange::readings};

fn served() -> SocketAddr {
    let mut book = Book::in_memory().unwrap();
    bench::add_demos(&mut book).unwrap();
    fill(&mut book);
    serve("127.0.0.1", book).0
}

fn get(at: SocketAddr, path: &str) -> Answer {
    let answer = ask(at, "GET", path, "", b"");
    assert_eq!(answer.status, 200, "{path}: {}", answer.text());
    answer
}

/// `multipart/form-data` (RFC 7578) with a file and a job.
fn upload(at: SocketAddr, job: &str, file: &[u8]) -> Answer {
    let mut body = format!("--b\r\nContent-Disposition: form-data; name=\"job\"\r\n\r\n{job}\r\n--b\r\nContent-Disposition: form-data; name=\"file\"; filename=\"../x\"\r\nContent-Type: text/html\r\n\r\n").into_bytes();
    body.extend_from_slice(file);
    body.extend_from_slice(b"\r\n--b--\r\n");
    ask(at, "POST", "/take-in", "Content-Type: multipart/form-data; boundary=b\r\n", &body)
}

/// What stands in the page between two pieces of it.
fn between(page: &str, before: &str, after: &str) -> String {
    let (_, rest) = page.split_once(before).unwrap_or_else(|| panic!("no {before} in {page}"));
    rest.split(after).next().unwrap().to_owned()
}

#[test]
fn readings_go_out_and_come_in_after_a_look() {
    let at = served();
    let csv = get(at, "/job/2026-0001/readings.csv");
    assert_eq!(csv.header("content-disposition"), Some("attachment; filename=\"2026-0001-readings.csv\""));
    assert_eq!(readings::read(&csv.body, AT).unwrap().len(), 2);
    assert_eq!(get(at, "/readings.csv").body, get(at, "/machine/corran-360/readings.csv").body, "one machine has readings");
    assert_eq!(ask(at, "GET", "/job/2099-0001/readings.csv", "", b"").status, 404);

    let wrong = upload(at, "2026-0001", b"stage,what,value\nas_left,pickup.gap,<b>\n");
    assert_eq!(wrong.status, 422);
    assert!(wrong.text().contains("Line 2, column “value”, “&lt;b&gt;”"), "{}", wrong.text());
    let shown = upload(at, "2026-0001", b"stage,what,value,who\nas_left,pickup.gap,0.60 mm,Q\n");
    assert!(shown.status == 200 && shown.text().contains("line 2: Reading as left: Pickup gap: 0.60 mm"), "{}", shown.text());
    assert!(!get(at, "/job/2026-0001").text().contains("0.60 mm"), "only shown so far");
    let keep = between(&shown.text(), "action=\"/take-in/", "\"");
    let pairs = form(&[("job", "2026-0001"), ("who", "M.")]);
    let kept = || ask(at, "POST", &format!("/take-in/{keep}"), FORM, pairs.as_bytes());
    assert_eq!(kept().status, 303);
    let again = kept();
    assert!(again.status == 409 && again.text().contains("kept in job 2026-0001 before"), "{}", again.text());
    let csv = get(at, "/job/2026-0001/readings.csv").text();
    assert_eq!(csv.matches("0.60 mm,").count(), 1, "kept once: {csv}");
    assert!(csv.contains(",file,Q,"), "{csv}");
    assert_eq!(ask(at, "POST", "/take-in/0123/keep", FORM, pairs.as_bytes()).status, 422);
    assert_eq!(upload(at, "", b"stage,what,value\nas_left,pickup.gap,1 mm\n").status, 422, "readings of no job");
}

#[test]
fn a_write_up_is_written_only_as_it_was_seen() {
    let at = served();
    let shown = get(at, "/job/2026-0001/write-up").text();
    assert!(shown.contains("Hangs at 2500 &lt;b&gt;warm&lt;/b&gt;") && !shown.contains("not really"));
    let seen = between(&shown, "name=\"seen\" value=\"", "\"");
    let path = "/job/2026-0001/write-up";
    let post = |pairs: &[(&str, &str)]| ask(at, "POST", path, FORM, form(pairs).as_bytes());

    // Something was typed since: shown again, not written.
    let changed = post(&[("do", "write"), ("seen", &seen), ("also", "Hangs\n")]);
    assert_eq!(changed.status, 409);
    assert!(changed.text().contains("(taken out) at 2500") && changed.text().contains("role=\"alert\""));
    let seen_now = between(&changed.text(), "name=\"seen\" value=\"", "\"");
    let file = post(&[("do", "write"), ("seen", &seen_now), ("also", "Hangs\n")]);
    assert_eq!(file.status, 200);
    assert_eq!(file.header("content-disposition"), Some("attachment; filename=\"write-up-corran-360.html\""));
    assert!(file.text().contains("(taken out) at 2500") && !file.text().contains("2026-0001"));
    assert_eq!(post(&[("do", "look"), ("also", "")]).status, 200);
    assert_eq!(ask(at, "GET", "/job/2026-0001/write-up/picture/1", "", b"").status, 404, "no picture");

    // Another workshop takes it in.
    let other = served();
    let looked = upload(other, "", &file.body);
    assert!(looked.status == 200 && looked.text().contains("(taken out) at 2500"), "{}", looked.text());
    let keep = between(&looked.text(), "action=\"/take-in/", "\"");
    let kept = ask(other, "POST", &format!("/take-in/{keep}"), FORM, form(&[("who", "M.")]).as_bytes());
    assert_eq!(kept.header("location"), Some("/job/2026-0002"));
    let job = get(other, "/job/2026-0002").text();
    assert!(job.contains("From another workshop") && job.contains("corran-360-2"), "{job}");
    assert!(upload(other, "", &file.body).text().contains("in the book already, as job 2026-0002"));
    let broken = upload(other, "", &file.body[..file.body.len() - 400]);
    assert_eq!(broken.status, 422);
}

#[test]
fn the_owner_is_not_in_the_name_of_the_file() {
    let mut book = Book::in_memory().unwrap();
    bench::add_demos(&mut book).unwrap();
    fill(&mut book);
    let text = book.machine("corran-360").unwrap().newest.text.replacen("\"Corran 360\"", "\"Park Corran\"", 1);
    book.save("corran-360", 1, &jobbook::Kept { name: "Park Corran", text: &text, note: "", at: AT }).unwrap();
    let custody = Custody { owner: "Quentine Park".into(), ..Custody::default() };
    book.append(Place::Machine("corran-360"), stamp(""), &[Draft::new(custody)]).unwrap();
    let at = serve("127.0.0.1", book).0;
    let shown = get(at, "/job/2026-0001/write-up").text();
    let seen = between(&shown, "name=\"seen\" value=\"", "\"");
    let file = ask(at, "POST", "/job/2026-0001/write-up", FORM, form(&[("do", "write"), ("seen", &seen)]).as_bytes());
    assert_eq!(file.header("content-disposition"), Some("attachment; filename=\"write-up-taken-out-corran.html\""));
}

#[test]
fn the_book_is_written_out_beside_itself() {
    let folder = tempfile::tempdir().unwrap();
    let (book, _) = full_book(&folder.path().join("book.sqlite"));
    let at = serve("127.0.0.1", book).0;
    let done = ask(at, "POST", "/export", FORM, b"");
    assert!(done.status == 200 && done.text().contains("3 machines, one job, 2 readings, one attachment"), "{}", done.text());
    let there =
        std::fs::read_dir(folder.path()).unwrap().filter(|e| e.as_ref().unwrap().path().extension().is_some_and(|x| x == "zip"));
    assert_eq!(there.count(), 1);
}

#[test]
fn a_file_beyond_the_limit_is_not_read() {
    let at = served();
    let too_large =
        ask(at, "POST", "/take-in", "Content-Type: multipart/form-data; boundary=b\r\nX: y\r\n", &vec![b' '; 70 << 20]);
    assert_eq!(too_large.status, 413);
    assert_eq!(ask(at, "POST", "/job/2026-0001/note", FORM, &vec![b'a'; 4 << 20]).status, 413, "others keep their limit");
}
