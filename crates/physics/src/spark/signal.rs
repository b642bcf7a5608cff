//! The pickup's signal against what the module needs.

use crate::law::{BadPickup, Pickup};

/// Widest gap looked at, over the pickup's own [1] (own choice): a pulse falls at least as 1/gap, so a pickup with more than this in hand has enough.
const WIDEST: f64 = 64.0;
/// Halvings of the search [1] (own choice): to the last bit of a double.
const HALVINGS: usize = 60;

/// Largest gap [m] at which the pulse still reaches the threshold at a crank speed [rad/s], from a pickup that stands at `gap_m`.
///
/// The peak falls as the gap widens ([`Pickup::with_gap`]), so there is one. Validity: that of the pickup's model; at constant magnetomotive force.
///
/// # Errors
/// [`BadPickup`] where `gap_m` is no gap.
pub fn largest_gap_m(pickup: &Pickup, gap_m: f64, speed_rad_s: f64) -> Result<f64, BadPickup> {
    let fires = |gap: f64| pickup.with_gap(gap).map(|p| p.lowest_firing_speed() <= speed_rad_s);
    let (mut low, mut high) = (gap_m, gap_m);
    if fires(gap_m)? {
        high = WIDEST * gap_m;
        if fires(high)? {
            return Ok(high);
        }
    } else {
        low = 0.0;
    }
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if middle > 0.0 && fires(middle)? {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(low)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rim::Rim;
    use quantity::DriveRatio;

    /// A sharp pole's pulse falls as 1/gap², so at twice the pulse needed the gap may grow by √2; a wide pole's falls as 1/gap.
    #[test]
    fn the_limits_of_narrow_and_wide_poles() {
        let rim = Rim::new(0.108, DriveRatio::CRANK).unwrap();
        for (pole, grows) in [(1e-7, 2f64.sqrt()), (0.05, 2.0)] {
            let pickup = Pickup::from_pulse(rim, 0.5e-3, pole, 2.0, 50.0, 1.0).unwrap();
            let largest = largest_gap_m(&pickup, 0.5e-3, 50.0).unwrap();
            assert!((largest / (grows * 0.5e-3) - 1.0).abs() < 1e-6, "{largest}");
            // Too weak as it stands: half the speed, so it has to be set closer.
            let closer = largest_gap_m(&pickup, 0.5e-3, 12.5).unwrap();
            assert!((closer * grows / 0.5e-3 - 1.0).abs() < 1e-6, "{closer}");
        }
        assert_eq!(largest_gap_m(&Pickup::from_pulse(rim, 5e-4, 0.0, 2.0, 50.0, 1.0).unwrap(), -1.0, 50.0), Err(BadPickup::Gap));
    }
}
