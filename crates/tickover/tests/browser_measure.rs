//! Readings and files on the card of a job in a real browser; needs what `browser` needs, and runs when that does.

#[path = "common/browser.rs"]
mod driver;
#[path = "common/mod.rs"]
mod http;

use driver::{Browser, Light, Page};
use http::ask;
use std::{fs, path::Path};

/// Least height of a field and of a key that a gloved thumb must hit [CSS px]: 44 is WCAG 2.2, 2.5.5, level AAA; gloves want more
/// (common practice, no source).
const THUMB_PX: f64 = 48.0;

/// The program with a job on the Corran, and a telephone that has its card open.
fn card() -> (Page, String, Browser) {
    let page = Page::serve();
    let at = page.address[7..page.address.len() - 1].parse().unwrap();
    let form = http::form(&[("complaint", "Hangs at 2000 when warm"), ("who", "E."), ("token", "open")]);
    let opened = ask(at, "POST", "/machine/corran-360/jobs", http::FORM, form.as_bytes());
    let job = format!("{}{}", page.address.trim_end_matches('/'), opened.header("location").expect("a job"));
    let browser = Browser::start(Light::Day);
    browser.size(360, 740);
    browser.open(&job);
    (page, job, browser)
}

/// Presses keys of the pad, one after the other.
fn press(browser: &Browser, keys: &[&str]) {
    for key in keys {
        browser.run(&format!("document.querySelector('#pad [data-key=\"{key}\"], #pad [data-unit=\"{key}\"]').click()"));
    }
}

fn choose(browser: &Browser, field: &str, value: &str) {
    browser.run(&format!(
        "const f = document.getElementById('{field}'); f.value = '{value}'; for (const e of ['input', 'change']) f.dispatchEvent(new Event(e, {{ bubbles: true }}))"
    ));
}

fn keep(browser: &Browser) {
    browser.run("document.querySelector('form.reading .keep button').click()");
}

/// With everything that a reading and a file can show in sight (axe-core, as in `browser`), in a window as long as the page: bars that stay in sight lie over whatever
/// has been scrolled under them, half a button too.
fn no_rule_is_broken(browser: &Browser) {
    let rules = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/page-checks/node_modules/axe-core/axe.min.js");
    browser.run(&fs::read_to_string(rules).expect("./check installs it, or npm ci in that folder"));
    browser.run("document.getElementById('pad').hidden = false; document.getElementById('filled').hidden = false");
    browser.size(360, 20_000);
    assert_eq!(browser.run("return document.documentElement.scrollHeight <= innerHeight"), true, "the window is too short");
    let tags = "['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']";
    let found = browser.wait_for(&format!(
        "axe.run({{ runOnly: {tags} }}).then(r => done([r.passes.length, r.violations.map(v => [v.id, v.nodes.map(n => n.html.slice(0, 160))])]))"
    ));
    assert!(found[0].as_u64().is_some_and(|passes| passes > 10), "the rules did not run: {found}");
    assert_eq!(found[1], serde_json::json!([]));
    browser.size(360, 740);
}

const VALUE: &str = "return document.getElementById('value').value";

