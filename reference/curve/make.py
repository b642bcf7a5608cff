"""Outside values for geometry, laws and fits, written beside this file.

Run: python3 reference/curve/make.py     (numpy 2.x, scipy 1.17)
Nothing here shares code with the Rust crates: the slider-crank is solved by intersecting circle and line with mpmath-free
numerics and SciPy's optimiser, the bob weights by brentq on the torque balance written with vectors, the pickup by numeric
differentiation of its flux, the fits by scipy.optimize.least_squares.
"""
import pathlib
import numpy as np
from scipy.optimize import brentq, least_squares, minimize_scalar
from scipy.integrate import quad

HERE = pathlib.Path(__file__).parent


def write(name, header, columns, rows):
    with open(HERE / name, "w") as f:
        for line in header:
            f.write(f"# {line}\n")
        f.write("# made by reference/curve/make.py\n")
        f.write(",".join(columns) + "\n")
        for row in rows:
            f.write(",".join(str(v) if isinstance(v, str) else repr(float(v)) for v in row) + "\n")


# --- slider-crank with offset: pin on the line x = -e, crankpin on a circle, top found by a minimiser -------------------
def pin_height(r, l, e, t):
    return r * np.cos(t) + np.sqrt(l * l - (r * np.sin(t) + e) ** 2)


rows = []
for r, l, e in [(0.029, 0.110, 0.0), (0.029, 0.110, 0.001), (0.025, 0.085, -0.0015), (0.040, 0.150, 0.010)]:
    top = minimize_scalar(lambda t: -pin_height(r, l, e, t), bounds=(-0.5, 0.5), method="bounded", options={"xatol": 1e-14})
    # polish: the derivative's root
    d = lambda t: (pin_height(r, l, e, t + 1e-6) - pin_height(r, l, e, t - 1e-6)) / 2e-6
    t0 = brentq(d, top.x - 0.05, top.x + 0.05, xtol=1e-15)
    y0 = pin_height(r, l, e, t0)
    for deg in [-150, -90, -40, -20, -5, 5, 20, 60, 120, 180]:
        rows.append((r, l, e, deg, y0 - pin_height(r, l, e, t0 + np.radians(deg))))
write(
    "slider_crank.csv",
    ["piston travel [m] of a slider-crank with gudgeon-pin offset; degrees after true top dead centre",
     "offset positive towards the wall opposite to the side on which the crankpin goes down after top dead centre"],
    ["radius_m", "rod_m", "offset_m", "after_tdc_deg", "travel_m"], rows)

# --- bob weights: vectors, not the sine rule ----------------------------------------------------------------------------
M = dict(m=0.055, R=0.028, a=0.020, g0=np.radians(62), b=0.018, k1=5000.0, F1=4.5, k2=17000.0, gap=0.0015,
         cam=1.15, drive=0.5, static=np.radians(8), rng=np.radians(26), mu=0.02)


def net(s, omega, friction):
    """Moment outwards on one weight at swing s, mechanism speed omega."""
    pivot = np.array([M["R"], 0.0])
    gamma = M["g0"] + s
    # from the pivot, the line to the shaft points to -x; turn it by gamma
    to_centre = M["a"] * np.array([-np.cos(gamma), np.sin(gamma)])
    centre = pivot + to_centre
    force = M["m"] * omega**2 * centre
    moment = abs(to_centre[0] * force[1] - to_centre[1] * force[0])
    spring = M["F1"] + M["k1"] * M["b"] * s
    spring += M["k2"] * max(0.0, M["b"] * s - M["gap"])
    return moment - M["b"] * spring - friction


def advance(rpm, friction):
    omega = rpm * 2 * np.pi / 60 * M["drive"]
    most = M["rng"] * M["drive"] / M["cam"]
    if net(0.0, omega, friction) <= 0:
        s = 0.0
    elif net(most, omega, friction) >= 0:
        s = most
    else:
        s = brentq(net, 0.0, most, args=(omega, friction), xtol=1e-15)
    return M["static"] + s * M["cam"] / M["drive"]


rows = [(rpm, *(np.degrees(advance(rpm, f * M["mu"])) for f in (0, 1, -1)))
        for rpm in [600, 900, 1200, 1500, 1800, 2100, 2400, 2700, 3000, 3300, 3600, 4000, 4500, 5500]]
