//! What else hangs, as people read it.

mod common;

use sheets::{
    report::{self, Style},
    words::{self, alike as text},
};
use workshop::study::{
    Finding,
    alike::{Alike, Cause, Expected, Explains, Given, Next, Observation, Outcome, Seen, Size, Weighed},
    trim::Advice,
};

fn finding(si: f64, plus_minus_si: f64) -> Finding {
    Finding { si, plus_minus_si }
}

/// A study with every cause, observation and kind of size in it.
fn alike(explains: Explains) -> Alike {
    let seen = vec![
        (Observation::HangSpeed, Some(Seen::Value(finding(250.0, 10.0)))),
        (Observation::Clutch, Some(Seen::Outcome(Outcome::StaysDown))),
        (Observation::Snap, None),
        (Observation::Choke, Some(Seen::Outcome(Outcome::Dies))),
        (Observation::Mist, None),
        (Observation::RisingFalling, Some(Seen::Value(finding(0.02, 0.03)))),
        (Observation::Nudge { turned_rad: 0.05 }, Some(Seen::Value(finding(130.0, 3.0)))),
        (Observation::Nudge { turned_rad: -0.05 }, None),
    ];
    let expected = || {
        vec![
            Expected::Value(finding(240.0, 20.0)),
            Expected::Outcome(Outcome::ClimbsAgain, 0.9),
            Expected::Outcome(Outcome::ComesDown, 0.92),
            Expected::NoHang,
            Expected::Outcome(Outcome::SpeedChanges, 0.8),
            Expected::Value(finding(0.1, 0.05)),
            Expected::Value(finding(128.0, 4.0)),
            Expected::Outcome(Outcome::Dies, 0.8),
        ]
    };
    let sizes = [
        None,
        Some(Size::Leak(finding(1e-6, 2e-6))),
        Some(Size::Mixture(finding(0.9, 0.1))),
        Some(Size::Opening(finding(1.4, 0.3))),
        Some(Size::Play(finding(0.1, 0.04))),
        None,
    ];
    let shares = [0.4, 0.25, 0.2, 0.1, 0.04, 0.01];
    let causes = Cause::ALL.into_iter().zip(shares).zip(sizes);
    Alike {
        explains,
        causes: causes.map(|((cause, share), size)| Weighed { cause, share, size, expected: expected() }).collect(),
        seen,
        given: Given { causes: Vec::new(), readings: 0 },
        next: vec![Next { observation: Observation::Mist, bits: 0.4 }],
        left_out: 0.1,
        mixture_unknown: true,
    }
}

fn every_verdict() -> Vec<Explains> {
    let faults = [Cause::AirLeak, Cause::WeakPilot, Cause::StickingSlide, Cause::StickingWeights].map(Explains::First);
    let tell = [None, Some(Observation::Mist), Some(Observation::Nudge { turned_rad: -0.05 })]
        .map(|do_this| Explains::CannotTell { do_this });
    [Explains::Curve, Explains::Elsewhere].into_iter().chain(faults).chain(tell).collect()
}

fn on_terminal(study: &Alike) -> String {
    report::alike(study, 80, Style { colour: false, unicode: true })
}

#[test]
fn every_verdict_is_said_and_can_be_printed() {
    for explains in every_verdict() {
        let study = alike(explains);
        let said = on_terminal(&study);
        let missing: Vec<char> = said.chars().filter(|&c| !"\n═─".contains(c) && !sheets::font::covers(c)).collect();
        assert!(missing.is_empty(), "{missing:?} in {said}");
        assert!(said.lines().all(|l| l.chars().count() <= 80), "{said}");
        assert!(!text::explains(&study).is_empty());
        assert_eq!(text::next(&study).is_some(), matches!(explains, Explains::CannotTell { .. }));
    }
}

#[test]
fn the_caution_stands_before_the_step() {
    let said = on_terminal(&alike(Explains::CannotTell { do_this: Some(Observation::Mist) }));
    let (fire, step) = (said.find("never petrol").expect("a caution"), said.find("Do this next").expect("a step"));
    assert!(fire < step, "{said}");
    // No observation on a running engine goes without one about gas, heat and turning parts.
    for observation in Observation::TRIED {
        let all: String = text::cautions_for(observation).iter().map(|c| c.danger).collect();
        assert!(["exhaust gas", "hot", "turning"].iter().all(|w| all.contains(w)), "{observation:?}: {all}");
    }
}

#[test]
fn a_table_has_a_cell_for_everything() {
    let study = alike(Explains::Curve);
    let head = text::head(&study);
    assert!(text::rows(&study).iter().all(|row| row.len() == head.len()));
}

#[test]
fn the_advice_keeps_the_cut_for_later_and_the_paper_does_not_list_it() {
    let mut study = common::study();
    let trim = study.trim.as_mut().expect("a plan");
    let cut = words::advice(trim);
    let explains = Explains::First(Cause::AirLeak);
    trim.advice = Advice::RuleOutFirst { explains, otherwise: Box::new(Advice::Cut(common::window())) };
    let said = words::advice(trim);
    assert!(said.starts_with("Cut nothing yet. Look for air first") && said.ends_with(&cut), "{said}");
    study.alike = Ok(alike(explains));
    let paper = |study: &workshop::study::Study| -> String {
        let pages = sheets::sheet::pages(&common::machine(), study, &Default::default());
        pages.iter().flat_map(|p| p.texts()).map(|t| t.content + " ").collect()
    };
    // The cutting list ends at its stop line.
    assert!(paper(&common::study()).contains("stop line"));
    let told = paper(&study);
    assert!(told.contains("Look for air first") && !told.contains("stop line"), "{told}");
}
