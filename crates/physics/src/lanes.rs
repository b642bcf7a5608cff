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
    /// Sets lane `i`.
    fn set(&mut self, i: usize, x: f64);
    /// Square root.
    fn sqrt(self) -> Self;
    /// The greater; `self` where they compare false.
    fn max(self, other: Self) -> Self;
    /// The smaller; `other` where they compare false.
    fn min(self, other: Self) -> Self;
    /// `then` where `self < other`, `otherwise` elsewhere.
    fn if_less(self, other: Self, then: Self, otherwise: Self) -> Self;
    /// Is any lane less than the other's?
    fn any_less(self, other: Self) -> bool;
    /// 2ⁿ from n + [`ROUND`] + 1023, where the sum holds n in its lowest bits.
    #[doc(hidden)]
    fn power_of_two(shifted: Self) -> Self;
    /// Mantissa in [√½, √2) and exponent of a positive normal number.
    #[doc(hidden)]
    fn mantissa_exponent(self) -> (Self, Self);

    /// Straight-line interpolation in a table at `self` ≥ 0, whole numbers being its places; the last two hold beyond.
    #[inline(always)]
    fn look_up(self, table: &[f64]) -> Self {
        let (mut from, mut step, mut f) = (Self::splat(0.0), Self::splat(0.0), Self::splat(0.0));
        for i in 0..Self::COUNT {
            let x = self.lane(i);
            let j = (x as usize).min(table.len() - 2);
            from.set(i, table[j]);
            step.set(i, table[j + 1] - table[j]);
            f.set(i, x - j as f64);
        }
        from + f * step
    }

    /// Exponential; relative error below 1e-8 for |x| < 700.
    #[inline(always)]
    fn exp(self) -> Self {
        let s = Self::splat;
        let shifted = self * s(std::f64::consts::LOG2_E) + s(ROUND);
        let n = shifted - s(ROUND);
        let r = (self - n * s(LN2_HIGH)) - n * s(LN2_LOW);
        // Taylor series to r⁷, even and odd terms side by side; |r| ≤ ln2/2 leaves (ln2/2)⁸/8! = 5e-9.
        let r2 = r * r;
        let r4 = r2 * r2;
        let even = (s(1.0) + r2 * s(0.5)) + r4 * (s(1.0 / 24.0) + r2 * s(1.0 / 720.0));
        let odd = (s(1.0) + r2 * s(1.0 / 6.0)) + r4 * (s(1.0 / 120.0) + r2 * s(1.0 / 5040.0));
        (even + r * odd) * Self::power_of_two(shifted)
    }

    /// Natural logarithm of a positive normal number; absolute error below 1e-9.
    #[inline(always)]
    fn ln(self) -> Self {
        let s = Self::splat;
        let (m, e) = self.mantissa_exponent();
        // |f| ≤ 0.172, so the series to f⁹ leaves 2 f¹¹/11 = 7e-10.
        let f = (m - s(1.0)) / (m + s(1.0));
        let z = f * f;
        let z2 = z * z;
        let p = (s(1.0) + z * s(1.0 / 3.0)) + z2 * ((s(1.0 / 5.0) + z * s(1.0 / 7.0)) + z2 * s(1.0 / 9.0));
        e * s(LN2_HIGH) + (s(2.0) * f * p + e * s(LN2_LOW))
    }
}

/// 1.5 · 2⁵² [1], exact: adding it rounds to a whole number.
const ROUND: f64 = 6_755_399_441_055_744.0;
// ln 2 [1] in two parts (Cody & Waite, Software Manual for the Elementary Functions, 1980).
const LN2_HIGH: f64 = 6.931_471_803_691_238e-1;
const LN2_LOW: f64 = 1.908_214_929_270_587_7e-10;
/// What is added to a number's bits so that its exponent field counts from √½ upwards.
const FROM_ROOT_HALF: u64 = 0x3ff0_0000_0000_0000 - 0x3fe6_a09e_667f_3bcd;
const EXPONENT: u64 = 0xfff0_0000_0000_0000;
/// Bits of 2⁵²: with a small whole number in the lowest bits it is 2⁵² plus that number.
const TWO_52: u64 = 0x4330_0000_0000_0000;
/// 2⁵² and the exponent's bias [1], exact.
const TWO_52_AND_BIAS: f64 = 4_503_599_627_370_496.0 + 1023.0;

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
    fn set(&mut self, _: usize, x: f64) {
        *self = x;
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
    fn any_less(self, other: Self) -> bool {
        self < other
    }
    #[inline(always)]
    fn power_of_two(shifted: Self) -> Self {
        f64::from_bits(shifted.to_bits().wrapping_add(1023) << 52)
    }
    #[inline(always)]
    fn mantissa_exponent(self) -> (Self, Self) {
        let counted = self.to_bits().wrapping_add(FROM_ROOT_HALF);
        let exponent = f64::from_bits((counted >> 52) | TWO_52) - TWO_52_AND_BIAS;
        let shift = (counted & EXPONENT).wrapping_sub(0x3ff0_0000_0000_0000);
        (f64::from_bits(self.to_bits().wrapping_sub(shift)), exponent)
    }
}

