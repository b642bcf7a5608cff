//! The page asked without a browser.

mod common;

use common::{Answer, FORM, ask, demos, form, serve};
use proptest::prelude::*;
use std::{
    io::{Read, Write},
    net::{SocketAddr, TcpStream},
    sync::{Arc, LazyLock},
    time::{Duration, Instant},
};
use tickover::bench::Bench;

/// One page for all tests that change nothing.
static PAGE: LazyLock<SocketAddr> = LazyLock::new(fresh);

/// A page of one's own, on a book in memory.
fn fresh() -> SocketAddr {
    fresh_at("127.0.0.1").0
}

/// The same at an address of its own. All of 127.0.0.0/8 is this machine, but only 127.0.0.1 is taken for it: any other stands for an
/// address in the workshop's network.
fn fresh_at(ip: &str) -> (SocketAddr, Arc<Bench>) {
    serve(ip, demos())
}

fn get(path: &str) -> Answer {
    get_at(*PAGE, path)
}

fn get_at(at: SocketAddr, path: &str) -> Answer {
    ask(at, "GET", path, "", b"")
}

fn post(at: SocketAddr, path: &str, pairs: &[(&str, &str)]) -> Answer {
    ask(at, "POST", path, FORM, form(pairs).as_bytes())
}

fn revision(at: SocketAddr, slug: &str) -> String {
    let page = get_at(at, &format!("/machine/{slug}")).text();
    let (_, after) = page.split_once("name=\"began_at\" value=\"").expect("the form says where it began");
    after.split('"').next().unwrap_or_default().to_owned()
}

#[test]
fn the_book_and_every_card_open() {
    let list = get("/");
    assert_eq!(list.status, 200);
    for (file, text) in workshop::machine::EXAMPLES {
        let slug = file.trim_end_matches(".toml");
        assert!(list.text().contains(&format!("/machine/{slug}")), "{slug}");
        let card = get(&format!("/machine/{slug}"));
        assert_eq!(card.status, 200);
        for fold in ["complaint", "measure", "judge", "alter", "hand-over"] {
            assert!(card.text().contains(&format!("id=\"{fold}\"")), "{slug}: {fold}");
        }
        assert_eq!(get(&format!("/machine/{slug}/machine.toml")).text(), text);
    }
}

#[test]
fn nothing_refers_to_another_place() {
    for path in ["/", "/machine/corran-360", "/bench.css", "/bench.js", "/mark.svg"] {
        let text = get(path).text();
        // The one address that is a name and never asked for.
        let text = text.replace("http://www.w3.org/2000/svg", "");
        assert!(!text.contains("http://") && !text.contains("https://"), "{path}");
        assert!(!text.contains(" style=\"") && !text.contains(" onclick"), "{path}: the page forbids inline styles and scripts");
    }
}

#[test]
fn answers_carry_the_security_headers() {
    for path in ["/", "/bench.css", "/nowhere"] {
        let answer = get(path);
        let policy = answer.header("content-security-policy").expect("a policy");
        assert!(policy.starts_with("default-src 'none'") && !policy.contains("unsafe"), "{policy}");
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
        assert_eq!(answer.header("referrer-policy"), Some("same-origin"));
    }
}

#[test]
fn what_comes_from_elsewhere_is_refused() {
    assert_eq!(ask(*PAGE, "GET", "/", "Host: rebound.example\r\n", b"").status, 421);
    let evil = format!("{FORM}Origin: http://evil.example\r\n");
    let before = revision(*PAGE, "tarn-500");
    let body = form(&[("began_at", &before), ("v.name", "taken over")]);
    assert_eq!(ask(*PAGE, "POST", "/machine/tarn-500/readings", &evil, body.as_bytes()).status, 403);
    assert_eq!(revision(*PAGE, "tarn-500"), before);
}

