//! `tickover fault` and the same on the bench page, from complaint to sheet.

mod asked;
mod common;

use asked::{json, said, tickover};
use common::{ask, demos, fresh, get, serve};
use std::{
    io::Write,
    process::{Command, Stdio},
};

fn chance(answer: &serde_json::Value, cause: &str) -> f64 {
    let list = answer["fault"]["causes"].as_array().expect("causes");
    list.iter().find(|c| c["cause"] == cause).unwrap_or_else(|| panic!("no {cause}"))["chance_share"].as_f64().unwrap()
}

#[test]
fn complaints_are_listed_in_the_owners_words() {
    let list = said(&["fault", "corran-360.toml"]);
    assert!(list.contains("revs-hang “It sticks at three thousand until I drag it down on the clutch.”"), "{list}");
    let all = json(&["fault", "corran-360.toml", "--json"]);
    assert_eq!(all["complaints"].as_array().map(Vec::len), Some(35));
}

#[test]
fn answers_move_the_causes_and_readings_count_by_themselves() {
    let start = json(&["fault", "tarn-500.toml", "--complaint", "misfire-load", "--json"]);
    let cap = json(&["fault", "tarn-500.toml", "--complaint", "misfire-load", "--answer", "cap-ohms=yes", "--json"]);
    assert!(chance(&cap, "plug-cap") > 2.0 * chance(&start, "plug-cap"));
    assert_eq!(cap["fault"]["minutes_so_far"], 4.0);
    assert_eq!(cap["fault"]["numbers_source"], "common practice, no source");
    // Points and a coil: it has no pickup and no module.
    let causes: Vec<&str> = start["fault"]["causes"].as_array().unwrap().iter().map(|c| c["cause"].as_str().unwrap()).collect();
    assert!(!causes.contains(&"source-weak") && causes.contains(&"condenser"));
    let sum: f64 = start["fault"]["causes"].as_array().unwrap().iter().map(|c| c["chance_share"].as_f64().unwrap()).sum();
    assert!(sum > 1.0 - start["fault"]["something_else"]["chance_share"].as_f64().unwrap());
    // The Corran's file says that a mist changed nothing: the air leak is less likely than the trade has it.
    let corran = json(&["fault", "corran-360.toml", "--complaint", "revs-hang", "--json"]);
    let read = corran["fault"]["readings"].as_array().unwrap();
    assert!(read.iter().any(|r| r["test"] == "inlet-mist" && r["positive_share"] == 0.0), "{read:?}");
    let leak = corran["fault"]["causes"].as_array().unwrap().iter().find(|c| c["cause"] == "air-leak").unwrap();
    assert!(leak["chance_share"].as_f64() < leak["before_share"].as_f64());
    // Readings of another trouble do not count: the Tarn charges too little, which says nothing of a spark that is not there.
    let spark = json(&["fault", "tarn-500.toml", "--complaint", "no-spark", "--json"]);
    assert!(!spark["fault"]["readings"].as_array().unwrap().iter().any(|r| r["test"] == "charge-low"), "{spark}");
    let flat = json(&["fault", "tarn-500.toml", "--complaint", "flat-short-trips", "--json"]);
    assert!(flat["fault"]["readings"].as_array().unwrap().iter().any(|r| r["test"] == "charge-low"));
    let next = &corran["fault"]["next"];
    assert!(next["minutes_to_repaired"].as_f64() < corran["fault"]["minutes_to_repaired_without_test"].as_f64());
    assert!(corran["fault"]["metal"]["while_these_stand"].as_array().is_some_and(|s| !s.is_empty()));
    // Its charging readings look like weak magnets, by the computed circuit, and it is said plainly.
    let text = said(&["fault", "corran-360.toml", "--complaint", "flat-short-trips", "--width", "400"]);
    assert!(text.contains("(5 readings): “Magnets have lost strength” fits best; “") && !text.contains("likelihood"), "{text}");
    assert!(text.contains(" times worse; 5 more causes fit no better; a machine with none of these causes fits "), "{text}");
    let flat = json(&["fault", "corran-360.toml", "--complaint", "flat-short-trips", "--json"]);
    let magnets = flat["fault"]["causes"].as_array().unwrap().iter().find(|c| c["cause"] == "magnet-weak").unwrap();
    assert!(magnets["chance_share"].as_f64().unwrap() > 3.0 * magnets["before_share"].as_f64().unwrap(), "{magnets}");
}

