//! Several operating points side by side in the processor's vector lanes.
//!
//! Every operation is plain IEEE arithmetic without fused multiply-add and with our own `exp` and `ln`, so a result has the
//! same bits on every machine and for one lane or eight.

use std::ops::{Add, Div, Mul, Neg, Sub};

/// One number, or several side by side.
pub trait Lanes:
    Copy + Add<Output = Self> + Sub<Output = Self> + Mul<Output = Self> + Div<Output = Self> + Neg<Output = Self>
{
    /// How many lanes.
    const COUNT: usize;
    /// The same number in every lane.
    fn splat(x: f64) -> Self;
    /// Lane `i`.
    fn lane(self, i: usize) -> f64;
    /// Lane by lane from a function of the lane's index.
    fn from_fn(f: impl FnMut(usize) -> f64) -> Self;
    /// Square root.
    fn sqrt(self) -> Self;
    /// The greater.
    fn max(self, other: Self) -> Self;
    /// The smaller.
    fn min(self, other: Self) -> Self;
    /// `then` where `self < other`, `otherwise` elsewhere.
    fn if_less(self, other: Self, then: Self, otherwise: Self) -> Self;
    /// Exponential; relative error below 2e-11 for |x| < 700.
    fn exp(self) -> Self;
    /// Natural logarithm of a positive normal number; absolute error below 1e-12.
    fn ln(self) -> Self;
}

const ROUND: f64 = 6755399441055744.0; // 1.5 · 2^52: adding it rounds to a whole number
const LN2_HIGH: f64 = 6.931_471_803_691_238e-1; // ln 2 in two parts (Cody & Waite 1980)
const LN2_LOW: f64 = 1.908_214_929_270_587_7e-10;

#[inline(always)]
fn exp(x: f64) -> f64 {
    let shifted = x * std::f64::consts::LOG2_E + ROUND;
    let n = shifted - ROUND;
    let r = (x - n * LN2_HIGH) - n * LN2_LOW;
    // Taylor series to r⁹; |r| ≤ ln2/2 leaves (ln2/2)¹⁰/10! = 7e-12.
    let p = 1.0 / 5040.0 + r * (1.0 / 40320.0 + r * (1.0 / 362880.0));
    let p = 1.0 / 24.0 + r * (1.0 / 120.0 + r * (1.0 / 720.0 + r * p));
    let p = 1.0 + r * (1.0 + r * (0.5 + r * (1.0 / 6.0 + r * p)));
    let power = (shifted.to_bits().wrapping_add(1023)) << 52;
    p * f64::from_bits(power)
}

#[inline(always)]
fn ln(x: f64) -> f64 {
    let bits = x.to_bits();
    // Mantissa into [√½, √2), so that the series runs on |s| ≤ 0.172.
    let offset = bits.wrapping_sub(0x3fe6_a09e_667f_3bcd);
    let e = (offset as i64 >> 52) as i32;
    let m = f64::from_bits(bits.wrapping_sub(offset & 0xfff0_0000_0000_0000));
    let s = (m - 1.0) / (m + 1.0);
    let z = s * s;
    let p = 1.0 / 9.0 + z * (1.0 / 11.0 + z * (1.0 / 13.0));
    let p = 1.0 + z * (1.0 / 3.0 + z * (1.0 / 5.0 + z * (1.0 / 7.0 + z * p)));
    let e = f64::from(e);
    e * LN2_HIGH + (2.0 * s * p + e * LN2_LOW)
}

impl Lanes for f64 {
    const COUNT: usize = 1;
    #[inline(always)]
    fn splat(x: f64) -> Self {
        x
    }
    #[inline(always)]
    fn lane(self, _: usize) -> f64 {
        self
    }
    #[inline(always)]
    fn from_fn(mut f: impl FnMut(usize) -> f64) -> Self {
        f(0)
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        f64::sqrt(self)
    }
    #[inline(always)]
    fn max(self, other: Self) -> Self {
        if self < other { other } else { self }
    }
    #[inline(always)]
    fn min(self, other: Self) -> Self {
        if self < other { self } else { other }
    }
    #[inline(always)]
    fn if_less(self, other: Self, then: Self, otherwise: Self) -> Self {
        if self < other { then } else { otherwise }
    }
    #[inline(always)]
    fn exp(self) -> Self {
        exp(self)
    }
    #[inline(always)]
    fn ln(self) -> Self {
        ln(self)
    }
}

