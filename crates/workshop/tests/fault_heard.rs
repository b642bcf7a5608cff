//! Recordings as evidence: made with a fault put in, heard, and weighed. The maker shares nothing with what hears.

use std::f64::consts::TAU;
use workshop::{
    machine::{EXAMPLES, Machine, read},
    made::{Faults as Put, Maker, Run, Wish},
    study::{
        curve,
        fault::{Bike, Case, Evidence, Heard, Of, Signature, Studies, base},
        recording::{Given, Listener, Recorded},
    },
};

fn text() -> &'static str {
    EXAMPLES.iter().find(|(name, _)| *name == "corran-360.toml").unwrap().1
}

fn machine(text: &str) -> Machine {
    read(text).unwrap().0
}

/// A sweep of the engine that is made, heard with the file of another.
fn heard(made: &Machine, file: &Machine, put: Put) -> Recorded {
    let wish = Wish {
        rate_hz: 48_000.0,
        seconds: 12.0,
        run: Run::Sweep,
        fastest_rad_s: Some(6000.0 * TAU / 60.0),
        sweep_rad_s2: 1500.0 * TAU / 60.0,
        exhaust: false,
        mark: false,
        faults: put,
        seed: 3,
    };
    let mut maker = Maker::new(made, &wish).unwrap();
    let mut listener = Listener::new(wish.rate_hz, file, &Given::default());
    while let Some(block) = maker.next_block() {
        listener.push(&block[0], &block[1]);
    }
    listener.finish().unwrap()
}

fn evidence(file: &Machine, heard: &[Heard]) -> Evidence {
    let curve = curve::study(file).unwrap();
    let studies = Studies { curve: Some(&curve), ..Studies::default() };
    Evidence::default().with_heard(base(), file, studies, heard)
}

fn signature(evidence: &Evidence, of: Of) -> &Signature {
    evidence.signatures.iter().find(|s| s.of == of).unwrap_or_else(|| panic!("{of:?}"))
}

/// Likelihood of a cause beside that of anything else.
fn ratio(signature: &Signature, cause: &str) -> f64 {
    let at = base().cause(cause).unwrap();
    signature.causes.iter().find(|(c, _)| *c == at).unwrap().1 / signature.otherwise
}

#[test]
fn a_sound_recording_speaks_against_what_it_would_show() {
    let corran = machine(text());
    let found = heard(&corran, &corran, Put::default());
    let said = evidence(&corran, &[Heard::Ignition(&found)]);
    for (of, cause) in [
        (Of::Recorded, "cdi-mismatch"),
        (Of::Recorded, "pickup-reversed"),
        (Of::Segment, "segment-wrong"),
        (Of::Scatter, "noise-trigger"),
        (Of::Missing, "kill-leak"),
        (Of::Doubled, "noise-trigger"),
    ] {
        let r = ratio(signature(&said, of), cause);
        assert!(r < 1.0, "{of:?} {cause}: {r}");
    }
    // The clock is the pickup: of a plate or a key that has moved it says nothing.
    let recorded = signature(&said, Of::Recorded);
    for cause in ["timing-set", "key-sheared", "rotor-loose"] {
        assert!(recorded.causes.iter().all(|(c, _)| *c != base().cause(cause).unwrap()));
    }
    // Missing sparks come and go; that none is missing says little.
    assert!(ratio(signature(&said, Of::Missing), "kill-leak") > 0.6);
}

#[test]
fn each_fault_that_is_put_in_speaks_for_its_own_causes() {
    let corran = machine(text());
    let said = |put: Put| evidence(&corran, &[Heard::Ignition(&heard(&corran, &corran, put))]);
    let (m, d) = (said(Put { missing: 0.05, ..Put::default() }), said(Put { double: 0.05, ..Put::default() }));
    assert!(ratio(signature(&m, Of::Missing), "kill-leak") > 3.0 && ratio(signature(&m, Of::Doubled), "noise-trigger") < 1.0);
    assert!(ratio(signature(&d, Of::Doubled), "noise-trigger") > 3.0 && ratio(signature(&d, Of::Missing), "kill-leak") < 1.0);
}

/// The Corran with a law of its own: from the trailing edge up to one speed, from the leading edge from another on.
fn with_law(start: u32, full: u32) -> String {
    let (before, rest) = text().split_once("strobe = [").unwrap();
    let (_, after) = rest.split_once("\n]\n").unwrap();
    format!("{before}{after}\n[law]\nkind = \"ramp\"\nstart = \"{start} ± 50 rpm\"\nfull = \"{full} ± 50 rpm\"\n")
}

