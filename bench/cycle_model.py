"""The working cycle of one cylinder with its own runner, written down from its equations for Numba and SciPy.

Shares nothing with the crates but the equations and their constants: the gas data come from Cantera's files, the front area
from integrals of its own, powers and logarithms from the C library. What is computed is the engine `motorcycle(45, 1)` of
`crates/physics/tests/common/mod.rs`. SI throughout; crank angle in rad after firing top dead centre.

State y of one cylinder and its runner:
    0 m      mass in the cylinder              9  m_r   mass in the runner
    1 T      its mean temperature              10 T_r   its temperature
    2 b      burned mass fraction              11 b_r   its burned fraction
    3 x      share burned by this flame        12 mass drawn through the throttle
    4 e      share behind the flame front      13 enthalpy drawn (kept so that the work is that of the program)
    5 T_u    unburned gas                      14 pressure of the runner over angle
    6 T_x    pocket in the exhaust port        15 heat to the walls
    7 b_x    its burned fraction               16 enthalpy out through the exhaust valve
    8 work on the piston                       17 mass out through it

Balances, per unit of angle (ω speed, flows positive as named):
    dm = (ṁ_in − ṁ_ex)/ω
    db = Σ ṁ (b_up − b)/(m ω) + (1 − residual) dx
    m cv dT = Σ ṁ (h_up − u)/ω − q/ω − p dV − m (u_burned − u_fresh) db
    dT_u = R_u T_u/cp_u · d ln p − (film of the walls)/(ρ_u V cp_u)
"""

import math
import pathlib

import cantera as ct
import numpy as np
from numba import njit, prange
from scipy.optimize import brentq



def peak_mb():
    """Peak resident memory of this process."""
    status = pathlib.Path("/proc/self/status")
    lines = status.read_text().splitlines() if status.exists() else []
    return next((int(line.split()[1]) / 1024 for line in lines if line.startswith("VmHWM")), float("nan"))


# ---- engine: motorcycle(45°, burn factor 1)
BORE, STROKE, ROD, RATIO = 0.062, 0.0596, 0.12, 9.3
DEG = math.pi / 180.0
INLET_OPENS, INLET_CLOSES = 2.0 * math.pi - 45.0 * DEG, 3.0 * math.pi + 70.0 * DEG
EXHAUST_OPENS, EXHAUST_CLOSES = math.pi - 70.0 * DEG, 2.0 * math.pi + 45.0 * DEG
INLET_D, INLET_LIFT, EXHAUST_D, EXHAUST_LIFT = 0.028, 0.0085, 0.024, 0.008
RUNNER, PHI, BURN_FACTOR = 60e-6, 1.1, 1.0
P_AMBIENT, T_AMBIENT = 101_325.0, 298.15

# ---- sub-models: the constants of crates/physics/src, each with its source there
DISCHARGE, GAMMA_IN, GAMMA_EX = 0.65, 1.35, 1.30
T_WALL, PLUG_OFFSET, PORT_SHARE, T_PORT = 450.0, 0.4, 0.5, 800.0
KERNEL = 1.0e-3
U_PRIME, EDDY, GULDER, STRAINED, MU, MU_POWER = 0.5, 0.2, 0.62, 15.0, 3.3e-7, 0.7
WOSCHNI_OPEN, WOSCHNI_CLOSED, WOSCHNI_BURN, MOTORED = 6.18, 2.28, 3.24e-3, 1.3
WATER_GAS = 3.5

# ---- geometry
PISTON = math.pi / 4.0 * BORE**2
SWEPT = PISTON * STROKE
CLEARANCE = SWEPT / (RATIO - 1.0)
RADIUS = BORE / 2.0


@njit(cache=True)
def volume_and_rate(a):
    """Slider-crank without offset: V = V_c + A (r + l − r cos a − √(l² − r² sin² a)), and dV/da."""
    r = 0.5 * STROKE
    root = math.sqrt(ROD**2 - (r * math.sin(a)) ** 2)
    v = CLEARANCE + PISTON * (r + ROD - r * math.cos(a) - root)
    return v, PISTON * r * math.sin(a) * (1.0 + r * math.cos(a) / root)


