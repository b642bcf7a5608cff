//! What the bonds of the magnets carry, what they bear, and how likely they are to let go.

mod chance;
mod cold;

pub use chance::Chance;
pub use cold::Cold;

use crate::study::doubt::{Input, finding, input};
use crate::{
    machine::{
        Bond,
        metal::{MagnetMaterial, Metal},
        rotor::{Magnet as Ring, Piece, Rotor, Sits},
    },
    study::Finding,
};
use physics::rotor::{
    bond::{Magnet, Never, NoStrength, Seat, Shaken, Strength},
    shear_lag::{Joint, Part, Strained, coupon},
};
use quantity::Reading;

/// Magnets alike.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// What they are of.
    pub material: MagnetMaterial,
    /// On which side of their seat they sit.
    pub seat: Seat,
    /// How many.
    pub count: usize,
    /// Mass of each [kg].
    pub mass: Finding,
    /// Diameter over their outside [m].
    pub outside: Reading,
    /// Diameter inside them [m].
    pub inside: Reading,
    /// Arc that each covers [rad].
    pub arc: Reading,
    /// Length along the axis [m].
    pub length: Finding,
    /// Young's modulus [Pa] and expansion [1/K] of the metal that they sit on.
    pub backing: (Input, Input),
}

impl Group {
    /// From the machine file. Without a mass of their own magnets weigh what their material does.
    pub fn of(ring: &Ring, rotor: &Rotor) -> Self {
        let inputs = [&ring.inside, &ring.outside, &ring.arc, &ring.from, &ring.to].map(input);
        let (density, by) = ring.material.density_kg_m3();
        let volume = |x: &[f64]| 0.125 * x[2] * (x[1] * x[1] - x[0] * x[0]) * (x[4] - x[3]);
        let by_volume = || {
            let all: Vec<Input> = inputs.iter().copied().chain([(density, by)]).collect();
            finding(|x| volume(x) * x[5], &all)
        };
        let mass = ring.mass.as_ref().map_or_else(by_volume, Finding::of);
        Self {
            material: ring.material,
            seat: match ring.sits {
                Sits::InsideRim => Seat::InsideRim,
                Sits::OutsideHub => Seat::OnHub,
            },
            count: usize::from(ring.count),
            mass,
            outside: ring.outside.clone(),
            inside: ring.inside.clone(),
            arc: ring.arc.clone(),
            length: finding(|x| x[1] - x[0], &[input(&ring.from), input(&ring.to)]),
            backing: backing(ring, rotor).map_or(STEEL, |m| (m.young_pa, m.expansion_per_k)),
        }
    }
}

/// The metal that magnets sit on: of the piece whose own face is nearest to their seat where they are.
fn backing(ring: &Ring, rotor: &Rotor) -> Option<&'static Metal> {
    let off = |p: &&Piece| match ring.sits {
        Sits::InsideRim => (p.inside.si - ring.outside.si).abs(),
        Sits::OutsideHub => (p.outside.si - ring.inside.si).abs(),
    };
    let along = rotor.pieces.iter().filter(|p| p.from.si < ring.to.si && ring.from.si < p.to.si);
    along.min_by(|a, b| off(a).total_cmp(&off(b))).and_then(|p| p.metal).or(rotor.metal)
}

/// How the magnets are carried round.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spin {
    /// Top speed of the rotor [rad/s].
    pub speed: Finding,
    /// How far its middle is off the axis, so much farther out is the worst magnet [m].
    pub off_axis: Finding,
}

/// What is found of a group's bonds, at the top speed and the hottest.
#[derive(Clone, Debug, PartialEq)]
pub struct BondFound {
    /// What they are of.
    pub material: MagnetMaterial,
    /// On which side of their seat they sit.
    pub seat: Seat,
    /// How many.
    pub count: usize,
    /// Pull of spin on the one farthest out [N].
    pub pull: Finding,
    /// Stress across the layer, pulling positive [Pa].
    pub across: Finding,
    /// Shear by unequal expansion at the worst corner, as elastic as a cold layer is [Pa].
    pub thermal: Finding,
    /// Shear in all that counts against the strength of a test piece [Pa].
    pub along: Finding,
    /// Strength of this joint, age and quality in it [Pa].
    pub strength: Finding,
    /// Strength over load \[1\].
    pub margin: Finding,
    /// The same at the coldest.
    pub cold: Cold,
    /// Speed at which the strength is used up.
    pub used_up: Result<Finding, Never>,
    /// Chance that a bond lets go at top speed, hot, by what pulls and shakes it.
    pub chance: Chance,
    /// Chance that a bond begins to part at a corner, where unequal expansion adds its peak; a crack relieves that, so it need not run on.
    pub begins: Chance,
    /// When to look at the bonds again.
    pub look: Look,
}

