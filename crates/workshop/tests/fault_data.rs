//! Fault data that somebody mistyped: all defects at once, with their lines.

use proptest::prelude::*;
use workshop::{
    machine::place,
    study::fault::{
        Bike, Case, Defect, DefectKind, Evidence, Faults, Flaw, MOST_DEFECTS, System, TEXT, Wanted, What, base, own, read,
    },
};

/// The base with some lines changed, each found once.
fn changed(changes: &[(&str, &str)]) -> String {
    changes.iter().fold(TEXT.to_owned(), |text, (from, to)| {
        assert!(text.contains(from), "{from}");
        text.replacen(from, to, 1)
    })
}

fn line_of(text: &str, piece: &str) -> usize {
    place(text, text.find(piece).unwrap()).line
}

fn lines(text: &str, defects: &[Defect]) -> Vec<usize> {
    defects.iter().map(|d| place(text, d.span.start).line).collect()
}

#[test]
fn the_base_is_sound_and_says_where_its_numbers_come_from() {
    let faults = read(TEXT).unwrap();
    assert_eq!(&faults, base());
    assert_eq!((faults.causes.len(), faults.complaints.len(), faults.tests.len()), (65, 35, 65));
    assert_eq!(faults.numbers_source, "common practice, no source");
}

#[test]
fn every_defect_is_told_at_once_with_its_line() {
    let text = changed(&[
        ("id = \"pickup-dead\"", "id = \"pickup-touching\""),
        ("group = \"supply\"", "group = \"suply\""),
        ("{id=\"air-leak\", w=30}", "{id=\"air-lek\", w=30}"),
        ("{id=\"flooding\", w=15}", "{id=\"flooding\", w=25}"),
        ("minutes = 10\nagain = 5", "minutes = \"ten\"\nagain = 5"),
        ("{id=\"plug-bad\", p=0.75}", "{id=\"plug-bad\", p=1.0}"),
        ("after = [\"hot-spark\"]", "after = [\"winding-heat\"]"),
        ("tool = \"new plug\"", "toll = \"new plug\""),
    ]);
    let defects = read(&text).unwrap_err();
    let found = |piece: &str, kind: &dyn Fn(&DefectKind) -> bool| {
        let line = line_of(&text, piece);
        let at: Vec<&Defect> = defects.iter().filter(|d| place(&text, d.span.start).line == line).collect();
        assert!(at.iter().any(|d| kind(&d.kind)), "{piece}, line {line}: {at:?}\n{defects:#?}");
    };
    let twice = line_of(&text, "name = \"Pickup winding open or shorted\"") - 1;
    assert!(defects.iter().any(|d| place(&text, d.span.start).line == twice
        && matches!(&d.kind, DefectKind::Twice { what: What::Cause, name } if name == "pickup-touching")));
    found("group = \"suply\"", &|k| matches!(k, DefectKind::UnknownWord { did_you_mean: Some("supply"), .. }));
    found(
        "air-lek",
        &|k| matches!(k, DefectKind::NoSuch { what: What::Cause, did_you_mean: Some(name), .. } if name == "air-leak"),
    );
    found("w=25", &|k| matches!(k, DefectKind::NotHundred { sum } if *sum == 110.0));
    found("\"ten\"", &|k| matches!(k, DefectKind::WrongType { wanted: Wanted::Number, found: "string" }));
    found("p=1.0", &|k| matches!(k, DefectKind::OutOfRange { value: 1.0, .. }));
    found("after = [\"winding-heat\"]", &|k| matches!(k, DefectKind::AfterItself { name } if name == "winding-heat"));
    found("toll", &|k| matches!(k, DefectKind::Document(Flaw::UnknownKey { did_you_mean: Some("tool"), .. })));
    assert!(defects.iter().any(|d| matches!(&d.kind, DefectKind::MissingKey { key: "tool" })));
    let lines = lines(&text, &defects);
    assert!(lines.is_sorted(), "{lines:?}");
}

