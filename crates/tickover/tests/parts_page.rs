//! Substitute parts on the page: a shelf that is sent, one that is kept with a job, and what is said of a shelf with slips.

mod common;

use common::{ask, demos, serve};
use std::net::SocketAddr;

/// Between the parts of a form (RFC 2046, 5.1.1).
const BOUNDARY: &str = "7c1e90d2";
const SHELF: &str = include_str!("../../../examples/parts/shelf.csv");
const NEED: &str = include_str!("../../../examples/parts/need.toml");

const PHOTO: &[u8] = include_bytes!("../../jobbook/tests/files/photo.png");

fn send(at: SocketAddr, path: &str, fields: &[(&str, &str)], file: &str) -> common::Answer {
    sent(at, path, fields, &[("file", "shelf.csv", file.as_bytes())])
}

fn sent(at: SocketAddr, path: &str, fields: &[(&str, &str)], files: &[(&str, &str, &[u8])]) -> common::Answer {
    let mut body = Vec::new();
    for (name, value) in fields {
        body.extend(format!("--{BOUNDARY}\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n").bytes());
    }
    for (field, name, bytes) in files {
        let head = format!("Content-Disposition: form-data; name=\"{field}\"; filename=\"{name}\"\r\nContent-Type: text/csv");
        body.extend(format!("--{BOUNDARY}\r\n{head}\r\n\r\n").bytes());
        body.extend(*bytes);
        body.extend(b"\r\n");
    }
    body.extend(format!("--{BOUNDARY}--\r\n").bytes());
    let kind = format!("Content-Type: multipart/form-data; boundary={BOUNDARY}\r\n");
    ask(at, "POST", path, &kind, &body)
}

/// The first address on a page that has this in it.
fn link(page: &str, has: &str) -> String {
    let found = page.split("href=\"").filter_map(|rest| rest.split('"').next()).find(|href| href.contains(has));
    found.unwrap_or_else(|| panic!("no {has} in {page}")).to_owned()
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
    let path = link(&page, "/shelf/");
    assert!(ask(at, "GET", &path, "", b"").text().contains("<form"));
    let found = ask(at, "GET", &format!("{path}?kind=coil&need="), "", b"").text();
    assert!(found.contains("c-01") && found.contains("match.pdf"), "{found}");
    let pdf = ask(at, "GET", &format!("{path}/match.pdf?kind=coil&need="), "", b"");
    assert!(pdf.body.starts_with(b"%PDF"), "{}", pdf.text());
    assert_eq!(ask(at, "GET", &format!("{path}/match.pdf?kind=set%3Acharging"), "", b"").status, 404);
}

#[test]
fn a_sound_shelf_is_kept_by_itself_with_its_photos_and_the_next_job_finds_it() {
    let at = serve("127.0.0.1", demos()).0;
    let photo = |row: &str| match row {
        head if head.starts_with("id,") => "photo",
        rotor if rotor.starts_with("r-01,") => "rotor.png; back.png",
        _ => "",
    };
    let shelf: String = SHELF.lines().map(|row| format!("{row},{}\n", photo(row))).collect();
    let asks = [("kind", "rotor"), ("need", NEED)];
    // One with a slip leaves nothing behind, its photo neither.
    let slip = shelf.replace("19.6 ± 0.05 mm", "19.6 ± 0.05 V");
    let refused = sent(at, PATH, &asks, &[("photo", "rotor.png", PHOTO), ("file", "shelf.csv", slip.as_bytes())]);
    assert_eq!(refused.status, 422);
    assert!(!ask(at, "GET", PATH, "", b"").text().contains("Shelves in the book"));
    let kept = sent(at, PATH, &asks, &[("photo", "Rotor.PNG", PHOTO), ("file", "shelf.csv", shelf.as_bytes())]);
    assert_eq!(kept.status, 200, "{}", kept.text());
    let other = "/machine/tarn-500/parts";
    let list = ask(at, "GET", other, "", b"").text();
    assert!(list.contains("Shelves in the book") && list.contains("20 parts"), "{list}");
    let kept = link(&list, "/machine/tarn-500/parts/");
    let page = ask(at, "GET", &format!("{kept}?kind=rotor&need="), "", b"").text();
    let photo = ask(at, "GET", &link(&page, "/parts/file/"), "", b"");
    assert_eq!(photo.body, PHOTO);
    assert!(page.contains("names a photo “back.png”"), "{page}");
    assert!(ask(at, "GET", &format!("{kept}/match.pdf?kind=rotor&need="), "", b"").body.starts_with(b"%PDF"));
    // The same file again changes nothing, another of its name takes its place.
    send(at, PATH, &asks, &shelf);
    send(at, PATH, &[("kind", "coil"), ("need", "")], SHELF);
    let list = ask(at, "GET", PATH, "", b"").text();
    assert_eq!(list.matches("/out\"").count(), 1, "{list}");
    let now = link(&list, &format!("{PATH}/"));
    assert!(!kept.ends_with(now.rsplit('/').next().unwrap()));
    assert_eq!(common::post(at, &format!("{now}/out"), &[]).status, 303);
    assert!(!ask(at, "GET", PATH, "", b"").text().contains("Shelves in the book"));
    // A photo alone; what is none is refused.
    assert_eq!(sent(at, PATH, &[], &[("photo", "back.png", PHOTO)]).status, 303);
    let refused = sent(at, PATH, &[], &[("photo", "back.png", b"id,kind\na,coil\n")]);
    assert_eq!(refused.status, 415, "{}", refused.text());
}

