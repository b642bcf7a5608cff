//! Stress in keyway, corners and holes.

use super::{NEW_CORNER_M, Notch, NotchKind, Spun, place, seat, seat::Press};
use crate::{
    machine::rotor::{Part, Rotor},
    study::{Finding, rotor::parts::Metalwork},
};
use physics::rotor::{
    cup::{Part as Bears, Station},
    meridian::von_mises,
    notch::{HOLE_DOUBT, KEYWAY_DOUBT, NoFactor, SHOULDER_DOUBT, at_hole, keyway, shoulder_on_one_side},
    solid::{SLACK_M, pitch_m},
};

/// Height of a step over the radius of its corner below which the chart does not go [1]; there its end stands in, which is more than the truth. Source: the chart, see `physics::rotor::notch`.
const LOW_STEP: f64 = 0.1;

/// All notches of a rotor that spins at the root of `square` [rad/s], of its metal before it was cut and as it is, pressed on its seat; `doubt` is the share of doubt in a smooth stress.
pub fn notches(
    rotor: &Rotor,
    [uncut, work]: [&Metalwork; 2],
    spun: &Spun,
    press: Option<&Press>,
    square: f64,
    doubt: f64,
) -> Vec<Notch> {
    let mut all = Vec::new();
    // With the doubt of the smooth stress and that of the factor.
    let corner_peak = |pa: Result<f64, NoFactor>| {
        pa.map(|pa| Finding { si: pa * square, plus_minus_si: doubt.hypot(SHOULDER_DOUBT) * pa.abs() * square })
    };
    if let (Some(key), Some(bore)) = (&rotor.keyway, spun.cup.stations.first()) {
        let hoop = bore.faces.hoop[0].max(bore.faces.hoop[1]);
        let pressed = |pa: f64| press.map_or([0.0; 2], |p| p.stress_pa(bore.radius_m, pa));
        let [at, by] = press.map_or([0.0; 2], |p| [p.pressure.si, p.pressure.plus_minus_si]);
        // The press is there at rest, and does not grow with speed.
        let whole = |k: f64| {
            let si = k * (hoop * square + pressed(at)[0]);
            let doubts = [doubt * k * hoop * square, k * pressed(by)[0], KEYWAY_DOUBT * si];
            Finding { si, plus_minus_si: doubts.into_iter().fold(0.0, f64::hypot) }
        };
        all.push(Notch {
            kind: NotchKind::Keyway,
            at: place(work, bore),
            smooth_pa: seat::with_press(bore, square, pressed(at)),
            peak: keyway(key.depth.si, key.corner.si).map(whole),
            at_rest_pa: keyway(key.depth.si, key.corner.si).map_or(0.0, |k| k * pressed(at)[0]),
        });
    }
    let stations = &spun.cup.stations;
    // A cut that reaches a corner makes it anew: no rounder than it was, and no rounder than a new one.
    let corner = |at: &[&Station]| {
        if at.iter().any(|s| newly_cut(uncut, work, s)) { rotor.corner.si.min(NEW_CORNER_M) } else { rotor.corner.si }
    };
    // Where one stretch of a disc ends and the next begins with another thickness, the thinner side has the corner.
    for pair in stations.windows(2).filter(|p| p[0].part == Bears::Disc) {
        let [a, b] = [&pair[0], &pair[1]];
        let rim = b.part == Bears::Rim;
        let meet = !rim && (a.radius_m - b.radius_m).abs() < 2.0 * SLACK_M && (a.thickness_m - b.thickness_m).abs() > SLACK_M;
        if meet {
            let (thin, thick) = if a.thickness_m < b.thickness_m { (a, b) } else { (b, a) };
            let piece = [thin, thick].map(|s| work.members.get(s.piece).map(|m| m.1));
            let boss = piece.iter().flatten().any(|k| rotor.pieces.get(*k).is_some_and(|p| p.part == Part::Boss));
            let (kind, corner) = match (piece[0] == piece[1], boss) {
                // A step within one piece of the file is one that was cut.
                (true, _) => (NotchKind::Step, NEW_CORNER_M),
                (false, true) => (NotchKind::BossCorner, corner(&[thin, thick])),
                (false, false) => (NotchKind::Step, corner(&[thin, thick])),
            };
            all.push(corner_at(
                work,
                kind,
                thin,
                [thick.place_m, thick.thickness_m, reach(work, thick)],
                corner,
                &corner_peak,
                square,
            ));
        }
    }
    let outer = stations.iter().rposition(|s| s.part == Bears::Disc);
    let rims: Vec<&Station> = stations.iter().filter(|s| s.part == Bears::Rim).collect();
    if let (Some(k), Some(first), Some(last)) = (outer, rims.first(), rims.last()) {
        let length = last.place_m - first.place_m;
        let thick = [0.5 * (first.place_m + last.place_m), length, reach(work, first)];
        if length - stations[k].thickness_m > SLACK_M {
            all.push(corner_at(
                work,
                NotchKind::RimCorner,
                &stations[k],
                thick,
                corner(&[&stations[k], first]),
                &corner_peak,
                square,
            ));
        }
    }
    for (i, row) in work.holes.iter().enumerate() {
        let disc: Vec<&Station> = stations.iter().filter(|s| s.part == Bears::Disc).collect();
        let Some(s) = disc.iter().min_by(|a, b| (a.radius_m - row.circle_m).abs().total_cmp(&(b.radius_m - row.circle_m).abs()))
        else {
            continue;
        };
        // To the edges of the metal as it was: the border of a shallow cut is no free edge.
        let home = uncut.members.iter().find(|(m, _)| {
            let middle = 0.5 * (row.from_m + row.to_m);
            m.part == Bears::Disc
                && (m.piece.from_m..=m.piece.to_m).contains(&middle)
                && m.piece.inside_at(middle) <= row.circle_m
                && row.circle_m <= m.piece.outside_at(middle)
        });
        let edges = home.map_or(f64::INFINITY, |(m, _)| {
            let middle = 0.5 * (row.from_m + row.to_m);
            2.0 * (row.circle_m - m.piece.inside_at(middle)).min(m.piece.outside_at(middle) - row.circle_m)
        });
        let width = pitch_m(row).min(edges);
        // In the boss the press of the seat as well, where the hole comes nearest to it.
        let worst = |square: f64, pressure_pa: f64| {
            let [around, along] = press.map_or([0.0; 2], |p| p.stress_pa(row.circle_m - row.radius_m, pressure_pa));
            let faces = [0, 1].map(|k| {
                at_hole(s.faces.hoop[k] * square + around, s.faces.along[k] * square + along, 2.0 * row.radius_m, width)
            });
            match faces {
                [Ok(a), Ok(b)] => Ok(a.abs().max(b.abs())),
                [Err(e), _] | [_, Err(e)] => Err(e),
            }
        };
        let [pressure, by] = press.map_or([0.0; 2], |p| [p.pressure.si, p.pressure.plus_minus_si]);
        let whole = |pa: f64| {
            let more = worst(square, pressure + by).map_or(0.0, |more| more - pa);
            Finding { si: pa, plus_minus_si: (doubt.hypot(HOLE_DOUBT) * pa).hypot(more) }
        };
        all.push(Notch {
            kind: NotchKind::Hole(i),
            at: place(work, s),
            smooth_pa: seat::with_press(s, square, press.map_or([0.0; 2], |p| p.stress_pa(s.radius_m, pressure))),
            peak: worst(square, pressure).map(whole),
            at_rest_pa: worst(0.0, pressure).unwrap_or(0.0),
        });
    }
    all
}

