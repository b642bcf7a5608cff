//! Fitting: a general least-squares solver, a robust one on top of it, and the laws fitted to strobe readings.

mod family;
mod laws;
mod least_squares;
mod posterior;
mod robust;
mod spread;
mod start;

pub use family::{AdvanceReading, Family, Priors, Shape};
pub use laws::{LawFit, akaike_shares, fit_law};
pub use least_squares::{Fit, FitFailed, least_squares};
pub use posterior::{Direction, Posterior, doubt_left, variance_removed};
pub use robust::{RobustFit, TUKEY, robust, tukey_loss, tukey_weight};
pub use spread::Spread;
