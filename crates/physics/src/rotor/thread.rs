//! What a turned thread does: clamp force from torque, what the bolt bears, when a thread strips.

use std::f64::consts::{FRAC_PI_4, PI};

/// A metric thread by its nominal sizes.
///
/// Basic profile: `H = √3/2 P`, `d₂ = d − ¾H`, `d₁ = d − 5/4 H`, `d₃ = d − 17/12 H`. Source: ISO 68-1, ISO 724; stress area `π/4 ((d₂ + d₃)/2)²` of ISO 898-1
/// (from memory; factors 0.6495, 1.0825, 1.2269 are those of every table).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Metric {
    /// Nominal diameter d [m].
    pub diameter_m: f64,
    /// Pitch P [m].
    pub pitch_m: f64,
}

/// Half of a metric thread's flank angle [rad]: 30° (ISO 68-1).
const HALF_FLANK: f64 = PI / 6.0;

impl Metric {
    /// `None` unless both are above zero and the pitch leaves a core.
    pub fn new(diameter_m: f64, pitch_m: f64) -> Option<Self> {
        let thread = Self { diameter_m, pitch_m };
        (pitch_m > 0.0 && diameter_m.is_finite() && thread.core_m() > 0.0).then_some(thread)
    }

    /// Height of the sharp profile [m].
    fn height(&self) -> f64 {
        0.75f64.sqrt() * self.pitch_m
    }

    /// Pitch diameter d₂ [m].
    pub fn middle_m(&self) -> f64 {
        self.diameter_m - 0.75 * self.height()
    }

    /// Minor diameter of the nut d₁ [m].
    pub fn minor_m(&self) -> f64 {
        self.diameter_m - 1.25 * self.height()
    }

    /// Core of the bolt d₃ [m].
    pub fn core_m(&self) -> f64 {
        self.diameter_m - 17.0 / 12.0 * self.height()
    }

    /// Stress area [m²].
    pub fn stress_area_m2(&self) -> f64 {
        FRAC_PI_4 * self.stress_diameter_m().powi(2)
    }

    fn stress_diameter_m(&self) -> f64 {
        0.5 * (self.middle_m() + self.core_m())
    }

    /// Tangent of the lead angle at d₂ [1].
    fn lead(&self) -> f64 {
        self.pitch_m / (PI * self.middle_m())
    }

    /// Turning moment per clamp force in the thread alone [m], tightening, by the inclined plane with the flank's angle in the section across the thread.
    pub fn thread_arm_m(&self, friction: f64) -> f64 {
        let lead = self.lead();
        let wedged = self.wedged(friction);
        0.5 * self.middle_m() * (lead + wedged) / (1.0 - lead * wedged)
    }

    /// Friction on a slanting flank: μ over the cosine of the flank's half angle in the normal section.
    fn wedged(&self, friction: f64) -> f64 {
        let normal = HALF_FLANK.tan() / (1.0 + self.lead().powi(2)).sqrt();
        friction * (1.0 + normal * normal).sqrt()
    }

    /// Area that shears when the inner thread strips [m²] over an engaged length, at nominal sizes, where the bolt's outside cuts: `π d L (½ + (d − d₂)/(√3 P))` = ⅞ π d L.
    ///
    /// Source: the formula of Machinery's Handbook and of Alexander (1977), with nominal sizes in place of the limits of a tolerance; real threads have less.
    pub fn inner_shear_m2(&self, engaged_m: f64) -> f64 {
        PI * self.diameter_m * engaged_m * (0.5 + (self.diameter_m - self.middle_m()) / (3f64.sqrt() * self.pitch_m))
    }

    /// Area that shears when the bolt's thread strips [m²], where the nut's inside cuts: `π d₁ L (½ + (d₂ − d₁)/(√3 P))` = ¾ π d₁ L. Source as of [`Metric::inner_shear_m2`].
    pub fn outer_shear_m2(&self, engaged_m: f64) -> f64 {
        PI * self.minor_m() * engaged_m * (0.5 + (self.middle_m() - self.minor_m()) / (3f64.sqrt() * self.pitch_m))
    }

    /// Stress in the bolt while it is tightened [Pa]: pull and twist together, the twist taken as plastic over the section, `τ = 12 M/(π d_s³)`.
    ///
    /// Source: VDI 2230 part 1 (from memory; published tables of preloads are met in the tests).
    pub fn tightening_stress_pa(&self, clamp_n: f64, friction: f64) -> f64 {
        let pull = clamp_n / self.stress_area_m2();
        let twist = 12.0 * clamp_n * self.thread_arm_m(friction) / (PI * self.stress_diameter_m().powi(3));
        (pull * pull + 3.0 * twist * twist).sqrt()
    }
}

/// How a nut is done up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Done {
    /// Thread.
    pub thread: Metric,
    /// Friction in the thread [1].
    pub thread_friction: f64,
    /// Friction under the nut or head [1].
    pub face_friction: f64,
    /// Mean diameter of the face that rubs [m].
    pub face_m: f64,
}

impl Done {
    /// Clamp force [N] from a torque [N·m]: thread and face.
    ///
    /// `F = M/(arm of the thread + μ_b D_b/2)`. Sources: the inclined plane of any text on machine elements; VDI 2230 part 1 in its rounded form
    /// `M = F (0.16 P + 0.58 μ d₂ + μ_b D/2)`.
    pub fn clamp_n(&self, torque_n_m: f64) -> f64 {
        torque_n_m / (self.thread.thread_arm_m(self.thread_friction) + 0.5 * self.face_friction * self.face_m)
    }
}

/// Property class of a bolt.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Class {
    /// 4.6.
    C4_6,
    /// 4.8.
    C4_8,
    /// 5.8.
    C5_8,
    /// 8.8.
    C8_8,
    /// 9.8.
    C9_8,
    /// 10.9.
    C10_9,
    /// 12.9.
    C12_9,
}

/// Diameter up to which class 8.8 has the lower proof stress [m] (ISO 898-1): 16 mm.
const SMALL_8_8: f64 = 16e-3;

impl Class {
    /// Stress under proof load [Pa]. Source: ISO 898-1, as a published page prints its 1999 table (225, 310, 380, 600, 650, 830, 970 MPa); 580 MPa for 8.8 up to
    /// M16 from memory.
    pub fn proof_pa(self, diameter_m: f64) -> f64 {
        1e6 * match self {
            Self::C4_6 => 225.0,
            Self::C4_8 => 310.0,
            Self::C5_8 => 380.0,
            Self::C8_8 if diameter_m <= SMALL_8_8 => 580.0,
            Self::C8_8 => 600.0,
            Self::C9_8 => 650.0,
            Self::C10_9 => 830.0,
            Self::C12_9 => 970.0,
        }
    }

    /// Tensile strength [Pa] by the first number of the class, which is exact by definition.
    pub fn tensile_pa(self) -> f64 {
        1e8 * match self {
            Self::C4_6 | Self::C4_8 => 4.0,
            Self::C5_8 => 5.0,
            Self::C8_8 => 8.0,
            Self::C9_8 => 9.0,
            Self::C10_9 => 10.0,
            Self::C12_9 => 12.0,
        }
    }
}

/// Shear strength of a steel as a share of its tensile strength [1] (common practice, no source): 0.6.
pub const SHEAR_SHARE: f64 = 0.6;
