//! The page of substitute parts in a real browser; needs what `browser` needs, and runs when that does.

#[path = "common/browser.rs"]
mod driver;
#[path = "common/mod.rs"]
mod http;

use driver::{Browser, Light, Page};
use std::{fs, path::Path};

/// Least side of what a finger or a gloved hand must hit [CSS px] (WCAG 2.2, 2.5.5, level AAA).
const TARGET_PX: f64 = 44.0;
const SHELF: &str = include_str!("../../../examples/parts/shelf.csv");
const NEED: &str = include_str!("../../../examples/parts/need.toml");

#[test]
#[ignore = "needs Chromium and chromedriver"]
fn a_shelf_is_chosen_ranked_and_drawn_on_a_telephone_and_on_a_wide_screen() {
    let page = Page::serve();
    let browser = Browser::start(Light::Day);
    browser.size(360, 800);
    // The way there stands in the fold where parts are altered.
    browser.open(&format!("{}machine/corran-360", page.address));
    browser.run("document.getElementById('alter').open = true; document.querySelector('#alter a[href$=\"/parts\"]').click()");
    browser.until("the form is there", "return !!document.getElementById('file')");
    let text = |s: &str| serde_json::to_string(s).unwrap();
    browser.run(&format!(
        "const d = new DataTransfer(); d.items.add(new File([{}], 'shelf.csv', {{ type: 'text/csv' }}));
         document.getElementById('file').files = d.files; document.getElementById('need').value = {};
         document.getElementById('kind').value = 'rotor'; document.getElementById('file').form.requestSubmit()",
        text(SHELF),
        text(NEED)
    ));
    browser.until("the answer is there", "return !!document.getElementById('parts')");
    // Each is there twice, for a narrow and for a wide window, and one of them is shown.
    let drawn = browser
        .run("const seen = [...document.querySelectorAll('.part-new')].filter(g => g.checkVisibility()); return seen.length > 0 && seen.every(g => g.getBoundingClientRect().width > 10)");
    assert_eq!(drawn, true, "a part is not drawn, or too small to be seen");
    // The choice stands where it was, for the next kind.
    assert_eq!(browser.run("return document.getElementById('kind').value"), "rotor");
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("page");
    fs::create_dir_all(&folder).unwrap();
    for (width, height) in [(360, 2400), (1600, 1200)] {
        browser.size(width, height);
        let wide = browser.run("return document.documentElement.scrollWidth").as_f64().unwrap();
        assert!(wide <= f64::from(width), "at {width}: {wide} px wide, so it must be pushed sideways");
        fs::write(folder.join(format!("parts-{width}.png")), browser.picture()).unwrap();
    }
    let small = browser.run(&format!(
        "return [...document.querySelectorAll('main :is(button, select, textarea, a.button)')].filter(e => e.checkVisibility())
           .filter(e => e.getBoundingClientRect().height < {TARGET_PX} - 0.5).map(e => e.outerHTML.slice(0, 80))"
    ));
    assert_eq!(small.as_array().unwrap().len(), 0, "too small to hit: {small}");
    let complaints = browser.complaints();
    assert!(complaints.is_empty(), "{complaints:?}");
    println!("pictures in {}", folder.display());
}
