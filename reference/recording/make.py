"""Recordings of an invented ignition and of an invented exhaust, with what is true of them beside.

Run: python3 reference/recording/make.py     (numpy 2.x, scipy 1.17)
Nothing here shares code with the Rust crates. Crank angle is a spline through speeds, integrated by SciPy; passes and sparks are found on
it by Newton's method; the signals are drawn at eight times the rate and brought down by `scipy.signal.resample_poly`, whose filter
keeps a jump where it was.
"""
import pathlib
import sys

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.io import wavfile
from scipy.signal import resample_poly

HERE = pathlib.Path(__file__).resolve().parent
FINER = 8
DEG = np.pi / 180.0
# The invented rotor: leading edge passes at 36° before top, segment of 40° of crank, pulse 0.8 mm wide on a rim of 108 mm.
LEAD, ARC, PULSE = 36.0 * DEG, 40.0 * DEG, 0.8e-3 / 0.054


class Crank:
    """Crank angle against time through points of (time [s], speed [rpm])."""

    def __init__(self, points):
        t, rpm = np.array(points, float).T
        self.speed = PchipInterpolator(t, rpm * 2 * np.pi / 60)
        self.angle = self.speed.antiderivative()
        self.end = t[-1]

    def times(self, angles, start=None):
        """When these angles are passed."""
        grid = np.linspace(0.0, self.end, 20001)
        t = np.interp(angles, self.angle(grid), grid) if start is None else start
        for _ in range(8):
            t = t - (self.angle(t) - angles) / self.speed(t)
        return t


def advance(speed):
    """Trailing edge up to 1150 rpm, leading edge from 2300 rpm on, straight between [rad]."""
    rpm = speed * 60 / (2 * np.pi)
    return LEAD - ARC + ARC * np.clip((rpm - 1150.0) / (2300.0 - 1150.0), 0.0, 1.0)


def spark_times(crank, top=0.0):
    """Sparks of every turn: the angle at which each comes depends on the speed at that moment."""
    turns = np.arange(1, int(crank.angle(crank.end) / (2 * np.pi)))
    tops = turns * 2 * np.pi + top
    t = crank.times(tops)
    for _ in range(60):
        t = crank.times(tops - advance(crank.speed(t)), t)
    inside = (t > 0.01) & (t < crank.end - 0.01)
    return t[inside]


def trigger(crank, fine):
    """A reluctance pickup: a pulse up where the leading edge passes, down where the trailing one does, as high as the rim is fast."""
    angle, speed = crank.angle(fine), crank.speed(fine)
    past = (angle + LEAD + np.pi) % (2 * np.pi) - np.pi
    behind = (angle + LEAD - ARC + np.pi) % (2 * np.pi) - np.pi
    return (1 / np.cosh(past / PULSE) ** 2 - 0.9 / np.cosh(behind / PULSE) ** 2) * speed / 300.0


def spark(times, fine, rate, rng, height=1.0, burn=0.8e-3):
    """A jump, a ring of 9 kHz that dies in 0.12 ms, and the rustle of the burn."""
    wave = np.zeros_like(fine)
    for t in times:
        first = int(np.ceil(t * rate * FINER))
        n = min(int(3e-3 * rate * FINER), len(fine) - first)
        d = (first + np.arange(n)) / (rate * FINER) - t
        ring = np.exp(-d / 0.12e-3) * np.cos(2 * np.pi * 9000.0 * d)
        rustle = 0.06 * rng.standard_normal(n) * (d < burn)
        wave[first : first + n] += height * (ring + rustle)
    return wave


def at_rate(wave):
    return resample_poly(wave, 1, FINER)


def grid(crank, rate):
    return np.arange(int(crank.end * rate) * FINER) / (rate * FINER)


def write_wav(name, rate, channels, full=1.0):
    data = np.round(np.clip(np.stack(channels, axis=-1) / full, -1.0, 32767 / 32768) * 32767).astype(np.int16)
    wavfile.write(HERE / name, rate, data)


def write_table(name, says, rows):
    with open(HERE / name, "w") as f:
        f.write(f"# {says}\n# made by reference/recording/make.py\nat_s,kind,speed_rpm,advance_deg\n")
        for at, kind, speed, adv in rows:
            f.write(f"{at:.9f},{kind},{speed * 60 / (2 * np.pi):.6f},{adv / DEG:.6f}\n")


