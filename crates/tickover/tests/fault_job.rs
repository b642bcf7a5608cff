//! The search for a fault in a job: kept in its log, taken back, counted when the job is done.

mod asked;
mod common;

use asked::{said, tickover};
use common::{ask, demos, get, post, serve};
use jobbook::{Book, Kept, UnixSeconds};
use std::{net::SocketAddr, path::PathBuf};
use tempfile::TempDir;
use tickover::bench;

const TARN: &str = "/machine/tarn-500";

fn opened(at: SocketAddr, token: &str) -> String {
    let answer = post(at, &format!("{TARN}/jobs"), &[("complaint", "No spark"), ("who", "E."), ("token", token)]);
    assert_eq!(answer.status, 303, "{}", answer.text());
    answer.header("location").unwrap().to_owned()
}

/// A book on disk that is served, so that others can open it beside the page; it goes with its folder.
fn on_disk() -> (SocketAddr, PathBuf, TempDir) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.tickover");
    let (mut book, _) = Book::open(&path).unwrap();
    bench::add_demos(&mut book).unwrap();
    (serve("127.0.0.1", book).0, path, folder)
}

fn step(at: SocketAddr, job: &str, did: &str, token: &str) -> u16 {
    let form = [("complaint", "no-spark"), ("did", did), ("who", "Ada"), ("token", &format!("{job} {token}"))];
    post(at, &format!("{job}/fault"), &form).status
}

/// Numbers of the entries that the page offers to take back, in order.
fn entries(page: &str) -> Vec<String> {
    page.split("name=\"entry\" value=\"").skip(1).map(|s| s.split('"').next().unwrap().to_owned()).collect()
}

/// Changes how a job stands.
fn hand_over(at: SocketAddr, job: &str) {
    let card = get(at, job);
    let (_, form) = card.split_once(&format!("action=\"{job}/headline\"")).expect("the form");
    let replaces = form.split_once("name=\"replaces\" value=\"").expect("what it replaces").1.split('"').next().unwrap();
    let form = [("complaint", "No spark"), ("state", "handed_over"), ("replaces", replaces), ("who", "E.")];
    assert_eq!(post(at, &format!("{job}/headline"), &form).status, 303);
}

#[test]
fn answers_stand_in_the_log_with_who_gave_them_and_are_taken_back() {
    let (at, _) = serve("127.0.0.1", demos());
    let job = opened(at, "1");
    assert!(get(at, &job).contains("id=\"fault-complaint\""), "a search can begin on the card");
    assert!(get(at, TARN).contains(&format!("{job}/fault")), "the machine leads to the job's search");
    // Nothing is answered before it has begun, and only complaints that there are begin.
    assert_eq!(step(at, &job, "spark-gap=yes", "0"), 422);
    let unknown = [("complaint", "no-sprk"), ("did", ""), ("who", ""), ("token", "x")];
    let refused = post(at, &format!("{job}/fault"), &unknown);
    assert!(refused.status == 422 && refused.text().contains("Did you mean “no-spark”?"));

    assert_eq!(step(at, &job, "", "1"), 303);
    assert_eq!(step(at, &job, "spark-gap=yes", "2"), 303);
    assert_eq!(step(at, &job, "kill-off=yes", "3"), 422, "cannot be done on this machine");
    assert_eq!(step(at, &job, "battery-bridge=no", "4"), 303);
    // Sent again under its mark it is kept once.
    assert_eq!(step(at, &job, "battery-bridge=no", "4"), 303);
    let page = get(at, &format!("{job}/fault"));
    assert!(page.contains("Spark across an adjustable gap at kicking speed: positive"), "{page}");
    assert!(page.contains("Ada, "), "who and when");
    assert_eq!(entries(&page).len(), 3);
    let card = get(at, &job);
    assert!(card.contains("2 answers kept") && card.contains("Search for the fault: Spark across an adjustable gap"));

    // Taken back as any entry is, and it stays in the log.
    let last = entries(&page)[2].clone();
    let undone = post(at, &format!("{job}/undo"), &[("entry", &last), ("who", "Ada"), ("then", "fault")]);
    assert_eq!(undone.header("location"), Some(format!("{job}/fault").as_str()));
    let page = get(at, &format!("{job}/fault"));
    assert!(!page.contains("known good battery: passed") && entries(&page).len() == 2);
    assert!(get(at, &job).contains("known good battery: passed"));

    let pdf = ask(at, "GET", &format!("{job}/fault.pdf"), "", b"");
    assert!(pdf.status == 200 && pdf.body.starts_with(b"%PDF"));
    // Another complaint can be chosen, and the first is there again when it is begun again.
    assert!(get(at, &format!("{job}/fault?complaint=another")).contains("id=\"fault-complaint\""));
    let other = [("complaint", "misfire-load"), ("did", ""), ("who", "Ada"), ("token", "other")];
    assert_eq!(post(at, &format!("{job}/fault"), &other).status, 303);
    assert!(entries(&get(at, &format!("{job}/fault"))).len() == 1);
    assert_eq!(step(at, &job, "", "again"), 303);
    assert!(get(at, &format!("{job}/fault")).contains("Spark across an adjustable gap"));
    let found = step(at, &job, "no-such-cause=found", "5");
    assert_eq!(found, 422);
    assert_eq!(step(at, &job, "condenser=found", "6"), 303);
    let page = get(at, &format!("{job}/fault"));
    assert!(page.contains("Found: Condenser leaking, open or weak when hot") && !page.contains("name=\"did\""), "{page}");
}

