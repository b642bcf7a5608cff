//! Entries to write, and a generator that gives the same numbers everywhere.
#![allow(dead_code, reason = "each test file uses some of it")]

use jobbook::*;

pub fn stamp(at: i64) -> Stamp<'static> {
    Stamp { who: "E.", at: UnixSeconds(at) }
}

pub fn headline(complaint: &str) -> Headline {
    Headline { complaint: complaint.to_owned(), ..Headline::default() }
}

pub fn note(words: &str) -> Note {
    Note { words: words.to_owned(), about: String::new() }
}

pub fn reading(value_si: f64) -> Reading {
    Reading {
        stage: Stage::AsFound,
        what: "pickup.resistance".into(),
        words: "Pickup resistance".into(),
        place: "left".into(),
        typed: format!("{value_si}"),
        value_si,
        plus_minus_si: 3.0,
        unit: "ohm".into(),
        instrument: "meter 2".into(),
        temperature_k: Some(293.15),
        crank_rad_s: None,
        condition: Some(Condition::Open),
        origin: Origin::Measured,
        taken_at: UnixSeconds(1_700_000_000),
    }
}

pub fn part(name: &str, quantity: f64, minor: i64) -> Part {
    let price = Some(Price { minor, currency: "EUR".into() });
    Part { name: name.to_owned(), quantity, price, source: "from stock".into(), on: None }
}

pub fn alteration() -> Alteration {
    Alteration {
        work: "trim".into(),
        progress: Progress::Planned,
        words: "trailing edge".into(),
        length_m: Some(0.002),
        angle_rad: Some(0.035),
        irreversible: true,
        measured_after: vec![],
    }
}

/// SplitMix64 (Steele, Lea, Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014).
pub struct Random(pub u64);

impl Random {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    pub fn below(&mut self, most: usize) -> usize {
        (self.next() % most as u64) as usize
    }
}