/// Vector types of one instruction set. Every operation is unsafe in that the processor must have the instructions: only functions that
/// were dispatched on a feature test may use the types.
#[cfg(target_arch = "x86_64")]
macro_rules! vector {
    ($(#[$doc:meta])* $name:ident $register:ident $count:literal, $set:ident $set_bits:ident $add:ident $sub:ident $mul:ident $div:ident
     $sqrt:ident $max:ident $min:ident $xor_bits:ident $to_bits:ident $from_bits:ident $add_bits:ident $sub_bits:ident $and_bits:ident $or_bits:ident
     $left:ident $right:ident, |$x:ident, $y:ident, $t:ident, $o:ident| $select:expr, $any:expr) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug)]
        pub struct $name($register);

        vector!(@op $name $add Add add);
        vector!(@op $name $sub Sub sub);
        vector!(@op $name $mul Mul mul);
        vector!(@op $name $div Div div);

        impl Neg for $name {
            type Output = Self;
            #[inline(always)]
            fn neg(self) -> Self {
                // SAFETY: see the macro.
                unsafe { Self($from_bits($xor_bits($to_bits(self.0), $set_bits(i64::MIN)))) }
            }
        }

        impl Lanes for $name {
            const COUNT: usize = $count;
            #[inline(always)]
            fn splat(x: f64) -> Self {
                // SAFETY: see the macro.
                unsafe { Self($set(x)) }
            }
            #[inline(always)]
            fn lane(self, i: usize) -> f64 {
                // SAFETY: the register is that many numbers side by side.
                unsafe { std::mem::transmute::<$register, [f64; $count]>(self.0)[i] }
            }
            #[inline(always)]
            fn set(&mut self, i: usize, x: f64) {
                // SAFETY: as in `lane`.
                unsafe {
                    let mut lanes = std::mem::transmute::<$register, [f64; $count]>(self.0);
                    lanes[i] = x;
                    self.0 = std::mem::transmute::<[f64; $count], $register>(lanes);
                }
            }
            #[inline(always)]
            fn sqrt(self) -> Self {
                // SAFETY: see the macro.
                unsafe { Self($sqrt(self.0)) }
            }
            #[inline(always)]
            fn max(self, other: Self) -> Self {
                // SAFETY: see the macro. The instruction gives its second operand where the two compare false.
                unsafe { Self($max(other.0, self.0)) }
            }
            #[inline(always)]
            fn min(self, other: Self) -> Self {
                // SAFETY: as in `max`.
                unsafe { Self($min(self.0, other.0)) }
            }
            #[inline(always)]
            fn if_less(self, other: Self, then: Self, otherwise: Self) -> Self {
                let ($x, $y, $t, $o) = (self.0, other.0, then.0, otherwise.0);
                // SAFETY: see the macro.
                unsafe { Self($select) }
            }
            #[inline(always)]
            fn any_less(self, other: Self) -> bool {
                let ($x, $y) = (self.0, other.0);
                // SAFETY: see the macro.
                unsafe { $any }
            }
            #[inline(always)]
            fn power_of_two(shifted: Self) -> Self {
                // SAFETY: see the macro.
                unsafe { Self($from_bits($left::<52>($add_bits($to_bits(shifted.0), $set_bits(1023))))) }
            }
            #[inline(always)]
            fn mantissa_exponent(self) -> (Self, Self) {
                // SAFETY: see the macro.
                unsafe {
                    let bits = $to_bits(self.0);
                    let counted = $add_bits(bits, $set_bits(FROM_ROOT_HALF as i64));
                    let exponent = $or_bits($right::<52>(counted), $set_bits(TWO_52 as i64));
                    let shift = $sub_bits($and_bits(counted, $set_bits(EXPONENT as i64)), $set_bits(0x3ff0_0000_0000_0000));
                    (Self($from_bits($sub_bits(bits, shift))), Self($from_bits(exponent)) - Self::splat(TWO_52_AND_BIAS))
                }
            }
        }
    };
    (@op $name:ident $f:ident $trait:ident $method:ident) => {
        impl $trait for $name {
            type Output = Self;
            #[inline(always)]
            fn $method(self, other: Self) -> Self {
                // SAFETY: see the macro.
                unsafe { Self($f(self.0, other.0)) }
            }
        }
    };
}

