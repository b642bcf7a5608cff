//! The spark's study: against published ranges, against itself where it must agree, and what it refuses.

use physics::{copper::ratio as copper, spark::open_pulse};
use std::f64::consts::TAU;
use workshop::{
    machine::{self, DefectKind, Inconsistency as Odd, Machine},
    study::{
        Finding, curve,
        spark::{
            Condition, Held, Model, SparkStudy,
            beside::{Kept, beside},
            coils::{Fault, Whose},
            margin::{Case, Verdict, verdict},
            needed::From,
            study,
        },
    },
};

const CORRAN: usize = 0;
const PELLOW: usize = 1;
const TARN: usize = 2;

fn text(which: usize) -> &'static str {
    machine::EXAMPLES[which].1
}

fn with(which: usize, changes: &[(&str, &str)]) -> Machine {
    let mut file = text(which).to_owned();
    for (from, to) in changes {
        assert!(file.contains(from), "{from}");
        file = file.replacen(from, to, 1);
    }
    machine::read(&file).unwrap().0
}

fn found(machine: &Machine) -> SparkStudy {
    let curve = curve::study(machine);
    study(machine, curve.as_ref().map_err(|e| *e)).unwrap()
}

/// Published: about 8 kV for a gap of 0.6 mm at a compression ratio of 8, 8 to 10 kV for 1 mm, up to 30 kV at the worst (Denton, *Automobile Electrical
/// and Electronic Systems*, chapter on ignition, found in stored pages). With what advance it does not say, so it must lie between the earliest and the latest.
#[test]
fn needed_voltage_is_that_of_textbooks() {
    let eight = ("compression_ratio = { value = \"7.6 ± 0.3\"", "compression_ratio = { value = \"8.0 ± 0.3\"");
    for (gap, published) in [("0.60 ± 0.05 mm", (8e3, 8e3)), ("1.00 ± 0.05 mm", (8e3, 10e3))] {
        let machine = with(TARN, &[eight, ("gap = { value = \"0.55 ± 0.05 mm\"", &format!("gap = {{ value = \"{gap}\""))]);
        let points = found(&machine).margin.points;
        let needed = || points.iter().map(|p| p.needed.volts);
        let (low, high) = (
            needed().map(|f| f.si - f.plus_minus_si).fold(f64::INFINITY, f64::min),
            needed().map(|f| f.si + f.plus_minus_si).fold(0.0, f64::max),
        );
        assert!(low < published.0 && high > published.1, "{gap}: {low} {high}");
        assert!(high < 30e3);
        let (least, most) = (needed().map(|f| f.si).fold(f64::INFINITY, f64::min), needed().map(|f| f.si).fold(0.0, f64::max));
        assert!(least <= published.1 && most >= published.0, "{gap}: {least} {most}");
    }
}

/// Usual ranges of the trade, no source: module output 120 to 200 V at the kick, coils 15 to 35 kV, rise 2 to 30 µs of a capacitor and 50 to 200 µs of a coil.
#[test]
fn demos_lie_in_the_ranges_of_the_trade() {
    for (which, rise) in [(CORRAN, (2e-6, 30e-6)), (PELLOW, (2e-6, 30e-6)), (TARN, (50e-6, 200e-6))] {
        let s = found(&with(which, &[]));
        assert_eq!(s.margin.points.len(), 16);
        for p in &s.margin.points {
            assert!((14e3..36e3).contains(&p.available.si), "{p:?}");
            assert!((rise.0..rise.1).contains(&p.rise_s), "{p:?}");
            assert!(p.available.plus_minus_si > 0.02 * p.available.si && p.available.plus_minus_si < 0.4 * p.available.si);
        }
    }
    let corran = found(&with(CORRAN, &[]));
    assert!((120.0..200.0).contains(&corran.margin.points[0].filled.si));
    assert!(corran.output.unwrap().agrees());
    assert_eq!(corran.margin.points[0].needed.from, From::Motored);
    assert_eq!(corran.margin.points[15].needed.from, From::Cycle);
    assert_eq!(found(&with(PELLOW, &[])).margin.points[0].needed.from, From::Plain);
}

/// Motored compression without losses is bounded by the adiabatic law from the closed inlet: p V^1.4 (any text on thermodynamics).
#[test]
fn pressure_at_the_kick_stays_below_adiabatic_compression() {
    let machine = with(TARN, &[]);
    let p = found(&machine).margin.points[0].needed;
    let most = 1.013e5 * 7.6f64.powf(1.4);
    assert!(p.pressure.si < most && p.pressure.si > 0.5 * most, "{p:?} {most}");
}

