//! The bench at which cuts are asked for, one after the other.

use super::{
    Held,
    lighten::{
        CutFinding, Forbidden, LEAST_AT_SEAT, LEAST_BURST, LEAST_RESERVE, Lighten, Limit, MOST_OFF, Step, TOLERANCE_M, ZonePlan,
    },
    parts::{Metalwork, Parts},
    section::Section,
    strength::{self, Notch, Press, Spun, Strength},
    stuff::Stuff,
    turning::Turning,
    walls,
};
use crate::{
    machine::{
        Machine,
        rotor::{Face, Purpose, Rotor, Zone},
    },
    study::{Finding, NotStudied},
};
use physics::rotor::unevenness;

/// Depths of the row, none first.
const DEPTHS: usize = 9;
/// Halvings in the search for a greatest depth (own choice): to a thousandth of the deepest.
const HALVINGS: usize = 10;

/// What a rotor bears at its top speed.
#[derive(Clone, Copy)]
struct Bears {
    greatest: Finding,
    peak: Finding,
    worst_notch: Option<Notch>,
    no_factor: bool,
    reserve: Finding,
    reserve_at_seat: Option<Finding>,
    bursts_at: Finding,
}

/// Everything about a rotor that a cut is judged by.
pub struct Bench<'a> {
    machine: &'a Machine,
    rotor: &'a Rotor,
    parts: Parts,
    stuff: Stuff,
    press: Option<Press>,
    turning: Result<Turning, NotStudied>,
    speed: f64,
    found: Metalwork,
    /// Doubt as a share of the greatest stress, of the mean hoop stress, and of the rim's by itself.
    doubt: [f64; 3],
    inertia_found: f64,
}

impl<'a> Bench<'a> {
    /// From what was found of the rotor.
    ///
    /// # Errors
    /// [`Held`] where something is missing that a cut must be judged by.
    pub fn new(
        machine: &'a Machine,
        parts: &Parts,
        section: &Section,
        strength: Option<&Strength>,
        turning: Result<Turning, NotStudied>,
    ) -> Result<Self, Held> {
        let rotor = machine.rotor.as_ref().ok_or(Held::NoRotor)?;
        let stuff = Stuff::of(rotor).ok_or(Held::NoMetal)?;
        let strength = strength.ok_or(if rotor.top_speed.is_none() { Held::NoTopSpeed } else { Held::NotBearing })?;
        let share = |f: Finding| f.plus_minus_si / f.si;
        Ok(Self {
            machine,
            rotor,
            stuff,
            press: Press::of(rotor),
            turning,
            speed: strength.speed_rad_s,
            found: parts.nominal(),
            parts: parts.clone(),
            doubt: [share(strength.greatest), share(strength.mean_hoop), strength.rim_alone.map_or(0.0, share)],
            inertia_found: section.inertia.si,
        })
    }

    /// The rotor with one zone cut [m]: quick enough to follow a hand. `None` where there is no such zone, or the cut leaves no rotor that can be worked out.
    pub fn one_cut(&self, zone: usize, depth_m: f64) -> Option<CutFinding> {
        self.outcome(&[(zone, depth_m)])
    }

