//! How fast one cylinder's charge burns at one step: the flame of [`crate::flame`] in the state that the kernel has reached.

use super::{
    body::{LEAST_K, MOST_K},
    engine::{PLACE_RAD, Place, Prepared, Step},
    kernel::{Point, cyl},
    memory::Memory,
};
use crate::{flame::turbulence, lanes::Lanes};
use std::f64::consts::{PI, TAU};

/// Share burned beyond which the rest is not followed [1] (own choice): its heat is lost in rounding.
pub(super) const BURNED_OUT: f64 = 1.0 - 1e-6;

/// Rates of the flame, and the unburned gas that it burns.
pub(super) struct Burn<V> {
    /// Temperature of the unburned gas [K].
    pub t: V,
    /// Of the burned mass fraction [1/rad].
    pub flame: V,
    /// Of the mass fraction that the front has taken in [1/rad].
    pub entered: V,
    /// R/cp of the unburned gas [1].
    pub r_over_cp: V,
    /// cp of the unburned gas [J/(kg·K)].
    pub cp: V,
    /// Density of the unburned gas [kg/m³].
    pub density: V,
}

/// Rates of the flame in cylinder `c`, or `None` where no lane burns: valves open, before the spark, or burned out.
#[inline(always)]
#[allow(clippy::too_many_arguments)]
pub(super) fn burn<V: Lanes, const CYL: usize>(
    p: &Prepared,
    point: &Point<V, CYL>,
    c: usize,
    place: &Place,
    x: &[V; cyl::COUNT],
    memory: &Memory<V>,
    step: &Step,
    phase: usize,
    past: usize,
    pressure: V,
) -> Option<Burn<V>> {
    let s = V::splat;
    if phase < p.inlet_closes || phase >= p.flame_ends {
        return None;
    }
    let start = -TAU + phase as f64 * PLACE_RAD;
    // Share of this step that lies after the spark.
    let width = step.stride as f64 * PLACE_RAD;
    let lit = ((s(start + width) - point.spark[c]) * s(1.0 / width)).max(s(0.0)).min(s(1.0));
    if !s(0.0).any_less(lit) {
        return None;
    }
    if !x[cyl::FLAME].any_less(s(BURNED_OUT)) {
        return None;
    }
    let t_u = x[cyl::T_UNBURNED].max(s(LEAST_K)).min(s(MOST_K));
    let b = memory.residual;
    let r = s(p.fresh.gas_constant) + b * s(p.burned.gas_constant - p.fresh.gas_constant);
    let (fresh, burned) = (p.fresh.at(t_u), p.burned.at(t_u));
    let cp = fresh.cv + b * (burned.cv - fresh.cv) + r;
    let density = pressure / (r * t_u);

    let (ln_t, ln_p) = (t_u.ln(), pressure.ln());
    let laminar = s(p.engine.burn_factor) * point.flame[c] * memory.dilution * p.laminar.undiluted(ln_t, ln_p);
    // Turbulence by rapid distortion from top dead centre, where the whole charge would fill the clearance: u′ ∝ ρ^⅓, L ∝ ρ^−⅓, so
    // u′ L stays as it is there.
    let third = ((ln_p - ln_t - memory.ln_top) * s(1.0 / 3.0)).exp();
    let intensity_top = point.speed() * s(turbulence::INTENSITY * p.engine.chamber.crank.piston_stroke_m() / PI);
    let size_top = turbulence::SIZE * p.clearance_height;
    let per_viscosity = s(1.0 / turbulence::VISCOSITY) * (s(-turbulence::VISCOSITY_EXPONENT) * ln_t).exp();
    let root_re = (density * intensity_top * s(size_top) * per_viscosity).sqrt();
    // Turbulent speed less laminar: 0.62 √(u′ S) Re^¼.
    let extra = s(turbulence::GULDER) * (intensity_top * third * laminar * root_re).sqrt();
    let burn_up = laminar * root_re * third * s(1.0 / (size_top * turbulence::STRAINED.sqrt()));
    let now = start + past as f64 * PLACE_RAD;
    let since = ((s(now) - point.spark[c]) * point.per_speed).max(s(0.0));
    let developed = s(1.0) - (-(since * intensity_top * third * third * s(1.0 / size_top))).exp();

    let entered = x[cyl::ENTERED];
    // Volume that the charge would have unburned.
    let all_unburned = x[cyl::MASS] / density;
    let behind = (s(place.volume) - (s(1.0) - entered) * all_unburned).max(entered * all_unburned);
    let front = p.front.at(place.front_row, behind * s(1.0 / place.volume)) * s(p.radius * p.radius);
    let share = front / all_unburned;
    let per_angle = lit * point.per_speed;
    Some(Burn {
        t: t_u,
        flame: per_angle * (share * laminar + (entered - x[cyl::FLAME]) * burn_up),
        entered: per_angle * share * (laminar + extra * developed),
        r_over_cp: r / cp,
        cp,
        density,
    })
}
