"""Time that ngspice takes for the pulses of one margin curve, beside the program's time for the whole curve.

    cargo run --release -p workshop --example spark_time
    .venv/bin/python bench/spark_ngspice.py target/release/tickover examples/corran-360.toml

The program's figure holds more: how the store fills, what the gap needs, four cases, every plus-minus. ngspice has the pulses alone, one of each speed, with a hundred
steps to the fastest swing in place of a thousand, which is the least that keeps its peaks within a thousandth.
"""

import pathlib
import re
import subprocess
import sys
import tempfile
import time

SPEEDS = [480, 584, 710, 863, 1049, 1275, 1550, 1885, 2292, 2786, 3388, 4119, 5008, 6088, 7402, 9000]


def main():
    program, machine = sys.argv[1:3]
    with tempfile.TemporaryDirectory() as folder:
        files = []
        for speed in SPEEDS:
            path = pathlib.Path(folder) / f"{speed}.cir"
            text = subprocess.run(
                [program, "netlist", machine, "--spark", "--speed", str(speed)], capture_output=True, text=True, check=True
            ).stdout
            coarser = lambda found: f".tran {10 * float(found[1]):.9e} {found[2]} 0 {10 * float(found[3]):.9e} UIC"
            path.write_text(re.sub(r"^\.tran (\S+) (\S+) 0 (\S+) UIC", coarser, text, flags=re.M))
            files.append(path)
        best = float("inf")
        for _ in range(3):
            begun = time.perf_counter()
            for path in files:
                subprocess.run(["ngspice", "-b", str(path)], capture_output=True, check=True, cwd=folder)
            best = min(best, time.perf_counter() - begun)
    print(f"ngspice, {len(SPEEDS)} pulses, best of 3: {1e3 * best:.0f} ms, its start included")


if __name__ == "__main__":
    main()
