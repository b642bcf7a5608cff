//! What one cut does.

use super::{CutOutcome, KickBack, TrimStudy, Unbalance, rotor::Segment};
use crate::{
    machine::Machine,
    study::{
        Finding, NotStudied,
        curve::CurveStudy,
        idle::Chance,
        judge::{self, Judged, Subject},
        load::{self, Bound},
        model::{CyclePoint, EngineModel},
        rotor::trimmed,
    },
};
use physics::kickback::KickBack as Kick;
use physics::law::Law;
use quantity::CrankAngle;

/// How exactly a workshop cuts a segment's edge, 95 % half-width [m]: ±0.2 mm on the rim (common practice, no source).
pub const TOLERANCE_M: f64 = 0.2e-3;

/// An engine as found and its segment, ready for cuts.
pub struct Found<'a> {
    pub machine: &'a Machine,
    pub curve: &'a CurveStudy,
    pub model: &'a EngineModel,
    pub segment: Segment<'a>,
    /// Idle speed seen [rad/s].
    pub idle: f64,
    pub laws: Vec<Law>,
    pub judged: Judged,
    /// Advance from which a kick may turn back.
    pub kick_limit: Bound,
}

impl<'a> Found<'a> {
    /// Judges the engine as found.
    ///
    /// # Errors
    /// [`NotStudied`] where there is nothing to cut or no idle to judge by.
    pub fn new(
        machine: &'a Machine,
        curve: &'a CurveStudy,
        model: &'a EngineModel,
        kick_limit: Bound,
    ) -> Result<Self, NotStudied> {
        let segment = Segment::of(machine)?;
        let idle = machine.idle.as_ref().ok_or(NotStudied::NoIdleSeen)?.speed.si;
        if curve.cylinders.is_empty() {
            return Err(NotStudied::NoCurve);
        }
        let laws: Vec<Law> = curve.cylinders.iter().map(|c| c.law.clone()).collect();
        if laws.iter().any(|l| l.segment().is_none()) {
            return Err(NotStudied::LawWithoutSegment);
        }
        let judged = Judged::at_idle(&Subject::nominal(machine, model, laws.clone()), machine, model, idle);
        if judged.opening_m2.is_none() {
            return Err(NotStudied::IdleNotReproduced);
        }
        Ok(Self { machine, curve, model, segment, idle, laws, judged, kick_limit })
    }

    /// Judged on other laws, the stop reset to the idle seen.
    pub fn judge(&self, laws: Vec<Law>) -> Judged {
        Judged::at_idle(&Subject::nominal(self.machine, self.model, laws), self.machine, self.model, self.idle)
    }

    /// The laws after a cut [m]; `None` where it leaves no segment.
    pub fn cut_laws(&self, cut_m: f64) -> Option<Vec<Law>> {
        let cut = self.segment.rim.crank_of_arc(cut_m);
        self.laws.iter().map(|l| l.with_trailing_cut(cut)).collect()
    }

    /// Doubt of a cut: none without one.
    pub fn cut_doubt(&self, cut_m: f64) -> CrankAngle {
        if cut_m > 0.0 { self.segment.rim.crank_of_arc(TOLERANCE_M) } else { CrankAngle::default() }
    }

    /// A cut as crank angle, and its standard uncertainty: half of the tolerance (JCGM 100:2008, 6.2).
    pub fn cut_and_doubt(&self, cut_m: f64) -> (CrankAngle, CrankAngle) {
        let doubt = self.cut_doubt(cut_m).radians();
        (self.segment.rim.crank_of_arc(cut_m), CrankAngle::from_radians(0.5 * doubt))
    }

    /// Runs the working cycle for a cut, at the idle and at kicking speed; `None` where it leaves no segment.
    pub fn fire(&self, cut_m: f64) -> Option<Fired> {
        let laws = self.cut_laws(cut_m)?;
        let kick_work_j = self.kick_work_j(&laws);
        let subject = Subject::nominal(self.machine, self.model, laws);
        let opening = Judged::at_idle(&subject, self.machine, self.model, self.idle).nearest_opening_m2;
        let idle = self.model.cycle().at(self.idle, opening, subject.advance_rad(self.idle));
        Some(Fired { idle, kick_work_j })
    }

    /// Advance of the cylinder that fires first at kicking speed [rad].
    fn kicked_at(&self, laws: &[Law]) -> Finding {
        let speed = self.machine.engine.kicking_speed.si;
        let si = laws.iter().map(|l| l.advance(speed).radians()).fold(f64::NEG_INFINITY, f64::max);
        // A cut or a shift moves the curve, and hardly its ±.
        let plus_minus_si = load::earliest(self.curve, speed).map_or(0.0, |a| a.plus_minus_si);
        Finding { si, plus_minus_si }
    }

    /// Work against the kick of that cylinder [J].
    fn kick_work_j(&self, laws: &[Law]) -> f64 {
        self.model.cycle().kick_back_work_j(self.machine.engine.kicking_speed.si, self.kicked_at(laws).si)
    }

    /// The energy test at kicking speed.
    pub fn kick_back(&self, laws: &[Law]) -> KickBack {
        self.kick_test(self.kick_work_j(laws), laws)
    }

    fn kick_test(&self, work_against_j: f64, laws: &[Law]) -> KickBack {
        let engine = &self.machine.engine;
        let turning_energy_j = 0.5 * engine.inertia.si * engine.kicking_speed.si * engine.kicking_speed.si;
        KickBack {
            work_against_j,
            turning_energy_j,
            passes: Kick { work_against_j, turning_energy_j }.passes(),
            advance: self.kicked_at(laws),
            limit: self.kick_limit,
        }
    }

