//! The torque surface: gas torque of one cylinder over speed, throttle opening and advance.

/// The points at which the surface is computed. Each axis rises strictly.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    /// Crank speeds [rad/s].
    pub speed_rad_s: Vec<f64>,
    /// Effective flow areas of the throttle [m²] (per throttle).
    pub opening_m2: Vec<f64>,
    /// Advances [rad before top dead centre].
    pub advance_rad: Vec<f64>,
}

/// Steady-state results of the working cycle on a [`Grid`], index `(speed · openings + opening) · advances + advance`.
#[derive(Clone, Debug, PartialEq)]
pub struct Surface {
    /// Where it was computed.
    pub grid: Grid,
    /// Mean torque of the gas on the crank over the whole cycle, gas exchange included, one cylinder [N·m].
    pub gas_torque_nm: Vec<f64>,
    /// Air and fuel drawn per second, one cylinder [kg/s].
    pub charge_kg_s: Vec<f64>,
    /// Share of burned gas in the charge at inlet closing [1].
    pub residual: Vec<f64>,
    /// Share of grid points that did not settle within the stated tolerance [1].
    pub unsettled: f64,
}

impl Surface {
    /// Mean gas torque of one cylinder [N·m] by local cubic interpolation; outside the grid the nearest edge holds.
    pub fn gas_torque(&self, _speed_rad_s: f64, _opening_m2: f64, _advance_rad: f64) -> f64 {
        todo!()
    }
}
