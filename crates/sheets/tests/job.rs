//! The papers of a job, read back: what was given stands on them, and nothing runs off the page.

#[path = "common/job.rs"]
mod jobs;
#[path = "common/reader.rs"]
mod reader;

use lopdf::Document;
use reader::{read_back, squeezed};
use sheets::job::{JobPaper, Paper, pages, pdf};
use sheets::scene::Scene;

/// Margins that a page keeps clear [mm]: ISO 838 leaves 12 mm for punching on the left; below, the note under the foot.
const CLEAR: (f64, f64, f64, f64) = (12.0, 10.0, 10.0, 5.0);
/// Overhang of a wrapped line [mm]: rounding of glyph widths.
const ROUNDING_MM: f64 = 0.01;

fn printed(paper: Paper, job: &JobPaper) -> String {
    read_back(&pdf(paper, job).unwrap())
}

/// What of `marks` a paper does not have.
fn lacks<'a>(text: &str, marks: &'a [String]) -> Vec<&'a String> {
    marks.iter().filter(|m| !text.contains(&squeezed(m))).collect()
}

#[test]
fn the_shop_record_has_every_datum_that_was_given() {
    let (job, whose, all) = jobs::marked();
    let text = printed(Paper::ShopRecord, &job);
    assert!(lacks(&text, &all).is_empty(), "{:?}", lacks(&text, &all));
    assert!(lacks(&text, &whose).is_empty());
    assert!(text.contains(&squeezed(sheets::words::job::STAYS_HERE)));
}

#[test]
fn who_owns_it_is_on_the_shop_record_alone() {
    let (job, whose, _) = jobs::marked();
    for paper in [Paper::JobSheet, Paper::Readings, Paper::HandOver] {
        assert_eq!(lacks(&printed(paper, &job), &whose).len(), whose.len(), "{paper:?}");
    }
}

#[test]
fn each_paper_has_what_it_is_for() {
    let (job, ..) = jobs::marked();
    let all_have = [&job.machine, &job.number, &job.opened, &job.handed_over, &job.odometer, &job.printed].map(Clone::clone);
    let stages = |r: &sheets::job::ReadingRow| {
        let all = r.found.iter().chain(&r.during).chain(&r.left);
        all.flat_map(|t| [&t.value, &t.instrument, &t.temperature, &t.speed, &t.condition, &t.who, &t.when].map(Clone::clone))
            .collect::<Vec<_>>()
    };
    let readings: Vec<String> = job.readings.iter().flat_map(stages).collect();
    let spend = job.may_spend.as_ref().unwrap().to_string();
    let a = &job.alterations;
    let card = [&job.complaint, &job.may_cut, &spend, &job.findings[0].words, &a[0].words, &a[0].planned, &job.consents[0].risk];
    let owner = [
        &job.complaint,
        &job.findings[0].words,
        &a[1].words,
        &a[1].why,
        &a[2].words,
        &job.parts[0].name,
        &job.totals[0].to_string(),
        &job.totals[1].to_string(),
        &job.old_parts[0],
    ]
    .map(Clone::clone);
    let wanted: [(Paper, Vec<String>); 3] = [
        (Paper::JobSheet, card.map(Clone::clone).into_iter().chain(readings.clone()).collect()),
        (Paper::Readings, readings),
        (Paper::HandOver, owner.to_vec()),
    ];
    for (paper, wanted) in wanted {
        let text = printed(paper, &job);
        assert!(lacks(&text, &wanted).is_empty(), "{paper:?}: {:?}", lacks(&text, &wanted));
        assert!(lacks(&text, &all_have).is_empty(), "{paper:?}: {:?}", lacks(&text, &all_have));
    }
}