/// Eight lanes: one AVX-512 register, two AVX registers, or four of the baseline's.
#[derive(Clone, Copy, Debug)]
#[repr(align(64))]
pub struct Eight([f64; 8]);

macro_rules! each {
    ($i:ident => $e:expr) => {{
        let mut out = [0.0; 8];
        for ($i, o) in out.iter_mut().enumerate() {
            *o = $e;
        }
        Eight(out)
    }};
}

macro_rules! operator {
    ($($trait:ident $name:ident $op:tt)*) => { $(
        impl $trait for Eight {
            type Output = Self;
            #[inline(always)]
            fn $name(self, other: Self) -> Self {
                each!(i => self.0[i] $op other.0[i])
            }
        }
    )* };
}
operator!(Add add + Sub sub - Mul mul * Div div /);

impl Neg for Eight {
    type Output = Self;
    #[inline(always)]
    fn neg(self) -> Self {
        each!(i => -self.0[i])
    }
}

impl Lanes for Eight {
    const COUNT: usize = 8;
    #[inline(always)]
    fn splat(x: f64) -> Self {
        Self([x; 8])
    }
    #[inline(always)]
    fn lane(self, i: usize) -> f64 {
        self.0[i]
    }
    #[inline(always)]
    fn from_fn(mut f: impl FnMut(usize) -> f64) -> Self {
        each!(i => f(i))
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        each!(i => self.0[i].sqrt())
    }
    #[inline(always)]
    fn max(self, other: Self) -> Self {
        each!(i => if self.0[i] < other.0[i] { other.0[i] } else { self.0[i] })
    }
    #[inline(always)]
    fn min(self, other: Self) -> Self {
        each!(i => if self.0[i] < other.0[i] { self.0[i] } else { other.0[i] })
    }
    #[inline(always)]
    fn if_less(self, other: Self, then: Self, otherwise: Self) -> Self {
        each!(i => if self.0[i] < other.0[i] { then.0[i] } else { otherwise.0[i] })
    }
    #[inline(always)]
    fn exp(self) -> Self {
        each!(i => exp(self.0[i]))
    }
    #[inline(always)]
    fn ln(self) -> Self {
        each!(i => ln(self.0[i]))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Bounds stated in the trait, from the truncated series.
    const EXP_RELATIVE: f64 = 2e-11;
    const LN_ABSOLUTE: f64 = 1e-12;

    #[test]
    fn exp_and_ln_agree_with_the_standard_library() {
        for k in -5000..5000 {
            let x = f64::from(k) * 0.137;
            if x.abs() < 700.0 {
                assert!((Lanes::exp(x) / x.exp() - 1.0).abs() < EXP_RELATIVE, "exp {x}");
            }
            let y = (f64::from(k) * 0.01).exp();
            assert!((Lanes::ln(y) - y.ln()).abs() < LN_ABSOLUTE, "ln {y}");
        }
    }

    #[test]
    fn eight_lanes_have_the_bits_of_one() {
        let x = Eight::from_fn(|i| 0.3 + i as f64);
        let y = ((x.ln() * x.sqrt()).exp() / x - x).max(Eight::splat(0.2)).min(Eight::splat(7.0));
        for i in 0..8 {
            let x = 0.3 + i as f64;
            let one = ((Lanes::ln(x) * Lanes::sqrt(x)).exp() / x - x).to_bits();
            let one = f64::from_bits(one).max(0.2).min(7.0);
            // `exp` here is the standard one only if the trait method were shadowed: compare through the trait.
            let through = Lanes::min(Lanes::max(Lanes::exp(Lanes::ln(x) * Lanes::sqrt(x)) / x - x, 0.2), 7.0);
            assert_eq!(y.lane(i).to_bits(), through.to_bits());
            assert!((one - through).abs() < 1e-9);
        }
    }
}
