"""Outside values for bonds, flux, balance and taper, written beside this file.

Run: python3 reference/rotor/joints.py     (numpy 2.x, scipy 1.17)
Nothing here shares code with the Rust crates: the shear-lag equation is solved by collocation (solve_bvp), the poles' wave is added up pole by
pole in time and taken apart by an FFT, the runs without phase are made from a known unbalance in complex numbers and fitted by
scipy.optimize.least_squares, the rings of the seat are a plane-stress boundary-value problem, the two cones are closed step by step.
"""
import pathlib
import numpy as np
from scipy.integrate import solve_bvp
from scipy.optimize import brentq, least_squares

HERE = pathlib.Path(__file__).parent


def write(name, header, columns, rows):
    with open(HERE / name, "w") as f:
        for line in header:
            f.write(f"# {line}\n")
        f.write("# made by reference/rotor/joints.py\n")
        f.write(",".join(columns) + "\n")
        for row in rows:
            f.write(",".join(str(v) if isinstance(v, str) else repr(float(v)) for v in row) + "\n")


# --- shear lag: displacements u1, u2 and forces N1, N2, four first-order equations, no closed form used ---------------------
rows = []
for length, h, g, t1, e1, a1, t2, e2, a2, force, warm in [
    # a ferrite on steel, heated; along and across
    (0.030, 0.10e-3, 1.0e9, 6e-3, 170e9, 10e-6, 4e-3, 210e9, 12e-6, 0.0, 100.0),
    (0.030, 0.05e-3, 1.2e9, 6e-3, 150e9, -1e-6, 4e-3, 210e9, 12e-6, 0.0, 120.0),
    (0.012, 0.25e-3, 0.4e9, 5e-3, 160e9, 8e-6, 3e-3, 70e9, 23e-6, 0.0, -60.0),
    # a lap joint that is pulled, alike and unlike parts
    (0.0125, 0.20e-3, 1.0e9, 1.6e-3, 70e9, 23e-6, 1.6e-3, 70e9, 23e-6, 2.0e5, 0.0),
    (0.025, 0.15e-3, 0.8e9, 2.0e-3, 70e9, 23e-6, 3.0e-3, 210e9, 12e-6, 1.5e5, 0.0),
    # both
    (0.025, 0.15e-3, 0.8e9, 2.0e-3, 70e9, 23e-6, 3.0e-3, 210e9, 12e-6, 1.5e5, 60.0),
]:
    U = 1e-6  # displacements in micrometres, forces in units of 1e5 N/m
    F = 1e5

    def rhs(x, y):
        tau = g / h * (y[1] - y[0]) * U
        n1, n2 = y[2] * F, y[3] * F
        return np.vstack([(n1 / (e1 * t1) + a1 * warm) / U, (n2 / (e2 * t2) + a2 * warm) / U, -tau / F, tau / F])

    def ends(left, right):
        # N1 enters on the left, N2 leaves on the right; one displacement is held to stop rigid motion
        return np.array([left[2] - force / F, left[3], right[2], left[0]])

    x = np.linspace(-length / 2, length / 2, 401)
    sol = solve_bvp(rhs, ends, x, np.zeros((4, x.size)), tol=1e-7, max_nodes=200000)
    assert sol.success, sol.message
    tau = lambda at: g / h * (sol.sol(at)[1] - sol.sol(at)[0]) * U
    rows.append((length, h, g, t1, e1, a1, t2, e2, a2, force, warm, tau(-length / 2), tau(-length / 4), tau(0.0), tau(length / 2), sol.sol(0.0)[2] * F))
write(
    "shear_lag.csv",
    ["shear [Pa] in a bond at -L/2, -L/4, 0, L/2, and force per width [N/m] in the first part in the middle; SciPy solve_bvp, tol 1e-7", "SI units"],
    "length,layer,modulus,t1,e1,a1,t2,e2,a2,force,warmer,at_start,at_quarter,at_middle,at_end,force_middle".split(","),
    rows,
)

# --- poles: flux through each tooth as the overlap of arcs, in time, differentiated, taken apart by FFT -----------------------
rows = []
N = 1 << 16
theta = 2 * np.pi * np.arange(N) / N


def overlap(distance, a, b):
    """Common arc of two arcs a, b whose middles are this far apart."""
    d = np.abs((distance + np.pi) % (2 * np.pi) - np.pi)
    return np.clip(np.minimum.reduce([np.full_like(d, a), np.full_like(d, b), (a + b) / 2 - d]), 0.0, None)


