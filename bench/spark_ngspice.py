"""The pulses of one margin curve by ngspice, for `bench/run.py`: one line of JSON with the time of all of them and each one's peak.

    .venv/bin/python bench/spark_ngspice.py PROGRAM MACHINE RPM...        (needs ngspice)

PROGRAM writes the netlists (`netlist MACHINE --spark --speed RPM`), which is not in the time. ngspice has the pulses alone, one of each speed, with a hundred steps to the
fastest swing in place of a thousand, which is the least that keeps its peaks within a thousandth; its start is in the time, and told apart. The program's study
holds more: how the store fills, what the gap needs, the cases, every ±.
"""

import json
import pathlib
import re
import subprocess
import sys
import tempfile
import time

RUNS = 3


def ngspice(folder, path):
    return subprocess.run(["ngspice", "-b", str(path)], capture_output=True, check=True, cwd=folder, text=True).stdout


def best_of(what):
    """The fastest of a few runs, and what the last gave."""
    best = float("inf")
    for _ in range(RUNS):
        began = time.perf_counter()
        out = what()
        best = min(best, time.perf_counter() - began)
    return best, out


def coarser(found):
    return f".tran {10 * float(found[1]):.9e} {found[2]} 0 {10 * float(found[3]):.9e} UIC"


def main():
    program, machine, *speeds = sys.argv[1:]
    with tempfile.TemporaryDirectory() as folder:
        files = []
        for k, speed in enumerate(speeds):
            path = pathlib.Path(folder) / f"{k}.cir"
            text = subprocess.run([program, "netlist", machine, "--spark", "--speed", speed], capture_output=True, text=True, check=True).stdout
            path.write_text(re.sub(r"^\.tran (\S+) (\S+) 0 (\S+) UIC", coarser, text, flags=re.M))
            files.append(path)
        nothing = pathlib.Path(folder) / "nothing.cir"
        nothing.write_text("* nothing\nR1 a 0 1\nV1 a 0 1\n.op\n.end\n")
        seconds, outs = best_of(lambda: [ngspice(folder, path) for path in files])
        start, _ = best_of(lambda: [ngspice(folder, nothing) for _ in files])
    peaks = [float(re.search(r"^vpk\s+=\s+(\S+)", out, flags=re.M).group(1)) for out in outs]
    print(json.dumps({"seconds": seconds, "start_seconds": start, "pulses": len(files), "peak_v": peaks}))


if __name__ == "__main__":
    main()