#[test]
fn another_device_sees_nothing_until_it_is_let_in() {
    let (at, bench) = fresh_at("127.0.0.2");
    let secrets = ["Corran", "Pellow", "Tarn"];
    for path in
        ["/", "/machine/corran-360", "/machine/corran-360/machine.toml", "/machine/corran-360/study.json", "/devices", "/new"]
    {
        let answer = get_at(at, path);
        assert_eq!((answer.status, answer.header("location")), (303, Some("/pair")), "{path}");
        assert!(secrets.iter().all(|s| !answer.text().contains(s)), "{path}");
    }
    for path in ["/machine/tarn-500/readings", "/devices/invite", "/light"] {
        assert_eq!(post(at, path, &[]).status, 403, "{path}");
    }
    let door = get_at(at, "/pair?code=%22%3E%3Cscript%3E");
    assert_eq!(door.status, 200);
    assert!(!door.text().contains("<script>") && secrets.iter().all(|s| !door.text().contains(s)));

    // No code waits; then a wrong one; then the right one, once.
    assert_eq!(post(at, "/pair", &[("code", "")]).status, 403);
    let code = bench.invite();
    assert_eq!(post(at, "/pair", &[("code", "AAAAAAAA")]).status, 403);
    let let_in = post(at, "/pair", &[("code", &code), ("name", "lift <1>")]);
    assert_eq!(let_in.status, 303);
    assert_eq!(post(at, "/pair", &[("code", &code)]).status, 403, "a second time");
    let cookie = let_in.header("set-cookie").unwrap();
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"), "{cookie}");
    let cookie = format!("Cookie: {}\r\n", cookie.split(';').next().unwrap());
    assert!(ask(at, "GET", "/", &cookie, b"").text().contains("Corran"));
    assert_eq!(ask(at, "GET", "/", "Cookie: device=0000\r\n", b"").status, 303);
    // It is let in to work, not to let others in.
    assert_eq!(ask(at, "GET", "/devices", &cookie, b"").status, 403);
    assert_eq!(ask(at, "POST", "/devices/invite", &format!("{FORM}{cookie}"), b"").status, 403);
    // A name that leads here is not the address.
    assert_eq!(ask(at, "GET", "/", &format!("Host: localhost:{}\r\n{cookie}", at.port()), b"").status, 421);
}

#[test]
fn this_computer_lets_devices_in_and_out() {
    let (at, bench) = fresh_at("127.0.0.1");
    assert_eq!(post(at, "/devices/invite", &[]).status, 303);
    let page = get_at(at, "/devices").text();
    let (_, after) = page.split_once(&format!("http://{at}/pair?code=")).expect("the address with the code");
    let code = &after[..8];
    assert_eq!(post(at, "/pair", &[("code", code), ("name", "lift <1>")]).status, 303);
    let page = get_at(at, "/devices").text();
    assert!(page.contains("lift &lt;1&gt;") && !page.contains(code), "{page}");
    assert_eq!(post(at, "/devices/1/forget", &[]).status, 303);
    assert!(!get_at(at, "/devices").text().contains("lift"));
    drop(bench);
}

#[test]
fn what_is_not_there_is_404() {
    for path in [
        "/machine/nobody",
        "/machine/nobody/cut?mm=1",
        "/machine/nobody/sheet.pdf",
        "/nowhere",
        "/machine/a%00b",
        "/machine/..%2f..",
    ] {
        let answer = get(path);
        assert_eq!(answer.status, 404, "{path}");
    }
    assert_eq!(ask(*PAGE, "PUT", "/", "", b"").status, 405);
}