/// Each of the cautions that belong to a step stands on the paper, and before that step.
#[test]
fn cautions_stand_before_their_step() {
    use sheets::words::{cautions_for_cut, cautions_for_owner, cautions_for_run, cautions_for_test};
    let (job, ..) = jobs::marked();
    let card = printed(Paper::JobSheet, &job);
    let before = |cautions: &[sheets::words::Caution], step: &str| {
        for c in cautions {
            for said in [c.danger, c.protects] {
                let at = card.find(&squeezed(said)).unwrap_or_else(|| panic!("{said}"));
                assert!(at < card.find(step).unwrap(), "{said}");
            }
        }
    };
    before(cautions_for_test(), &job.readings[0].quantity);
    before(cautions_for_run(), &job.readings[0].quantity);
    before(cautions_for_cut(), &job.alterations[0].words);
    let owner = printed(Paper::HandOver, &job);
    for c in cautions_for_owner() {
        assert!(owner.contains(&squeezed(c.danger)) && owner.contains(&squeezed(c.protects)));
    }
    // Nothing that cannot be undone, no caution of the cut.
    let harmless = JobPaper { alterations: vec![], ..job.clone() };
    assert!(!printed(Paper::JobSheet, &harmless).contains(&squeezed(cautions_for_cut()[0].danger)));
}

#[test]
fn what_cannot_be_undone_wants_a_signature_until_there_is_consent() {
    use sheets::words::job as text;
    let (mut job, ..) = jobs::marked();
    let asks = |job: &JobPaper| {
        let text = printed(Paper::JobSheet, job);
        (text.contains(&squeezed(text::CONSENT_TEXT)), text.contains(&squeezed(text::NO_CONSENT)))
    };
    assert_eq!(asks(&job), (true, true));
    job.alterations[0].consented = true;
    assert_eq!(asks(&job), (false, false));
    // The owner reads of it in plain words.
    let owner = printed(Paper::HandOver, &job);
    assert!(owner.contains(&squeezed(text::owner::FOR_GOOD)) && !owner.contains(&squeezed(text::owner::NOTHING_FOR_GOOD)));
    job.alterations[1].irreversible = false;
    assert!(printed(Paper::HandOver, &job).contains(&squeezed(text::owner::NOTHING_FOR_GOOD)));
}

/// What stands on the owner's page by itself has none of these words of the trade.
#[test]
fn the_owners_page_has_no_jargon() {
    const JARGON: [&str; 16] = [
        "tdc",
        "advance",
        "rotor",
        "segment",
        "pickup",
        "strobe",
        "rpm",
        "coil",
        "stator",
        "degree",
        "±",
        "reading",
        "magneto",
        "flywheel",
        "detonation",
        "retard",
    ];
    let words: String =
        pages(Paper::HandOver, &JobPaper::default()).iter().flat_map(Scene::texts).map(|t| t.content + " ").collect();
    let words = words.to_lowercase();
    assert!(words.contains("listen") && JARGON.iter().all(|j| !words.contains(j)), "{words}");
}

/// A job with nothing noted is no job in which nothing was done.
#[test]
fn what_is_not_noted_is_not_denied() {
    use sheets::words::job::owner::{NOTHING_DONE, NOTHING_FOR_GOOD};
    let denies = |job: &JobPaper| {
        let text = printed(Paper::HandOver, job);
        [NOTHING_DONE, NOTHING_FOR_GOOD].map(|said| text.contains(&squeezed(said)))
    };
    assert_eq!(denies(&JobPaper::default()), [false, false]);
    let mut job = jobs::corran();
    job.alterations.drain(1..);
    assert_eq!(denies(&job), [true, true]);
}

#[test]
fn the_owners_page_of_an_ordinary_job_is_one_page() {
    let mut job = jobs::corran();
    job.alterations.pop();
    assert_eq!(pages(Paper::HandOver, &job).len(), 1);
}

#[test]
fn three_hundred_readings_run_over_pages_under_their_head() {
    use sheets::words::job as text;
    const READINGS: usize = 300;
    // A row has three lines or two to write on, some 13 to 21 mm, on 261 mm: between 12 and 20 rows to a page.
    const PAGES: std::ops::RangeInclusive<usize> = READINGS / 20..=READINGS / 12;
    let job = jobs::long(READINGS);
    let paper = pages(Paper::Readings, &job);
    assert!(PAGES.contains(&paper.len()), "{}", paper.len());
    for (n, page) in paper.iter().enumerate() {
        let texts: Vec<String> = page.texts().into_iter().map(|t| t.content).collect();
        assert!(texts.iter().any(|t| t == text::AS_FOUND) && texts.iter().any(|t| t == text::AS_LEFT), "page {n} without a head");
        assert!(texts.contains(&sheets::words::sheet::page(n + 1, paper.len())));
        assert!(texts.iter().any(|t| t.contains(&job.number) && t.contains(text::JOB)));
    }
    let text = printed(Paper::Readings, &job);
    for i in 0..READINGS {
        assert!(text.contains(&format!("F{i:03}±")), "as found {i}");
        assert_eq!(text.contains(&format!("L{i:03}±")), i % 3 != 0, "as left {i}");
    }
    let blanks = paper.iter().flat_map(Scene::texts).filter(|t| t.content == text::WRITE_READING[0]).count();
    assert_eq!(blanks, READINGS / 3);
}

