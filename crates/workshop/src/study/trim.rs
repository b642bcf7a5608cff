//! What a cut of the segment's trailing end changes, and the least cut that serves.

use super::{
    Finding,
    alike::Explains,
    idle::{Chance, CycleAtIdle, RestPicture, Verdict},
    load::Bound,
    sensitivity::Sensitivity,
    warning::Warning,
};
use crate::machine::{SeenFrom, Turns};

mod cut;
mod plan;
mod reversible;
mod rotor;

pub use cut::{TOLERANCE_M, one_cut};
pub use plan::{MOST_HANGING, sampled, study};
pub use rotor::drawing;

/// The trim plan.
#[derive(Clone, Debug)]
pub struct TrimStudy {
    /// What to do.
    pub advice: Advice,
    /// Before and after at a row of cuts, none first.
    pub cuts: Vec<CutOutcome>,
    /// Cases that were tried at every cut, and those of them that hang again at a longer cut than the least that cured them: the chances of
    /// the row are worked out as if there were none such.
    pub tried: (usize, usize),
    /// Which input the doubt comes from that is left after the advised cut, where one is advised.
    pub doubt: Option<Sensitivity>,
    /// Rotor picture: which end is cut.
    pub drawing: RotorPicture,
    /// The reversible ways that were computed beside it, best first.
    pub reversible: Vec<Reversible>,
    /// What must be said beside it.
    pub warnings: Vec<Warning>,
}

/// The advice.
#[derive(Clone, Debug, PartialEq)]
pub enum Advice {
    /// As found it does not hang: nothing is to be cut.
    NoneNeeded,
    /// A reversible way serves as well; it comes first.
    TryReversibleFirst {
        /// Index into [`TrimStudy::reversible`].
        way: usize,
        /// The cut that would serve if it cannot be done.
        otherwise: Option<CutWindow>,
    },
    /// The curve is not the only thing that would explain the hang that was seen, or not the likeliest: nothing is to be done to the timing
    /// before the others are ruled out. `explains` is never [`Explains::Curve`].
    RuleOutFirst {
        /// What to look for or to try.
        explains: Explains,
        /// What serves once only the curve is left; never a `RuleOutFirst`.
        otherwise: Box<Advice>,
    },
    /// This window of cuts serves.
    Cut(CutWindow),
    /// No cut inside the limits serves.
    NoCutServes {
        /// What stops it.
        because: Limit,
    },
}

impl Advice {
    /// The window of the advised cut, where one is advised, be it only as the last way.
    pub fn window(&self) -> Option<&CutWindow> {
        match self {
            Advice::Cut(window) => Some(window),
            Advice::TryReversibleFirst { otherwise, .. } => otherwise.as_ref(),
            Advice::RuleOutFirst { otherwise, .. } => otherwise.window(),
            Advice::NoneNeeded | Advice::NoCutServes { .. } => None,
        }
    }

    /// The same in the light of what explains the hang: nothing is altered while something that can be put right explains it as well.
    fn after(self, explains: Option<Explains>) -> Self {
        match (self, explains) {
            (advice @ (Advice::NoneNeeded | Advice::NoCutServes { .. }), _) => advice,
            (advice, None | Some(Explains::Curve)) => advice,
            (advice, Some(explains)) => Advice::RuleOutFirst { explains, otherwise: Box::new(advice) },
        }
    }
}

/// The window of cuts that serve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CutWindow {
    /// Least cut [m along the rim].
    pub least_m: f64,
    /// Greatest cut inside the limits [m].
    pub most_m: f64,
    /// The advised cut [m] and the workshop's tolerance on it [m].
    pub advised: Finding,
    /// The same as crank angle [rad], ± included.
    pub advised_crank: Finding,
    /// What bounds the greatest cut.
    pub bounded_by: Limit,
}

/// Limits of a cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit {
    /// Kick-back at kicking speed.
    KickBack,
    /// The segment would be too short for the pickup.
    SegmentLength,
    /// No cut removes the second rest point.
    HangRemains,
    /// Most that may be cut at all (half of the segment).
    HalfOfSegment,
}

/// Outcome of one cut.
#[derive(Clone, Debug)]
pub struct CutOutcome {
    /// Cut along the rim [m].
    pub cut_m: f64,
    /// The same in crank angle [rad].
    pub cut_crank_rad: f64,
    /// Least advance after it [rad] and its ±.
    pub least_advance: Finding,
    /// Rest points with the throttle stop left as it was.
    pub same_stop: RestPicture,
    /// Rest points with the stop reset to the idle speed seen.
    pub same_idle: RestPicture,
    /// Verdict with the stop reset.
    pub verdict: Verdict,
    /// Share of sampled cases that hang, with the stop reset; of the nearest cut of the plan where it was not sampled for this one.
    pub chance: Option<Chance>,
    /// Speed change for 1 % of air at the idle [rad/s], stop reset.
    pub stiffness_rad_s_per_percent: f64,
    /// The working cycle at the idle, stop reset.
    pub cycle: CycleAtIdle,
    /// Kick-back at kicking speed.
    pub kick_back: KickBack,
    /// Segment length left [m].
    pub segment_left_m: f64,
    /// Unbalance that the cut makes, and what ISO 21940-11 permits [kg·m], where masses are known.
    pub unbalance: Option<Unbalance>,
}

