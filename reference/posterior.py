"""What readings make of unknowns, by NumPy and SciPy, for crates/physics/src/fit/posterior/tests.rs.

Four unknowns, each known to one standard deviation before, and five readings whose rows are sines of their place, so that the test can
write them down again. The covariance after is numpy.linalg.inv of the whole normal matrix, its directions scipy.linalg.eigh, its factor
scipy.linalg.cholesky; what a further reading removes comes from inverting the normal matrix again with its row added, not from an update
formula. Doubts left are scipy.integrate.quad over scipy.stats.norm; shares are norm.cdf.

Columns: what, then numbers.
Run:  python3 reference/posterior.py > reference/posterior.csv     (SciPy 1.x, NumPy)
"""

import numpy as np
import scipy
from scipy.integrate import quad
from scipy.linalg import cholesky, eigh
from scipy.stats import norm

UNKNOWNS, READINGS = 4, 5
rows = np.array([[2.0 * np.sin(1.3 * i + 0.7 * j * j + 0.2) for j in range(UNKNOWNS)] for i in range(READINGS)])
# Two unknowns that the readings hardly tell apart.
rows[:, 1] = rows[:, 0] + 0.05 * rows[:, 1]
further = np.array([0.4, -1.1, 0.3, 2.0])
of = np.array([1.0, 0.5, -0.25, 0.8])


def put(what, numbers):
    print(",".join([what] + [f"{x:.12g}" for x in np.ravel(numbers)]))


normal = rows.T @ rows + np.eye(UNKNOWNS)
covariance = np.linalg.inv(normal)
print(f"# made by {__file__.split('/')[-1]} with SciPy {scipy.__version__}, NumPy {np.__version__}")
put("covariance", covariance)
put("factor", cholesky(covariance, lower=True))
put("shares", eigh(covariance, eigvals_only=True)[::-1])
put("shares of 0 and 1", eigh(covariance[:2, :2], eigvals_only=True)[::-1])
after = np.linalg.inv(normal + np.outer(further, further))
put("removed", [of @ covariance @ of - of @ after @ of])
for deviate, removed in [(0.0, 0.0), (0.0, 0.5), (0.7, 0.3), (-1.2, 0.9), (2.3, 0.1), (0.4, 0.999)]:
    def left(x):
        q = norm.cdf((deviate + np.sqrt(removed) * x) / np.sqrt(1.0 - removed))
        return q * (1.0 - q) * norm.pdf(x)

    put("doubt left", [deviate, removed, quad(left, -12.0, 12.0, points=[-deviate / np.sqrt(removed)] if removed else None, epsabs=1e-12, limit=400)[0]])
for z in (-6.0, -2.5, -1.0, -0.1, 0.0, 0.3, 1.0, 1.7, 3.0, 5.0):
    put("normal share", [z, norm.cdf(z)])