    /// All about one cut; `None` where it leaves no segment.
    pub fn outcome(&self, cut_m: f64, fired: Fired, chance: Option<Chance>) -> Option<CutOutcome> {
        let laws = self.cut_laws(cut_m)?;
        let subject = Subject::nominal(self.machine, self.model, laws);
        let judged = Judged::at_idle(&subject, self.machine, self.model, self.idle);
        let opening = self.judged.nearest_opening_m2;
        Some(CutOutcome {
            cut_m,
            cut_crank_rad: self.segment.rim.crank_of_arc(cut_m).radians(),
            least_advance: self.least_advance(&subject.laws, self.cut_doubt(cut_m)),
            same_stop: judge::at_opening(&subject, self.machine, self.model, opening),
            verdict: judged.verdict,
            chance,
            stiffness_rad_s_per_percent: judged.idle.map_or(f64::NAN, |p| p.stiffness_rad_s_per_percent),
            cycle: judge::cycle_at(&subject, self.model, self.idle, judged.nearest_opening_m2, fired.idle),
            kick_back: self.kick_test(fired.kick_work_j, &subject.laws),
            segment_left_m: self.segment.arc_m - cut_m,
            unbalance: self.unbalance(cut_m),
            same_idle: judged.picture,
        })
    }

    /// Least advance of any cylinder; its ± is that of the curve there and that of the cut.
    fn least_advance(&self, laws: &[Law], doubt: CrankAngle) -> Finding {
        let least = |law: &Law, speeds: &[f64]| speeds.iter().map(|n| law.advance(*n).radians()).fold(f64::INFINITY, f64::min);
        let mut found = Finding { si: f64::INFINITY, plus_minus_si: 0.0 };
        for (law, cylinder) in laws.iter().zip(&self.curve.cylinders) {
            let speeds: Vec<f64> = cylinder.band.iter().map(|b| b.speed_rad_s).collect();
            let here = least(law, &speeds);
            if here < found.si {
                let band = cylinder.band.iter().min_by(|a, b| a.advance.si.total_cmp(&b.advance.si));
                let curve = band.map_or(0.0, |b| b.advance.plus_minus_si);
                found = Finding { si: here, plus_minus_si: curve.hypot(doubt.radians()) };
            }
        }
        found
    }

    fn unbalance(&self, cut_m: f64) -> Option<Unbalance> {
        Some(Unbalance {
            made_kg_m: trimmed::taken_off(self.machine, cut_m)?.si,
            permissible_kg_m: trimmed::permitted(self.machine)?,
        })
    }
}

/// What only the working cycle itself can say of a cut. It changes smoothly with the cut, so it is run for some and interpolated between.
#[derive(Clone, Copy)]
pub struct Fired {
    idle: CyclePoint,
    kick_work_j: f64,
}

impl Fired {
    /// As an outcome has it.
    fn of(outcome: &CutOutcome) -> Self {
        Self {
            idle: CyclePoint {
                residual: outcome.cycle.residual_fraction,
                half_burned_rad: outcome.cycle.half_burned_rad,
                peak_pa: outcome.cycle.peak_pressure_pa,
                runner_pa: outcome.cycle.runner_pressure_pa,
            },
            kick_work_j: outcome.kick_back.work_against_j,
        }
    }

    /// By straight line between the neighbours in `fired`, which rise in cut [m]. The work against a kick grows ever faster with
    /// advance, so the line errs on the safe side. `None` outside.
    pub fn between(fired: &[(f64, Self)], cut_m: f64) -> Option<Self> {
        let after = fired.iter().position(|(m, _)| *m >= cut_m)?;
        let (m2, b) = fired[after];
        if m2 == cut_m {
            return Some(b);
        }
        let (m1, a) = fired[after.checked_sub(1)?];
        let share = (cut_m - m1) / (m2 - m1);
        let line = |x: f64, y: f64| x + share * (y - x);
        Some(Self {
            idle: CyclePoint {
                residual: line(a.idle.residual, b.idle.residual),
                half_burned_rad: line(a.idle.half_burned_rad, b.idle.half_burned_rad),
                peak_pa: line(a.idle.peak_pa, b.idle.peak_pa),
                runner_pa: line(a.idle.runner_pa, b.idle.runner_pa),
            },
            kick_work_j: line(a.kick_work_j, b.kick_work_j),
        })
    }
}

/// The quick answer for a cut that is being dragged [m along the rim], from a plan of the same machine: rest points, verdict and
/// stiffness are computed for this very cut, what the working cycle says lies on a line between the plan's neighbouring cuts, and
/// the chance is that of the nearest. `None` beyond the plan's cuts.
pub fn one_cut(machine: &Machine, curve: &CurveStudy, model: &EngineModel, plan: &TrimStudy, cut_m: f64) -> Option<CutOutcome> {
    let fired: Vec<_> = plan.cuts.iter().map(|c| (c.cut_m, Fired::of(c))).collect();
    let nearest = plan.cuts.iter().min_by(|a, b| (a.cut_m - cut_m).abs().total_cmp(&(b.cut_m - cut_m).abs()))?;
    let kick_limit = plan.cuts.first()?.kick_back.limit;
    Found::new(machine, curve, model, kick_limit).ok()?.outcome(cut_m, Fired::between(&fired, cut_m)?, nearest.chance)
}
