"""Ten minutes of 96 kHz stereo: the program beside SciPy doing the same filters, and what is found in long noise.

    .venv/bin/python bench/recording.py target/release/tickover

Makes its files in a temporary folder: one by `tickover synthesize`, one by the script of the reference recordings. SciPy takes drift and
hum out of each channel, finds what stands out, and makes times between samples of it; it pairs nothing and judges nothing.
"""

import pathlib
import resource
import subprocess
import sys
import tempfile
import time

import numpy as np
from scipy.io import wavfile
from scipy.ndimage import median_filter
from scipy.signal import find_peaks, iirnotch, lfilter

HERE = pathlib.Path(__file__).resolve().parent
MACHINE = HERE.parent / "examples" / "corran-360.toml"
SECONDS, RATE = 600, 96_000


def timed(command):
    """Wall seconds, and the greatest memory of any child so far, in MB."""
    start = time.perf_counter()
    run = subprocess.run(command, capture_output=True, check=False)
    took = time.perf_counter() - start
    return took, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024, run


def scipy_same(path):
    """The same filters over the whole file at once."""
    start = time.perf_counter()
    rate, data = wavfile.read(path)
    found = []
    for channel in range(2):
        x = data[:, channel].astype(np.float32) / 32768.0
        for hum in (50.0, 150.0):
            b, a = iirnotch(hum, 30.0, rate)
            x = lfilter(b, a, x)
        block = rate // 2000
        means = x[: len(x) // block * block].reshape(-1, block).mean(axis=1)
        line = np.interp(np.arange(len(x)), (np.arange(len(means)) + 0.5) * block, median_filter(means, 7))
        x -= line
        noise = np.median(np.abs(x)) * 1.4826
        peaks, _ = find_peaks(np.abs(x), height=5.5 * noise, distance=int(0.0003 * rate))
        a, b, c = (np.abs(x[np.clip(peaks + d, 0, len(x) - 1)]) for d in (-1, 0, 1))
        found.append(peaks + 0.5 * (a - c) / np.where(a - 2 * b + c == 0, 1, a - 2 * b + c))
    return time.perf_counter() - start, [len(f) for f in found]


def main():
    program = sys.argv[1]
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "long.wav"
        subprocess.run(
            [program, "synthesize", MACHINE, path, "--seconds", str(SECONDS), "--samples", str(RATE), "--sweep-rate", "1000", "--noise", "30",
             "--hum", "0.2"], check=True, capture_output=True)
        best = min(timed([program, "recording", path, "--machine", MACHINE, "--json"])[0] for _ in range(3))
        memory = timed([program, "recording", path, "--machine", MACHINE, "--json"])[1]
        theirs, events = scipy_same(path)
        print(f"{SECONDS} s of {RATE} Hz stereo, {path.stat().st_size / 1e6:.0f} MB: program {best:.2f} s, greatest memory {memory:.0f} MB")
        print(f"SciPy, the same filters and peaks, nothing paired: {theirs:.1f} s, {theirs / best:.1f} times as long, events {events}")
        huge = pathlib.Path(folder) / "huge.wav"
        with open(path, "rb") as f:
            head = f.read(44)
        with open(huge, "wb") as f:
            f.write(head)
            f.truncate(2 * 1024**3)
        took, _, run = timed([program, "recording", huge, "--machine", MACHINE])
        print(f"2 GB, sparse, heading that lies: {took:.1f} s, code {run.returncode}: {run.stderr.decode().strip()[:80]}")


if __name__ == "__main__":
    main()
