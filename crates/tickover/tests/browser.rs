//! The page in a real browser: Chromium and chromedriver must be installed, so these run only when asked for:
//! `cargo test -p tickover --test browser -- --ignored`. Times are printed, not judged: they depend on what else the machine does.

#[path = "common/browser.rs"]
mod driver;
#[path = "common/mod.rs"]
mod http;

use driver::{Browser, Light, Page};
use http::{Answer, ask};
use std::{fs, path::Path};

/// How often a card is opened for the time of its first paint.
const OPENINGS: usize = 7;
/// After this long a card has been drawn, on a slow machine too (own choice).
const DRAWN: std::time::Duration = std::time::Duration::from_millis(500);
/// Least side of what a finger or a gloved hand must hit [CSS px] (WCAG 2.2, 2.5.5, level AAA).
const TARGET_PX: f64 = 44.0;
/// Every kind of page.
const PLACES: [&str; 12] = [
    "",
    "new",
    "devices",
    "pair",
    "find?q=corran",
    "machine/corran-360",
    "machine/pellow-125",
    "machine/tarn-500",
    "machine/corran-360/text",
    "machine/corran-360/jobs",
    "machine/tarn-500/fault?complaint=no-spark&did=drop-feed%3Dno",
    "nowhere",
];
/// Keys as WebDriver writes them (W3C WebDriver 2, 17.4.2).
const ARROW_RIGHT: char = '\u{e014}';
const HOME: char = '\u{e011}';

/// Opens a job on the Corran with one reading and one reminder; its path.
fn job_with_a_reading(page: &Page) -> String {
    let at = page.address[7..page.address.len() - 1].parse().unwrap();
    let post = |path: &str, pairs: &[(&str, &str)]| ask(at, "POST", path, http::FORM, http::form(pairs).as_bytes());
    let token = |n| format!("{n} {:?}", std::time::Instant::now());
    let opened =
        post("/machine/corran-360/jobs", &[("complaint", "Hangs at 2000 when warm"), ("who", "E."), ("token", &token(1))]);
    let job = opened.header("location").expect("a job").to_owned();
    let gap = [
        ("stage", "as_found"),
        ("what", "pickup.gap"),
        ("value", "0,85 ± 0.05 mm"),
        ("place", "left"),
        ("instrument", "brass feeler"),
    ];
    let gap = post(&format!("{job}/reading"), &[&gap[..], &[("who", "E."), ("token", &token(2))]].concat());
    let due = [("what", "pickup gap"), ("due", "2020-01-31"), ("who", "E."), ("token", &token(3))];
    let due = post(&format!("{job}/reminder"), &due);
    assert_eq!((gap.status, due.status), (303, 303));
    job[1..].to_owned()
}

/// Median and greatest.
fn spread(times: &mut [f64]) -> (f64, f64) {
    times.sort_by(f64::total_cmp);
    (times[times.len() / 2], times[times.len() - 1])
}

fn worked_out(browser: &Browser) {
    browser.until(
        "worked out",
        "return !document.getElementById('progress') && !!document.querySelector('#hand-over a[href$=\"sheet.pdf\"]')",
    );
}

