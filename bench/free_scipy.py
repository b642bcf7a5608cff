"""The crank turning freely, by SciPy's error-controlled integrator: the reference for crates/physics/tests/free_peer.rs.

    .venv/bin/python bench/free_scipy.py             writes reference/cycle/free.tsv
    .venv/bin/python bench/free_scipy.py --time      times the twin, one line of JSON

All cylinders, each with a runner of its own, and the crank in one system of ordinary differential equations over the crank angle:

    d(½ J ω²)/dθ = Σ (p − p_ambient) dV/dθ − T_friction(ω),    dt/dθ = 1/ω

The cylinders are those of cycle_model.py. They first settle at the speed at which the crank is let go. LSODA, relative error 1e-8, cut at every valve
event, at every spark and 90° before each firing, where the advance is read off a curve at the mean speed of the last two turns.
"""

import json
import pathlib
import sys
import time

import numpy as np
import scipy
from scipy.integrate import solve_ivp

import cycle_model as cm
from cycle_scipy import LINEAR, MOST_CYCLES, REPEATS, RTOL, SIZES, TAU, cycle

# Half turns that are followed.
HALF_TURNS = 48
# Where the cylinders fire [rad], inertia [kg·m²], speed at which the crank is let go [1/min], push [1], throttle [mm²],
# friction at rest [N·m] and for each rad/s [N·m·s], advance at rest [°] and for each rad/s [°·s]:
# a single with a heavy crank; one with a light crank and a curve; an uneven twin, likewise.
CASES = [
    ([0.0], 0.05, 1200.0, 0.0, 6.0, 2.5, 0.012, 12.0, 0.0),
    ([0.0], 0.02, 1500.0, 0.05, 8.0, 2.5, 0.008, 0.0, 0.1),
    ([0.0, np.pi], 0.01, 1100.0, 0.02, 5.0, 3.5, 0.015, 0.0, 0.12),
]


def wrap(a):
    """Into −2π to 2π."""
    return (a + TAU) % (2.0 * TAU) - TAU


EXHAUST_CLOSES, INLET_CLOSES = wrap(cm.EXHAUST_CLOSES), wrap(cm.INLET_CLOSES)
EXHAUST_OPENS, INLET_OPENS = wrap(cm.EXHAUST_OPENS), wrap(cm.INLET_OPENS)
READ = -0.25 * TAU


def settled(speed, throttle, spark):
    """State and memory of one cylinder at gas-exchange top dead centre once its cycle repeats itself, as in cycle_scipy.settle."""
    y, mem, counts = np.empty(cm.STATES), np.zeros(5), [0]
    cm.start(y, speed, throttle)
    mem[cm.DILUTION] = mem[cm.DENSITY_TOP] = 1.0
    mem[cm.P_CLOSING] = cm.P_AMBIENT
    before, quiet = np.inf, 0
    for _ in range(MOST_CYCLES):
        y, _, _ = cycle(y, mem, speed, throttle, spark, counts)
        quiet = quiet + 1 if abs(y[8] - before) < REPEATS * max(abs(y[8]), 0.5e5 * cm.SWEPT) else 0
        before = y[8]
        if quiet == 2:
            return y, mem
    raise SystemExit("does not repeat itself")


class Cylinder:
    """What a cylinder has beside its state: its place, memory and spark."""

    def __init__(self, fires_at, mem, spark):
        self.fires_at, self.mem, self.spark = fires_at, mem, spark

    def local(self, theta):
        """Its own crank angle, −2π to 2π, firing at 0."""
        return wrap(theta - self.fires_at)

    def marks(self):
        return [EXHAUST_CLOSES, INLET_CLOSES, READ, self.spark, EXHAUST_OPENS, INLET_OPENS, -TAU]

    def rates(self, a, middle, y, dy, speed, throttle):
        """`middle` of the stretch tells between which marks it lies."""
        v, dv = cm.volume_and_rate(a)
        inlet = middle > INLET_OPENS or middle < INLET_CLOSES
        exhaust = middle > EXHAUST_OPENS or middle < EXHAUST_CLOSES
        a_in = cm.valve_area(a, cm.INLET_OPENS, cm.INLET_CLOSES, cm.INLET_D, cm.INLET_LIFT) if inlet else 0.0
        a_ex = cm.valve_area(a, cm.EXHAUST_OPENS, cm.EXHAUST_CLOSES, cm.EXHAUST_D, cm.EXHAUST_LIFT) if exhaust else 0.0
        lit = 1.0 if self.spark < middle < INLET_OPENS else 0.0
        closed = INLET_CLOSES < middle < EXHAUST_OPENS
        cm.rates(a, y, dy, speed, throttle, self.spark, lit, self.mem, closed, v, dv, a_in, a_ex, LINEAR)
        return (cm.pressure(y, v) - cm.P_AMBIENT) * dv


def near(a, b):
    return abs(wrap(a - b)) < 1e-9


