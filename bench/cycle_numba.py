"""The full torque surface by the model of cycle_model.py with Numba: same grid, explicit time steps.

    .venv/bin/python bench/cycle_numba.py [--values FILE] [--compare FILE]

Prints one line of JSON. `--compare` takes the values of `surface_time --values` and says how far the two lie apart.

All cores by prange over speeds and openings, each column walking through the advances from the last settled state. The time step is 2°,
shorter where an open valve would make the explicit step unstable, classical Runge–Kutta. The program's steps are linearly implicit while
a valve is open; here the orifice is made straight near equal pressures instead, as far as the shortest step demands. In its favour: it
stops at two small changes in a row, and every point has steps for its own opening.
"""

import json
import sys
import time

import numba
import numpy as np
from numba import njit, prange

import cycle_model as cm

RPM = np.pi / 30.0
SPEEDS = np.geomspace(450.0, 7000.0, 24) * RPM
OPENINGS = np.geomspace(0.66e-6, 64e-6, 16)
ADVANCES = np.radians(np.arange(-10.0, 46.0, 5.0))

TAU = 2.0 * np.pi
# Eighths of a degree from gas-exchange top dead centre.
PLACES = 5760
PLACE = 2.0 * TAU / PLACES
STRIDE_MOST, STRIDE_LEAST = 16, 2
LINEAR_WANTED, LINEAR_LEAST, LINEAR_MOST = 0.02, 1e-3, 0.5
STABLE, FAST = 1.2, 590.0
SETTLED, LEAST_WORK = 1e-3, 0.5e5 * cm.SWEPT
ENOUGH_CYCLES, MOST_CYCLES, MEAN_OF = 12, 120, 8


def _place(angle):
    return 2 * int(round(((angle + TAU) % (2.0 * TAU)) / (2.0 * PLACE))) % PLACES


INLET_OPENS, INLET_CLOSES = _place(cm.INLET_OPENS), _place(cm.INLET_CLOSES)
EXHAUST_OPENS = _place(cm.EXHAUST_OPENS)


def _tables():
    angles = -TAU + PLACE * np.arange(PLACES + 1)
    volumes = np.array([cm.volume_and_rate(a) for a in angles])
    inlet = np.array([cm.valve_area(a, cm.INLET_OPENS, cm.INLET_CLOSES, cm.INLET_D, cm.INLET_LIFT) for a in angles])
    exhaust = np.array([cm.valve_area(a, cm.EXHAUST_OPENS, cm.EXHAUST_CLOSES, cm.EXHAUST_D, cm.EXHAUST_LIFT) for a in angles])
    return volumes[:, 0].copy(), volumes[:, 1].copy(), inlet, exhaust


V, DV, A_IN, A_EX = _tables()


