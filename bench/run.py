"""The torque surface, the run in time, the sampled engines, the charge curve and the spark by the program and by general-purpose peers, timed in one run.

    .venv/bin/python bench/run.py                        (packages: bench/requirements.txt; ngspice; also ./check --bench)
    .venv/bin/python bench/run.py charge spark           (only these; results.md stays as it is)

Writes bench/results.md. Times are the best of RUNS; memory is the peak resident set of the whole process.
"""

import importlib.metadata
import json
import os
import pathlib
import platform
import subprocess
import sys

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent
RUNS = 3


def build(package, example):
    """Builds a release example and returns its path."""
    done = subprocess.run(
        ["cargo", "build", "--release", "--locked", "-p", package, "--example", example, "--message-format=json"],
        cwd=ROOT, check=True, stdout=subprocess.PIPE, text=True,
    )
    made = [json.loads(line) for line in done.stdout.splitlines() if line.startswith("{")]
    return next(m["executable"] for m in made if m.get("executable") and m["target"]["name"] == example)


def program():
    """Builds the program itself and returns its path."""
    done = subprocess.run(
        ["cargo", "build", "--release", "--locked", "-p", "tickover", "--bin", "tickover", "--message-format=json"],
        cwd=ROOT, check=True, stdout=subprocess.PIPE, text=True,
    )
    made = [json.loads(line) for line in done.stdout.splitlines() if line.startswith("{")]
    return next(m["executable"] for m in made if m.get("executable") and m["target"]["name"] == "tickover")


def run(*command):
    """The JSON line that a command prints, with its processor time added."""
    child = subprocess.Popen([str(c) for c in command], stdout=subprocess.PIPE, text=True, cwd=ROOT)
    text = child.stdout.read()
    _, status, usage = os.wait4(child.pid, 0)
    if status:
        raise SystemExit(f"{command[0]} stopped with {status}")
    out = json.loads(text.strip().splitlines()[-1])
    out["cpu_seconds"] = usage.ru_utime + usage.ru_stime
    return out


def machine():
    """Processor, cores, versions."""
    info = pathlib.Path("/proc/cpuinfo")
    lines = info.read_text().splitlines() if info.exists() else []
    model = next((l.split(":", 1)[1].strip() for l in lines if l.startswith("model name")), platform.processor())
    rust = subprocess.run(["rustc", "--version"], capture_output=True, text=True).stdout.split()
    versions = ", ".join(f"{p} {importlib.metadata.version(p)}" for p in ("numpy", "numba", "scipy"))
    return f"{model}, {os.cpu_count()} cores; rustc {rust[1] if len(rust) > 1 else '?'}; Python {platform.python_version()}, {versions}"


def chance():
    """The sampled engines of the example machine: which of them hang."""
    values = ROOT / "out" / "chance.f64"
    ours = run(build("workshop", "chance_time"), "--values", values)
    numba = run(sys.executable, HERE / "chance_numba.py", values)
    values.unlink()
    if (ours["hanging"], ours["cases"]) != (numba["hanging"], numba["cases"]):
        raise SystemExit(f"not the same engines hang: {ours} {numba}")
    rows = [("Tickover, Rust", ours), ("NumPy and Numba, drawing left out", numba)]
    text = [
        "",
        "# Chance of a hang",
        "",
        f"{ours['cases']} engines drawn within the ± of `examples/corran-360.toml`, each held at its idle and searched for a second stable rest, best of {RUNS} runs.",
        "",
        "| by | with | seconds | engines per second | times as long as the program |",
        "| --- | --- | ---: | ---: | ---: |",
    ]
    for name, r in rows:
        text.append(f"| {name} | {r['threads']} threads | {r['seconds']:.3f} | {r['cases_per_second']} | {r['seconds'] / ours['seconds']:.1f} |")
    return text + [
        "",
        f"Both find the same {ours['hanging']} of {ours['cases']} engines hanging; 95 % interval {100 * ours['low']:.2f} % to {100 * ours['high']:.2f} %. "
        f"The least cut that cures each of {ours['cuts_cases']} engines, over {ours['cuts']} cuts: {ours['cuts_seconds']:.2f} s. Where the doubt comes from, "
        f"2560 points: {ours['doubt_seconds']:.2f} s. Numba was compiled before ({numba['compile_seconds']:.0f} s more).",
        "What bounds it: about half of the time goes into summing sixteen neighbours of eight maps for each row of speeds and cylinder, two numbers to an "
        "instruction, because the build asks for no wider vectors; the maps (10 MB) lie beyond the second cache.",
    ]


