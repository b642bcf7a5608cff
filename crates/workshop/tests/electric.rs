//! Windings, charging, ride and wires: what a file says of them, and what comes out of it.

use quantity::{Dimension, Reading};
use workshop::{
    machine::{
        DefectKind, EXAMPLES, Inconsistency as Odd, Machine,
        charging::WirePart,
        charging::{ChargeSeen, Choke, Keeps, Kind, Load},
        read,
    },
    study::electric::{
        NotSettled, NotTold,
        alternator::{Alternator, On},
        charge::{self, BreakEven, HotWinding, Warning},
        likeness::{self, Fault, Shown},
        ride::{self, Plan},
        windings::{self, Insulation, JudgedBy, Verdict},
        wires::{self, AmpsFrom, Fuse},
    },
};

const CORRAN: &str = EXAMPLES[0].1;
const TARN: &str = EXAMPLES[2].1;

fn machine(text: &str) -> Machine {
    read(text).unwrap_or_else(|e| panic!("{e:#?}")).0
}

fn reading(text: &str, dimension: Dimension) -> Reading {
    Reading::parse(text, dimension).unwrap()
}

/// The Corran with one piece of its text replaced.
fn corran(from: &str, to: &str) -> String {
    assert_eq!(CORRAN.matches(from).count(), 1, "{from:?} must stand there once");
    CORRAN.replacen(from, to, 1)
}

fn odd(from: &str, to: &str) -> Odd {
    let found = read(&corran(from, to)).expect_err("must be refused");
    let kinds: Vec<_> = found.iter().map(|d| &d.kind).collect();
    let [DefectKind::Inconsistent(kind)] = kinds[..] else { panic!("{kinds:#?}") };
    assert!(!found[0].span.is_empty(), "{} has no place", found[0].path);
    kind.clone()
}

#[test]
fn what_cannot_be_is_refused_with_its_place() {
    assert_eq!(
        odd(
            "name = \"telephone\"\namps = { value = \"1.0 ± 0.3 A\", from = \"estimate\" }",
            "name = \"headlamp\"\namps = \"1 A\""
        ),
        Odd::SameLoad
    );
    assert_eq!(odd("power = { value = \"9 ± 1 W\", from = \"maker\" }\n", ""), Odd::PowerOrAmps);
    let regulator = "regulator = \"shunt\"\n";
    assert_eq!(odd(regulator, "regulator = \"none\"\n"), Odd::VoltsWithoutRegulator);
    let speed = "joined_speed = { value = \"5000 ± 75 rpm\", with = \"clip-on rev counter\" }\n";
    assert_eq!(odd(speed, ""), Odd::JoinedIncomplete);
    assert_eq!(odd(speed, &format!("{speed}inductance = \"0.5 ± 0.1 mH\"\n")), Odd::InductanceOrJoined);
    assert_eq!(odd("[battery]\n", "[battery]\ncharge = \"80 ± 5 %\"\n"), Odd::ChargeOrRestVolts);
    assert_eq!(odd("lights = true\n", ""), Odd::LightsNotSaid);
    assert_eq!(odd("regulator_volts = { value = \"14.3 ± 0.2 V\", with = \"meter\" }\n", ""), Odd::RegulatorWithoutVolts);
    assert_eq!(odd("\"14.3 ± 0.2 V\"", "\"7.2 ± 0.1 V\""), Odd::RegulatorNotForBattery { held_v: 7.2, battery_v: 12.0 });
    assert_eq!(odd("[ride]\nkind = \"town\"", "[ride]\nkind = \"own\""), Odd::RideParts);
    let single = read(&corran("kind = \"three phases, star\"", "kind = \"one phase, full wave\"")).expect_err("must be refused");
    assert!(single.len() == 2 && single.iter().all(|d| d.kind == DefectKind::Inconsistent(Odd::NoSuchLead)));
    assert!(
        matches!(odd("load = \"headlamp\"", "load = \"headlmap\""), Odd::NoSuchLoad { did_you_mean: Some(near), .. } if near == "headlamp")
    );
    assert_eq!(odd("section = \"6 mm²\"", "section = \"6 mm²\"\ngauge = 9"), Odd::SectionOrGauge);
    let shares = TARN.replacen("share = \"50 %\"", "share = \"40 %\"", 1);
    let found = read(&shares).expect_err("must be refused");
    assert!(matches!(found[0].kind, DefectKind::Inconsistent(Odd::RideShares { total }) if (total - 0.9).abs() < 1e-12));
    let leads = CORRAN.replacen("leads = { value = \"0.30 ± 0.02 Ω\"", "leads = { value = \"1.30 ± 0.02 Ω\"", 1);
    let found = read(&leads).expect_err("must be refused");
    assert!(matches!(found[0].kind, DefectKind::Inconsistent(Odd::LeadsExceed { .. })));
}