#[test]
fn cautions_stand_before_tests_and_what_is_barred_is_refused() {
    let text = said(&["fault", "pellow-125.toml", "--complaint", "kicks-back"]);
    let at = |what: &str| text.find(what).unwrap_or_else(|| panic!("{what:?} is not in {text}"));
    assert!(at("Caution: Do not kick it again") < at("First: Static timing"));
    assert!(at("Caution: Ignition off and earthed") < at("How: Prove top dead centre"));
    let strobe = ["fault", "pellow-125.toml", "--complaint", "kicks-back", "--answer", "strobe-idle=no"];
    let out = tickover(&strobe);
    assert_eq!(out.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&out.stderr).contains("barred until it is safe"));
    let first =
        ["fault", "pellow-125.toml", "--complaint", "kicks-back", "--answer", "static-timing=no", "--answer", "strobe-idle=no"];
    assert!(tickover(&first).status.success());
    let cut = said(&["fault", "corran-360.toml", "--complaint", "revs-hang", "--answer", "curve-steep=put-right"]);
    assert!(cut.contains("no metal is cut while these stand"), "{cut}");
}

#[test]
fn what_is_mistyped_is_told_with_what_was_meant() {
    let base = ["fault", "corran-360.toml", "--complaint"];
    assert!(said(&[&base[..], &["revs-hung"]].concat()).contains("Did you mean “revs-hang”?"));
    assert!(said(&[&base[..], &["revs-hang", "--answer", "enrch=yes"]].concat()).contains("Did you mean “enrich”?"));
    assert!(said(&[&base[..], &["revs-hang", "--answer", "enrich=maybe"]].concat()).contains("TEST=cannot-tell"));
}

#[test]
fn a_file_of_ones_own_counts_beside_the_base_or_is_refused_whole() {
    let folder = tempfile::tempdir().unwrap();
    let own = folder.path().join("own.toml");
    std::fs::write(&own, "[[job]]\ncomplaint = \"revs-hang\"\ncause = \"air-leak\"\ncount = 9\n").unwrap();
    let asked = ["fault", "corran-360.toml", "--complaint", "revs-hang", "--json"];
    let with = json(&[&asked[..], &["--own", own.to_str().unwrap()]].concat());
    assert!(chance(&with, "air-leak") > chance(&json(&asked), "air-leak"));
    let text = said(&["fault", "corran-360.toml", "--complaint", "revs-hang", "--width", "400", "--own", own.to_str().unwrap()]);
    assert!(
        text.contains("From your own file: 9 finished jobs and 0 tests counted in.") && text.contains("weighs as much as 40"),
        "{text}"
    );
    assert_eq!(with["fault"]["own"]["jobs"], 9);
    std::fs::write(&own, "[[job]]\ncomplaint = \"revs-hang\"\ncause = \"air-lek\"\nyear = 3\n").unwrap();
    let out = tickover(&[&asked[..], &["--own", own.to_str().unwrap()]].concat());
    assert_eq!((out.status.code(), out.stdout.is_empty()), (Some(3), true));
    let told = String::from_utf8_lossy(&out.stderr).into_owned();
    assert!(told.contains("own.toml, line 3, column 9: there is no cause “air-lek” here. Did you mean “air-leak”?"), "{told}");
    assert!(told.contains("line 4, column 1: job[0].year means nothing here") && told.contains("2 defects"), "{told}");
}

#[test]
fn the_page_counts_with_a_file_of_ones_own() {
    let (at, bench) = serve("127.0.0.1", demos());
    let asked = "/machine/tarn-500/fault?complaint=no-spark";
    let before = get(at, asked);
    assert!(!before.contains("of your own jobs counted in"));
    let own = "[[job]]\ncomplaint = \"no-spark\"\ncause = \"condenser\"\ncount = 12\n";
    bench.count_with(workshop::study::fault::base().with_own(own).unwrap());
    assert!(get(at, asked).contains("12 of your own jobs counted in"));
}

