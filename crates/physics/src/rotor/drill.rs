//! Holes that take an unbalance out of a rim.

use crate::root;
use std::f64::consts::{FRAC_PI_4, PI};

/// A drill and where it goes in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drill {
    /// Diameter [m].
    pub diameter_m: f64,
    /// Whole angle of its tip [rad]; π for a flat end, whose cone is nothing.
    pub tip_rad: f64,
    /// Density of what it drills [kg/m³].
    pub density_kg_m3: f64,
    /// Way of the hole.
    pub way: Way,
}

/// Way of a hole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Way {
    /// Along the shaft, its axis at this radius [m].
    Along {
        /// Radius.
        radius_m: f64,
    },
    /// Inward from a surface of this radius [m]; the deeper, the nearer to the axis is what it takes.
    Inward {
        /// Radius.
        radius_m: f64,
    },
}

/// Usual angle of a twist drill's tip [rad]: 118° (common practice, no source).
pub const TWIST: f64 = 118.0 * PI / 180.0;

/// Holes side by side, all alike, spread evenly about the heavy side.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Depth of each at full diameter [m]; the cone of the tip comes on top and is counted in what is taken.
    pub depth_m: f64,
    /// Depth to the point of the cone [m].
    pub to_point_m: f64,
    /// Mass that each takes [kg].
    pub each_kg: f64,
    /// Places beside the heavy side [rad].
    pub places_rad: Vec<f64>,
}

/// Why no holes do it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoPlan {
    /// A size that is not above zero, or no number.
    BadSize,
    /// The tip's cone alone, before the drill is in at full diameter, takes more than is wanted: a smaller drill.
    TooLittle {
        /// Unbalance that the cones take [kg·m].
        takes_kg_m: f64,
    },
    /// Even this many holes at the greatest depth take no more than this.
    TooMuch {
        /// Holes.
        holes: usize,
        /// Unbalance that they take [kg·m].
        takes_kg_m: f64,
    },
}

/// Most holes that are planned [1] (own choice): more is a row of holes, which weakens a rim.
pub const MOST_HOLES: usize = 5;
/// Width to which a depth is narrowed down, as a share of the drill's diameter [1] (own choice).
const DEPTH_TOLERANCE: f64 = 1e-9;

impl Drill {
    /// Height of the tip's cone [m].
    pub fn cone_m(&self) -> f64 {
        0.5 * self.diameter_m / (0.5 * self.tip_rad).tan()
    }

    /// Mass [kg] of a hole of a depth at full diameter [m], its cone counted.
    pub fn mass_kg(&self, depth_m: f64) -> f64 {
        FRAC_PI_4 * self.diameter_m.powi(2) * (depth_m + self.cone_m() / 3.0) * self.density_kg_m3
    }

    /// Unbalance [kg·m] that a hole takes. A cone's centre lies a quarter of its height from its base.
    ///
    /// # Example
    /// ```
    /// use physics::rotor::drill::{Drill, Way};
    /// // A flat hole of 5 mm, 6 mm deep, at 50 mm in steel of 7.85 g/cm³.
    /// let d = Drill { diameter_m: 5e-3, tip_rad: std::f64::consts::PI, density_kg_m3: 7850.0, way: Way::Along { radius_m: 0.05 } };
    /// assert!((d.unbalance_kg_m(6e-3) * 1e6 - 46.24031687).abs() < 1e-7);
    /// ```
    pub fn unbalance_kg_m(&self, depth_m: f64) -> f64 {
        match self.way {
            Way::Along { radius_m } => self.mass_kg(depth_m) * radius_m,
            Way::Inward { radius_m } => {
                let area = FRAC_PI_4 * self.diameter_m.powi(2) * self.density_kg_m3;
                let cone = self.cone_m();
                area * depth_m * (radius_m - 0.5 * depth_m) + area * cone / 3.0 * (radius_m - depth_m - 0.25 * cone)
            }
        }
    }

    /// The fewest holes that take `unbalance_kg_m`, none deeper than `most_depth_m` at full diameter, their middles `apart_m` apart along their circle.
    ///
    /// Holes beside the heavy side take `cos` of their angle from it.
    ///
    /// # Errors
    /// [`NoPlan`].
    pub fn plan(&self, unbalance_kg_m: f64, most_depth_m: f64, apart_m: f64) -> Result<Plan, NoPlan> {
        let (Way::Along { radius_m } | Way::Inward { radius_m }) = self.way;
        let sizes = [self.diameter_m, self.density_kg_m3, radius_m, unbalance_kg_m, most_depth_m, apart_m];
        let deepest = most_depth_m + self.cone_m();
        let too_deep = matches!(self.way, Way::Inward { .. }) && deepest >= radius_m;
        if sizes.iter().any(|s| !(*s > 0.0 && s.is_finite())) || !(self.tip_rad > 0.0 && self.tip_rad <= PI) || too_deep {
            return Err(NoPlan::BadSize);
        }
        let apart = apart_m / radius_m;
        let mut most = NoPlan::BadSize;
        for holes in 1..=MOST_HOLES {
            let places: Vec<f64> = (0..holes).map(|i| (i as f64 - 0.5 * (holes as f64 - 1.0)) * apart).collect();
            let together: f64 = places.iter().map(|p| p.cos()).sum();
            let takes = |depth: f64| together * self.unbalance_kg_m(depth);
            let all = takes(most_depth_m);
            if all < unbalance_kg_m {
                most = NoPlan::TooMuch { holes, takes_kg_m: all };
                continue;
            }
            if takes(0.0) > unbalance_kg_m {
                return Err(NoPlan::TooLittle { takes_kg_m: takes(0.0) });
            }
            let depth_m = root::bracketed(|d| takes(d) - unbalance_kg_m, 0.0, most_depth_m, DEPTH_TOLERANCE * self.diameter_m)
                .map_err(|_| NoPlan::BadSize)?;
            return Ok(Plan { depth_m, to_point_m: depth_m + self.cone_m(), each_kg: self.mass_kg(depth_m), places_rad: places });
        }
        Err(most)
    }
}