def turn(cylinders, state, inertia, throttle, friction, begin, end, speed=None, read=None, halves=()):
    """From crank angle `begin` to `end`. `state` is all cylinders, ½Jω² and time; with a `speed` the crank is held to it.

    `read(time)` gives the advance [rad] for the next spark. Returns the state and (time, speed) at the angles `halves`."""
    got, theta, of = [], begin, cm.STATES

    def f(x, y, middle):
        dy = np.empty(len(y))
        n = speed or np.sqrt(2.0 * y[-2] / inertia)
        work = sum(
            c.rates(c.local(middle) + x - middle, c.local(middle), y[of * k : of * (k + 1)], dy[of * k : of * (k + 1)], n, throttle)
            for k, c in enumerate(cylinders)
        )
        dy[-2] = 0.0 if speed else work - friction(n)
        dy[-1] = 1.0 / n
        return dy

    atol = 1e-9 * np.concatenate([np.tile(SIZES, len(cylinders)), [10.0, 1e-2]])
    while theta < end - 1e-9:
        ahead = [(wrap(m - c.local(theta)) % (2.0 * TAU)) for c in cylinders for m in c.marks()]
        ahead += [h - theta for h in halves if h > theta + 1e-9] + [end - theta]
        stop = theta + min(x for x in ahead if x > 1e-9)
        middle = 0.5 * (theta + stop)
        sol = solve_ivp(f, (theta, stop), state, args=(middle,), method="LSODA", rtol=RTOL, atol=atol, max_step=0.05)
        assert sol.success, sol.message
        state, theta = sol.y[:, -1].copy(), stop
        for k, c in enumerate(cylinders):
            y, a = state[of * k : of * (k + 1)], c.local(theta)
            v = cm.volume_and_rate(a)[0]
            if near(a, INLET_CLOSES):
                cm.at_inlet_closing(y, c.mem, v)
            if near(a, READ) and read:
                c.spark = -read(theta, state[-1])
            if near(a, c.spark):
                cm.at_spark(y, c.mem, v)
            if near(a, INLET_OPENS):
                y[3] = y[4] = 0.0
        if any(abs(theta - h) < 1e-9 for h in halves):
            got.append((state[-1], np.sqrt(2.0 * state[-2] / inertia)))
    return state, got


def run(fires_at, inertia, rpm, push, mm2, at_rest, slope, advance_at_rest, advance_slope):
    """Time [s] and speed [rad/s] at every half turn."""
    speed, throttle = rpm * np.pi / 30.0, mm2 * 1e-6
    advance = lambda n: np.radians(advance_at_rest + advance_slope * n)
    cylinders, states = [], []
    for at in fires_at:
        y, mem = settled(speed, throttle, -advance(speed))
        c = Cylinder(0.0, mem, -advance(speed))
        # The crank begins at the first cylinder's gas-exchange top dead centre; the others are further on by then.
        part = (2.0 * TAU - at) % (2.0 * TAU)
        if part:
            y = turn([c], np.append(y, [0.0, 0.0]), inertia, throttle, None, -TAU, -TAU + part, speed=speed)[0][:-2]
        c.fires_at = at
        cylinders.append(c)
        states.append(y)
    let_go = speed * (1.0 + push)
    state = np.concatenate([*states, [0.5 * inertia * let_go**2, 0.0]])
    # Mean speed of the last two turns at the places where the curve is read.
    times = {}

    def read(theta, time):
        times[round(theta, 6)] = time
        since = times.get(round(theta - 2.0 * TAU, 6))
        return advance(let_go if since is None else 2.0 * TAU / (time - since))

    halves = [-TAU + 0.5 * TAU * k for k in range(1, HALF_TURNS + 1)]
    return turn(cylinders, state, inertia, throttle, lambda n: at_rest + slope * n, -TAU, halves[-1], read=read, halves=halves)[1]


def timed():
    """The last case once more."""
    fires_at, *case = CASES[-1]
    began = time.perf_counter()
    got = run(fires_at, *case)
    print(json.dumps({"seconds": round(time.perf_counter() - began, 3), "engine_seconds": round(got[-1][0], 4)}))


def main():
    if "--time" in sys.argv:
        return timed()
    to = pathlib.Path(__file__).resolve().parent.parent / "reference" / "cycle" / "free.tsv"
    lines = [
        "# The crank let go, one or two cylinders motorcycle(45, 1) of crates/physics/tests/common/mod.rs, at every half turn",
        f"# SciPy {scipy.__version__} LSODA, rtol {RTOL:g}; made by bench/free_scipy.py from the equations in bench/cycle_model.py",
        "# case\tinertia [kg·m²]\tspeed [1/min]\tpush [1]\tthrottle [mm²]\tfriction [N·m]\t[N·m·s]\tadvance [°]\t[°·s]\tfires at [rad] ...",
        "# at\ttime [s]\tspeed [rad/s]",
    ]
    for fires_at, *case in CASES:
        lines.append("\t".join(["case"] + [f"{x:.9g}" for x in [*case, *fires_at]]))
        got = run(fires_at, *case)
        lines += [f"at\t{time:.9g}\t{speed:.9g}" for time, speed in got]
        print(lines[-1 - len(got)], *(f"{t:.5f} {n * 30.0 / np.pi:.2f}" for t, n in got[3::4]), sep="\n", flush=True)
    to.write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