#[cfg(target_arch = "x86_64")]
pub(crate) use x86::{Eight, Four};

#[cfg(target_arch = "x86_64")]
mod x86 {
    use super::*;
    use std::arch::x86_64::*;

    vector! {
        /// Eight lanes of AVX-512 (F and DQ).
        Eight __m512d 8, _mm512_set1_pd _mm512_set1_epi64 _mm512_add_pd _mm512_sub_pd _mm512_mul_pd _mm512_div_pd
        _mm512_sqrt_pd _mm512_max_pd _mm512_min_pd _mm512_xor_si512 _mm512_castpd_si512 _mm512_castsi512_pd _mm512_add_epi64 _mm512_sub_epi64
        _mm512_and_si512 _mm512_or_si512 _mm512_slli_epi64 _mm512_srli_epi64,
        |x, y, t, o| _mm512_mask_blend_pd(_mm512_cmp_pd_mask::<_CMP_LT_OQ>(x, y), o, t),
        _mm512_cmp_pd_mask::<_CMP_LT_OQ>(x, y) != 0
    }
    vector! {
        /// Four lanes of AVX2.
        Four __m256d 4, _mm256_set1_pd _mm256_set1_epi64x _mm256_add_pd _mm256_sub_pd _mm256_mul_pd _mm256_div_pd
        _mm256_sqrt_pd _mm256_max_pd _mm256_min_pd _mm256_xor_si256 _mm256_castpd_si256 _mm256_castsi256_pd _mm256_add_epi64 _mm256_sub_epi64
        _mm256_and_si256 _mm256_or_si256 _mm256_slli_epi64 _mm256_srli_epi64,
        |x, y, t, o| _mm256_blendv_pd(o, t, _mm256_cmp_pd::<_CMP_LT_OQ>(x, y)),
        _mm256_movemask_pd(_mm256_cmp_pd::<_CMP_LT_OQ>(x, y)) != 0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Bounds stated in the trait, from the truncated series.
    const EXP_RELATIVE: f64 = 1e-8;
    const LN_ABSOLUTE: f64 = 1e-9;

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

    #[inline(always)]
    fn mixture<V: Lanes>(x: V) -> V {
        let y = (x.ln() * x.sqrt()).exp() / x - x;
        y.if_less(x, -y, y).max(V::splat(0.2)).min(V::splat(7.0))
    }

    #[cfg(target_arch = "x86_64")]
    #[test]
    fn vector_lanes_have_the_bits_of_one() {
        #[target_feature(enable = "avx512f,avx512dq,avx512vl")]
        fn eight() {
            let mut x = Eight::splat(0.0);
            (0..8).for_each(|i| x.set(i, 0.3 + i as f64));
            let y = mixture(x);
            (0..8).for_each(|i| assert_eq!(y.lane(i).to_bits(), mixture(0.3 + i as f64).to_bits()));
        }
        #[target_feature(enable = "avx2")]
        fn four() {
            let mut x = Four::splat(0.0);
            (0..4).for_each(|i| x.set(i, 0.7 + i as f64));
            let y = mixture(x);
            (0..4).for_each(|i| assert_eq!(y.lane(i).to_bits(), mixture(0.7 + i as f64).to_bits()));
        }
        if std::is_x86_feature_detected!("avx512f") && std::is_x86_feature_detected!("avx512dq") {
            // SAFETY: just detected.
            unsafe { eight() }
        }
        if std::is_x86_feature_detected!("avx2") {
            // SAFETY: just detected.
            unsafe { four() }
        }
    }
}