#[test]
fn windings_are_brought_to_20_degrees_and_judged() {
    let found = windings::study(&machine(CORRAN)).unwrap().windings;
    // IEC 60028 by hand: (0.72 − 0.30) Ω · 254.5/(234.5 + 18).
    assert!((found[0].at_20.si - 0.42 * 254.5 / 252.5).abs() < 1e-12);
    assert!((found[0].at_20.plus_minus_si - (0.03f64.hypot(0.02)) * 254.5 / 252.5).abs() < 2e-3);
    assert_eq!((found[0].verdict, found[0].insulation.unwrap().1), (Verdict::Within, Insulation::Good));
    assert!(matches!(found[3].by, JudgedBy::Trade(least, most) if (least, most) == (72.0, 600.0)));
    let at = |text: &str| {
        windings::study(&machine(&corran("resistance = { value = \"0.72 ± 0.03 Ω\", with = \"meter\" }", text))).unwrap().windings
            [0]
        .clone()
    };
    assert_eq!(at("resistance = \"0.50 ± 0.01 Ω\"").verdict, Verdict::Low);
    assert_eq!(at("resistance = \"0.50 ± 0.01 Ω\"").twins.unwrap().odd, Some(true));
    assert_eq!(at("resistance = \"1.10 ± 0.02 Ω\"").verdict, Verdict::High);
    assert_eq!(at("resistance = \"0.66 ± 0.02 Ω\"").verdict, Verdict::OnTheEdge);
    let hot = machine(&CORRAN.replacen("temperature = { value = \"18 ± 3 °C\"", "temperature = { value = \"90 ± 3 °C\"", 1));
    // 28 % more at 90 than at 20 °C (IEC 60028: 324.5/254.5 = 1.275).
    let hot = windings::study(&hot).unwrap().windings[0].at_20.si;
    assert!((0.42 / hot - 324.5 / 254.5).abs() < 1e-12);
}

#[test]
fn the_corran_charges_as_its_readings_say() {
    let m = machine(CORRAN);
    let found = charge::study(&m).unwrap();
    // A bridge into next to nothing passes 3/π of the peak of the joined amps (11.6 A at 5000 rpm): 15.7 A; at top speed and 14 V it is a little less.
    let limit = 3.0 / std::f64::consts::PI * 2f64.sqrt() * 11.6;
    let top = found.points.last().unwrap();
    assert!(top.gives.si < limit * 1.02 && top.gives.si > 0.96 * limit, "{} {limit}", top.gives.si);
    // It begins where √3 of a phase's peak reaches the battery and two diodes: by hand from 46 V at 3000 rpm.
    let by_hand = (12.5 + 2.0 * 0.8) / (46.0 * 2f64.sqrt()) * 3000.0;
    let rpm = |rad_s: f64| rad_s * 60.0 / std::f64::consts::TAU;
    assert!((rpm(found.cut_in.si) / by_hand - 1.0).abs() < 0.01, "{} {by_hand}", rpm(found.cut_in.si));
    let BreakEven::At(even) = found.break_even else { panic!("{:?}", found.break_even) };
    // On both sides of it the battery fills or empties.
    for p in &found.points {
        assert_eq!(p.battery.si > 0.0, p.crank_rad_s > even.si, "{}", rpm(p.crank_rad_s));
        assert!((p.gives.si * p.through - p.loads_a - p.battery.si).abs() < 1e-6);
        assert!(p.plus.si < 14.31);
    }
    assert!(matches!(found.hot, HotWinding::At(k) if (340.0..450.0).contains(&k.si) && k.plus_minus_si > 5.0));
    // The same volts say the same as [rotor.flux]: a tenth of the flux is gone.
    let likeness = found.likeness.unwrap();
    assert!(likeness.fits && likeness.kinds[0].best == Fault::WeakMagnets(0.9), "{likeness:?}");
    let Err(why) = charge::study(&machine(EXAMPLES[1].1)) else { panic!("the Pellow has no [charging]") };
    assert_eq!(why, NotTold::Missing("charging"));
}