#[test]
fn a_cause_that_no_test_shows_and_a_chance_below_its_own_absence_are_told() {
    let text = changed(&[("{id=\"carb-balance\", p=0.90}", "{id=\"carb-balance\", p=0.10}")]);
    let defects = read(&text).unwrap_err();
    assert!(matches!(defects[..], [Defect { kind: DefectKind::TellsNothing { chance: 0.10, none: 0.10 }, .. }]), "{defects:?}");
    let text = TEXT.to_owned()
        + "\n[[cause]]\nid = \"gremlin\"\nname = \"Gremlin\"\ngroup = \"engine\"\nsystems = []\nshows = \"x\"\nput_right = \"x\"\nmend_minutes = 5\n";
    let defects = read(&text).unwrap_err();
    assert!(matches!(&defects[..], [Defect { kind: DefectKind::NothingShows { name }, .. }] if name == "gremlin"), "{defects:?}");
    assert_eq!(lines(&text, &defects), [line_of(&text, "id = \"gremlin\"")]);
}

#[test]
fn a_bar_that_bars_what_lifts_it_and_a_shorter_first_time_are_told() {
    let text = changed(&[
        ("bar_until = [\"static-timing\"]", "bar_until = [\"strobe-idle\"]"),
        ("minutes = 12\nagain = 12", "minutes = 12\nagain = 13"),
    ]);
    let kinds: Vec<DefectKind> = read(&text).unwrap_err().into_iter().map(|d| d.kind).collect();
    assert_eq!(
        kinds,
        [DefectKind::BarsItself { name: "strobe-idle".into() }, DefectKind::AgainLonger { first: 12.0, again: 13.0 }]
    );
}

#[test]
fn broken_toml_and_later_versions_are_told_as_such() {
    let broken = changed(&[("p_none = 0.12", "p_none = = 0.12")]);
    let defects = read(&broken).unwrap_err();
    assert!(defects.iter().any(|d| matches!(d.kind, DefectKind::Document(Flaw::Syntax { .. }))));
    assert!(defects.iter().any(|d| place(&broken, d.span.start).line == line_of(&broken, "p_none = = 0.12")));
    let later = changed(&[("schema = 1", "schema = 2")]);
    assert!(matches!(
        read(&later).unwrap_err()[..],
        [Defect { kind: DefectKind::Document(Flaw::NewerVersion { found: 2, known: 1 }), .. }]
    ));
    assert!(matches!(read(&" ".repeat(2 << 20)).unwrap_err()[0].kind, DefectKind::Document(Flaw::TooLarge { .. })));
    let many: String = (0..5000).map(|i| format!("key{i} = {i}\n")).collect();
    assert_eq!(read(&many).unwrap_err().len(), MOST_DEFECTS + 1);
}

const OWN: &str = r#"
[meta]
schema = 1
workshop = "An invented workshop"

[[cause]]
id = "silencer-nest"
name = "A nest in the silencer"
group = "engine"
systems = ["points", "magneto", "cdi-source", "cdi-battery", "transistor"]
shows = "Starts and dies."
put_right = "Move the tenants."
mend_minutes = 20

[[weight]]
complaint = "hard-start-cold"
cause = "silencer-nest"
w = 4

[[hit]]
test = "exhaust-check"
cause = "silencer-nest"
p = 0.9

[[job]]
complaint = "hard-start-cold"
cause = "silencer-nest"
count = 3

[[job]]
complaint = "hard-start-cold"
cause = "other"

[[seen]]
test = "exhaust-check"
cause = "silencer-nest"
positive = 4

[[seen]]
test = "exhaust-check"
cause = "plug-bad"
negative = 2
"#;