/// When bonds are looked at again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// Not to be run: glue anew. So too where heat and shock alone, or all of it at top speed, use the strength up.
    NotToBeRun,
    /// After the first heat, and at each service after it.
    EachService,
    /// After the first heat, and whenever the cover is off.
    WheneverOff,
    /// Pulled off by speed: a matter for a specialist or a sleeve, whatever the number says.
    Specialist,
}

/// Chance of any letting go above which a rotor is not to be run, and above which its bonds are looked at with each service \[1\] (own choice): one in a
/// hundred and one in ten thousand.
pub const NOT_TO_BE_RUN: f64 = 1e-2;
/// See [`NOT_TO_BE_RUN`] \[1\] (own choice).
pub const EACH_SERVICE: f64 = 1e-4;

/// Why nothing is found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NotFound {
    /// This part or key of the machine file is needed.
    Missing(&'static str),
    /// The rotor gets hotter, or stays colder [K], than any point of the adhesive's strength: nothing is told beyond the points.
    BeyondPoints {
        /// Wanted [K].
        wanted_k: f64,
        /// Coldest point [K].
        least_k: f64,
        /// Hottest [K].
        most_k: f64,
    },
    /// The adhesive's strength is known at one temperature only: two or more are needed.
    OnePoint,
    /// Sizes that cannot be.
    Impossible,
}

/// Standard gravity [m/s²], 9.80665 by definition.
const GRAVITY: f64 = 9.806_65;
/// Order of the unevenness per turn \[1\] (own choice): a single's half order is slower and a twin's first the same; one is counted.
const ORDER: f64 = 1.0;
/// Metal behind the magnets where the file does not name it: Young's modulus [Pa] and expansion [1/K], each with its ± (handbook values for plain steel, from memory; no source read again).
const STEEL: (Input, Input) = ((210e9, 5e9), (12e-6, 1e-6));

/// Young's modulus [Pa] and thermal expansion [1/K] of a magnet, the latter with its ± from along to across the grain (handbook values from memory: hard
/// ferrite 8 to 14e-6, sintered rare earth −1 to 6e-6, alnico 11 to 13e-6).
fn elastic(material: MagnetMaterial) -> (f64, Input) {
    match material {
        MagnetMaterial::Ferrite => (170e9, (11e-6, 3e-6)),
        MagnetMaterial::RareEarth => (160e9, (2.5e-6, 3.5e-6)),
        MagnetMaterial::Alnico => (200e9, (12e-6, 1e-6)),
    }
}

/// Places of the inputs of one bond.
const MASS: usize = 0;
const INSIDE: usize = 1;
const OUTSIDE: usize = 2;
const ARC: usize = 3;
const LENGTH: usize = 4;
const LAYER: usize = 5;
const MODULUS: usize = 6;
const SET_AT: usize = 7;
const HOT: usize = 8;
const EXPANSION: usize = 9;
const BACKING: usize = 10;
const SHOCK: usize = 11;
const UNEVEN: usize = 12;
const POLES: usize = 13;
const SPEED: usize = 14;
const AREA: usize = 15;
const OFF_AXIS: usize = 16;
const BACK_YOUNG: usize = 17;
const BACK_EXPANSION: usize = 18;

/// One bond with its inputs, each with its ±.
struct One<'a> {
    group: &'a Group,
    bond: &'a Bond,
    strength: Strength,
    inputs: Vec<Input>,
}

