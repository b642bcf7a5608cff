//! What heat, cold and a weak pole take from a magnet rotor's flux.

use std::f64::consts::{PI, TAU};

/// Magnetic constant [V·s/(A·m)], 1.256 637 062 12e-6 (CODATA 2018).
pub const MU_0: f64 = 1.256_637_062_12e-6;
/// Temperature to which magnets' figures belong [K]: 20 °C (IEC 60404-8-1, from memory).
pub const RATED_K: f64 = 293.15;

/// Share of the flux at the rated temperature that is there at another, and comes back with it: `1 + α (T − 20 °C)`.
///
/// # Example
/// ```
/// // Hard ferrite, −0.20 %/K: 380 mT become 319.2 mT at 100 °C.
/// let share = physics::rotor::flux::share_when_warm(-0.002, 373.15);
/// assert!((380.0 * share - 319.2).abs() < 1e-9);
/// ```
pub fn share_when_warm(alpha_per_k: f64, temperature_k: f64) -> f64 {
    1.0 + alpha_per_k * (temperature_k - RATED_K)
}

/// A magnet whose polarisation is level up to a knee, as of hard ferrite and rare earth, and then falls straight to nothing at the coercive field.
///
/// Source: the recoil-line picture of any magnet handbook, such as Campbell, *Permanent Magnet Materials and their Application* (1994; from
/// memory). Not for alnico, whose curve bends from the start.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Square {
    /// Remanence at the rated temperature [T].
    pub remanence_t: f64,
    /// Intrinsic coercivity at the rated temperature [A/m].
    pub coercivity_a_m: f64,
    /// Field at the knee as a share of the intrinsic coercivity [1].
    pub knee_share: f64,
    /// Recoil permeability [1].
    pub recoil: f64,
    /// Change of remanence with temperature [1/K].
    pub alpha_per_k: f64,
    /// Change of intrinsic coercivity with temperature [1/K].
    pub beta_per_k: f64,
}

/// Where a magnet works.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Working {
    /// Field against the magnet [A/m].
    pub field_a_m: f64,
    /// Field at which its knee begins [A/m].
    pub knee_a_m: f64,
    /// Share of the flux that does not come back when it is cool and unloaded again [1]; 0 above the knee.
    pub lost: f64,
}

impl Square {
    /// The working point at a temperature [K], on a load line of permeance coefficient `permeance` [1] with `against_a_m` [A/m] from the windings.
    ///
    /// `H = −(B_r/μ₀ + P H_a)/(P + μ_r)` on the level part. `None` where the temperature leaves no remanence or no coercivity.
    pub fn working(&self, temperature_k: f64, permeance: f64, against_a_m: f64) -> Option<Working> {
        let remanence = self.remanence_t * share_when_warm(self.alpha_per_k, temperature_k);
        let coercivity = self.coercivity_a_m * share_when_warm(self.beta_per_k, temperature_k);
        // Written so that what is no number is refused too.
        let sound = remanence > 0.0
            && coercivity > 0.0
            && permeance >= 0.0
            && self.recoil >= 1.0
            && (0.0..1.0).contains(&self.knee_share)
            && against_a_m.is_finite();
        if !sound {
            return None;
        }
        let knee = self.knee_share * coercivity;
        let field = (remanence / MU_0 + permeance * against_a_m) / (permeance + self.recoil);
        if field <= knee {
            return Some(Working { field_a_m: field, knee_a_m: knee, lost: 0.0 });
        }
        // Past the knee: J falls from J_k at the knee to nothing at the coercive field; the load line is B = μ₀ P (H − H_a) with H counted against.
        let polarisation = |h: f64| remanence - (self.recoil - 1.0) * MU_0 * h;
        let slope = polarisation(knee) / (coercivity - knee);
        let field = (slope * coercivity + MU_0 * permeance * against_a_m) / (MU_0 * (1.0 + permeance) + slope);
        let left = slope * (coercivity - field).max(0.0);
        // Back along a line of the recoil slope.
        let after = (left + (self.recoil - 1.0) * MU_0 * field).max(0.0);
        Some(Working { field_a_m: field, knee_a_m: knee, lost: (1.0 - after / remanence).clamp(0.0, 1.0) })
    }
}

/// Share of the flux that is left [1], from no-load volts now and as recorded, each with its speed and temperature.
///
/// No-load volts are proportional to flux and speed. `None` where a speed or the recorded volts are not above zero.
pub fn left(now: NoLoad, recorded: NoLoad, alpha_per_k: f64) -> Option<f64> {
    let per_speed = |r: NoLoad| r.volts / r.speed_rad_s / share_when_warm(alpha_per_k, r.temperature_k);
    let share = per_speed(now) / per_speed(recorded);
    (now.speed_rad_s > 0.0 && recorded.speed_rad_s > 0.0 && recorded.volts > 0.0 && share.is_finite()).then_some(share)
}

/// A no-load reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NoLoad {
    /// Volts, of whichever kind, the same for both [V].
    pub volts: f64,
    /// Speed [rad/s].
    pub speed_rad_s: f64,
    /// Temperature of the magnets [K].
    pub temperature_k: f64,
}