#[test]
fn every_case_is_worse_and_by_what_it_must_be() {
    for which in [CORRAN, PELLOW, TARN] {
        let s = found(&with(which, &[]));
        let cases: Vec<Case> = s.margin.cases.iter().map(|c| c.case).collect();
        assert_eq!(cases.contains(&Case::WeakBattery), which != CORRAN);
        for c in &s.margin.cases {
            for (k, p) in s.margin.points.iter().enumerate() {
                assert!(c.margin[k].si < p.margin.si, "{which} {:?} {k}", c.case);
                assert_eq!(c.margin[k].si, c.available_v[k] / c.needed_v[k]);
            }
        }
    }
    // A hot coil on points: the current falls as copper has it while it is limited by resistance, and the voltage by no less.
    let s = found(&with(TARN, &[]));
    let hot = s.margin.cases.iter().find(|c| c.case == Case::Hot).unwrap();
    let share = hot.available_v[0] / s.margin.points[0].available.si;
    let series = 0.25;
    let current = (3.4 + series) / (3.4 * copper(293.15, 363.15) + series);
    assert!((share / current - 1.0).abs() < 0.02, "{share} {current}");
}

/// A coil for capacitor discharge on points: V/R of current, far above what points bear; a battery coil on a capacitor: a slower rise and more lost to a
/// fouled plug.
#[test]
fn the_wrong_coil_is_told() {
    let tarn = found(&with(TARN, &[]));
    let [own, other] = &tarn.coils;
    assert_eq!((own.whose, other.whose), (Whose::Own, Whose::OtherKind));
    assert!(own.faults.is_empty(), "{:?}", own.faults);
    // 13.8 V over 0.5 Ω and 0.25 Ω of wiring.
    assert!((other.standing_a.unwrap() - 13.8 / 0.75).abs() < 1e-9);
    let burns = other.faults.iter().any(|f| matches!(f, Fault::TooMuchCurrent { current_a, bears_a } if current_a > bears_a));
    let hot = other.faults.iter().any(|f| matches!(f, Fault::TooHot { .. }));
    assert!(burns && hot, "{:?}", other.faults);
    for which in [CORRAN, PELLOW] {
        let s = found(&with(which, &[]));
        let [own, other] = &s.coils;
        assert!(other.rise_s > 2.0 * own.rise_s);
        assert!(other.kick_fouled.si / other.kick.si < own.kick_fouled.si / own.kick.si);
        assert_eq!((own.standing_a, other.standing_a), (None, None));
    }
}

/// At the lowest battery volts the margin is one, and the study says so when it is run with them.
#[test]
fn the_lowest_battery_volts_are_where_the_margin_is_one() {
    let s = found(&with(TARN, &[]));
    let lowest = s.battery.unwrap();
    let volts = lowest.volts.unwrap();
    assert!(volts.si < lowest.kicking_v && volts.plus_minus_si > 0.1);
    let written = format!("kicking = {{ value = \"{:.6} V\"", volts.si);
    let again = found(&with(TARN, &[("kicking = { value = \"11.4 ± 0.3 V\"", &written)]));
    assert!((again.margin.points[0].margin.si - 1.0).abs() < 1e-3, "{:?}", again.margin.points[0].margin);
    // A plain converter stops before its voltage would fail.
    let pellow = found(&with(PELLOW, &[])).battery.unwrap();
    assert!((pellow.volts.unwrap().si - pellow.stops_v).abs() < 1e-3);
    assert!(found(&with(CORRAN, &[])).battery.is_none());
}

#[test]
fn energy_is_kept_in_every_spark() {
    for which in [CORRAN, PELLOW, TARN] {
        for e in found(&with(which, &[])).energy {
            let b = e.spark.books;
            assert!(b.amiss_j().abs() < 1e-8 * b.before_j, "{b:?}");
            assert!(e.spark.struck_s.is_some() && e.gap.si > 0.0 && e.gap.si < b.before_j + b.given_j);
        }
    }
}

/// The signal's margin, and the largest gap of a sharp pole: 1/gap² (see `physics::law::Pickup`).
#[test]
fn the_signal_of_the_pickups() {
    let s = found(&with(CORRAN, &[])).signal.unwrap();
    assert_eq!(s.len(), 2);
    assert!((s[0].margin.si - 2.3 / 0.8).abs() < 1e-9);
    assert!((s[0].largest_gap.si / (0.55e-3 * (2.3f64 / 0.8).sqrt()) - 1.0).abs() < 1e-6);
    assert!((s[1].peak.si / (2.3 * (0.55f64 / 0.70).powi(2)) - 1.0).abs() < 1e-6);
    // Both are set to the same largest gap: they are alike but for their gaps.
    assert!((s[1].largest_gap.si / s[0].largest_gap.si - 1.0).abs() < 1e-6);
    assert_eq!(verdict(s[0].margin), Verdict::Fires);
    assert_eq!(found(&with(PELLOW, &[])).signal.unwrap_err(), Held::Missing("trigger.pickup.pulse"));
}

