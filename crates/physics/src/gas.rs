//! Caloric properties of the fresh mixture and of burned gas.
//!
//! Ideal gases with NASA seven-coefficient polynomials, absolute enthalpy (formation included), so burning is a change of
//! composition at constant energy and needs no heating value. Composition is frozen: dissociation is left out, which puts
//! full-load flame temperatures some 5 % too high and does not matter at idle.

use crate::lanes::Lanes;

/// Molar gas constant [J/(mol·K)]: exact, SI Brochure 9th ed. (2019).
pub const MOLAR_GAS_CONSTANT: f64 = 8.314_462_618;
/// Temperature at which the two ranges of the polynomials meet [K]: NASA TM-4513.
const RANGE_MEETS_K: f64 = 1000.0;
/// Water-gas constant [H₂O][CO]/([CO₂][H₂]) for frozen rich products: 3.5, its equilibrium value at 1740 K
/// (Heywood, Internal Combustion Engine Fundamentals, 1988, section 4.9.1; from memory).
const WATER_GAS: f64 = 3.5;

struct Species {
    molar_mass_kg: f64,
    /// a₁…a₆, 200–1000 K and 1000–6000 K.
    low: [f64; 6],
    high: [f64; 6],
}

// McBride, Gordon & Reno, NASA TM-4513 (1993), as distributed in Cantera 3.2.0's nasa_gas.yaml. Molar masses: IUPAC 2021.
const N2: Species = Species {
    molar_mass_kg: 28.014e-3,
    low: [3.53100528, -1.23660987e-04, -5.02999437e-07, 2.43530612e-09, -1.40881235e-12, -1046.97628],
    high: [2.95257626, 1.39690057e-03, -4.92631691e-07, 7.86010367e-11, -4.60755321e-15, -923.948645],
};
const O2: Species = Species {
    molar_mass_kg: 31.998e-3,
    low: [3.78245636, -2.99673415e-03, 9.847302e-06, -9.68129508e-09, 3.24372836e-12, -1063.94356],
    high: [3.66096083, 6.56365523e-04, -1.41149485e-07, 2.05797658e-11, -1.29913248e-15, -1215.97725],
};
const AR: Species =
    Species { molar_mass_kg: 39.948e-3, low: [2.5, 0.0, 0.0, 0.0, 0.0, -745.375], high: [2.5, 0.0, 0.0, 0.0, 0.0, -745.375] };
const CO2: Species = Species {
    molar_mass_kg: 44.009e-3,
    low: [2.35677352, 8.98459677e-03, -7.12356269e-06, 2.45919022e-09, -1.43699548e-13, -4.83719697e+04],
    high: [4.63659493, 2.74131991e-03, -9.95828531e-07, 1.60373011e-10, -9.16103468e-15, -4.90249341e+04],
};
const H2O: Species = Species {
    molar_mass_kg: 18.015e-3,
    low: [4.19864056, -2.0364341e-03, 6.52040211e-06, -5.48797062e-09, 1.77197817e-12, -3.02937267e+04],
    high: [2.67703787, 2.97318329e-03, -7.7376969e-07, 9.44336689e-11, -4.26900959e-15, -2.98858938e+04],
};
const CO: Species = Species {
    molar_mass_kg: 28.010e-3,
    low: [3.57953347, -6.1035368e-04, 1.01681433e-06, 9.07005884e-10, -9.04424499e-13, -1.4344086e+04],
    high: [3.04848583, 1.35172818e-03, -4.85794075e-07, 7.88536486e-11, -4.69807489e-15, -1.42661171e+04],
};
const H2: Species = Species {
    molar_mass_kg: 2.016e-3,
    low: [2.34433112, 7.98052075e-03, -1.9478151e-05, 2.01572094e-08, -7.37611761e-12, -917.935173],
    high: [2.93286579, 8.26607967e-04, -1.46402335e-07, 1.54100359e-11, -6.88804432e-16, -813.065597],
};
/// 2,2,4-trimethylpentane vapour, which stands for petrol.
const ISOOCTANE: Species = Species {
    molar_mass_kg: 114.232e-3,
    low: [0.815737338, 0.0732643959, 1.78300688e-05, -6.9358962e-08, 3.21629382e-11, -3.04772862e+04],
    high: [15.9899273, 0.055318479, -1.95267072e-05, 3.11779172e-09, -1.85312577e-13, -3.58757973e+04],
};

/// A gas of fixed composition, per kilogram.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gas {
    /// Specific gas constant, J/(kg·K).
    pub gas_constant: f64,
    low: Series,
    high: Series,
}

