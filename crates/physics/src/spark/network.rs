//! The equations of store, coil and gap, for each way in which switches, diodes and gap may stand.

use super::{
    coil::{Coil, Load},
    ladder::{Matrix, N, State, ZERO},
};
use std::f64::consts::{PI, TAU};

/// Places in a state: current in the primary, current out of the secondary into its lead, volts of store or condenser, at the coil's
/// high-tension end, and at the plug; then 1.
pub(super) const I1: usize = 0;
pub(super) const I2: usize = 1;
pub(super) const V1: usize = 2;
pub(super) const VO: usize = 3;
pub(super) const VP: usize = 4;
pub(super) const ONE: usize = 5;

/// Time constant of lead and plug below which both ends of the lead are one [s] (own choice): ten thousandth of the fastest rise of any coil.
const ONE_END_S: f64 = 1e-10;
/// Times of a slow half swing that a pulse without a spark is followed [1] (own choice): its greatest swing is the first, which lies within one.
const FOLLOWED: f64 = 1.25;
/// Steps in the fastest swing [1] (own choice): cubic curves between them then follow it to 10⁻⁶.
const STEPS: f64 = 64.0;

/// What lets a store's current through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Switch {
    /// A thyristor alone, its gate held: open when its current comes to nothing, closed again when the coil lets it conduct.
    OneWay,
    /// The same with a diode across it for current the other way.
    BackDiode,
    /// A contact that stays closed both ways.
    Closed,
}

/// A store that is discharged into the primary.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Discharge {
    /// C [F].
    pub capacitance_f: f64,
    /// Volts on it when it is let go [V].
    pub volts: f64,
    /// Its leakage and what else drains it [S].
    pub leak_s: f64,
    /// Kind of switch.
    pub switch: Switch,
    /// Drop of switch or back diode [V].
    pub switch_v: f64,
    /// Resistance of switch and wiring [Ω].
    pub switch_ohm: f64,
    /// Drop of a diode across the store, where there is one, which takes the current over when the store is empty [V].
    pub across_v: Option<f64>,
}

/// A coil full of current that is cut off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Breaker {
    /// Volts of the supply [V].
    pub supply_v: f64,
    /// Resistance in line with the primary [Ω].
    pub series_ohm: f64,
    /// Capacitance across the contacts or the transistor [F].
    pub condenser_f: f64,
    /// Primary current at the moment it is cut off [A].
    pub current_a: f64,
    /// Volts at which a transistor holds its own side [V].
    pub clamp_v: Option<f64>,
    /// Drop of the diode within a transistor for current the other way [V].
    pub back_v: Option<f64>,
}

/// What drives the primary.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Feed {
    /// Capacitor discharge.
    Capacitor(Discharge),
    /// Inductive.
    Breaker(Breaker),
}

/// Coil, what drives it and what hangs on it.
///
/// With `D = L₁L₂(1 − k²)`, j the current out of the secondary, `p = u − R i₁` and `q = v_o + R₂ j`:
/// `i₁' = (L₂ p − M q)/D`, `j' = (M p − L₁ q)/D`, `C_o v_o' = j − (v_o − v_p)/R_s`, `C_p v_p' = (v_o − v_p)/R_s − G v_p`;
/// a store gives `u = v₁ −` drop and `C v₁' = −i₁ − G₁ v₁`, a breaker `u = V − v₁` and `C v₁' = i₁`. While the gap burns, v_p is held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circuit {
    /// The coil.
    pub coil: Coil,
    /// Lead, cap and plug.
    pub load: Load,
    /// Store or breaker.
    pub feed: Feed,
}

/// How the primary side stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Primary {
    /// Store discharges through the switch.
    Forward,
    /// Current flows back into the store.
    Backward,
    /// The diode across the empty store carries the current.
    Wheeling,
    /// No current.
    Open,
    /// Coil and condenser swing.
    Ringing,
    /// The transistor holds its voltage.
    Clamped,
    /// The transistor's diode carries the current back.
    Back,
}

