"""Makes every reference table again in a temporary folder and compares it with the committed one.

    .venv/bin/python reference/recheck.py        (packages: bench/requirements.txt)

Prints a line for each table and at the end `N passed, M failed`. A script or a table that is not named below is an
error, so that none can be forgotten. `reference/nist` is data of others, kept as it was published, and not made here.
"""

import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

HERE = pathlib.Path(__file__).resolve().parent

# Script, and the tables that it writes beside itself.
WRITES = {
    "alike/make.py": ["alike/bayes.csv"],
    "chance/make.py": ["chance/indices.csv"],
    "curve/make.py": ["curve/bob_weights.csv", "curve/pickup.csv", "curve/slider_crank.csv", "curve/strobe_ramp.csv"],
    "fault/enumerate.py": ["fault/enumerated.csv"],
    "fault/heard.py": ["fault/heard.csv"],
    "fault/together.py": ["fault/together.csv"],
    "fault/marks.py": ["fault/marks.csv", "fault/marks_curve.csv"],
    "fault/network.py": ["fault/network.csv"],
    "part/make.py": ["part/prices.csv", "part/within.csv"],
    "recording/make.py": [f"recording/{t}.{kind}" for t in ("exhaust", "hard", "kick", "sweep") for kind in ("csv", "wav")] + ["recording/pickups.wav"],
    "recording/within_turn.py": ["recording/within_turn.csv", "recording/within_turn_passes.csv"],
    "rotor/make.py": ["rotor/cup.csv"],
    "rotor/joints.py": [f"rotor/{t}.csv" for t in ("cones", "meter", "poles", "recoil", "rings", "shear_lag", "trial_runs")],
    "spark/make.py": ["spark/grid.csv"],
    "thermo/make.py": ["thermo/burn.tsv", "thermo/fresh.tsv"],
}
# What several scripts share; it writes nothing.
SHARED = {"electric/ngspice.py", "fault/data.py"}
# Data of the program that scripts read.
READS = ["crates/workshop/src/study/fault/faults.toml"]
# Script outside this folder, and the tables that it writes here.
OUTSIDE = {"bench/cycle_scipy.py": ["cycle/points.tsv"], "bench/free_scipy.py": ["cycle/free.tsv"]}
# Script, and the tables that it writes beside itself, which a step of `./check` of its own makes again: they need ngspice, and one of them the program.
APART = {"electric/grid.py": ["electric/grid.csv"], "electric/plain.py": ["electric/plain.csv"]}
# Script, and the table that it prints.
PRINTS = {"posterior.py": "posterior.csv", "rest_folds.py": "rest-folds.csv"}
# Tables that no script makes: read in a standard or a handbook, kept by hand.
KEPT_BY_HAND = {"part/bearings.csv", "part/threads.csv"}

# Relative difference allowed between two builds of the same libraries. They round differently in the last digits, and a
# numerically differentiated or fitted value passes that on enlarged; no test that reads these tables is as strict.
SAME = 1e-6
# A value this small beside the largest of its column [1] is zero and only rounding.
ZERO = 1e-9
# Steps of 16 bits by which a sample may differ [1]: sums in another order round otherwise.
SAME_STEPS = 2
NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")


def rows(path):
    """Text with numbers taken out, and the numbers; library versions may differ, so the lines that tell them are left out."""
    lines = [line for line in path.read_text().splitlines() if "made by" not in line]
    return [(NUMBER.sub("#", line), [float(x) for x in NUMBER.findall(line)]) for line in lines]


def wave_differs(committed, made):
    """The same for two recordings of 16 bits with 44 bytes of heading."""
    old, new = committed.read_bytes(), made.read_bytes()
    if old[:44] != new[:44] or len(old) != len(new):
        return "another heading or length"
    samples = [[int.from_bytes(b[i : i + 2], "little", signed=True) for i in range(44, len(b) - 1, 2)] for b in (old, new)]
    worst = max(abs(x - y) for x, y in zip(*samples))
    return f"samples differ by up to {worst}" if worst > SAME_STEPS else ""


def differences(committed, made):
    """What differs, in words; empty if nothing does."""
    if committed.suffix == ".wav":
        return wave_differs(committed, made)
    old, new = rows(committed), rows(made)
    if [text for text, _ in old] != [text for text, _ in new]:
        return f"other rows or headings ({len(old)} lines committed, {len(new)} made)"
    largest = {}
    for text, numbers in old:
        for i, x in enumerate(numbers):
            largest[text, i] = max(largest.get((text, i), 0.0), abs(x))
    worst = 0.0
    for (text, a), (_, b) in zip(old, new):
        for i, (x, y) in enumerate(zip(a, b)):
            allowed = SAME * abs(x) + ZERO * largest[text, i]
            worst = max(worst, abs(x - y) / allowed if allowed else float(x != y) * float("inf"))
    return f"differs by {worst:.3g} times what is allowed" if worst > 1.0 else ""


def main():
    apart = {t for made in APART.values() for t in made}
    known = set(WRITES) | set(APART) | apart | set(PRINTS) | SHARED | KEPT_BY_HAND | {"recheck.py"}
    tables = {t for made in (WRITES | OUTSIDE).values() for t in made} | set(PRINTS.values())
    found = {p.relative_to(HERE).as_posix() for p in HERE.rglob("*") if p.suffix in (".py", ".csv", ".tsv", ".wav")}
    failed = sorted(f"{name}: not named in recheck.py" for name in found - known - tables)
    failed += sorted(f"{name}: named in recheck.py, not there" for name in (known | tables) - found)
    passed = 0
    with tempfile.TemporaryDirectory() as folder:
        copy = pathlib.Path(folder) / "reference"
        shutil.copytree(HERE, copy)
        for script in OUTSIDE:
            shutil.copytree((HERE.parent / script).parent, (copy.parent / script).parent, dirs_exist_ok=True)
        for data in READS:
            (copy.parent / data).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(HERE.parent / data, copy.parent / data)
        for name in tables:
            (copy / name).unlink(missing_ok=True)
        for script in sorted(found & (set(WRITES) | set(PRINTS)) | set(OUTSIDE)):
            path = copy.parent / script if script in OUTSIDE else copy / script
            run = subprocess.run([sys.executable, path], cwd=copy, capture_output=True, text=True)
            if run.returncode != 0:
                failed.append(f"{script}: stopped with {run.returncode}\n{run.stderr}")
                continue
            if script in PRINTS:
                (copy / PRINTS[script]).write_text(run.stdout)
            for table in [PRINTS[script]] if script in PRINTS else (WRITES | OUTSIDE)[script]:
                what = differences(HERE / table, copy / table) if (copy / table).exists() else "was not made"
                if what:
                    failed.append(f"{table}: {what}")
                else:
                    passed += 1
                    print(f"{table}: the same")
    for what in failed:
        print(what)
    print(f"{passed} passed, {len(failed)} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
