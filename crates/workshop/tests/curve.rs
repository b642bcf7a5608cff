//! The curve study on the demonstration machines and on the common-practice case.

use std::f64::consts::TAU;
use std::time::Instant;
use workshop::machine::{EXAMPLES, Machine, read};
use workshop::study::curve::{LawKind, study};

fn machine(name: &str) -> Machine {
    let text = EXAMPLES.iter().find(|(n, _)| n.starts_with(name)).unwrap().1;
    read(text).unwrap().0
}

#[test]
fn show() {
    for name in ["corran", "pellow", "tarn"] {
        let m = machine(name);
        let t = Instant::now();
        let s = study(&m);
        println!("{name} {:?}", t.elapsed());
        let s = s.unwrap();
        println!("{:?} {:?} {:?}", s.support, s.agreement, s.warnings);
        for c in &s.cylinders {
            println!("{:?}", c.kind);
            for p in &c.parameters { println!("  {:?} {} ± {} ({:.1} deg / {:.0} rpm)", p.name, p.value.si, p.value.plus_minus_si, p.value.si.to_degrees(), p.value.si*60./TAU); }
            for r in &c.readings { println!("  {:.0} {:.2}±{:.2} res {:.2} w {:.2}", r.speed.si*60./TAU, r.advance.si.to_degrees(), r.advance.plus_minus_si.to_degrees(), r.residual_rad.to_degrees(), r.weight); }
            for b in c.band.iter().step_by(10) { println!("   band {:.0} {:.2} ± {:.2}", b.speed_rad_s*60./TAU, b.advance.si.to_degrees(), b.advance.plus_minus_si.to_degrees()); }
        }
    }
    let _ = LawKind::Ramp;
}