#[test]
fn own_counts_stand_beside_the_base_and_are_never_written_over_it() {
    let with = base().with_own(OWN).unwrap();
    assert_eq!((with.own.jobs, with.own.tests, with.own.added), (4, 6, 3));
    let at = with.complaint("hard-start-cold").unwrap();
    let (mine, old) = (&with.complaints[at], &base().complaints[at]);
    assert_eq!(mine.causes.len(), old.causes.len() + 1);
    for (m, o) in mine.causes.iter().zip(&old.causes) {
        assert_eq!((m.cause, m.weight, m.jobs), (o.cause, o.weight, 0));
    }
    // Dirichlet: 40 jobs of the base, 4 % of them, and three of one's own.
    assert_eq!(own::counted_weight(mine.causes.last().unwrap().weight, mine.causes.last().unwrap().jobs), 4.6);
    // Beta: 20 tests of the base at 0.9 and four of four.
    let test = &with.tests[with.test("exhaust-check").unwrap()];
    let hit = test.hits.last().unwrap();
    assert!((own::counted_chance(hit.chance, hit.seen) - 22.0 / 24.0).abs() < 1e-15);
    // What a test does not list is none of its causes.
    assert_eq!(test.none_seen.negative, 2);
    // One more job moves the share by what the formula says: pairs aside, n more of N.
    let bike = Bike { systems: vec![System::CdiSource], strokes: 4, cylinders: 1, battery: None, regulator: None };
    let case = |faults: &Faults| {
        let case = Case::new(faults, bike.clone(), at, Evidence::default()).unwrap();
        let cause = faults.cause("plug-bad").and_then(|c| case.local(c)).unwrap();
        case.prior().shares()[1 + cause]
    };
    let twenty = base().with_own("[[job]]\ncomplaint = \"hard-start-cold\"\ncause = \"plug-bad\"\ncount = 20").unwrap();
    assert!(case(&twenty) > 1.5 * case(base()));
}

/// A number that cannot be read is told once, and nothing is concluded from it; nor of the rest of a line that is no TOML.
#[test]
fn nothing_is_concluded_from_what_could_not_be_read() {
    let text = "[[cause]]\nid = \"air-leak\"\nname = \"Twice\"\ngroup = \"engine\"\nsystems = [\"pointz\"]\nshows = \"x\"\nmend_minutes = \"10 min\"\n
[[hit]]\ntest = \"fuel-flow\"\ncause = \"no-such\"\np = 1.3\n\n[[hit]]\ntest = \"fuel-flow\"\ncause = \"air-leak\"\np = \"0,15\"\n";
    let defects = base().with_own(text).unwrap_err();
    let told: Vec<(usize, &str)> = lines(text, &defects).into_iter().zip(defects.iter().map(|d| d.path.as_str())).collect();
    let wanted = [
        (1, "cause[0].put_right"),
        (2, "cause[0].id"),
        (5, "cause[0].systems[0]"),
        (7, "cause[0].mend_minutes"),
        (11, "hit[0].cause"),
        (12, "hit[0].p"),
        (17, "hit[1].p"),
    ];
    assert_eq!(told, wanted, "{defects:#?}");
    let comma = text.replace("\"0,15\"", "0,15");
    let broken = base().with_own(&comma).unwrap_err();
    let of_line: Vec<_> = broken.iter().filter(|d| place(&comma, d.span.start).line == 17).map(|d| &d.kind).collect();
    assert!(matches!(of_line[..], [DefectKind::Document(Flaw::Syntax { .. })]), "{of_line:?}");
    // What is missing may stand in the broken part.
    assert_eq!(lines(&comma, &broken), [2, 5, 7, 11, 12, 17]);
    let changed = changed(&[("minutes = 10\nagain = 5", "minutes = \"ten\"\nagain = 5")]);
    let one = read(&changed).unwrap_err();
    assert!(matches!(&one[..], [Defect { kind: DefectKind::WrongType { .. }, .. }]), "{one:?}");
}

