//! Photos, recordings and papers of a job, sent and asked for without a browser. The files are those that `jobbook` is tested
//! with; other programs wrote them.

mod common;

use common::{Answer, ask, demos, form, serve};
use jobbook::{Attachment, Blob, Book, Draft, Headline, Media, Place, Stage, Stamp, UnixSeconds};
use std::net::SocketAddr;

const PHOTO: &[u8] = include_bytes!("../../jobbook/tests/files/photo.jpg");
const PICTURE: &[u8] = include_bytes!("../../jobbook/tests/files/photo.png");
const RUN: &[u8] = include_bytes!("../../jobbook/tests/files/run.wav");
const PAPER: &[u8] = include_bytes!("../../jobbook/tests/files/paper.pdf");
/// Between the parts of a form (RFC 2046, 5.1.1).
const BOUNDARY: &str = "6d7b1f0c92";

/// A form as a browser sends it (RFC 7578).
fn parts(fields: &[(&str, &str)], files: &[(&str, &str, &[u8])]) -> Vec<u8> {
    let mut body = Vec::new();
    for (name, value) in fields {
        body.extend(format!("--{BOUNDARY}\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n").bytes());
    }
    for (file, media, bytes) in files {
        let head = format!("Content-Disposition: form-data; name=\"file\"; filename=\"{file}\"\r\nContent-Type: {media}");
        body.extend(format!("--{BOUNDARY}\r\n{head}\r\n\r\n").bytes());
        body.extend_from_slice(bytes);
        body.extend(b"\r\n");
    }
    body.extend(format!("--{BOUNDARY}--\r\n").bytes());
    body
}

fn post(at: SocketAddr, path: &str, body: &[u8]) -> Answer {
    ask(at, "POST", path, &format!("Content-Type: multipart/form-data; boundary={BOUNDARY}\r\n"), body)
}

/// Sends one file with all that belongs to it.
fn send(at: SocketAddr, job: &str, token: &str, file: (&str, &str, &[u8])) -> Answer {
    let fields =
        [("token", token), ("stage", "as_found"), ("words", "rotor <i>from the side</i>"), ("reading", ""), ("who", "E.")];
    post(at, &format!("{job}/attachment"), &parts(&fields, &[("", "application/octet-stream", b""), file]))
}

fn opened(at: SocketAddr) -> String {
    let body = form(&[("complaint", "Hangs"), ("who", "E."), ("token", "open")]);
    let answer = ask(at, "POST", "/machine/corran-360/jobs", common::FORM, body.as_bytes());
    answer.header("location").expect("a job").to_owned()
}

fn fresh() -> (SocketAddr, String) {
    let at = serve("127.0.0.1", demos()).0;
    let job = opened(at);
    (at, job)
}

fn get(at: SocketAddr, path: &str) -> Answer {
    ask(at, "GET", path, "", b"")
}

/// The address of every file that the card shows.
fn files(at: SocketAddr, job: &str) -> Vec<String> {
    let card = get(at, job).text();
    let mut found: Vec<String> = card.split(&format!("href=\"{job}/file/")).skip(1).map(|rest| rest[..64].to_owned()).collect();
    found.dedup();
    found.into_iter().map(|hash| format!("{job}/file/{hash}")).collect()
}

