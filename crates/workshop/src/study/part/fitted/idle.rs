//! Rest speeds at idle, and how a push comes back there, in short: the engine as given, its stop set so that it idles as seen.

use super::told::{Concern, Skipped, State, Told, What};
use crate::{
    machine::Machine,
    study::{
        Finding, NotStudied,
        curve::CurveStudy,
        idle::Verdict,
        judge::{Judged, Subject},
        model::EngineModel,
        run::pushes,
    },
};
use physics::return_map::{Manner, Multipliers};

/// How firmly it idles, and where it hangs. One engine, so no number has a ±.
pub fn state(machine: &Machine, curve: Result<&CurveStudy, NotStudied>, model: Option<&EngineModel>) -> Result<State, Skipped> {
    let curve = curve.map_err(Skipped::Engine)?;
    let model = model.ok_or(Skipped::NoSurface)?;
    let idle = machine.idle.as_ref().ok_or(Skipped::Engine(NotStudied::NoIdleSeen))?.speed.si;
    let laws = curve.cylinders.iter().map(|c| c.law.clone()).collect();
    let subject = Subject::nominal(machine, model, laws);
    let judged = Judged::at_idle(&subject, machine, model, idle);
    let plain = |si: f64| Told::At(Finding { si, plus_minus_si: 0.0 });
    let mut values = Vec::new();
    values.extend(judged.idle.map(|i| (What::Stiffness, plain(i.stiffness_rad_s_per_percent))));
    let (hangs, concern) = match judged.verdict {
        Verdict::Hangs { at_rad_s } => (plain(at_rad_s), Some(Concern::Hangs { at_rad_s })),
        Verdict::NoRest => (Told::Never, Some(Concern::NoRest)),
        Verdict::Weak | Verdict::Steady => (Told::Never, None),
    };
    values.push((What::HangsAt, hangs));
    let mut concerns: Vec<Concern> = concern.into_iter().collect();
    // A rest point knows no inertia; how a push comes back there does.
    if let Some(opening) = judged.opening_m2 {
        let hang = hangs.at().map(|h| h.si);
        let [at_idle, at_hang] = pushes(&subject, machine, model, (idle, opening), hang);
        let told = |what, m: Option<Multipliers>| m.map(|m| (what, plain(m.magnitude())));
        values.extend(told(What::PushIdle, at_idle).into_iter().chain(told(What::PushHang, at_hang)));
        let grows = at_idle.is_some_and(|m| matches!(m.manner(), Manner::Hunts | Manner::RunsAway));
        concerns.extend(grows.then_some(Concern::Hunts));
    }
    Ok(State { values, concerns })
}