#[test]
fn joined_amps_tell_the_inductance() {
    // Joined, a phase of the star carries E/Z: the amps of a star of known inductance must give it back.
    let mut m = machine(CORRAN);
    let omega = 3.0 * 5000.0 * std::f64::consts::TAU / 60.0;
    let (linkage, ohm, henry) = (46.0 * 2f64.sqrt() / 3f64.sqrt() / (3.0 * 3000.0 * std::f64::consts::TAU / 60.0), 0.21, 3.1e-3);
    let amps = omega * linkage / 2f64.sqrt() / (omega * henry).hypot(ohm);
    let c = m.electric.charging.as_mut().unwrap();
    c.choke = Some(Choke::Joined(reading(&format!("{amps} A"), Dimension::Current), reading("5000 rpm", Dimension::Speed)));
    let a = Alternator::of(&m).unwrap();
    let found = a.circuit(&a.middle()).windings[0].inductance_h;
    assert!((found / henry - 1.0).abs() < 1e-9, "{found}");
    let c = m.electric.charging.as_mut().unwrap();
    c.choke = Some(Choke::Joined(reading("300 A", Dimension::Current), reading("5000 rpm", Dimension::Speed)));
    assert_eq!(Alternator::of(&m).unwrap_err(), NotTold::JoinedTooMuch);
    m.electric.charging.as_mut().unwrap().choke = None;
    assert_eq!(Alternator::of(&m).unwrap_err(), NotTold::NoInductance);
}

/// Readings as meters would take them from a system with a fault, at two speeds, everything on.
fn with_fault(m: &Machine, fault: Fault) -> Machine {
    let a = Alternator::of(m).unwrap();
    let x = a.middle();
    let seen = [2200.0, 4500.0].map(|rpm: f64| {
        let s: Shown = likeness::shown(&a, &x, fault, rpm * std::f64::consts::TAU / 60.0, On::All).unwrap();
        let volts = |v: f64, by: f64| v.is_finite().then(|| reading(&format!("{v:.3} ± {by} V"), Dimension::Voltage));
        let single = matches!(a.charging.kind, Kind::HalfWave | Kind::FullWave);
        let pairs = |list: [f64; 3]| [0, 1, 2].map(|k| if single && k > 0 { None } else { volts(list[k], 0.3) });
        ChargeSeen {
            speed: reading(&format!("{rpm} ± 30 rpm"), Dimension::Speed),
            lights: true,
            amps: Some(reading(&format!("{:.3} ± 0.2 A", s.amps), Dimension::Current)),
            volts: volts(s.volts, 0.05),
            ripple: volts(s.ripple, 0.01),
            leads: pairs(s.leads),
            unplugged: pairs(s.unplugged),
        }
    });
    let mut m = m.clone();
    m.electric.charging.as_mut().unwrap().seen = seen.to_vec();
    m
}

/// The model against itself: whether the weighing finds what the same model shows; that the model is right is for ngspice and the closed forms to say.
#[test]
fn a_fault_that_is_put_in_is_found_again() {
    let (corran, mut tarn) = (machine(CORRAN), machine(TARN));
    tarn.electric.charging.as_mut().unwrap().kind = Kind::HalfWave;
    let mut delta = corran.clone();
    delta.electric.charging.as_mut().unwrap().kind = Kind::Delta;
    let cases = [
        (&corran, Fault::Sound),
        (&corran, Fault::DeadPhase(1)),
        (&corran, Fault::OpenDiode(2, false)),
        (&corran, Fault::ShortedDiode(0, true)),
        (&corran, Fault::WeakMagnets(0.6)),
        (&corran, Fault::TurnsShorted(2, 0.4)),
        (&corran, Fault::AlwaysJoined),
        (&delta, Fault::OpenDiode(1, true)),
        (&delta, Fault::TurnsShorted(0, 0.4)),
        (&tarn, Fault::DeadPhase(0)),
        (&tarn, Fault::WeakMagnets(0.6)),
    ];
    for (m, fault) in cases {
        let found = with_fault(m, fault);
        let a = Alternator::of(&found).unwrap();
        let sets = likeness::sets(&a).unwrap();
        let l = likeness::likeness(&a, &[sets.iter().collect()]).unwrap();
        let same = std::mem::discriminant(&l.kinds[0].best) == std::mem::discriminant(&fault);
        // A shunt regulator that never has to hold shows like one that cannot.
        let twin = fault == Fault::Sound && l.kinds[0].best == Fault::NeverHeld;
        assert!(l.fits && (same || twin), "{fault:?}: {:#?}", l.kinds);
        if fault != Fault::Sound {
            assert!(likeness::compared(&sets).iter().flat_map(|s| &s.1).any(|c| !c.agrees()), "{fault:?} looks sound");
        }
    }
}

