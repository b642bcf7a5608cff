//! Which puller and mandrel fit, from a machine file. The machine is invented.

mod written;

use physics::rotor::thread::Metric;
use workshop::{
    machine::{EXAMPLES, read},
    study::{
        rotor::{
            fitting::{Misfit, widest_m},
            held,
            magnets::NotFound,
        },
        warning::{BoreNumber, Warning},
    },
};
use written::close;

/// The Corran with pieces of its text replaced, each of which stands there once.
fn text(changes: &[(&str, &str)]) -> String {
    let mut text = EXAMPLES[0].1.to_owned();
    for (from, to) in changes {
        assert_eq!(text.matches(from).count(), 1, "{from:?} must stand there once");
        text = text.replacen(from, to, 1);
    }
    text
}

fn held_of(changes: &[(&str, &str)]) -> held::HeldStudy {
    let (machine, _) = read(&text(changes)).unwrap_or_else(|d| panic!("{d:#?}"));
    held::study(&machine, None, None).unwrap()
}

fn misfits(changes: &[(&str, &str)]) -> Vec<Misfit> {
    held_of(changes).puller_fits.unwrap()
}

const BOLTS: &str = "by = \"bolts\"\nthread = \"8 mm\"\npitch = \"1.25 mm\"";
const CIRCLE: &str = "\ncircle = { value = \"62.0 ± 0.2 mm\"";

/// Limits of inner threads of class 6H as tables print them (ISO 965-2, from memory): M6 5.153, M8 6.912, M10 8.676, M12 10.441 mm; M5 × 0.8 4.334.
#[test]
fn a_tapped_hole_is_no_wider_than_the_tables_allow() {
    // The standard rounds a tolerance of 0.2 to 0.4 mm to steps of six in a hundred.
    const ROUNDED_MM: f64 = 0.012;
    for (d, p, most) in [(5.0, 0.8, 4.334), (6.0, 1.0, 5.153), (8.0, 1.25, 6.912), (10.0, 1.5, 8.676), (12.0, 1.75, 10.441)] {
        let ours = widest_m(&Metric::new(d * 1e-3, p * 1e-3).unwrap()) * 1e3;
        assert!((ours - most).abs() < ROUNDED_MM, "M{d}: {ours} against {most}");
    }
}

/// Three M8 on 62 mm into three holes of 6.8 on 62 mm: drilled d − P = 6.75, as any tapping table has it.
#[test]
fn the_puller_is_set_against_the_holes() {
    let found = held_of(&[]);
    assert_eq!(found.puller_fits, Ok(vec![]));
    assert!(!found.pull.unwrap().steps.is_empty());
    // M8 × 1 is 6.917 mm inside at the least by its tables, and the holes are no more than 6.9.
    let fine = misfits(&[(BOLTS, "by = \"bolts\"\nthread = \"8 mm\"\npitch = \"1 mm\"")]);
    let [Misfit::HoleTooNarrow { hole, least_m }] = fine[..] else { panic!("{fine:?}") };
    close(hole.si * 1e3, 6.8, 1e-9);
    assert!((least_m * 1e3 - 6.917).abs() < 5e-4);
    let wide = misfits(&[(BOLTS, "by = \"bolts\"\nthread = \"6 mm\"\npitch = \"1 mm\"")]);
    assert!(matches!(wide[..], [Misfit::HoleTooWide { .. }]), "{wide:?}");
    // 62.0 ± 0.2 mm: bolts of 8 mm have 0.8 mm of play in their plate, so 63.1 ± 0.2 mm may still go on and 63.4 ± 0.1 mm does not.
    assert_eq!(misfits(&[(CIRCLE, "\ncircle = { value = \"63.1 ± 0.2 mm\"")]), []);
    let apart = misfits(&[(CIRCLE, "\ncircle = { value = \"63.4 ± 0.1 mm\"")]);
    assert!(matches!(apart[..], [Misfit::Circle { .. }]), "{apart:?}");
    assert_eq!(misfits(&[("bolts = 3", "bolts = 2")]), [Misfit::Count { bolts: 2, holes: 3 }]);
    let deep = misfits(&[("engaged = { value = \"7.0 ± 0.3 mm\"", "engaged = { value = \"9.0 ± 0.3 mm\"")]);
    assert!(matches!(deep[..], [Misfit::TooDeep { .. }]), "{deep:?}");
    // Nothing is tightened with a puller that does not fit.
    assert!(held_of(&[("bolts = 3", "bolts = 2")]).pull.unwrap().steps.is_empty());
    let none = held_of(&[("purpose = \"puller\"", "purpose = \"bolt\"")]);
    assert_eq!(none.puller_fits, Err(NotFound::Missing("rotor.hole")));
}

#[test]
fn a_boss_thread_is_set_against_the_boss() {
    let with = |size: &str| misfits(&[(BOLTS, &format!("by = \"boss thread\"\nthread = \"{size} mm\"\npitch = \"1.25 mm\""))]);
    assert_eq!(with("27"), []);
    // Over the boss of 40.0 ± 0.1 mm.
    assert_eq!(with("40"), []);
    assert!(matches!(with("42")[..], [Misfit::BossTooThin { .. }]));
    // The bore is 14.8 mm at that end: a thread of 14 mm has nothing to hold on to.
    assert!(matches!(with("14")[..], [Misfit::BoreTooWide { .. }]));
}

/// Arithmetic: 0.150 over 32 mm takes 4.8 mm off 19.6; half of 0.150 is the tangent of a side.
#[test]
fn the_mandrel_is_named_by_the_bore() {
    let m = held_of(&[]).mandrel.unwrap();
    close(m.small.si * 1e3, 14.8, 1e-9);
    close(m.side.si, 0.075f64.atan(), 1e-12);
    close(m.small.plus_minus_si * 1e3, (0.05f64.powi(2) + 0.032f64.powi(2) + 0.03f64.powi(2)).sqrt(), 1e-6);
    assert_eq!(m.thread_m, [12e-3, 1.25e-3]);
}

/// The bore of the section and the taper are one cone: what differs by more than both ± is said.
#[test]
fn a_bore_that_is_not_the_taper_is_said() {
    let said = |changes: &[(&str, &str)]| -> Vec<BoreNumber> {
        let warnings = read(&text(changes)).unwrap().1;
        warnings
            .iter()
            .filter_map(|w| if let Warning::BoreNotTheTaper { number, .. } = w { Some(*number) } else { None })
            .collect()
    };
    assert_eq!(said(&[]), []);
    let bore = |at: &str, small: &str| -> Vec<BoreNumber> {
        said(&[
            ("inside = { value = \"19.6 ± 0.1 mm\"", &format!("inside = {{ value = \"{at} ± 0.1 mm\"")),
            ("inside_at_to = { value = \"14.8 ± 0.1 mm\"", &format!("inside_at_to = {{ value = \"{small} ± 0.1 mm\"")),
        ])
    };
    // Within both ± of 0.05 and 0.1 mm.
    assert_eq!(bore("19.7", "14.8"), []);
    assert_eq!(bore("19.8", "15.0"), [BoreNumber::LargeEnd, BoreNumber::SmallEnd]);
    // 4.4 mm over 32 are 0.1375, and 0.150 ± 0.001 lies farther off than ± 0.0045.
    assert_eq!(bore("19.6", "15.2"), [BoreNumber::SmallEnd, BoreNumber::Ratio]);
}