def sweep(rng):
    """Up at thousands of rpm a second and down again, noise 20 dB below the pulses' height."""
    rate = 48000
    crank = Crank([(0.0, 900), (0.2, 1000), (0.9, 4000), (1.2, 6000), (1.4, 5900), (1.8, 2500)])
    fine = grid(crank, rate)
    times = spark_times(crank)
    a = at_rate(trigger(crank, fine))
    b = at_rate(spark(times, fine, rate, rng))
    a += 0.1 * 0.9 * crank.speed(fine[::FINER]) / 300.0 * rng.standard_normal(len(a))
    b += 0.1 * rng.standard_normal(len(b))
    write_wav("sweep.wav", rate, [a, b], 2.6)
    rows = [(t, "fires", crank.speed(t), advance(crank.speed(t))) for t in times]
    write_table("sweep.csv", "Firings of sweep.wav: trigger left, spark right, 20 dB", rows)


def hard(rng):
    """Spark left, trigger right and upside down, hum of half a pulse, drift, clipping at two thirds, three sparks a firing below
    1500 rpm, two missing firings and a stray one."""
    rate = 44100
    crank = Crank([(0.0, 1000), (0.5, 1050), (1.0, 1900), (1.3, 2600), (1.6, 2400)])
    fine = grid(crank, rate)
    times = spark_times(crank)
    kind = np.array(["fires"] * len(times), dtype=object)
    kind[[9, 20]] = "missing"
    heard = times[kind == "fires"]
    slow = heard[crank.speed(heard) < 1500 * 2 * np.pi / 60]
    stray = crank.times(np.array([14 * 2 * np.pi + 2.2]))
    b = at_rate(spark(np.concatenate([heard, stray]), fine, rate, rng))
    for later in (1.1e-3, 2.2e-3):
        b += at_rate(spark(slow + later, fine, rate, rng, 0.7, 0.3e-3))
    a = -at_rate(trigger(crank, fine))
    t = fine[::FINER]
    a += 0.15 * np.sin(2 * np.pi * 50.03 * t + 0.4) + 0.05 * np.sin(2 * np.pi * 150.09 * t) + 0.2 * t
    b += 0.5 * np.sin(2 * np.pi * 50.03 * t + 2.0) - 0.2 * t
    a += 0.01 * rng.standard_normal(len(a))
    b += 0.03 * rng.standard_normal(len(b))
    a = np.clip(a, -0.55, 0.55)
    b = np.clip(b, -0.75, 0.75)
    write_wav("hard.wav", rate, [b, a], 1.0)
    rows = [(at, k, crank.speed(at), advance(crank.speed(at))) for at, k in zip(times, kind)]
    rows += [(at, "stray", crank.speed(at), 0.0) for at in stray]
    write_table("hard.csv", "Firings of hard.wav: spark left, trigger right, inverted, hum, drift, clipping", sorted(rows))


def kick(rng):
    """Kicked over, 150 to 350 rpm, the speed uneven within the turn by a tenth: pulses of 1 to 3 ms at half their height, hum, noise 34 dB below the
    slowest. Each pass of the leading edge is in the table, with the speed at that moment."""
    rate = 24000
    t = np.arange(0.0, 5.001, 0.05)
    slow = PchipInterpolator([0, 1.0, 2.2, 3.2, 4.2, 5.0], [150, 160, 350, 300, 200, 150])
    crank = Crank(list(zip(t, slow(t))))
    even = crank.angle
    # Twice in a turn slower, where a cylinder compresses.
    fine_t = np.linspace(0.0, crank.end, 40001)
    crank.speed = PchipInterpolator(fine_t, crank.speed(fine_t) * (1 - 0.1 * np.cos(2 * even(fine_t))))
    crank.angle = crank.speed.antiderivative()
    fine = grid(crank, rate)
    times = spark_times(crank)
    turns = np.arange(1, int(crank.angle(crank.end) / (2 * np.pi)))
    passes = crank.times(turns * 2 * np.pi - LEAD)
    a, b = at_rate(trigger(crank, fine)), at_rate(spark(times, fine, rate, rng))
    t = fine[::FINER]
    a += 0.01 * np.sin(2 * np.pi * 49.97 * t + 1.0) + 0.001 * rng.standard_normal(len(a))
    b += 0.03 * rng.standard_normal(len(b))
    write_wav("kick.wav", rate, [a / 0.2, b / 1.3], 1.0)
    rows = [(at, "fires", crank.speed(at), advance(crank.speed(at))) for at in times]
    rows += [(at, "passes", crank.speed(at), LEAD) for at in passes]
    write_table("kick.csv", "Firings and passes of kick.wav: trigger left, its full scale 60 rad/s; spark right", sorted(rows))


