//! Points that fill a cube more evenly than random ones, and can still be drawn anew.

use super::{SplitMix64, directions::DIRECTIONS, normal_quantile};

/// Bits of a coordinate.
const BITS: usize = 32;
/// Mixed into the seed so that the coordinates beyond the table have streams of their own; any number would do.
const BEYOND: u64 = 0xB5AD_4ECE_DA1C_E2A9;

/// A Sobol sequence, scrambled: points that fill the cube evenly, each of them by itself uniform.
///
/// A scramble multiplies every coordinate's digits by a random lower triangular matrix with ones on its diagonal and then flips a random
/// set of them. The first 2ᵐ points stay a net. Estimates from several scrambles are independent and without bias, so their
/// spread tells how good their mean is.
///
/// Dimensions beyond the table's 64 are drawn independently; those that matter belong first.
///
/// Sources: Sobol', USSR Comput. Math. Math. Phys. 7 (1967) 86–112; Joe & Kuo 2008 for the direction numbers; Matoušek, *On the L₂-discrepancy for
/// anchored boxes*, J. Complexity 14 (1998) 527–556, for the scramble. The even filling needs a number of points that is a power of two:
/// Owen, *On dropping the first Sobol' point*, MCQMC 2020.
#[derive(Clone, Debug)]
pub struct Sobol {
    directions: Vec<[u32; BITS]>,
    flips: Vec<u32>,
    seed: u64,
}

impl Sobol {
    /// The points as published, the first of them the corner of the cube. Of `dimensions` no more than the table has.
    pub fn plain(dimensions: usize) -> Self {
        let directions: Vec<_> = (0..dimensions.min(DIRECTIONS.len() + 1)).map(published).collect();
        Self { flips: vec![0; directions.len()], directions, seed: 0 }
    }

    /// A scramble; another seed is another one.
    pub fn scrambled(dimensions: usize, seed: u64) -> Self {
        let mut points = Self { seed, ..Self::plain(dimensions) };
        for (dimension, directions) in points.directions.iter_mut().enumerate() {
            // Each dimension has a stream of its own, so that a further dimension leaves the others as they were.
            let mut random = SplitMix64::new(SplitMix64::new(seed ^ (dimension as u64).rotate_left(40)).next_bits());
            // Row r gives digit r, counted from the most significant: the digits above it at random, and itself.
            let rows: [u32; BITS] = std::array::from_fn(|r| {
                let own = 1u32 << (BITS - 1 - r);
                (random.next_bits() as u32) & !(own | (own - 1)) | own
            });
            for v in directions.iter_mut() {
                *v = rows.iter().fold(0, |out, row| out << 1 | (row & *v).count_ones() & 1);
            }
            points.flips[dimension] = random.next_bits() as u32;
        }
        points
    }

    /// A coordinate of a point, strictly between 0 and 1: the middle of the last digit.
    pub fn unit(&self, point: u32, dimension: usize) -> f64 {
        let Some(directions) = self.directions.get(dimension) else {
            let stream = SplitMix64::new(self.seed ^ BEYOND ^ (dimension as u64).rotate_left(40)).next_bits();
            return SplitMix64::new(stream ^ u64::from(point)).unit();
        };
        let (mut digits, mut left) = (self.flips[dimension], point);
        while left != 0 {
            digits ^= directions[left.trailing_zeros() as usize];
            left &= left - 1;
        }
        (f64::from(digits) + 0.5) / 4_294_967_296.0
    }

    /// The same coordinate as a standard normal deviate.
    pub fn normal(&self, point: u32, dimension: usize) -> f64 {
        normal_quantile(self.unit(point, dimension))
    }
}

