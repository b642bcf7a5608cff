//! The press of the taper on its shaft, which stretches the boss at rest and comes to what spin does.

use super::{Place, Spun, place};
use crate::{
    machine::rotor::{Part, Rotor},
    study::{
        Finding,
        doubt::finding,
        rotor::{parts::Metalwork, taper},
    },
};
use physics::rotor::{
    cup::Station,
    meridian::von_mises,
    solid::{Piece, SLACK_M},
    taper::Rings,
};

/// A boss pressed from within.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in super::super) struct Press {
    /// Mean pressure over the cone, the greatest of unlike cones [Pa].
    pub pressure: Finding,
    /// Length of the seat [m].
    length_m: f64,
    rings: Rings,
}

/// The greatest stress away from notches with the press of the seat in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pressed {
    /// Pressure in the seat [Pa].
    pub pressure: Finding,
    /// Hoop stress that it makes in the bore at rest [Pa].
    pub hoop: Finding,
    /// Greatest von Mises stress [Pa], at top speed.
    pub greatest: Finding,
    /// Where.
    pub at: Place,
    /// Proof stress over it \[1\].
    pub reserve: Finding,
}

impl Press {
    /// `None` without a seat in the file.
    pub fn of(rotor: &Rotor) -> Option<Self> {
        let seat = rotor.held.taper.as_ref()?;
        let found = taper::study(seat, None, rotor.boss_metal())?;
        let mean = found.over_all;
        let peak = found.mismatch.map_or(mean.si, |m| m.peak_pa.max(mean.si));
        let pressure = Finding { si: peak, plus_minus_si: peak / mean.si * mean.plus_minus_si };
        pressure.si.is_finite().then_some(Self { pressure, length_m: seat.length.si, rings: taper::rings(seat) })
    }

    /// The same in a boss that was cut: its wall no thicker than at its thinnest, the seat shorter by what came off the bore, under the clamp force as it was. `None` where no wall or no seat is left.
    pub fn cut(&self, rotor: &Rotor, [uncut, work]: [&Metalwork; 2]) -> Option<Self> {
        let boss = |of: &Metalwork| -> Vec<Piece> {
            let in_boss = |k: &usize| rotor.pieces.get(*k).is_some_and(|p| p.part == Part::Boss);
            of.members.iter().filter(|(_, k)| in_boss(k)).map(|(m, _)| m.piece).collect()
        };
        let (whole, left) = (boss(uncut), boss(work));
        let thinnest = |pieces: &[Piece]| pieces.iter().flat_map(|p| p.outside_m).fold(f64::INFINITY, f64::min);
        let bore = |p: &Piece| {
            let middle = 0.5 * (p.from_m + p.to_m);
            let was = whole.iter().find(|w| (w.from_m..=w.to_m).contains(&middle))?;
            (p.inside_at(middle) <= was.inside_at(middle) + SLACK_M).then_some(p.to_m - p.from_m)
        };
        let length = |pieces: &[Piece]| pieces.iter().filter_map(&bore).sum::<f64>();
        if whole == left {
            return Some(*self);
        }
        let hub_m = self.rings.hub_m - (thinnest(&whole) - thinnest(&left)).max(0.0);
        let seat_left = 1.0 - (length(&whole) - length(&left)).max(0.0) / self.length_m;
        let pressure = Finding { si: self.pressure.si / seat_left, plus_minus_si: self.pressure.plus_minus_si / seat_left };
        (hub_m > self.rings.seat_m && seat_left > 0.0).then_some(Self { pressure, rings: Rings { hub_m, ..self.rings }, ..*self })
    }

    /// Hoop and radial stress of a pressure at a radius [Pa]: Lamé's thick ring, nothing outside the boss.
    ///
    /// `σ_θ, σ_r = p r₁²/(r₂² − r₁²) (1 ± r₂²/r²)`. Source: Timoshenko, *Strength of Materials*, part II (from memory). The web, which holds the boss together, is not counted, nor is what spin
    /// takes from the pressure: both are on the safe side.
    pub fn stress_pa(&self, radius_m: f64, pressure_pa: f64) -> [f64; 2] {
        let (r, seat, hub) = (radius_m.max(self.rings.seat_m), self.rings.seat_m, self.rings.hub_m);
        if radius_m > hub + SLACK_M {
            return [0.0; 2];
        }
        let (even, falls) = (pressure_pa * seat * seat / (hub * hub - seat * seat), (hub / r).powi(2));
        [even * (1.0 + falls), even * (1.0 - falls)]
    }

    /// Greatest von Mises stress [Pa] with spin at the root of `square` [rad/s], and its station.
    fn greatest<'a>(&self, spun: &'a Spun, square: f64, pressure_pa: f64) -> (f64, Option<&'a Station>) {
        let of = |s: &Station| {
            let alone = spun.at(s) * square;
            alone.max(with_press(s, square, self.stress_pa(s.radius_m, pressure_pa)))
        };
        let best = spun.cup.stations.iter().max_by(|a, b| of(a).total_cmp(&of(b)));
        (best.map_or(0.0, of), best)
    }

    /// `doubt` is the share of doubt in what spin does.
    pub fn found(&self, work: &Metalwork, spun: &Spun, proof: Finding, square: f64, doubt: f64) -> Pressed {
        let of = |f: Finding| (f.si, f.plus_minus_si);
        let inputs = [of(self.pressure), (1.0, doubt), of(proof)];
        let greatest = finding(|x| self.greatest(spun, square * x[1], x[0]).0, &inputs);
        let at = self.greatest(spun, square, self.pressure.si).1;
        Pressed {
            pressure: self.pressure,
            hoop: finding(|x| self.rings.hub_hoop_pa(x[0]), &inputs),
            greatest,
            at: at.map_or(Place { piece: 0, radius_m: 0.0, place_m: 0.0 }, |s| place(work, s)),
            reserve: finding(|x| x[2] / self.greatest(spun, square * x[1], x[0]).0, &inputs),
        }
    }
}

/// Von Mises stress [Pa] of a station that spins at the root of `square` [rad/s] and is pressed, the worse of its faces.
pub fn with_press(s: &Station, square: f64, [hoop, along]: [f64; 2]) -> f64 {
    (0..2).map(|k| von_mises(s.faces.hoop[k] * square + hoop, s.faces.along[k] * square + along)).fold(0.0, f64::max)
}

/// Times the square of a speed is doubled, and halvings after that, in the search for the speed that yields [1] (own choice): to a billionth.
const SEARCH: (usize, usize) = (40, 60);

/// Speed [rad/s] at which a pressed rotor yields away from notches; nothing where it does at rest.
pub fn yields_at(press: &Press, spun: &Spun, proof: Finding, speed: f64, doubt: f64) -> Finding {
    let at = |proof_pa: f64, pressure_pa: f64, scale: f64| {
        let holds = |square: f64| press.greatest(spun, square * scale, pressure_pa).0 < proof_pa;
        if !holds(0.0) {
            return 0.0;
        }
        let (mut low, mut high) = (0.0, speed * speed);
        for _ in 0..SEARCH.0 {
            if !holds(high) {
                break;
            }
            (low, high) = (high, 2.0 * high);
        }
        for _ in 0..SEARCH.1 {
            let middle = 0.5 * (low + high);
            if holds(middle) { low = middle } else { high = middle }
        }
        low.sqrt()
    };
    let of = |f: Finding| (f.si, f.plus_minus_si);
    finding(|x| at(x[0], x[1], x[2]), &[of(proof), of(press.pressure), (1.0, doubt)])
}