def over_a_pole(past, gap_mm, pole_mm):
    """Pulse of an edge `past` radians beyond the middle of a pole of some width, on the rim of 108 mm: two flux steps, each a tanh of width 2/pi times the gap,
    a pole's width apart. Its peak falls as tanh(pole/2w)/gap."""
    w, x = 2 * gap_mm / np.pi, past * 54.0
    return (np.tanh((x + 0.5 * pole_mm) / w) - np.tanh((x - 0.5 * pole_mm) / w)) / (2 * gap_mm)


def pickups(rng):
    """Two pickups with poles of 1.5 mm, the first over a gap of 0.6 mm, the second over 0.9 mm and 182 degrees of crank later; 30 dB."""
    rate = 48000
    crank = Crank([(0.0, 900), (0.6, 1000), (1.2, 2400), (1.5, 2500), (2.0, 1500)])
    fine = grid(crank, rate)
    angle, speed = crank.angle(fine), crank.speed(fine)

    def wave(gap_mm, later):
        past = (angle + LEAD - later + np.pi) % (2 * np.pi) - np.pi
        behind = (angle + LEAD - ARC - later + np.pi) % (2 * np.pi) - np.pi
        return (over_a_pole(past, gap_mm, 1.5) - over_a_pole(behind, gap_mm, 1.5)) * speed / 400.0

    channels = [at_rate(wave(gap, later)) for gap, later in ((0.6, 0.0), (0.9, 182.0 * DEG))]
    noise = np.max(channels[0]) * 10 ** (-30 / 20) / 3
    write_wav("pickups.wav", rate, [c + noise * rng.standard_normal(len(c)) for c in channels], 1.1)


def exhaust_wave(crank, fires_deg, loud, rate, rng, fine=None, scatter=0.15):
    """Each firing blows: a short push, and the pipe's ring of 95 and 260 Hz; loudness as the cylinder has it, from burn to burn."""
    t = np.arange(int(crank.end * rate)) / rate
    wave = np.zeros_like(t)
    cycles = np.arange(0, int(crank.angle(crank.end) / (4 * np.pi)) + 1)
    for at_deg, level in zip(fires_deg, loud):
        # The exhaust opens some 120° behind the firing.
        for at in crank.times((cycles * 720.0 + at_deg + 120.0) * DEG):
            if not 0.0 < at < crank.end - 0.01:
                continue
            first = int(np.ceil(at * rate))
            n = min(int(0.06 * rate), len(t) - first)
            d = (first + np.arange(n)) / rate - at
            force = level * (1 + scatter * rng.standard_normal()) * (crank.speed(at) / 200.0) ** 0.5
            push = np.exp(-d / 1.2e-3) * (1 - np.exp(-d / 0.25e-3)) * rng.normal(1.0, 0.25, n)
            ring = np.exp(-d / 9e-3) * (np.sin(2 * np.pi * 95 * d) + 0.6 * np.sin(2 * np.pi * 260 * d + 1))
            wave[first : first + n] += force * (2.0 * push + 0.5 * ring)
    return t, wave


def noisy(wave, db, rng):
    """With noise so far below: pink above 20 Hz, as wind and workshop are."""
    n = len(wave)
    spectrum = np.fft.rfft(rng.standard_normal(n))
    f = np.arange(len(spectrum)) + 1.0
    noise = np.fft.irfft(spectrum / np.sqrt(f), n)
    return wave + noise * np.std(wave) / np.std(noise) * 10 ** (-db / 20)


IDLE_BLIP_HANG = [(0, 1100), (0.8, 1140), (1.6, 1090), (2.4, 1130), (3, 1110), (3.5, 4200), (3.8, 4400), (4.9, 2100), (5.5, 1980),
                  (8, 1960), (8.7, 1120), (9.5, 1090), (10.2, 1120), (11, 1100)]


def exhaust(rng):
    """A twin with a 180° crank idles, is blipped, hangs, is pulled down; 10 dB."""
    rate = 8000
    crank = Crank(IDLE_BLIP_HANG)
    t, wave = exhaust_wave(crank, [0.0, 180.0], [1.0, 0.8], rate, rng)
    wave = noisy(wave, 10.0, rng)
    write_wav("exhaust.wav", rate, [wave], 1.25 * np.max(np.abs(wave)))
    rows = [(x, "speed", crank.speed(x), 0.0) for x in np.arange(0.0, crank.end, 0.025)]
    write_table("exhaust.csv", "Speed in exhaust.wav: fires at 0° and 180° of 720°, 10 dB", rows)


if __name__ == "__main__":
    sweep(np.random.default_rng(11))
    hard(np.random.default_rng(12))
    exhaust(np.random.default_rng(13))
    kick(np.random.default_rng(14))
    pickups(np.random.default_rng(15))
    sys.exit(0)