@njit(cache=True)
def valve_area(a, opens, closes, diameter, lift):
    """C_d · min(π D L, π D²/4) with L a raised cosine between opening and closing."""
    since = (a - opens) % (4.0 * math.pi)
    if since >= closes - opens:
        return 0.0
    raised = lift * 0.5 * (1.0 - math.cos(2.0 * math.pi * since / (closes - opens)))
    return DISCHARGE * math.pi * diameter * min(raised, 0.25 * diameter)


# ---- gas, from Cantera's copy of NASA TM-4513
def _gas(moles):
    """(R, coefficients below 1000 K, above) of a mixture, mass based; rows as u = a5 + T (a0 + T (a1/2 + ...)), cv = a0 + ..."""
    species = {s.name: s for s in ct.Species.list_from_file("nasa_gas.yaml") if s.name in moles}
    mass = sum(n * species[k].molecular_weight for k, n in moles.items())  # kg per kmol of the sum
    r = ct.gas_constant * sum(moles.values()) / mass
    low, high = np.zeros(6), np.zeros(6)
    for k, n in moles.items():
        c = species[k].thermo.coeffs  # T_mid, seven above, seven below
        assert c[0] == 1000.0 or np.array_equal(c[1:7], c[8:14]), k
        high += n * ct.gas_constant / mass * c[1:7]
        low += n * ct.gas_constant / mass * c[8:14]
    low[0] -= r
    high[0] -= r
    return r, low, high


AIR = {"N2": 0.7808, "O2": 0.20946, "Ar": 0.00934, "CO2": 0.0004}
FUEL = PHI * AIR["O2"] / 12.5  # moles of C8H18 for a mole of air


def _burned():
    """Products of rich combustion: all atoms kept, [H2O][CO]/([CO2][H2]) = 3.5."""
    carbon, hydrogen2, oxygen = 8.0 * FUEL, 9.0 * FUEL, 2.0 * AIR["O2"]

    def parts(co2):
        co = carbon - co2
        h2o = oxygen - co - 2.0 * co2
        return co2, co, h2o, hydrogen2 - h2o

    def balance(co2):
        co2, co, h2o, h2 = parts(co2)
        return h2o * co - WATER_GAS * co2 * h2

    # Between no hydrogen left and no carbon monoxide left.
    low = oxygen - carbon - hydrogen2
    co2, co, h2o, h2 = parts(brentq(balance, max(low, 0.0), min(carbon, oxygen - carbon), xtol=1e-16))
    return {"N2": AIR["N2"], "Ar": AIR["Ar"], "CO2": AIR["CO2"] + co2, "CO": co, "H2O": h2o, "H2": h2}


R_F, F_LOW, F_HIGH = _gas({**AIR, "C8H18,isooctane": FUEL})
R_B, B_LOW, B_HIGH = _gas(_burned())


@njit
def gas(t, b):
    """u, cv, R and u_burned − u_fresh of a mixture with burned mass fraction b at T."""
    f = F_LOW if t < 1000.0 else F_HIGH
    g = B_LOW if t < 1000.0 else B_HIGH
    uf = f[5] + t * (f[0] + t * (f[1] / 2 + t * (f[2] / 3 + t * (f[3] / 4 + t * f[4] / 5))))
    ub = g[5] + t * (g[0] + t * (g[1] / 2 + t * (g[2] / 3 + t * (g[3] / 4 + t * g[4] / 5))))
    cf = f[0] + t * (f[1] + t * (f[2] + t * (f[3] + t * f[4])))
    cb = g[0] + t * (g[1] + t * (g[2] + t * (g[3] + t * g[4])))
    return uf + b * (ub - uf), cf + b * (cb - cf), R_F + b * (R_B - R_F), ub - uf


RT_AMBIENT = R_F * T_AMBIENT
H_AMBIENT = gas(T_AMBIENT, 0.0)[0] + RT_AMBIENT
PORT_MASS = PORT_SHARE * P_AMBIENT * SWEPT / (R_B * T_PORT)