/// How the gap stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Gap {
    /// No spark.
    Quiet,
    /// It burns, the plug's hot end positive or not.
    Burning { positive: bool },
}

/// Accounts that are kept, in this order.
pub(super) const ACCOUNTS: usize = 9;
const PRIMARY: usize = 0;
const SWITCH: usize = 1;
const SECONDARY: usize = 2;
const SERIES: usize = 3;
const SHUNT: usize = 4;
pub(super) const GAP: usize = 5;
const LEAK: usize = 6;
const CLAMP: usize = 7;
/// From the supply; counts as given, not as spent.
pub(super) const GIVEN: usize = 8;

/// The linear circuit in one of its states.
#[derive(Clone, Debug)]
pub(super) struct Equations {
    pub a: Matrix,
    pub accounts: [Matrix; ACCOUNTS],
    /// Current through the gap while it burns, as a linear form.
    pub gap_current: State,
    /// Voltage that the secondary induces in an open primary, as a linear form.
    pub induced: State,
}

fn unit(place: usize, value: f64) -> State {
    let mut row = [0.0; N];
    row[place] = value;
    row
}

fn sum(a: &State, b: &State, times: f64) -> State {
    std::array::from_fn(|k| a[k] + times * b[k])
}

/// Adds `times · a · b` to an account.
fn pays(account: &mut Matrix, a: &State, b: &State, times: f64) {
    for i in 0..N {
        for j in 0..N {
            account[i][j] += times * a[i] * b[j];
        }
    }
}

impl Circuit {
    /// Whether lead and plug are taken for one.
    pub(super) fn one_end(&self) -> bool {
        self.load.series_ohm * self.load.plug_f < ONE_END_S
    }

    /// Capacitance at the coil's end and at the plug [F]; one end: all at the first.
    pub(super) fn ends_f(&self) -> (f64, f64) {
        let coil = self.coil.winding_f + self.load.lead_f;
        if self.one_end() { (coil + self.load.plug_f, 0.0) } else { (coil, self.load.plug_f) }
    }

    /// Capacitance on the primary's side [F].
    pub(super) fn store_f(&self) -> f64 {
        match self.feed {
            Feed::Capacitor(d) => d.capacitance_f,
            Feed::Breaker(b) => b.condenser_f,
        }
    }

    /// The state in which everything begins.
    pub(super) fn start(&self) -> (State, Primary) {
        let mut x = unit(ONE, 1.0);
        match self.feed {
            Feed::Capacitor(d) => {
                x[V1] = d.volts;
                (x, Primary::Forward)
            }
            Feed::Breaker(b) => {
                x[I1] = b.current_a;
                (x, Primary::Ringing)
            }
        }
    }

    /// Longest step [s].
    pub(super) fn step_s(&self) -> f64 {
        self.fastest_s() / STEPS
    }

    /// A time that no swing of coil and capacitances falls below [s]: `2π/ω`, `ω² = (1/L₁C₁ + 1/L₂C_o)/(1 − k²)`.
    pub fn fastest_s(&self) -> f64 {
        let c = &self.coil;
        let fast =
            (1.0 / (c.primary_h * self.store_f()) + 1.0 / (c.secondary_h() * self.ends_f().0)) / (1.0 - c.coupling * c.coupling);
        TAU / fast.sqrt()
    }

    /// Time within which the greatest swing without a spark comes [s]: a quarter more than half of the slow swing of the whole.
    pub fn first_swing_s(&self) -> f64 {
        FOLLOWED * self.slow_s()
    }

    /// Half a swing of the whole [s], the slow one: `π √(L₁ (C₁ + n² C₂))`.
    pub(super) fn slow_s(&self) -> f64 {
        let (end, plug) = self.ends_f();
        let turns = self.coil.turns;
        PI * (self.coil.primary_h * (self.store_f() + turns * turns * (end + plug))).sqrt()
    }