/// A search that has ended begins again from nothing; what was found before its new beginning counts nowhere.
#[test]
fn a_search_that_has_ended_begins_afresh() {
    let (at, path, _folder) = on_disk();
    let (job, other) = (opened(at, "1"), opened(at, "2"));
    let all = [(&job, "", "1"), (&job, "spark-gap=yes", "2"), (&job, "condenser=found", "3"), (&job, "", "4"), (&other, "", "1")];
    for (job, did, token) in all {
        assert_eq!(step(at, job, did, token), 303);
    }
    let page = get(at, &format!("{job}/fault"));
    assert!(entries(&page).len() == 1 && page.contains("name=\"did\"") && !page.contains("Found: "), "{page}");
    let card = get(at, &job);
    assert!(card.contains("0 answers kept") && card.contains("found: Condenser"), "the log has it all");
    let done = || {
        let of = ["fault", "tarn-500.toml", "--job", job.trim_start_matches("/job/"), "--book", path.to_str().unwrap(), "--json"];
        let answer: serde_json::Value = serde_json::from_slice(&tickover(&of).stdout).unwrap();
        answer["fault"]["done"].as_array().map_or(0, Vec::len)
    };
    assert_eq!(done(), 0);
    hand_over(at, &job);
    assert!(!get(at, &format!("{other}/fault")).contains("From the job book"), "it was not the condenser");
    assert_eq!(step(at, &job, "battery-bridge=yes", "5"), 303);
    assert_eq!(done(), 1);
    // Another complaint in between ends nothing.
    assert_eq!(step(at, &job, "", "6"), 303);
    assert_eq!(done(), 1);
    assert_eq!(step(at, &job, "feed-drop=found", "7"), 303);
    let counted = get(at, &format!("{other}/fault"));
    assert!(counted.contains("From the job book: 1 finished job and 1 test"), "{counted}");
    assert!(get(at, &format!("{job}/fault")).contains("Found: "));
}

#[test]
fn a_finished_job_counts_once_for_others_and_not_for_itself() {
    let (at, _) = serve("127.0.0.1", demos());
    let (first, second) = (opened(at, "1"), opened(at, "2"));
    for job in [&first, &second] {
        assert_eq!(step(at, job, "", "1"), 303);
    }
    assert_eq!(step(at, &first, "spark-gap=yes", "2"), 303);
    assert_eq!(step(at, &first, "condenser=found", "3"), 303);
    let counted = "From the job book: 1 finished job and 1 test";
    assert!(!get(at, &format!("{second}/fault")).contains(counted), "it is not handed over");
    hand_over(at, &first);
    let of_second = get(at, &format!("{second}/fault"));
    assert!(of_second.contains(counted) && of_second.contains("1 of your own jobs counted in"), "{of_second}");
    assert!(!get(at, &format!("{first}/fault")).contains("From the job book"), "not for itself");
    assert!(get(at, &format!("{TARN}/fault?complaint=no-spark")).contains(counted), "a search without a job");
}

