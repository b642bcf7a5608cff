//! What the seat on the taper carries, and how it lies.

use crate::study::doubt::{Input, finding, input};
use crate::{
    machine::{ContactAt, Lubrication, Taper, metal::Metal},
    study::Finding,
};
use physics::rotor::{
    taper::{Formula, KeyIfSlipped, Rings, Seat, drawn, key_if_slipped, mismatch},
    thread::{Done, Metric},
};

/// What is found of the seat.
#[derive(Clone, Debug, PartialEq)]
pub struct TaperFound {
    /// Clamp force of the nut [N].
    pub clamp: Finding,
    /// Share of the thread's proof load \[1\], pull and twist together.
    pub of_proof: Finding,
    /// Torque at which the seat slips, pressed on dry: the safe one, and the one that counts [N·m].
    pub slips_at: Finding,
    /// The other textbook's [N·m].
    pub worked_home: Finding,
    /// Mean pressure where it touches [Pa].
    pub pressure: Finding,
    /// Mean pressure over the whole cone, which is what stretches the boss [Pa].
    pub over_all: Finding,
    /// What the seat must carry, and how many times over it does \[1\]; `None` where the torque is neither in the file nor known from the engine.
    pub margin: Option<Margin>,
    /// Axial force that pulls it off [N]; below zero it comes off by itself.
    pub release: Finding,
    /// Whether it stays on by itself.
    pub holds_itself: bool,
    /// Way along the shaft from first touch to home [m].
    pub travel: Finding,
    /// Warming of the boss above the shaft that frees it [K].
    pub frees_at: Finding,
    /// Where cones of unlike angle touch.
    pub mismatch: Option<Angles>,
    /// What the key would see if the seat slipped under the torque; it is not counted.
    pub key: Option<KeyIfSlipped>,
    /// Remarks.
    pub remarks: Vec<Remark>,
}

/// Torque to carry and what is over.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margin {
    /// Torque to carry: the greater of what the file says and what the gas makes of it [N·m].
    pub wanted: Finding,
    /// What the gas makes of it, with the rotor's share of all that turns [N·m].
    pub by_gas: Option<Finding>,
    /// Slip torque over it \[1\].
    pub times: Finding,
    /// Whether it carries the torque with its ± to spare.
    pub carries: Carries,
}

/// See [`Margin`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Carries {
    /// Yes, ± and all.
    Yes,
    /// Not sure within the ±.
    Unsure,
    /// No.
    No,
}

/// Cones of unlike angle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Angles {
    /// Touches at the large end first.
    pub at_large_end: bool,
    /// Gap at the other end before the nut is tight [m].
    pub gap: Finding,
    /// Share that touches when it is [1].
    pub share: f64,
    /// Greatest pressure [Pa].
    pub peak_pa: f64,
}

/// Something to know about the seat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Remark {
    /// Less of the seat touches than is wanted.
    LittleContact {
        /// Share \[1\].
        share: f64,
    },
    /// It touches at the small end only: the rotor rocks and frets, whatever the torque.
    SmallEndOnly,
    /// The nut's torque takes the thread past its proof load.
    BeyondProof,
    /// It does not hold itself: it lets go when the nut does.
    LetsGo,
    /// The pressure passes what mild steel bears without yielding.
    HighPressure,
}

/// Boss and shaft as rings of steel, as read.
pub(super) fn rings(taper: &Taper) -> Rings {
    let mean_m = taper.large_diameter.si - 0.5 * taper.ratio.si * taper.length.si;
    let steel = (STEEL.0.0, STEEL.1.0);
    // Pressure and hoop stress of a ring do not depend on what it is of.
    Rings { seat_m: 0.5 * mean_m, hub_m: 0.5 * taper.hub_diameter.si, hub: steel, shaft: steel }
}

/// Least contact that is wanted \[1\] (common practice, no source): 70 %.
const LEAST_CONTACT: f64 = 0.70;
/// Pressure that a mild-steel seat bears [Pa] (common practice, no source).
const MOST_PRESSURE: f64 = 200e6;
/// Steel, of which the shaft is, and the boss where the file does not name its metal: Young's modulus [Pa], Poisson's ratio \[1\], expansion [1/K], each with its ± (handbook values from memory; no source
/// read again).
const STEEL: (Input, Input, Input) = ((210e9, 5e9), (0.3, 0.01), (12e-6, 1e-6));

