//! A body of gas, cylinder or runner, from its accounts of mass, energy and burned mass.

use super::engine::Prepared;
use crate::lanes::Lanes;

/// Temperatures to which a body is held while a step is tried [K]: NASA TM-4513 gives the polynomials for 200–6000 K. The accounts
/// themselves are never touched.
pub(super) const LEAST_K: f64 = 120.0;
pub(super) const MOST_K: f64 = 5500.0;

/// State of a body of gas.
pub(super) struct Body<V> {
    pub t: V,
    /// Burned mass fraction.
    pub b: V,
    /// Pressure [Pa], RT and enthalpy [J/kg].
    pub p: V,
    pub rt: V,
    pub h: V,
    pub change: Change<V>,
}

/// What a change of the accounts does to temperature and pressure.
#[derive(Clone, Copy, Debug)]
pub(super) struct Change<V> {
    pub m: V,
    pub p: V,
    /// Energy of fresh gas, and by how much burned gas has more [J/kg].
    u_fresh: V,
    pub more_u: V,
    per_m_cv: V,
    /// Pressure for a kilogram, for a kilogram burned, for a joule.
    on_mass: V,
    on_burned: V,
    pub on_energy: V,
    /// Pressure by the piston's motion [Pa/rad].
    pub by_piston: V,
}

impl<V: Lanes> Body<V> {
    /// From mass [kg], energy [J], burned mass [kg], and a temperature that is near already [K], in a volume [m³] and its rate [m³/rad].
    ///
    /// One step of Newton's method on m u(T) = U: what it leaves is of the second order in what the temperature was off, itself of the second
    /// order in the time step.
    #[inline(always)]
    pub fn new(p: &Prepared, [m, energy, burned, near]: [V; 4], volume: f64, volume_rate: f64) -> Self {
        let s = V::splat;
        let (r_fresh, more_r) = (s(p.fresh.gas_constant), s(p.burned.gas_constant - p.fresh.gas_constant));
        let per_m = s(1.0) / m;
        let b = (burned * per_m).max(s(0.0)).min(s(1.0));
        let near = near.max(s(LEAST_K)).min(s(MOST_K));
        let (of_fresh, of_burned) = (p.fresh.at(near), p.burned.at(near));
        let more_u = of_burned.energy - of_fresh.energy;
        let cv = of_fresh.cv + b * (of_burned.cv - of_fresh.cv);
        let u = energy * per_m;
        let per_cv = s(1.0) / cv;
        let t = (near + (u - (of_fresh.energy + b * more_u)) * per_cv).max(s(LEAST_K)).min(s(MOST_K));
        let r = r_fresh + b * more_r;
        let rt = r * t;
        let per_v = s(1.0 / volume);
        let pressure = m * rt * per_v;
        let on_energy = r * per_cv * per_v;
        let change = Change {
            m,
            p: pressure,
            u_fresh: of_fresh.energy,
            more_u,
            per_m_cv: per_m * per_cv,
            on_mass: r_fresh * t * per_v - on_energy * of_fresh.energy,
            on_burned: more_r * t * per_v - on_energy * more_u,
            on_energy,
            by_piston: -(pressure * s(volume_rate / volume)),
        };
        Self { t, b, p: pressure, rt, h: u + rt, change }
    }
}

impl<V: Lanes> Change<V> {
    /// Of the temperature [K].
    #[inline(always)]
    pub fn of_t(&self, mass: V, energy: V, burned: V) -> V {
        (energy - self.u_fresh * mass - self.more_u * burned) * self.per_m_cv
    }

    /// 1/cv [kg·K/J].
    #[inline(always)]
    pub fn per_cv(&self) -> V {
        self.per_m_cv * self.m
    }

    /// Of the pressure [Pa], at constant volume.
    #[inline(always)]
    pub fn of_p(&self, mass: V, energy: V, burned: V) -> V {
        self.on_mass * mass + self.on_energy * energy + self.on_burned * burned
    }

    /// Of the pressure, by a kilogram with enthalpy `h` and burned fraction `b` [Pa/kg].
    #[inline(always)]
    pub fn by_flow(&self, h: V, b: V) -> V {
        self.on_mass + self.on_energy * h + self.on_burned * b
    }
}
