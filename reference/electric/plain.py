"""Plain charging circuits in ngspice, on netlists of this script's own: bridge, half waves, and a shunt that a clock switches.

    .venv/bin/python reference/electric/plain.py            writes plain.csv
    .venv/bin/python reference/electric/plain.py --check    compares with it

It needs ngspice (Debian's package of that name) and nothing of the program.
"""

import math
import pathlib
import sys

from ngspice import keep, measured, version

TABLE = pathlib.Path(__file__).resolve().parent / "plain.csv"
# Diode: 0.70 V at 5 A, 3 mV less at a tenth of it. A closed shunt has 1 V from a winding's end to the frame, of which a diode of the bridge takes its part.
DIODE = ".model sharp D(IS=1e-12 N=0.05 RS=0.1m)"
BEHIND_DIODE_V = 0.70 - 0.05 * 0.025852 * math.log(5.0 / 1e-12)
SHUNT_V = 1.0 - 0.70
INDUCTANCE_H = {"star": 0.25e-3, "half": 1.2e-3}
POLE_PAIRS = {"star": 6, "half": 4}

# Windings; linkage [V s]; resistance [ohm]; crank speed [rpm]; battery [V], [ohm]; switchings in a period and share of the time through
# (0 switchings: no shunt).
CASES = (
    [("star", 0.008, 0.15, rpm, 13.5, 0.0, 0, 1.0) for rpm in (1500, 2000, 2500, 3500, 5000, 8000)]
    + [("half", 0.02, 0.4, rpm, 13.5, 0.0, 0, 1.0) for rpm in (1500, 2000, 3000, 4000, 6000, 8000)]
    + [("star", 0.008, 0.15, 5000, 13.5, 0.03, switchings, 0.4) for switchings in (0.125, 3, 20)]
    + [("star", 0.0155942, 0.19121, 1500, 12.3, 0.12, 20, through) for through in (0.5, 0.3, 0.1)]
)


def diode(name, plus, minus):
    return [f"D{name} {plus} x{name} sharp", f"V{name} x{name} y{name} {BEHIND_DIODE_V:.9f}", f"R{name} y{name} {minus} 1u"]


def netlist(case):
    windings, linkage, ohm, rpm, battery_v, battery_ohm, switchings, through = case
    hertz = POLE_PAIRS[windings] * rpm / 60.0
    peak = linkage * 2.0 * math.pi * hertz
    phases = 3 if windings == "star" else 1
    lines = [f"* {case}"]
    for k in range(1, phases + 1):
        neutral = "star" if windings == "star" else "0"
        lines += [f"V{k} e{k} {neutral} SIN(0 {peak:.9f} {hertz:.9f} 0 0 {-120 * (k - 1)})", f"R{k} e{k} r{k} {ohm}"]
        lines += [f"L{k} r{k} t{k} {INDUCTANCE_H[windings]} IC=0", f"Rs{k} t{k} s{k} 2.2k", f"Cs{k} s{k} 0 10n", f"Rl{k} t{k} 0 1meg"]
        lines += diode(f"u{k}", f"t{k}", "bridge") + (diode(f"d{k}", "0", f"t{k}") if windings == "star" else [])
    lines += ["Rstar star 0 1meg"] if windings == "star" else []
    if switchings:
        period = 1.0 / (hertz * switchings)
        lines += [f"Vclock clock 0 PULSE(0 1 {through * period:.9g} {period / 2000:.9g} {period / 2000:.9g} {(1 - through) * period:.9g} {period:.9g})"]
        lines += ["Sshunt bridge short clock 0 shut", f"Vshunt short 0 {SHUNT_V:.9f}", ".model shut SW(VT=0.5 VH=0 RON=1m ROFF=1meg)"]
    # What keeps the battery from the shunt shall cost nothing.
    lines += ["Dkeep bridge kept sharp", f"Vkeep sense kept {0.70 - BEHIND_DIODE_V:.9f}"] if switchings else ["Rkeep bridge sense 1u"]
    lines += ["Vsense sense plus 0", f"Vbus emf 0 {battery_v}", f"Rbus plus emf {max(battery_ohm, 1e-4)}"]
    # Long enough for the windings' time constant, and a whole number of switchings at the end.
    periods, last = (160, 80) if 0 < switchings < 1 else (60, 20)
    steps = max(1600, 64 * switchings)
    span = f"FROM={(periods - last) / hertz:.9g} TO={periods / hertz:.9g}"
    lines += [DIODE, ".options reltol=1e-5 abstol=1e-6 vntol=1e-5 method=gear itl4=300 gmin=1e-9"]
    lines += [f".tran {1 / hertz / steps:.9g} {periods / hertz:.9g} 0 {1 / hertz / steps:.9g} UIC", f".meas tran imean AVG i(Vsense) {span}"]
    lines += [f".meas tran iw{k} RMS i(L{k}) {span}" for k in range(1, phases + 1)]
    return "\n".join(lines + [".end", ""])


def row(case):
    found = measured(netlist(case), case)
    rms = [x for name, x in found.items() if name.startswith("iw")]
    return [*map(str, case), f"{found['imean']:.5g}", f"{math.sqrt(sum(x * x for x in rms) / len(rms)):.5g}"]


def main():
    head = [
        "# Plain charging circuits as ngspice solves them (plain.py): mean amps into the battery and effective amps of a winding (of three their mean square).",
        f"# made by ngspice {version()}, gear method, reltol 1e-5, 1600 steps a period and more; inductance 0.25 mH (star, six pole pairs), 1.2 mH (half, four).",
        "windings,linkage_vs,ohm,rpm,battery_v,battery_ohm,switchings,through,mean_a,rms_a",
    ]
    return keep(TABLE, head, CASES, row, slice(-2, None))


if __name__ == "__main__":
    sys.exit(main())
