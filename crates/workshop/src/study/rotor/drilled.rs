//! Whether the holes that balance a rotor fit its metal, keep clear of its magnets, and leave it strong enough.

use super::{
    Held, LEAST_BURST, LEAST_RESERVE, RotorStudy,
    balance::{BETWEEN, Correction},
    parts::{Metalwork, Parts},
    strength::{self, Press, Spun},
};
use crate::{
    machine::{
        CorrectBy, SeenFrom,
        rotor::{Piece, Rotor, Sits},
    },
    study::Finding,
};
use physics::rotor::{
    cup::{Part as Bears, Station},
    notch::{HOLE_DOUBT, at_hole},
    solid::{Holes, Piece as Solid, SLACK_M},
};

/// Why holes are not to be drilled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Unfit {
    /// What the metal there bears cannot be told.
    NotJudged(Held),
    /// No one piece holds a hole with this much metal round it and behind its point [m].
    NoMetal {
        /// Least wall [m].
        wall_m: f64,
    },
    /// It comes behind magnets, or nearer to their ends than that wall.
    Magnets,
    /// It may run into another hole.
    HolesMeet,
    /// The stress at the edge of a hole comes too near the proof stress, or there is no factor for it.
    Stress,
    /// The speed at which the rotor bursts comes too near its top speed.
    Burst,
}

/// Least wall round a hole and behind its point as a share of the drill \[1\], and at the least [m] (own choice): a third, up to which the factor of a hole in a strip stands, and a millimetre.
const LEAST_WALL: (f64, f64) = (1.0 / 3.0, 1e-3);

/// A row of holes as planned.
struct Row {
    radius_m: f64,
    /// ± of that.
    by_m: f64,
    drill_m: f64,
    to_point_m: f64,
    count: usize,
}

impl Row {
    fn wall_m(&self) -> f64 {
        (LEAST_WALL.0 * self.drill_m).max(LEAST_WALL.1)
    }
}

/// Judges planned holes; a mass that is added is not looked at.
///
/// # Errors
/// [`Unfit`].
pub(super) fn judge(rotor: &Rotor, found: &RotorStudy, correction: &Correction, by_m: f64) -> Result<(), Unfit> {
    let Correction::Drill { plan, drill_m, radius_m, by, face, .. } = correction else { return Ok(()) };
    let row = Row { radius_m: *radius_m, by_m, drill_m: *drill_m, to_point_m: plan.to_point_m, count: plan.places_rad.len() };
    // As it is, and as the cutting plan leaves it: nobody knows which comes first.
    let nominal = Parts::of(rotor).ok_or(Unfit::NotJudged(Held::NoMetal))?.nominal();
    let cut = found.lighten.as_ref().ok().filter(|plan| !plan.steps.is_empty()).map(|plan| {
        let zones = plan.steps.iter().filter_map(|s| Some((rotor.zones.get(s.zone)?, s.depth.si)));
        zones.fold(nominal.clone(), |work, (zone, depth)| work.cut(zone, depth))
    });
    let works = || [&nominal].into_iter().chain(&cut);
    match (by, face) {
        (CorrectBy::DrillInward, _) => {
            let pieces = inward(rotor, &row)?;
            pieces
                .into_iter()
                .try_for_each(|piece| works().try_for_each(|w| bears(rotor, found, &row, None, piece, [&nominal, w])))
        }
        (_, face) => {
            let (hole, piece) = along(rotor, &row, face.unwrap_or(SeenFrom::CoverSide))?;
            works().try_for_each(|w| bears(rotor, found, &row, Some(hole), piece, [&nominal, w]))
        }
    }
}

