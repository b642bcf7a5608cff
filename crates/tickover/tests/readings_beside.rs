//! Readings of a job beside the machine's file: the same on the page, on paper and as JSON.

mod common;

use common::{ask, fresh, get, post};
use std::time::{Duration, Instant};

#[test]
fn what_was_read_stands_beside_the_file_on_page_paper_and_as_json() {
    let at = fresh();
    let opened = post(at, "/machine/corran-360/jobs", &[("complaint", "weak spark"), ("who", "E."), ("token", "1")]);
    let job = opened.header("location").expect("its address").to_owned();
    for (what, value, place, token) in [
        // The file has 0.55 ± 0.05 mm and 0.70 ± 0.05 mm.
        ("pickup.gap", "0.56 ± 0.03 mm", "left", "2"),
        ("pickup.gap", "1.20 ± 0.05 mm", "right", "3"),
        ("module.peak", "20 ± 2 V", "", "4"),
        // Of this the file says nothing.
        ("compression", "9.5 ± 0.3 bar", "left", "5"),
    ] {
        let reading = [
            ("stage", "as_found"),
            ("what", what),
            ("value", value),
            ("place", place),
            ("instrument", ""),
            ("who", "E."),
            ("token", token),
        ];
        let answer = post(at, &format!("{job}/reading"), &reading);
        assert_eq!(answer.status, 303, "{what}: {}", answer.text());
    }
    let answer = ask(at, "GET", &format!("{job}/readings.json"), "", b"").json();
    let readings = answer["readings"].as_array().expect("a list");
    let of = |k: usize, key: &str| readings[k][key].clone();
    let what: Vec<_> = (0..readings.len()).map(|k| (of(k, "quantity"), of(k, "place"), of(k, "agrees"))).collect();
    let want = [("pickup.gap", "left", true), ("pickup.gap", "right", false), ("module.peak", "", false)];
    assert_eq!(what, want.map(|(q, p, a)| (q.into(), p.into(), a.into())), "{answer}");
    assert_eq!((of(1, "unit"), readings[1]["computed"]["value"].as_f64()), ("mm".into(), Some(0.7)));
    // A capacitor ignition fills its store to a hundred volts and more even at the kick.
    assert!(readings[2]["computed"]["value"].as_f64().is_some_and(|v| v > 60.0), "{answer}");
    let said: Vec<String> = (0..readings.len()).map(|k| of(k, "said").as_str().expect("a sentence").to_owned()).collect();

    // The page has them once the study is there, in the same words.
    let begun = Instant::now();
    let page = loop {
        let page = get(at, &job);
        if page.contains("beside the machine’s file") || page.contains("beside the machine's file") {
            break page;
        }
        assert!(begun.elapsed() < Duration::from_secs(300), "the study of the machine is not there");
        // Whoever looks at the card asks for the study.
        let _ = get(at, "/machine/corran-360");
        std::thread::sleep(Duration::from_millis(500));
    };
    let plain = |text: &str| text.replace('\'', "&#39;").replace("&#39;", "'");
    assert!(said.iter().all(|s| plain(&page).contains(s.as_str())), "{said:?}");

    // On paper they stand in the sheet of readings and in the shop record.
    for paper in ["readings", "shop-record"] {
        let pdf = ask(at, "GET", &format!("{job}/paper/{paper}.pdf"), "", b"").body;
        assert!(pdf.starts_with(b"%PDF"), "{paper}");
    }
}
