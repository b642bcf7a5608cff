"""A charge curve over twelve speeds by ngspice, for `bench/run.py`: one line of JSON. The circuit is that of `crates/physics/examples/charge_time.rs`.

    .venv/bin/python bench/charge.py        (needs ngspice)
"""

import json
import math
import pathlib
import re
import subprocess
import tempfile
import time

SPEEDS_RPM = [1800, 2000, 2300, 2600, 3000, 3500, 4000, 4600, 5300, 6100, 7000, 8000]
LINKAGE_VS, OHM, HENRY, POLE_PAIRS, DIODE_V, BATTERY_V, BATTERY_OHM = 0.008, 0.15, 0.25e-3, 6, 0.7, 13.5, 0.03
# A sharp junction drops 0.038 V at a few amps; the rest is a source.
JUNCTION_V = 0.0378


def netlist(rpm):
    """As `tickover netlist` writes a star: sharp diodes, damped snubbers, 800 steps a period, 60 periods, the last ten measured."""
    omega = POLE_PAIRS * rpm * math.tau / 60
    hertz = omega / math.tau
    lines = ["* a charge curve", "Rstar star 0 1meg"]
    for n in (1, 2, 3):
        lines += [
            f"V{n} e{n} star SIN(0 {omega * LINKAGE_VS:.9f} {hertz:.9f} 0 0 {-120 * (n - 1)})", f"R{n} e{n} r{n} {OHM}", f"L{n} r{n} t{n} {HENRY} IC=0",
            f"Du{n} t{n} xu{n} sharp", f"Vu{n} xu{n} bridge {DIODE_V - JUNCTION_V}", f"Dd{n} 0 xd{n} sharp", f"Vd{n} xd{n} t{n} {DIODE_V - JUNCTION_V}",
            f"Rs{n} t{n} s{n} 2.2k", f"Cs{n} s{n} 0 10n",
        ]
    step, end, start = 1 / (hertz * 800), 60 / hertz, 50 / hertz
    return "\n".join(lines + [
        "Vsense bridge plus 0", f"Rbus plus emf {BATTERY_OHM}", f"Vbus emf 0 {BATTERY_V}", ".model sharp D(IS=1e-12 N=0.05 RS=0.1m)",
        ".options reltol=1e-5 abstol=1e-6 vntol=1e-5 method=gear itl4=300 gmin=1e-9", f".tran {step:.9e} {end:.9e} 0 {step:.9e} UIC",
        f".meas tran imean AVG i(Vsense) FROM={start:.9e} TO={end:.9e}", ".end", "",
    ])


def main():
    amps, began = [], time.perf_counter()
    with tempfile.TemporaryDirectory() as folder:
        for rpm in SPEEDS_RPM:
            path = pathlib.Path(folder) / "charge.cir"
            path.write_text(netlist(rpm))
            out = subprocess.run(["ngspice", "-b", path], capture_output=True, text=True, check=True).stdout
            amps.append(float(re.search(r"^imean\s+=\s+(\S+)", out, flags=re.M).group(1)))
    print(json.dumps({"seconds": time.perf_counter() - began, "speeds": len(amps), "amps": amps}))


if __name__ == "__main__":
    main()