/// Inward from the outside, into the middle of a piece: which one is not known, so every one with that outside must hold it, and there may be no magnets.
fn inward(rotor: &Rotor, row: &Row) -> Result<Vec<usize>, Unfit> {
    if !rotor.magnets.is_empty() {
        return Err(Unfit::Magnets);
    }
    let wall_m = row.wall_m();
    let there = |p: &Piece| (0.5 * p.outside.si.min(p.outsides()[1].si) - row.radius_m).abs() <= row.by_m + wall_m;
    let holds = |p: &Piece| {
        let inside = 0.5 * p.inside.si.max(p.insides()[1].si);
        inside + row.to_point_m + wall_m <= row.radius_m - row.by_m && row.drill_m + 2.0 * wall_m <= p.to.si - p.from.si
    };
    let pieces: Vec<usize> = (0..rotor.pieces.len()).filter(|k| there(&rotor.pieces[*k])).collect();
    if pieces.is_empty() || !pieces.iter().all(|k| holds(&rotor.pieces[*k])) {
        return Err(Unfit::NoMetal { wall_m });
    }
    let reaches_m = row.radius_m - row.by_m - row.to_point_m - wall_m;
    if rotor.holes.iter().map(|h| h.solid()).any(|h| h.circle_m + h.radius_m > reaches_m) {
        return Err(Unfit::HolesMeet);
    }
    Ok(pieces)
}

/// Along the shaft from a face: the hole, and the piece that holds it.
fn along(rotor: &Rotor, row: &Row, face: SeenFrom) -> Result<(Holes, usize), Unfit> {
    let wall_m = row.wall_m();
    let at = |p: &Solid| if face == SeenFrom::CoverSide { p.to_m } else { p.from_m };
    let solids: Vec<Solid> = rotor.pieces.iter().map(|p| p.solid(1.0)).collect();
    let has = |p: &Solid| p.inside_at(at(p)) < row.radius_m && row.radius_m < p.outside_at(at(p));
    let outer =
        |a: &Solid, b: &Solid| if face == SeenFrom::CoverSide { at(a).total_cmp(&at(b)) } else { at(b).total_cmp(&at(a)) };
    let (k, p) =
        solids.iter().enumerate().filter(|(_, p)| has(p)).max_by(|a, b| outer(a.1, b.1)).ok_or(Unfit::NoMetal { wall_m })?;
    let (from_m, to_m) = match face {
        SeenFrom::CoverSide => (p.to_m - row.to_point_m, p.to_m),
        SeenFrom::EngineSide => (p.from_m, p.from_m + row.to_point_m),
    };
    let reach = 0.5 * row.drill_m + wall_m + row.by_m;
    let round = |z: f64| p.inside_at(z) <= row.radius_m - reach && row.radius_m + reach <= p.outside_at(z);
    if row.to_point_m + wall_m > p.to_m - p.from_m || !round(from_m) || !round(to_m) {
        return Err(Unfit::NoMetal { wall_m });
    }
    let behind = rotor.magnets.iter().any(|m| {
        let over = m.from.si - m.from.plus_minus_si - wall_m < to_m && from_m < m.to.si + m.to.plus_minus_si + wall_m;
        over && match m.sits {
            Sits::InsideRim => row.radius_m + reach > 0.5 * m.inside.si,
            Sits::OutsideHub => row.radius_m - reach < 0.5 * m.outside.si,
        }
    });
    if behind {
        return Err(Unfit::Magnets);
    }
    let meets = rotor.holes.iter().map(|h| h.solid()).any(|h| {
        h.from_m < to_m - SLACK_M && from_m < h.to_m - SLACK_M && (h.circle_m - row.radius_m).abs() < h.radius_m + reach
    });
    if meets {
        return Err(Unfit::HolesMeet);
    }
    Ok((Holes { count: 1, circle_m: row.radius_m, radius_m: 0.5 * row.drill_m, from_m, to_m }, k))
}

