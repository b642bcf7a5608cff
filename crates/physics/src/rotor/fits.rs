//! Whether the parts of a rotor fit together: none in another's room, none loose, every hole in metal.

use super::solid::{Holes, Magnets, NotARotor, Piece, SLACK_M, pitch_m};
use std::f64::consts::TAU;

/// Rounding that a ring of magnets may cover beyond a whole turn \[1\] (own choice).
const ROUNDING: f64 = 1e-9;

/// The first thing that does not fit.
pub(super) fn check(pieces: &[Piece], holes: &[Holes], magnets: &[Magnets]) -> Result<(), NotARotor> {
    if pieces.is_empty() {
        return Err(NotARotor::Empty);
    }
    for (piece, p) in pieces.iter().enumerate() {
        whole(piece, p)?;
    }
    for (second, b) in pieces.iter().enumerate() {
        for (first, a) in pieces[..second].iter().enumerate() {
            if let Some(at_m) = overlap(a, b) {
                return Err(NotARotor::Overlap { first, second, at_m });
            }
        }
    }
    loose(pieces).map_or(Ok(()), |piece| Err(NotARotor::Loose { piece }))?;
    for (row, h) in holes.iter().enumerate() {
        drilled(row, h, pieces)?;
        if let Some(first) = holes[..row].iter().position(|other| meet(other, h)) {
            return Err(NotARotor::HolesMeet { first, second: row });
        }
    }
    for (ring, m) in magnets.iter().enumerate() {
        let numbers = [m.from_m, m.to_m, m.inside_m, m.outside_m, m.arc_rad, m.density_kg_m3];
        let bad = numbers.iter().any(|x| !x.is_finite()) || m.count == 0 || m.density_kg_m3 <= 0.0;
        let flat = m.to_m <= m.from_m || m.inside_m < 0.0 || m.outside_m <= m.inside_m || m.arc_rad <= 0.0;
        if bad || flat || m.count as f64 * m.arc_rad > TAU * (1.0 + ROUNDING) {
            return Err(NotARotor::BadMagnets { magnets: ring });
        }
        if let Some(piece) = pieces.iter().position(|p| overlap(p, &room(m)).is_some()) {
            return Err(NotARotor::MagnetInMetal { magnets: ring, piece });
        }
        if let Some(first) = magnets[..ring].iter().position(|other| overlap(&room(other), &room(m)).is_some()) {
            return Err(NotARotor::MagnetsMeet { first, second: ring });
        }
    }
    Ok(())
}

/// The ring in which magnets lie.
fn room(m: &Magnets) -> Piece {
    Piece {
        from_m: m.from_m,
        to_m: m.to_m,
        outside_m: [m.outside_m; 2],
        inside_m: [m.inside_m; 2],
        density_kg_m3: m.density_kg_m3,
    }
}

fn whole(piece: usize, p: &Piece) -> Result<(), NotARotor> {
    let numbers = [p.from_m, p.to_m, p.outside_m[0], p.outside_m[1], p.inside_m[0], p.inside_m[1], p.density_kg_m3];
    let negative = p.inside_m.iter().any(|r| *r < 0.0) || p.density_kg_m3 <= 0.0;
    if numbers.iter().any(|x| !x.is_finite()) || negative || p.to_m - p.from_m <= SLACK_M {
        return Err(NotARotor::BadPiece { piece });
    }
    for (inside_m, outside_m) in p.inside_m.into_iter().zip(p.outside_m) {
        if inside_m > outside_m {
            return Err(NotARotor::InsideOut { piece, inside_m, outside_m });
        }
    }
    // It may come to an edge at one face, not at both.
    if (0..2).all(|k| p.outside_m[k] - p.inside_m[k] <= SLACK_M) {
        return Err(NotARotor::InsideOut { piece, inside_m: p.inside_m[0], outside_m: p.outside_m[0] });
    }
    Ok(())
}

