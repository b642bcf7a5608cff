//! What is integrated, and in which place of a state it stands.

/// Integrated quantities of one cylinder.
pub mod cyl {
    /// Mass in the cylinder [kg].
    pub const MASS: usize = 0;
    /// Its energy, formation included [J].
    pub const ENERGY: usize = 1;
    /// Mass of burned gas in it, residual included [kg].
    pub const BURNED: usize = 2;
    /// Mean temperature [K], carried along so that energy need be solved for it only to first order.
    pub const T: usize = 3;
    /// Share of the charge burned by this cycle's flame.
    pub const FLAME: usize = 4;
    /// Share of the charge behind the flame front, burned or not.
    pub const ENTERED: usize = 5;
    /// Temperature of the unburned gas [K].
    pub const T_UNBURNED: usize = 6;
    /// Temperature of the pocket in the exhaust port [K].
    pub const T_PORT: usize = 7;
    /// Burned fraction there.
    pub const BURNED_PORT: usize = 8;
    /// Work done on the piston [J].
    pub const WORK: usize = 9;
    /// Heat to the walls [J].
    pub const HEAT: usize = 10;
    /// Enthalpy that has left through the exhaust valve, net [J].
    pub const ENTHALPY_OUT: usize = 11;
    /// Mass that has left through the exhaust valve, net [kg].
    pub const MASS_OUT: usize = 12;
    /// Count.
    pub const COUNT: usize = 13;
}

/// Integrated quantities of the runner or plenum.
pub mod run {
    /// Mass [kg].
    pub const MASS: usize = 0;
    /// Energy [J].
    pub const ENERGY: usize = 1;
    /// Mass of burned gas [kg].
    pub const BURNED: usize = 2;
    /// Temperature [K].
    pub const T: usize = 3;
    /// Mass drawn through the throttle [kg].
    pub const DRAWN: usize = 4;
    /// Enthalpy drawn through the throttle [J].
    pub const ENTHALPY_IN: usize = 5;
    /// Time integral of pressure over angle [Pa·rad].
    pub const PRESSURE: usize = 6;
    /// Count.
    pub const COUNT: usize = 7;
}

/// What a lane holds at the end of a cycle: mass, energy, burned mass and temperature of each cylinder, temperature and burned share in its port, and the
/// first three and temperature of the runner.
#[derive(Clone, Copy)]
pub struct Contents<const CYL: usize> {
    /// Of each cylinder.
    pub cyl: [[f64; 6]; CYL],
    /// Of the runner.
    pub run: [f64; 4],
}

/// Places of a cylinder's contents among its accounts.
pub const HELD: [usize; 6] = [cyl::MASS, cyl::ENERGY, cyl::BURNED, cyl::T, cyl::T_PORT, cyl::BURNED_PORT];
/// The same of the runner.
pub const HELD_RUN: [usize; 4] = [run::MASS, run::ENERGY, run::BURNED, run::T];