#[test]
fn a_huge_body_is_refused_unread() {
    let answer = ask(*PAGE, "POST", "/machine/tarn-500/readings", FORM, &vec![b'a'; 50_000_000]);
    assert_eq!(answer.status, 413);
    // Without a length: chunks are counted as they come.
    let mut stream = TcpStream::connect(*PAGE).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
    let head = format!("POST /machine/tarn-500/readings HTTP/1.1\r\nHost: {}\r\n{FORM}Transfer-Encoding: chunked\r\n\r\n", *PAGE);
    stream.write_all(head.as_bytes()).unwrap();
    let chunk = [b"100000\r\n".to_vec(), vec![b'a'; 0x100000], b"\r\n".to_vec()].concat();
    for _ in 0..50 {
        if stream.write_all(&chunk).is_err() {
            break;
        }
    }
    let mut start = [0; 12];
    match stream.read_exact(&mut start) {
        Ok(()) => assert_eq!(&start, b"HTTP/1.1 413"),
        // The server closed while the rest was still being sent; that is a refusal as well.
        Err(e) => assert!(e.kind() != std::io::ErrorKind::WouldBlock, "{e}"),
    }
    assert_eq!(get("/").status, 200);
}

#[test]
fn an_edit_is_kept_and_can_be_taken_back() {
    let at = fresh();
    let path = "/machine/pellow-125";
    let began = revision(at, "pellow-125");
    let before = get_at(at, &format!("{path}/machine.toml")).text();
    let kept =
        post(at, &format!("{path}/readings"), &[("began_at", &began), ("fold", "measure"), ("v.engine.stroke", "54,1 ± 0.1 mm")]);
    assert_eq!(kept.status, 303, "{}", kept.text());
    assert_eq!(kept.header("location"), Some("/machine/pellow-125#measure"));
    let after = get_at(at, &format!("{path}/machine.toml")).text();
    assert!(after.contains("54,1 ± 0.1 mm"), "{after}");

    // The same edit once more began on a revision that is no longer the newest.
    let late = post(at, &format!("{path}/readings"), &[("began_at", &began), ("v.engine.stroke", "50 mm")]);
    assert_eq!(late.status, 409);
    // Nor is a wrong one shown again over the newer revision, from where it would take back what the first one kept.
    let wrong = post(at, &format!("{path}/readings"), &[("began_at", &began), ("v.engine.stroke", "9000 mm")]);
    assert_eq!(wrong.status, 409);
    assert_eq!(post(at, &format!("{path}/readings"), &[("v.engine.stroke", "50 mm")]).status, 409, "begun nowhere");

    let now = revision(at, "pellow-125");
    let restored = post(at, &format!("{path}/restore"), &[("began_at", &now), ("number", &began)]);
    assert_eq!(restored.status, 303);
    assert_eq!(get_at(at, &format!("{path}/machine.toml")).text(), before);
}

#[test]
fn a_wrong_reading_is_not_kept_and_the_error_stands_beside_it() {
    let began = revision(*PAGE, "tarn-500");
    let answer =
        post(*PAGE, "/machine/tarn-500/readings", &[("began_at", &began), ("fold", "measure"), ("v.engine.bore", "9000 mm")]);
    assert_eq!(answer.status, 422);
    let page = answer.text();
    let field = page.find("id=\"field-engine-bore\"").expect("the field");
    let after = &page[field..];
    assert!(after.starts_with("id=\"field-engine-bore\" name=\"v.engine.bore\" value=\"9000 mm\""), "what was typed stays");
    let error = after.find("id=\"field-engine-bore-error\"").expect("an error beside the field");
    assert!(after[..error].matches("class=\"field").count() == 0, "beside this field and no other");
    assert_eq!(revision(*PAGE, "tarn-500"), began, "nothing was kept");
}

