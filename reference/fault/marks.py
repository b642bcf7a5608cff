"""Likelihood of marks off a curve by a general library of statistics, written beside this file; in a second table with an error of the curve that all marks share.

Run: python3 reference/fault/marks.py     (numpy, scipy)
Draws marks with their ±, writes out the covariance of each way (sound, shifted by one angle, another curve) as a matrix, and lets scipy.stats.multivariate_normal give the
logarithm of the density. Angles in degrees, speeds in rev/min. Nothing here shares code with the program.
"""
import pathlib

import numpy as np
from scipy.stats import multivariate_normal

HERE = pathlib.Path(__file__).parent
CASES = 24
SEED = 77
# As the program's documentation says [°].
SHIFT_SD, TILT_SD, LEAST_SD = 8.0, 8.0, 0.5


def table(name, seed, curve_too):
    draw = np.random.default_rng(seed)
    with open(HERE / name, "w") as f:
        f.write("# logarithm of the density of marks off a curve [rad], by scipy.stats.multivariate_normal\n")
        f.write("# made by reference/fault/marks.py\n")
        f.write("speeds_rpm,off_deg,plus_minus_deg,lamp_sd_deg,sound,shifted,other" + (",curve_sd_deg\n" if curve_too else "\n"))
        for _ in range(CASES):
            n = int(draw.integers(3, 9))
            speeds = np.sort(draw.uniform(900, 7000, n)).round(0)
            tilt = 2.0 * (speeds - speeds[0]) / (speeds[-1] - speeds[0]) - 1.0
            off = (draw.normal(0, 4) + draw.normal(0, 3) * tilt + draw.normal(0, 0.8, n)).round(2)
            by = draw.choice([0.0, 0.5, 1.0, 2.0, 3.0], n)
            lamp = float(draw.choice([0.0, 0.4, 1.0]))
            rad = np.radians
            cov = np.diag(np.maximum(0.5 * rad(by), rad(LEAST_SD)) ** 2) + rad(lamp) ** 2 * np.ones((n, n))
            if curve_too:
                curve = draw.uniform(0, 3, n).round(2)
                cov += np.outer(rad(curve), rad(curve))
            shifted = cov + rad(SHIFT_SD) ** 2 * np.ones((n, n))
            other = shifted + rad(TILT_SD) ** 2 * np.outer(tilt, tilt)
            logs = [float(multivariate_normal(np.zeros(n), c).logpdf(rad(off))) for c in (cov, shifted, other)]
            of = lambda xs: " ".join(repr(float(x)) for x in xs)
            cells = [of(speeds), of(off), of(by), repr(lamp), *map(repr, logs)] + ([of(curve)] if curve_too else [])
            f.write(",".join(cells) + "\n")


table("marks.csv", SEED, False)
table("marks_curve.csv", SEED + 1, True)