/// Friction of thread and face, with its ± \[1\] (common practice, no source; the usual classes of tables of tightening torques: 0.10 to 0.16 oiled, more dry).
pub fn friction(state: Lubrication) -> (f64, f64) {
    match state {
        Lubrication::Dry => (0.18, 0.05),
        Lubrication::Oiled => (0.13, 0.03),
        Lubrication::Greased => (0.10, 0.02),
    }
}

/// Places of the inputs.
const LARGE: usize = 0;
const LENGTH: usize = 1;
const RATIO: usize = 2;
const SEAT_MU: usize = 3;
const TORQUE: usize = 4;
const NUT_MU: usize = 5;
const FACE: usize = 6;
const CONTACT: usize = 7;
const HUB: usize = 8;
const YOUNG: usize = 9;
const POISSON: usize = 10;
const EXPANSION: usize = 11;

/// A taper with its inputs.
struct One<'a>(&'a Taper);

impl One<'_> {
    fn done(&self, x: &[f64]) -> Option<Done> {
        let thread = Metric::new(self.0.thread.si, self.0.pitch.si)?;
        Some(Done { thread, thread_friction: x[NUT_MU], face_friction: x[NUT_MU], face_m: 0.5 * (x[FACE] + self.0.thread.si) })
    }

    fn clamp(&self, x: &[f64]) -> f64 {
        self.done(x).map_or(f64::NAN, |d| d.clamp_n(x[TORQUE]))
    }

    fn whole(&self, x: &[f64]) -> Option<Seat> {
        Seat::new(x[LARGE], x[LENGTH], x[RATIO], x[SEAT_MU].max(0.0)).ok()
    }

    /// The part of the seat that touches.
    fn seat(&self, x: &[f64]) -> Option<Seat> {
        let share = x[CONTACT].clamp(LEAST_SHARE, 1.0);
        self.whole(x).map(|seat| match self.0.contact_at {
            ContactAt::AllOver => seat,
            ContactAt::LargeEnd => seat.at_large_end(share),
            ContactAt::SmallEnd => seat.at_small_end(share),
        })
    }

    fn slips(&self, x: &[f64], by: Formula) -> f64 {
        self.seat(x).map_or(f64::NAN, |s| s.slips_at_n_m(self.clamp(x), by))
    }

    fn pressure(&self, x: &[f64]) -> f64 {
        self.whole(x).map_or(f64::NAN, |s| s.pressure_pa(self.clamp(x), Formula::PressedOn, x[CONTACT].clamp(LEAST_SHARE, 1.0)))
    }

    fn rings(&self, x: &[f64]) -> Option<Rings> {
        let seat = self.whole(x)?;
        let (hub, shaft) = ((x[YOUNG], x[POISSON]), (STEEL.0.0, STEEL.1.0));
        Some(Rings { seat_m: 0.5 * seat.mean_m(), hub_m: 0.5 * x[HUB], hub, shaft })
    }
}

/// Least contact that is reckoned with \[1\] (own choice): none at all has no pressure.
const LEAST_SHARE: f64 = 0.01;

