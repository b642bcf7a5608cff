"""Operating points of the working cycle with SciPy's error-controlled integrator: the reference for crates/physics/tests/peer.rs.

    .venv/bin/python bench/cycle_scipy.py            writes reference/cycle/points.tsv
    .venv/bin/python bench/cycle_scipy.py --time     one point only, seconds and cycles, for bench/run.py

LSODA, relative error 1e-8, cut at every valve event and at the spark, so no step spans one. Cycles are repeated until work and
charge stay within 1e-6 of the scale, twice running. The orifice is straight only within 1e-5 of equal pressures.
"""

import pathlib
import sys
import time

import numpy as np
import scipy
from scipy.integrate import solve_ivp

import cycle_model as cm

RTOL = 1e-8
LINEAR = 1e-5
REPEATS = 1e-6
MOST_CYCLES = 400
TAU = 2.0 * np.pi
# Absolute error allowed: a share of each quantity's size.
SIZES = np.array([1e-4, 1e3, 1, 1, 1, 1e3, 1e3, 1, 10, 1e-5, 300, 1, 1e-5, 10, 1e5, 10, 100, 1e-4])

# rpm, effective throttle area mm², advance °: idles early and late, the curve's knee, the hang's speed, load.
POINTS = [
    (450.0, 10.0, 30.0),
    (450.0, 40.0, 10.0),
    (600.0, 4.0, 5.0),
    (1000.0, 6.0, 0.0),
    (1000.0, 6.0, 12.0),
    (1000.0, 10.0, 20.0),
    (1500.0, 8.0, 10.0),
    (1500.0, 30.0, 20.0),
    (2500.0, 8.0, 30.0),
    (2500.0, 20.0, 30.0),
    (2500.0, 60.0, 25.0),
    (4500.0, 14.0, 40.0),
    (4500.0, 60.0, 40.0),
    (7000.0, 60.0, 40.0),
]


def cycle(y, mem, speed, throttle, spark, work_counts):
    """One cycle from gas-exchange top dead centre; returns the state at its end, peak pressure and its angle."""
    wrap = lambda a: (a + TAU) % (2.0 * TAU) - TAU
    exhaust_closes, inlet_closes = wrap(cm.EXHAUST_CLOSES), wrap(cm.INLET_CLOSES)
    marks = [-TAU, exhaust_closes, inlet_closes, spark, wrap(cm.EXHAUST_OPENS), wrap(cm.INLET_OPENS), TAU]
    y = y.copy()
    y[[8, 12, 13, 14, 15, 16, 17]] = 0.0
    peak, peak_at = 0.0, 0.0
    for k, (begin, end) in enumerate(zip(marks, marks[1:])):
        v, _ = cm.volume_and_rate(begin)
        if k == 2:
            cm.at_inlet_closing(y, mem, v)
        if k == 3:
            cm.at_spark(y, mem, v)
        if k == 5:
            y[3] = y[4] = 0.0
        lit = 1.0 if k in (3, 4) else 0.0

        def f(a, y):
            dy = np.empty(cm.STATES)
            v, dv = cm.volume_and_rate(a)
            a_in = cm.valve_area(a, cm.INLET_OPENS, cm.INLET_CLOSES, cm.INLET_D, cm.INLET_LIFT) if k in (0, 1, 5) else 0.0
            a_ex = cm.valve_area(a, cm.EXHAUST_OPENS, cm.EXHAUST_CLOSES, cm.EXHAUST_D, cm.EXHAUST_LIFT) if k in (0, 4, 5) else 0.0
            cm.rates(a, y, dy, speed, throttle, spark, lit, mem, k in (2, 3), v, dv, a_in, a_ex, LINEAR)
            return dy

        sol = solve_ivp(f, (begin, end), y, method="LSODA", rtol=RTOL, atol=1e-9 * SIZES, dense_output=k in (2, 3), max_step=0.05)
        assert sol.success, sol.message
        work_counts[0] += sol.nfev
        y = sol.y[:, -1]
        if k in (2, 3):
            angles = np.linspace(begin, end, 4001)
            pressures = [cm.pressure(s, cm.volume_and_rate(a)[0]) for a, s in zip(angles, sol.sol(angles).T)]
            i = int(np.argmax(pressures))
            if pressures[i] > peak:
                peak, peak_at = pressures[i], angles[i]
    return y, peak, peak_at


def settle(rpm, mm2, advance):
    """Torque, charge, residual, peak pressure and its angle of the repeating cycle, and how many cycles and evaluations it took."""
    speed, throttle, spark = rpm * np.pi / 30.0, mm2 * 1e-6, -np.radians(advance)
    y, mem, counts = np.empty(cm.STATES), np.zeros(5), [0]
    cm.start(y, speed, throttle)
    mem[cm.DILUTION] = mem[cm.DENSITY_TOP] = 1.0
    mem[cm.P_CLOSING] = cm.P_AMBIENT
    work, charge, quiet = np.inf, np.inf, 0
    for n in range(1, MOST_CYCLES + 1):
        y, peak, peak_at = cycle(y, mem, speed, throttle, spark, counts)
        still = abs(y[8] - work) < REPEATS * max(abs(y[8]), 0.5e5 * cm.SWEPT) and abs(y[12] - charge) < REPEATS * y[12]
        quiet = quiet + 1 if still else 0
        work, charge = y[8], y[12]
        if quiet == 2:
            break
    else:
        raise SystemExit(f"{rpm} {mm2} {advance}: does not repeat itself")
    return [work / (2.0 * TAU), charge * speed / (2.0 * TAU), mem[cm.RESIDUAL], peak, np.degrees(peak_at)], n, counts[0]


def main():
    settle(1000.0, 6.0, 12.0) if "--time" in sys.argv else None  # compiles
    if "--time" in sys.argv:
        began = time.perf_counter()
        _, cycles, calls = settle(1000.0, 6.0, 12.0)
        print(f'{{"seconds": {time.perf_counter() - began:.4f}, "cycles": {cycles}, "calls": {calls}, "peak_mb": {cm.peak_mb():.1f}}}')
        return
    to = pathlib.Path(__file__).resolve().parent.parent / "reference" / "cycle" / "points.tsv"
    lines = [
        "# Settled cycles of one motorcycle cylinder, motorcycle(45, 1) of crates/physics/tests/common/mod.rs",
        f"# SciPy {scipy.__version__} LSODA, rtol {RTOL:g}; made by bench/cycle_scipy.py from the equations in bench/cycle_model.py",
        "# speed [1/min]\tthrottle [mm²]\tadvance [°]\ttorque [N·m]\tcharge [kg/s]\tresidual [1]\tpeak pressure [Pa]\tpeak at [° after TDC]",
    ]
    for point in POINTS:
        began = time.perf_counter()
        values, cycles, calls = settle(*point)
        lines.append("\t".join([f"{x:g}" for x in point] + [f"{x:.7g}" for x in values]))
        print(lines[-1], f"   {cycles} cycles, {calls} calls, {time.perf_counter() - began:.1f} s", flush=True)
    to.parent.mkdir(parents=True, exist_ok=True)
    to.write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