write("bob_weights.csv",
      ["advance [deg crank] of bob weights by brentq on the moment balance, friction none / against / with",
       ", ".join(f"{k}={float(v)!r}" for k, v in M.items())],
      ["rpm", "held_deg", "rising_deg", "falling_deg"], rows)

# --- pickup: strip Laplace problem by Fourier integral, averaged over the pole, differentiated and crossed numerically ---
rows = []
for gap, pole in [(0.0005, 0.0), (0.0007, 0.002), (0.0010, 0.004)]:
    def density_slope(x):
        # transform of the step's answer on the pole face is k g/sinh(k g); back-transform numerically (cosine integral)
        f = lambda k: (k * gap / np.sinh(k * gap) if k > 0 else 1.0) * np.cos(k * x) / np.pi
        return quad(f, 0, 60 / gap, limit=4000)[0]
    if pole == 0.0:
        pulse = density_slope
    else:
        pulse = lambda x: quad(density_slope, x - pole / 2, x + pole / 2, epsabs=1e-10)[0] / pole
    peak = pulse(0.0)
    for ratio in [1.5, 4.0, 12.0]:
        x = brentq(lambda x: pulse(x) / peak - 1 / ratio, 0.0, 0.006, xtol=1e-12)
        rows.append((gap, pole, ratio, x))
write("pickup.csv",
      ["way ahead of the edge [m] at which a pickup's pulse reaches 1/ratio of its peak",
       "flux density under a sharp step of magnetic potential across a gap: transform kg/sinh(kg), integrated numerically"],
      ["gap_m", "pole_m", "ratio", "ahead_m"], rows)

# --- strobe readings of an invented twin on a ramp module, fitted by SciPy ----------------------------------------------
rng = np.random.default_rng(360)
RPM = 2 * np.pi / 60
truth = dict(lead=37.0, arc=24.0, n1=1300.0, n2=3900.0, place=1.5)


def ramp(lead, arc, n1, n2, n):
    c = arc * n1 / (n2 - n1)
    return lead - np.clip(c * n2 / n - c, 0, arc)


speeds = np.array([900, 1100, 1300, 1500, 1800, 2100, 2400, 2700, 3000, 3300, 3600, 3900, 4300, 4800, 5500], float)
n = np.concatenate([speeds, speeds + 37])
cyl = np.repeat([0, 1], len(speeds))
u = 0.5
y = ramp(truth["lead"], truth["arc"], truth["n1"], truth["n2"], n) + truth["place"] * cyl + rng.normal(0, u, len(n))
fit = least_squares(lambda p: (ramp(p[0], p[1], p[2], p[3], n) + p[4] * cyl - y) / u, [36, 25, 1250, 4000, 1],
                    x_scale=[1, 1, 100, 100, 1], xtol=1e-14, ftol=1e-14, gtol=1e-14)
# smooth neighbourhoods only: kinks between readings do not disturb the Jacobian
cov = np.linalg.inv(fit.jac.T @ fit.jac)
print("ramp fit", fit.x, np.sqrt(np.diag(cov)), 2 * fit.cost)
best = 2 * fit.cost
for a in np.linspace(900, 2000, 45):
    for b in np.linspace(3000, 5000, 41):
        f = least_squares(lambda p: (ramp(p[0], p[1], p[2], p[3], n) + p[4] * cyl - y) / u, [36, 25, a, b, 1], x_scale=[1, 1, 100, 100, 1])
        if 2 * f.cost < best - 1e-9:
            best, fit = 2 * f.cost, f
cov = np.linalg.inv(fit.jac.T @ fit.jac)
write("strobe_ramp.csv",
      ["strobe readings of an invented twin on a ramp module; normal errors of 0.5 deg (one standard uncertainty)",
       f"truth: {truth}",
       "SciPy least_squares, best of a grid of starts: " + " ".join(repr(float(v)) for v in fit.x),
       "standard errors (JtJ)^-1, stated errors: " + " ".join(repr(float(v)) for v in np.sqrt(np.diag(cov))),
       f"chi square {float(best)!r}"],
      ["rpm", "cylinder", "advance_deg"], zip(n, cyl, y))
print(fit.x, np.sqrt(np.diag(cov)), best)
