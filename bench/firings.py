"""Firings missed and invented, and how near each advance comes, over many thousands of firings made by SciPy in noise of a tenth of the pulses as they are recorded (20 dB).

    .venv/bin/python bench/firings.py target/release/tickover [RECORDINGS [DB]]

Each recording is 25 s at 48 kHz, up and down between 900 and 6000 rpm at up to 2000 rpm a second, by the functions of `reference/recording/make.py`, whose rotor leads by 36° and
has a segment of 40°. A firing is found where one is told within half a millisecond of it.
"""

import csv
import pathlib
import subprocess
import sys
import tempfile

import numpy as np
from scipy.io import wavfile

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "reference" / "recording"))
import make  # noqa: E402

MACHINE = HERE.parent / "examples" / "corran-360.toml"
RATE, SECONDS, NEAR_S = 48_000, 25.0, 0.5e-3


def course(rng):
    points = [(0.0, 1200.0)]
    while points[-1][0] < SECONDS:
        t, rpm = points[-1]
        to = rng.uniform(900.0, 6000.0)
        points.append((t + abs(to - rpm) / rng.uniform(500.0, 2000.0) + rng.uniform(0.3, 1.0), to))
    return points


def main():
    program = sys.argv[1]
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 8
    noise = 10 ** (-(float(sys.argv[3]) if len(sys.argv) > 3 else 20.0) / 20)
    made = missed = invented = 0
    off = []
    with tempfile.TemporaryDirectory() as folder:
        path, table = pathlib.Path(folder) / "made.wav", pathlib.Path(folder) / "heard.csv"
        for k in range(count):
            rng = np.random.default_rng(500 + k)
            crank = make.Crank(course(rng))
            fine = make.grid(crank, RATE)
            times = make.spark_times(crank)
            a, b = make.at_rate(make.trigger(crank, fine)), make.at_rate(make.spark(times, fine, RATE, rng))
            a += noise * 0.9 * crank.speed(fine[:: make.FINER]) / 300.0 * rng.standard_normal(len(a))
            # A spark's jump loses a third of its height to the rate.
            tops = [np.abs(b[int(t * RATE) - 2 : int(t * RATE) + 8]).max() for t in times]
            b += noise * np.median(tops) * rng.standard_normal(len(b))
            data = np.clip(np.stack([a, b], axis=-1) / 2.6, -1.0, 1.0)
            wavfile.write(path, RATE, np.round(data * 32767).astype(np.int16))
            table.unlink(missing_ok=True)
            subprocess.run([program, "recording", path, "--machine", MACHINE, "--csv", table], check=True, capture_output=True)
            lines = (line for line in table.read_text().splitlines() if not line.startswith("#"))
            rows = [row for row in csv.DictReader(lines) if row["event"] in ("fires", "stray")]
            heard = np.array([float(row["time_s"]) for row in rows])
            told = np.array([float(row["advance_deg"] or "nan") for row in rows])
            # What lies outside of the first and last turn heard cannot be told.
            inside = (times > heard[0] - NEAR_S) & (times < heard[-1] + NEAR_S)
            nearest = lambda x, to: np.abs(to[np.clip(np.searchsorted(to, x), 1, len(to) - 1)] - x)
            gap = lambda x, to: np.minimum(nearest(x, to), np.abs(to[np.clip(np.searchsorted(to, x) - 1, 0, len(to) - 1)] - x))
            made += inside.sum()
            missed += (gap(times[inside], heard) > NEAR_S).sum()
            invented += (gap(heard, times) > NEAR_S).sum()
            found = gap(heard, times) <= NEAR_S
            off.append(np.abs(told - make.advance(crank.speed(heard)) / make.DEG)[found])
    off = np.concatenate(off)
    off = off[np.isfinite(off)]
    print(f"{made} firings: {missed} missed, {invented} invented; advance within {np.quantile(off, 0.95):.3f}° for 95 of 100, within {off.max():.2f}° for all")


if __name__ == "__main__":
    main()
