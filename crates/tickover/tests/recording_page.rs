//! A recording on the page: sent, heard while it arrives, its readings taken over when asked for.

mod common;

use common::{ask, demos, serve};
use std::net::SocketAddr;
use tickover::exchange::recording::WavOut;
use workshop::{
    machine::{self, EXAMPLES},
    made::{Faults, Maker, Run, Wish},
};

/// Between the parts of a form (RFC 2046, 5.1.1).
const BOUNDARY: &str = "2b7e151628";

fn made(exhaust: bool) -> Vec<u8> {
    with(exhaust, Faults { noise_db: Some(20.0), ..Faults::default() })
}

fn with(exhaust: bool, faults: Faults) -> Vec<u8> {
    let corran = machine::read(EXAMPLES[0].1).expect("a machine").0;
    let wish = Wish {
        rate_hz: 48_000.0,
        seconds: 12.0,
        run: Run::Blip,
        fastest_rad_s: Some(450.0),
        sweep_rad_s2: 300.0,
        exhaust,
        mark: false,
        faults,
        seed: 3,
    };
    let mut maker = Maker::new(&corran, &wish).expect("it is made");
    let mut out = WavOut::new(std::io::Cursor::new(Vec::new()), maker.channels() as u16, 48_000).expect("a heading");
    while let Some(block) = maker.next_block() {
        out.write(&block).expect("it is written");
    }
    out.finish().expect("it is written").into_inner()
}

/// Sends a file, and hears it where the answer says.
fn send(at: SocketAddr, what: &str, file: &[u8]) -> common::Answer {
    ask(at, "GET", &put_aside(at, what, file), "", b"")
}

/// Sends a file; the address at which it is heard.
fn put_aside(at: SocketAddr, what: &str, file: &[u8]) -> String {
    let fields = [("what", what), ("trigger", ""), ("mark", "0°"), ("from", "2")];
    let sent = post_file(at, "/machine/corran-360/recording", &fields, file);
    assert_eq!(sent.status, 303, "{}", sent.text());
    sent.header("location").expect("an address").to_owned()
}

fn post_file(at: SocketAddr, path: &str, fields: &[(&str, &str)], file: &[u8]) -> common::Answer {
    let mut body = Vec::new();
    for (name, value) in fields {
        body.extend(format!("--{BOUNDARY}\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n").bytes());
    }
    let head = "Content-Disposition: form-data; name=\"file\"; filename=\"a.wav\"\r\nContent-Type: audio/wav";
    body.extend(format!("--{BOUNDARY}\r\n{head}\r\n\r\n").bytes());
    body.extend_from_slice(file);
    body.extend(format!("\r\n--{BOUNDARY}--\r\n").bytes());
    let kind = format!("Content-Type: multipart/form-data; boundary={BOUNDARY}\r\n");
    ask(at, "POST", path, &kind, &body)
}

#[test]
fn trigger_and_spark_are_heard_and_shown() {
    let at = serve("127.0.0.1", demos()).0;
    let form = ask(at, "GET", "/machine/corran-360/recording", "", b"").text();
    // Cautions stand before the file is chosen.
    assert!(form.find("high-tension").expect("a caution") < form.find("type=\"file\"").expect("a file"));
    let answer = send(at, "pickup", &made(false)).text();
    for said in ["as long as measured", "It hangs at", "turns found", "id=\"recording-waves\"", "id=\"recording-recorded\""] {
        assert!(answer.contains(said), "{said} is not in {answer}");
    }
}

#[test]
fn both_pickups_stand_side_by_side() {
    let at = serve("127.0.0.1", demos()).0;
    let wav = std::fs::read(concat!(env!("CARGO_MANIFEST_DIR"), "/../../reference/recording/pickups.wav")).expect("a recording");
    let answer = send(at, "pickups", &wav).text();
    for said in ["its gap is", "gap at least", "value=\"pickups\" selected", "id=\"recording-waves\"", "right (second)"] {
        assert!(answer.contains(said), "{said} is not in {answer}");
    }
}

#[test]
fn readings_of_an_exhaust_are_taken_over_when_asked_for() {
    let at = serve("127.0.0.1", demos()).0;
    let answer = send(at, "exhaust", &made(true)).text();
    assert!(answer.contains("name=\"v.idle.speed\"") && answer.contains("name=\"v.idle.hangs_at\""), "{answer}");
    let text = |path: &str| ask(at, "GET", path, "", b"").text();
    let before = text("/machine/corran-360/machine.toml");
    let value = answer.split("name=\"v.idle.hangs_at\" value=\"").nth(1).and_then(|r| r.split('"').next()).expect("a value");
    let began = answer.split("name=\"began_at\" value=\"").nth(1).and_then(|r| r.split('"').next()).expect("a revision");
    let pairs = [("began_at", began), ("fold", "complaint"), ("v.idle.hangs_at", value), ("o.idle.hangs_at", "recording")];
    let kept = common::post(at, "/machine/corran-360/readings", &pairs);
    assert!(kept.header("location").is_some(), "{}", kept.text());
    let after = text("/machine/corran-360/machine.toml");
    assert!(before != after && after.contains(value) && after.contains("recording"), "{value}");
}

