"""Density of readings that share errors, by a general library of statistics.

Run: python3 reference/fault/together.py     (numpy, scipy)
Draws readings off their means, each with a variance of its own and with several errors that all of them share, as those of an alternator share what the file is not sure of. The
covariance is written out as a matrix; scipy.stats.multivariate_normal gives the logarithm of the density and numpy.linalg.solve the sum of squares. Nothing here shares code
with the program.
"""
import pathlib

import numpy as np
from scipy.stats import multivariate_normal

HERE = pathlib.Path(__file__).parent
CASES = 20
SEED = 1129

draw = np.random.default_rng(SEED)
of = lambda xs: " ".join(repr(float(x)) for x in xs)
with open(HERE / "together.csv", "w") as f:
    f.write("# logarithm of the density of readings that share errors, by scipy.stats.multivariate_normal\n")
    f.write("# made by reference/fault/together.py\n")
    f.write("off,variances,shared,squares,log_density\n")
    for _ in range(CASES):
        n, errors = int(draw.integers(1, 13)), int(draw.integers(0, 16))
        own = draw.uniform(0.1, 1.5, n).round(3) ** 2
        shared = draw.normal(0, 1.5, (errors, n)).round(3)
        cov = np.diag(own) + shared.T @ shared
        off = (draw.normal(0, np.sqrt(own)) + draw.normal(0, 1, errors) @ shared if errors else draw.normal(0, np.sqrt(own))).round(3)
        squares = off @ np.linalg.solve(cov, off)
        log = multivariate_normal(np.zeros(n), cov).logpdf(off)
        f.write(f"{of(off)},{of(own)},{'; '.join(of(s) for s in shared)},{float(squares)!r},{float(log)!r}\n")
