//! Walls that a cut thins: how thick they are, what all cuts together take off them, and which of them are behind magnets.

use super::lighten::TOLERANCE_M;
use crate::{
    machine::rotor::{Face, Magnet, Piece, Rotor, Sits, Zone},
    study::Finding,
};
use physics::rotor::solid::SLACK_M;
use quantity::Reading;

fn end_face(zone: &Zone) -> bool {
    matches!(zone.face, Face::CoverSide | Face::EngineSide)
}

/// The wall that a zone's cut thins [m], with what its two readings leave of doubt.
pub(super) fn wall(rotor: &Rotor, zone: &Zone) -> Finding {
    let between = |a: &Reading, b: &Reading, share: f64| Finding {
        si: share * (b.si - a.si),
        plus_minus_si: share * a.plus_minus_si.hypot(b.plus_minus_si),
    };
    let nothing = Finding { si: f64::NAN, plus_minus_si: 0.0 };
    rotor.pieces.get(zone.piece).map_or(nothing, |p| {
        if end_face(zone) {
            return between(&p.from, &p.to, 1.0);
        }
        let [a, b] = [0, 1].map(|k| between(p.insides()[k], p.outsides()[k], 0.5));
        if a.si < b.si { a } else { b }
    })
}

/// Diameters between which a zone lies [m].
fn across(rotor: &Rotor, zone: &Zone) -> (f64, f64) {
    let edge = |d: &Option<Reading>, whole: f64| d.as_ref().map_or(whole, |d| d.si);
    let piece = rotor.pieces.get(zone.piece);
    let least = piece.map_or(0.0, |p| p.insides()[0].si.min(p.insides()[1].si));
    let greatest = piece.map_or(f64::INFINITY, |p| p.outsides()[0].si.max(p.outsides()[1].si));
    (edge(&zone.least, least), edge(&zone.greatest, greatest))
}

/// What all cuts take off the wall of one of them [m], each so much deeper, where they take most: cuts of the same piece along the same way, from either face,
/// add up where they lie over each other.
pub(super) fn thinned(rotor: &Rotor, zones: &[(&Zone, f64)], zone: &Zone, deeper_m: f64) -> f64 {
    let cuts = || zones.iter().filter(|(z, depth)| *depth > 0.0 && z.piece == zone.piece && end_face(z) == end_face(zone));
    if !end_face(zone) {
        return cuts().map(|(_, depth)| depth + deeper_m).sum();
    }
    let own = across(rotor, zone);
    // Where most lie over each other one of them begins.
    let at = cuts().map(|(z, _)| across(rotor, z).0.max(own.0)).filter(|d| *d < own.1 - SLACK_M);
    at.map(|d| {
        let over = cuts().filter(|(z, _)| {
            let (least, greatest) = across(rotor, z);
            least <= d + SLACK_M && d < greatest - SLACK_M
        });
        over.map(|(_, depth)| depth + deeper_m).sum()
    })
    .fold(0.0, f64::max)
}

/// The magnets behind which a piece has metal: beyond those inside a rim, within those on a hub, whether or not they touch it.
fn before<'a>(rotor: &'a Rotor, piece: &'a Piece) -> impl Iterator<Item = &'a Magnet> {
    rotor.magnets.iter().filter(move |m| {
        let (from, to) = (m.from.si.max(piece.from.si), m.to.si.min(piece.to.si));
        let middle = 0.5 * (m.inside.si + m.outside.si);
        let along = |ends: [&Reading; 2], z: f64| {
            ends[0].si + (ends[1].si - ends[0].si) * (z - piece.from.si) / (piece.to.si - piece.from.si)
        };
        let behind = |z: f64| match m.sits {
            Sits::InsideRim => along(piece.outsides(), z) > middle,
            Sits::OutsideHub => along(piece.insides(), z) < middle,
        };
        to - from > SLACK_M && (behind(from) || behind(to))
    })
}

/// Whether the face belongs to a wall behind magnets.
pub(super) fn behind_magnets(rotor: &Rotor, zone: &Zone) -> bool {
    !end_face(zone) && rotor.pieces.get(zone.piece).is_some_and(|piece| before(rotor, piece).next().is_some())
}

/// Whether a cut of an end face comes to the ends of the magnets that the piece is behind.
pub(super) fn at_magnet_ends(rotor: &Rotor, zone: &Zone, depth_m: f64) -> bool {
    let Some(piece) = rotor.pieces.get(zone.piece) else { return false };
    before(rotor, piece).any(|m| {
        let left = match zone.face {
            Face::CoverSide => piece.to.si - depth_m - m.to.si,
            Face::EngineSide => m.from.si - piece.from.si - depth_m,
            Face::Outside | Face::Inside => return false,
        };
        depth_m > 0.0 && left < TOLERANCE_M
    })
}