/// Specific heat and energy as polynomials of temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Series {
    /// Of 1, T … T⁴.
    cv: [f64; 5],
    /// Of 1, T … T⁵.
    energy: [f64; 6],
}

impl Series {
    /// From a₁…a₆ of cv: the energy's series divides each term by its power.
    fn new(a: [f64; 6]) -> Self {
        let [a1, a2, a3, a4, a5, a6] = a;
        Self { cv: [a1, a2, a3, a4, a5], energy: [a6, a1, a2 / 2.0, a3 / 3.0, a4 / 4.0, a5 / 5.0] }
    }

    /// In pairs, whose terms do not wait for one another.
    #[inline(always)]
    fn at<V: Lanes>(&self, t: V) -> State<V> {
        let s = V::splat;
        let (c, e) = (&self.cv, &self.energy);
        let t2 = t * t;
        State {
            energy: (s(e[0]) + t * s(e[1])) + t2 * ((s(e[2]) + t * s(e[3])) + t2 * (s(e[4]) + t * s(e[5]))),
            cv: (s(c[0]) + t * s(c[1])) + t2 * ((s(c[2]) + t * s(c[3])) + t2 * s(c[4])),
        }
    }
}

/// Energy and its slope at one temperature.
#[derive(Clone, Copy, Debug)]
pub struct State<V> {
    /// Specific internal energy, formation included, J/kg.
    pub energy: V,
    /// Specific heat at constant volume, J/(kg·K).
    pub cv: V,
}

impl Gas {
    fn of(parts: &[(f64, &Species)]) -> Self {
        let mass: f64 = parts.iter().map(|(n, s)| n * s.molar_mass_kg).sum();
        let mut low = [0.0; 6];
        let mut high = [0.0; 6];
        for (moles, species) in parts {
            let share = moles * MOLAR_GAS_CONSTANT / mass;
            for k in 0..6 {
                low[k] += share * species.low[k];
                high[k] += share * species.high[k];
            }
        }
        let gas_constant = parts.iter().map(|(n, _)| n).sum::<f64>() * MOLAR_GAS_CONSTANT / mass;
        // cv = cp − R.
        for a in [&mut low, &mut high] {
            a[0] -= gas_constant;
        }
        Self { gas_constant, low: Series::new(low), high: Series::new(high) }
    }

    /// Dry air by volume: N₂ 78.084, O₂ 20.946, Ar 0.934, CO₂ 0.04 % (U.S. Standard Atmosphere 1976, rounded to 100 %).
    pub fn air() -> Self {
        Self::of(&AIR.map(|(n, s)| (n, s)))
    }

    /// Air with iso-octane vapour at a fuel/air equivalence ratio.
    pub fn fresh(equivalence_ratio: f64) -> Self {
        let [n2, o2, ar, co2] = AIR;
        Self::of(&[n2, o2, ar, co2, (equivalence_ratio * O2_SHARE / OXYGEN_PER_FUEL, &ISOOCTANE)])
    }

    /// What [`Gas::fresh`] burns to. Lean: complete. Rich: CO and H₂ by the frozen water-gas balance.
    pub fn burned(equivalence_ratio: f64) -> Self {
        let fuel = equivalence_ratio * O2_SHARE / OXYGEN_PER_FUEL;
        let (carbon, hydrogen) = (8.0 * fuel, 9.0 * fuel);
        let [n2, _, ar, (co2_air, _)] = AIR;
        let (co2, co, h2o, h2, o2) = if equivalence_ratio <= 1.0 {
            (carbon, 0.0, hydrogen, 0.0, O2_SHARE - OXYGEN_PER_FUEL * fuel)
        } else {
            // Oxygen atoms fix H₂O = 2·O₂ − C − CO₂; the water-gas balance is then a quadratic in CO₂.
            let oxygen = 2.0 * O2_SHARE;
            let a = 1.0 - WATER_GAS;
            let b = -(oxygen - carbon) - carbon - WATER_GAS * (hydrogen - oxygen + carbon);
            let c = (oxygen - carbon) * carbon;
            let co2 = (-b - (b * b - 4.0 * a * c).sqrt()) / (2.0 * a);
            let h2o = oxygen - carbon - co2;
            (co2, carbon - co2, h2o, hydrogen - h2o, 0.0)
        };
        Self::of(&[n2, ar, (co2_air + co2, &CO2), (co, &CO), (h2o, &H2O), (h2, &H2), (o2, &O2)])
    }