/// A place along the axis where two pieces take the same room by more than the slack.
///
/// Each outside less the other's inside is straight along the axis, so the places where both are positive are one stretch.
fn overlap(a: &Piece, b: &Piece) -> Option<f64> {
    let (from, to) = (a.from_m.max(b.from_m), a.to_m.min(b.to_m));
    if to - from <= SLACK_M {
        return None;
    }
    let (mut low, mut high) = (from, to);
    for (one, other) in [(a, b), (b, a)] {
        let room = |z: f64| one.outside_at(z) - other.inside_at(z) - SLACK_M;
        let (at_from, at_to) = (room(from), room(to));
        if at_from <= 0.0 && at_to <= 0.0 {
            return None;
        }
        let zero = from + (to - from) * at_from / (at_from - at_to);
        match (at_from > 0.0, at_to > 0.0) {
            (true, false) => high = high.min(zero),
            (false, true) => low = low.max(zero),
            _ => {}
        }
    }
    (high - low > SLACK_M).then_some(0.5 * (low + high))
}

/// Whether two pieces touch on a face, not only at an edge.
pub(super) fn touch(a: &Piece, b: &Piece) -> bool {
    let (from, to) = (a.from_m.max(b.from_m), a.to_m.min(b.to_m));
    if to - from > SLACK_M {
        let near = |one: &Piece, other: &Piece| {
            [from, to].iter().all(|z| (one.outside_at(*z) - other.inside_at(*z)).abs() <= 2.0 * SLACK_M)
        };
        return near(a, b) || near(b, a);
    }
    let face = |one: &Piece, other: &Piece| {
        (one.to_m - other.from_m).abs() <= SLACK_M
            && one.outside_m[1].min(other.outside_m[0]) - one.inside_m[1].max(other.inside_m[0]) > SLACK_M
    };
    face(a, b) || face(b, a)
}

/// A piece that does not hang together with the first.
fn loose(pieces: &[Piece]) -> Option<usize> {
    let mut held = vec![false; pieces.len()];
    let mut next = vec![0];
    while let Some(k) = next.pop() {
        if !std::mem::replace(&mut held[k], true) {
            next.extend((0..pieces.len()).filter(|j| !held[*j] && touch(&pieces[k], &pieces[*j])));
        }
    }
    held.iter().position(|held| !held)
}

fn drilled(row: usize, h: &Holes, pieces: &[Piece]) -> Result<(), NotARotor> {
    let numbers = [h.circle_m, h.radius_m, h.from_m, h.to_m];
    let short = h.to_m - h.from_m <= SLACK_M || h.radius_m <= 0.0 || h.circle_m < 0.0;
    if numbers.iter().any(|x| !x.is_finite()) || short || h.count == 0 || (h.count > 1 && h.circle_m <= 0.0) {
        return Err(NotARotor::BadHoles { holes: row });
    }
    if pitch_m(h) <= 2.0 * h.radius_m {
        return Err(NotARotor::HolesMeet { first: row, second: row });
    }
    let inside = |p: &Piece, z: f64| {
        p.inside_at(z) <= h.circle_m - h.radius_m + SLACK_M && h.circle_m + h.radius_m <= p.outside_at(z) + SLACK_M
    };
    let mut at_m = h.from_m;
    while at_m < h.to_m - SLACK_M {
        // The piece that goes on from here; both radii are straight, so it holds the hole between two places where it does.
        let further =
            pieces.iter().filter(|p| p.from_m <= at_m + SLACK_M && p.to_m > at_m + SLACK_M && inside(p, at_m)).find_map(|p| {
                let to = p.to_m.min(h.to_m);
                inside(p, to).then_some(to)
            });
        at_m = further.ok_or(NotARotor::HoleOutside { holes: row, at_m })?;
    }
    Ok(())
}

/// Whether holes of two rows run into each other, whatever the angle between the rows: on circles so near each other that they might.
fn meet(a: &Holes, b: &Holes) -> bool {
    let along = a.to_m.min(b.to_m) - a.from_m.max(b.from_m) > SLACK_M;
    let apart = (a.circle_m - b.circle_m).abs();
    // On one circle two rows fit between each other if their holes leave room; the angle between the rows is not known.
    let least_pitch = 2.0 * a.circle_m.max(b.circle_m) * (TAU / 4.0 / a.count.max(b.count) as f64).sin();
    along && apart < a.radius_m + b.radius_m && least_pitch < a.radius_m + b.radius_m
}
