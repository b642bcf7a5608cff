"""The crank turning freely for a minute, by Numba: the twin of `free_time` of the physics crate, by explicit time steps.

    .venv/bin/python bench/free_numba.py

Prints one line of JSON. Two cylinders with runners of their own, the steps of cycle_numba.py, and after every 2° of crank angle

    d(½ J ω²)/dθ = Σ (p − p_ambient) dV/dθ − T_friction(ω).
"""

import json
import time

import numpy as np
from numba import njit

import cycle_model as cm
from cycle_numba import PLACE, PLACES, RPM, V, cycle, plan, step

# As in crates/physics/examples/free_time.rs.
FIRES_AT = (0, PLACES // 4)
INERTIA, OPENING, START, SECONDS, MEAN_OF = 0.0115, 5e-6, 1100.0 * RPM, 60.0, 20.0
FRICTION, FRICTION_SLOPE, ADVANCE_SLOPE = 3.0, 0.02, np.radians(0.1)
COUPLED = 16
# Cycles at the starting speed before the crank is let go; where the curve is read, in places before firing.
BEFORE, READ = 12, PLACES // 8


@njit
def turn(seconds):
    """Mean speed of the last `MEAN_OF` seconds, and turns made."""
    cylinders = len(FIRES_AT)
    ys, mems = np.empty((cylinders, cm.STATES)), np.zeros((cylinders, 5))
    scratch = np.zeros((5, cm.STATES))
    sparks, ats = np.empty(cylinders), np.empty(cylinders, np.int64)
    stride_of, linear_of = np.zeros(PLACES, np.int64), np.zeros(PLACES)
    speed, mean = START, START
    starts, strides, linears = plan(speed, OPENING)
    for c in range(cylinders):
        y, mem = ys[c], mems[c]
        cm.start(y, speed, OPENING)
        mem[cm.DILUTION] = mem[cm.DENSITY_TOP] = 1.0
        mem[cm.P_CLOSING] = cm.P_AMBIENT
        sparks[c] = -ADVANCE_SLOPE * mean
        for _ in range(BEFORE):
            cycle(y, mem, speed, OPENING, sparks[c], starts, strides, linears, scratch)
        # Firing later by so much, a cylinder is so much earlier in its own cycle.
        ahead = (PLACES - FIRES_AT[c]) % PLACES
        for n in range(len(starts)):
            if starts[n] < ahead:
                step(y, mem, speed, OPENING, sparks[c], starts[n], min(strides[n], ahead - starts[n]), linears[n], scratch)
        ats[c] = ahead
    energy, now, place, turned = 0.5 * INERTIA * speed**2, 0.0, 0, 0.0
    cycle_began, angle_after, time_after = 0.0, 0.0, 0.0
    while now < seconds:
        if place % PLACES == 0:
            if now > 0.0:
                mean = PLACES * PLACE / (now - cycle_began)
            cycle_began = now
            starts, strides, linears = plan(mean, OPENING)
            for n in range(len(starts)):
                for at in range(starts[n], starts[n] + strides[n]):
                    stride_of[at], linear_of[at] = starts[n] + strides[n] - at, linears[n]
        work = 0.0
        for c in range(cylinders):
            y = ys[c]
            before, volume = y[8], V[ats[c]]
            end = ats[c] + COUPLED
            while ats[c] < end:
                at = ats[c]
                if at == PLACES // 2 - READ:
                    sparks[c] = -ADVANCE_SLOPE * mean
                stride = min(stride_of[at], end - at)
                step(y, mems[c], speed, OPENING, sparks[c], at, stride, linear_of[at], scratch)
                ats[c] += stride
            work += y[8] - before - cm.P_AMBIENT * (V[end] - volume)
            ats[c] %= PLACES
        width = COUPLED * PLACE
        dt = width / speed
        now += dt
        energy += work - (FRICTION + FRICTION_SLOPE * speed) * width
        if energy <= 0.0:
            return 0.0, turned
        speed = np.sqrt(2.0 * energy / INERTIA)
        place += COUPLED
        turned += width
        if now > seconds - MEAN_OF:
            angle_after += width
            time_after += dt
    return angle_after / time_after, turned


def main():
    began = time.perf_counter()
    turn(0.1)
    compiling = time.perf_counter() - began
    began = time.perf_counter()
    mean, turned = turn(SECONDS)
    out = {
        "seconds": round(time.perf_counter() - began, 3),
        "compile_seconds": round(compiling, 1),
        "engine_seconds": SECONDS,
        "turns": round(turned / (2.0 * np.pi)),
        "mean_rpm": round(mean / RPM, 2),
    }
    print(json.dumps(out))


if __name__ == "__main__":
    main()
