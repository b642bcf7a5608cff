//! A fair sample of values of which there may be any number.

/// Keeps no more than so many values; each that came has the same chance to be among them.
///
/// Vitter's algorithm R (ACM Trans. Math. Software 11 (1985) 37–57). Chance is a fixed function of how many came, so the same recording gives the same sample.
#[derive(Clone, Debug)]
pub(super) struct Reservoir<T> {
    kept: Vec<T>,
    came: u64,
    most: usize,
}

impl<T: Copy> Reservoir<T> {
    pub(super) fn new(most: usize) -> Self {
        Self { kept: Vec::new(), came: 0, most }
    }

    pub(super) fn push(&mut self, value: T) {
        self.came += 1;
        if self.kept.len() < self.most {
            self.kept.push(value);
            return;
        }
        let at = ((u128::from(mixed(self.came)) * u128::from(self.came)) >> 64) as usize;
        if let Some(old) = self.kept.get_mut(at) {
            *old = value;
        }
    }

    /// In the order in which they came, as long as all are kept.
    pub(super) fn kept(&self) -> &[T] {
        &self.kept
    }

    pub(super) fn came(&self) -> usize {
        self.came as usize
    }
}

/// The finaliser of SplitMix64 (Steele, Lea and Flood, OOPSLA 2014; its constants are Stafford's variant 13, from memory).
fn mixed(n: u64) -> u64 {
    let mut z = n.wrapping_mul(0x9E37_79B9_7F4A_7C15);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_are_kept_up_to_the_most_and_a_fair_share_beyond() {
        let mut few = Reservoir::new(100);
        (0..100).for_each(|i| few.push(i));
        assert!(few.kept().iter().copied().eq(0..100));
        let mut many = Reservoir::new(1000);
        (0..100_000).for_each(|i| many.push(f64::from(i)));
        assert_eq!((many.kept().len(), many.came()), (1000, 100_000));
        // Uniform: mean 49 999.5, its standard error 100 000/√(12 · 1000) = 913; three of them.
        let mean = many.kept().iter().sum::<f64>() / 1000.0;
        assert!((mean - 49_999.5).abs() < 2740.0, "{mean}");
    }
}