# ---- flow
CRIT_IN = (2.0 / (GAMMA_IN + 1.0)) ** (GAMMA_IN / (GAMMA_IN - 1.0))
CRIT_EX = (2.0 / (GAMMA_EX + 1.0)) ** (GAMMA_EX / (GAMMA_EX - 1.0))


@njit
def psi(ratio, gamma, critical, linear):
    """√(2γ/(γ−1) (r^(2/γ) − r^((γ+1)/γ))), choked below the critical ratio, straight to nothing above 1 − linear."""
    r = min(max(ratio, critical), 1.0 - linear)
    root = r ** (1.0 / gamma)
    value = math.sqrt(2.0 * gamma / (gamma - 1.0) * root * (root - r))
    return value * (1.0 - ratio) / linear if ratio > 1.0 - linear else value


@njit
def orifice(area, p1, rt1, p2, rt2, gamma, critical, linear):
    """Mass flow from side 1 to side 2."""
    if p1 < p2:
        return -area * p2 / math.sqrt(rt2) * psi(p1 / p2, gamma, critical, linear)
    return area * p1 / math.sqrt(rt1) * psi(p2 / p1, gamma, critical, linear)


# ---- flame front: sphere from a plug in the roof of a flat cylinder, lengths in bore radii
HEIGHTS, SHARES, SLICES, RADII = 160, 400, 1500, 1000
H_LEAST, H_MOST = 0.05, 8.0


@njit(parallel=True, cache=True)
def _front_table():
    """Area of the front over ln height and the cube root of the share of volume behind it."""
    table = np.zeros((HEIGHTS + 1, SHARES + 1))
    d = PLUG_OFFSET
    for k in prange(HEIGHTS + 1):
        h = H_LEAST * (H_MOST / H_LEAST) ** (k / HEIGHTS)
        reach = math.sqrt((1.0 + d) ** 2 + h * h)
        area, cube = np.zeros(RADII + 1), np.zeros(RADII + 1)
        for i in range(1, RADII + 1):
            r = reach * i / RADII
            depth = min(r, h)
            a = v = 0.0
            for j in range(SLICES):
                z = (j + 0.5) * depth / SLICES
                c = math.sqrt(r * r - z * z)  # the slice is a disc of this radius, d off the axis
                if c <= 1.0 - d:
                    arc, disc = 2.0 * math.pi, math.pi * c * c
                elif c >= 1.0 + d:
                    arc, disc = 0.0, math.pi
                else:
                    # Two overlapping circles: half angles seen from either centre, and the lens between them.
                    x = math.acos((c * c + d * d - 1.0) / (2.0 * c * d))
                    y = math.acos((1.0 + d * d - c * c) / (2.0 * d))
                    arc = 2.0 * x
                    disc = c * c * (x - 0.5 * math.sin(2.0 * x)) + (y - 0.5 * math.sin(2.0 * y))
                a += arc * r * depth / SLICES
                v += disc * depth / SLICES
            area[i] = a
            cube[i] = (v / (math.pi * h)) ** (1.0 / 3.0)
        cube[RADII] = 1.0
        area[RADII] = 0.0
        table[k] = np.interp(np.linspace(0.0, 1.0, SHARES + 1), cube, area)
    return table


FRONT = _front_table()


@njit
def front_area(height, share):
    """Area in m² for a chamber height in m and the share of its volume behind the front."""
    x = math.log(height / RADIUS / H_LEAST) / math.log(H_MOST / H_LEAST) * HEIGHTS
    x = min(max(x, 0.0), HEIGHTS - 1e-9)
    y = min(max(share, 1e-12), 1.0) ** (1.0 / 3.0) * SHARES
    i, j = int(x), min(int(y), SHARES - 1)
    f, g = x - i, y - j
    low = FRONT[i, j] + g * (FRONT[i, j + 1] - FRONT[i, j])
    high = FRONT[i + 1, j] + g * (FRONT[i + 1, j + 1] - FRONT[i + 1, j])
    return RADIUS**2 * (low + f * (high - low))