@njit
def plan(speed, throttle):
    """Starts, widths in places and straight shares of the time steps of one cycle."""
    starts, strides, linears = np.empty(PLACES // 2, np.int64), np.empty(PLACES // 2, np.int64), np.empty(PLACES // 2)
    per = np.sqrt(2.0) * cm.GAMMA_IN * FAST / STABLE * PLACE / speed
    at, n = 0, 0
    while at < PLACES:
        worst = 0.0
        for k in (at, (at + STRIDE_MOST) % PLACES):
            runner = per * (A_IN[k] + throttle) / cm.RUNNER
            worst = max(worst, runner, per * (A_IN[k] + A_EX[k]) / V[k])
        stride = STRIDE_MOST
        while stride > STRIDE_LEAST and (worst * stride) ** 2 > LINEAR_WANTED:
            stride //= 2
        for event in (INLET_OPENS, INLET_CLOSES, EXHAUST_OPENS, PLACES):
            if at < event < at + stride:
                stride = event - at
        starts[n], strides[n] = at, stride
        linears[n] = min(max((worst * stride) ** 2, LINEAR_LEAST), LINEAR_MOST)
        at += stride
        n += 1
    return starts[:n], strides[:n], linears[:n]


@njit
def step(y, mem, speed, throttle, spark, at, stride, linear, scratch):
    """One Runge–Kutta step from place `at`, with the events at its end."""
    k1, k2, k3, k4, z = scratch[0], scratch[1], scratch[2], scratch[3], scratch[4]
    h = stride * PLACE
    a = -TAU + at * PLACE
    closed = INLET_CLOSES <= at < EXHAUST_OPENS
    lit = 0.0
    if INLET_CLOSES <= at < INLET_OPENS and y[3] < 1.0 - 1e-6:
        lit = min(max((a + h - spark) / h, 0.0), 1.0)
    mid, end = at + stride // 2, at + stride
    cm.rates(a, y, k1, speed, throttle, spark, lit, mem, closed, V[at], DV[at], A_IN[at], A_EX[at], linear)
    for i in range(cm.STATES):
        z[i] = y[i] + 0.5 * h * k1[i]
    cm.rates(a + h / 2, z, k2, speed, throttle, spark, lit, mem, closed, V[mid], DV[mid], A_IN[mid], A_EX[mid], linear)
    for i in range(cm.STATES):
        z[i] = y[i] + 0.5 * h * k2[i]
    cm.rates(a + h / 2, z, k3, speed, throttle, spark, lit, mem, closed, V[mid], DV[mid], A_IN[mid], A_EX[mid], linear)
    for i in range(cm.STATES):
        z[i] = y[i] + h * k3[i]
    cm.rates(a + h, z, k4, speed, throttle, spark, lit, mem, closed, V[end], DV[end], A_IN[end], A_EX[end], linear)
    for i in range(cm.STATES):
        y[i] += h / 6.0 * (k1[i] + 2.0 * k2[i] + 2.0 * k3[i] + k4[i])
    if end == INLET_OPENS:
        y[3] = y[4] = 0.0
    if end == INLET_CLOSES:
        cm.at_inlet_closing(y, mem, V[end])
    if INLET_CLOSES <= end < INLET_OPENS:
        b = a + h
        if b < 0.5 * np.pi and b - 1e-6 * PLACE < spark:
            cm.at_spark(y, mem, V[end])
        y[4] = min(y[4], 1.0)
        y[3] = min(y[3], y[4])


@njit
def cycle(y, mem, speed, throttle, spark, starts, strides, linears, scratch):
    """One cycle."""
    for i in (8, 12, 13, 14, 15, 16, 17):
        y[i] = 0.0
    for n in range(len(starts)):
        step(y, mem, speed, throttle, spark, starts[n], strides[n], linears[n], scratch)


@njit
def near_its_limit(x, n, least):
    """The last two changes, taken as a geometric series, end within the tolerance."""
    if n < 3:
        return False
    before, last = abs(x[n - 2] - x[n - 3]), abs(x[n - 1] - x[n - 2])
    scale = SETTLED * max(abs(x[n - 1]), least)
    shrinks = last / before if before > 0.0 else 0.0
    if max(before, last) < 0.3 * scale:
        return True
    return shrinks < 0.97 and last < 2.0 * scale and last * shrinks < scale * (1.0 - shrinks)


@njit
def settle(y, mem, speed, throttle, advance, steps, work, charge, scratch):
    """Cycles until settled, from the state given. Mean work, charge, residual, settled?, cycles."""
    starts, strides, linears = steps
    settled = False
    n = 0
    while n < MOST_CYCLES:
        cycle(y, mem, speed, throttle, -advance, starts, strides, linears, scratch)
        work[n], charge[n] = y[8], y[12]
        n += 1
        settled = near_its_limit(work, n, LEAST_WORK) and near_its_limit(charge, n, 0.0)
        if settled:
            break
        if n >= ENOUGH_CYCLES:
            first, second = work[n - 2] - work[n - 3], work[n - 1] - work[n - 2]
            if not (first * second > 0.0 and abs(second) < abs(first)):
                break
    tail = 1 if settled else MEAN_OF
    return work[n - tail : n].mean(), charge[n - tail : n].mean(), mem[cm.RESIDUAL], settled, n


@njit(parallel=True)
def surface(speeds, openings, advances):
    """Torque, charge per second and residual over speed, opening, advance; the share that did not settle; cycles run."""
    shape = (len(speeds), len(openings), len(advances))
    torque, charge, residual, unsettled, cycles = np.empty(shape), np.empty(shape), np.empty(shape), np.zeros(shape), np.zeros(shape)
    for task in prange(shape[0] * shape[1]):
        i, j = task // shape[1], task % shape[1]
        y, mem, scratch = np.empty(cm.STATES), np.zeros(5), np.zeros((5, cm.STATES))
        works, charges = np.empty(MOST_CYCLES), np.empty(MOST_CYCLES)
        cm.start(y, speeds[i], openings[j])
        mem[cm.DILUTION] = mem[cm.DENSITY_TOP] = 1.0
        mem[cm.P_CLOSING] = cm.P_AMBIENT
        steps = plan(speeds[i], openings[j])
        for k in range(shape[2]):
            w, c, r, ok, n = settle(y, mem, speeds[i], openings[j], advances[k], steps, works, charges, scratch)
            torque[i, j, k] = w / (4.0 * np.pi)
            charge[i, j, k] = c * speeds[i] / (4.0 * np.pi)
            residual[i, j, k] = r
            unsettled[i, j, k] = 0.0 if ok else 1.0
            cycles[i, j, k] = n
    return torque, charge, residual, unsettled, cycles


def compare(values, torque, charge, unsettled):
    """How far the program's surface lies from this one, where both settle."""
    theirs = np.loadtxt(values)
    least = 0.5e5 * cm.SWEPT / (4.0 * np.pi)
    scale = np.maximum(np.abs(torque), least).ravel()
    off = np.abs(theirs[:, 0] - torque.ravel()) / scale
    off_charge = np.abs(theirs[:, 1] / charge.ravel() - 1.0)
    ok = unsettled.ravel() == 0.0
    return {
        "torque_median": float(np.median(off[ok])),
        "torque_99": float(np.quantile(off[ok], 0.99)),
        "torque_most": float(off[ok].max()),
        "charge_99": float(np.quantile(off_charge[ok], 0.99)),
        "torque_median_unsettled": float(np.median(off[~ok])) if (~ok).any() else 0.0,
    }, off.reshape(torque.shape)


def main():
    arg = lambda name: sys.argv[sys.argv.index(name) + 1] if name in sys.argv else None
    began = time.perf_counter()
    surface(SPEEDS[:1], OPENINGS[:1], ADVANCES[:1])
    compiling = time.perf_counter() - began
    began = time.perf_counter()
    torque, charge, residual, unsettled, cycles = surface(SPEEDS, OPENINGS, ADVANCES)
    seconds = time.perf_counter() - began
    out = {
        "seconds": round(seconds, 3),
        "compile_seconds": round(compiling, 1),
        "points": torque.size,
        "points_per_second": round(torque.size / seconds),
        "unsettled": round(float(unsettled.mean()), 5),
        "cycles": int(cycles.sum()),
        "threads": numba.get_num_threads(),
        "peak_mb": round(cm.peak_mb(), 1),
    }
    if path := arg("--values"):
        np.savetxt(path, np.column_stack([torque.ravel(), charge.ravel(), residual.ravel(), unsettled.ravel()]))
    if path := arg("--compare"):
        out["apart"], _ = compare(path, torque, charge, unsettled)
    print(json.dumps(out))


if __name__ == "__main__":
    main()