#[test]
fn a_photo_a_recording_and_a_paper_are_kept_and_given_back() {
    let (at, job) = fresh();
    // Neither the name nor the declared type is believed.
    for (token, name, declared, bytes, media, treated) in [
        ("1", "Rotor – links.jpg", "text/html", PHOTO, "image/jpeg", "inline"),
        ("2", "photo.jpg", "image/jpeg", PICTURE, "image/png", "inline"),
        ("3", "run.wav", "audio/wav", RUN, "audio/wav", "inline"),
        ("4", "../../../etc/passwd", "image/png", PAPER, "application/pdf", "attachment"),
        ("5", "page.html", "text/html", b"rpm;advance\n1000;10\n", "text/csv; charset=utf-8", "attachment"),
        ("6", "a.js", "text/javascript", b"alert(1)", "text/plain; charset=utf-8", "attachment"),
    ] {
        let before = files(at, &job);
        let kept = send(at, &job, token, (name, declared, bytes));
        assert_eq!(kept.status, 303, "{name}: {}", kept.text());
        assert_eq!(kept.header("location"), Some(format!("{job}?sent={token}#attachments").as_str()));
        let new: Vec<String> = files(at, &job).into_iter().filter(|f| !before.contains(f)).collect();
        assert_eq!(new.len(), 1, "{name}");
        let file = get(at, &new[0]);
        assert_eq!((file.status, file.body.as_slice()), (200, bytes), "{name}: not a bit is changed");
        assert_eq!(file.header("content-type"), Some(media), "{name}");
        assert_eq!(file.header("x-content-type-options"), Some("nosniff"));
        assert_eq!(file.header("content-security-policy"), Some("default-src 'none'; sandbox"));
        let disposition = file.header("content-disposition").unwrap();
        assert!(disposition.starts_with(treated) && !disposition.contains(['/', '\\']), "{disposition}");
    }
    let card = get(at, &format!("{job}?sent=6")).text();
    assert!(card.contains("alt=\"rotor &lt;i&gt;from the side&lt;/i&gt;\""), "text is shown as text");
    assert!(card.contains("<audio controls") && card.contains("Kept: File as found"));
    assert_eq!(card.matches("<img").count(), 2);
    // Undone right there; it stays in the log and can still be looked at.
    let (_, undo) = card.split_once("class=\"row kept\"").unwrap();
    let (_, entry) = undo.split_once("name=\"entry\" value=\"").unwrap();
    let entry = entry.split('"').next().unwrap();
    let before = files(at, &job).len();
    let undone = ask(
        at,
        "POST",
        &format!("{job}/undo"),
        common::FORM,
        form(&[("entry", entry), ("who", "E."), ("then", "measure")]).as_bytes(),
    );
    assert_eq!(undone.header("location"), Some(format!("{job}#measure").as_str()));
    assert_eq!(files(at, &job).len(), before - 1);
    assert!(get(at, &format!("{job}?sent=6")).text().contains("taken back since"));
    let record = get(at, &format!("{job}/paper/shop-record.pdf"));
    assert!(record.status == 200 && record.body.starts_with(b"%PDF-"));
}

#[test]
fn a_part_of_a_recording_can_be_asked_for() {
    let (at, job) = fresh();
    send(at, &job, "1", ("run.wav", "audio/wav", RUN));
    let file = files(at, &job).remove(0);
    let part = ask(at, "GET", &file, "Range: bytes=0-3\r\n", b"");
    assert_eq!((part.status, part.body.as_slice()), (206, b"RIFF".as_slice()));
    assert_eq!(part.header("content-range"), Some(format!("bytes 0-3/{}", RUN.len()).as_str()));
    assert_eq!(ask(at, "GET", &file, "Range: bytes=9999999-\r\n", b"").status, 200, "as if it had not been asked");
}

