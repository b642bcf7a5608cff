"""Results of a test function over two small samples and their mixtures, and the indices that SciPy makes of them.

    .venv/bin/python reference/chance/make.py

Writes indices.csv beside itself. The samples are a plain lattice, because the estimators alone are compared.
"""

import pathlib

import numpy as np
import scipy
from scipy.stats import sobol_indices

HERE = pathlib.Path(__file__).resolve().parent
POINTS = 64


def ishigami(x):
    """Ishigami & Homma 1990, a = 7, b = 0.1; inputs from 0 to 1 in the first axis."""
    x = np.pi * (2 * x - 1)
    return np.sin(x[0]) + 7 * np.sin(x[1]) ** 2 + 0.1 * x[2] ** 4 * np.sin(x[0])


def main():
    roots = np.sqrt([2.0, 3.0, 5.0, 7.0, 11.0, 13.0])
    u = (np.arange(1, POINTS + 1) * roots[:, None]) % 1.0
    a, b = u[:3], u[3:]
    mixed = []
    for i in range(3):
        ab = a.copy()
        ab[i] = b[i]
        mixed.append(ishigami(ab))
    f_a, f_b, f_ab = ishigami(a), ishigami(b), np.array(mixed)
    found = sobol_indices(func={"f_A": f_a[None, :], "f_B": f_b[None, :], "f_AB": f_ab[:, None, :]}, n=POINTS)
    lines = [
        "# Ishigami function over 64 points of a lattice, made by reference/chance/make.py with "
        f"SciPy {scipy.__version__}, NumPy {np.__version__}.",
        "# Last row: first-order indices of the three inputs, then total ones, by scipy.stats.sobol_indices.",
        "f_a,f_b,f_ab1,f_ab2,f_ab3",
    ]
    lines += [",".join(f"{x:.15g}" for x in row) for row in zip(f_a, f_b, *f_ab)]
    lines.append(",".join(f"{x:.15g}" for x in [*np.ravel(found.first_order), *np.ravel(found.total_order)]))
    (HERE / "indices.csv").write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