/// Poles of a rotor and coils in series, each on one tooth.
///
/// Flux through a tooth is the overlap of pole and tooth, both as arcs of even field; leakage and iron are left out, so shares are
/// right and volts are not asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Poles {
    /// Flux of each pole in order round the rotor, as a share of a sound one [1]; the signs of north and south are put in here, so a reversed
    /// magnet has −1. Their number is even.
    pub strength: Vec<f64>,
    /// Arc that a pole covers [rad].
    pub pole_arc_rad: f64,
    /// Arc of a tooth [rad].
    pub tooth_arc_rad: f64,
    /// Coils in series: place of the tooth [rad] and sense of the winding, +1 or −1.
    pub coils: Vec<(f64, f64)>,
}

impl Poles {
    /// Amplitude of harmonic `per_turn` of the no-load volts, for a field of one and a speed of one [1]; complex as (real, imaginary).
    ///
    /// `E_h = h G_h F_h W_h`: with the shape of pole and tooth, the sum over poles and that over coils.
    pub fn harmonic(&self, per_turn: usize) -> (f64, f64) {
        let h = per_turn as f64;
        let n = self.strength.len() as f64;
        let shape = h * self.pole_arc_rad * self.tooth_arc_rad / PI
            * sinc(0.5 * h * self.pole_arc_rad)
            * sinc(0.5 * h * self.tooth_arc_rad);
        let sum = |terms: &mut dyn Iterator<Item = (f64, f64)>| {
            terms.fold((0.0, 0.0), |(re, im), (size, angle)| (re + size * angle.cos(), im + size * angle.sin()))
        };
        let poles = sum(&mut self.strength.iter().enumerate().map(|(i, s)| {
            let sign = if i % 2 == 0 { 1.0 } else { -1.0 };
            (sign * s, -h * TAU * i as f64 / n)
        }));
        let coils = sum(&mut self.coils.iter().map(|(place, sense)| (*sense, h * place)));
        let (re, im) = (poles.0 * coils.0 - poles.1 * coils.1, poles.0 * coils.1 + poles.1 * coils.0);
        (shape * re, shape * im)
    }

    /// What a meter that reads effective (r.m.s.) volts shows, beside the same rotor with all poles sound [1]: harmonics up to `most` per turn added as
    /// squares, by Parseval's theorem. `None` where the coils see nothing of a sound rotor.
    ///
    /// # Example
    /// ```
    /// use physics::rotor::flux::Poles;
    /// let ring = Poles { strength: vec![0.0, 1.0, 1.0, 1.0], pole_arc_rad: 1.2, tooth_arc_rad: 1.0, coils: Poles::full_ring(4) };
    /// // A full ring of coils adds all poles up: one dead of four leaves three quarters.
    /// assert!((ring.meter_beside_sound(30).unwrap() - 0.75).abs() < 1e-12);
    /// ```
    pub fn meter_beside_sound(&self, most: usize) -> Option<f64> {
        let sound = Self { strength: vec![1.0; self.strength.len()], ..self.clone() };
        let squares = |poles: &Self| -> f64 { (1..=most).map(|h| poles.harmonic(h)).map(|(re, im)| re * re + im * im).sum() };
        let whole = squares(&sound);
        (whole > 0.0).then(|| (squares(self) / whole).sqrt())
    }

    /// The first so many coils round a ring of `teeth` that see `poles` most nearly in step, each wound so that its volts add: neighbours by turns on as
    /// many teeth as poles, every third tooth of a three-phase stator.
    ///
    /// # Example
    /// ```
    /// use physics::rotor::flux::Poles;
    /// // Twelve poles before eighteen teeth: 120° from tooth to tooth, so a phase has every third.
    /// let phase = Poles::in_series(3, 18, 12);
    /// assert!(phase.iter().enumerate().all(|(i, (at, sense))| (at - i as f64 * 60f64.to_radians()).abs() < 1e-12 && *sense == 1.0));
    /// ```
    pub fn in_series(coils: usize, teeth: usize, poles: usize) -> Vec<(f64, f64)> {
        let phase = |i: &usize| (0.5 * (poles * i) as f64 / teeth as f64).rem_euclid(1.0);
        // Whole steps out of step, so that rounding does not part what is alike.
        let off = |i: &usize| (phase(i) - (2.0 * phase(i)).round() * 0.5).abs();
        let mut order: Vec<usize> = (0..teeth).collect();
        order.sort_by_key(|i| (off(i) * STEPS).round() as usize);
        let sense = |i: &usize| if ((2.0 * phase(i)).round() as usize).is_multiple_of(2) { 1.0 } else { -1.0 };
        order.iter().take(coils).map(|i| (TAU * *i as f64 / teeth as f64, sense(i))).collect()
    }

    /// As many coils as poles, evenly round and wound by turns: every coil sees every pole, so nothing in their sum comes once per turn.
    pub fn full_ring(poles: usize) -> Vec<(f64, f64)> {
        Self::in_series(poles, poles, poles)
    }
}

/// Parts of a turn that count as one and the same step [1] (own choice): finer than any stator's teeth and poles make.
const STEPS: f64 = 1e6;

/// `sin x / x`.
fn sinc(x: f64) -> f64 {
    if x.abs() < f64::EPSILON * PI { 1.0 } else { x.sin() / x }
}