#[test]
fn studies_come_when_they_are_worked_out() {
    let begun = Instant::now();
    loop {
        let now = get("/machine/corran-360/progress").json();
        let state = now["state"].as_str().unwrap().to_owned();
        let share = now["share"].as_f64().unwrap();
        assert!((0.0..=1.0).contains(&share));
        if state == "ended" {
            break;
        }
        assert_eq!(state, "running");
        assert!(begun.elapsed() < Duration::from_secs(300), "the studies never ended");
        std::thread::sleep(Duration::from_millis(100));
    }
    let cut = get("/machine/corran-360/cut?mm=5&narrow=true");
    assert_eq!(cut.status, 200, "{}", cut.text());
    let cut = cut.json();
    for part in ["rotor", "curve", "rest"] {
        assert!(cut[part].as_str().unwrap().starts_with("<svg"), "{part}");
    }
    assert_ne!(cut["curve"], get("/machine/corran-360/cut?mm=0&narrow=true").json()["curve"]);
    let json = get("/machine/corran-360/study.json").json();
    assert_eq!(json["tickover"]["format"], 1);
    let asked = get("/machine/corran-360/sheet.pdf");
    assert!(asked.status == 200 && asked.text().contains("name=\"leads\""), "{}", asked.text());
    // Anticlockwise from the cover side is clockwise from the engine side, so what is at the top moves to the right.
    assert_eq!(get("/machine/corran-360/sheet.pdf?leads=left").status, 422);
    assert!(get("/machine/corran-360/sheet.pdf?leads=right").body.starts_with(b"%PDF-"));
    for mm in ["NaN", "inf", "-1e300", "1e300"] {
        assert_eq!(get(&format!("/machine/corran-360/cut?mm={mm}")).status, 200, "{mm}");
    }
    assert_eq!(get("/machine/corran-360/cut?mm=much").status, 400);
}

fn typed() -> impl Strategy<Value = String> {
    prop_oneof![
        Just("NaN mm".to_owned()),
        Just("-1e300 rpm".to_owned()),
        Just("1,200".to_owned()),
        Just("\u{feff}3 \u{b1} mm".to_owned()),
        Just("\"]\n[x]\na = \"".to_owned()),
        "[0-9,.± a-z°/-]{0,24}",
        "\\PC{0,40}",
        any::<Vec<u8>>().prop_map(|bytes| String::from_utf8_lossy(&bytes).into_owned()),
    ]
}

fn field() -> impl Strategy<Value = String> {
    prop_oneof![
        Just("v.engine.bore".to_owned()),
        Just("o.engine.bore".to_owned()),
        Just("v.strobe[0].advance".to_owned()),
        Just("v.strobe[999999999999999999999].advance".to_owned()),
        Just("v.idle.speed".to_owned()),
        Just("v.idle.clutch_pulls_down".to_owned()),
        Just("v.trigger.pickup[1].fires".to_owned()),
        Just("v.law.kind".to_owned()),
        Just("v.name".to_owned()),
        Just("v.".to_owned()),
        "[vo]\\.[a-z_.\\[\\]0-9]{0,30}",
        "\\PC{0,20}",
    ]
}

/// A page to throw things at.
static FUZZED: LazyLock<SocketAddr> = LazyLock::new(fresh);

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, ..ProptestConfig::default() })]

    /// Whatever is posted, the page answers: kept, refused with words, or not understood. What was kept still reads.
    #[test]
    fn no_post_breaks_the_page(pairs in prop::collection::vec((field(), typed()), 0..6)) {
        let began = revision(*FUZZED, "tarn-500");
        let mut all = vec![("began_at", began.as_str()), ("fold", "measure")];
        all.extend(pairs.iter().map(|(f, t)| (f.as_str(), t.as_str())));
        let answer = post(*FUZZED, "/machine/tarn-500/readings", &all);
        prop_assert!(matches!(answer.status, 303 | 422), "{} {}", answer.status, answer.text());
        if answer.status == 422 {
            prop_assert!(answer.text().contains("class=\"error\"") || answer.text().contains("class=\"caution\""), "refused without a word");
        }
        let kept = get_at(*FUZZED, "/machine/tarn-500/machine.toml").text();
        prop_assert!(workshop::machine::read(&kept).is_ok(), "a file with defects was kept:\n{kept}");
    }

    /// Raw bytes as a body.
    #[test]
    fn no_body_breaks_the_page(body in prop::collection::vec(any::<u8>(), 0..400)) {
        for path in ["/machine/tarn-500/readings", "/machine/tarn-500/restore", "/light"] {
            let answer = ask(*PAGE, "POST", path, FORM, &body);
            prop_assert!(answer.status < 500, "{path}: {}", answer.status);
        }
    }
}