    /// The rotor with several zones cut; the last is the one that is told of.
    pub fn outcome(&self, cuts: &[(usize, f64)]) -> Option<CutFinding> {
        let zones: Vec<(&Zone, f64)> =
            cuts.iter().map(|(k, depth)| Some((self.rotor.zones.get(*k)?, *depth))).collect::<Option<_>>()?;
        let cut = |work: &Metalwork, deeper: f64| {
            zones.iter().fold(work.clone(), |w, (zone, depth)| w.cut(zone, if *depth > 0.0 { depth + deeper } else { *depth }))
        };
        let deepest = zones.iter().any(|(_, depth)| *depth > 0.0);
        // With that of the lathe.
        let with_lathe = |read: Finding, f: &dyn Fn(&Metalwork) -> f64| {
            let by = if deepest { 0.5 * (f(&cut(&self.found, TOLERANCE_M)) - f(&cut(&self.found, -TOLERANCE_M))) } else { 0.0 };
            Finding { si: read.si, plus_minus_si: read.plus_minus_si.hypot(by) }
        };
        let of =
            |f: &dyn Fn(&Metalwork) -> f64| with_lathe(self.parts.readings.finding(|x| f(&cut(&self.parts.with(x), 0.0))), f);
        let off = |f: &dyn Fn(&Metalwork) -> f64| {
            let read = self.parts.readings.finding(|x| {
                let before = self.parts.with(x);
                f(&before) - f(&cut(&before, 0.0))
            });
            with_lathe(read, f)
        };
        let mass = |w: &Metalwork| w.bulk().mass_kg;
        let inertia = |w: &Metalwork| w.bulk().inertia_kg_m2;
        let inertia_off = off(&inertia);
        let bears = self.bears(&cut(&self.found, 0.0))?;
        // As deep as the lathe may make it.
        let at_worst = if deepest { self.bears(&cut(&self.found, TOLERANCE_M))? } else { bears };
        let engine_inertia = self.engine_inertia(inertia_off);
        let wall = zones.last().map_or(f64::INFINITY, |(zone, _)| walls::wall(self.rotor, zone).si);
        let gone = zones.last().map_or(0.0, |(zone, _)| walls::thinned(self.rotor, &zones, zone, 0.0));
        let turning = self.turning.ok();
        let mut finding = CutFinding {
            depth_m: cuts.last().map_or(0.0, |c| c.1),
            mass: of(&mass),
            mass_off: off(&mass),
            inertia: of(&inertia),
            inertia_off,
            engine_inertia,
            wall_left: 1.0 - gone / wall,
            wall_left_m: wall - gone,
            greatest: bears.greatest,
            peak: bears.peak,
            worst_notch: bears.worst_notch,
            reserve: bears.reserve,
            reserve_at_seat: bears.reserve_at_seat,
            bursts_at: bears.bursts_at,
            unevenness: turning.map(|t| {
                let c = unevenness::coefficient(t.swing_j, engine_inertia.si, t.idle_rad_s);
                Finding { si: c, plus_minus_si: c * Turning::DOUBT.hypot(engine_inertia.plus_minus_si / engine_inertia.si) }
            }),
            rev_up: turning.and_then(|t| t.rev_up).map(|[_, _, per]| self.time(per, engine_inertia)),
            run_down: turning.and_then(|t| t.run_down).map(|[_, _, per]| self.time(per, engine_inertia)),
            breaks: None,
        };
        finding.breaks = self.breaks(&finding, &zones, &at_worst);
        Some(finding)
    }

    /// What a rotor bears, as found or cut. `None` where it cannot be worked out.
    fn bears(&self, work: &Metalwork) -> Option<Bears> {
        let spun = Spun::of(work).ok()?;
        let square = self.speed * self.speed;
        let smooth = spun.greatest().0 * square;
        let press = match self.press {
            Some(press) => Some(press.cut(self.rotor, [&self.found, work])?),
            None => None,
        };
        let pressed = press.map(|p| p.found(work, &spun, self.stuff.proof, square, self.doubt[0]));
        let notches = strength::notches(self.rotor, [&self.found, work], &spun, press.as_ref(), square, self.doubt[0]);
        let worst_notch = notches.iter().filter(|n| n.peak.is_ok()).max_by(|a, b| {
            let peak = |n: &Notch| n.peak.map_or(0.0, |p| p.si);
            peak(a).total_cmp(&peak(b))
        });
        let with = |si: f64, k: usize| Finding { si, plus_minus_si: si * self.doubt[k] };
        let (greatest, mean) = (with(smooth, 0), with(spun.mean * square, 1));
        let rim = spun.rim_alone.map(|r| with(r * square, 2));
        let peak = worst_notch.and_then(|n| n.peak.ok()).unwrap_or(greatest);
        let peaks = strength::peaks(&notches);
        let tears_at = || strength::reached_at(press.as_ref(), &spun, self.stuff.tensile, greatest, self.speed);
        Some(Bears {
            greatest,
            peak,
            worst_notch: worst_notch.copied(),
            no_factor: notches.iter().any(|n| n.peak.is_err()),
            reserve: self.stuff.proof.over(greatest),
            reserve_at_seat: pressed.map(|p| p.reserve),
            bursts_at: strength::bursts(&self.stuff, mean, rim, tears_at, &peaks, self.speed),
        })
    }

