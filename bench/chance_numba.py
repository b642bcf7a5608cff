"""The same sampled engines laid out by NumPy and Numba: which of them hang.

    .venv/bin/python bench/chance_numba.py FILE        (written by the program's example chance_time --values FILE)

One line of JSON. What was drawn for each case comes from the file; the interpolation of the weighted maps, the opening that holds the idle and the search for
torque to spare above it are written here a second time.
"""

import json
import sys
import time

import numba
import numpy as np

APART = 1.10
RUNS = 3


@numba.njit(fastmath=False)
def stencil(first, step, count, x, w):
    u = min(max((x - first) / step, 0.0), count - 1.0)
    at = min(max(int(u) - 1, 0), count - 4)
    p = u - (at + 1)
    w[0] = -p * (p - 1) * (p - 2) / 6
    w[1] = (p * p - 1) * (p - 2) / 2
    w[2] = -p * (p + 1) * (p - 2) / 2
    w[3] = p * (p * p - 1) / 6
    return at


@numba.njit(fastmath=False)
def net(column, axis, count, x, w):
    at = stencil(axis[0], axis[1], count, x, w)
    return w[0] * column[at] + w[1] * column[at + 1] + w[2] * column[at + 2] + w[3] * column[at + 3]


@numba.njit(parallel=True, fastmath=False)
def hangs(maps, axes, idle, idle_friction, weights, idle_advance, friction, advance):
    """1 hangs, 0 does not, -1 no opening holds the idle. Maps: speed, advance, opening, map."""
    speeds, advances, openings, count = maps.shape
    cases, cylinders = idle_advance.shape
    out = np.empty(cases, np.int8)
    for c in numba.prange(cases):
        ws, wa, wo = np.empty(4), np.empty(4), np.empty(4)
        column = np.full(openings, -idle_friction[c])
        at = stencil(axes[0, 0], axes[0, 1], speeds, np.log(idle[c]), ws)
        for y in range(cylinders):
            k0 = stencil(axes[1, 0], axes[1, 1], advances, idle_advance[c, y], wa)
            for i in range(4):
                for k in range(4):
                    for a in range(openings):
                        t = 0.0
                        for m in range(count):
                            t += weights[c, m] * maps[at + i, k0 + k, a, m]
                        column[a] += ws[i] * wa[k] * t
        j = -1
        if column[0] <= 0.0:
            for a in range(openings - 1):
                if column[a] <= 0.0 and column[a + 1] > 0.0:
                    j = a
                    break
        if j < 0:
            out[c] = -1
            continue
        low, high = axes[2, 0] + axes[2, 1] * j, axes[2, 0] + axes[2, 1] * (j + 1)
        for _ in range(60):
            middle = 0.5 * (low + high)
            if net(column, axes[2], openings, middle, wo) > 0.0:
                high = middle
            else:
                low = middle
        a0 = stencil(axes[2, 0], axes[2, 1], openings, 0.5 * (low + high), wo)
        limit = idle[c] * APART
        before = 0.0
        found = 0
        for n in range(speeds):
            speed = np.exp(axes[0, 0] + axes[0, 1] * n)
            if n + 1 < speeds and np.exp(axes[0, 0] + axes[0, 1] * (n + 1)) <= limit:
                continue
            torque = 0.0
            for y in range(cylinders):
                k0 = stencil(axes[1, 0], axes[1, 1], advances, advance[c, n, y], wa)
                for k in range(4):
                    for a in range(4):
                        t = 0.0
                        for m in range(count):
                            t += weights[c, m] * maps[n, k0 + k, a0 + a, m]
                        torque += wa[k] * wo[a] * t
            spare = torque / friction[c, n] - 1.0
            if speed <= limit:
                before = spare
                previous = speed
                continue
            here = spare
            if n > 0 and np.exp(axes[0, 0] + axes[0, 1] * (n - 1)) <= limit:
                edge = before + (limit - previous) / (speed - previous) * (spare - before)
                here = max(here, edge)
            if here > 0.0:
                found = 1
                break
        out[c] = found
    return out


def read(path):
    data = np.fromfile(path, "<f8")
    count, speeds, advances, openings, cylinders, cases = data[:6].astype(int)
    axes = data[6:12].reshape(3, 2)
    end = 12 + count * speeds * advances * openings
    maps = np.ascontiguousarray(data[12:end].reshape(count, speeds, advances, openings).transpose(1, 2, 3, 0))
    rows = data[end:].reshape(cases, 2 + count + cylinders + speeds * (1 + cylinders))
    head = 2 + count
    along = rows[:, head + cylinders :].reshape(cases, speeds, 1 + cylinders)
    own = np.ascontiguousarray
    return (maps, axes, own(rows[:, 0]), own(rows[:, 1]), own(rows[:, 2:head]), own(rows[:, head : head + cylinders]),
            own(along[:, :, 0]), own(along[:, :, 1:]))


def main():
    args = read(sys.argv[1])
    began = time.perf_counter()
    out = hangs(*args)
    compiling = time.perf_counter() - began
    seconds = np.inf
    for _ in range(RUNS):
        began = time.perf_counter()
        out = hangs(*args)
        seconds = min(seconds, time.perf_counter() - began)
    print(json.dumps({
        "seconds": round(seconds, 4),
        "compile_seconds": round(compiling, 1),
        "cases": int((out >= 0).sum()),
        "cases_per_second": round(out.size / seconds),
        "hanging": int((out == 1).sum()),
        "threads": numba.get_num_threads(),
    }))


if __name__ == "__main__":
    main()