# ---- burning speed
S_BASE = (26.32 - 84.72 * (PHI - 1.13) ** 2) * 1e-2
S_ALPHA, S_BETA = 2.18 - 0.8 * (PHI - 1.0), -0.16 + 0.22 * (PHI - 1.0)


@njit
def dilution(b):
    """Rhodes & Keck, 1 − 2.06 x^0.77 with the mole fraction x of burned gas of mass fraction b."""
    mole = b * R_B / (R_F + b * (R_B - R_F))
    return max(1.0 - 2.06 * max(mole, 1e-9) ** 0.77, 0.0)


V_IVC = volume_and_rate(INLET_CLOSES)[0]

# What is remembered from inlet closing and spark: indices of `mem`.
RESIDUAL, DILUTION, DENSITY_TOP, P_CLOSING, BURNING = range(5)
STATES = 18


@njit
def rates(a, y, dy, speed, throttle, spark, lit, mem, closed, v, dv, a_in, a_ex, linear):
    """dy/da at crank angle a; `lit` is 1 while a flame may burn, or the share of a time step after the spark."""
    m, t, b = y[0], y[1], y[2]
    u, cv, r, du = gas(t, b)
    p = m * r * t / v
    h = u + r * t
    t_r, b_r = y[10], y[11]
    u_r, cv_r, r_r, du_r = gas(t_r, b_r)
    p_r = y[9] * r_r * t_r / RUNNER
    h_r = u_r + r_r * t_r

    # Throttle, inlet, exhaust; each gas carries the enthalpy and composition of the side it comes from.
    drawn = orifice(throttle, P_AMBIENT, RT_AMBIENT, p_r, r_r * t_r, GAMMA_IN, CRIT_IN, linear) / speed
    h_drawn, b_drawn = (h_r, b_r) if drawn < 0.0 else (H_AMBIENT, 0.0)
    mass_r, energy_r, burned_r = drawn, drawn * (h_drawn - u_r), drawn * (b_drawn - b_r)
    mass = energy = burned = 0.0
    if a_in > 0.0:
        flow = orifice(a_in, p_r, r_r * t_r, p, r * t, GAMMA_IN, CRIT_IN, linear) / speed
        h_up, b_up = (h, b) if flow < 0.0 else (h_r, b_r)
        mass, energy, burned = flow, flow * (h_up - u), flow * (b_up - b)
        mass_r -= flow
        energy_r -= flow * (h_up - u_r)
        burned_r -= flow * (b_up - b_r)
    dy[6] = dy[7] = dy[16] = dy[17] = 0.0
    if a_ex > 0.0:
        t_x, b_x = y[6], y[7]
        r_x = R_F + b_x * (R_B - R_F)
        flow = orifice(a_ex, p, r * t, P_AMBIENT, r_x * t_x, GAMMA_EX, CRIT_EX, linear) / speed
        if flow < 0.0:
            h_up, b_up = gas(t_x, b_x)[0] + r_x * t_x, b_x
        else:
            h_up, b_up = h, b
            dy[6] = flow / PORT_MASS * (t - t_x)
            dy[7] = flow / PORT_MASS * (b - b_x)
        mass -= flow
        energy -= flow * (h_up - u)
        burned -= flow * (b_up - b)
        dy[16], dy[17] = flow * h_up, flow

    # Woschni: 3.26 B^-0.2 p^0.8 T^-0.55 w^0.8, p in kPa.
    piston_speed = STROKE * speed / math.pi
    w = WOSCHNI_OPEN * piston_speed
    if closed:
        motored = mem[P_CLOSING] * (V_IVC / v) ** MOTORED
        w = WOSCHNI_CLOSED * piston_speed + max(mem[BURNING] * (p - motored), 0.0)
    coefficient = 3.26 * BORE**-0.2 * (1e-3 * p * w) ** 0.8 * t**-0.55
    height = v / PISTON
    film = coefficient * (2.0 * PISTON + 2.0 * math.pi * RADIUS * height) / speed
    heat = film * (t - T_WALL)

    # Flame.
    dy[3] = dy[4] = dy[5] = 0.0
    t_u = y[5]
    if lit > 0.0:
        _, cv_u, r_u, _ = gas(t_u, mem[RESIDUAL])
        density = p / (r_u * t_u)
        laminar = BURN_FACTOR * mem[DILUTION] * S_BASE * (t_u / 298.0) ** S_ALPHA * (p / 101_325.0) ** S_BETA
        squeeze = (density / mem[DENSITY_TOP]) ** (1.0 / 3.0)
        turbulent = U_PRIME * piston_speed * squeeze
        eddy = EDDY * CLEARANCE / PISTON / squeeze
        reynolds = density * turbulent * eddy / (MU * t_u**MU_POWER)
        wrinkled = GULDER * math.sqrt(turbulent * laminar) * reynolds**0.25
        microscale = eddy * math.sqrt(STRAINED / reynolds)
        since = max(a - spark, 0.0) / speed
        grown = 1.0 - math.exp(-since * turbulent / eddy)
        x, e = y[3], y[4]
        unburned_volume = (1.0 - e) * m / density
        behind = max(v - unburned_volume, e * m / density)
        entering = density * front_area(height, behind / v) / m
        dy[3] = lit / speed * (entering * laminar + (e - x) * laminar / microscale)
        dy[4] = lit / speed * entering * (laminar + wrinkled * grown)

    dy[0] = mass
    # What the flame takes was fresh, but no more than the fresh gas left where burned gas has come back.
    left = (1.0 - b) / max(1.0 - y[3], 1e-6)
    dy[2] = burned / m + min(left, 1.0 - mem[RESIDUAL]) * dy[3]
    dy[8] = p * dv
    dy[15] = heat
    dy[1] = ((energy - heat - p * dv) / m - du * dy[2]) / cv
    if lit > 0.0:
        d_ln_p = mass / m + (R_B - R_F) * dy[2] / r + dy[1] / t - dv / v
        cp_u = cv_u + r_u
        dy[5] = r_u * t_u / cp_u * d_ln_p - film * (t_u - T_WALL) / (density * v * cp_u)
    dy[9] = mass_r
    dy[11] = burned_r / y[9]
    dy[10] = (energy_r / y[9] - du_r * dy[11]) / cv_r
    dy[12] = drawn
    dy[13] = drawn * h_drawn
    dy[14] = p_r