    /// Energy in coil and capacitances [J].
    pub(super) fn held_j(&self, x: &State) -> f64 {
        let c = &self.coil;
        let (end, plug) = self.ends_f();
        let coil = c.primary_h * x[I1] * x[I1] + c.secondary_h() * x[I2] * x[I2] - 2.0 * c.mutual_h() * x[I1] * x[I2];
        0.5 * (coil + self.store_f() * x[V1] * x[V1] + end * x[VO] * x[VO] + plug * x[VP] * x[VP])
    }

    pub(super) fn equations(&self, primary: Primary, gap: Gap) -> Equations {
        let (mut a, mut accounts) = (ZERO, [ZERO; ACCOUNTS]);
        let i1 = unit(I1, 1.0);
        let (drive, ohm) = self.primary_side(primary, &mut a, &mut accounts);
        pays(&mut accounts[PRIMARY], &i1, &i1, self.coil.primary_ohm);
        // p and q.
        let c = &self.coil;
        let (l1, l2, m) = (c.primary_h, c.secondary_h(), c.mutual_h());
        let p = sum(&drive, &i1, -(ohm + c.primary_ohm));
        let q = sum(&unit(VO, 1.0), &unit(I2, 1.0), c.secondary_ohm);
        if primary == Primary::Open {
            a[I2] = q.map(|x| -x / l2);
        } else {
            let d = l1 * l2 * (1.0 - c.coupling * c.coupling);
            for k in 0..N {
                a[I1][k] = (l2 * p[k] - m * q[k]) / d;
                a[I2][k] = (m * p[k] - l1 * q[k]) / d;
            }
        }
        pays(&mut accounts[SECONDARY], &unit(I2, 1.0), &unit(I2, 1.0), c.secondary_ohm);
        let gap_current = self.plug_side(gap, &mut a, &mut accounts);
        let induced = a[I2].map(|x| -m * x);
        Equations { a, accounts, gap_current, induced }
    }

    /// Rows of store or condenser; what drives the primary, and the resistance in line with it.
    fn primary_side(&self, primary: Primary, a: &mut Matrix, accounts: &mut [Matrix; ACCOUNTS]) -> (State, f64) {
        let (i1, v1, one) = (unit(I1, 1.0), unit(V1, 1.0), unit(ONE, 1.0));
        match self.feed {
            Feed::Capacitor(d) => {
                let drop = match primary {
                    Primary::Forward => d.switch_v,
                    Primary::Backward => -d.switch_v,
                    _ => d.switch_v + d.across_v.unwrap_or(0.0),
                };
                match primary {
                    Primary::Wheeling => {}
                    Primary::Open => a[V1] = unit(V1, -d.leak_s / d.capacitance_f),
                    _ => a[V1] = sum(&unit(I1, -1.0 / d.capacitance_f), &unit(V1, -d.leak_s / d.capacitance_f), 1.0),
                }
                if primary != Primary::Open {
                    pays(&mut accounts[SWITCH], &i1, &i1, d.switch_ohm);
                    pays(&mut accounts[SWITCH], &i1, &one, drop);
                }
                if primary == Primary::Wheeling {
                    return (unit(ONE, -drop), d.switch_ohm);
                }
                pays(&mut accounts[LEAK], &v1, &v1, d.leak_s);
                (sum(&v1, &one, -drop), d.switch_ohm)
            }
            Feed::Breaker(b) => {
                if primary == Primary::Ringing {
                    a[V1] = unit(I1, 1.0 / b.condenser_f);
                } else {
                    pays(&mut accounts[CLAMP], &i1, &v1, 1.0);
                }
                pays(&mut accounts[SWITCH], &i1, &i1, b.series_ohm);
                pays(&mut accounts[GIVEN], &i1, &one, b.supply_v);
                (sum(&unit(ONE, b.supply_v), &v1, -1.0), b.series_ohm)
            }
        }
    }