#[test]
fn what_no_fault_explains_is_told() {
    let mut m = with_fault(&machine(CORRAN), Fault::Sound);
    // Charging volts of a good system with the amps of a dead one.
    m.electric.charging.as_mut().unwrap().seen[1].amps = Some(reading("-11 ± 0.2 A", Dimension::Current));
    let a = Alternator::of(&m).unwrap();
    let sets = likeness::sets(&a).unwrap();
    let l = likeness::likeness(&a, &[sets.iter().collect()]).unwrap();
    assert!(!l.fits, "{l:#?}");
    assert_eq!(sets.len(), 2);
}

/// One constant load of so many amps and nothing else.
fn constant(m: &mut Machine, amps: f64) {
    let load = Load {
        name: "ignition".to_owned(),
        amps: reading(&format!("{amps} A"), Dimension::Current),
        ohmic: false,
        on: reading("100 %", Dimension::Number),
        off: None,
    };
    m.electric.loads = vec![load];
}

#[test]
fn the_battery_alone_lasts_as_peukert_has_it() {
    let mut m = machine(CORRAN);
    constant(&mut m, 3.0);
    let b = m.electric.battery.as_mut().unwrap();
    b.rest_volts = None;
    b.charge = reading("90 %", Dimension::Number);
    b.temperature = reading("25 °C", Dimension::Temperature);
    m.electric.ride.as_mut().unwrap().ignition_needs = Some(reading("2 V", Dimension::Voltage));
    let found = ride::study(&m).unwrap();
    let alone = found.alone.unwrap()[0];
    // By hand: 9 A·h · 75 %; t = 0.9 · 10 h · (6.75/(3 · 10))^1.2.
    let hours = 0.9 * 10.0 * (6.75f64 / 30.0).powf(1.2);
    assert!((alone.lasts.si / 3600.0 / hours - 1.0).abs() < 1e-9, "{} {hours}", alone.lasts.si / 3600.0);
    // The town's mean speed: 0.3·30 + 0.3·45 + 0.15·55 km/h.
    assert!((alone.way.si / 1e3 / hours - 30.75).abs() < 1e-6);
    assert!(alone.left == 0.0 && alone.lasts.plus_minus_si > 0.0);
    // A module that needs more than the battery has under load does not run at all.
    m.electric.ride.as_mut().unwrap().ignition_needs = Some(reading("12.9 V", Dimension::Voltage));
    assert_eq!(ride::study(&m).unwrap().alone.unwrap()[0].lasts.si, 0.0);
}

#[test]
fn loads_go_off_until_charge_holds() {
    let m = machine(CORRAN);
    let found = ride::study(&m).unwrap();
    // The grips may go first, and then it holds.
    assert_eq!(found.plan, Plan::Off(vec![4]));
    let ends = (found.charge.last().unwrap().1, found.planned.unwrap().last().unwrap().1);
    assert!(ends.1 > ends.0 && ends.1 >= found.charge[0].1 - 0.002, "{ends:?}");
    // Nothing in, a steady amp out: a tenth of nine times three quarters, for an hour, below the rated current.
    let mut m = machine(CORRAN);
    constant(&mut m, 0.5);
    m.electric.charging.as_mut().unwrap().no_load_volts = reading("0.5 V", Dimension::Voltage);
    let c = m.electric.charging.as_mut().unwrap();
    c.choke = Some(Choke::Inductance(reading("6 mH", Dimension::Inductance)));
    c.keeps = Keeps::Nothing;
    let b = m.electric.battery.as_mut().unwrap();
    b.temperature = reading("25 °C", Dimension::Temperature);
    let found = ride::study(&m).unwrap();
    let fell = found.charge[0].1 - found.charge.last().unwrap().1;
    assert!((fell - 0.5 / 6.75).abs() < 1e-4, "{fell}");
    assert_eq!(found.plan, Plan::NotEnough(Vec::new()));
}