#[test]
fn another_curve_and_another_segment_show_and_a_turned_plate_does_not() {
    let file = machine(&with_law(1200, 2400));
    let said = |made: &str| evidence(&file, &[Heard::Ignition(&heard(&machine(made), &file, Put::default()))]);
    let of = |e: &Evidence, cause: &str| ratio(signature(e, Of::Recorded), cause);
    let same = said(&with_law(1200, 2400));
    assert!(of(&same, "cdi-mismatch") < 1.0 && of(&same, "pickup-reversed") < 1.0);
    let other = said(&with_law(1200, 4800));
    assert!(of(&other, "cdi-mismatch") > 5.0, "{}", of(&other, "cdi-mismatch"));
    // Eight degrees later, and the pulses with it: the recording is the same, and so is what it says.
    let turned = said(&with_law(1200, 2400).replace("lead = { value = \"36 ± 1° BTDC\"", "lead = { value = \"28 ± 1° BTDC\""));
    assert!(of(&turned, "cdi-mismatch") < 1.0 && of(&turned, "pickup-reversed") < 1.0);
    // A segment that was shortened by 4 mm: seen by its own two pulses.
    let short = said(&with_law(1200, 2400).replace("\"36,9 ± 0,2 mm\"", "\"32,9 ± 0,2 mm\""));
    assert!(ratio(signature(&short, Of::Segment), "segment-wrong") > 5.0);
    assert!(ratio(signature(&same, Of::Segment), "segment-wrong") < 1.0);
}

#[test]
fn a_spark_on_the_other_end_of_the_segment_is_the_pickups_leads() {
    let file = machine(&with_law(1200, 2400));
    let recorded = heard(&file, &file, Put::default());
    let (curve, arc) = (curve::study(&file).unwrap(), recorded.edges.arc.unwrap().recorded.si);
    let leading = recorded.mark_at.si + 0.5 * arc;
    let said = |moved: &dyn Fn(f64, f64) -> f64| {
        let mut r = recorded.clone();
        for row in &mut r.rows {
            row.advance.si = moved(row.advance.si, curve.cylinders[row.cylinder].law.advance(row.speed.si).radians());
        }
        let e = evidence(&file, &[Heard::Ignition(&r)]);
        (ratio(signature(&e, Of::Recorded), "pickup-reversed"), ratio(signature(&e, Of::Recorded), "cdi-mismatch"))
    };
    // Each end taken for the other, and a segment later at all speeds.
    for (leads, module) in [said(&|own, law| own + 2.0 * leading - arc - 2.0 * law), said(&|own, _| own - arc)] {
        assert!(leads > 5.0 && leads > module, "{leads} {module}");
    }
}

#[test]
fn a_shift_within_the_lead_of_the_file_is_one_error_of_all_rows() {
    let file = machine(&with_law(1200, 2400));
    let recorded = heard(&file, &file, Put::default());
    let mut moved = recorded.clone();
    moved.rows.iter_mut().for_each(|r| r.advance.si += 1f64.to_radians());
    let said = |r: &Recorded| evidence(&file, &[Heard::Ignition(r)]);
    // Within the ± of the lead, which all rows share.
    let (before, after) = (said(&recorded), said(&moved));
    let other = |e: &Evidence| ratio(signature(e, Of::Recorded), "cdi-mismatch");
    assert!(other(&after) < 1.0, "{} {}", other(&before), other(&after));
}

#[test]
fn recordings_move_causes_of_a_complaint_and_give_way_to_the_last() {
    let corran = machine(text());
    let (good, bad) = (heard(&corran, &corran, Put::default()), heard(&corran, &corran, Put { missing: 0.1, ..Put::default() }));
    let faults = base();
    let at = faults.complaint("cuts-on-bumps").unwrap();
    let of = |list: &[Heard]| {
        let evidence = evidence(&corran, list).bearing_on(faults, &faults.complaints[at]);
        let study = Case::new(faults, Bike::of(&corran), at, evidence).unwrap().study();
        study.causes.iter().find(|c| faults.causes[c.cause].id == "connector").map_or(0.0, |c| c.chance)
    };
    let (none, sound, ailing) = (of(&[]), of(&[Heard::Ignition(&good)]), of(&[Heard::Ignition(&bad)]));
    assert!(sound <= none && none < ailing, "{sound} {none} {ailing}");
    assert_eq!(of(&[Heard::Ignition(&bad), Heard::Ignition(&good)]), sound);
}