#[test]
fn what_is_no_recording_is_said_on_the_page() {
    let at = serve("127.0.0.1", demos()).0;
    assert!(send(at, "pickup", b"\x89PNG\r\n\x1a\n\0\0\0\0").text().contains("neither a WAV file nor a table"));
    assert!(send(at, "pickup", b"").text().contains("nothing in the file"));
    assert!(send(at, "pickup", &made(true)).text().contains("one channel"));
    let nothing = post_file(at, "/machine/corran-360/recording", &[("what", "pickup")], b"");
    assert_eq!(nothing.status, 303);
    let gone = ask(at, "GET", &format!("/machine/corran-360/heard/{}?what=pickup", "0".repeat(64)), "", b"");
    assert!(gone.status == 404 && gone.text().contains("not here any more"), "{}", gone.text());
}

/// A recording is laid over the run once that is computed; until then the page says how to come by it.
#[test]
fn a_recording_is_laid_over_the_computed_run() {
    let at = serve("127.0.0.1", demos()).0;
    let first = send(at, "exhaust", &made(true)).text();
    assert!(first.contains("The run has not been computed yet"), "{first}");
    let begun = std::time::Instant::now();
    // While it is computed the sheet is not there yet.
    while ask(at, "GET", "/machine/corran-360/sheet.pdf", "", b"").status == 409 {
        assert!(begun.elapsed() < std::time::Duration::from_secs(300), "the study does not end");
        std::thread::sleep(std::time::Duration::from_millis(200));
    }
    let over = send(at, "exhaust", &made(true)).text();
    for said in ["Laid over the computed run", "After the blip it settles: recorded", "data-plays", "recorded"] {
        assert!(over.contains(said), "{said} is not in {over}");
    }
}

/// A recording that is kept with a job is heard again from there, and looked at closer without being sent again.
#[test]
fn a_kept_recording_is_heard_from_its_job() {
    let at = serve("127.0.0.1", demos()).0;
    let pairs = [("complaint", "Hangs"), ("who", "E."), ("token", "one")];
    let job = common::post(at, "/machine/corran-360/jobs", &pairs).header("location").expect("a job").to_owned();
    let fields = [("token", "two"), ("stage", "as_found"), ("words", "idle"), ("reading", ""), ("who", "E.")];
    let kept = post_file(at, &format!("{job}/attachment"), &fields, &made(false));
    assert_eq!(kept.status, 303, "{}", kept.text());
    let card = ask(at, "GET", &job, "", b"").text();
    let heard = card.split(&format!("href=\"{job}/heard/")).nth(1).expect("a link").split('"').next().expect("its end");
    let get = |query: &str| ask(at, "GET", &format!("{job}/heard/{heard}{query}"), "", b"");
    // What was recorded is asked first.
    let form = get("").text();
    assert!(form.contains("a.wav") && form.contains("<select id=\"what\"") && !form.contains("It hangs at"), "{form}");
    let answer = get("?what=pickup&from=2&lasts=0.1").text();
    for said in ["as long as measured", "It hangs at", "0.10\u{a0}s of it", "id=\"recording-waves\"", "</html>"] {
        assert!(answer.contains(said), "{said} is not in {answer}");
    }
    // Nearer keeps the middle and halves the length.
    assert!(answer.contains("from=2.025000&amp;lasts=0.050000&amp;pickup=&amp;before=#waves"), "{answer}");
    assert!(get("?what=exhaust").text().contains("samples a second"));
    assert_eq!(ask(at, "GET", &format!("{job}/heard/{}", "0".repeat(64)), "", b"").status, 404);
}

/// What is sent can be looked at closer as what is kept, stands beside an earlier recording, and has its sheet.
#[test]
fn a_sent_recording_is_looked_at_closer_and_held_against_an_earlier_one() {
    let at = serve("127.0.0.1", demos()).0;
    let before = put_aside(at, "pickup", &with(false, Faults { noise_db: Some(26.0), stray: 0.05, ..Faults::default() }));
    let hash = before.split("/heard/").nth(1).and_then(|r| r.split('?').next()).expect("a hash").to_owned();
    let after = put_aside(at, "pickup", &made(false));
    let answer = ask(at, "GET", &after, "", b"").text();
    // It grows, and there are ways along it.
    assert!(answer.contains("class=\"grows\"") && answer.contains("#waves"), "{answer}");
    assert!(
        answer.contains(&format!("<option value=\"{hash}\"")) && !answer.contains("Against the recording before"),
        "{answer}"
    );
    let both = after.replace("before=", &format!("before={hash}"));
    let changed = ask(at, "GET", &both, "", b"").text();
    for said in ["Against the recording before", "; stray sparks.", "recorded before", "the curve is the same as before"] {
        assert!(changed.contains(said), "{said} is not in {changed}");
    }
    let pdf = ask(at, "GET", &both.replace('?', "/sheet.pdf?"), "", b"");
    assert!(pdf.status == 200 && pdf.body.starts_with(b"%PDF-"), "{}", pdf.text());
    // Another machine has nothing of it.
    assert_eq!(ask(at, "GET", &after.replace("corran-360", "tarn-500"), "", b"").status, 404);
}
