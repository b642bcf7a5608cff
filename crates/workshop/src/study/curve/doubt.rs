//! How uncertain a cylinder's law is: random draws of it, and the ± of its advance.

use super::given::Given;
use physics::fit::{Family, Spread};
use physics::law::Law;
use quantity::CrankAngle;

/// A cylinder's law as a function of uncertain numbers.
///
/// All cylinders of one study share the same numbers in the same order, so the same normal numbers given to each of them
/// draw one and the same engine.
#[derive(Clone, Debug, Default)]
pub struct Doubt(Option<Box<Inner>>);

#[derive(Clone, Debug)]
struct Inner {
    spread: Spread,
    recipe: Recipe,
    /// Which sensor the cylinder hangs on.
    sensor: usize,
    /// Half-width of the 95 % interval in standard deviations.
    coverage: f64,
}

#[derive(Clone, Debug)]
pub(super) enum Recipe {
    Given(Given),
    /// A fitted family, followed by one place for each sensor in the list that the readings say nothing about.
    Fitted {
        family: Family,
        unread: Vec<usize>,
    },
}

impl Recipe {
    fn law(&self, v: &[f64], sensor: usize) -> Option<Law> {
        match self {
            Recipe::Given(given) => given.law(v, sensor),
            Recipe::Fitted { family, unread } => {
                let own = family.parameters();
                let law = family.law(&v[..own], sensor)?;
                let place = unread.iter().position(|s| *s == sensor).map_or(0.0, |i| v[own + i]);
                Some(law.shifted(CrankAngle::from_radians(place)))
            }
        }
    }
}

/// What one of the normal numbers of a draw stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Origin {
    /// The strobe readings that a law was fitted to.
    Readings,
    /// Numbers of the law in the file.
    Law,
    /// The segment: lead, length, rim diameter.
    Segment,
    /// Where the pickups stand.
    Places,
}

/// Halvings of a draw's deviations before the stated law is taken [1]; after 20 they are below a millionth.
const HALVINGS: u32 = 20;

impl Doubt {
    pub(super) fn new(spread: Spread, recipe: Recipe, sensor: usize, coverage: f64) -> Self {
        Self(Some(Box::new(Inner { spread, recipe, sensor, coverage })))
    }

    /// Number of standard normal numbers that a draw takes.
    pub fn normals(&self) -> usize {
        self.0.as_ref().map_or(0, |d| d.spread.len())
    }

    /// What each of those numbers stands for.
    pub fn origins(&self) -> Vec<Origin> {
        self.0.as_ref().map_or_else(Vec::new, |d| {
            let own = match &d.recipe {
                Recipe::Given(given) => given.origins(),
                Recipe::Fitted { family, .. } => vec![Origin::Readings; family.parameters()],
            };
            let places = d.spread.len().saturating_sub(own.len());
            own.into_iter().chain(std::iter::repeat_n(Origin::Places, places)).collect()
        })
    }

    /// A draw. A draw that makes no law (start speed above full speed, say) is brought back half-way to the stated numbers
    /// until it does. `None` where nothing is uncertain.
    pub fn draw(&self, normals: &[f64]) -> Option<Law> {
        let d = self.0.as_ref()?;
        (0..HALVINGS).find_map(|i| d.recipe.law(&d.spread.draw(normals, 0.5f64.powi(i as i32)), d.sensor))
    }

    /// The law itself.
    pub(super) fn stated(&self) -> Option<Law> {
        let d = self.0.as_ref()?;
        d.recipe.law(d.spread.mean(), d.sensor)
    }

    /// Half-width of the 95 % interval in standard deviations.
    pub(super) fn coverage(&self) -> f64 {
        self.0.as_ref().map_or(0.0, |d| d.coverage)
    }

    /// Laws one standard deviation up and down along each independent direction of the doubt.
    pub fn margins(&self) -> Margins {
        let pairs = self.0.as_ref().map_or_else(Vec::new, |d| {
            let law = |v: &[f64]| d.recipe.law(v, d.sensor);
            d.spread.steps().iter().filter_map(|(up, down)| Some((law(up)?, law(down)?))).collect()
        });
        Margins { pairs, coverage: self.coverage() }
    }
}

/// Gives the ± of the advance at any speed.
#[derive(Clone, Debug)]
pub struct Margins {
    pairs: Vec<(Law, Law)>,
    coverage: f64,
}

impl Margins {
    /// Standard uncertainty of the advance [rad] at a crank speed [rad/s]; speed held.
    pub fn standard_rad(&self, speed_rad_s: f64) -> f64 {
        let half = |(up, down): &(Law, Law)| 0.5 * (up.advance(speed_rad_s) - down.advance(speed_rad_s)).radians();
        self.pairs.iter().map(|p| half(p).powi(2)).sum::<f64>().sqrt()
    }

    /// Half-width of the 95 % interval of the advance [rad].
    pub fn plus_minus_rad(&self, speed_rad_s: f64) -> f64 {
        self.coverage * self.standard_rad(speed_rad_s)
    }
}
