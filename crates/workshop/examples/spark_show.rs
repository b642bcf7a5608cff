use workshop::{machine, study};
fn main() {
    for (name, text) in machine::EXAMPLES {
        let (machine, _) = machine::read(text).unwrap();
        let curve = study::curve::study(&machine).unwrap();
        let s = study::spark::study(&machine, Ok(&curve)).unwrap();
        println!("{name} {:?} {}", s.kind, s.turns_between);
        for p in &s.margin.points {
            println!(
                "{:6.0} rpm fill {:7.2}±{:5.2} avail {:6.2}±{:4.2} kV rise {:6.1} us need {:5.2}±{:4.2} worn {:5.2}±{:4.2} adv {:5.1} p {:5.2} bar T {:4.0} {:?} margin {:.2}±{:.2}",
                p.speed_rad_s * 9.5493,
                p.filled.si,
                p.filled.plus_minus_si,
                p.available.si / 1e3,
                p.available.plus_minus_si / 1e3,
                p.rise_s * 1e6,
                p.needed.volts.si / 1e3,
                p.needed.volts.plus_minus_si / 1e3,
                p.needed.worn.si / 1e3,
                p.needed.worn.plus_minus_si / 1e3,
                p.needed.advance_rad.to_degrees(),
                p.needed.pressure.si / 1e5,
                p.needed.temperature.si,
                p.needed.from,
                p.margin.si,
                p.margin.plus_minus_si
            );
        }
        for c in &s.margin.cases {
            println!("{:?}: {:?}", c.case, c.margin.iter().map(|m| (m.si * 100.0).round() / 100.0).collect::<Vec<_>>());
        }
        for e in &s.energy {
            println!("{:?}\n amiss {:e}", e, e.spark.books.amiss_j());
        }
        for c in &s.coils {
            println!("{:?}", c);
        }
        println!("{:?}\n{:?}\n{:?}", s.battery, s.output, s.signal);
    }
}
