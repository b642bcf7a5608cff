//! What spin does to the rotor's metal at its top speed, and how far that is from yielding and from bursting.

mod notches;
mod seat;

pub(super) use notches::notches;
pub(super) use seat::Press;
pub use seat::Pressed;

use super::{
    parts::{Metalwork, Parts},
    stuff::Stuff,
};
use crate::{
    machine::rotor::{Rotor, Sits},
    study::Finding,
};
use physics::rotor::{
    cup::{self, Cup, NotACup, Part as Bears, Station},
    disc::{between_magnets, mean_hoop},
    meridian::von_mises,
    notch::NoFactor,
    solid::{Holes, Piece},
};

/// How far plate and shell theory lies from finite elements of the solid section, as a share of the greatest stress [1], 95 % half-width: own choice after the comparison in
/// `reference/rotor`, where the spread of every part is below 1.5 % and the worst 3.1 %.
pub const THEORY: f64 = 0.05;
/// Share of the tensile strength that the mean hoop stress may reach before a ductile rotor bursts [1]: Robinson (1944) has 1; 0.85 is what is usual for rotors that have holes and steps (common practice, no source).
pub const BURST: f64 = 0.85;
/// Least corner of a new step [m]: 2 mm (common practice: 2 to 3 mm, no source).
pub const NEW_CORNER_M: f64 = 2e-3;
/// The stresses at top speed.
#[derive(Clone, Debug)]
pub struct Strength {
    /// The rotor's speed for which all this is [rad/s].
    pub speed_rad_s: f64,
    /// Along the middle of the walls, stresses at that speed [Pa].
    pub line: Vec<Station>,
    /// Greatest von Mises stress [Pa] by spin alone, away from notches.
    pub greatest: Finding,
    /// Where it is.
    pub greatest_at: Place,
    /// The same with the press of the seat on the taper, which is there at rest; `None` where the file has no seat, so that it is not counted.
    pub pressed: Option<Pressed>,
    /// Stress at every notch, the press of the seat in the keyway's.
    pub notches: Vec<Notch>,
    /// Mean hoop stress over the whole section [Pa].
    pub mean_hoop: Finding,
    /// Mean hoop stress in the rim if the web did not help it [Pa]; `None` without a rim.
    pub rim_alone: Option<Finding>,
    /// Bending of the rim from the gaps between its magnets [Pa].
    pub between_magnets_pa: f64,
    /// How far the free edge of the rim opens [m].
    pub opens_m: f64,
    /// Speed at which the greatest stress away from notches reaches the proof stress, the seat's press counted where it is known [rad/s]; nothing where it does at rest.
    pub yields_at: Finding,
    /// Speed at which it bursts [rad/s].
    pub bursts_at: Finding,
    /// The wall behind the magnets as a return path for their flux; one for each ring inside a rim.
    pub return_path: Vec<ReturnPath>,
}

/// A place on the rotor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Index of the piece in the file.
    pub piece: usize,
    /// Radius [m].
    pub radius_m: f64,
    /// Along the axis [m].
    pub place_m: f64,
}

/// A notch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Notch {
    /// Which.
    pub kind: NotchKind,
    /// Where.
    pub at: Place,
    /// Stress there without it [Pa], von Mises.
    pub smooth_pa: f64,
    /// Stress in it [Pa], or why there is no factor for it.
    pub peak: Result<Finding, NoFactor>,
    /// What of that the press of the seat makes at rest [Pa].
    pub at_rest_pa: f64,
}

/// Kinds of notches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotchKind {
    /// The keyway in the bore.
    Keyway,
    /// A corner at the foot of the boss.
    BossCorner,
    /// A corner at the foot of the rim.
    RimCorner,
    /// The corner of a step in a web, as found or newly cut.
    Step,
    /// A row of holes, by its place in the file.
    Hole(usize),
}

/// Flux through the wall behind magnets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReturnPath {
    /// Index of the magnets in the file.
    pub magnet: usize,
    /// Thinnest wall behind them [m].
    pub wall_m: f64,
    /// Flux density in it, at the most [T].
    pub flux: Finding,
    /// Flux density at which it is as good as saturated [T].
    pub saturates: Finding,
    /// Wall at which it would be [m].
    pub least_wall_m: f64,
}

impl ReturnPath {
    /// It carries the flux.
    pub fn carries(&self) -> bool {
        self.flux.si <= self.saturates.si
    }
}

/// Stresses of parts, for ω = 1 rad/s; the same whether cut or not.
pub(super) struct Spun {
    pub cup: Cup,
    pub mean: f64,
    pub rim_alone: Option<f64>,
    pub between: f64,
}