    /// Rows of the coil's end and of the plug; the current through a burning gap.
    fn plug_side(&self, gap: Gap, a: &mut Matrix, accounts: &mut [Matrix; ACCOUNTS]) -> State {
        let (end, plug) = self.ends_f();
        let (vp, j) = (unit(VP, 1.0), unit(I2, 1.0));
        let through_lead = if self.one_end() {
            j
        } else {
            let over = sum(&unit(VO, 1.0), &vp, -1.0);
            pays(&mut accounts[SERIES], &over, &over, 1.0 / self.load.series_ohm);
            over.map(|x| x / self.load.series_ohm)
        };
        pays(&mut accounts[SHUNT], &vp, &vp, self.load.shunt_s);
        let past_shunt = sum(&through_lead, &vp, -self.load.shunt_s);
        let quiet = gap == Gap::Quiet;
        if !quiet {
            pays(&mut accounts[GAP], &vp, &past_shunt, 1.0);
        }
        match (self.one_end(), quiet) {
            (true, true) => {
                a[VO] = past_shunt.map(|x| x / end);
                a[VP] = a[VO];
            }
            (true, false) => {}
            (false, _) => {
                a[VO] = sum(&j, &through_lead, -1.0).map(|x| x / end);
                if quiet {
                    a[VP] = past_shunt.map(|x| x / plug);
                }
            }
        }
        past_shunt
    }

    /// Linear forms that stay above nothing while the primary side stands as it does.
    pub(super) fn watched(&self, primary: Primary, equations: &Equations) -> Vec<State> {
        let above = |place: usize, less: f64| sum(&unit(place, 1.0), &unit(ONE, 1.0), -less);
        match (self.feed, primary) {
            (Feed::Capacitor(d), Primary::Forward) => {
                let mut watch = vec![unit(I1, 1.0)];
                watch.extend(d.across_v.map(|drop| above(V1, -drop)));
                watch
            }
            (_, Primary::Backward | Primary::Back) => vec![unit(I1, -1.0)],
            (_, Primary::Wheeling | Primary::Clamped) => vec![unit(I1, 1.0)],
            (Feed::Capacitor(d), Primary::Open) => {
                // What the secondary induces lets the switch conduct again, forward or by its diode.
                let mut watch = vec![sum(&equations.induced, &above(V1, d.switch_v), -1.0)];
                let back = || sum(&above(V1, -d.switch_v), &equations.induced, -1.0);
                watch.extend((d.switch == Switch::BackDiode).then(back));
                watch
            }
            (Feed::Breaker(b), Primary::Ringing) => {
                let clamp = b.clamp_v.map(|v| above(V1, v).map(|x| -x));
                clamp.into_iter().chain(b.back_v.map(|drop| above(V1, -drop))).collect()
            }
            _ => Vec::new(),
        }
    }

    /// How the primary side stands after one of the watched forms fell below nothing; what is exact at that moment is made so.
    pub(super) fn changed(&self, primary: Primary, which: usize, x: &mut State) -> Primary {
        match (self.feed, primary) {
            (Feed::Capacitor(d), Primary::Forward) if which == 1 => {
                x[V1] = -d.across_v.unwrap_or(0.0);
                Primary::Wheeling
            }
            (Feed::Capacitor(d), Primary::Forward | Primary::Wheeling) => {
                x[I1] = 0.0;
                if d.switch == Switch::OneWay { Primary::Open } else { Primary::Backward }
            }
            (Feed::Capacitor(d), Primary::Backward) => {
                x[I1] = 0.0;
                if d.switch == Switch::Closed { Primary::Forward } else { Primary::Open }
            }
            (Feed::Capacitor(_), _) => {
                if which == 0 {
                    Primary::Forward
                } else {
                    Primary::Backward
                }
            }
            (Feed::Breaker(b), Primary::Ringing) => {
                let clamp = b.clamp_v.filter(|_| which == 0);
                if let Some(clamp) = clamp {
                    x[V1] = clamp;
                    Primary::Clamped
                } else {
                    x[V1] = -b.back_v.unwrap_or(0.0);
                    Primary::Back
                }
            }
            (Feed::Breaker(_), _) => {
                x[I1] = 0.0;
                Primary::Ringing
            }
        }
    }
}