#[test]
#[ignore = "needs Chromium and chromedriver"]
fn every_card_opens_without_a_complaint() {
    let page = Page::serve();
    let address = &page.address;
    let browser = Browser::start(Light::Day);
    browser.size(1280, 900);
    browser.open(address);
    let slugs = workshop::machine::EXAMPLES.map(|(file, _)| file.trim_end_matches(".toml"));
    for slug in slugs {
        browser.open(&format!("{address}machine/{slug}"));
        worked_out(&browser);
    }
    // Again, now that the browser is warm and nothing is being worked out.
    for slug in slugs {
        let mut paints: Vec<f64> = (0..OPENINGS)
            .map(|_| {
                browser.open(&format!("{address}machine/{slug}"));
                // A page that is asked while it is being drawn is drawn later for it.
                std::thread::sleep(DRAWN);
                browser.until("painted", "return performance.getEntriesByName('first-contentful-paint').length > 0");
                browser.run("return performance.getEntriesByName('first-contentful-paint')[0].startTime").as_f64().unwrap()
            })
            .collect();
        let (median, worst) = spread(&mut paints);
        println!("speed: first paint of {slug}: median {median:.0} ms, worst of {OPENINGS} {worst:.0} ms");
        let complaints = browser.complaints();
        assert!(complaints.is_empty(), "{slug}: {complaints:?}");
        let outside = browser
            .run("return performance.getEntriesByType('resource').filter(r => !r.name.startsWith(location.origin)).length");
        assert_eq!(outside, 0, "{slug}: outside requests");
    }
}

#[test]
#[ignore = "needs Chromium and chromedriver"]
fn an_edit_is_kept_and_a_wrong_one_is_explained() {
    let page = Page::serve();
    let address = &page.address;
    let browser = Browser::start(Light::Day);
    browser.size(820, 1100);
    let card = format!("{address}machine/tarn-500");
    browser.open(&card);
    let type_in = |value: &str| {
        browser.run(&format!(
            "document.getElementById('measure').open = true; const f = document.getElementById('field-engine-rod'); f.value = '{value}'; f.form.requestSubmit()"
        ));
    };
    type_in("9 mm");
    browser.until("refused", "return document.getElementById('field-engine-rod')?.getAttribute('aria-invalid') === 'true'");
    let error = browser.run("const f = document.getElementById('field-engine-rod'); return document.getElementById(f.getAttribute('aria-describedby').split(' ')[0]).textContent");
    assert!(error.as_str().unwrap().len() > 20, "{error}");
    assert_eq!(browser.run("return document.getElementById('measure').open"), true);
    type_in("151,5 ± 0.5 mm");
    browser.until("kept", "return document.getElementById('field-engine-rod')?.getAttribute('aria-invalid') === null");
    browser.open(&card);
    assert_eq!(browser.run("return document.getElementById('field-engine-rod').value"), "151,5 ± 0.5 mm");
}