/// The seat and its nut, which carries the torque in the file or `by_gas` [N·m], whichever is more. `None` where the sizes make no seat or no thread, which the machine file's own checks refuse.
///
/// `boss` is the metal of the boss; steel where it is not known.
pub fn study(taper: &Taper, by_gas: Option<Finding>, boss: Option<&Metal>) -> Option<TaperFound> {
    let one = One(taper);
    let inputs = [
        input(&taper.large_diameter),
        input(&taper.length),
        input(&taper.ratio),
        input(&taper.friction),
        input(&taper.nut_torque),
        friction(taper.lubrication),
        input(&taper.nut_face),
        input(&taper.contact),
        input(&taper.hub_diameter),
        boss.map_or(STEEL.0, |m| m.young_pa),
        boss.map_or(STEEL.1, |m| m.poisson),
        boss.map_or(STEEL.2, |m| m.expansion_per_k),
    ];
    let x = inputs.map(|i| i.0);
    let (seat, rings, done) = (one.whole(&x)?, one.rings(&x)?, one.done(&x)?);
    rings.pressure_per_m()?;
    let find = |f: &dyn Fn(&[f64]) -> f64| finding(f, &inputs);
    let clamp = find(&|x| one.clamp(x));
    let slips_at = find(&|x| one.slips(x, Formula::PressedOn));
    let proof = taper.class.proof_pa(taper.thread.si);
    let of_proof = find(&|x| done.thread.tightening_stress_pa(one.clamp(x), x[NUT_MU]) / proof);
    let pressure = find(&|x| one.pressure(x));
    // Over the whole cone: what does not touch does not give way, so the mean is what stretches the boss.
    let mean = |x: &[f64]| one.whole(x).map_or(f64::NAN, |s| s.pressure_pa(one.clamp(x), Formula::PressedOn, 1.0));
    let entered = taper.peak_torque.as_ref().map(Finding::of);
    let most = entered.into_iter().chain(by_gas).max_by(|a, b| a.si.total_cmp(&b.si));
    let margin = most.map(|wanted| {
        let times = finding(|t| t[0] / t[1], &[(slips_at.si, slips_at.plus_minus_si), (wanted.si, wanted.plus_minus_si)]);
        let carries = match times {
            Finding { si, plus_minus_si } if si - plus_minus_si > 1.0 => Carries::Yes,
            Finding { si, .. } if si > 1.0 => Carries::Unsure,
            _ => Carries::No,
        };
        Margin { wanted, by_gas, times, carries }
    });
    let normal = |x: &[f64]| one.whole(x).map_or(f64::NAN, |s| s.normal_n(one.clamp(x), Formula::PressedOn));
    // Pulled off by the seat's own friction; it was pressed on with the same.
    let release = find(&|x| one.whole(x).map_or(f64::NAN, |s| s.release_n(normal(x))));
    let lies = |x: &[f64], of: &dyn Fn(physics::rotor::taper::Drawn) -> f64| {
        let found = one.whole(x).zip(one.rings(x)).and_then(|(s, r)| drawn(&s, &r, mean(x), x[EXPANSION]));
        found.map_or(f64::NAN, of)
    };
    let angles = taper.hub_ratio.as_ref().and_then(|hub| {
        let m = mismatch(&seat, hub.si, &rings, normal(&x))?;
        let gap = finding(|t| 0.5 * (t[0] - t[1]).abs() * t[2], &[input(hub), input(&taper.ratio), input(&taper.length)]);
        Some(Angles { at_large_end: m.at_large_end, gap, share: m.share, peak_pa: m.peak_pa })
    });
    let key = taper
        .key
        .as_ref()
        .zip(most)
        .map(|(key, torque)| key_if_slipped(torque.si, 0.5 * seat.mean_m(), [key[0].si, key[1].si, key[2].si]));
    let remarks = [
        (taper.contact.si < LEAST_CONTACT).then_some(Remark::LittleContact { share: taper.contact.si }),
        (taper.contact_at == ContactAt::SmallEnd).then_some(Remark::SmallEndOnly),
        (of_proof.si > 1.0).then_some(Remark::BeyondProof),
        (!seat.holds_itself()).then_some(Remark::LetsGo),
        (pressure.si.max(angles.map_or(0.0, |a: Angles| a.peak_pa)) > MOST_PRESSURE).then_some(Remark::HighPressure),
    ];
    Some(TaperFound {
        clamp,
        of_proof,
        slips_at,
        worked_home: find(&|x| one.slips(x, Formula::WorkedHome)),
        pressure,
        over_all: find(&mean),
        margin,
        release,
        holds_itself: seat.holds_itself(),
        travel: find(&|x| lies(x, &|d| d.travel_m)),
        frees_at: find(&|x| lies(x, &|d| d.frees_at_k)),
        mismatch: angles,
        key,
        remarks: remarks.into_iter().flatten().collect(),
    })
}
