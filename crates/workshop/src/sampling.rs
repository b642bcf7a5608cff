//! Cases sampled evenly and always the same: a stated generator, and scrambled Sobol points made from it.

mod directions;
mod sobol;

pub use sobol::Sobol;

/// A generator of 64-bit numbers, the same on every machine: SplitMix64.
///
/// Source: Steele, Lea & Flood, *Fast splittable pseudorandom number generators*, OOPSLA 2014, figure 16 (constants from memory;
/// the test has published outputs).
#[derive(Clone, Debug)]
pub struct SplitMix64 {
    state: u64,
}

impl SplitMix64 {
    /// A generator with a seed.
    pub fn new(seed: u64) -> Self {
        Self { state: seed }
    }
    /// The next 64 bits.
    pub fn next_bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
    /// A number strictly between 0 and 1.
    pub fn unit(&mut self) -> f64 {
        ((self.next_bits() >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }
}

/// The standard normal deviate that is exceeded with probability 1 − p, for 0 < p < 1; good to 1e-15 relative.
///
/// Source: Wichura, *Algorithm AS 241*, Applied Statistics 37 (1988) 477–484, PPND16 (coefficients from memory, checked against SciPy).
pub fn normal_quantile(p: f64) -> f64 {
    let q = p - 0.5;
    if q.abs() <= 0.425 {
        let r = 0.180625 - q * q;
        return q * poly(&CENTRE.0, r) / poly(&CENTRE.1, r);
    }
    let r = (-(if q < 0.0 { p } else { 1.0 - p }).ln()).sqrt();
    let tail =
        if r <= 5.0 { poly(&NEAR.0, r - 1.6) / poly(&NEAR.1, r - 1.6) } else { poly(&FAR.0, r - 5.0) / poly(&FAR.1, r - 5.0) };
    tail.copysign(q)
}

fn poly(c: &[f64; 8], x: f64) -> f64 {
    c.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

/// Coefficients are printed as published, beyond what a double holds.
type Ratio = ([f64; 8], [f64; 8]);
#[rustfmt::skip]
#[allow(clippy::excessive_precision, reason = "as published")]
const CENTRE: Ratio = (
    [3.3871328727963666080e0, 1.3314166789178437745e2, 1.9715909503065514427e3, 1.3731693765509461125e4,
     4.5921953931549871457e4, 6.7265770927008700853e4, 3.3430575583588128105e4, 2.5090809287301226727e3],
    [1.0, 4.2313330701600911252e1, 6.8718700749205790830e2, 5.3941960214247511077e3,
     2.1213794301586595867e4, 3.9307895800092710610e4, 2.8729085735721942674e4, 5.2264952788528545610e3],
);
#[rustfmt::skip]
#[allow(clippy::excessive_precision, reason = "as published")]
const NEAR: Ratio = (
    [1.42343711074968357734e0, 4.63033784615654529590e0, 5.76949722146069140550e0, 3.64784832476320460504e0,
     1.27045825245236838258e0, 2.41780725177450611770e-1, 2.27238449892691845833e-2, 7.74545014278341407640e-4],
    [1.0, 2.05319162663775882187e0, 1.67638483018380384940e0, 6.89767334985100004550e-1,
     1.48103976427480074590e-1, 1.51986665636164571966e-2, 5.47593808499534494600e-4, 1.05075007164441684324e-9],
);
#[rustfmt::skip]
#[allow(clippy::excessive_precision, reason = "as published")]
const FAR: Ratio = (
    [6.65790464350110377720e0, 5.46378491116411436990e0, 1.78482653991729133580e0, 2.96560571828504891230e-1,
     2.65321895265761230930e-2, 1.24266094738807843860e-3, 2.71155556874348757815e-5, 2.01033439929228813265e-7],
    [1.0, 5.99832206555887937690e-1, 1.36929880922735805310e-1, 1.48753612908506148525e-2,
     7.86869131145613259100e-4, 1.84631831751005468180e-5, 1.42151175831644588870e-7, 2.04426310338993978564e-15],
);

#[cfg(test)]
mod tests {
    use super::*;

    /// SciPy 1.17.1 prints 16 digits; the last two may differ.
    const DIGITS: f64 = 1e-13;

    /// `scipy.stats.norm.ppf` at these probabilities.
    #[test]
    fn normal_quantile_agrees_with_scipy() {
        for (p, z) in [
            (1e-12, -7.034483825301131),
            (1e-5, -4.264890793922825),
            (0.001, -3.090232306167813),
            (0.025, -1.9599639845400545),
            (0.3, -0.5244005127080409),
            (0.5, 0.0),
            (0.9, 1.2815515655446004),
            (0.99999, 4.264890793923841),
        ] {
            let got = normal_quantile(p);
            assert!((got - z).abs() <= DIGITS * z.abs(), "{p}: {got} {z}");
        }
    }

    /// First outputs for seed 1234567, published with several public implementations (from memory).
    #[test]
    fn generator_gives_the_published_numbers() {
        let mut random = SplitMix64::new(1_234_567);
        let first: Vec<u64> = (0..3).map(|_| random.next_bits()).collect();
        assert_eq!(first, [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]);
    }
}