/// Energy test for kick-back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KickBack {
    /// Work that the burning gas does against the rising piston, spark to top dead centre, beyond the motored work [J].
    pub work_against_j: f64,
    /// Energy of the turning parts at kicking speed [J].
    pub turning_energy_j: f64,
    /// `work_against` less than `turning_energy`, with the least margin this project accepts.
    pub passes: bool,
    /// Advance of the cylinder that fires first, at kicking speed [rad].
    pub advance: Finding,
    /// Advance from which it would not pass.
    pub limit: Bound,
}

impl KickBack {
    /// At kicking speed the spark comes after top dead centre, with the piston on its way down already: it cannot turn back.
    pub fn fires_late(&self) -> bool {
        self.advance.si <= 0.0
    }
}

/// Unbalance in kg·m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unbalance {
    /// Made by the cut.
    pub made_kg_m: f64,
    /// Permissible for G 6.3 at top speed.
    pub permissible_kg_m: f64,
}

/// A way that can be undone.
#[derive(Clone, Debug)]
pub struct Reversible {
    /// Which.
    pub way: ReversibleWay,
    /// What it does to the idle.
    pub verdict: Verdict,
    /// Advance at full speed after it [rad].
    pub full_advance_rad: f64,
    /// How near it comes to knock, wide open; `None` where no knock limit was found over the advances tried.
    pub knock: Option<KnockRoom>,
    /// What speaks against it.
    pub objections: Vec<Objection>,
}

impl Reversible {
    /// Does it cure the idle without spoiling the top end, knocking or kicking back?
    pub fn serves(&self) -> bool {
        self.objections.is_empty()
    }
}

/// How far an advance stays below the knock limit, wide open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KnockRoom {
    /// Crank speed at which the room is least [rad/s].
    pub at_rad_s: f64,
    /// Room there [rad]; negative beyond the limit.
    pub room: Finding,
}

/// What speaks against a way that can be undone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Objection {
    /// The idle is not steady with it.
    NotSteady,
    /// Too many of the sampled cases still hang.
    MayHang(Chance),
    /// The kick-back test fails.
    KicksBack,
    /// The advance at top speed moves by so much [rad], more than a strobe lets pass.
    TopEndMoves {
        /// Change of the advance at top speed [rad], positive = earlier.
        by_rad: f64,
    },
    /// It moves the spark to where the engine knocks wide open, or may knock within the ±.
    Knocks(KnockRoom),
    /// It makes the spark earlier wide open at a speed where the knock limit cannot be told.
    KnockNotKnown {
        /// Crank speed [rad/s], the lowest of them.
        at_rad_s: f64,
    },
}

/// Ways that can be undone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ReversibleWay {
    /// Shift the pickup plate earlier: the whole curve moves.
    PlateShift {
        /// By so much crank angle [rad].
        by_rad: f64,
    },
    /// Put the reversed pickup leads right.
    PickupLeads,
    /// Another module whose advance starts later.
    LaterModule {
        /// Speed up to which its advance is least [rad/s].
        start_rad_s: f64,
        /// Speed from which its advance is greatest [rad/s].
        full_rad_s: f64,
        /// Advance up to the first of them [rad].
        least_advance_rad: f64,
    },
}

/// What a drawing of the rotor needs: rotor angles counted in the turning direction from the leading edge's radius,
/// seen from the stated side. The trailing end follows the leading end, so it lies against the turning direction from it.
#[derive(Clone, Debug, PartialEq)]
pub struct RotorPicture {
    /// Turning direction as seen.
    pub turns: Turns,
    /// From which side.
    pub seen_from: SeenFrom,
    /// Rim diameter [m].
    pub rim_diameter_m: f64,
    /// Segment along the rim [m].
    pub segment_arc_m: f64,
    /// Cut at the trailing end [m along the rim].
    pub cut_m: f64,
    /// Pickup places: rotor angle [rad] from the first pickup, in the turning direction.
    pub pickups_rad: Vec<f64>,
    /// Rotor angle [rad] from the first pickup's line to the leading edge, in the turning direction, with the first cylinder at
    /// top dead centre: by then the leading edge has passed the pickup by the lead.
    pub lead_rotor_rad: f64,
    /// Rotor turns per crank turn.
    pub turns_per_crank_turn: f64,
}
