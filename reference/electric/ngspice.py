"""What the scripts of this folder share: a netlist run by ngspice, and a table that is written or compared with. It writes nothing by itself."""

import concurrent.futures
import os
import pathlib
import re
import subprocess
import sys
import tempfile

# Relative difference allowed between two builds of ngspice, and in amps or volts.
SAME = (2e-3, 2e-3)


def measured(netlist, what):
    """Runs a netlist; what its `.meas` lines found, by name."""
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "charge.cir"
        path.write_text(netlist)
        run = subprocess.run(["ngspice", "-b", path], capture_output=True, text=True, cwd=folder)
    found = {name: float(x) for name, x in re.findall(r"^(\w+)\s+=\s+([-+0-9.eE]+) from=", run.stdout, flags=re.M)}
    if not found:
        raise SystemExit(f"{what}: ngspice gave nothing\n{run.stdout[-2000:]}{run.stderr[-2000:]}")
    return found


def version():
    found = re.search(r"ngspice-([\d.]+)", subprocess.run(["ngspice", "--version"], capture_output=True, text=True).stdout)
    return found.group(1) if found else "?"


def keep(table, head, cases, row, numbers):
    """Makes a row of texts of each case, and writes the table; with `--check` compares with it. The columns `numbers` may differ by SAME, the others not at all. Returns what the
    script ends with."""
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        rows = list(pool.map(row, cases))
    if "--check" not in sys.argv:
        table.write_text("\n".join(head + [",".join(r) for r in rows]) + "\n")
        print(f"{len(rows)} rows written")
        return 0
    kept = [line.split(",") for line in table.read_text().splitlines() if not line.startswith("#")][1:]
    failed = [] if len(kept) == len(rows) else [f"{len(kept)} rows kept, {len(rows)} made"]
    for old, new in zip(kept, rows):
        pairs = zip(map(float, old[numbers]), map(float, new[numbers]))
        # Not a number in both is the same.
        far = [abs(a - b) > SAME[0] * abs(a) + SAME[1] or (a == a) != (b == b) for a, b in pairs]
        texts = [[text for i, text in enumerate(r) if i not in range(len(r))[numbers]] for r in (old, new)]
        if texts[0] != texts[1] or any(far):
            failed.append(f"{old} became {new}")
    for what in failed:
        print(what)
    print(f"{len(rows) - len(failed)} passed, {len(failed)} failed")
    return 1 if failed else 0
