//! How far the curve stays below the knock limit, wide open.

use super::told::{Concern, Skipped, State, Told, What};
use crate::study::{
    NotStudied,
    curve::CurveStudy,
    load::{Bound, earliest},
};

/// The least room over all speeds. The limits hang on the engine and its fuel alone, so that one set of them serves every part.
pub fn state(limits: &Result<Vec<(f64, Bound)>, NotStudied>, curve: Result<&CurveStudy, NotStudied>) -> Result<State, Skipped> {
    let (limits, curve) = (limits.as_ref().map_err(|why| Skipped::Engine(*why))?, curve.map_err(Skipped::Engine)?);
    let room = |&(speed, limit): &(f64, Bound)| Some((speed, limit.room(earliest(curve, speed)?)?));
    let least = limits.iter().filter_map(room).min_by(|a, b| a.1.si.total_cmp(&b.1.si));
    let Some((at_rad_s, room)) = least else {
        return Ok(State { values: vec![(What::KnockRoom, Told::Always)], concerns: Vec::new() });
    };
    let concern = (room.si < 0.0).then_some(Concern::Knocks { at_rad_s, room });
    Ok(State { values: vec![(What::KnockRoom, Told::At(room))], concerns: concern.into_iter().collect() })
}