@njit
def start(y, speed, throttle):
    """Cylinder full of exhaust gas at ambient pressure, runner of fresh gas at the pressure that feeds the displacement."""
    y[:] = 0.0
    v, _ = volume_and_rate(-2.0 * math.pi)
    y[0] = P_AMBIENT * v / (R_B * 1000.0)
    y[1] = y[5] = y[6] = 1000.0
    y[2] = y[7] = 1.0
    low, high = 0.05, 1.0
    for _ in range(12):
        middle = 0.5 * (low + high)
        if throttle * math.sqrt(RT_AMBIENT) * psi(middle, GAMMA_IN, CRIT_IN, 0.02) > middle * SWEPT * speed / (4.0 * math.pi):
            low = middle
        else:
            high = middle
    y[9] = low * P_AMBIENT * RUNNER / RT_AMBIENT
    y[10] = T_AMBIENT


@njit
def pressure(y, v):
    """In the cylinder."""
    return y[0] * (R_F + y[2] * (R_B - R_F)) * y[1] / v


@njit
def at_inlet_closing(y, mem, v):
    """What the heat and the flame need to remember."""
    mem[DENSITY_TOP] = y[0] / CLEARANCE
    mem[P_CLOSING] = pressure(y, v)
    mem[BURNING] = WOSCHNI_BURN * SWEPT * y[1] / (mem[P_CLOSING] * v)


@njit
def at_spark(y, mem, v):
    """The charge as it is lit: a half sphere of 1 mm radius."""
    mem[RESIDUAL] = y[2]
    mem[DILUTION] = dilution(y[2])
    y[5] = y[1]
    y[3] = y[4] = 2.0 / 3.0 * math.pi * KERNEL**3 / v