def free():
    """A minute of engine time with the crank's speed free."""
    ours = min((run(build("physics", "free_time")) for _ in range(RUNS)), key=lambda r: r["seconds"])
    numba = run(sys.executable, HERE / "free_numba.py")
    scipy = run(sys.executable, HERE / "free_scipy.py", "--time")
    rows = [("Tickover, Rust, one thread", ours), ("Numba, one thread", numba), ("SciPy LSODA, rtol 1e-8", scipy)]
    text = [
        "",
        "# The run in time",
        "",
        "An uneven twin at one throttle opening, both cylinders crank-resolved, the crank's speed following from their torque.",
        "",
        "| by | engine time, s | seconds | engine seconds per second | times as long as the program |",
        "| --- | ---: | ---: | ---: | ---: |",
    ]
    rate = lambda r: r["engine_seconds"] / r["seconds"]
    for name, r in rows:
        text.append(f"| {name} | {r['engine_seconds']:.3g} | {r['seconds']:.2f} | {rate(r):.3g} | {rate(ours) / rate(r):.1f} |")
    return text + [
        "",
        f"Mean speed of the last 20 s: {ours['mean_rpm']:.0f} rpm the program, {numba['mean_rpm']:.0f} rpm Numba, whose steps are explicit and whose crank is "
        f"let go on after every 2° by Euler's rule. Numba was compiled before ({numba['compile_seconds']:.0f} s more).",
        "What bounds it: one engine cannot be spread over lanes or cores, since each step waits for the one before, so the divisions and exponentials of one cylinder follow one another.",
    ]


def charge():
    """A charge curve over twelve speeds."""
    ours = min((run(build("physics", "charge_time")) for _ in range(RUNS)), key=lambda r: r["seconds"])
    ngspice = run(sys.executable, HERE / "charge.py")
    apart = max(abs(a - b) for a, b in zip(ours["amps"], ngspice["amps"]))
    return [
        "",
        "# A charge curve",
        "",
        f"Mean current of a three-phase alternator with a bridge into a battery at {ours['speeds']} speeds, each to its steady state.",
        "",
        "| by | seconds | times as long as the program |",
        "| --- | ---: | ---: |",
        f"| Tickover, Rust, one thread | {ours['seconds']:.4f} | 1.0 |",
        f"| ngspice, 60 periods of 800 steps | {ngspice['seconds']:.1f} | {ngspice['seconds'] / ours['seconds']:.0f} |",
        "",
        f"They lie apart by at most {1e3 * apart:.0f} mA, of {max(ours['amps']):.1f} A at the fastest. The program runs {ours['periods']} periods in all, ngspice 720.",
    ]


def spark():
    """The margin of the spark over the speed, of each machine that comes with the program."""
    ours = run(build("workshop", "spark_time"))
    tickover = program()
    text = [
        "",
        "# A spark margin curve",
        "",
        f"Available and needed voltage at sixteen speeds with every case and ±, the working cycle for what stands in the gap included; the program on {ours['threads']} "
        "cores, best of 25 runs. ngspice has only one pulse of each speed, as found, best of 3.",
        "",
        "| machine | Tickover, Rust, seconds | ngspice, the pulses alone, seconds | of that its starts | times as long as the program |",
        "| --- | ---: | ---: | ---: | ---: |",
    ]
    apart = 0.0
    for m in ours["machines"]:
        ngspice = run(sys.executable, HERE / "spark_ngspice.py", tickover, ROOT / "examples" / m["machine"], *(f"{rpm:.0f}" for rpm in m["rpm"]))
        apart = max(apart, *(abs(a / b - 1) for a, b in zip(m["peak_v"], ngspice["peak_v"])))
        text.append(
            f"| `{m['machine']}` | {m['seconds']:.4f} | {ngspice['seconds']:.2f} | {ngspice['start_seconds']:.2f} | {ngspice['seconds'] / m['seconds']:.0f} |"
        )
    return text + [
        "",
        f"The peaks of all speeds lie apart by at most {100 * apart:.2f} %, the speed of the netlists being rounded to 1 rpm.",
        "What bounds it: half of the time is the working cycle at six speeds, each run until it repeats itself; the rest is some hundred pulses, in exact steps of a "
        "sixty-fourth of the fastest swing.",
    ]


