"""What a mark at top, once a turn, makes of an advance, while the crank speeds up and slows down within the turn.

Run: python3 reference/recording/within_turn.py     (numpy 2.x)
Invented engines with a rod twice the stroke. Gas: p V^1.3 = const in compression and expansion, the charge's pressure or the atmosphere's else; the burn at once, at top.
Its torque is p dV, friction a steady torque; work gives the speed, J w^2/2, and its integral the time.

kicked: a steady torque of the foot from rest behind the top of one cycle to that of the next, no burn, the charge at the atmosphere's pressure. Told is the angle that one
has who knows the two tops and takes the speed of that turn as even. Kicks are those whose turn takes as long as at 300 to 800 rpm (common practice, no source).
idling: the burn makes up for a friction of 1.2 bar at the charge's pressure that is given. speeding: the charge is the atmosphere's, the burn makes 9 bar, nothing but
friction holds it. Told is the angle by the cubic through the four marks around. gain is what the mean speed gains.
Nothing here shares code with the Rust crates.
"""
import pathlib

import numpy as np

HERE = pathlib.Path(__file__).resolve().parent
POLYTROPE, AIR, ROD, FRICTION, BURN = 1.3, 1e5, 2.0, 1.2e5, 9e5
RPM = 30 / np.pi
ADVANCES = (5, 10, 20, 35)
# Bore and stroke [m], compression, inertia [kg m2], strokes, cylinders evenly over the cycle.
ENGINES = {
    "single": (0.08405, 0.090, 7.6, 0.048, 4, 1),
    "twin": (0.067, 0.051, 9.0, 0.020, 4, 2),
    "four": (0.061, 0.0488, 9.5, 0.030, 4, 4),
    "light single": (0.0535, 0.055, 9.0, 0.007, 4, 1),
    "two-stroke": (0.054, 0.054, 6.5, 0.0055, 2, 1),
}


def volumes(bore, stroke, ratio, a):
    r, rod = stroke / 2, ROD * stroke
    area = np.pi * bore**2 / 4
    return area * stroke / (ratio - 1) + area * (r * (1 - np.cos(a)) + rod - np.sqrt(rod**2 - (r * np.sin(a)) ** 2))


def summed(pressure, volume):
    return np.concatenate([[0.0], np.cumsum(0.5 * (pressure[1:] + pressure[:-1]) * np.diff(volume))])


def times(a, speed):
    # From rest the first step takes twice its length over the speed at its end, as the mean of both ends has it.
    return np.concatenate([[0.0], np.cumsum(2 * np.diff(a) / (speed[1:] + speed[:-1]))])


def kicked(engine, torque):
    """Mean speed of the last turn [rpm] and the advances told."""
    bore, stroke, ratio, inertia, _, _ = engine
    a = np.linspace(0.0, 4 * np.pi, 200001)
    volume = volumes(bore, stroke, ratio, a)
    over = np.where(a > 3 * np.pi, AIR * ((volume.max() / volume) ** POLYTROPE - 1), 0.0)
    energy = torque * a + summed(over, volume)
    if energy[1:].min() <= 0:
        return None
    t = times(a, np.sqrt(2 * energy / inertia))
    mean = 2 * np.pi / (t[-1] - np.interp(2 * np.pi, a, t))
    return mean * RPM, [np.degrees((t[-1] - np.interp(4 * np.pi - np.radians(d), a, t)) * mean) for d in ADVANCES]


def gas(engine, charge, burn):
    """Work of one cylinder's gas from its firing top on, over the cycle; the burn makes the pressure `burn` times as great."""
    bore, stroke, ratio, _, strokes, _ = engine
    a = np.linspace(0.0, np.pi * strokes, 20001)
    volume = volumes(bore, stroke, ratio, a)
    most, least = volume.max(), volume.min()
    expands = burn * charge * ratio**POLYTROPE * (least / volume) ** POLYTROPE
    squeezed = charge * (most / volume) ** POLYTROPE
    pressure = np.where(a < np.pi, expands, squeezed)
    if strokes == 4:
        pressure = np.select([a < np.pi, a < 2 * np.pi, a < 3 * np.pi], [expands, AIR, charge], squeezed)
    return a, summed(pressure - AIR, volume)