/// Each input alone is turned over its ±: with the turns alone in doubt, half of what the study gives at both ends is its ±.
#[test]
fn the_plus_minus_is_what_both_ends_give() {
    let [before, ignition] = text(TARN).split("[spark]").collect::<Vec<_>>()[..] else { panic!("one ignition") };
    let without_doubt = |line: &str| match line.find(" ± ") {
        Some(at) => {
            let end = at + line[at..].find('"').unwrap();
            let unit = line[at + " ± ".len()..end].trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
            format!("{}{unit}{}\n", &line[..at], &line[end..])
        }
        None => format!("{line}\n"),
    };
    let exact: String = ignition.lines().map(without_doubt).collect();
    let file = |turns: &str| {
        let coil = "[coil]\ncoupling = \"0.95\"\nwinding_capacitance = \"50 pF\"\n";
        let plug = "[plug]\ncapacitance = \"10 pF\"\n";
        let file = exact.replacen("\"75\"", &format!("\"{turns}\""), 1).replacen("[coil]\n", coil, 1);
        machine::read(&format!("{before}[spark]{}", file.replacen("[plug]\n", plug, 1))).unwrap().0
    };
    let at = |turns: &str| found(&file(turns)).margin.points[8].available;
    let (low, mid, high) = (at("72"), at("75 ± 3"), at("78"));
    assert_eq!(low.plus_minus_si, 0.0);
    let half = 0.5 * (high.si - low.si).abs();
    assert!((mid.plus_minus_si / half - 1.0).abs() < 1e-6, "{mid:?} {half}");
}

#[test]
fn what_is_missing_is_named_and_what_cannot_be_is_refused() {
    let without = |which: usize, table: &str| {
        let file = text(which);
        let begin = file.find(&format!("\n[{table}]\n")).unwrap();
        let end = file[begin + 2..].find("\n[").map_or(file.len(), |e| begin + 2 + e);
        machine::read(&format!("{}{}", &file[..begin], &file[end..]))
    };
    for (which, tables) in [
        (CORRAN, vec!["spark", "store", "coil", "plug"]),
        (PELLOW, vec!["supply", "store", "converter"]),
        (TARN, vec!["supply", "breaker"]),
    ] {
        for table in tables {
            let machine = without(which, table).unwrap().0;
            let why = study(&machine, Err(workshop::study::NotStudied::NoCurve)).unwrap_err();
            let Held::Missing(named) = why;
            assert_eq!(named, table);
        }
    }
    let refused = |which: usize, from: &str, to: &str, odd: fn(&Odd) -> bool| {
        let file = text(which).replacen(from, to, 1);
        assert_ne!(file, text(which), "{from}");
        let defects = machine::read(&file).unwrap_err();
        assert!(defects.iter().any(|d| matches!(&d.kind, DefectKind::Inconsistent(k) if odd(k))), "{defects:?}");
    };
    refused(TARN, "dwell = {", "dwell_time = \"4 ms\"\ndwell = {", |o| matches!(o, Odd::OneDwell));
    refused(TARN, "every = \"cycle\"", "every = \"turn\"", |o| matches!(o, Odd::DwellTooLong { .. }));
    refused(CORRAN, "worn_gap = { value = \"0.90", "worn_gap = { value = \"0.60", |o| matches!(o, Odd::WornBelowNew { .. }));
    let three = "[[source.winding]]\nvolts = \"30 V\"\nspeed = \"480 rpm\"\nresistance = \"24 Ω\"\ninductance = \"10 mH\"\n\n";
    refused(CORRAN, "[coil]", &format!("{three}{three}[coil]"), |o| matches!(o, Odd::TooManyWindings { given: 3, most: 2 }));
}

/// Fouled and hot at once, as a condition of the model.
#[test]
fn conditions_add_up() {
    let machine = with(TARN, &[]);
    let model: Model = Model::of(&machine).unwrap();
    let speed = 1000.0 * TAU / 60.0;
    let v = |fouled, hot| {
        let m = model.in_condition(Condition { fouled, hot });
        open_pulse(&m.circuit(m.filled(speed, 13.8), 13.8)).peak_v
    };
    assert!(v(true, true) < v(true, false) && v(true, false) < v(false, false) && v(false, true) < v(false, false));
}