def surface():
    """The torque surface of an engine."""
    values = ROOT / "out" / "surface.tsv"
    binary = build("physics", "surface_time")
    ours = min((run(binary, "--values", values) for _ in range(RUNS)), key=lambda r: r["seconds"])
    numba = run(sys.executable, HERE / "cycle_numba.py", "--compare", values)
    scipy = run(sys.executable, HERE / "cycle_scipy.py", "--time")

    points = ours["points"]
    rows = [
        ("Tickover, Rust", f"{ours['threads']} threads, {ours['vectors']}", ours["seconds"], ours["points_per_second"], ours["peak_mb"]),
        ("NumPy and Numba", f"{numba['threads']} threads", numba["seconds"], numba["points_per_second"], numba["peak_mb"]),
        ("SciPy LSODA, rtol 1e-8", "one point, one core", scipy["seconds"], 1.0 / scipy["seconds"], scipy["peak_mb"]),
    ]
    apart = numba["apart"]
    text = [
        "",
        "# The torque surface",
        "",
        "24 speeds × 16 openings × 12 advances, by the same model.",
        "",
        "| by | with | seconds | points per second | times as long a point as the program | peak memory, MB |",
        "| --- | --- | ---: | ---: | ---: | ---: |",
    ]
    for name, how, seconds, rate, memory in rows:
        text.append(f"| {name} | {how} | {seconds:.2f} | {rate:.1f} | {ours['points_per_second'] / rate:.1f} | {memory:.0f} |")
    return text + [
        "",
        f"The program: {points} points, {100 * ours['unsettled']:.1f} % of them not settled (they alternate from cycle to cycle; their mean is "
        f"given), {ours['cpu_seconds']:.1f} s of processor time in all, tables of the engine included ({ours['tables_seconds']:.2f} s).",
        f"Numba: explicit steps and a laxer settling rule, {numba['cycles']} cycles, compiled before ({numba['compile_seconds']:.0f} s more); "
        f"{100 * numba['unsettled']:.1f} % not settled.",
        f"SciPy: a numerical reference rather than the same work: {scipy['cycles']} cycles, {scipy['calls']} evaluations (compiled by Numba).",
        "",
        f"The two surfaces lie apart, in torque over the greater of its own size and that of 0.5 bar: median {100 * apart['torque_median']:.2f} %, "
        f"99 of 100 points within {100 * apart['torque_99']:.2f} %, at most {100 * apart['torque_most']:.2f} %; charge 99 of 100 within "
        f"{100 * apart['charge_99']:.2f} % (settled points).",
    ]


def recording():
    """Ten minutes of two channels."""
    r = run(sys.executable, HERE / "recording.py", program())
    return [
        "",
        "# A recording",
        "",
        f"Pickup and spark in {r['length_s']} s of {r['rate_hz']} Hz stereo ({r['megabytes']:.0f} MB), speed swept up and down, with noise and hum, from file to curve. "
        "SciPy takes drift and hum out of each channel and finds the peaks; it pairs nothing, fits nothing and judges nothing.",
        "",
        "| by | seconds | times as long as the program | peak memory, MB |",
        "| --- | ---: | ---: | ---: |",
        f"| Tickover, Rust | {r['seconds']:.2f} | 1.0 | {r['memory_mb']:.0f} |",
        f"| SciPy, the whole file at once | {r['scipy_seconds']:.1f} | {r['scipy_seconds'] / r['seconds']:.1f} | {r['scipy_memory_mb']:.0f} |",
        "",
        f"The program finds {r['turns']} turns and {r['firings']} firings, SciPy {r['scipy_peaks'][0]} and {r['scipy_peaks'][1]} peaks. Half an hour of such a signal takes the program "
        f"{r['longer_memory_mb']:.0f} MB for {r['longer_firings']} firings: what is held does not grow with them. "
        f"A sparse file of {r['sparse_gb']:.1f} GB, {r['sparse_length_s'] / 60:.0f} minutes of silence: {r['sparse_seconds']:.1f} s and {r['sparse_memory_mb']:.0f} MB.",
    ]


PARTS = {"surface": surface, "free": free, "chance": chance, "charge": charge, "spark": spark, "recording": recording}


def main():
    wanted = sys.argv[1:] or list(PARTS)
    if unknown := set(wanted) - set(PARTS):
        raise SystemExit(f"{', '.join(sorted(unknown))}: not one of {', '.join(PARTS)}")
    (ROOT / "out").mkdir(exist_ok=True)
    text = ["# Speed", "", "Each part times the same work by the program and by a general-purpose peer. Written by `bench/run.py`.", "", f"Machine: {machine()}."]
    for name in wanted:
        text += PARTS[name]()
    print("\n".join(text))
    if not sys.argv[1:]:
        (HERE / "results.md").write_text("\n".join(text) + "\n")


if __name__ == "__main__":
    main()