/// The direction numbers of a dimension, from its primitive polynomial and the first few by recursion (Joe & Kuo 2008, equation 3).
fn published(dimension: usize) -> [u32; BITS] {
    let mut v = [0u32; BITS];
    let Some((polynomial, first)) = dimension.checked_sub(1).map(|d| DIRECTIONS[d]) else {
        return std::array::from_fn(|i| 1 << (BITS - 1 - i));
    };
    let degree = first.len();
    for i in 0..BITS {
        v[i] = if i < degree {
            first[i] << (BITS - 1 - i)
        } else {
            (1..degree)
                .filter(|k| polynomial >> (degree - k) & 1 == 1)
                .fold(v[i - degree] ^ (v[i - degree] >> degree), |x, k| x ^ v[i - k])
        };
    }
    v
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `scipy.stats.qmc.Sobol(64, scramble=False, bits=32)` of SciPy 1.17.1: dimensions 0, 1, 2, 9, 31 and 63 of its points 4 and 1000. SciPy
    /// counts in Gray code.
    #[test]
    fn published_points_are_those_of_scipy() {
        let points = Sobol::plain(64);
        let gray = |n: u32| n ^ (n >> 1);
        let row = |n: u32, dimensions: [usize; 6]| dimensions.map(|d| points.unit(gray(n), d) - 0.5 / 4_294_967_296.0);
        assert_eq!(row(4, [0, 1, 2, 9, 63, 0]), [0.375, 0.375, 0.625, 0.625, 0.125, 0.375]);
        assert_eq!(
            row(1000, [0, 1, 2, 9, 31, 63]),
            [0.2197265625, 0.0966796875, 0.5185546875, 0.0693359375, 0.1455078125, 0.4462890625]
        );
    }

    #[test]
    fn a_scramble_stays_a_net_and_further_dimensions_change_none() {
        let (points, more) = (Sobol::scrambled(70, 3), Sobol::scrambled(80, 3));
        for d in [0, 1, 5, 40, 63] {
            let mut slices: Vec<usize> = (0..256).map(|i| (points.unit(i, d) * 256.0) as usize).collect();
            slices.sort_unstable();
            assert_eq!(slices, (0..256).collect::<Vec<_>>(), "one point in each slice of dimension {d}");
        }
        // The first two dimensions are a (0, m, 2)-net: every box of area 1/256 has one point (Sobol' 1967).
        let mut boxes: Vec<(usize, usize)> =
            (0..256).map(|i| ((points.unit(i, 0) * 16.0) as usize, (points.unit(i, 1) * 16.0) as usize)).collect();
        boxes.sort_unstable();
        boxes.dedup();
        assert_eq!(boxes.len(), 256);
        for d in [0, 63, 64, 69] {
            assert_eq!(points.unit(77, d), more.unit(77, d));
        }
    }

    /// Genz's product peak has a closed integral; a scrambled net of n points errs by about n^-1.5, random ones by n^-0.5.
    #[test]
    fn scrambles_are_without_bias_and_far_better_than_random() {
        const DIMENSIONS: usize = 5;
        let peak = |x: f64| 1.0 / (1.0 + (x - 0.4).powi(2));
        let exact = (0.6f64.atan() + 0.4f64.atan()).powi(DIMENSIONS as i32);
        let estimate = |seed: u64| {
            let points = Sobol::scrambled(DIMENSIONS, seed);
            (0..1024).map(|i| (0..DIMENSIONS).map(|d| peak(points.unit(i, d))).product::<f64>()).sum::<f64>() / 1024.0
        };
        let off: Vec<f64> = (0..40).map(|seed| estimate(seed) - exact).collect();
        let mean = off.iter().sum::<f64>() / 40.0;
        let spread = (off.iter().map(|e| (e - mean).powi(2)).sum::<f64>() / 39.0).sqrt();
        assert!(mean.abs() < 4.0 * spread / 40f64.sqrt(), "four standard errors: {mean} {spread}");
        // The standard deviation of the integrand is 0.12, so random points would scatter by 0.12/√1024 = 3.7e-3.
        assert!(spread < 3.7e-4, "{spread}");
    }
}