/// Stress at the holes' edges, and the section that they leave.
fn bears(
    rotor: &Rotor,
    found: &RotorStudy,
    row: &Row,
    hole: Option<Holes>,
    piece: usize,
    [uncut, work]: [&Metalwork; 2],
) -> Result<(), Unfit> {
    let strength = found.strength.as_ref().map_err(|why| Unfit::NotJudged(*why))?;
    let stuff = found.stuff.as_ref().ok_or(Unfit::NotJudged(Held::NoMetal))?;
    let spun = Spun::of(work).map_err(|_| Unfit::NotJudged(Held::NotBearing))?;
    let square = strength.speed_rad_s.powi(2);
    // A cut may have made several of a piece.
    let member = work.members.iter().find(|(_, k)| *k == piece).map(|(m, _)| *m).ok_or(Unfit::Stress)?;
    let rim = member.part == Bears::Rim;
    // Holes side by side, and their edges. Along the shaft through a rim, and across it through a disc, only the pull round the shaft passes by.
    let width = hole.map_or(member.piece.to_m - member.piece.from_m, |h| {
        let edges =
            [h.from_m, h.to_m].map(|z| (row.radius_m - member.piece.inside_at(z)).min(member.piece.outside_at(z) - row.radius_m));
        2.0 * edges[0].min(edges[1])
    });
    let beside = if row.count > 1 { (1.0 + BETWEEN) * row.drill_m } else { f64::INFINITY };
    // Inward, as deep as the holes go.
    let to_m = if hole.is_some() { 0.0 } else { row.radius_m - row.by_m - row.to_point_m - row.wall_m() };
    let near = |s: &&Station| s.radius_m >= to_m && work.members.get(s.piece).is_some_and(|(_, k)| *k == piece);
    let press = match Press::of(rotor) {
        Some(press) => Some(press.cut(rotor, [uncut, work]).ok_or(Unfit::Stress)?),
        None => None,
    };
    let at = |s: &Station, square: f64| {
        let nearest = hole.map_or(s.radius_m, |h| h.circle_m - h.radius_m);
        let [around, out] = press.map_or([0.0; 2], |p| p.stress_pa(nearest, p.pressure.si + p.pressure.plus_minus_si));
        let sides = (0..2).map(|k| {
            let other = if rim == hole.is_some() { 0.0 } else { s.faces.along[k] * square + out };
            let hoop = (s.faces.hoop[k] + if rim { spun.between } else { 0.0 }) * square + around;
            at_hole(hoop, other, row.drill_m, width.min(beside))
        });
        sides.map(|pa| pa.map_or(f64::INFINITY, f64::abs)).fold(0.0, f64::max)
    };
    let greatest = |square: f64| spun.cup.stations.iter().filter(near).map(|s| at(s, square)).fold(0.0, f64::max);
    let peak = greatest(square);
    let doubt = (strength.greatest.plus_minus_si / strength.greatest.si).hypot(HOLE_DOUBT);
    let low = stuff.proof.si - (stuff.proof.plus_minus_si).hypot(stuff.proof.si * doubt);
    if peak.is_nan() || peak <= 0.0 || low < LEAST_RESERVE * peak {
        return Err(Unfit::Stress);
    }
    // What a hole takes from the half section that it lies in.
    let area: f64 = work.members.iter().filter(|(m, _)| !rim || m.part == Bears::Rim).map(|(m, _)| m.piece.section()[0]).sum();
    let left = 1.0 - row.drill_m * row.to_point_m / area;
    let thinner = |f: Finding| Finding { si: f.si / left, plus_minus_si: f.plus_minus_si / left };
    // As sure as the same of the rotor as it is.
    let mean =
        |pa: f64, like: Finding| thinner(Finding { si: pa * square, plus_minus_si: like.plus_minus_si / like.si * pa * square });
    let rim_alone = spun.rim_alone.zip(strength.rim_alone).map(|(pa, like)| mean(pa, like));
    let worst = [(Finding { si: peak, plus_minus_si: doubt * peak }, greatest(0.0))];
    let smooth = Finding { si: spun.greatest().0 * square, plus_minus_si: doubt * spun.greatest().0 * square };
    let tears_at = || strength::reached_at(press.as_ref(), &spun, stuff.tensile, smooth, strength.speed_rad_s);
    let bursts = strength::bursts(stuff, mean(spun.mean, strength.mean_hoop), rim_alone, tears_at, &worst, strength.speed_rad_s);
    if left <= 0.0 || bursts.si - bursts.plus_minus_si < LEAST_BURST * strength.speed_rad_s {
        return Err(Unfit::Burst);
    }
    Ok(())
}
