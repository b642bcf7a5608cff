//! A job: what is measured in it besides what a machine file asks for, and what is still to do.

pub mod steps;

use quantity::Dimension;

/// A quantity that a mechanic reads off an instrument.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quantity {
    /// Stable key.
    pub key: &'static str,
    /// What the trade calls it.
    pub label: &'static str,
    /// What is measured.
    pub dimension: Dimension,
    /// How one reads, as an example to type from.
    pub example: &'static str,
}

const fn quantity(key: &'static str, label: &'static str, dimension: Dimension, example: &'static str) -> Quantity {
    Quantity { key, label, dimension, example }
}

/// The usual ones, in the order of the work (common practice, no source).
pub const QUANTITIES: [Quantity; 27] = [
    quantity("battery.rest", "Battery volts at rest", Dimension::Voltage, "12.6 ± 0.1 V"),
    quantity("compression", "Compression pressure", Dimension::Pressure, "9.5 ± 0.3 bar"),
    quantity("plug.gap", "Plug gap", Dimension::Length, "0.60 ± 0.05 mm"),
    quantity("cap.resistance", "Plug cap resistance", Dimension::Resistance, "5.1 ± 0.1 kΩ"),
    quantity("coil.primary", "HT coil, primary resistance", Dimension::Resistance, "3.9 ± 0.1 Ω"),
    quantity("coil.secondary", "HT coil, secondary resistance", Dimension::Resistance, "11.2 ± 0.2 kΩ"),
    quantity("pickup.resistance", "Pickup resistance", Dimension::Resistance, "220 ± 3 Ω"),
    quantity("pickup.gap", "Pickup gap", Dimension::Length, "0.55 ± 0.05 mm"),
    quantity("pickup.peak", "Pickup peak, kicking", Dimension::Voltage, "2.4 ± 0.2 V"),
    quantity("source.resistance", "Source coil resistance", Dimension::Resistance, "240 ± 4 Ω"),
    quantity("source.peak", "Source coil peak, kicking", Dimension::Voltage, "110 ± 10 V"),
    quantity("points.gap", "Points gap", Dimension::Length, "0.40 ± 0.03 mm"),
    quantity("earth.drop", "Volt drop, earth side", Dimension::Voltage, "0.12 ± 0.02 V"),
    quantity("feed.drop", "Volt drop, feed side", Dimension::Voltage, "0.25 ± 0.02 V"),
    quantity("charging.volts", "Charging volts", Dimension::Voltage, "14.3 ± 0.1 V"),
    quantity("stator.resistance", "Stator winding resistance", Dimension::Resistance, "0.62 ± 0.05 Ω"),
    quantity("static.advance", "Static timing", Dimension::Advance, "10 ± 1° BTDC"),
    quantity("strobe.advance", "Advance by strobe", Dimension::Advance, "28 ± 1° BTDC"),
    quantity("segment.chord", "Segment, chord", Dimension::Length, "36.9 ± 0.1 mm"),
    quantity("segment.arc", "Segment, along the rim", Dimension::Length, "37.8 ± 0.3 mm"),
    quantity("rim.diameter", "Rim diameter", Dimension::Length, "95.5 ± 0.05 mm"),
    quantity("rim.runout", "Rim run-out", Dimension::Length, "0.04 ± 0.02 mm"),
    quantity("rotor.mass", "Rotor mass", Dimension::Mass, "1.46 ± 0.01 kg"),
    quantity("nut.torque", "Rotor nut torque", Dimension::Torque, "60 ± 3 N·m"),
    quantity("idle.speed", "Idle speed", Dimension::Speed, "1120 ± 20 rpm"),
    quantity("hang.speed", "Hang speed", Dimension::Speed, "1950 ± 100 rpm"),
    quantity("segment.cut", "Cut, along the rim", Dimension::Length, "5.5 ± 0.2 mm"),
];

/// The quantity of that key.
pub fn named(key: &str) -> Option<&'static Quantity> {
    QUANTITIES.iter().find(|q| q.key == key)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_example_reads_as_what_it_stands_for() {
        for q in QUANTITIES {
            let read = quantity::Reading::parse(q.example, q.dimension);
            assert!(read.is_ok_and(|r| r.plus_minus_si > 0.0), "{}", q.key);
            assert_eq!(named(q.key), Some(&q), "one place for a key");
        }
    }
}