#[test]
fn own_files_do_not_write_over_the_base_and_are_told_all_their_defects() {
    let text = "[[weight]]\ncomplaint = \"revs-hang\"\ncause = \"air-leak\"\nw = 3\n\n[[job]]\ncomplaint = \"revs-hng\"\ncause = \"air-leak\"\n\n[[job]]\ncomplaint = \"revs-hang\"\ncause = \"plug-bad\"\n\n[[seen]]\ntest = \"enrich\"\ncause = \"air-leak\"\npositive = -1\n";
    let defects = base().with_own(text).unwrap_err();
    let said: Vec<(usize, bool)> = defects
        .iter()
        .map(|d| {
            let known = matches!(
                d.kind,
                DefectKind::InBase { what: What::Cause, .. } | DefectKind::NoSuch { .. } | DefectKind::OutOfRange { .. }
            );
            (place(text, d.span.start).line, known)
        })
        .collect();
    assert_eq!(said, [(3, true), (7, true), (12, true), (17, true)], "{defects:?}");
    let over = TEXT.replace("[meta]", "[meta]\nworkshop = \"x\"");
    assert!(base().with_own(&over).unwrap_err().iter().any(|d| matches!(d.kind, DefectKind::InBase { .. })));
}

fn check(text: &str, defects: Result<Faults, Vec<Defect>>) -> Result<(), TestCaseError> {
    let Err(defects) = defects else { return Ok(()) };
    prop_assert!(!defects.is_empty() && defects.len() <= MOST_DEFECTS + 1);
    for d in defects {
        prop_assert!(text.get(d.span.clone()).is_some(), "{:?} blames no piece of the text", d);
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn no_text_makes_the_reader_panic(
        from_own in any::<bool>(),
        blows in prop::collection::vec((any::<prop::sample::Index>(), 0u8..6, "[\\PC\"'={}\\[\\]#]{0,8}"), 1..8),
    ) {
        let mut lines: Vec<String> = if from_own { OWN } else { TEXT }.lines().map(str::to_owned).collect();
        for (index, how, scrap) in blows {
            let i = index.index(lines.len());
            lines[i] = match how {
                0 => String::new(),
                1 => format!("{0}\n{0}", lines[i]),
                2 => lines[i].replace('"', ""),
                3 => lines[i].replace(|c: char| c.is_ascii_digit(), "9"),
                4 => lines[i].replace('=', "= -"),
                _ => scrap,
            };
        }
        let text = lines.join("\n");
        check(&text, if from_own { base().with_own(&text) } else { read(&text) })?;
    }

    #[test]
    fn any_text_is_read_or_refused(text in "(meta|cause|job|hits|\\[|\\]|\\{|\\}|=|\"|'|,|\\.|\n|[0-9]|#|\\PC){0,60}") {
        check(&text, read(&text))?;
        check(&text, base().with_own(&text))?;
    }

    #[test]
    fn any_answers_on_any_machine_are_taken_or_refused(
        complaint in 0usize..35,
        system in 0usize..5,
        two_stroke in any::<bool>(),
        cylinders in 1u8..3,
        steps in prop::collection::vec((0usize..65, 0u8..4), 0..40),
    ) {
        use workshop::study::fault::{Said, Step};
        let strokes = if two_stroke { 2 } else { 4 };
        let bike = Bike { systems: vec![System::ALL[system]], strokes, cylinders, battery: Some(false), regulator: None };
        if let Ok(mut case) = Case::new(base(), bike, complaint, Evidence::default()) {
            for (which, how) in steps {
                let step = match how {
                    0 => Step::Tested(which, Said::Yes),
                    1 => Step::Tested(which, Said::No),
                    2 => Step::Tested(which, Said::CannotTell),
                    _ => Step::PutRight(which),
                };
                let _ = case.step(step);
            }
            let study = case.study();
            let sum: f64 = case.belief().shares().iter().sum();
            prop_assert!((sum - 1.0).abs() < 1e-9);
            prop_assert!(study.causes.iter().all(|c| c.chance > 0.0 && c.chance <= 1.0 + 1e-9));
            prop_assert!(study.ahead.0.is_finite() && study.ahead.1.is_finite() && study.spent_min.is_finite());
        }
    }
}