#[test]
#[ignore = "needs Chromium and chromedriver"]
fn dragging_the_cut_moves_curve_rest_and_verdict() {
    let page = Page::serve();
    let address = &page.address;
    let browser = Browser::start(Light::Day);
    browser.size(1280, 1000);
    browser.open(&format!("{address}machine/corran-360"));
    worked_out(&browser);
    browser.run("document.querySelector('.grip').scrollIntoView({ block: 'center', behavior: 'instant' }); document.querySelector('.grip').focus()");
    browser.keys(&HOME.to_string());
    browser.until("at none", "return document.getElementById('cut-mm').value === '0.0'");
    let state = "return [document.getElementById('cut-verdict').textContent, document.querySelector('#cut-curve .wide').innerHTML, document.querySelector('#cut-rest .wide').innerHTML]";
    let wait = "return performance.getEntriesByName('hand to eye').length > 0";
    let before = browser.run(state);

    // Along the rim, as the drawing says where it is.
    let path = browser.run(
        "const at = document.getElementById('rotor-cut-handle').dataset, svg = document.querySelector('.drawing svg'), seen = svg.getBoundingClientRect();
         const scale = seen.width / svg.viewBox.baseVal.width, points = [];
         for (let mm = 0; mm <= 8; mm += 0.2) {
           const angle = (Number(at.trailingDeg) + Number(at.sense) * mm * 360 / (Math.PI * Number(at.rimDiameterMm))) * Math.PI / 180, r = Number(at.outer) * 1.12;
           points.push([seen.left + scale * (Number(at.centreX) + r * Math.sin(angle)), seen.top + scale * (Number(at.centreY) - r * Math.cos(angle))]);
         }
         performance.clearMeasures();
         return { points, mmPerPixel: Math.PI * Number(at.rimDiameterMm) / (2 * Math.PI * Number(at.outer) * 1.12 * scale) }",
    );
    let points: Vec<(f64, f64)> =
        path["points"].as_array().unwrap().iter().map(|p| (p[0].as_f64().unwrap(), p[1].as_f64().unwrap())).collect();
    // The hand is put on whole pixels, so it may miss by half the diagonal of one; the cut goes in steps of 0.1 mm.
    let near_mm = 0.5 * f64::sqrt(2.0) * path["mmPerPixel"].as_f64().unwrap() + 0.05;
    browser.drag(&points, 60);
    browser.until("answered", wait);
    let reached = browser.run("return Number(document.getElementById('cut-mm').value)").as_f64().unwrap();
    assert!((reached - 8.0).abs() <= near_mm, "dragged to 8 mm, it stands at {reached} mm (a hand on pixels: ± {near_mm:.2} mm)");
    browser.until("settled", "return document.querySelector('.dial').getAttribute('aria-busy') === 'false'");
    let after = browser.run(state);
    for (part, name) in ["verdict", "curve", "rest line"].iter().enumerate() {
        assert_ne!(before[part], after[part], "{name} did not follow");
    }
    let times = browser.run("return performance.getEntriesByName('hand to eye').map(e => e.duration)");
    let mut times: Vec<f64> = times.as_array().unwrap().iter().filter_map(serde_json::Value::as_f64).collect();
    assert!(times.len() >= 10, "only {} answers", times.len());
    let (median, worst) = spread(&mut times);
    println!("speed: hand to eye over {} answers: median {median:.1} ms, worst {worst:.1} ms", times.len());

    // By the keyboard, with the words for those who hear the page.
    browser.run("document.querySelector('.grip').focus()");
    browser.keys(&format!("{HOME}{ARROW_RIGHT}{ARROW_RIGHT}{ARROW_RIGHT}"));
    browser.until("three steps", "return document.querySelector('.grip').getAttribute('aria-valuenow') === '0.3'");
    browser.until("told", "return document.querySelector('.grip').getAttribute('aria-valuetext').startsWith('0.3\\u00a0mm')");
    assert!(browser.complaints().is_empty(), "{:?}", browser.complaints());
}

#[test]
#[ignore = "needs Chromium and chromedriver"]
fn fits_phone_tablet_and_desk_by_day_and_night() {
    let page = Page::serve();
    let address = &page.address;
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("page");
    fs::create_dir_all(&folder).unwrap();
    for (light, name) in [(Light::Day, "light"), (Light::Night, "night")] {
        let browser = Browser::start(light);
        for width in [360, 820, 1600] {
            browser.size(width, 900);
            for (path, place) in
                [("", "book"), ("machine/corran-360", "corran"), ("machine/pellow-125", "pellow"), ("machine/tarn-500", "tarn")]
            {
                browser.open(&format!("{address}{path}"));
                if !path.is_empty() {
                    worked_out(&browser);
                    browser
                        .run("for (const d of document.querySelectorAll('details.fold')) if (d.id !== 'measure') d.open = true");
                }
                let wide = browser.run("return document.documentElement.scrollWidth").as_f64().unwrap();
                assert!(wide <= f64::from(width), "{place} at {width}: {wide} px wide, so it must be pushed sideways");
                let small = browser.run(&format!(
                    "return [...document.querySelectorAll('button, a, input:not([type=hidden]), select, summary, [role=slider]')]
                       .filter(e => e.checkVisibility() && !e.classList.contains('skip') && !e.closest('p, li p'))
                       .map(e => [e.outerHTML.slice(0, 80), e.getBoundingClientRect()])
                       .filter(([, r]) => r.height < {TARGET_PX} - 0.5).map(([h]) => h)"
                ));
                assert_eq!(small.as_array().unwrap().len(), 0, "{place} at {width}: too small to hit: {small}");
                fs::write(folder.join(format!("{place}-{width}-{name}.png")), browser.picture()).unwrap();
            }
        }
    }
    println!("pictures in {}", folder.display());
}

