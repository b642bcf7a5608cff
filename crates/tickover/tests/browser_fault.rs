//! Fault finding in its fold in a real browser; needs what `browser` needs, and runs when that does.

#[path = "common/browser.rs"]
mod driver;
#[path = "common/mod.rs"]
mod http;

use driver::{Browser, Light, Page};
use std::{fs, path::Path};

/// Least side of what a finger or a gloved hand must hit [CSS px] (WCAG 2.2, 2.5.5, level AAA).
const TARGET_PX: f64 = 44.0;

#[test]
#[ignore = "needs Chromium and chromedriver"]
fn answers_come_in_where_they_stand_and_can_be_taken_back() {
    let page = Page::serve();
    let browser = Browser::start(Light::Day);
    browser.size(360, 800);
    let card = format!("{}machine/tarn-500", page.address);
    browser.open(&card);
    browser.run("window.same = true; document.getElementById('complaint').open = true");
    browser.run("const s = document.getElementById('fault-complaint'); s.value = 'no-spark'; s.form.requestSubmit()");
    browser.until("a test is offered", "return !!document.querySelector('#fault meter')");
    let lead = "return document.querySelector('#fault tbody tr').textContent";
    let before = browser.run(lead);
    let press = |name: &str| {
        let found = browser.run(&format!(
            "const b = [...document.querySelectorAll('#fault button')].find(b => b.textContent.startsWith('{name}')); b?.click(); return !!b"
        ));
        assert_eq!(found, true, "no button {name}");
    };
    press("Yes");
    browser.until("the answer is there", "return document.querySelectorAll('#fault ol li').length === 1");
    assert_ne!(browser.run(lead), before);
    // The same page all along, and the fold still open; who answers by key or ear goes on at the advice.
    assert_eq!(browser.run("return window.same && document.getElementById('complaint').open"), true);
    assert_eq!(browser.run("return document.activeElement.className"), "verdict");
    press("Cannot tell");
    browser.until("two answers", "return document.querySelectorAll('#fault ol li').length === 2");
    press("Take back");
    browser.until("one answer", "return document.querySelectorAll('#fault ol li').length === 1");
    press("Take back");
    browser.until("none", "return document.querySelectorAll('#fault ol li').length === 0");
    assert_eq!(browser.run(lead), before);
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("page");
    fs::create_dir_all(&folder).unwrap();
    for (width, height) in [(360, 2400), (1600, 1200)] {
        browser.size(width, height);
        let wide = browser.run("return document.documentElement.scrollWidth").as_f64().unwrap();
        assert!(wide <= f64::from(width), "at {width}: {wide} px wide, so it must be pushed sideways");
        let cut = browser.run(
            "return [...document.querySelectorAll('#fault .scroll:has(table)')].filter(e => e.scrollWidth > e.clientWidth + 1).length",
        );
        assert_eq!(cut, 0, "at {width}: the causes are cut at the right edge");
        fs::write(folder.join(format!("fault-{width}.png")), browser.picture()).unwrap();
    }
    let small = browser.run(&format!(
        "return [...document.querySelectorAll('#fault :is(button, a, select, summary)')].filter(e => e.checkVisibility())
           .filter(e => e.getBoundingClientRect().height < {TARGET_PX} - 0.5).map(e => e.outerHTML.slice(0, 80))"
    ));
    assert_eq!(small.as_array().unwrap().len(), 0, "too small to hit: {small}");
    // A part in hand is ticked where the search stands, and counted in from then on.
    browser.run("const t = document.querySelector('#fault [name=in-hand][type=checkbox]'); t.closest('details').open = true; t.checked = true");
    press("Count it in");
    browser.until("it is in hand", "return !!document.querySelector('#fault [name=in-hand][type=checkbox][checked]')");
    // A search on a page of its own is there again when the page is loaded anew; each answer is taken back by itself.
    browser.open(&format!("{card}/fault?complaint=no-spark"));
    press("Yes");
    browser.until("the answer is there", "return document.querySelectorAll('#fault ol li').length === 1");
    press("No");
    browser.until("two answers", "return document.querySelectorAll('#fault ol li').length === 2");
    let second = "return document.querySelector('#fault ol li:last-child span').textContent";
    let kept = browser.run(second);
    let address = browser.run("return location.href");
    browser.open(address.as_str().unwrap());
    assert_eq!(browser.run(second), kept);
    browser.size(360, 1400);
    browser.run("document.querySelectorAll('#fault details').forEach(d => d.open = true); document.querySelector('#fault details').scrollIntoView()");
    fs::write(folder.join("fault-said.png"), browser.picture()).unwrap();
    press("Take back");
    browser.until("the first is gone", "return document.querySelectorAll('#fault ol li').length === 1");
    assert_eq!(browser.run(second), kept);
    let complaints = browser.complaints();
    assert!(complaints.is_empty(), "{complaints:?}");
    println!("pictures in {}", folder.display());
}