#[test]
fn readings_of_a_job_count_in_its_search() {
    let (at, _) = serve("127.0.0.1", demos());
    let job = opened(at, "1");
    let begin = [("complaint", "misfire-load"), ("did", ""), ("who", ""), ("token", "b")];
    assert_eq!(post(at, &format!("{job}/fault"), &begin).status, 303);
    let reading = |stage: &str, value: &str, token: &str| {
        let form = [("stage", stage), ("what", "feed.drop"), ("value", value), ("who", "E."), ("token", token)];
        assert_eq!(post(at, &format!("{job}/reading"), &form).status, 303);
    };
    reading("as_left", "0.05 ± 0.01 V", "r0");
    assert!(
        !get(at, &format!("{job}/fault")).contains("were lost"),
        "what is read when the work is done tells of the machine as left"
    );
    reading("as_found", "1.4 ± 0.1 V", "r1");
    let page = get(at, &format!("{job}/fault"));
    assert!(page.contains("were lost and the copper of the wires makes"), "{page}");
}

/// Which ignition it is and what is in hand are said on the page as for the command, in a job too, where the address has it and every form carries it on.
#[test]
fn what_is_in_hand_and_which_ignition_is_said_on_the_page() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("open.toml");
    let text = include_str!("../../../examples/tarn-500.toml");
    let from = text.find("# Points on the camshaft").unwrap();
    let to = text.find("# Battery and points:").unwrap();
    let text = format!("{}{}", &text[..from], &text[to..]);
    std::fs::write(&path, &text).unwrap();
    let mut book = demos();
    book.add("open", &Kept { name: "Tarn 500", text: &text, note: "", at: UnixSeconds(1) }).unwrap();
    let (at, _) = serve("127.0.0.1", book);
    let remark = "Say it on the page under “In hand, and which ignition”, at the command line with --ignition, or for good as kind under [spark]";
    assert!(said(&["fault", path.to_str().unwrap(), "--complaint", "no-spark"]).contains(remark));

    // On a machine's page both are part of the address.
    let page = get(at, "/machine/open/fault?complaint=no-spark");
    assert!(page.contains(remark) && page.contains("In hand, and which ignition</summary>") && page.contains("fault-ignition"));
    let faults = workshop::study::fault::base();
    let swap = &faults.tests[faults.test("condenser-swap").unwrap()].name;
    let minutes = |page: &str| {
        let (_, after) = page.split_once(&format!("<option value=\"condenser-swap\">{swap}, ")).expect("the test");
        after.split('\u{a0}').next().unwrap().parse::<f64>().unwrap()
    };
    let with = get(at, "/machine/open/fault?complaint=no-spark&ignition=points&in-hand=condenser-swap&did=spark-gap%3Dyes");
    assert!(!with.contains(remark) && with.contains("<option value=\"points\" selected>"), "{with}");
    assert_eq!(minutes(&page) - minutes(&with), 30.0, "it need not be fetched");
    assert!(
        with.contains("value=\"condenser-swap\" checked")
            && with
                .contains("fault.pdf?complaint=no-spark&amp;did=spark-gap%3Dyes&amp;ignition=points&amp;in-hand=condenser-swap"),
        "{with}"
    );
    assert!(with.matches("name=\"ignition\" value=\"points\"").count() >= 3, "every form carries it");
    let odd = get(at, "/machine/open/fault?complaint=no-spark&ignition=steam&in-hand=nothing");
    assert!(odd.contains("“steam” is no ignition and does not count") && odd.contains("Nothing is called “nothing”"), "{odd}");
    // Where the file says which it is only the parts are asked about.
    assert!(!get(at, &format!("{TARN}/fault?complaint=no-spark")).contains("fault-ignition"));

    let opened = post(at, "/machine/open/jobs", &[("complaint", "No spark"), ("who", "E."), ("token", "1")]);
    let job = opened.header("location").unwrap().to_owned();
    assert_eq!(step(at, &job, "", "1"), 303);
    let address = format!("{job}/fault?ignition=points&in-hand=condenser-swap");
    let page = get(at, &address);
    let carried = "ignition=points&in-hand=condenser-swap";
    assert!(
        page.contains(&format!("name=\"said\" value=\"{}\"", carried.replace('&', "&amp;"))) && !page.contains(remark),
        "{page}"
    );
    let form = [("complaint", "no-spark"), ("did", "spark-gap=yes"), ("who", "Ada"), ("token", "2"), ("said", carried)];
    let answered = post(at, &format!("{job}/fault"), &form);
    assert_eq!(answered.header("location"), Some(address.as_str()));
    let kept = entries(&get(at, &address));
    let undo = [("entry", kept[1].as_str()), ("who", "Ada"), ("then", "fault"), ("said", carried)];
    assert_eq!(post(at, &format!("{job}/undo"), &undo).header("location"), Some(address.as_str()));
    assert_eq!(ask(at, "GET", &format!("{job}/fault.pdf?{carried}"), "", b"").status, 200);
}

