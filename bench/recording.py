"""Ten minutes of 96 kHz stereo by the program and by SciPy doing the same filters, for `bench/run.py`: one line of JSON.

    .venv/bin/python bench/recording.py PROGRAM

Makes its files in a temporary folder, by `PROGRAM synthesize`. SciPy takes drift and hum out of each channel, finds what stands out, and makes times between samples of it; it
pairs nothing and judges nothing. Then a sparse file of two gigabytes, silence from end to end, for time and memory; and half an hour of such a signal at half the rate, for the
memory that three times as many firings take.
"""

import json
import os
import pathlib
import struct
import subprocess
import sys
import tempfile
import time

HERE = pathlib.Path(__file__).resolve().parent
MACHINE = HERE.parent / "examples" / "corran-360.toml"
SECONDS, RATE, RUNS = 600, 96_000, 3
LONGER_SECONDS, LONGER_RATE = 1800, 48_000
SPARSE_BYTES = 2 * 1024**3


def timed(*command):
    """What a command prints, its exit code, its wall seconds and its greatest memory in MB."""
    began = time.perf_counter()
    child = subprocess.Popen([str(c) for c in command], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
    text = child.stdout.read()
    _, status, usage = os.wait4(child.pid, 0)
    return text, os.waitstatus_to_exitcode(status), time.perf_counter() - began, usage.ru_maxrss / 1024


def scipy_same(path):
    """The same filters over the whole file at once: peaks of each channel."""
    import numpy as np
    from scipy.io import wavfile
    from scipy.ndimage import median_filter
    from scipy.signal import find_peaks, iirnotch, lfilter

    began = time.perf_counter()
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
        times = peaks + 0.5 * (a - c) / np.where(a - 2 * b + c == 0, 1, a - 2 * b + c)
        found.append(len(times))
    return time.perf_counter() - began, found


def make(program, path, seconds, rate):
    subprocess.run(
        [program, "synthesize", MACHINE, path, "--seconds", str(seconds), "--samples", str(rate), "--sweep-rate", "1000", "--noise", "30",
         "--hum", "0.2"], check=True, capture_output=True)


def main():
    if sys.argv[1] == "--scipy":
        seconds, found = scipy_same(sys.argv[2])
        print(json.dumps({"seconds": seconds, "peaks": found}))
        return
    program = pathlib.Path(sys.argv[1]).resolve()
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        path, longer, sparse = folder / "long.wav", folder / "longer.wav", folder / "sparse.wav"
        make(program, path, SECONDS, RATE)
        hear = lambda file: timed(program, "recording", file, "--machine", MACHINE, "--json")
        runs = [hear(path) for _ in range(RUNS)]
        found = json.loads(runs[0][0])["ignition"]
        scipy = timed(sys.executable, __file__, "--scipy", path)
        theirs = json.loads(scipy[0])
        make(program, longer, LONGER_SECONDS, LONGER_RATE)
        longer_run = hear(longer)
        longer.unlink()
        with open(path, "rb") as f:
            head = bytearray(f.read(44))
        head[4:8], head[40:44] = struct.pack("<I", SPARSE_BYTES - 8), struct.pack("<I", SPARSE_BYTES - 44)
        with open(sparse, "wb") as f:
            f.write(head)
            f.truncate(SPARSE_BYTES)
        silent = hear(sparse)
        print(json.dumps({
            "length_s": SECONDS, "rate_hz": RATE, "megabytes": path.stat().st_size / 1e6, "seconds": min(r[2] for r in runs), "memory_mb": max(r[3] for r in runs),
            "turns": found["turns"], "firings": found["firings"], "longer_s": LONGER_SECONDS, "longer_memory_mb": longer_run[3], "longer_firings": json.loads(longer_run[0])["ignition"]["firings"],
            "scipy_seconds": theirs["seconds"], "scipy_memory_mb": scipy[3], "scipy_peaks": theirs["peaks"],
            "sparse_gb": SPARSE_BYTES / 1e9, "sparse_length_s": (SPARSE_BYTES - 44) / 4 / RATE, "sparse_seconds": silent[2], "sparse_memory_mb": silent[3],
            "sparse_code": silent[1],
        }))


if __name__ == "__main__":
    main()
