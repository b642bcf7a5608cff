"""Runs ngspice over a grid of charging circuits, on netlists that Tickover writes, and keeps what it finds.

    TICKOVER=target/release/tickover .venv/bin/python reference/electric/grid.py            writes grid.csv
    TICKOVER=target/release/tickover .venv/bin/python reference/electric/grid.py --check    compares with it

It needs ngspice (Debian's package of that name). Each netlist's text goes into the table as a checksum, so that a test sees when what is written
is no longer what was run.
"""

import os
import pathlib
import subprocess
import sys

from ngspice import keep, measured, version

HERE = pathlib.Path(__file__).resolve().parent
TABLE = HERE / "grid.csv"
TICKOVER = os.environ.get("TICKOVER", "tickover")

# Machine file, crank speeds [rpm], faults.
GRID = [
    ("half-wave", [1200, 2000, 4000, 7500], ["", "weak-magnets"]),
    ("full-wave", [1200, 2000, 4000, 7500], ["", "open-diode", "shorted-diode", "weak-magnets"]),
    ("star", [1200, 2000, 4000, 7500], ["", "dead-phase", "open-diode", "shorted-diode", "weak-magnets"]),
    ("delta", [1200, 2000, 4000, 7500], ["", "dead-phase", "open-diode", "shorted-diode", "weak-magnets"]),
    ("shunt", [1500, 3000, 6000], [""]),
    ("series", [1500, 3000, 6000], [""]),
]
FOUND = ["imean", "irms", "iw1", "iw2", "iw3", "vmean"]


def checksum(text):
    """FNV-1a, 64 bits."""
    h = 0xCBF29CE484222325
    for byte in text.encode():
        h = (h ^ byte) * 0x100000001B3 % 2**64
    return f"{h:016x}"


def row(case):
    file, rpm, fault = case
    command = [TICKOVER, "netlist", HERE / f"{file}.toml", "--speed", str(rpm)] + (["--fault", fault] if fault else [])
    text = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    found = measured(text, case)
    # A broken winding carries nothing and is not measured.
    return [file, str(rpm), fault or "sound"] + [f"{found.get(name, float('nan')):.5g}" for name in FOUND] + [checksum(text)]


def main():
    cases = [(file, rpm, fault) for file, speeds, faults in GRID for fault in faults for rpm in speeds]
    head = [
        "# Charging circuits as ngspice solves them, on netlists written by `tickover netlist` for the machine files beside this one (grid.py).",
        f"# made by ngspice {version()}, gear method, reltol 1e-5, 800 steps a period. Amps and volts over the last ten periods, with a",
        "# regulator over the last half: mean into plus, its root mean square, that of each winding, mean volts of plus; nan: not there.",
        "file,rpm,fault," + ",".join(FOUND) + ",netlist",
    ]
    return keep(TABLE, head, cases, row, slice(3, -1))


if __name__ == "__main__":
    sys.exit(main())