impl One<'_> {
    fn magnet(&self, x: &[f64]) -> Magnet {
        let seat_m = match self.group.seat {
            Seat::InsideRim => 0.5 * x[OUTSIDE],
            Seat::OnHub => 0.5 * x[INSIDE],
        };
        // Of its back that share bonds which the file's area is of it; else all of it.
        let back = seat_m * x[ARC] * x[LENGTH];
        Magnet {
            seat: self.group.seat,
            mass_kg: x[MASS],
            radius_m: centre_m(0.5 * x[INSIDE], 0.5 * x[OUTSIDE], x[ARC]) + x[OFF_AXIS],
            area_m2: if self.bond.area.is_some() { x[AREA] } else { back },
            sleeve_n: self.bond.sleeve.si,
        }
    }

    /// Peak shear by heat at the corner: along the arc and along the shaft by themselves, and at the corner both.
    fn thermal_pa(&self, x: &[f64]) -> f64 {
        let young = elastic(self.group.material).0;
        let magnet = Part { thickness_m: 0.5 * (x[OUTSIDE] - x[INSIDE]), young_pa: young, expansion_per_k: x[EXPANSION] };
        let metal = Part { thickness_m: x[BACKING], young_pa: x[BACK_YOUNG], expansion_per_k: x[BACK_EXPANSION] };
        let arc_m = x[ARC] * self.magnet_seat_m(x);
        let by = Strained { force_n_m: 0.0, warmer_k: x[HOT] - x[SET_AT] };
        let peak = |length_m: f64| {
            Joint { length_m, layer_m: x[LAYER], shear_modulus_pa: x[MODULUS], first: magnet, second: metal }.peak_pa(by)
        };
        peak(arc_m).hypot(peak(x[LENGTH]))
    }

    fn magnet_seat_m(&self, x: &[f64]) -> f64 {
        match self.group.seat {
            Seat::InsideRim => 0.5 * x[OUTSIDE],
            Seat::OnHub => 0.5 * x[INSIDE],
        }
    }

    /// What acts on the bond, the thermal peak as a mean of the test piece in which the same peak stands.
    fn shaken(&self, x: &[f64]) -> Shaken {
        let like_a_coupon = self.thermal_pa(x) / coupon(x[LAYER], x[MODULUS]).peak_over_mean();
        Shaken {
            angular_rad_s2: 0.0,
            ripple: 0.5 * x[UNEVEN] * ORDER,
            pole_n: x[POLES],
            axial_m_s2: x[SHOCK] * GRAVITY,
            thermal_pa: like_a_coupon,
        }
    }

    fn load_pa(&self, x: &[f64], with_heat: bool) -> f64 {
        let shaken = self.shaken(x);
        let by = if with_heat { shaken } else { Shaken { thermal_pa: 0.0, ..shaken } };
        self.magnet(x).stress(x[SPEED], by).effective_pa()
    }

    /// Strength at a temperature, age and quality in it; NaN beyond the points.
    fn strength_pa(&self, hot_k: f64) -> f64 {
        self.strength.at(hot_k).map_or(f64::NAN, |s| s * self.bond.age_factor.si * self.bond.quality_factor.si)
    }

    /// Relative standard uncertainty of the strength at a temperature, that of the temperature left out \[1\].
    fn strength_u(&self, hot_k: f64) -> f64 {
        let Ok((shares, _)) = self.strength.shares(hot_k) else { return f64::NAN };
        let half = |r: &Reading| 0.5 * r.plus_minus_si / r.si;
        let value: f64 = shares.iter().map(|(i, s)| s * self.bond.points[*i].1.si).sum();
        let points = shares.iter().map(|(i, s)| s * 0.5 * self.bond.points[*i].1.plus_minus_si).fold(0.0, f64::hypot) / value;
        points.hypot(half(&self.bond.age_factor)).hypot(half(&self.bond.quality_factor))
    }
}

/// Radius of the centre of mass of a sector of a ring: `4/3 · sin(α/2)/α · (r₂³ − r₁³)/(r₂² − r₁²)`.
fn centre_m(inside: f64, outside: f64, arc: f64) -> f64 {
    4.0 / 3.0 * (0.5 * arc).sin() / arc * (outside.powi(3) - inside.powi(3)) / (outside.powi(2) - inside.powi(2))
}