impl Spun {
    pub fn of(work: &Metalwork) -> Result<Self, NotACup> {
        let cup = cup::solve(&work.bearing(), &work.magnets)?;
        let pieces: Vec<Piece> = work.members.iter().map(|(m, _)| m.piece).collect();
        let rims: Vec<Piece> = work.members.iter().filter(|(m, _)| m.part == Bears::Rim).map(|(m, _)| m.piece).collect();
        let less: f64 = work.holes.iter().map(through).sum();
        let (mut between, mut on_rim) = (0.0f64, Vec::new());
        for ring in &work.magnets {
            let middle = 0.5 * (ring.from_m + ring.to_m);
            let Some(rim) = rims.iter().find(|p| (p.from_m..=p.to_m).contains(&middle)) else { continue };
            on_rim.push(*ring);
            let (inside, outside) = (rim.inside_at(middle), rim.outside_at(middle));
            let per_length = ring.pull_kg_m() / (ring.to_m - ring.from_m);
            let covered = ring.count as f64 * ring.arc_rad / std::f64::consts::TAU;
            between = between.max(between_magnets(per_length, ring.count, covered, 0.5 * (inside + outside), outside - inside));
        }
        let rim_alone = if rims.is_empty() { None } else { mean_hoop(&rims, &on_rim, 0.0) };
        let mean = mean_hoop(&pieces, &work.magnets, less).unwrap_or(f64::INFINITY);
        Ok(Self { cup, mean, rim_alone, between })
    }

    /// Greatest von Mises stress away from notches, for ω = 1 rad/s, and its station.
    pub fn greatest(&self) -> (f64, Option<&Station>) {
        let best = self.cup.stations.iter().max_by(|a, b| self.at(a).total_cmp(&self.at(b)));
        (best.map_or(0.0, |s| self.at(s)), best)
    }

    /// Von Mises stress away from notches at a station, for ω = 1 rad/s.
    fn at(&self, s: &Station) -> f64 {
        let bent = if s.part == Bears::Rim { self.between } else { 0.0 };
        (0..2).map(|k| von_mises(s.faces.hoop[k] + bent, s.faces.along[k])).fold(0.0, f64::max)
    }
}

/// What a row of holes takes from a half section that is cut through one of them [m²]; of a row with an odd number one side only has one.
fn through(row: &Holes) -> f64 {
    2.0 * row.radius_m * (row.to_m - row.from_m)
}

/// Works it out at a speed [rad/s].
///
/// # Errors
/// [`NotACup`] where the pieces make no boss, web and rim.
pub(super) fn study(rotor: &Rotor, parts: &Parts, stuff: &Stuff, speed: f64) -> Result<Strength, NotACup> {
    let work = parts.nominal();
    let spun = Spun::of(&work)?;
    let square = speed * speed;
    // Each number with what the readings leave of doubt in it, and what the theory does.
    let with = |of: &dyn Fn(&Spun) -> f64, theory: f64| {
        let found = parts.readings.finding(|x| Spun::of(&parts.with(x)).map_or(f64::NAN, |s| of(&s)));
        Finding { si: found.si * square, plus_minus_si: found.plus_minus_si.hypot(theory * found.si) * square }
    };
    let greatest = with(&|s| s.greatest().0, THEORY);
    let mean = with(&|s| s.mean, 0.0);
    let rim_alone = spun.rim_alone.map(|_| with(&|s| s.rim_alone.unwrap_or(f64::NAN), 0.0));
    let at = spun.greatest().1.map(|s| place(&work, s));
    let line = spun.cup.stations.iter().map(|s| scaled(&work, s, square)).collect();
    let doubt = greatest.plus_minus_si / greatest.si;
    let press = Press::of(rotor);
    let notches = notches(rotor, [&work, &work], &spun, press.as_ref(), square, doubt);
    let reached = |strength: Finding| reached_at(press.as_ref(), &spun, strength, greatest, speed);
    Ok(Strength {
        speed_rad_s: speed,
        line,
        greatest,
        greatest_at: at.unwrap_or(Place { piece: 0, radius_m: 0.0, place_m: 0.0 }),
        mean_hoop: mean,
        rim_alone,
        between_magnets_pa: spun.between * square,
        opens_m: spun.cup.opens_m * square,
        pressed: press.as_ref().map(|p| p.found(&work, &spun, stuff.proof, square, doubt)),
        yields_at: reached(stuff.proof),
        bursts_at: bursts(stuff, mean, rim_alone, || reached(stuff.tensile), &peaks(&notches), speed),
        return_path: return_paths(rotor, &work, stuff),
        notches,
    })
}