    /// Energy and specific heat at a temperature [K]. Valid 200–6000 K.
    #[inline(always)]
    pub fn at<V: Lanes>(&self, t: V) -> State<V> {
        let s = V::splat;
        // The lanes are seldom on both sides.
        if !s(RANGE_MEETS_K.next_down()).any_less(t) {
            return self.low.at(t);
        }
        if !t.any_less(s(RANGE_MEETS_K)) {
            return self.high.at(t);
        }
        let (low, high) = (self.low.at(t), self.high.at(t));
        let split = s(RANGE_MEETS_K);
        State { energy: t.if_less(split, low.energy, high.energy), cv: t.if_less(split, low.cv, high.cv) }
    }

    /// Ratio of specific heats at a temperature [K].
    pub fn gamma(&self, t: f64) -> f64 {
        1.0 + self.gas_constant / self.at(t).cv
    }
}

/// Oxygen molecules for one molecule of C₈H₁₈ [1], exact. Mole fractions of dry air [1]: CRC Handbook of Chemistry and Physics,
/// 97th ed. (2016), section 14, the rest of argon's neighbours left out (from memory).
const OXYGEN_PER_FUEL: f64 = 12.5;
const O2_SHARE: f64 = 0.20946;
const AIR: [(f64, &Species); 4] = [(0.7808, &N2), (O2_SHARE, &O2), (0.00934, &AR), (0.0004, &CO2)];

/// Mass of air for one mass of iso-octane, chemically correct [1].
pub fn stoichiometric_air_fuel_ratio() -> f64 {
    let air: f64 = AIR.iter().map(|(n, s)| n * s.molar_mass_kg).sum();
    air / (O2_SHARE / OXYGEN_PER_FUEL * ISOOCTANE.molar_mass_kg)
}

/// Heat of burning the chemically correct mixture at 298.15 K, per kilogram of fuel vapour [J/kg].
pub fn lower_heating_value() -> f64 {
    let t = 298.15;
    let (fresh, burned) = (Gas::fresh(1.0), Gas::burned(1.0));
    let enthalpy = |g: &Gas| g.at(t).energy + g.gas_constant * t;
    (enthalpy(&fresh) - enthalpy(&burned)) * (1.0 + stoichiometric_air_fuel_ratio())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NASA polynomials against the multi-parameter equation of state differ by up to 0.16 %
    /// (Cantera 3.2.0 with gri30.yaml against CoolProp 8.0.0).
    const CP_RELATIVE: f64 = 0.002;
    const GAMMA_ABSOLUTE: f64 = 0.002;
    /// Atomic masses and air composition leave 0.1 % (Heywood 1988, equation 3.6 and table D.4: 15.13; from memory).
    const AIR_FUEL_ABSOLUTE: f64 = 0.02;
    /// Rounding of the heats of formation (NIST: −224.0 kJ/mol for gaseous iso-octane; from memory).
    const HEATING_VALUE_ABSOLUTE: f64 = 0.05e6;

    #[test]
    fn air_matches_cantera() {
        // Computed with Cantera 3.2.0 (gri30.yaml).
        let cp = [1003.47, 1050.35, 1142.81, 1210.18, 1250.93];
        let gamma = [1.40065, 1.37605, 1.33542, 1.31094, 1.29779];
        for (k, t) in [300.0, 600.0, 1000.0, 1500.0, 2000.0].into_iter().enumerate() {
            let air = Gas::air();
            assert!(((air.at(t).cv + air.gas_constant) / cp[k] - 1.0).abs() < CP_RELATIVE);
            assert!((air.gamma(t) - gamma[k]).abs() < GAMMA_ABSOLUTE);
        }
    }

    #[test]
    fn isooctane_needs_and_gives_what_the_tables_say() {
        assert!((stoichiometric_air_fuel_ratio() - 15.128).abs() < AIR_FUEL_ABSOLUTE);
        assert!((lower_heating_value() - 44.65e6).abs() < HEATING_VALUE_ABSOLUTE, "{}", lower_heating_value());
    }

    #[test]
    fn energy_is_the_integral_of_the_specific_heat() {
        let gas = Gas::burned(1.1);
        for t in [400.0_f64, 900.0, 1500.0, 2500.0] {
            let slope = (gas.at(t + 0.5).energy - gas.at(t - 0.5).energy) / 1.0;
            assert!((slope / gas.at(t).cv - 1.0).abs() < 1e-6);
        }
    }

    #[test]
    fn rich_products_keep_every_atom() {
        // Mass per mole of air must be the same before and after: the gas constants give the mole numbers.
        for phi in [0.8, 1.0, 1.05, 1.2, 1.4] {
            let (fresh, burned) = (Gas::fresh(phi), Gas::burned(phi));
            assert!(burned.gas_constant > fresh.gas_constant * 1.02 && burned.gas_constant < fresh.gas_constant * 1.25);
        }
    }
}