/// Whether the metal of a station is no longer all of its piece.
fn newly_cut(uncut: &Metalwork, work: &Metalwork, s: &Station) -> bool {
    let of = work.members.get(s.piece);
    of.is_some_and(|(m, k)| uncut.members.iter().any(|(whole, of)| of == k && whole.piece != m.piece))
}

/// How far a thick wall goes on behind a corner, along the radius [m].
fn reach(work: &Metalwork, thick: &Station) -> f64 {
    work.members.get(thick.piece).map_or(f64::INFINITY, |(m, _)| {
        let at = |k: usize| m.piece.outside_m[k] - m.piece.inside_m[k];
        at(0).max(at(1))
    })
}

/// The corner where a thin wall meets a thick one; `thick` is the middle and the length of that along the axis, and how far it goes on behind the corner [m].
///
/// The charts are for shoulders that go on behind the corner. One that does not helps only as far up as it goes on (own choice: stress spreads at 45°).
fn corner_at(
    work: &Metalwork,
    kind: NotchKind,
    thin: &Station,
    [middle, length, reach]: [f64; 3],
    corner: f64,
    peak: &dyn Fn(Result<f64, NoFactor>) -> Result<Finding, NoFactor>,
    square: f64,
) -> Notch {
    let half = 0.5 * thin.thickness_m;
    // How far the thick wall stands out beyond the thin one, at the face of greater place and at that of lesser.
    let steps = [middle + 0.5 * length - (thin.place_m + half), thin.place_m - half - (middle - 0.5 * length)];
    let of = |face: usize| -> Result<f64, NoFactor> {
        let step = steps[face].min(reach);
        if step <= SLACK_M {
            return Ok(von_mises(thin.faces.hoop[face], thin.faces.along[face]));
        }
        // A step lower than the chart goes has less than the chart's end.
        let k = shoulder_on_one_side(thin.thickness_m, step.max(LOW_STEP * corner * (1.0 + SLACK_M)), corner)?;
        let mean = 0.5 * (thin.faces.along[0] + thin.faces.along[1]);
        let along = k.tension * mean + k.bending * (thin.faces.along[face] - mean);
        Ok(von_mises(thin.faces.hoop[face], along))
    };
    let worst = match [of(0), of(1)] {
        [Ok(a), Ok(b)] => Ok(a.max(b)),
        [Err(e), _] | [_, Err(e)] => Err(e),
    };
    Notch { kind, at: place(work, thin), smooth_pa: thin.faces.von_mises() * square, peak: peak(worst), at_rest_pa: 0.0 }
}
