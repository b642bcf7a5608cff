//! Balance of a rotor: what unbalance is permitted, and what a cut makes.

/// Balance quality grade: permissible speed of the centre of mass round the axis [m/s].
///
/// Source: ISO 21940-11:2016 (was ISO 1940-1), table 1; preferred grades have the ratio 2.5.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grade(f64);

impl Grade {
    /// The grades from the finest to the coarsest that any engine is held to.
    ///
    /// Table 1 of ISO 21940-11:2016 gives them as steps of 2.5; a published page of an older edition has the same from G 0.4 to G 100. The wording of
    /// what falls under G 16 and coarser changed between editions, so a class for an engine's crank is not named here.
    pub const ALL: [Self; 7] = [Self::G0_4, Self::G1, Self::G2_5, Self::G6_3, Self::G16, Self::G40, Self::G100];
    /// G 0.4.
    pub const G0_4: Self = Self(0.4e-3);
    /// G 1.
    pub const G1: Self = Self(1e-3);
    /// G 2.5.
    pub const G2_5: Self = Self(2.5e-3);
    /// G 6.3: flywheels and general machinery.
    pub const G6_3: Self = Self(6.3e-3);
    /// G 16.
    pub const G16: Self = Self(16e-3);
    /// G 40.
    pub const G40: Self = Self(40e-3);
    /// G 100.
    pub const G100: Self = Self(100e-3);

    /// The finest grade that a rotor of this mass keeps with a residual unbalance [kg·m] at a speed; `None` if it is coarser than all.
    pub fn kept(unbalance_kg_m: f64, mass_kg: f64, speed_rad_s: f64) -> Option<Self> {
        Self::ALL.into_iter().find(|g| unbalance_kg_m <= permissible_unbalance(*g, mass_kg, speed_rad_s))
    }

    /// `e_per · ω` [m/s].
    pub fn metres_per_second(self) -> f64 {
        self.0
    }
}

/// Permissible distance of the centre of mass from the axis [m], `e_per = G/ω`, at `speed_rad_s`.
/// Infinite at standstill. Source: ISO 21940-11:2016.
pub fn permissible_specific_unbalance(grade: Grade, speed_rad_s: f64) -> f64 {
    if speed_rad_s > 0.0 { grade.0 / speed_rad_s } else { f64::INFINITY }
}

/// Permissible residual unbalance [kg·m], `U_per = e_per · m`. Source: ISO 21940-11:2016.
///
/// # Example
/// ```
/// use physics::balance::{Grade, permissible_unbalance};
/// let speed = 10_000.0 * std::f64::consts::TAU / 60.0;
/// // A widely published example: 2 kg, G 6.3, 10 000 rev/min: about 12 g·mm.
/// assert!((permissible_unbalance(Grade::G6_3, 2.0, speed) * 1e6 - 12.03).abs() < 0.01);
/// ```
pub fn permissible_unbalance(grade: Grade, mass_kg: f64, speed_rad_s: f64) -> f64 {
    permissible_specific_unbalance(grade, speed_rad_s) * mass_kg
}

/// Unbalance [kg·m] of a mass at a radius, `U = m r`.
pub fn unbalance(mass_kg: f64, radius_m: f64) -> f64 {
    mass_kg * radius_m
}

/// Unbalance [kg·m] of metal taken off a rim: a block `arc_m` long along the rim of `diameter_m`, `height_m` above it and
/// `width_m` wide, of density `density_kg_m3`.
///
/// Exact for the ring sector: `U = ρ b · ⅔ (r₂³ − r₁³) sin(α/2)` with α the angle that the arc subtends at the rim.
pub fn unbalance_of_cut(diameter_m: f64, arc_m: f64, height_m: f64, width_m: f64, density_kg_m3: f64) -> f64 {
    let inner = 0.5 * diameter_m;
    let outer = inner + height_m;
    let angle = arc_m / inner;
    density_kg_m3 * width_m * (2.0 / 3.0) * (outer.powi(3) - inner.powi(3)) * (0.5 * angle).sin()
}

/// Mass [kg] of a drilled cylindrical hole.
pub fn drilled_mass(hole_diameter_m: f64, depth_m: f64, density_kg_m3: f64) -> f64 {
    0.25 * std::f64::consts::PI * hole_diameter_m * hole_diameter_m * depth_m * density_kg_m3
}

/// Force [N] of an unbalance [kg·m] at a speed, `F = U ω²`.
pub fn unbalance_force(unbalance_kg_m: f64, speed_rad_s: f64) -> f64 {
    unbalance_kg_m * speed_rad_s * speed_rad_s
}