#[test]
fn the_command_takes_a_job_of_the_book_up() {
    {
        let (at, path, _folder) = on_disk();
        let job = opened(at, "1");
        assert_eq!(step(at, &job, "", "1"), 303);
        assert_eq!(step(at, &job, "spark-gap=yes", "2"), 303);
        let number = job.trim_start_matches("/job/");
        let book = path.to_str().unwrap();
        let out =
            tickover(&["fault", "tarn-500.toml", "--job", number, "--book", book, "--answer", "battery-bridge=no", "--json"]);
        assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
        let answer: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
        let done: Vec<_> = answer["fault"]["done"].as_array().unwrap().iter().map(|d| d["what"].as_str().unwrap()).collect();
        assert_eq!(done, ["spark-gap", "battery-bridge"]);
        let other = tickover(&["fault", "corran-360.toml", "--job", number, "--book", book, "--json"]);
        let told = String::from_utf8_lossy(&other.stderr).split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(other.status.code(), Some(1));
        assert!(told.contains("is of the machine “Tarn 500") && told.contains("the file is of “Corran 360"), "{told}");
        // What is typed is not kept, which is said before the first question and at the end; nothing is read here.
        let asks = tickover(&["fault", "tarn-500.toml", "--job", number, "--book", book, "--ask", "--width", "300"]);
        let text = String::from_utf8_lossy(&asks.stdout).into_owned();
        assert_eq!(text.matches(&format!("is not written into job {number}. ")).count(), 2, "{text}");
        assert!(text.contains(&format!("/job/{number}/fault")), "{text}");
        let none = tickover(&["fault", "tarn-500.toml", "--job", "1999-0001", "--book", book, "--json"]);
        assert_eq!(none.status.code(), Some(1));
    }
    let out = tickover(&["fault", "tarn-500.toml", "--answer", "spark-gap=yes"]);
    assert!(String::from_utf8_lossy(&out.stderr).contains("--complaint"));
}

/// What is put right while a bar stands is proved before it is tried, and what found it counts for it; what is read after a repair is answered by hand.
#[test]
fn a_repair_is_kept_before_it_is_tried() {
    let (at, path, _folder) = on_disk();
    let job = opened(at, "1");
    let step = |did: &str, token: &str| {
        let form = [("complaint", "kicks-back"), ("did", did), ("who", "Ada"), ("token", token)];
        assert_eq!(post(at, &format!("{job}/fault"), &form).status, 303, "{did}");
        get(at, &format!("{job}/fault"))
    };
    step("", "a");
    let page = step("static-timing=yes", "b");
    assert!(page.contains("value=\"timing-set=untried\"") && !page.contains("timing-set=put-right"), "{page}");
    let page = step("timing-set=untried", "c");
    assert!(page.contains("First: Static timing with the engine stopped"), "{page}");
    let page = step("static-timing=no", "d");
    assert!(page.contains("Try the complaint: “Base timing set wrong” has been put right."), "{page}");
    assert!(page.contains("value=\"timing-set=put-right\"") && page.contains("value=\"timing-set=found\""));
    let reading = [("what", "static.advance"), ("value", "10 ± 1° BTDC"), ("who", "Ada"), ("token", "r"), ("stage", "as_found")];
    let kept = post(at, &format!("{job}/reading"), &reading);
    assert_eq!(kept.status, 303, "{}", kept.text());
    assert!(get(at, &format!("{job}/fault")).contains("1 reading of the job was taken after something was put right"));
    step("timing-set=found", "e");
    hand_over(at, &job);
    let (book, _) = Book::open(&path).unwrap();
    let finished = tickover::faults::finished(&book.finished_searches().unwrap(), None);
    assert_eq!(finished[0].tests, [("static-timing".to_owned(), true)], "not the one that proved the repair");
}