#[test]
fn wires_drop_as_the_tables_have_it() {
    let text = CORRAN.to_owned()
        + "\n[[wire]]\nfrom = \"battery\"\nfrom_at = \"30\"\nto = \"load\"\nto_at = \"88z\"\nsection = \"1.5 mm²\"\nlength = \"4 m\"\namps = \"10 A\"\nfuse = \"7.5 A\"\n";
    let found = wires::study(&machine(&text)).unwrap();
    let w = found.wires.last().unwrap();
    // IEC 60228 class 5: 13.3 Ω/km at 20 °C, 274.5/254.5 of it at 40 °C, and more as it warms: between its drop in the loom and 40 K over it.
    let in_loom = 10.0 * 13.3e-3 * 4.0 * 274.5 / 254.5;
    let drop = w.drop.unwrap();
    assert!(drop.si > in_loom && drop.si < in_loom * 314.5 / 274.5, "{} {in_loom}", drop.si);
    assert!((w.ohm.si - in_loom / 10.0).abs() < 1e-12);
    assert_eq!((w.verdict, w.unknown), (wires::Verdict::Drops, [false, true]));
    // 10 A ask for a fuse of 15 A, and 1.5 mm² carries less than that for long: no fuse does both.
    assert!(w.carries_a < 15.0 && w.fuse == Some(Fuse::WireTooThin), "{:?} {}", w.fuse, w.carries_a);
    assert!(!w.no_fuse && !found.wires.iter().any(|w| w.no_fuse && w.fuse.is_some()));
    // 4 m need so much section that 0.3 V are kept: 4.95 Ω/km is 0.21 V, 7.98 is 0.34.
    assert_eq!(w.better_m2.map(|m2| (m2 * 1e7).round()), Some(40.0));
    // AWG 14 by ASTM B258: 2.08 mm², 8.29 Ω/km of solid copper.
    let tarn = wires::study(&machine(TARN)).unwrap();
    assert!((tarn.wires[0].ohm.si / (8.285e-3 * 0.8 * 274.5 / 254.5) - 1.0).abs() < 2e-3, "{}", tarn.wires[0].ohm.si);
}

#[test]
fn rest_volts_at_the_end_of_the_table_have_a_plus_minus_too() {
    for (volts, charge) in [("12.9 ± 0.1 V", 1.0), ("11.5 ± 0.1 V", 0.0), ("12.35 ± 0.1 V", 0.5 + 0.25 * 0.11 / 0.21)] {
        let m = machine(&corran("rest_volts = { value = \"12.5 ± 0.1 V\"", &format!("rest_volts = {{ value = \"{volts}\"")));
        let (si, by) = Alternator::of(&m).unwrap().doubts()[9];
        assert!((si - charge).abs() < 1e-9, "{volts}: {si}");
        // Neighbouring points of the table lie 0.17 to 0.21 V apart; tables differ by 0.05 V.
        let volts_by = 0.1f64.hypot(0.05);
        assert!((0.25 * volts_by / 0.22..0.25 * volts_by / 0.16).contains(&by), "{volts}: {by}");
    }
}

#[test]
fn the_loads_that_heat_the_winding_most_go_with_the_regulator() {
    let shunt = charge::study(&machine(CORRAN)).unwrap();
    assert_eq!(shunt.hot_on, On::Needed);
    // Switching fast, a shunt keeps the windings joined for longer; joined for good is the most that they can have.
    let (fast, _) = shunt.hot_fast.expect("something to hold");
    assert!(fast.si > shunt.hot_w.0.si && fast.si < 1.5 * shunt.hot_w.0.si, "{fast:?} {:?}", shunt.hot_w);
    assert!(fast.plus_minus_si > 0.0);
    let series = machine(&corran("regulator = \"shunt\"", "regulator = \"series\""));
    let found = charge::study(&series).unwrap();
    assert_eq!((found.hot_on, found.hot_fast), (On::All, None));
    let a = Alternator::of(&series).unwrap();
    let (x, omega) = (a.middle(), a.electrical(series.engine.top_speed.si));
    let heat = |on| a.works(&x, &a.circuit(&x), a.regulator(&x), on, omega).unwrap().copper_w.iter().sum::<f64>();
    assert!((found.hot_w.0.si / heat(On::All) - 1.0).abs() < 1e-12 && heat(On::All) > heat(On::Needed));
}

