"""Folds of the rest line of an analytic engine, by SciPy, for crates/physics/src/rest/tests.rs.

Net torque of two cylinders with ramp curves of different lead:
    T(N, A) = sum_c  K A / (1 + N/600) exp(-((adv_c(N) - mbt(N, A)) / 0.55)^2)  -  (2.0 + 1e-5 N^2)
    mbt(N, A) = 0.9 - 0.12 ln(A / 2e-5) + 0.0004 N
    adv_c(N) = lead_c - clamp(k/N - c, 0, W)
A fold is a point where T = 0 and dT/dN = 0 at once. Both are solved together with scipy.optimize.fsolve from many
starting points, with the derivative taken by complex step: no rest line, no interpolation, nothing shared with the program.
At the corners of the curve, where dT/dN jumps, there is a fold if it changes sign; T = 0 there is solved with brentq.

Run:  python3 reference/rest_folds.py > reference/rest-folds.csv     (SciPy 1.x, NumPy)
"""

import numpy as np
import scipy
from scipy.optimize import brentq, fsolve

np.seterr(all="ignore")  # fsolve strays outside on its way
K = 3.0e5


def adv(n, lead, w, n1, n2):
    """Ramp law with start n1 and full n2 [rad/s]; complex n allowed."""
    c = w / (n2 / n1 - 1.0)
    k = c * n2
    d = k / n - c
    if d.real <= 0.0:
        return lead + 0.0 * n
    if d.real >= w:
        return lead - w + 0.0 * n
    return lead - d


def torque(n, a, case):
    lead1, lead2, w, n1, n2 = case
    mbt = 0.9 - 0.12 * np.log(a / 2e-5) + 0.0004 * n
    t = -(2.0 + 1e-5 * n * n)
    for lead in (lead1, lead2):
        x = (adv(n, lead, w, n1, n2) - mbt) / 0.55
        t = t + K * a / (1.0 + n / 600.0) * np.exp(-x * x)
    return t


def both(x, case):
    n, a = x[0] * 100.0, np.exp(x[1])
    h = 1e-30
    t = torque(complex(n, 0.0), a, case).real
    slope = torque(complex(n, h), a, case).imag / h
    return [t, slope * 100.0]


CASES = [
    # lead1, lead2 [rad], W [rad], start, full [rad/s]
    (0.70, 0.70, 0.70, 105.0, 420.0),
    (0.70, 0.67, 0.60, 105.0, 420.0),
    (0.75, 0.75, 0.80, 110.0, 300.0),
    (0.65, 0.62, 0.75, 130.0, 350.0),
]

print(f"# made by reference/rest_folds.py with SciPy {scipy.__version__}, NumPy {np.__version__}")
print("# case,lead1_rad,lead2_rad,arc_rad,start_rad_s,full_rad_s,fold_speed_rad_s,fold_opening_m2")
for i, case in enumerate(CASES):
    found = []
    for n0 in np.linspace(0.5, 6.0, 80):
        for a0 in np.log(np.geomspace(4e-6, 8e-5, 12)):
            x, _, ok, _ = fsolve(both, [n0, a0], args=(case,), full_output=True, xtol=1e-13)
            n, a = x[0] * 100.0, np.exp(x[1])
            if ok != 1 or not 40.0 < n < 600.0 or not 2e-6 < a < 2e-4:
                continue
            if max(abs(v) for v in both(x, case)) > 1e-9:
                continue
            if all(abs(n - f[0]) > 1e-4 * n for f in found):
                found.append((n, a))
    for corner in (case[3], case[4]):
        a = np.exp(brentq(lambda x: torque(complex(corner), np.exp(x), case).real, np.log(2e-6), np.log(1.5e-4), xtol=1e-14))
        side = [torque(complex(corner * (1.0 + e), 1e-30), a, case).imag for e in (-1e-9, 1e-9)]
        if side[0] * side[1] < 0.0:
            found.append((corner, a))
    for n, a in sorted(found):
        print(",".join([str(i)] + [repr(v) for v in case] + [f"{n:.8f}", f"{a:.10e}"]))
