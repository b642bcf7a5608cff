//! The card of a job: what it knows, what it wants next, and what is kept with it.

mod common;

use common::{ask, fresh, get, post};
use std::{
    net::SocketAddr,
    time::{Duration, Instant},
};

fn opened(at: SocketAddr, machine: &str) -> String {
    let answer =
        post(at, &format!("/machine/{machine}/jobs"), &[("complaint", "Hangs"), ("who", "E."), ("token", "the first mark")]);
    assert_eq!(answer.status, 303, "{}", answer.text());
    answer.header("location").unwrap().to_owned()
}

/// What stands in a fold, by its id.
fn fold<'p>(card: &'p str, id: &str) -> &'p str {
    let (_, from) = card.split_once(&format!("<details class=\"fold\" id=\"{id}\"")).expect("the fold");
    from.split("<details class=\"fold\"").next().unwrap()
}

#[test]
fn each_fold_says_what_comes_next() {
    let at = fresh();
    let job = opened(at, "tarn-500");
    let next = |id: &str| {
        let card = get(at, &job);
        let fold = fold(&card, id).to_owned();
        let (_, step) = fold.split_once("<strong>Next: </strong>")?;
        Some(step.split(['<', '.']).next().unwrap().to_owned())
    };
    assert_eq!(next("complaint").as_deref(), Some("note whose machine it is"));
    assert!(next("measure").unwrap().starts_with("take the first reading"));
    assert_eq!(post(at, "/machine/tarn-500/whose", &[("owner", "Widow O’Brien"), ("who", "E.")]).status, 303);
    assert_eq!(next("complaint").as_deref(), Some("read the odometer"));
    let reading = |stage, token| {
        let pairs = [("stage", stage), ("what", "points.gap"), ("value", "0.40 ± 0.03 mm"), ("who", "E."), ("token", token)];
        assert_eq!(post(at, &format!("{job}/reading"), &pairs).status, 303);
    };
    reading("as_found", "r1");
    assert_eq!(next("measure"), None, "nothing was touched yet");
    let plan = [("words", "New points"), ("who", "E."), ("token", "p1")];
    assert_eq!(post(at, &format!("{job}/alteration"), &plan).status, 303);
    assert_eq!(next("alter").as_deref(), Some("do it, or give it up: New points"));
    assert_eq!(next("hand-over").as_deref(), Some("do what is planned, or give it up"));
    let card = get(at, &job);
    let (_, step) = card.split_once(&format!("action=\"{job}/step\"")).unwrap();
    let (_, entry) = step.split_once("name=\"entry\" value=\"").unwrap();
    let done = [("entry", entry.split('"').next().unwrap()), ("progress", "done"), ("who", "E.")];
    assert_eq!(post(at, &format!("{job}/step"), &done).status, 303);
    assert_eq!(next("measure").as_deref(), Some("measure again, as left: Points gap"));
    reading("as_left", "r2");
    assert_eq!(next("hand-over").as_deref(), Some("note when to look at the work again"));
}

#[test]
fn parts_and_time_are_added_up_and_held_against_the_limit() {
    let at = fresh();
    let job = opened(at, "tarn-500");
    let part = |quantity: &str, price: &str, token: &str| {
        let pairs = [("name", "Points <set>"), ("quantity", quantity), ("price", price), ("who", "E."), ("token", token)];
        post(at, &format!("{job}/part"), &pairs)
    };
    assert_eq!(part("1", "12", "a").status, 422, "twelve of what?");
    for (quantity, price) in
        [("0", "12 EUR"), ("-1", "12 EUR"), ("nan", "12 EUR"), ("1", "12 ERU"), ("1", "1,200 EUR"), ("1", "-3 EUR")]
    {
        assert_eq!(part(quantity, price, "a").status, 422, "{quantity} at {price}");
    }
    assert_eq!(part("2", "12,50 EUR", "b").status, 303);
    assert_eq!(part("1", "3", "c").status, 303, "now a bare number is in euros");
    assert_eq!(part("1", "", "d").status, 303, "a price may be missing");
    let time = |spent: &str, token: &str| {
        post(
            at,
            &format!("{job}/time"),
            &[("spent", spent), ("words", "strobe"), ("hourly", "60"), ("who", "E."), ("token", token)],
        )
        .status
    };
    assert_eq!((time("90", "e"), time("1:30", "f"), time("1:30", "f")), (422, 303, 303));
    let card = get(at, &job);
    // 2 × 12.50 + 3 + 1.5 × 60
    assert!(card.contains("EUR\u{a0}118.00") && card.contains("Points &lt;set&gt;") && card.contains("no price"));
    let (_, headline) = card.split_once(&format!("action=\"{job}/headline\"")).unwrap();
    let (_, was) = headline.split_once("name=\"replaces\" value=\"").unwrap();
    let stand = |spend: &str| {
        let replaces = was.split('"').next().unwrap();
        let pairs = [("complaint", "Hangs"), ("state", "open"), ("spend", spend), ("replaces", replaces), ("who", "E.")];
        post(at, &format!("{job}/headline"), &pairs).status
    };
    assert!(!card.contains("that the owner allows. Ask"));
    assert_eq!((stand("much"), stand("100 EUR")), (422, 303));
    assert!(get(at, &job).contains("is more than the EUR\u{a0}100.00"));
    let paper = ask(at, "GET", &format!("{job}/paper/shop-record.pdf"), "", b"");
    assert!(paper.status == 200 && paper.body.starts_with(b"%PDF-"));
}

#[test]
fn findings_are_kept_with_the_readings_that_gave_them() {
    let at = fresh();
    // The study of a two-stroke ends at once: the idle is not computed for it, and that is a finding as well.
    let job = opened(at, "pellow-125");
    let keep =
        |token: &str, inputs: &str| post(at, &format!("{job}/findings"), &[("who", "E."), ("token", token), ("inputs", inputs)]);
    // What the page shows is what is kept.
    let shown = |until: &str| {
        let begun = Instant::now();
        loop {
            let card = get(at, &job);
            let judge = fold(&card, "judge");
            if judge.contains(until)
                && let Some((_, inputs)) = judge.split_once("name=\"inputs\" value=\"")
            {
                return inputs.split('"').next().unwrap().to_owned();
            }
            assert!(begun.elapsed() < Duration::from_secs(60), "{judge}");
            std::thread::sleep(Duration::from_millis(50));
        }
    };
    let first = shown("keep these findings");
    assert_eq!((keep("a", &first).status, keep("a", &first).status), (303, 303), "sent twice");
    let card = get(at, &job);
    assert_eq!(fold(&card, "judge").matches("<section class=\"finding\">").count(), 1);
    assert!(fold(&card, "judge").contains("Nothing is missing here."));
    // Other readings give other findings; those that were kept stay.
    let text = ask(at, "GET", "/machine/pellow-125/machine.toml", "", b"").text();
    let changed = text.replacen("bore = ", "# looked at again\nbore = ", 1);
    assert_ne!(text, changed);
    let save = post(at, "/machine/pellow-125/text", &[("text", &changed), ("began_at", "1")]);
    assert_eq!(save.status, 303, "{}", save.text());
    assert_eq!(keep("b", &first).status, 409, "these findings are not shown any more");
    let second = shown("keep the findings again");
    assert_eq!(keep("b", &second).status, 303);
    assert_eq!(fold(&get(at, &job), "judge").matches("<section class=\"finding\">").count(), 2);
    for paper in ["shop-record", "hand-over"] {
        assert_eq!(ask(at, "GET", &format!("{job}/paper/{paper}.pdf"), "", b"").status, 200, "{paper}");
    }
}