    fn time(&self, per_inertia: f64, inertia: Finding) -> Finding {
        let si = per_inertia * inertia.si;
        Finding { si, plus_minus_si: si * Turning::DOUBT.hypot(inertia.plus_minus_si / inertia.si) }
    }

    /// What turns with the crank, less what came off the rotor; on a camshaft that counts with the square of its speed.
    fn engine_inertia(&self, off: Finding) -> Finding {
        let inertia = &self.machine.engine.inertia;
        let ratio = self.machine.trigger.as_ref().map_or(1.0, |t| t.drive.turns_per_crank_turn()).powi(2);
        Finding {
            si: (inertia.si - off.si * ratio).max(f64::MIN_POSITIVE),
            plus_minus_si: inertia.plus_minus_si.hypot(off.plus_minus_si * ratio),
        }
    }

    fn breaks(&self, f: &CutFinding, zones: &[(&Zone, f64)], at_worst: &Bears) -> Option<Limit> {
        let cut = || zones.iter().filter(|(_, depth)| *depth > 0.0);
        // The thinnest that the wall may be, and the deepest that the lathe may make each cut.
        let wall = cut().any(|(zone, _)| {
            let wall = walls::wall(self.rotor, zone);
            let thinned = walls::thinned(self.rotor, zones, zone, TOLERANCE_M);
            let thinnest = wall.si - wall.plus_minus_si;
            thinnest.is_nan() || thinnest <= 0.0 || 1.0 - thinned / thinnest < zone.leave.si - f64::EPSILON
        });
        let checks = [
            (cut().any(|(zone, _)| walls::behind_magnets(self.rotor, zone)), Limit::BehindMagnets),
            (cut().next().is_some() && self.stuff.brittle, Limit::CastIron),
            (wall, Limit::Wall),
            (cut().any(|(zone, depth)| walls::at_magnet_ends(self.rotor, zone, *depth)), Limit::MagnetEnds),
            // The low end of each ± must hold.
            (at_worst.reserve.si - at_worst.reserve.plus_minus_si < LEAST_RESERVE, Limit::Yield),
            (at_worst.reserve_at_seat.is_some_and(|r| r.si - r.plus_minus_si < LEAST_AT_SEAT), Limit::Seat),
            (at_worst.bursts_at.si - at_worst.bursts_at.plus_minus_si < LEAST_BURST * self.speed, Limit::Burst),
            (f.inertia_off.si + f.inertia_off.plus_minus_si > MOST_OFF * self.inertia_found, Limit::Inertia),
            (self.turning.is_ok_and(|t| !t.kicks(f.engine_inertia, &self.machine.engine.kicking_speed)), Limit::KickBack),
            (at_worst.no_factor, Limit::NoFactor),
        ];
        checks.into_iter().find(|(broken, _)| *broken).map(|(_, limit)| limit)
    }