/// Types lines at the prompt.
fn typed(lines: &str) -> String {
    let examples = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples");
    let mut child = Command::new(env!("CARGO_BIN_EXE_tickover"))
        .args(["fault", "tarn-500.toml", "--ask", "--width", "100"])
        .current_dir(examples)
        .env("NO_COLOR", "1")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(lines.as_bytes()).unwrap();
    let out = child.wait_with_output().unwrap();
    assert!(out.status.success());
    String::from_utf8_lossy(&out.stdout).split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_terminal_asks_takes_back_and_takes_any_order() {
    let text = typed("no-sprk\nno-spark\nwhat\nskip\nback\ny\nback\nkill-off\nspark-gap=yes\n");
    assert!(text.contains("Did you mean “no-spark”?"));
    assert!(text.contains("Not understood.") && text.contains("There is nothing to take back."));
    assert!(text.contains("“Unplug the kill lead at the module or coil” cannot be done on this machine."), "{text}");
    assert!(text.contains("Spark across an adjustable gap at kicking speed: positive."));
    // What cannot be said now is answered by what can be, and a repair is taken as it is said to be written.
    let right = typed("no-spark\nright\ncondenser=put-right\n");
    assert!(
        right.contains("type yes, no or cannot tell; or skip. At any time") && right.contains("CAUSE=put-right for a repair"),
        "{right}"
    );
    assert!(right.contains("Names of the likeliest causes: ") && right.contains("The complaint stays."), "{right}");
    // A cause that is likely and quick is offered to be put right in the end, and found.
    let found = typed("flat-parked\ndrain=no\nbattery-load=yes\ngone\n");
    assert!(found.contains("Found: Battery worn out") && found.contains("cause = \"battery-worn\""), "{found}");
}

#[test]
fn the_fault_sheet_is_the_same_each_time() {
    let asked = ["fault", "corran-360.toml", "--complaint", "kicks-back", "--answer", "static-timing=yes", "--sheet", "-"];
    let pdf = tickover(&asked).stdout;
    assert!(pdf.starts_with(b"%PDF") && pdf.len() > 10_000);
    assert_eq!(pdf, tickover(&asked).stdout);
}

#[test]
fn the_page_asks_answers_and_takes_back_without_a_script() {
    let at = fresh();
    let card = get(at, "/machine/tarn-500");
    assert!(card.contains("id=\"fault-complaint\"") && card.contains("“It was running yesterday.”"));
    let start = get(at, "/machine/tarn-500/fault?complaint=no-spark");
    assert!(start.contains("<meter") && start.contains("name=\"did\""));
    let after = get(at, "/machine/tarn-500/fault?complaint=no-spark&did=battery-bridge%3Dyes&did=drop-feed%3Dyes");
    assert!(after.contains("Feed the ignition straight from a known good battery: positive."), "{after}");
    // Each is taken back by itself: what else was done goes on being carried.
    let back: Vec<&str> = after.split("<ol").nth(1).unwrap().split("</ol>").next().unwrap().split("<form").skip(1).collect();
    let carries = |form: &str, did: &str| form.contains(&format!("name=\"did\" value=\"{did}\""));
    assert!(back.len() == 2 && back.iter().all(|form| form.contains("Take back")), "{back:?}");
    assert!(!carries(back[0], "battery-bridge=yes") && carries(back[0], "drop-feed=yes"), "{back:?}");
    assert!(carries(back[1], "battery-bridge=yes") && !carries(back[1], "drop-feed=yes"), "{back:?}");
    // What was done stands among the tests that can be answered, with how it came out, and a new answer takes the place of the old one.
    assert!(after.contains("Feed the ignition straight from a known good battery: done, positive</option>"), "{after}");
    let asked = "complaint=no-spark&did=battery-bridge%3Dcannot-tell&did=drop-feed%3Dyes";
    let unsure = get(at, &format!("/machine/tarn-500/fault?{asked}&test=battery-bridge"));
    assert!(unsure.contains("known good battery: done, cannot tell</option>") && unsure.contains("value=\"battery-bridge=no\""));
    let anew = get(at, &format!("/machine/tarn-500/fault?{asked}&did=battery-bridge%3Dno"));
    assert!(anew.contains("known good battery: passed.") && !anew.contains("known good battery: cannot tell"), "{anew}");
    let barred = get(at, "/machine/corran-360/fault?complaint=kicks-back&did=strobe-idle%3Dno");
    assert!(barred.contains("is barred until it is safe"));
    let caution = barred.find("Ignition off and earthed").expect("the caution");
    assert!(caution < barred.find("Prove top dead centre").expect("the step"));
    let pdf = ask(at, "GET", "/machine/tarn-500/fault.pdf?complaint=no-spark&did=drop-feed%3Dno", "", b"");
    assert!(pdf.status == 200 && pdf.body.starts_with(b"%PDF"));
    let odd = ask(at, "GET", "/machine/tarn-500/fault?complaint=%3Cb%3E&did=x&did=%00&skip=%FF", "", b"");
    assert!(odd.status == 422 && !odd.text().contains("<b>"));
    assert_eq!(ask(at, "GET", "/machine/tarn-500/fault.pdf", "", b"").status, 404);
    assert_eq!(ask(at, "GET", "/machine/nobody/fault", "", b"").status, 404);
}
