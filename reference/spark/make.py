"""What ngspice makes of the netlists in this folder, which the program wrote: greatest voltage at the plug, when it comes, and its rise.

    .venv/bin/python reference/spark/make.py        (and Debian's ngspice)

A netlist that changes is written by `UPDATE_NETLISTS=1 cargo test -p tickover --test spark_netlist`. The order of the rows is that of the test.
"""

import pathlib
import re
import subprocess

HERE = pathlib.Path(__file__).resolve().parent
COILS = ("cdi", "coil")
LOADS = ("clean", "1m", "100k")
FEEDS = ("thyristor", "small", "back", "closed", "points", "transistor")


def measured(text, name):
    found = re.search(rf"^{name}\s*=\s*([-+0-9.eE]+)", text, re.M)
    if not found:
        raise SystemExit(f"no {name} in:\n{text}")
    return float(found.group(1))


def main():
    version = subprocess.run(["ngspice", "--version"], capture_output=True, text=True).stdout
    version = re.search(r"ngspice-(\S+)", version).group(1)
    rows = []
    for coil in COILS:
        for load in LOADS:
            for feed in FEEDS:
                name = f"{coil}-{load}-{feed}"
                run = subprocess.run(["ngspice", "-b", str(HERE / f"{name}.cir")], capture_output=True, text=True, cwd=HERE)
                text = run.stdout + run.stderr
                rows.append((name, measured(text, "vpk"), measured(text, "tpk"), measured(text, "rise")))
    lines = [
        "# A coil's pulse with no spark at the plug: greatest voltage [V], when it comes [s], rise from a tenth to nine tenths [s].",
        "# From the netlists beside this table, a thousand steps to the fastest swing, Gear's method.",
        f"# made by reference/spark/make.py with ngspice {version}",
        "name,peak_v,peak_s,rise_s",
    ]
    lines += [f"{n},{v:.6e},{t:.6e},{r:.6e}" for n, v, t, r in rows]
    (HERE / "grid.csv").write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