#[test]
fn a_strobe_reading_is_added_and_taken_away() {
    let at = fresh();
    let slug = "tarn-500";
    let text = || get_at(at, &format!("/machine/{slug}/machine.toml")).text();
    let readings = |text: &str| workshop::machine::read(text).expect("it reads").0.strobe;
    let before = readings(&text());
    let n = before.len();
    let path = |key: &str| format!("v.strobe[{n}].{key}");
    let began = revision(at, slug);
    let page = get_at(at, &format!("/machine/{slug}")).text();
    assert!(page.contains(&format!("name=\"{}\"", path("speed"))), "the card has room for the next one");
    let origin = format!("o.strobe[{n}].advance");
    let fields = [
        ("began_at", began.as_str()),
        (&path("speed"), "2750 ± 40 rpm"),
        (&path("advance"), "24.5 ± 1°"),
        (&origin, "borrowed strobe lamp"),
    ];
    let answer = post(at, &format!("/machine/{slug}/readings"), &fields);
    assert_eq!(answer.status, 303, "{}", answer.text());
    let with = readings(&text());
    assert_eq!(with.len(), n + 1);
    // 2750 rpm in rad/s by definition.
    const ROUNDING: f64 = 1e-9;
    assert!((with[n].speed.si / (2750.0 * std::f64::consts::TAU / 60.0) - 1.0).abs() < ROUNDING);
    assert!(text().contains("borrowed strobe lamp"));

    // Taken away together with a change of another reading; both in one revision.
    let away = format!("strobe[{n}]");
    let began = revision(at, slug);
    let fields = [("began_at", began.as_str()), ("away", &away), ("away", "strobe[0]"), ("v.strobe[1].speed", "1234 rpm")];
    assert_eq!(post(at, &format!("/machine/{slug}/readings"), &fields).status, 303);
    let left = readings(&text());
    assert_eq!(left.len(), n - 1);
    assert_eq!(left[1..], before[2..], "the others stay");
    assert!((left[0].speed.si / (1234.0 * std::f64::consts::TAU / 60.0) - 1.0).abs() < ROUNDING);
    assert_eq!(revision(at, slug), (began.parse::<u32>().unwrap() + 1).to_string());
}

#[test]
fn half_a_reading_is_refused_beside_the_field_that_lacks() {
    let at = fresh();
    let n = workshop::machine::read(&get_at(at, "/machine/tarn-500/machine.toml").text()).unwrap().0.strobe.len();
    let began = revision(at, "tarn-500");
    let field = format!("v.strobe[{n}].speed");
    let answer = post(at, "/machine/tarn-500/readings", &[("began_at", &began), (&field, "2750 rpm")]);
    assert_eq!(answer.status, 422);
    assert!(answer.text().contains(&format!("id=\"field-strobe-{n}--advance-error\"")) && answer.text().contains("2750 rpm"));
    for bad in ["strobe[999]", "strobe", "engine", "trigger.pickup[0]", "", "strobe[-1]"] {
        let answer = post(at, "/machine/tarn-500/readings", &[("began_at", &began), ("away", bad)]);
        assert_eq!(answer.status, 422, "{bad}");
    }
    assert_eq!(revision(at, "tarn-500"), began);
}

#[test]
fn charts_can_be_read_by_keyboard_and_screen_reader() {
    let page = get("/machine/tarn-500").text();
    let charts = page.matches("class=\"chart\" id=\"judge-").count();
    assert!(charts > 0);
    assert_eq!(page.matches("class=\"reader\"").count(), page.matches("class=\"seen\"").count());
    assert!(page.contains("role=\"slider\" tabindex=\"0\" aria-label=\"Read values off the chart"));
    assert!(page.contains("data-halves=\"") && page.contains("data-y-unit=\"° before TDC\""));
    assert_eq!(get("/readout.js").header("content-type"), Some("text/javascript; charset=utf-8"));
}