/// A station scaled to a speed, its piece that of the file.
fn scaled(work: &Metalwork, s: &Station, square: f64) -> Station {
    let mut out = *s;
    out.piece = work.members.get(s.piece).map_or(0, |m| m.1);
    out.faces.hoop = out.faces.hoop.map(|x| x * square);
    out.faces.along = out.faces.along.map(|x| x * square);
    out
}

fn place(work: &Metalwork, s: &Station) -> Place {
    Place { piece: work.members.get(s.piece).map_or(0, |m| m.1), radius_m: s.radius_m, place_m: s.place_m }
}

/// Speed [rad/s] at which a stress reaches a strength, of which `at_rest` is there without spin and the rest goes with the square; nothing where it does at rest.
fn speed_for(strength: Finding, stress: Finding, at_rest: f64, speed: f64) -> Finding {
    let (left, by_spin) = (strength.si - at_rest, stress.si - at_rest);
    if left <= 0.0 {
        return Finding { si: 0.0, plus_minus_si: 0.0 };
    }
    let si = speed * (left / by_spin).sqrt();
    let share = (strength.plus_minus_si / left).hypot(stress.plus_minus_si / by_spin);
    Finding { si, plus_minus_si: 0.5 * share * si }
}

/// Speed [rad/s] at which the `greatest` stress away from notches reaches a strength, with the press of the seat where there is one.
pub(super) fn reached_at(press: Option<&Press>, spun: &Spun, strength: Finding, greatest: Finding, speed: f64) -> Finding {
    let doubt = greatest.plus_minus_si / greatest.si;
    press.map_or_else(|| speed_for(strength, greatest, 0.0, speed), |p| seat::yields_at(p, spun, strength, speed, doubt))
}

/// Stress in each notch that has a factor, and what of it is there at rest [Pa].
pub(super) fn peaks(notches: &[Notch]) -> Vec<(Finding, f64)> {
    notches.iter().filter_map(|n| Some((n.peak.ok()?, n.at_rest_pa))).collect()
}

/// Speed at which it bursts: a ductile rotor where its mean hoop stress reaches a share of the tensile strength, whole or its rim by itself; a brittle one where any notch reaches it, or `tears_at`, where
/// the metal beside the notches does.
pub(super) fn bursts(
    stuff: &Stuff,
    mean: Finding,
    rim: Option<Finding>,
    tears_at: impl FnOnce() -> Finding,
    peaks: &[(Finding, f64)],
    speed: f64,
) -> Finding {
    if stuff.brittle {
        let speeds = peaks.iter().map(|(peak, at_rest)| speed_for(stuff.tensile, *peak, *at_rest, speed));
        return speeds.fold(tears_at(), |a, b| if b.si < a.si { b } else { a });
    }
    let worse = rim.filter(|r| r.si > mean.si).unwrap_or(mean);
    let strength = Finding { si: BURST * stuff.tensile.si, plus_minus_si: BURST * stuff.tensile.plus_minus_si };
    speed_for(strength, worse, 0.0, speed)
}

/// The wall behind each ring of magnets in a rim: half of a magnet's flux goes round either way, `B = B_r α R/(2 h)`. With the remanence it is the most that can be.
pub(super) fn return_paths(rotor: &Rotor, work: &Metalwork, stuff: &Stuff) -> Vec<ReturnPath> {
    let mut all = Vec::new();
    for (i, (magnet, ring)) in rotor.magnets.iter().zip(&work.magnets).enumerate() {
        if magnet.sits != Sits::InsideRim {
            continue;
        }
        let walls = work.members.iter().filter(|(m, _)| m.part == Bears::Rim).flat_map(|(m, _)| {
            let (from, to) = (ring.from_m.max(m.piece.from_m), ring.to_m.min(m.piece.to_m));
            let thickness = |z: f64| m.piece.outside_at(z) - m.piece.inside_at(z);
            (to > from).then(|| thickness(from).min(thickness(to)))
        });
        let Some(wall_m) = walls.min_by(f64::total_cmp) else { continue };
        let (remanence, by) = magnet.material.remanence_t();
        let half_pole = 0.5 * ring.arc_rad * ring.outside_m;
        let flux = Finding { si: remanence * half_pole / wall_m, plus_minus_si: by * half_pole / wall_m };
        let saturates = stuff.saturates;
        let least_wall_m = if saturates.si > 0.0 { flux.si * wall_m / saturates.si } else { f64::INFINITY };
        all.push(ReturnPath { magnet: i, wall_m, flux, saturates, least_wall_m });
    }
    all
}