#[test]
fn rest_speeds_come_by_themselves_while_the_page_answers() {
    let at = serve("127.0.0.1", demos()).0;
    let asks = [("kind", "module"), ("need", NEED)];
    let (coming, told) = ("being worked out beside this page", "One percent of air moves the idle by");
    let first = send(at, PATH, &asks, SHELF).text();
    assert!(first.contains(coming) && first.contains("Unevenness") && !first.contains(told), "{first}");
    let kept = link(&ask(at, "GET", PATH, "", b"").text(), &format!("{PATH}/"));
    let address = format!("{kept}?{}", common::form(&asks));
    let later = || ask(at, "GET", &address, "", b"").text();
    let until = std::time::Instant::now() + std::time::Duration::from_secs(600);
    let mut found = later();
    while found.contains(coming) {
        assert!(std::time::Instant::now() < until, "it never came");
        std::thread::sleep(std::time::Duration::from_secs(1));
        found = later();
    }
    assert!(found.contains(told) && found.contains("Hangs at") && !found.contains("its card says why"), "{found}");
}

#[test]
fn a_shelf_of_another_workshop_comes_with_its_photos_or_not_at_all() {
    use std::io::Write;
    let packed = |files: &[(&str, &[u8])]| {
        let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
        for (name, bytes) in files {
            zip.start_file(*name, zip::write::SimpleFileOptions::default()).unwrap();
            zip.write_all(bytes).unwrap();
        }
        zip.finish().unwrap().into_inner()
    };
    let shelf = b"id,kind,measured,heat_steps,photo\np-1,plug,chart,0,plug.png\n";
    let at = serve("127.0.0.1", demos()).0;
    let asks = [("kind", "plug"), ("need", "")];
    for (files, why) in [
        (&[("shelf.csv", &shelf[..]), ("../plug.png", PHOTO)][..], "no plain name of a file"),
        (&[("shelf.csv", &shelf[..]), ("other.png", PHOTO)], "No part names the photo “other.png”"),
        (&[("shelf.csv", &shelf[..]), ("readme.txt", b"hello there")], "“readme.txt” is neither"),
        (&[("shelf.csv", &shelf[..]), ("two.toml", b"x")], "There are 2 shelves"),
        (&[("plug.png", PHOTO)], "no shelf in it"),
        (&[("shelf.csv", b"id,kind,measured,heat_steps\np-1,plug,chart,0 mm\n"), ("plug.png", PHOTO)], "line 2, column 4"),
    ] {
        let refused = sent(at, PATH, &asks, &[("file", "from.zip", &packed(files))]);
        assert_eq!(refused.status, 422);
        assert!(refused.text().contains(why), "{why}: {}", refused.text());
    }
    let whole = packed(&[("shelf.csv", shelf), ("Plug.png", PHOTO)]);
    assert_eq!(sent(at, PATH, &asks, &[("file", "from.zip", &whole[..whole.len() / 2])]).status, 422);
    assert!(!ask(at, "GET", PATH, "", b"").text().contains("Shelves in the book"));
    let taken = sent(at, PATH, &asks, &[("file", "from.zip", &whole)]);
    assert_eq!(taken.status, 303, "{}", taken.text());
    let page = ask(at, "GET", taken.header("location").unwrap(), "", b"").text();
    assert_eq!(ask(at, "GET", &link(&page, "/parts/file/"), "", b"").body, PHOTO);
}