CASES = {
    "sound, full ring": ([1.0] * 12, [(i, 1 if i % 2 == 0 else -1) for i in range(12)]),
    "one weak, full ring": ([0.7] + [1.0] * 11, [(i, 1 if i % 2 == 0 else -1) for i in range(12)]),
    "one weak, one coil": ([0.7] + [1.0] * 11, [(0, 1)]),
    "one reversed, one coil": ([1.0, 1.0, -1.0] + [1.0] * 9, [(0, 1)]),
    "one reversed, three coils": ([1.0, 1.0, -1.0] + [1.0] * 9, [(0, 1), (1, -1), (2, 1)]),
    "one reversed, eight poles": ([1.0, -1.0] + [1.0] * 6, [(0, 1), (4, 1)]),
}
for name, (strength, coils) in CASES.items():
    n = len(strength)
    pole, tooth = 0.8 * 2 * np.pi / n, 0.6 * 2 * np.pi / n
    link = np.zeros(N)
    for place, sense in coils:
        for i, s in enumerate(strength):
            sign = 1.0 if i % 2 == 0 else -1.0
            link += sense * sign * s * overlap(theta + 2 * np.pi * i / n - 2 * np.pi * place / n, pole, tooth)
    spectrum = 2 * np.fft.rfft(link) / N
    for h in [1, 2, n // 2 - 1, n // 2, n // 2 + 1, 3 * n // 2]:
        rows.append((name, n, h, pole, tooth, h * abs(spectrum[h])))
write(
    "poles.csv",
    ["amplitude of harmonics of the no-load volts of poles in front of teeth, field and speed of one; NumPy FFT over 65536 places"],
    "case,poles,harmonic,pole_arc,tooth_arc,amplitude".split(","),
    rows,
)

# --- meter: effective volts of some coils in series with one faulty pole, beside a sound rotor; the wave differenced in time --------------
rows = []
for n, teeth, coils, fault in [(6, 6, 6, 0.0), (6, 6, 2, 0.0), (6, 6, 1, -1.0), (8, 8, 3, -1.0), (12, 18, 4, 0.0), (16, 18, 6, -1.0)]:
    arc = 0.83 * 2 * np.pi / n
    # Teeth of one phase: those whose electrical angle is nearest to none or half a turn, wound to suit.
    angle = np.array([(n / 2 * i / teeth) % 1.0 for i in range(teeth)])
    nearest = np.round(2 * angle) / 2
    chosen = sorted(range(teeth), key=lambda i: (round(abs(angle[i] - nearest[i]), 6), i))[:coils]

    def volts(strength):
        link = np.zeros(N)
        for c in chosen:
            for i, s in enumerate(strength):
                sense, sign = (-1.0 if nearest[c] == 0.5 else 1.0), (1.0 if i % 2 == 0 else -1.0)
                link += sense * sign * s * overlap(theta + 2 * np.pi * i / n - 2 * np.pi * c / teeth, arc, arc)
        return np.sqrt(np.mean(np.diff(link, append=link[0]) ** 2))

    rows.append((n, teeth, coils, fault, arc, volts([fault] + [1.0] * (n - 1)) / volts([1.0] * n)))
write(
    "meter.csv",
    ["effective no-load volts of the coils of one phase in series with one faulty pole, beside those with all sound; NumPy, 65536 places"],
    "poles,teeth,coils,fault,arc,share".split(","),
    rows,
)

# --- recoil: working point past the knee by a root of the two lines in B and H --------------------------------------------------
rows = []
MU0 = 1.25663706212e-6
for br, hcj, knee, mur, alpha, beta, t, p, ha in [
    (0.380, 199e3, 0.9, 1.10, -0.0020, 0.0027, 293.15, 2.0, 0.0),
    (0.380, 199e3, 0.9, 1.10, -0.0020, 0.0027, 233.15, 1.0, 0.0),
    (0.380, 199e3, 0.9, 1.10, -0.0020, 0.0027, 253.15, 1.5, 120e3),
    (1.200, 955e3, 0.9, 1.05, -0.0011, -0.0060, 413.15, 1.0, 0.0),
    (1.200, 955e3, 0.9, 1.05, -0.0011, -0.0060, 393.15, 2.0, 150e3),
]:
    r = br * (1 + alpha * (t - 293.15))
    c = hcj * (1 + beta * (t - 293.15))
    k = knee * c

    def intrinsic(h):
        level = r - (mur - 1) * MU0 * h
        if h <= k:
            return level
        top = r - (mur - 1) * MU0 * k
        return max(top * (c - h) / (c - k), 0.0)

    h = brentq(lambda h: intrinsic(h) - MU0 * h - MU0 * p * (h - ha), 0.0, 5e6, xtol=1e-9)
    after = intrinsic(h) + (mur - 1) * MU0 * h
    rows.append((br, hcj, knee, mur, alpha, beta, t, p, ha, h, max(1 - after / r, 0.0)))
write(
    "recoil.csv",
    ["field [A/m] at the working point and share of flux lost for good, by SciPy brentq on curve and load line"],
    "remanence,coercivity,knee,recoil,alpha,beta,temperature,permeance,against,field,lost".split(","),
    rows,
)

# --- runs without phase -----------------------------------------------------------------------------------------------------------
rows = []
# The last: readings that a published example of the four-run method gives (10; 7, 12, 18 mil with 50 g at 0, 120, 240 degrees); its printed answer was not at hand.
for name, places, amplitudes in [
    ("made 1", [0, 120, 240], None),
    ("made 2", [0, 90, 180, 270], None),
    ("published readings", [0, 120, 240], [10.0, 7.0, 12.0, 18.0]),
    ("scattered", [0, 90, 180, 270], [5.1, 7.6, 6.2, 2.9, 5.0]),
]:
    if amplitudes is None:
        z = {"made 1": 1.7 * np.exp(1j * np.radians(205)), "made 2": 0.6 * np.exp(1j * np.radians(-37))}[name]
        response = 3.1
        amplitudes = [abs(response * z)] + [abs(response * (z + np.exp(1j * np.radians(a)))) for a in places]

    def off(p):
        z = p[1] + 1j * p[2]
        return [p[0] * abs(z) - amplitudes[0]] + [p[0] * abs(z + np.exp(1j * np.radians(a))) - m for a, m in zip(places, amplitudes[1:])]

    best = min(
        (least_squares(off, [s, 1.2 * np.cos(q), 1.2 * np.sin(q)], xtol=1e-15, ftol=1e-15, gtol=1e-15) for s in (2.0, 8.0) for q in np.arange(0, 6, 1.0)),
        key=lambda f: (f.cost > 1e-12, f.cost, f.x[0] < 0),
    )
    x = best.x if best.x[0] > 0 else np.array([-best.x[0], best.x[1], best.x[2]])
    pad = list(amplitudes[1:]) + [0.0] * (5 - len(amplitudes))
    rows.append((name, len(places), amplitudes[0], *pad, x[0], x[1], x[2], np.sqrt(2 * best.cost / (len(amplitudes) - 3))))
write(
    "trial_runs.csv",
    ["unbalance in units of the trial weight from amplitudes alone (0/120/240 or 0/90/180/270 degrees); SciPy least_squares from a grid of starts"],
    "case,places,without,at1,at2,at3,at4,response,x,y,misfit".split(","),
    rows,
)

# --- thick ring on a solid shaft: plane stress, u'' + u'/r - u/r^2 = 0 in each, solved by collocation ------------------------------
rows = []
for r, o, eh, nh, es, ns in [(8e-3, 16e-3, 210e9, 0.3, 210e9, 0.3), (9e-3, 13e-3, 110e9, 0.26, 210e9, 0.3), (7e-3, 40e-3, 70e9, 0.33, 205e9, 0.29)]:
    p = 1e8

    def ring(inner, outer, e, nu, pi, po):
        # y = (u, s) with s the radial stress; lengths in mm, stress in 1e8 Pa, displacement in um
        def rhs(x, y):
            hoop = e / 1e8 * (y[0] * 1e-3) / x + nu * y[1]
            strain = ((1 - nu * nu) / (e / 1e8) * y[1]) - nu * (y[0] * 1e-3) / x
            return np.vstack([strain * 1e3, (hoop - y[1]) / x])

        x = np.linspace(inner * 1e3, outer * 1e3, 201)
        s = solve_bvp(rhs, lambda a, b: np.array([a[1] + pi / 1e8, b[1] + po / 1e8]), x, np.zeros((2, x.size)), tol=1e-8, max_nodes=100000)
        assert s.success, s.message
        return s

    hub = ring(r, o, eh, nh, p, 0.0)
    outward = hub.sol(r * 1e3)[0] * 1e-6
    hoop = eh * outward / r + nh * -p
    # a solid shaft: begin near the axis, where the radial stress is the outer one
    shaft = ring(1e-3 * r, r, es, ns, p, p)
    inward = -shaft.sol(r * 1e3)[0] * 1e-6
    rows.append((r, o, eh, nh, es, ns, p / (outward + inward), hoop))
write(
    "rings.csv",
    ["pressure per radial interference [Pa/m] and hoop stress [Pa] in the bore at 1e8 Pa, plane stress; SciPy solve_bvp, tol 1e-8"],
    "seat,hub,e_hub,nu_hub,e_shaft,nu_shaft,pressure_per_m,hoop".split(","),
    rows,
)

# --- two cones of unlike angle, pressed together slice by slice until the force is in ----------------------------------------------
rows = []
for large, length, ratio, hub_ratio, stiff, normal in [
    (0.018, 0.020, 0.2, 0.204, 6e12, 6e4),
    (0.018, 0.020, 0.2, 0.1990, 6e12, 2e5),
    (0.018, 0.020, 0.2, 0.1998, 6e12, 2e5),
    (0.020, 0.030, 0.1, 0.103, 4e12, 5e4),
]:
    slices = 200000
    x = (np.arange(slices) + 0.5) * length / slices
    slope = abs(hub_ratio - ratio) / 2
    radius = (large - ratio * length / 2) / 2

    def force(close):
        return 2 * np.pi * radius * stiff * np.clip(close - slope * x, 0, None).sum() * length / slices

    close = brentq(lambda c: force(c) - normal, 0.0, 1e-3, xtol=1e-16)
    rows.append((large, length, ratio, hub_ratio, stiff, normal, (close > slope * x).mean(), stiff * close))
write(
    "cones.csv",
    ["share of length that touches and greatest pressure [Pa] of two cones of unlike angle, ring by ring; NumPy over 200000 slices, SciPy brentq"],
    "large,length,ratio,hub_ratio,pressure_per_m,normal,share,peak".split(","),
    rows,
)