/// What the bonds of a group carry at top speed and what they bear there.
///
/// # Errors
/// [`NotFound`].
pub fn study(group: &Group, bond: Option<&Bond>, spin: Spin) -> Result<BondFound, NotFound> {
    let bond = bond.ok_or(NotFound::Missing("rotor.bond"))?;
    let points: Vec<(f64, f64)> = bond.points.iter().map(|(t, s)| (t.si, s.si)).collect();
    let strength = Strength::new(&points).map_err(|_| NotFound::Missing("rotor.bond.point"))?;
    if points.len() < 2 {
        return Err(NotFound::OnePoint);
    }
    let hot = bond.rotor_temperature.si;
    if let Err(NoStrength::Beyond { least_k, most_k }) = strength.at(hot) {
        return Err(NotFound::BeyondPoints { wanted_k: hot, least_k, most_k });
    }
    let area = bond.area.as_ref().map_or((0.0, 0.0), input);
    let of = |f: &Finding| (f.si, f.plus_minus_si);
    let inputs = vec![
        of(&group.mass),
        input(&group.inside),
        input(&group.outside),
        input(&group.arc),
        of(&group.length),
        input(&bond.thickness),
        input(&bond.shear_modulus),
        input(&bond.set_at),
        input(&bond.rotor_temperature),
        elastic(group.material).1,
        input(&bond.backing),
        input(&bond.shock),
        input(&bond.unevenness),
        input(&bond.pole_force),
        of(&spin.speed),
        area,
        of(&spin.off_axis),
        group.backing.0,
        group.backing.1,
    ];
    let one = One { group, bond, strength, inputs };
    let x: Vec<f64> = one.inputs.iter().map(|i| i.0).collect();
    let sound = x[MASS] > 0.0 && x[OUTSIDE] > x[INSIDE] && x[INSIDE] > 0.0 && x[ARC] > 0.0 && x[LENGTH] > 0.0 && x[SPEED] > 0.0;
    if !sound || one.magnet(&x).area_m2 <= 0.0 {
        return Err(NotFound::Impossible);
    }
    let find = |f: &dyn Fn(&[f64]) -> f64| finding(f, &one.inputs);
    // Strength and its factors are further inputs of what rests on them.
    let own = 2.0 * one.strength_u(hot) * one.strength_pa(hot);
    let mut with_strength = one.inputs.clone();
    with_strength.push((0.0, own));
    let last = with_strength.len() - 1;
    let strength_of = |x: &[f64]| one.strength_pa(x[HOT]) + x[last];
    let used_up = one
        .magnet(&x)
        .used_up_at(one.shaken(&x), one.strength_pa(hot))
        .map(|_| finding(|x| one.magnet(x).used_up_at(one.shaken(x), strength_of(x)).unwrap_or(f64::NAN), &with_strength));
    let least_k = points.first().map_or(hot, |p| p.0);
    let most_k = points.last().map_or(hot, |p| p.0);
    let untold = NotFound::BeyondPoints { wanted_k: hot, least_k, most_k };
    let (begins, chance) = chance::chance(&one, true).zip(chance::chance(&one, false)).ok_or(untold)?;
    let margin = finding(|x| strength_of(x) / one.load_pa(x, true), &with_strength);
    let gone = margin.si < 1.0 || used_up == Err(Never::AlreadyGone);
    let cold = cold::cold(&one, bond, &x);
    Ok(BondFound {
        material: group.material,
        seat: group.seat,
        count: group.count,
        pull: find(&|x| one.magnet(x).spin_n(x[SPEED])),
        across: find(&|x| one.magnet(x).stress(x[SPEED], one.shaken(x)).across_pa),
        thermal: find(&|x| one.thermal_pa(x)),
        along: find(&|x| one.magnet(x).stress(x[SPEED], one.shaken(x)).along_pa),
        strength: finding(strength_of, &with_strength),
        margin,
        cold,
        used_up,
        look: look(
            group.seat,
            bond.sleeve.si,
            gone,
            chance.any_at_most,
            begins.any_at_most.max(if cold.gone() { 1.0 } else { 0.0 }),
        ),
        chance,
        begins,
    })
}

fn look(seat: Seat, sleeve_n: f64, gone: bool, any: f64, begins: f64) -> Look {
    match seat {
        _ if gone || any > NOT_TO_BE_RUN => Look::NotToBeRun,
        Seat::OnHub if sleeve_n <= 0.0 => Look::Specialist,
        _ if any > EACH_SERVICE || begins > NOT_TO_BE_RUN => Look::EachService,
        _ => Look::WheneverOff,
    }
}
