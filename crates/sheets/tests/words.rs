//! Sentences as people read them, and that they fit.

mod common;

use sheets::report::{self, Style};
use sheets::words;
use workshop::study::{NotStudied, idle::Chance, idle::Verdict, trim::Advice, trim::Limit, warning::Warning};

#[test]
fn verdicts() {
    let mut study = common::idle();
    let mut all = Vec::new();
    let sure = |hanging, low, high| Chance { hanging, of: 200, low, high };
    for (verdict, chance) in [
        (study.verdict, study.chance),
        (Verdict::Weak, sure(60, 0.24, 0.37)),
        (Verdict::Steady, sure(2, 0.002, 0.036)),
        (Verdict::NoRest, sure(0, 0.0, 0.02)),
        (Verdict::Hangs { at_rad_s: common::rad_s(2400.0) }, sure(98, 0.42, 0.56)),
    ] {
        study.verdict = verdict;
        study.chance = chance;
        all.push(words::verdict(&study));
    }
    insta::assert_snapshot!(all.join("\n\n"));
}

#[test]
fn advice() {
    let mut study = common::trim();
    let mut all = vec![words::advice(&study)];
    for advice in [
        Advice::NoneNeeded,
        Advice::TryReversibleFirst { way: 0, otherwise: Some(common::window()) },
        Advice::TryReversibleFirst { way: 9, otherwise: None },
        Advice::NoCutServes { because: Limit::KickBack },
    ] {
        study.advice = advice;
        all.push(words::advice(&study));
    }
    insta::assert_snapshot!(all.join("\n\n"));
}

#[test]
fn warnings() {
    let all = [
        Warning::DefaultUsed { field: "engine.octane" },
        Warning::WildReading { index: 4, off_rad: -0.12 },
        Warning::LawsAlike,
        Warning::PickupReversed { pickup: 0, late_rad: 0.6 },
        Warning::WeakPulse { pickup: 1, fires_from_rad_s: common::rad_s(620.0) },
        Warning::CylindersDiffer { by_rad: 0.05 },
        Warning::HangNotReproduced { seen_rad_s: common::rad_s(2400.0), nearest_rad_s: None },
        Warning::CyclesUnsettled { share: 0.013 },
    ];
    insta::assert_snapshot!(all.map(|w| words::warning(&w)).join("\n"));
}

#[test]
fn defects_show_the_place() {
    let text = "[machine]\nname = \"Bike\"\n\n[engine]\nstrokes = 4\nboer = \"62 mm\"\nstroke = \"5900 mm\"\nrod = \"118\"\n";
    let defects = workshop::machine::read(text).unwrap_err();
    let of = |key: &str| defects.iter().find(|d| d.path == key).map(|d| words::defect(d, "bike.toml", text)).unwrap_or_default();
    insta::assert_snapshot!([of("engine.boer"), of("engine.stroke"), of("engine.rod")].join("\n\n"));
    // Every defect gives a sentence, wherever its bytes are.
    for d in &defects {
        assert!(words::defect(d, "bike.toml", "").starts_with("bike.toml"));
    }
}

#[test]
fn every_sentence_can_be_printed() {
    let study = common::study();
    let mut all = vec![words::curve_line(&study.curve), words::cannot_undo().to_owned()];
    all.extend([NotStudied::TwoStroke, NotStudied::NoCurve].map(|n| words::not_studied(n).to_owned()));
    all.extend(
        words::cautions_for_cut()
            .iter()
            .chain(words::cautions_for_run())
            .flat_map(|c| [c.danger.to_owned(), c.protects.to_owned()]),
    );
    all.extend(words::cutting_list(&common::window(), 0.0309, 1.1, 2.0).into_iter().map(|s| s.text));
    all.push(
        report::study(&common::machine(), &study, 80, Style { colour: false, unicode: true })
            .chars()
            .filter(|c| !is_drawing(*c))
            .collect(),
    );
    for text in all {
        let missing: Vec<char> = text.chars().filter(|&c| c != '\n' && !sheets::font::covers(c)).collect();
        assert!(missing.is_empty(), "{missing:?} in {text:?}");
    }
}

/// Box drawing, blocks, geometric shapes and braille: drawn by the terminal, never printed on paper.
fn is_drawing(c: char) -> bool {
    matches!(c, '\u{2500}'..='\u{25ff}' | '\u{2800}'..='\u{28ff}')
}

#[test]
fn reports_fit_the_terminal() {
    let (machine, study) = (common::machine(), common::study());
    for unicode in [true, false] {
        for width in [40, 57, 80, 120] {
            let text = report::study(&machine, &study, width, Style { colour: false, unicode });
            for line in text.lines() {
                assert!(line.chars().count() <= width, "{width}: {line:?}");
            }
            assert!(unicode || text.is_ascii());
            assert!(!text.contains('\u{1b}'));
        }
    }
    let coloured = report::study(&machine, &study, 80, Style { colour: true, unicode: true });
    assert!(coloured.contains("\u{1b}[1m"));
}

#[test]
fn report_of_the_idle() {
    let mut idle = common::idle();
    idle.rest.line.clear();
    insta::assert_snapshot!(report::idle(&common::machine(), &idle, 72, Style::PLAIN));
}

#[test]
fn report_of_the_trim() {
    insta::assert_snapshot!(report::trim(&common::machine(), &common::trim(), 100, Style { colour: false, unicode: true }));
}

/// Numbers that no engine has must not break a sentence or a picture.
#[test]
fn odd_numbers_do_not_panic() {
    let (machine, mut study) = (common::machine(), common::study());
    for odd in [f64::NAN, f64::INFINITY, -1e300, 0.0] {
        if let Ok(idle) = &mut study.idle {
            idle.opening_m2 = Some(odd);
            idle.rest.points[0].speed_rad_s = odd;
            idle.rest.line[3].opening_m2 = odd;
            idle.cycle.half_burned_rad = odd;
        }
        if let Ok(trim) = &mut study.trim {
            trim.cuts[0].least_advance.si = odd;
            trim.cuts[0].kick_back.turning_energy_j = odd;
        }
        study.curve.cylinders[0].band[5].advance.si = odd;
        let text = report::study(&machine, &study, 80, Style::PLAIN);
        assert!(text.len() > 1000);
        let pdf = sheets::sheet::sheet(&machine, &study, &Default::default()).unwrap();
        assert!(pdf.starts_with(b"%PDF"));
    }
}
