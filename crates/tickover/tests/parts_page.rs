//! Substitute parts on the page: a shelf that is sent, one that is kept with a job, and what is said of a shelf with slips.

mod common;

use common::{ask, demos, serve};
use std::net::SocketAddr;

/// Between the parts of a form (RFC 2046, 5.1.1).
const BOUNDARY: &str = "7c1e90d2";
const SHELF: &str = include_str!("../../../examples/parts/shelf.csv");
const NEED: &str = include_str!("../../../examples/parts/need.toml");

fn send(at: SocketAddr, path: &str, fields: &[(&str, &str)], file: &str) -> common::Answer {
    let mut body = String::new();
    for (name, value) in fields {
        body += &format!("--{BOUNDARY}\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n");
    }
    let head = "Content-Disposition: form-data; name=\"file\"; filename=\"shelf.csv\"\r\nContent-Type: text/csv";
    body += &format!("--{BOUNDARY}\r\n{head}\r\n\r\n{file}\r\n--{BOUNDARY}--\r\n");
    let kind = format!("Content-Type: multipart/form-data; boundary={BOUNDARY}\r\n");
    ask(at, "POST", path, &kind, body.as_bytes())
}

const PATH: &str = "/machine/corran-360/parts";

#[test]
fn a_shelf_that_is_sent_is_ranked_drawn_and_computed() {
    let at = serve("127.0.0.1", demos()).0;
    let card = ask(at, "GET", "/machine/corran-360", "", b"").text();
    assert!(card.contains("/machine/corran-360/parts"), "no way there from the card");
    let form = ask(at, "GET", PATH, "", b"").text();
    assert!(form.contains("type=\"file\"") && form.contains("value=\"set:charging\""), "{form}");
    let coils = send(at, PATH, &[("kind", "coil"), ("need", NEED)], SHELF);
    assert_eq!(coils.status, 200);
    let coils = coils.text();
    let place = |what: &str| coils.find(what).unwrap_or_else(|| panic!("{what:?} is not in {coils}"));
    assert!(place("An ignition can kill") < place("Parts, the best first"));
    for said in [
        "Margin at the kick",
        "Shopping list",
        "most to pay",
        "quoted: small advert, 2026-05-02",
        "Not computed, for it was not measured in",
    ] {
        place(said);
    }
    let rotors = send(at, PATH, &[("kind", "rotor"), ("need", NEED)], SHELF).text();
    for said in
        ["part-old", "part-new", "<svg", "1 : 1", "The taper runs the other way", "A hub that lets go kills", "Would fit with"]
    {
        assert!(rotors.contains(said), "{said} is not in {rotors}");
    }
    let sets = send(at, PATH, &[("kind", "set:charging"), ("need", NEED)], SHELF).text();
    assert!(
        sets.contains("r-03 alone is ruled out by Magnet poles") && sets.contains("Charging covers the loads from"),
        "{sets}"
    );
}

#[test]
fn slips_are_told_by_line_and_nothing_is_ranked() {
    let at = serve("127.0.0.1", demos()).0;
    let slip = send(at, PATH, &[("kind", "coil"), ("need", "")], &SHELF.replace("0.44 ± 0.03 Ω", "0.44 ± 0.03 mm"));
    assert_eq!(slip.status, 422);
    let slip = slip.text();
    assert!(
        slip.contains("shelf.csv, line 2, column 15") && slip.contains("nothing of it is used") && !slip.contains("id=\"parts\""),
        "{slip}"
    );
    let need = send(at, PATH, &[("kind", "coil"), ("need", "[coil]\nends = \"singel\"")], SHELF);
    assert!(need.status == 422 && need.text().contains("Did you mean “single”?"), "{}", need.text());
    assert!(send(at, PATH, &[("kind", "nothing"), ("need", "")], SHELF).text().contains("Choose a kind of part"));
}

#[test]
fn a_kept_shelf_is_ranked_from_its_job_and_gives_the_match_sheet() {
    let at = serve("127.0.0.1", demos()).0;
    let opened = common::post(at, "/machine/corran-360/jobs", &[("complaint", "No spark"), ("who", "E."), ("token", "t1")]);
    let job = opened.header("location").unwrap_or_else(|| panic!("{}", opened.text())).to_owned();
    let fields = [("token", "t2"), ("stage", "as_found"), ("words", "parts on the shelf"), ("reading", ""), ("who", "E.")];
    let kept = send(at, &format!("{job}/attachment"), &fields, SHELF);
    assert_eq!(kept.status, 303, "{}", kept.text());
    let page = ask(at, "GET", &job, "", b"").text();
    let path = page.split("href=\"").filter_map(|rest| rest.split('"').next()).find(|href| href.contains("/shelf/"));
    let path = path.unwrap_or_else(|| panic!("no shelf in {page}")).to_owned();
    assert!(ask(at, "GET", &path, "", b"").text().contains("<form"));
    let found = ask(at, "GET", &format!("{path}?kind=coil&need="), "", b"").text();
    assert!(found.contains("c-01") && found.contains("match.pdf"), "{found}");
    let pdf = ask(at, "GET", &format!("{path}/match.pdf?kind=coil&need="), "", b"");
    assert!(pdf.body.starts_with(b"%PDF"), "{}", pdf.text());
    assert_eq!(ask(at, "GET", &format!("{path}/match.pdf?kind=set%3Acharging"), "", b"").status, 404);
}
