//! What rotors and their magnets are of, as the trade names it.

/// What rotors are of, as it stands in a machine file; the order is that of [`METALS`].
pub const WORDS: [&str; 7] =
    ["forged steel", "bar steel", "free-cutting steel", "stainless steel", "grey cast iron", "nodular iron", "aluminium"];

/// A number and the half-width within which it lies with about 95 % confidence.
pub type Spread = (f64, f64);

/// Properties of a metal, from what is common of its kind: each casting, forging and bar has its own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Metal {
    /// As it stands in a machine file.
    pub word: &'static str,
    /// Density [kg/m³].
    pub density_kg_m3: Spread,
    /// 0.2 % proof stress [Pa]; of a brittle metal the stress at which it breaks.
    pub proof_pa: Spread,
    /// Tensile strength [Pa].
    pub tensile_pa: Spread,
    /// Young's modulus [Pa].
    pub young_pa: Spread,
    /// Poisson's ratio \[1\].
    pub poisson: Spread,
    /// Linear expansion [1/K].
    pub expansion_per_k: Spread,
    /// Flux density at which it is as good as saturated [T].
    pub saturates_t: Spread,
    /// It breaks without yielding first, so that a notch counts in full.
    pub brittle: bool,
}

/// A megapascal [Pa], by definition.
const MPA: f64 = 1e6;

/// The metals. Densities of steel lie from 7800 to 7870 kg/m³ and of aluminium near 2700 (handbook tables, from memory); stainless 7900 ± 60, cast irons 7100 to 7300 (from memory).
///
/// Strengths: what the standards ask of the commonest grade of the kind, from memory and not read again, with a ± that covers its neighbours: forged steel EN 10083-2, C35 normalised; bar steel EN 10025-2, S275;
/// free-cutting steel EN 10277, 11SMn30 as rolled; stainless EN 10088-3, 1.4301; grey iron EN 1561, GJL-250 (its tensile strength stands as its proof stress too); nodular iron EN 1563,
/// GJS-400-15; aluminium EN 755-2, 6082-T6. Elastic constants and expansion: handbook values of the kind (from memory). Saturation: common practice, no source.
pub const METALS: [Metal; 7] = [
    steel(WORDS[0], (300.0, 50.0), (560.0, 70.0)),
    steel(WORDS[1], (265.0, 40.0), (430.0, 50.0)),
    steel(WORDS[2], (260.0, 60.0), (400.0, 50.0)),
    Metal {
        density_kg_m3: (7900.0, 60.0),
        young_pa: (197e9, 6e9),
        expansion_per_k: (16.5e-6, 0.8e-6),
        // It carries next to no flux.
        saturates_t: (0.05, 0.05),
        ..steel(WORDS[3], (210.0, 30.0), (560.0, 60.0))
    },
    Metal {
        density_kg_m3: (7200.0, 100.0),
        young_pa: (110e9, 12e9),
        poisson: (0.26, 0.02),
        expansion_per_k: (10.5e-6, 1e-6),
        saturates_t: (1.3, 0.15),
        brittle: true,
        ..steel(WORDS[4], (230.0, 50.0), (230.0, 50.0))
    },
    Metal {
        density_kg_m3: (7100.0, 80.0),
        young_pa: (169e9, 6e9),
        poisson: (0.275, 0.015),
        expansion_per_k: (12e-6, 1e-6),
        saturates_t: (1.5, 0.15),
        ..steel(WORDS[5], (260.0, 40.0), (410.0, 50.0))
    },
    Metal {
        density_kg_m3: (2700.0, 40.0),
        young_pa: (70e9, 2e9),
        poisson: (0.33, 0.01),
        expansion_per_k: (23.5e-6, 1e-6),
        saturates_t: (0.0, 0.0),
        ..steel(WORDS[6], (250.0, 40.0), (300.0, 40.0))
    },
];

const fn steel(word: &'static str, (proof, proof_by): Spread, (tensile, tensile_by): Spread) -> Metal {
    Metal {
        word,
        density_kg_m3: (7840.0, 30.0),
        proof_pa: (proof * MPA, proof_by * MPA),
        tensile_pa: (tensile * MPA, tensile_by * MPA),
        young_pa: (207e9, 5e9),
        poisson: (0.29, 0.01),
        expansion_per_k: (11.7e-6, 0.7e-6),
        saturates_t: (1.6, 0.15),
        brittle: false,
    }
}

/// What magnets are of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MagnetMaterial {
    /// Hard ferrite.
    Ferrite,
    /// Sintered neodymium-iron-boron.
    RareEarth,
    /// Cast aluminium-nickel-cobalt.
    Alnico,
}

impl MagnetMaterial {
    /// Density [kg/m³]: ferrite 4600 to 5100, sintered rare earth 7400 to 7700 (makers' tables, pages read); alnico 6900 to 7300 (from memory).
    pub const fn density_kg_m3(self) -> Spread {
        match self {
            MagnetMaterial::Ferrite => (4850.0, 250.0),
            MagnetMaterial::RareEarth => (7550.0, 150.0),
            MagnetMaterial::Alnico => (7100.0, 200.0),
        }
    }

    /// Remanence [T]: the most that can come out of its face. Common grades of each, from memory, no source.
    pub const fn remanence_t(self) -> Spread {
        match self {
            MagnetMaterial::Ferrite => (0.38, 0.04),
            MagnetMaterial::RareEarth => (1.2, 0.1),
            MagnetMaterial::Alnico => (1.2, 0.15),
        }
    }
}
