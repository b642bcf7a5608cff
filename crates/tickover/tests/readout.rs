//! Reading values off the charts in a real browser, and the list that follows the work by itself. As `browser`, run only when asked for:
//! `cargo test -p tickover --test readout -- --ignored`.

#[path = "common/browser.rs"]
mod driver;
#[path = "common/mod.rs"]
mod http;

use driver::{Browser, Light, Page};

/// Keys as WebDriver writes them (W3C WebDriver 2, 17.4.2).
const END: &str = "\u{e010}";
const HOME: &str = "\u{e011}";

#[test]
#[ignore = "needs Chromium and chromedriver"]
fn the_list_follows_and_charts_are_read_with_the_keys() {
    let page = Page::serve();
    let address = &page.address;
    let browser = Browser::start(Light::Day);
    browser.open(address);
    assert_eq!(browser.run("return document.querySelector('#machines').hasAttribute('data-waiting')"), true);
    browser.run("document.querySelector('a[href=\"/machine/tarn-500\"]').focus()");
    browser.until("the list to be done", "return !document.querySelector('#machines').hasAttribute('data-waiting')");
    let words = browser.run("return document.querySelector('#machines').textContent");
    assert!(words.as_str().unwrap().contains("hang near"), "{words}");
    assert_eq!(browser.run("return document.activeElement.getAttribute('href')"), "/machine/tarn-500", "focus stays");

    browser.open(&format!("{address}machine/corran-360"));
    browser.until(
        "the readers",
        "return !!document.querySelector('#judge .reader') && !document.querySelector('#judge .reader[hidden]')",
    );
    browser.run("document.querySelector('#judge-curve .reader').focus()");
    // A space that does not break is a space.
    let plain = |value: serde_json::Value| value.as_str().unwrap_or_default().replace('\u{a0}', " ");
    let read = || plain(browser.run("return document.querySelector('#judge-curve .reader').getAttribute('aria-valuetext')"));
    browser.keys(END);
    let text = read();
    // The fitted curve of the demo ends at 9000 rpm with its greatest advance: the value with its ± and unit, as the report prints it.
    assert!(text.starts_with("9000 rpm; left: advance: 36.3 ± 0.5° before TDC"), "{text}");
    assert_eq!(plain(browser.run("return document.querySelector('#judge-curve .readout strong').textContent")), "9000 rpm");
    browser.keys(HOME);
    assert!(read().starts_with("0 rpm"), "{}", read());
    // A line that passes a place three times is read three times there: the hang.
    browser.run("document.querySelector('#judge-rest .reader').focus()");
    let at_stop = "const r = document.querySelector('#judge-rest .reader'), s = r.closest('.seen').querySelector('.wide g.rule').dataset.x, \
                   b = r.getBoundingClientRect(), low = Number(r.ariaValueMin), high = Number(r.ariaValueMax); \
                   r.dispatchEvent(new PointerEvent('pointermove', { bubbles: true, clientX: b.left + (b.width * (s - low)) / (high - low) })); \
                   return r.getAttribute('aria-valuetext')";
    let text = plain(browser.run(at_stop));
    assert!(text.matches("as found: ").count() >= 2 && text.contains("can hang") && text.contains("throttle stop now"), "{text}");
    assert_eq!(browser.complaints(), Vec::<String>::new());
}
