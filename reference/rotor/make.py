"""Spin of one stepped, cup-shaped rotor by axisymmetric finite elements: linear elasticity in the section itself, no plate or shell theory.

Biquadratic squares (scikit-fem), sharp corners, free all round and held along the axis at one point. Stresses are for 1 rad/s in Pa, made straight across the wall:
mean and first moment of the stress over the wall's thickness, at the middle of a column of squares; so a table row can be set against plate theory, and the corners,
where the stress of sharp corners has no bound, are told apart by their distance.

    .venv/bin/python reference/rotor/make.py        writes cup.csv beside itself
"""

import pathlib

import numpy as np
import scipy
import skfem
from skfem.helpers import ddot, sym_grad

HERE = pathlib.Path(__file__).resolve().parent
YOUNG, POISSON, DENSITY = 205e9, 0.29, 7850.0
# Boss, inner web, outer web, rim: inside, outside, from, to [m].
PIECES = [(0.008, 0.018, 0.0, 0.028), (0.018, 0.034, 0.0, 0.006), (0.034, 0.049, 0.0, 0.0045), (0.049, 0.054, 0.0, 0.036)]
# Six magnets in the rim: from, to, inside, outside [m], arc [degrees], density.
MAGNETS = (0.009, 0.033, 0.043, 0.049, 48.0, 4900.0)
# Side of a square [m].
SIDE = 0.00025


def marks(values):
    """All lines of the pieces, and evenly spaced lines between them."""
    values = sorted(set(values))
    lines = [np.linspace(a, b, max(int(round((b - a) / SIDE)), 1) + 1)[:-1] for a, b in zip(values, values[1:])]
    return np.append(np.concatenate(lines), values[-1])


def main():
    r = marks([x for p in PIECES for x in p[:2]])
    z = marks([x for p in PIECES for x in p[2:]] + list(MAGNETS[:2]))
    mesh = skfem.MeshQuad.init_tensor(r, z)
    centre = mesh.p[:, mesh.t].mean(axis=1)
    inside = np.zeros(mesh.nelements, dtype=bool)
    for a, b, low, high in PIECES:
        inside |= (centre[0] > a) & (centre[0] < b) & (centre[1] > low) & (centre[1] < high)
    mesh = mesh.restrict(np.nonzero(inside)[0])
    element = skfem.ElementVector(skfem.ElementQuad2())
    basis = skfem.Basis(mesh, element, intorder=3)
    lame = YOUNG * POISSON / (1 + POISSON) / (1 - 2 * POISSON)
    shear = YOUNG / 2 / (1 + POISSON)

    def strains(u, x):
        e = sym_grad(u)
        return e, u[0] / x[0], e[0, 0] + e[1, 1] + u[0] / x[0]

    @skfem.BilinearForm
    def stiffness(u, v, w):
        eu, hu, tu = strains(u, w.x)
        ev, hv, tv = strains(v, w.x)
        return (2 * shear * (ddot(eu, ev) + hu * hv) + lame * tu * tv) * w.x[0]

    @skfem.LinearForm
    def spin(v, w):
        return DENSITY * w.x[0] ** 2 * v[0]

    low, high, inner, outer, arc, density = MAGNETS
    pull = 6 * density * np.radians(arc) * (outer**3 - inner**3) / 3  # per length of rim
    seat = mesh.facets_satisfying(lambda x: (np.abs(x[0] - outer) < 1e-9) & (x[1] > low) & (x[1] < high), boundaries_only=True)

    @skfem.LinearForm
    def hung(v, w):
        return pull / (2 * np.pi) * v[0]

    k = stiffness.assemble(basis)
    f = spin.assemble(basis) + hung.assemble(skfem.FacetBasis(mesh, element, facets=seat))
    held = basis.nodal_dofs[1, np.argmin(np.hypot(mesh.p[0] - 0.008, mesh.p[1] - 0.014))]
    u = skfem.solve(*skfem.condense(k, f, D=np.array([held])))
    field = basis.interpolate(u)
    x = basis.global_coordinates()
    e, h, t = strains(field, x)
    stress = {"hoop": 2 * shear * h + lame * t, "r": 2 * shear * e[0, 0] + lame * t, "z": 2 * shear * e[1, 1] + lame * t}
    weights = basis.dx
    centre = mesh.p[:, mesh.t].mean(axis=1)

    def across(cells, axis, name):
        """Mean and straight part over the wall, at its lesser and greater face."""
        s, y, w = (a[cells].ravel() for a in (stress[name], x[axis], weights))
        first, last = y.min(), y.max()
        a, b = wall
        middle = 0.5 * (a + b)
        mean = (s * w).sum() / w.sum()
        slope = (s * (y - middle) * w).sum() / ((y - middle) ** 2 * w).sum()
        assert a < first and last < b
        return mean - slope * 0.5 * (b - a), mean + slope * 0.5 * (b - a)

    rows = []
    for part, (a, b, low, high), axis, name in [
        ("boss", PIECES[0], 1, "r"),
        ("inner web", PIECES[1], 1, "r"),
        ("outer web", PIECES[2], 1, "r"),
        ("rim", PIECES[3], 0, "z"),
    ]:
        along = 1 - axis
        begin, end = (a, b) if axis == 1 else (0.0045, high)
        wall = (low, high) if axis == 1 else (a, b)
        here = (centre[0] > a) & (centre[0] < b) & (centre[1] > low) & (centre[1] < high)
        lines = np.unique(np.round(centre[along][here], 9))
        lines = lines[(lines > begin) & (lines < end)]
        for place in lines[::2]:
            cells = np.nonzero(here & (np.abs(centre[along] - place) < 1e-7))[0]
            hoop, other = across(cells, axis, "hoop"), across(cells, axis, name)
            rows.append((part, place, min(place - begin, end - place), *hoop, *other))
    out = [
        "# Spin of a stepped, cup-shaped rotor at 1 rad/s by axisymmetric finite elements; how it is made stands in make.py.",
        f"# made by scikit-fem {skfem.__version__}, numpy {np.__version__}, scipy {scipy.__version__}; squares of {SIDE * 1e3} mm",
        f"# steel {YOUNG} Pa, {POISSON}, {DENSITY} kg/m3; pieces (inside, outside, from, to in m): {PIECES}",
        f"# magnets: six of (from, to, inside, outside in m, arc in degrees, kg/m3) {MAGNETS}, as even pressure on the inside of the rim",
        f"# outward movement of the rim's free edge, mean over the wall in its last row of squares [m]: {edge(mesh, basis, field):.6e}",
        "# part, place: radius of discs, along the axis of the rim [m]; distance from the end of the part [m]; hoop, then radial or axial stress [Pa],",
        "# each at the lesser and the greater place across the wall",
        "part,place_m,from_end_m,hoop_low_pa,hoop_high_pa,along_low_pa,along_high_pa",
    ]
    out += [f"{part},{place:.7f},{end:.7f}," + ",".join(f"{v:.6e}" for v in values) for part, place, end, *values in rows]
    (HERE / "cup.csv").write_text("\n".join(out) + "\n")


def edge(mesh, basis, field):
    """Outward movement of the rim's last row of squares, its mean over the wall."""
    centre = mesh.p[:, mesh.t].mean(axis=1)
    last = np.nonzero(centre[1] > 0.036 - SIDE)[0]
    weights = basis.dx[last]
    return float((np.asarray(field[0])[last] * weights).sum() / weights.sum())


if __name__ == "__main__":
    main()
