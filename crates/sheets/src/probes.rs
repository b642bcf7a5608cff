//! Where a meter's probes stand on a machine's wiring, test by test.

use workshop::machine::{
    Machine,
    charging::{Wire, WirePart},
};

/// Where a probe stands: a terminal of a part, or the bare frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Probe<'m> {
    /// A terminal, by part and name.
    At(WirePart, &'m str),
    /// The frame.
    Frame,
}

/// Both ends of a wire, each seen from the other.
fn ends(wire: &Wire) -> [(&(WirePart, String), WirePart); 2] {
    [(&wire.from, wire.to.0), (&wire.to, wire.from.0)]
}

/// Terminals of a part with a wire to a part of this kind, in the order of the file, each once.
fn terminals(machine: &Machine, part: WirePart, to: impl Fn(WirePart) -> bool) -> Vec<Probe<'_>> {
    let mut found = Vec::new();
    for ((own, name), other) in machine.electric.wires.iter().flat_map(ends) {
        let probe = Probe::At(*own, name);
        if *own == part && to(other) && !found.contains(&probe) {
            found.push(probe);
        }
    }
    found
}

/// Probes of a test in the order in which they are numbered on the drawing; none where the test has none or the file's wires do not show the place. Which of two
/// probes is plus is not said: the machine may have either pole on its frame.
pub fn probes<'m>(machine: &'m Machine, test: &str) -> Vec<Probe<'m>> {
    use WirePart::{Alternator, Battery, Coil, Frame, Fuse, Ignition, Load, Regulator, Switch};
    let of = |part: WirePart, to: &dyn Fn(WirePart) -> bool| terminals(machine, part, to);
    let framed = |part: WirePart| of(part, &|other| other == Frame);
    let live = || of(Battery, &|other| other != Frame).into_iter().take(1).collect::<Vec<_>>();
    let fed = || {
        let from = |other: WirePart| matches!(other, Battery | Fuse | Switch | Regulator);
        // A module with a source coil of its own has no feed; its wire to the switch is the one that stops it.
        if !of(Ignition, &|other| other == Alternator).is_empty() {
            return Vec::new();
        }
        let coil = of(Coil, &from);
        if coil.is_empty() { of(Ignition, &from) } else { coil }
    };
    let with_frame = |mut list: Vec<Probe<'m>>| {
        if !list.is_empty() {
            list.push(Probe::Frame);
        }
        list
    };
    let both = |one: Vec<Probe<'m>>, other: Vec<Probe<'m>>| {
        if one.is_empty() || other.is_empty() { Vec::new() } else { [one, other].concat() }
    };
    let source = || with_frame(of(Alternator, &|other| other == Ignition));
    match test {
        "drop-feed" => both(live(), fed()),
        "drop-earth" => both(framed(Battery), [framed(Ignition), framed(Regulator), vec![Probe::Frame]].concat()),
        "battery-bridge" => with_frame(fed()),
        "battery-load" => both(live(), framed(Battery)),
        "drain" | "drain-rectifier" => with_frame(framed(Battery)),
        "stator-ohms" | "insulation" => with_frame(of(Alternator, &|other| matches!(other, Regulator | Load))),
        "stator-acv" => of(Alternator, &|other| matches!(other, Regulator | Load)),
        "diode-test" => both(of(Regulator, &|other| other == Alternator), of(Regulator, &|other| other != Alternator)),
        "reg-bridge" => both(framed(Regulator), framed(Battery)),
        "source-ohms" | "source-peak" => source(),
        "coil-ohms" => of(Coil, &|_| true),
        "module-peak" => with_frame(of(Coil, &|other| other == Ignition)),
        "lamp-ac" => with_frame(of(Load, &|_| true)),
        _ => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use workshop::machine::{EXAMPLES, read};

    #[test]
    fn probes_stand_where_the_wires_of_the_file_lead() {
        let [corran, pellow, tarn] = ["corran-360.toml", "pellow-125.toml", "tarn-500.toml"].map(|name| {
            let text = EXAMPLES.iter().find(|e| e.0 == name).unwrap().1;
            read(text).unwrap().0
        });
        let at = |part, name| Probe::At(part, name);
        assert_eq!(probes(&tarn, "drop-feed"), [at(WirePart::Battery, "30"), at(WirePart::Coil, "15")]);
        assert_eq!(probes(&corran, "source-peak"), [at(WirePart::Alternator, "59"), Probe::Frame]);
        assert_eq!(probes(&corran, "stator-acv"), ["U", "V", "W"].map(|n| at(WirePart::Alternator, n)));
        assert_eq!(probes(&corran, "module-peak"), [at(WirePart::Coil, "1"), Probe::Frame]);
        // No feed from the battery, no wires at all: nothing is invented.
        assert_eq!(probes(&corran, "drop-feed"), []);
        assert_eq!(probes(&pellow, "stator-ohms"), []);
        assert_eq!(probes(&tarn, "compression"), []);
    }
}