/// Readings of a job against the same part of the file at another temperature or speed (IEC 60028; a peak goes with speed).
#[test]
fn readings_of_a_job_stand_beside_the_file() {
    let tarn = with(TARN, &[]);
    let (coil, plug) = (tarn.ignition.coil.as_ref().unwrap(), tarn.ignition.plug.as_ref().unwrap());
    let kept = |what: &'static str, si: f64, by: f64| Kept {
        what,
        place: "",
        read: Finding { si, plus_minus_si: by },
        temperature_k: None,
        crank_rad_s: None,
        loaded: false,
    };
    let celsius = |k: f64| k - 273.15;
    let hot = coil.primary_resistance.si * (234.5 + 90.0) / (234.5 + celsius(coil.read_at.si));
    let all = [
        Kept { temperature_k: Some(363.15), ..kept("coil.primary", hot, 0.02 * hot) },
        Kept { temperature_k: Some(363.15), ..kept("coil.primary", coil.primary_resistance.si, 0.02 * hot) },
        kept("plug.gap", plug.gap.si + 0.3e-3, 0.02e-3),
        kept("compression", 9e5, 1e4),
        kept("source.peak", 100.0, 5.0),
    ];
    let found = beside(&tarn, &all);
    // Compression is no matter of the spark, and points have no source coil.
    assert_eq!(found.iter().map(|b| (b.kept, b.check.agrees())).collect::<Vec<_>>(), [(0, true), (1, false), (2, false)]);
    assert!((found[0].check.computed.si / hot - 1.0).abs() < 1e-9);
    let corran = with(CORRAN, &[]);
    let w = &corran.ignition.source.as_ref().unwrap().windings[0];
    let speed = 600.0 * TAU / 60.0;
    let peak = w.volts.si / w.speed.si * speed;
    let open = Kept { crank_rad_s: Some(speed), ..kept("source.peak", peak, 0.05 * peak) };
    let found = beside(&corran, &[open, Kept { loaded: true, ..open }]);
    assert!(found.len() == 1 && found[0].check.agrees() && (found[0].check.computed.si / peak - 1.0).abs() < 1e-9, "{found:?}");
    // A pickup at its kick, and at twice that speed.
    let kick = corran.engine.kicking_speed.si;
    let at_kick = beside(&corran, &[kept("pickup.peak", 2.0, 0.2)])[0].check.computed;
    let twice = beside(&corran, &[Kept { crank_rad_s: Some(2.0 * kick), ..kept("pickup.peak", 4.0, 0.2) }])[0].check.computed;
    assert!((twice.si / at_kick.si - 2.0).abs() < 1e-9 && twice.plus_minus_si < 2.0 * at_kick.plus_minus_si);
    // A module's output: what the file's own reading of it is held against, and nothing where points break a coil's current.
    let module =
        |machine: &Machine, at: Option<f64>| beside(machine, &[Kept { crank_rad_s: at, ..kept("module.peak", 200.0, 10.0) }]);
    let drawn = curve::study(&corran).unwrap();
    let own = study(&corran, Ok(&drawn)).unwrap().output.expect("the file has one");
    let store = corran.ignition.store.as_ref().unwrap();
    let at = store.output_speed.as_ref().map_or(kick, |s| s.si);
    let found = module(&corran, Some(at))[0].check.computed;
    // A job's speed has no ± of its own.
    assert!((found.si / own.computed.si - 1.0).abs() < 1e-9 && found.plus_minus_si <= own.computed.plus_minus_si * (1.0 + 1e-9));
    assert!(module(&tarn, None).is_empty());
}

#[test]
fn volts_at_the_ignition_are_those_of_the_battery() {
    let at = |from: &str, to: &str| {
        let found = machine::read(&text(TARN).replacen(from, to, 1)).expect_err("must be refused");
        assert_eq!(found.len(), 1, "{found:#?}");
        (found[0].path.clone(), found[0].kind.clone())
    };
    for (from, to, path, supply_v) in [
        ("\"13.8 ± 0.3 V\"", "\"6.9 ± 0.3 V\"", "supply.running", 6.9),
        ("\"11.4 ± 0.3 V\"", "\"18.4 ± 0.3 V\"", "supply.kicking", 18.4),
        ("\"9.0 ± 0.3 V\"", "\"19 ± 0.3 V\"", "supply.weak", 19.0),
    ] {
        let odd = DefectKind::Inconsistent(Odd::SupplyNotForBattery { supply_v, battery_v: 12.0 });
        assert_eq!(at(from, to), (path.to_owned(), odd));
    }
}
