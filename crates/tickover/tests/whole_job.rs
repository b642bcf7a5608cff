//! One job from the complaint to hand-over on the program itself, with a finger on a phone and with the keyboard alone. Chromium and
//! chromedriver must be installed, so this runs only when asked for: `cargo test -p tickover --test whole_job -- --ignored`.

#[path = "common/browser.rs"]
mod driver;
#[path = "common/mod.rs"]
mod http;

use driver::{Browser, Light, Page};

/// Keys as WebDriver writes them (W3C WebDriver 2, 17.4.2).
const TAB: &str = "\u{e004}";
const ARROW_DOWN: &str = "\u{e015}";
const ENTER: &str = "\u{e007}";
const SPACE: &str = " ";

/// How a job is worked: by what touches the page.
trait Hand {
    fn browser(&self) -> &Browser;
    /// Sets off what a selector finds: a link, a button, the head of a fold.
    fn press(&self, selector: &str);
    /// Goes to a field.
    fn enter(&self, selector: &str);

    fn fill(&self, selector: &str, text: &str) {
        self.enter(selector);
        self.browser().type_in(text);
        let there = self.browser().run(&format!("return document.querySelector({selector:?}).value"));
        assert_eq!(there, text, "{selector}");
    }

    /// Chooses from a list by the first letters of what is wanted.
    fn choose(&self, selector: &str, letters: &str, value: &str);

    /// Takes one of several that exclude each other.
    fn take(&self, selector: &str);

    /// Sets something off that leads to another page, and waits for it.
    fn go(&self, selector: &str) {
        self.browser().run("window.leaving = true");
        self.press(selector);
        self.browser()
            .until(&format!("another page after {selector}"), "return !window.leaving && document.readyState === 'complete'");
    }

    fn unfold(&self, id: &str) {
        if self.browser().run(&format!("return document.getElementById({id:?}).open")) == false {
            self.press(&format!("#{id} > summary"));
        }
        assert_eq!(self.browser().run(&format!("return document.getElementById({id:?}).open")), true, "{id} opens");
    }
}

struct Finger(Browser);

impl Hand for Finger {
    fn browser(&self) -> &Browser {
        &self.0
    }
    fn press(&self, selector: &str) {
        self.0.tap(selector);
    }
    fn enter(&self, selector: &str) {
        self.0.tap(selector);
        let focused = self.0.run(&format!("return document.activeElement === document.querySelector({selector:?})"));
        let at = self.0.run("return document.activeElement.outerHTML.slice(0, 150)");
        assert_eq!(focused, true, "{selector} is typed into where it was touched, not {at}");
    }
    fn take(&self, selector: &str) {
        self.0.tap(&format!("label:has({selector})"));
        assert_eq!(self.0.run(&format!("return document.querySelector({selector:?}).checked")), true, "{selector}");
    }
    /// The list that opens is the phone's own and not part of the page.
    fn choose(&self, selector: &str, _: &str, value: &str) {
        self.0.run(&format!(
            "const e = document.querySelector({selector:?}); e.value = {value:?}; e.dispatchEvent(new Event('change', {{ bubbles: true }}))"
        ));
    }
}

struct Keyboard(Browser);

impl Keyboard {
    /// Goes on by the tabulator key until the focus is there, as somebody without a mouse does; it must be seen on the way.
    fn tab_to(&self, selector: &str) {
        const MOST: usize = 400;
        for _ in 0..MOST {
            let there = format!(
                "const e = document.querySelector({selector:?}), a = document.activeElement; if (!e) return 'there is no ' + {selector:?};
                 if (a !== document.body && a.matches(':focus-visible')) {{
                   const s = getComputedStyle(a); if (s.outlineStyle === 'none' || parseFloat(s.outlineWidth) < 2) return 'the focus cannot be seen on ' + a.outerHTML.slice(0, 90);
                 }}
                 return a === e"
            );
            let now = self.0.run(&there);
            assert!(!now.is_string(), "{now}");
            if now == true {
                return;
            }
            self.0.keys(TAB);
        }
        panic!("{selector} is not reached by the tabulator key");
    }
}

impl Hand for Keyboard {
    fn browser(&self) -> &Browser {
        &self.0
    }
    fn press(&self, selector: &str) {
        self.tab_to(selector);
        let by_space = self.0.run("return document.activeElement.matches('summary, [type=checkbox]')") == true;
        self.0.keys(if by_space { SPACE } else { ENTER });
    }
    fn enter(&self, selector: &str) {
        self.tab_to(selector);
    }
    /// Of such a group the tabulator reaches the one that is taken; the arrows go on from there.
    fn take(&self, selector: &str) {
        let taken = self.0.run(&format!(
            "return '#' + document.querySelector('input[name=' + document.querySelector({selector:?}).name + ']:checked').id"
        ));
        self.tab_to(taken.as_str().unwrap());
        for _ in 0..4 {
            if self.0.run(&format!("return document.querySelector({selector:?}).checked")) == true {
                return;
            }
            self.0.keys(ARROW_DOWN);
        }
        panic!("{selector} is not reached by the arrow keys");
    }
    fn choose(&self, selector: &str, letters: &str, value: &str) {
        self.tab_to(selector);
        self.0.keys(letters);
        let there = self.0.run(&format!("return document.querySelector({selector:?}).value"));
        assert_eq!(there, value, "{selector}");
    }
}