#[test]
fn what_is_none_of_these_is_refused_with_a_sentence() {
    let (at, job) = fresh();
    let bomb = {
        // Height and width in the frame of the JPEG (ITU-T T.81, B.2.2).
        let mut bomb = PHOTO.to_vec();
        let frame = bomb.windows(2).position(|w| w == [0xFF, 0xC0]).unwrap();
        bomb[frame + 5..frame + 9].copy_from_slice(&[0xFF; 4]);
        bomb
    };
    let archive = [PICTURE, b"PK\x03\x04"].concat();
    let cases: [(&str, &[u8], &str); 8] = [
        ("page.jpg", b"<html><script>alert(1)</script>", "web page"),
        ("drawing.png", b"<svg xmlns=\"http://www.w3.org/2000/svg\" onload=\"alert(1)\"/>", "web page"),
        ("program.wav", b"\x7fELF\x02\x01\x01\x00", "other files are not kept"),
        ("picture and archive.png", &archive, "something else"),
        ("bomb.jpg", &bomb, "65535"),
        ("short.jpg", &PHOTO[..PHOTO.len() / 2], "ends before it should"),
        ("page with a picture's head.jpg", b"\xff\xd8\xff<script>alert(1)</script>", "does not go on"),
        ("empty.jpg", b"", "nothing in this file"),
    ];
    for (n, (name, bytes, why)) in cases.into_iter().enumerate() {
        let refused = send(at, &job, &n.to_string(), (name, "image/jpeg", bytes));
        assert!(refused.status == 415 && refused.text().contains(why), "{name}: {} {}", refused.status, refused.text());
    }
    let fields =
        |words, stage, reading, token| [("token", token), ("stage", stage), ("words", words), ("reading", reading), ("who", "")];
    let one: (&str, &str, &[u8]) = ("a.jpg", "image/jpeg", PHOTO);
    let to = format!("{job}/attachment");
    for (fields, files, status) in [
        (fields("", "as_found", "", "t"), vec![one], 422),
        (fields("rotor", "as_left", "", "t"), vec![], 422),
        (fields("rotor", "as_left", "", "t"), vec![one, one], 422),
        (fields("rotor", "yesterday", "", "t"), vec![one], 400),
        (fields("rotor", "as_left", "", ""), vec![one], 400),
        (fields("rotor", "as_left", "1", "t"), vec![one], 422),
        (fields("rotor", "as_left", "99999", "t"), vec![one], 422),
        (fields("rotor", "as_left", "x", "t"), vec![one], 422),
    ] {
        assert_eq!(post(at, &to, &parts(&fields, &files)).status, status, "{fields:?}");
    }
    for body in [b"".as_slice(), b"--", b"nonsense", &parts(&[], &[one])[..200]] {
        assert_eq!(post(at, &to, body).status, 400);
    }
    assert_eq!(ask(at, "POST", &to, "Content-Type: text/plain\r\n", b"x").status, 400);
    assert_eq!(send(at, "/job/2020-0001", "t", one).status, 404);
    let evil = format!("Content-Type: multipart/form-data; boundary={BOUNDARY}\r\nOrigin: http://evil.example\r\n");
    assert_eq!(ask(at, "POST", &to, &evil, &parts(&fields("x", "as_left", "", "t"), &[one])).status, 403);
    assert!(files(at, &job).is_empty(), "nothing of all that was kept");
}

#[test]
fn a_file_belongs_to_a_reading_of_its_job() {
    let (at, job) = fresh();
    let gap = [("stage", "as_left"), ("what", "pickup.gap"), ("value", "0.55 ± 0.05 mm"), ("who", "E."), ("token", "r")];
    assert_eq!(ask(at, "POST", &format!("{job}/reading"), common::FORM, form(&gap).as_bytes()).status, 303);
    let card = get(at, &job).text();
    let (_, choice) = card.split_once("id=\"of-reading\"").expect("readings to choose from");
    let (_, entry) = choice.split_once("to none</option><option value=\"").unwrap();
    let entry = entry.split('"').next().unwrap();
    let fields = [("token", "f"), ("stage", "as_left"), ("words", "gap"), ("reading", entry), ("who", "E.")];
    assert_eq!(post(at, &format!("{job}/attachment"), &parts(&fields, &[("a.png", "", PICTURE)])).status, 303);
    assert!(get(at, &job).text().contains("to Pickup gap: 0.55 ± 0.05 mm"));
}

#[test]
fn sent_twice_it_is_kept_once() {
    let (at, job) = fresh();
    for _ in 0..2 {
        assert_eq!(send(at, &job, "t", ("a.jpg", "image/jpeg", PHOTO)).status, 303);
    }
    assert_eq!(files(at, &job).len(), 1);
    assert_eq!(send(at, &job, "t", ("a.jpg", "image/jpeg", PICTURE)).status, 409, "another file under the same mark");
    assert_eq!(get(at, &job).text().matches("<figure").count(), 1);
}