fn stays_on_the_page(page: &Scene, about: &str) {
    let (left, top, right, bottom) = CLEAR;
    for text in page.texts() {
        let b = text.bounds();
        assert!(
            b.x >= left && b.y >= top && b.right() <= page.width - right + ROUNDING_MM && b.bottom() <= page.height - bottom,
            "{about}: {text:?}"
        );
    }
}

#[test]
fn hostile_text_neither_panics_nor_leaves_the_page() {
    let long_word = "W".repeat(1200);
    let nested = "(".repeat(700) + "\\\u{0}%%EOF endstream </html><script>alert(1)</script>";
    let texts = [
        long_word.as_str(),
        nested.as_str(),
        "\u{202e}שלום עולם مرحبا بالعالم \u{200f}",
        "🏍️👨‍👩‍👧 naïve e\u{301}e\u{301} Ａ 漢字仮名交じり文",
        "\u{0}\u{1}\u{7f}\u{85}\u{9b}\t\u{fffd}\u{ffff}\u{10ffff}",
        "\n\n\r\n a\rb\u{2028}c\u{2029}\n\n",
        "a\u{300}\u{301}\u{302}\u{303}\u{304}\u{305}\u{306}\u{307}\u{308}\u{309}",
        "\u{a0}\u{a0}\u{a0}\u{202f}",
        "",
    ];
    for text in texts {
        let job = jobs::everywhere(text);
        for paper in Paper::ALL {
            let drawn = pages(paper, &job);
            for page in &drawn {
                stays_on_the_page(page, &format!("{paper:?} {:.20?}", text));
                for t in page.texts() {
                    let whole = sheets::font::printable(&t.content, &mut Default::default());
                    assert_eq!(whole, t.content, "{paper:?}: would print as nothing");
                }
            }
            let bytes = pdf(paper, &job).unwrap();
            assert_eq!(Document::load_mem(&bytes).unwrap().get_pages().len(), drawn.len());
        }
    }
}

#[test]
fn a_missing_character_is_shown_and_named_at_the_foot() {
    let job = JobPaper { complaint: "漢 stalls 🏍".to_owned(), ..jobs::corran() };
    let drawn = pages(Paper::JobSheet, &job);
    let first: Vec<String> = drawn[0].texts().into_iter().map(|t| t.content).collect();
    assert!(first.iter().any(|t| t.contains("□ stalls □")));
    assert!(first.iter().any(|t| t.contains("U+6F22 U+1F3CD")), "{first:?}");
    // Where nothing is missing nothing is said.
    let fine = pages(Paper::JobSheet, &jobs::corran());
    assert!(fine.iter().flat_map(Scene::texts).all(|t| !t.content.contains('□')));
}

#[test]
fn nothing_on_a_paper_covers_anything_else() {
    for job in [jobs::corran(), jobs::long(40), jobs::marked().0, JobPaper::default()] {
        for paper in Paper::ALL {
            for page in pages(paper, &job) {
                stays_on_the_page(&page, paper.key());
                let texts = page.texts();
                for (i, a) in texts.iter().enumerate() {
                    for b in texts[i + 1..].iter().filter(|b| !b.content.is_empty() && !a.content.is_empty()) {
                        assert!(!a.bounds().overlaps(&b.bounds()), "{paper:?}: {:?} covers {:?}", a.content, b.content);
                    }
                }
            }
        }
    }
}

#[test]
fn the_same_job_gives_the_same_bytes() {
    for paper in Paper::ALL {
        let once = pdf(paper, &jobs::corran()).unwrap();
        assert!(once == pdf(paper, &jobs::corran()).unwrap());
        assert!(once != pdf(paper, &JobPaper { number: "2030-0015".to_owned(), ..jobs::corran() }).unwrap());
    }
}