#[test]
#[ignore = "needs Chromium and chromedriver"]
fn labels_names_and_contrast() {
    let page = Page::serve();
    let address = &page.address;
    for light in [Light::Day, Light::Night] {
        let browser = Browser::start(light);
        browser.size(1280, 900);
        let twice = || {
            browser.run(
                "const ids = [...document.querySelectorAll('[id]')].map(e => e.id); return ids.filter((id, i) => ids.indexOf(id) !== i)",
            )
        };
        browser.open(&format!("{address}{}", job_with_a_reading(&page)));
        assert_eq!(twice(), serde_json::json!([]), "ids given twice on the card of a job");
        browser.open(&format!("{address}machine/corran-360"));
        worked_out(&browser);
        browser.run("for (const d of document.querySelectorAll('details')) d.open = true");
        // WCAG 2.2, 1.3.1 and 4.1.2: every field and control has a name.
        let nameless = browser.run(
            "return [...document.querySelectorAll('input:not([type=hidden]), select, textarea, button, a, [role=slider]')]
               .filter(e => !(e.labels?.length || e.getAttribute('aria-label') || e.textContent.trim())).map(e => e.outerHTML.slice(0, 100))",
        );
        assert_eq!(nameless.as_array().unwrap().len(), 0, "{nameless}");
        assert_eq!(twice(), serde_json::json!([]), "ids given twice");
        // WCAG 2.2, 1.4.3: at least 4.5 to 1 between text and what is behind it; luminance as defined there.
        let pale = browser.run(
            "const rgb = c => c.match(/[\\d.]+/g).map(Number);
             const lum = c => { const [r, g, b] = rgb(c).map(v => (v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4); return 0.2126 * r + 0.7152 * g + 0.0722 * b };
             const behind = e => { for (; e; e = e.parentElement) { const c = getComputedStyle(e).backgroundColor, v = rgb(c); if (v.length < 4 || v[3] > 0.99) return c } return 'rgb(255,255,255)' };
             const out = new Set();
             const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
             while (walk.nextNode()) {
               const e = walk.currentNode.parentElement;
               if (!walk.currentNode.data.trim() || !e.checkVisibility() || e.closest('title, desc, .skip')) continue;
               const front = e.closest('svg') ? getComputedStyle(e).fill : getComputedStyle(e).color;
               const [a, b] = [lum(front), lum(behind(e))].sort((x, y) => y - x), ratio = (a + 0.05) / (b + 0.05);
               if (ratio < 4.5) out.add(`${ratio.toFixed(2)} ${front} ${walk.currentNode.data.trim().slice(0, 40)}`);
             }
             return [...out]",
        );
        assert_eq!(pale.as_array().unwrap().len(), 0, "too pale: {pale}");
    }
}

#[test]
#[ignore = "needs Chromium and chromedriver"]
fn a_reading_typed_while_the_server_is_away_is_sent_later_and_once() {
    let mut page = Page::serve();
    let job = job_with_a_reading(&page);
    let browser = Browser::start(Light::Day);
    browser.size(360, 800);
    browser.open(&format!("{}{job}", page.address));
    page.kill();
    let take = |value: &str| {
        browser.run(&format!(
            "const v = document.getElementById('value'); document.getElementById('what').value = 'plug.gap'; v.value = '{value}'; v.form.requestSubmit()"
        ));
    };
    take("0,71 ± 0.05 mm");
    browser.until("kept here", "return !document.getElementById('later').hidden");
    take("0.72 V");
    browser.until("both kept here", "return document.querySelectorAll('#later li').length === 2");
    assert!(browser.run("return document.getElementById('value').value").as_str().unwrap().is_empty(), "ready for the next one");

    page.start_again();
    browser.until("the good one arrived", "return document.querySelector('.readings')?.textContent.includes('0,71')");
    browser.until("the bad one is shown with the reason", "return document.querySelector('#later li button') !== null");
    let waits = browser.run("return document.getElementById('later').textContent");
    assert!(waits.as_str().unwrap().contains("0.72 V") && !waits.as_str().unwrap().contains("0,71"), "{waits}");
    // Loaded again and again, it is there once.
    for _ in 0..3 {
        browser.open(&format!("{}{job}", page.address));
    }
    assert_eq!(browser.run("return document.querySelector('.readings').textContent.split('0,71').length - 1"), 1);
    browser.run("document.querySelector('#later li button').click()");
    assert_eq!(browser.run("return document.getElementById('later').hidden"), true);
}

#[test]
#[ignore = "needs Chromium and chromedriver"]
fn no_rule_of_wcag_is_broken() {
    /// Success criteria of WCAG 2.0 to 2.2, levels A and AA, as axe-core names them, and its rules of good practice.
    const RULES: &str = "['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']";
    let rules = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/page-checks/node_modules/axe-core/axe.min.js");
    let rules = fs::read_to_string(&rules)
        .unwrap_or_else(|e| panic!("{}: {e}; ./check installs it, or npm ci in that folder", rules.display()));
    let page = Page::serve();
    let address = &page.address;
    let mut broken = Vec::new();
    for light in [Light::Day, Light::Night] {
        let browser = Browser::start(light);
        let job = job_with_a_reading(&page);
        let write_up = format!("{job}/write-up");
        for path in PLACES.into_iter().chain([job.as_str(), &write_up, "take-in"]) {
            browser.size(1280, 900);
            browser.open(&format!("{address}{path}"));
            if path.starts_with("machine/") && path.matches('/').count() == 1 {
                worked_out(&browser);
            }
            browser.run("for (const d of document.querySelectorAll('details')) d.open = true");
            browser.run(&rules);
            for width in [360, 820, 1600] {
                browser.size(width, 900);
                let found = browser.wait_for(&format!(
                    "axe.run({{ runOnly: {RULES} }}).then(r => done([r.passes.length, r.violations.map(v => [v.id, v.help, v.nodes.map(n => n.html.slice(0, 160))])]), e => done(String(e)))"
                ));
                assert!(found[0].as_u64().is_some_and(|passes| passes > 10), "{path}: the rules did not run: {found}");
                for each in found[1].as_array().unwrap() {
                    broken.push(format!("/{path} at {width} px, {light:?}: {each}"));
                }
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));

    // The rules do find what is wrong.
    let browser = Browser::start(Light::Day);
    browser.open(address);
    browser.run(&rules);
    browser.run("document.querySelector('main').append(new Image())");
    let found = browser.wait_for(&format!("axe.run({{ runOnly: {RULES} }}).then(r => done(r.violations.map(v => v.id)))"));
    assert_eq!(found, serde_json::json!(["image-alt"]));
}

#[test]
#[ignore = "needs Chromium and chromedriver"]
fn the_switch_between_light_and_night_is_remembered() {
    let page = Page::serve();
    let address = &page.address;
    let browser = Browser::start(Light::Day);
    browser.open(address);
    let paper = "return getComputedStyle(document.querySelector('.sheet')).backgroundColor";
    let day = browser.run(paper);
    browser.run("document.querySelector('button[value=night]').click()");
    browser.until("night", "return document.documentElement.dataset.light === 'night'");
    assert_ne!(browser.run(paper), day);
    browser.open(&format!("{address}machine/tarn-500"));
    assert_ne!(browser.run(paper), day);
    let answer: Answer = ask(address[7..address.len() - 1].parse().unwrap(), "GET", "/", "Cookie: light=night\r\n", b"");
    assert!(answer.text().contains("data-light=\"night\""), "the first byte is lit right, so nothing flashes");
}