#[test]
fn what_is_dangerous_is_data() {
    assert!(!charge::study(&machine(CORRAN)).unwrap().warnings.iter().any(|w| matches!(w, Warning::Boils { .. })));
    let mut m = machine(CORRAN);
    m.electric.charging.as_mut().unwrap().keeps = Keeps::Nothing;
    let found = charge::study(&m).unwrap().warnings;
    let Some(Warning::Boils { volts, limit_v, read: false }) = found.first().copied() else { panic!("{found:?}") };
    assert!((limit_v - 15.0).abs() < 1e-12 && volts.si + volts.plus_minus_si > limit_v);
    let mut m = machine(CORRAN);
    m.electric.charging.as_mut().unwrap().seen[0].volts = Some(reading("16.2 ± 0.1 V", Dimension::Voltage));
    assert!(
        matches!(charge::study(&m).unwrap().warnings[0], Warning::Boils { read: true, volts, .. } if (volts.si - 16.2).abs() < 1e-9)
    );
    let mut m = machine(CORRAN);
    m.electric.charging.as_mut().unwrap().heats_by = Some(reading("3.0 ± 0.2 K/W", Dimension::ThermalResistance));
    let found = charge::study(&m).unwrap();
    assert!(
        found.warnings.iter().any(|w| matches!(w, Warning::WindingTooWarm { .. } | Warning::WindingRunsAway)),
        "{:?} {:?}",
        found.hot,
        found.warnings
    );
}

#[test]
fn what_is_not_solved_says_why_and_is_no_verdict() {
    let mut m = machine(CORRAN);
    // Pole pairs that turn at nothing: no speed to solve it for.
    m.electric.charging.as_mut().unwrap().turns.si = 0.0;
    m.electric.charging.as_mut().unwrap().choke = Some(Choke::Inductance(reading("0.5 ± 0.1 mH", Dimension::Inductance)));
    assert!(matches!(charge::study(&m), Err(NotTold::NotSolved(NotSettled::BadSpeed | NotSettled::NotACircuit(_)))));
    // A load that battery and alternator cannot feed at any volts.
    let mut m = machine(CORRAN);
    m.electric.battery.as_mut().unwrap().resistance.si = 2.0;
    m.electric.loads.push(Load {
        ohmic: false,
        amps: reading("900 ± 10 A", Dimension::Current),
        off: None,
        ..m.electric.loads[0].clone()
    });
    assert_eq!(ride::study(&m).err(), Some(NotTold::Overloaded));
}

#[test]
fn a_feed_carries_what_the_ignition_takes_where_the_file_does_not_say() {
    let fed = wires::study(&machine(TARN)).unwrap().wires;
    assert_eq!(fed[4].amps_from, Some(AmpsFrom::Load));
    let m = machine(&TARN.replace("load = \"ignition\"\n", ""));
    let i = &m.ignition;
    let (supply, breaker, coil) = (i.supply.as_ref().unwrap(), i.breaker.as_ref().unwrap(), i.coil.as_ref().unwrap());
    // Ohm's law, contacts closed: one coil for both cylinders or one for each.
    let one = (supply.running.si - breaker.drop.si) / (coil.primary_resistance.si + breaker.series.si);
    let coils = if i.spark.unwrap().serves_all { 1.0 } else { m.engine.cylinders.len() as f64 };
    for wire in &wires::study(&m).unwrap().wires[4..6] {
        let amps = wire.amps.expect("worked out");
        assert_eq!(wire.amps_from, Some(AmpsFrom::Ignition));
        assert!((amps.si / (coils * one) - 1.0).abs() < 1e-9 && amps.plus_minus_si > 0.02 * amps.si, "{amps:?} {one}");
    }
    assert_eq!(wires::study(&m).unwrap().wires[6].amps_from, Some(AmpsFrom::Load));
    // A coil for each of two cylinders, fed side by side by two wires of which each carries the half.
    let coil_wires = |m: &Machine| -> Vec<f64> {
        let of = |w: &wires::WireFound| w.amps.filter(|_| w.amps_from == Some(AmpsFrom::Ignition)).map(|a| a.si);
        wires::study(m).unwrap().wires.iter().filter_map(of).collect()
    };
    let mut two = m.clone();
    let to_coil = |w: &&workshop::machine::charging::Wire| [w.from.0, w.to.0].contains(&WirePart::Coil);
    let feed = two.electric.wires.iter().filter(to_coil).find(|w| ![w.from.0, w.to.0].contains(&WirePart::Ignition));
    two.electric.wires.push(feed.expect("a wire to the coil").clone());
    let both = coil_wires(&two);
    let half = |a: &&f64| (**a / (0.5 * coils * one) - 1.0).abs() < 1e-9;
    assert_eq!((both.len(), both.iter().filter(half).count()), (coil_wires(&m).len() + 1, 2), "{both:?}");
}
