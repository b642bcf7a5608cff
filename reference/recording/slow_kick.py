"""A big single kicked over its compression: what a mark at top, once a turn, makes of an advance.

Run: python3 reference/recording/slow_kick.py     (numpy 2.x)
84.05 x 90 mm, compression 7.6, 0.048 kg m2, rod twice the stroke (invented). The kick is a steady torque on the crank from rest behind the top of one cycle to that of the
next. Gas: atmospheric but for the compression stroke, there p V^1.3 = const from bottom dead centre on; its torque through the slider-crank is p dV. Work from rest gives
the speed, J w^2/2 = T a + work of the gas; the time is its integral. A spark comes so many degrees before the second top. Told is the angle that one
has who knows the two tops and takes the speed of that turn as even. Kicks are those whose turn takes as long as at 300 to 700 rpm (common practice, no source).
Nothing here shares code with the Rust crates.
"""
import pathlib

import numpy as np

HERE = pathlib.Path(__file__).resolve().parent
BORE, STROKE, RATIO, INERTIA, ROD, POLYTROPE, AIR = 0.08405, 0.09, 7.6, 0.048, 2.0, 1.3, 1e5


def kicked(torque):
    """Mean speed of the last turn and speed at its end [rpm], and advances told for 5, 10 and 20 degrees."""
    area, r, rod = np.pi * BORE**2 / 4, STROKE / 2, ROD * STROKE
    swept = area * STROKE
    a = np.linspace(0.0, 4 * np.pi, 200001)
    down = r * (1 - np.cos(a)) + rod - np.sqrt(rod**2 - (r * np.sin(a)) ** 2)
    volume = swept / (RATIO - 1) + area * down
    bottom = swept * RATIO / (RATIO - 1)
    over = np.where(a > 3 * np.pi, AIR * ((bottom / volume) ** POLYTROPE - 1), 0.0)
    work = np.concatenate([[0.0], np.cumsum(0.5 * (over[1:] + over[:-1]) * np.diff(volume))])
    energy = torque * a + work
    assert energy[1:].min() > 0, "it does not come over its compression"
    speed = np.sqrt(2 * energy / INERTIA)
    # From rest the first step takes twice its length over the speed at its end, as the mean of both ends has it.
    t = np.concatenate([[0.0], np.cumsum(2 * np.diff(a) / (speed[1:] + speed[:-1]))])
    first = np.interp(2 * np.pi, a, t)
    mean = 2 * np.pi / (t[-1] - first)
    rpm = 30 / np.pi
    return mean * rpm, speed[-1] * rpm, [(d, np.degrees((t[-1] - np.interp(4 * np.pi - np.radians(d), a, t)) * mean)) for d in (5, 10, 20)]


if __name__ == "__main__":
    with open(HERE / "slow_kick.csv", "w") as f:
        f.write("# Advance told by a mark at top where a big single is kicked over\n# made by reference/recording/slow_kick.py\n")
        f.write("torque_nm,mean_rpm,top_rpm,advance_deg,told_deg\n")
        for torque in (10.0, 10.5, 11.0, 12.0, 13.0, 14.0):
            mean, top, told = kicked(torque)
            for advance, found in told:
                f.write(f"{torque},{mean:.3f},{top:.3f},{advance},{found:.4f}\n")
