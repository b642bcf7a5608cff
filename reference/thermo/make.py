"""Makes the tables beside this file with Cantera, a general-purpose thermodynamics library.

    pip install cantera==3.2.0
    python reference/thermo/make.py

Species data: NASA TM-4513 as distributed with Cantera (nasa_gas.yaml). Composition is frozen, as in the model.
"""
import pathlib

import cantera as ct

HERE = pathlib.Path(__file__).parent
NAMES = ["N2", "O2", "Ar", "CO2", "H2O", "CO", "H2", "C8H18,isooctane"]
SPECIES = [s for s in ct.Species.list_from_file("nasa_gas.yaml") if s.name in NAMES]
GAS = ct.Solution(thermo="ideal-gas", species=SPECIES)
AIR = {"N2": 0.7808, "O2": 0.20946, "Ar": 0.00934, "CO2": 0.0004}
PHI = 1.1


def fresh():
    return {**AIR, "C8H18,isooctane": PHI * AIR["O2"] / 12.5}


def lean_burned(phi):
    """Products of lean combustion: complete, so no equilibrium constant enters."""
    fuel = phi * AIR["O2"] / 12.5
    return {"N2": AIR["N2"], "Ar": AIR["Ar"], "CO2": AIR["CO2"] + 8 * fuel, "H2O": 9 * fuel, "O2": AIR["O2"] - 12.5 * fuel}


def write(name, what, columns, rows):
    lines = [f"# {what}", f"# Cantera {ct.__version__}, nasa_gas.yaml (NASA TM-4513); made by reference/thermo/make.py",
             "# " + "\t".join(columns)]
    lines += ["\t".join(f"{x:.9g}" for x in row) for row in rows]
    (HERE / name).write_text("\n".join(lines) + "\n")


rows = []
for t in range(280, 1001, 20):
    GAS.TPX = t, ct.one_atm, fresh()
    rows.append((t, GAS.entropy_mass, GAS.cp_mass - ct.gas_constant / GAS.mean_molecular_weight, GAS.int_energy_mass,
                 ct.gas_constant / GAS.mean_molecular_weight))
write("fresh.tsv", f"Fresh mixture, equivalence ratio {PHI}, at 1 atm", ["T [K]", "s [J/kgK]", "cv [J/kgK]", "u [J/kg]", "R [J/kgK]"], rows)

rows = []
for phi in (0.8, 1.0):
    for t1 in (300.0, 500.0, 700.0):
        fuel = phi * AIR["O2"] / 12.5
        GAS.TPX = t1, ct.one_atm, {**AIR, "C8H18,isooctane": fuel}
        u, v = GAS.int_energy_mass, GAS.volume_mass
        p1 = GAS.P
        GAS.X = lean_burned(phi)
        GAS.UV = u, v
        rows.append((phi, t1, GAS.T, GAS.P / p1))
write("burn.tsv", "Adiabatic burning at constant volume, frozen complete products, from 1 atm",
      ["equivalence ratio", "T1 [K]", "T2 [K]", "p2/p1"], rows)