def turning(engine, charge, net, rpm):
    """Crank angle from a firing top on, times [s] and the mean speed there, where the burn makes the mean pressure `net` [Pa] over friction."""
    bore, stroke, _, inertia, strokes, count = engine
    swept, cycle = np.pi * bore**2 / 4 * stroke, np.pi * strokes
    low, high = 0.0, 60.0
    for _ in range(60):
        burn = 0.5 * (low + high)
        low, high = (low, burn) if gas(engine, charge, burn)[1][-1] > (net + FRICTION) * swept else (burn, high)
    a, work = gas(engine, charge, high)
    grid = np.linspace(-4 * cycle, 4 * cycle, 160001)
    whole = lambda b: np.interp(np.mod(b, cycle), a, work) + np.floor(b / cycle) * work[-1]
    total = sum(whole(grid + cycle * k / count) for k in range(count)) - FRICTION * swept * count * grid / cycle
    total -= np.interp(0.0, grid, total)
    start = 0.5 * inertia * (rpm / RPM) ** 2
    for _ in range(40):
        energy = start + total
        if energy.min() <= 0:
            return None
        speed = np.sqrt(2 * energy / inertia)
        t = times(grid, speed)
        mean = 2 * cycle / (np.interp(cycle, grid, t) - np.interp(-cycle, grid, t))
        start += 0.5 * inertia * ((rpm / RPM) ** 2 - mean**2)
    if speed[np.abs(grid) < cycle].min() < 0.4 * mean:
        return None
    return grid, t, mean


def running(engine, charge, net, rpm):
    """Speed, its gain and the advances told."""
    bore, stroke, _, inertia, strokes, count = engine
    swept, cycle = np.pi * bore**2 / 4 * stroke, np.pi * strokes
    found = turning(engine, charge, net, rpm)
    if found is None:
        return None
    grid, t, mean = found
    at = lambda b: np.interp(b, grid, t)
    marks = np.array([at(2 * np.pi * k) for k in (-2, -1, 0, 1)])
    cubic = np.polyfit((marks - marks[2]) * mean, [-2, -1, 0, 1], 3)
    told = [-360 * np.polyval(cubic, (at(-np.radians(d)) - marks[2]) * mean) for d in ADVANCES]
    return mean * RPM, net * swept * count / cycle / inertia, told


if __name__ == "__main__":
    with open(HERE / "within_turn.csv", "w") as f:
        f.write("# Advance told by a mark at top in an engine that speeds up and slows down within the turn\n# made by reference/recording/within_turn.py\n")
        f.write("engine,bore_m,stroke_m,ratio,inertia_kgm2,strokes,cylinders,does,mean_rpm,gain_rad_s2,advance_deg,told_deg\n")
        for name, engine in ENGINES.items():
            rows = []
            if engine[5] == 1:
                rows += [("kicked", kicked(engine, torque)) for torque in np.arange(1.0, 20.0, 0.5)]
                rows = [(does, (r[0], 0.0, r[1])) for does, r in rows if r and 300 < r[0] < 800]
            rows += [("idling", running(engine, charge, 0.0, rpm)) for charge, rpm in ((0.5e5, 800), (0.45e5, 1000), (0.4e5, 1300), (0.35e5, 2000), (0.3e5, 4000))]
            rows += [("speeding", running(engine, AIR, BURN - FRICTION, rpm)) for rpm in (1500, 2000, 3000, 5000)]
            for does, row in rows:
                for advance, told in zip(ADVANCES, row[2] if row else ()):
                    f.write(",".join(map(str, [name, *engine, does, f"{row[0]:.2f}", f"{row[1]:.2f}", advance, f"{told:.4f}"])) + "\n")
    # The same single: passes of a segment's ends and sparks, turn by turn.
    with open(HERE / "within_turn_passes.csv", "w") as f:
        f.write("# Passes of a segment of 40 degrees that leads by 36, and sparks of a single that speeds up and slows down within the turn\n")
        f.write("# made by reference/recording/within_turn.py; speed and gain are means over the cycle about the spark\n")
        f.write("does,leading_s,trailing_s,spark_s,advance_deg,speed_rad_s,gain_rad_s2\n")
        engine, cycle = ENGINES["single"], 4 * np.pi
        for does, charge, net, rpm in (("idling", 0.45e5, 0.0, 1000), ("speeding", AIR, BURN - FRICTION, 3000)):
            grid, t, _ = turning(engine, charge, net, rpm)
            at = lambda b: np.interp(b, grid, t)
            mean = lambda b: cycle / (at(b + cycle / 2) - at(b - cycle / 2))
            for turn in range(-5, 6):
                for advance in (-4, 10):
                    top = 2 * np.pi * turn
                    spark = top - np.radians(advance)
                    gain = (mean(spark + cycle / 2) - mean(spark - cycle / 2)) * mean(spark) / cycle
                    times_s = (at(top - np.radians(36)), at(top + np.radians(4)), at(spark))
                    f.write(does + "," + ",".join(f"{x - t[0]:.9f}" for x in times_s) + f",{advance},{mean(spark):.4f},{gain:.3f}\n")
