//! A job: what is measured in it besides what a machine file asks for, and what is still to do.

pub mod steps;

use quantity::{Dimension, Parts, Reading, Unit};

/// Key of the work of trimming the segment, which cannot be undone whatever is said of it.
pub const TRIM: &str = "trim";

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
pub const QUANTITIES: [Quantity; 29] = [
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
    quantity("module.peak", "Module output peak, kicking", Dimension::Voltage, "165 ± 10 V"),
    quantity("points.gap", "Points gap", Dimension::Length, "0.40 ± 0.03 mm"),
    quantity("earth.drop", "Volt drop, earth side", Dimension::Voltage, "0.12 ± 0.02 V"),
    quantity("feed.drop", "Volt drop, feed side", Dimension::Voltage, "0.25 ± 0.02 V"),
    quantity("charging.volts", "Charging volts", Dimension::Voltage, "14.3 ± 0.1 V"),
    quantity("stator.resistance", "Stator winding resistance", Dimension::Resistance, "0.62 ± 0.05 Ω"),
    quantity("alternator.open", "Alternator volts, unplugged", Dimension::Voltage, "41 ± 1 V"),
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

/// Unit and ± of an instrument, as they were last written with it: all that a reading may lack.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Shown {
    /// Unit, by its symbol; empty if none was written.
    pub unit: String,
    /// The ± without the unit if that is the same, such as `0.05` or `1 %`; empty if none was written.
    pub plus_minus: String,
}

impl Shown {
    /// What a written reading says about its instrument. `None` where no number stands.
    pub fn of(typed: &str) -> Option<Self> {
        let parts = Parts::of(typed).ok()?;
        let symbol =
            |text: &str| Unit::named(text).filter(|u| *u != Unit::One).map_or_else(String::new, |u| u.symbol().to_owned());
        let doubt = parts.plus_minus.map(|d| (d, symbol(d.unit)));
        let own = symbol(parts.value.unit);
        let relative = |unit: &str| unit.starts_with('%');
        let unit = match &doubt {
            Some((d, unit)) if own.is_empty() && !relative(d.unit) => unit.clone(),
            _ => own,
        };
        let plus_minus = match doubt {
            None => String::new(),
            Some((d, _)) if relative(d.unit) => format!("{} %", d.number),
            Some((d, u)) if u.is_empty() || u == unit => d.number.to_owned(),
            Some((d, u)) => joined(d.number, &u),
        };
        Some(Self { unit, plus_minus })
    }

    /// A reading with the unit and ± that it lacks, to be shown before it is kept. `None` where it lacks nothing that is
    /// known, or where that would make something else of the number, as of an ambiguous one.
    ///
    /// ```
    /// use workshop::job::Shown;
    /// use quantity::Dimension;
    /// let feeler = Shown { unit: "mm".to_owned(), plus_minus: "0.05".to_owned() };
    /// assert_eq!(feeler.complete("0,55", Dimension::Length).as_deref(), Some("0,55 ± 0.05 mm"));
    /// assert_eq!(feeler.complete("0.022 in", Dimension::Length).as_deref(), Some("0.022 in ± 0.05 mm"));
    /// assert_eq!(feeler.complete("0.55 ± 0.1", Dimension::Length).as_deref(), Some("0.55 ± 0.1 mm"));
    /// assert_eq!(feeler.complete("1,200", Dimension::Length), None);
    /// ```
    pub fn complete(&self, typed: &str, dimension: Dimension) -> Option<String> {
        let typed = typed.trim();
        let parts = Parts::of(typed).ok()?;
        let has_unit = !parts.value.unit.is_empty() || parts.plus_minus.is_some_and(|d| !matches!(d.unit, "" | "%"));
        let with_unit = if has_unit { typed.to_owned() } else { joined(typed, &self.unit) };
        let alone = Reading::parse(&with_unit, dimension).ok()?;
        let doubt = Parts::of(&self.plus_minus).ok().filter(|_| parts.plus_minus.is_none());
        let whole = match doubt.map(|d| d.value.unit) {
            None => with_unit,
            Some("") => joined(&format!("{typed} ± {}", self.plus_minus), &self.unit),
            Some(_) => format!("{with_unit} ± {}", self.plus_minus),
        };
        let read = Reading::parse(&whole, dimension).ok()?;
        (whole != typed && read.si == alone.si).then_some(whole)
    }
}

/// A number and its unit; degrees stand close.
fn joined(number: &str, unit: &str) -> String {
    let between = if unit.is_empty() || unit.starts_with("° ") || unit == "°" { "" } else { " " };
    format!("{number}{between}{unit}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unit_and_doubt_are_taken_from_every_way_of_writing_them() {
        for (typed, unit, plus_minus) in [
            ("0,85 ± 0.05 mm", "mm", "0.05"),
            ("0.85 mm +/- 0.05 mm", "mm", "0.05"),
            ("0.85mm+-0.05", "mm", "0.05"),
            ("12.6 V ± 1 %", "V", "1 %"),
            ("12.6 ± 1% V", "", "1 %"),
            ("33.2 mm ± 0.01 in", "mm", "0.01 in"),
            ("10 ± 1° BTDC", "° BTDC", "1"),
            ("4° atdc", "° ATDC", ""),
            ("220", "", ""),
        ] {
            let shown = Shown { unit: unit.to_owned(), plus_minus: plus_minus.to_owned() };
            assert_eq!(Shown::of(typed), Some(shown), "{typed}");
        }
        assert_eq!(Shown::of("a lot"), None);
    }

    #[test]
    fn only_what_is_missing_is_filled_in() {
        let shown = |unit: &str, plus_minus: &str| Shown { unit: unit.to_owned(), plus_minus: plus_minus.to_owned() };
        let (length, volts, advance) = (Dimension::Length, Dimension::Voltage, Dimension::Advance);
        for (typed, known, dimension, whole) in [
            ("0.85", shown("mm", "0.05"), length, Some("0.85 ± 0.05 mm")),
            ("0.85 mm", shown("mm", "0.05"), length, Some("0.85 mm ± 0.05 mm")),
            ("12,6", shown("V", "1 %"), volts, Some("12,6 V ± 1 %")),
            ("12,6 V", shown("V", "1 %"), volts, Some("12,6 V ± 1 %")),
            ("10", shown("° BTDC", "1"), advance, Some("10 ± 1° BTDC")),
            ("0.85 ± 0.05 mm", shown("mm", "0.02"), length, None),
            ("0.85", shown("V", "0.1"), length, None),
            ("0.85", shown("", ""), length, None),
            ("", shown("mm", "0.05"), length, None),
            ("much", shown("mm", "0.05"), length, None),
            // With the point of the ± the comma would set thousands apart.
            ("1,200", shown("mm", "0.05"), length, None),
            ("0,200", shown("mm", "0.05"), length, Some("0,200 ± 0.05 mm")),
        ] {
            assert_eq!(known.complete(typed, dimension).as_deref(), whole, "{typed} with {known:?}");
        }
    }

    #[test]
    fn every_example_reads_as_what_it_stands_for() {
        for q in QUANTITIES {
            let read = quantity::Reading::parse(q.example, q.dimension);
            assert!(read.is_ok_and(|r| r.plus_minus_si > 0.0), "{}", q.key);
            assert_eq!(named(q.key), Some(&q), "one place for a key");
        }
    }
}