#[test]
#[ignore = "needs Chromium and chromedriver"]
fn readings_are_taken_with_a_thumb() {
    let (_page, _job, browser) = card();
    if browser.run("return document.getElementById('pad').hidden") == true {
        browser.run("document.getElementById('pad-switch').click()");
    }
    assert_eq!(browser.run("return document.getElementById('value').inputMode"), "none", "no second keyboard over the pad");
    let low = browser.run(&format!(
        "return [...document.querySelectorAll('#pad button, form.reading :is(input:not([type=hidden], [type=radio]), select)')]
           .filter(e => e.getBoundingClientRect().height < {THUMB_PX} - 0.5).map(e => e.outerHTML)"
    ));
    assert_eq!(low.as_array().unwrap().len(), 0, "{low}");

    choose(&browser, "what", "pickup.gap");
    press(&browser, &["0", "decimal", "8", "5", "±", "0", "decimal", "0", "7", "delete", "5", "mm"]);
    assert_eq!(browser.run(VALUE), "0.85 ± 0.05 mm");
    press(&browser, &["cm"]);
    assert_eq!(browser.run(VALUE), "0.85 ± 0.05 cm", "one unit in the place of the other");
    press(&browser, &["mm"]);
    choose(&browser, "instrument", "brass feeler");
    keep(&browser);
    browser.until("kept", "return !!document.querySelector('.kept') && location.hash === '#value'");
    browser.until("ready for the next", "return document.activeElement.id === 'value'");
    assert_eq!(browser.run(VALUE), "");

    // What is added is seen first, and can be left out.
    press(&browser, &["0", "decimal", "5", "5"]);
    let told = "const f = document.getElementById('filled'); return f.hidden ? '' : f.querySelector('strong').textContent";
    assert_eq!(browser.run(told), "0.55 ± 0.05 mm");
    choose(&browser, "value", "1,200");
    assert_eq!(browser.run(told), "", "a ± would settle what the comma means");
    choose(&browser, "value", "0,60 mm");
    assert_eq!(browser.run(told), "0,60 mm ± 0.05 mm");
    browser.run("document.querySelector('#filled button').click()");
    assert_eq!(browser.run(told), "");
    keep(&browser);
    browser.until("kept as typed", "return document.querySelector('.kept')?.textContent.includes('0,60 mm')");
    assert_eq!(browser.run("return document.querySelector('.kept').textContent.includes('±')"), false);

    // Undone right there.
    browser.run("document.querySelector('.kept button').click()");
    browser.until(
        "undone",
        "return location.hash === '#measure' && !document.querySelector('.readings').textContent.includes('0,60')",
    );

    // With the device's own keyboard, and remembered.
    browser.run("document.getElementById('pad-switch').click()");
    assert_eq!(
        browser.run("return [document.getElementById('pad').hidden, document.getElementById('value').inputMode]"),
        serde_json::json!([true, ""])
    );
    browser.run("location.reload()");
    browser.until("remembered", "return document.getElementById('pad-switch')?.getAttribute('aria-expanded') === 'false'");
    assert!(browser.complaints().is_empty(), "{:?}", browser.complaints());
}

#[test]
#[ignore = "needs Chromium and chromedriver"]
fn a_photo_is_sent_shown_and_refused_in_place() {
    let (mut page, _job, browser) = card();
    let send = |script: &str, name: &str| {
        browser.run(&format!(
            "const bytes = {script}; const all = new DataTransfer(); all.items.add(new File([bytes], '{name}')); document.getElementById('file').files = all.files;
             document.getElementById('shows').value = 'rotor from the side'; document.querySelector('form.upload button').click()"
        ));
    };
    // One black point, as the browser itself writes it.
    let point =
        "Uint8Array.from(atob(document.createElement('canvas').toDataURL('image/png').split(',')[1]), c => c.charCodeAt(0))";
    send(point, "rotor.png");
    browser.until("shown", "return document.querySelector('figure img')?.alt === 'rotor from the side'");
    browser.run("document.querySelector('figure img').scrollIntoView()");
    browser.until("and not only its name", "return document.querySelector('figure img').naturalWidth === 300");
    no_rule_is_broken(&browser);
    let said = "return document.querySelector('form.upload [role=alert]').textContent";
    send("'<html>'", "rotor.jpg");
    browser.until("refused with the reason", &format!("{} .includes('web page')", said));
    let refused = browser.complaints();
    assert!(refused.iter().all(|c| c.contains("415")), "nothing but the refusal: {refused:?}");

    // A file does not wait on the device, and that is said.
    page.kill();
    send(point, "rotor.png");
    browser.until("told", &format!("{said}.includes('was not kept')"));
    assert_eq!(browser.run("return localStorage.getItem('to send')"), serde_json::Value::Null);
    page.start_again();
    browser.run("document.querySelector('form.upload button').click()");
    browser.until("sent again", "return document.querySelectorAll('figure img').length === 2");
}
