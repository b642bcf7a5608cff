"""Tables for substitute parts.

Run: python3 reference/part/make.py     (numpy, scipy)

within.csv: the chance that a part lies within a tolerance of a need, both normal. The need is integrated over by `scipy.integrate.quad`, and at each need the
part's share between the two ends is taken from `scipy.stats.norm`; the program has a closed form instead.
prices.csv: median and scaled median absolute deviation by `numpy.median` and `scipy.stats.median_abs_deviation(scale="normal")`.
"""
import pathlib

import numpy as np
import scipy
from scipy import integrate, stats

HERE = pathlib.Path(__file__).parent
INF = float("inf")


def chance(x, ux, n, un, rule, low, high):
    def ends(need):
        if rule == "share":
            return low * need, (INF if high == INF else high * need)
        if rule == "off":
            return need - low, need + high
        return low, high

    def inside(need):
        a, b = ends(need)
        return max(stats.norm.cdf(b, x, ux) - stats.norm.cdf(a, x, ux), 0.0)

    if un == 0.0:
        return inside(n)
    # Where the part's own density rises and falls, the integrand bends.
    bends = [p for p in [n] + ([x / low] if rule == "share" and low else []) + ([x / high] if rule == "share" and np.isfinite(high) else []) if abs(p - n) < 9 * un]
    value, _ = integrate.quad(lambda m: inside(m) * stats.norm.pdf(m, n, un), n - 9 * un, n + 9 * un, points=sorted(set(bends)), epsabs=1e-12, limit=400)
    return value


def within():
    rng = np.random.default_rng(41)
    lines = ["# chance that a part lies within a tolerance of a need, both normal: integrated over the need by quad", f"# made by reference/part/make.py with SciPy {scipy.__version__}", "part,part_u,need,need_u,rule,low,high,chance"]
    for k in range(60):
        rule = ["share", "off", "range"][k % 3]
        n = float(np.round(10 ** rng.uniform(-1, 3), 4))
        un = float(np.round(n * rng.choice([0.0, 0.005, 0.02, 0.08]), 6))
        ux = float(np.round(n * rng.choice([0.002, 0.01, 0.05]), 6))
        if rule == "share":
            low, high = [(0.85, 1.15), (0.7, 1.5), (1.3, INF), (0.0, 1.0), (1.0, INF)][rng.integers(5)]
            edge = n * (low if high == INF or rng.random() < 0.5 and low > 0 else high)
        elif rule == "off":
            low, high = (float(np.round(n * f, 6)) for f in [(0.05, 0.05), (0.1, 0.0), (0.0, 0.1)][rng.integers(3)])
            edge = n + (high if rng.random() < 0.5 else -low)
        else:
            low, high = float(np.round(0.8 * n, 6)), [float(np.round(1.1 * n, 6)), INF][rng.integers(2)]
            edge = low
        x = float(np.round(edge + rng.normal() * 1.5 * np.hypot(ux, un), 6))
        lines.append(f"{x},{ux},{n},{un},{rule},{low},{high},{chance(x, ux, n, un, rule, low, high):.12f}")
    (HERE / "within.csv").write_text("\n".join(lines) + "\n")


def prices():
    rng = np.random.default_rng(43)
    lines = ["# median and scaled median absolute deviation of lists of prices", f"# made by reference/part/make.py with SciPy {scipy.__version__}", "prices,median,spread"]
    for count in (1, 2, 3, 5, 8, 13, 40):
        list_ = np.round(np.exp(rng.normal(4, 0.6, count)), 2)
        list_[rng.random(count) < 0.1] *= 20
        lines.append(f"{' '.join(str(float(p)) for p in list_)},{np.median(list_):.12g},{stats.median_abs_deviation(list_, scale='normal'):.12g}")
    (HERE / "prices.csv").write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    within()
    prices()