    /// The greatest depth of a zone [m] that keeps every limit, with other cuts done, and what stops it.
    fn most(&self, done: &[(usize, f64)], zone: usize) -> (f64, Limit) {
        let deepest = self.rotor.zones.get(zone).map_or(0.0, |z| z.deepest.si);
        let breaks = |depth: f64| {
            let mut cuts = done.to_vec();
            cuts.push((zone, depth));
            self.outcome(&cuts).map_or(Some(Limit::Wall), |f| f.breaks)
        };
        let Some(mut limit) = breaks(deepest) else { return (deepest, Limit::Deepest) };
        let (mut low, mut high) = (0.0, deepest);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            match breaks(middle) {
                Some(broken) => (high, limit) = (middle, broken),
                None => low = middle,
            }
        }
        (low, limit)
    }

    /// Everything about all zones.
    pub fn plan(&self) -> Option<Lighten> {
        let as_found = self.outcome(&[])?;
        let zones: Vec<ZonePlan> = (0..self.rotor.zones.len()).map(|k| self.zone(k, &as_found)).collect();
        let mut order: Vec<usize> = (0..zones.len()).filter(|k| zones[*k].most_m > TOLERANCE_M).collect();
        order.sort_by(|a, b| zones[*b].worth.total_cmp(&zones[*a].worth));
        let (mut done, mut steps) = (Vec::new(), Vec::new());
        for zone in order {
            let (most, _) = self.most(&done, zone);
            if most <= TOLERANCE_M {
                continue;
            }
            done.push((zone, most));
            if let Some(after) = self.outcome(&done) {
                steps.push(Step { zone, depth: Finding { si: most, plus_minus_si: TOLERANCE_M }, after });
            }
        }
        let kick_unknown = match self.turning {
            Ok(turning) => turning.kick.is_none().then_some(NotStudied::NotComputable),
            Err(why) => Some(why),
        };
        // From either face, so that they add up.
        let left = |total: Option<Finding>, (zone, depth): &(usize, f64)| {
            let zone = &self.rotor.zones[*zone];
            match (total, self.threads_left(zone, *depth)) {
                (Some(total), Some(_)) => {
                    Some(Finding { si: total.si - depth, plus_minus_si: total.plus_minus_si.hypot(TOLERANCE_M) })
                }
                (total, own) => total.or(own),
            }
        };
        let threads_left = done.iter().fold(None, left);
        Some(Lighten { as_found, zones, steps, threads_left, kick_unknown, rest_points_stay: true })
    }

    fn zone(&self, k: usize, as_found: &CutFinding) -> ZonePlan {
        let zone = &self.rotor.zones[k];
        let forbidden = if walls::behind_magnets(self.rotor, zone) {
            Some(Forbidden::BehindMagnets)
        } else if self.stuff.brittle {
            Some(Forbidden::CastIron)
        } else {
            as_found.breaks.map(Forbidden::AsFound)
        };
        let nothing =
            ZonePlan { forbidden, cuts: Vec::new(), most_m: 0.0, bounded_by: Limit::Deepest, worth: 0.0, threads_left: None };
        if forbidden.is_some() {
            return nothing;
        }
        let (most_m, bounded_by) = self.most(&[], k);
        let row = (0..DEPTHS).filter_map(|i| self.one_cut(k, zone.deepest.si * i as f64 / (DEPTHS - 1) as f64)).collect();
        let worth = self.one_cut(k, most_m).map_or(0.0, |f| {
            let added = f.peak.si.max(f.greatest.si) - as_found.peak.si.max(as_found.greatest.si);
            if added > 0.0 { f.inertia_off.si / added } else { f64::INFINITY }
        });
        ZonePlan { cuts: row, most_m, bounded_by, worth, threads_left: self.threads_left(zone, most_m), ..nothing }
    }

    /// What a cut leaves of the threads for the puller [m], where it goes over them; with the lathe's ±.
    fn threads_left(&self, zone: &Zone, depth: f64) -> Option<Finding> {
        let piece = self.rotor.pieces.get(zone.piece)?;
        let over = |circle: f64| {
            let within = |edge: &Option<quantity::Reading>, whole: f64| edge.as_ref().map_or(whole, |d| d.si);
            within(&zone.least, 0.0) <= circle && circle <= within(&zone.greatest, f64::INFINITY)
        };
        let face = matches!(zone.face, Face::CoverSide | Face::EngineSide);
        let row = self.rotor.holes.iter().find(|h| {
            let in_piece = h.from.si < piece.to.si && h.to.si > piece.from.si;
            face && h.purpose == Purpose::Puller && in_piece && over(h.on_circle.si)
        })?;
        let by = row.to.plus_minus_si.hypot(row.from.plus_minus_si).hypot(TOLERANCE_M);
        Some(Finding { si: row.to.si - row.from.si - depth, plus_minus_si: by })
    }
}
