"""Runs ngspice over a grid of charging circuits, on netlists that Tickover writes, and keeps what it finds.

    TICKOVER=target/release/tickover .venv/bin/python reference/electric/grid.py            writes grid.csv
    TICKOVER=target/release/tickover .venv/bin/python reference/electric/grid.py --check    compares with it

It needs ngspice (Debian's package of that name). Each netlist's text goes into the table as a checksum, so that a test sees when what is written
is no longer what was run.
"""

import concurrent.futures
import os
import pathlib
import re
import subprocess
import sys
import tempfile

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
# Relative difference allowed between two builds of ngspice, and in amps or volts.
SAME = (2e-3, 2e-3)


def checksum(text):
    """FNV-1a, 64 bits."""
    h = 0xCBF29CE484222325
    for byte in text.encode():
        h = (h ^ byte) * 0x100000001B3 % 2**64
    return f"{h:016x}"


def case(file, rpm, fault):
    command = [TICKOVER, "netlist", HERE / f"{file}.toml", "--speed", str(rpm)] + (["--fault", fault] if fault else [])
    text = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "charge.cir"
        path.write_text(text)
        run = subprocess.run(["ngspice", "-b", path], capture_output=True, text=True, cwd=folder)
    found = dict(re.findall(r"^(\w+)\s+=\s+([-+0-9.eE]+) from=", run.stdout, flags=re.M))
    if "imean" not in found:
        raise SystemExit(f"{file} {rpm} {fault}: ngspice gave nothing\n{run.stdout[-2000:]}{run.stderr[-2000:]}")
    # A broken winding carries nothing and is not measured.
    return [file, str(rpm), fault or "sound"] + [f"{float(found.get(name, 'nan')):.5g}" for name in FOUND] + [checksum(text)]


def main():
    cases = [(file, rpm, fault) for file, speeds, faults in GRID for fault in faults for rpm in speeds]
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        rows = list(pool.map(lambda c: case(*c), cases))
    version = re.search(r"ngspice-([\d.]+)", subprocess.run(["ngspice", "--version"], capture_output=True, text=True).stdout)
    head = [
        "# Charging circuits as ngspice solves them, on netlists written by `tickover netlist` for the machine files beside this one (grid.py).",
        f"# made by ngspice {version.group(1) if version else '?'}, gear method, reltol 1e-5, 800 steps a period. Amps and volts over the last ten periods, with a",
        "# regulator over the last half: mean into plus, its root mean square, that of each winding, mean volts of plus; nan: not there.",
        "file,rpm,fault," + ",".join(FOUND) + ",netlist",
    ]
    if "--check" not in sys.argv:
        TABLE.write_text("\n".join(head + [",".join(r) for r in rows]) + "\n")
        print(f"{len(rows)} rows written")
        return 0
    kept = [line.split(",") for line in TABLE.read_text().splitlines() if not line.startswith("#")][1:]
    failed = [] if len(kept) == len(rows) else [f"{len(kept)} rows kept, {len(rows)} made"]
    for old, new in zip(kept, rows):
        numbers = zip(map(float, old[3:-1]), map(float, new[3:-1]))
        far = [abs(a - b) > SAME[0] * abs(a) + SAME[1] for a, b in numbers if a == a or b == b]
        if old[:3] != new[:3] or old[-1] != new[-1] or any(far):
            failed.append(f"{old} became {new}")
    for what in failed:
        print(what)
    print(f"{len(rows) - len(failed)} passed, {len(failed)} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