/// From the first page to the machine's leaving.
fn whole_job(hand: &impl Hand, address: &str) {
    let browser = hand.browser();
    let says = |what: &str| {
        browser.until(what, &format!("return document.body.textContent.replaceAll('\u{a0}', ' ').includes({what:?})"))
    };
    browser.open(address);
    hand.go("#machines a[href='/machine/tarn-500']");
    hand.go("a[href='/machine/tarn-500/jobs']");

    // Complaint.
    hand.fill("#complaint", "Will not idle when warm");
    hand.fill("#who", "E.");
    hand.go("form[action$='/jobs'] button");
    says("note whose machine it is");
    hand.unfold("complaint");
    hand.go("#complaint .next a");
    hand.fill("#owner", "Widow O’Brien");
    hand.fill("#plate", "AB 12");
    hand.go("form[action$='/whose'] button");
    browser.open(&format!("{address}find?q=warm"));
    hand.go("ul.jobs a[href^='/job/']");

    // Measure: as found.
    hand.choose("#what", "Points", "points.gap");
    hand.fill("#value", "0,30 ± 0.03 mm");
    hand.go("form[action$='/reading'] button:not([type=button])");
    says("0,30 ± 0.03 mm");

    // Judge.
    hand.unfold("judge");
    browser.until("worked out", "return !!document.querySelector('#judge form[action$=\"/findings\"] button')");
    hand.go("#judge form[action$='/findings'] button");
    hand.unfold("judge");
    says("Kept with this job");

    // Alter: what cannot be undone waits for leave.
    hand.unfold("alter");
    hand.fill("#alteration-words", "Stone the points flat");
    hand.press("#irreversible");
    assert_eq!(browser.run("return document.getElementById('irreversible').checked"), true);
    hand.go("#alter form[action$='/alteration']:has(#alteration-words) button");
    hand.unfold("alter");
    says("ask the owner’s leave: Stone the points flat");
    assert_eq!(
        browser.run("return !!document.querySelector('#alter button[type=submit][value=done], #alter form:has([value=done])')"),
        false
    );
    hand.fill("#alter input[name=by]", "Widow O’Brien");
    hand.fill("#alter input[name=how]", "by telephone");
    hand.go("#alter form[action$='/consent'] button");
    hand.unfold("alter");
    hand.go("#alter form:has([value=done]) button");
    says("measure again, as left: Points gap");

    // Measure: as left. What was found still stands beside it.
    hand.take("#stage-as_left");
    hand.choose("#what", "Points", "points.gap");
    hand.fill("#value", "0.40 ± 0.03 mm");
    hand.go("form[action$='/reading'] button:not([type=button])");
    says("0,30 ± 0.03 mm");
    says("0.40 ± 0.03 mm");

    // Hand over.
    hand.unfold("hand-over");
    hand.fill("#look-at", "points gap");
    hand.go("#hand-over form[action$='/reminder'] button");
    let job = browser.run("return location.pathname");
    let paper = browser.wait_for(&format!(
        "fetch({:?}).then(r => r.arrayBuffer()).then(b => done(new TextDecoder().decode(b.slice(0, 5))))",
        format!("{}/paper/hand-over.pdf", job.as_str().unwrap())
    ));
    assert_eq!(paper, "%PDF-");
    hand.unfold("complaint");
    hand.choose("#state", "handed", "handed_over");
    hand.go("#complaint form[action$='/headline'] button");
    says("handed over");
    assert_eq!(browser.run("return document.querySelectorAll('.next').length"), 0, "nothing is wanted of a machine that is gone");
    assert_eq!(browser.complaints(), Vec::<String>::new());
}

#[test]
#[ignore = "needs Chromium and chromedriver"]
fn with_a_finger_on_a_phone() {
    let page = Page::serve();
    let browser = Browser::start(Light::Day);
    browser.phone(360, 740);
    whole_job(&Finger(browser), &page.address);
}

#[test]
#[ignore = "needs Chromium and chromedriver"]
fn with_the_keyboard_alone() {
    let page = Page::serve();
    let browser = Browser::start(Light::Night);
    browser.size(1280, 900);
    whole_job(&Keyboard(browser), &page.address);
}