#[test]
fn a_file_that_is_too_large_is_refused_in_words() {
    let (at, job) = fresh();
    // A text, so that nothing but its length is wrong with it.
    let large = vec![b'a'; jobbook::MOST_BLOB_BYTES + 1];
    let refused = send(at, &job, "1", ("long.txt", "text/plain", &large));
    assert!(refused.status == 413 && refused.text().contains("64 MB"), "{} {}", refused.status, refused.text());
    let most = &large[..jobbook::MOST_BLOB_BYTES];
    assert_eq!(send(at, &job, "2", ("long.txt", "text/plain", most)).status, 303, "the largest there may be");
    // What announces far more is not read at all, and other addresses stay small.
    let announced = |path: &str, n: usize| {
        use std::io::{Read, Write};
        let mut stream = std::net::TcpStream::connect(at).unwrap();
        write!(stream, "POST {path} HTTP/1.1\r\nHost: {at}\r\nContent-Length: {n}\r\nConnection: close\r\n\r\n").unwrap();
        let mut answer = [0; 12];
        stream.read_exact(&mut answer).unwrap();
        String::from_utf8_lossy(&answer[9..]).into_owned()
    };
    assert_eq!(announced(&format!("{job}/attachment"), 5 * jobbook::MOST_BLOB_BYTES), "413");
    assert_eq!(announced(&format!("{job}/reading"), jobbook::MOST_BLOB_BYTES), "413");
}

#[test]
fn no_address_leads_out_of_the_job() {
    let (at, job) = fresh();
    send(at, &job, "1", ("a.jpg", "image/jpeg", PHOTO));
    let hash = files(at, &job)[0].rsplit('/').next().unwrap().to_owned();
    let other = {
        let body = form(&[("complaint", "Other"), ("who", "E."), ("token", "other")]);
        ask(at, "POST", "/machine/tarn-500/jobs", common::FORM, body.as_bytes()).header("location").unwrap().to_owned()
    };
    for path in [
        format!("{other}/file/{hash}"),
        format!("{job}/file/{}", hash.to_uppercase()),
        format!("{job}/file/{}", "0".repeat(64)),
        format!("{job}/file/..%2f..%2fetc%2fpasswd"),
        format!("{job}/file/%2e%2e/{hash}"),
        format!("/job/..%2f..%2f/file/{hash}"),
        format!("{job}/file/{hash}/x"),
        format!("/file/{hash}"),
    ] {
        assert_eq!(get(at, &path).status, 404, "{path}");
    }
    // A device that was not let in gets nothing of it and leaves nothing.
    let away = serve("127.0.0.2", demos()).0;
    assert_eq!(get(away, &format!("{job}/file/{hash}")).status, 303);
    assert_eq!(send(away, &job, "1", ("a.jpg", "image/jpeg", PHOTO)).status, 403);
}

#[test]
fn a_damaged_file_is_told_as_damaged() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book");
    let mut book = Book::open(&path).unwrap().0;
    tickover::bench::add_demos(&mut book).unwrap();
    let stamp = Stamp { who: "E.", at: UnixSeconds(1_800_000_000) };
    let headline = Headline { complaint: "Hangs".to_owned(), ..Headline::default() };
    let (job, _) = book.open_job("corran-360", stamp, headline, None).unwrap();
    let list = [b"rpm;advance\n".repeat(2000), b"1000;10 spoil me here\n".to_vec()].concat();
    let blob = Blob::new(list).unwrap();
    let attachment = Attachment {
        file: "list.csv".to_owned(),
        media: Media::Csv.name().to_owned(),
        hash: blob.hash().clone(),
        stage: Stage::AsFound,
        words: "advance".to_owned(),
        reading: None,
    };
    book.attach(Place::Job(job), stamp, Draft::new(attachment), &blob).unwrap();
    let job = format!("/job/{}", book.job(job).unwrap().number);
    drop(book);

    // A bit falls over on the disk.
    let mut bytes = std::fs::read(&path).unwrap();
    let place = bytes.windows(13).position(|w| w == b"spoil me here").expect("it is in the file");
    bytes[place] ^= 1;
    std::fs::write(&path, bytes).unwrap();

    let at = serve("127.0.0.1", Book::open(&path).unwrap().0).0;
    let file = files(at, &job).remove(0);
    let answer = get(at, &file);
    assert_eq!((answer.status, answer.header("content-disposition")), (500, None));
    assert!(answer.text().contains("This file is damaged") && answer.text().contains("backup"), "{}", answer.text());
    assert_eq!(get(at, &job).status, 200, "the card is there all the same");
}
