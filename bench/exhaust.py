"""How near the speed told from the sound of an exhaust comes: eight engines at five idles each idle and are blipped three times, twice, in sound made by NumPy, 10 dB.

    .venv/bin/python bench/exhaust.py target/release/tickover

The sound is that of `reference/recording/make.py`: each firing a push and the pipe's ring, loudness scattering by 15 % from burn to burn, pink noise. Blips go up by 2500 to
7000 rpm a second and fall by 1200 to 3500. For every engine and every idle: the share of all moments within 2 % of the truth, the share that is trusted, of those again, and how
many are trusted and off by more than a fifth: another speed.
"""

import json
import pathlib
import re
import subprocess
import sys
import tempfile

import numpy as np
from scipy.io import wavfile

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "reference" / "recording"))
import make  # noqa: E402

CORRAN = (HERE.parent / "examples" / "corran-360.toml").read_text()
TARN = (HERE.parent / "examples" / "tarn-500.toml").read_text()
RATE, NOISE_DB, NEAR, WRONG = 8000, 10.0, 0.02, 0.2


def engine(*fires_deg):
    """The twin of the examples with other cylinders."""
    names = ["left", "right", "third", "fourth"]
    cylinders = "".join(f'[[engine.cylinder]]\nname = "{n}"\nfires_at = "{d}°"\n\n' for n, d in zip(names, fires_deg))
    first, last = re.search(r"\[\[engine\.cylinder\]\]", CORRAN).start(), CORRAN.rindex("fires_at")
    text = CORRAN[:first] + cylinders + CORRAN[CORRAN.index("\n", last) + 1 :]
    # Which pickup fires them does not matter to the sound.
    return text.replace('fires = "left"', f"fires = {json.dumps(['left', *names[2 : len(fires_deg)]])}")


# Name, machine file, where the cylinders fire [degrees of 720], how loud.
ENGINES = [
    ("single", TARN, [0.0], [1.0]),
    ("twin, 180°", CORRAN, [0.0, 180.0], [1.0, 0.8]),
    ("twin, 360°", engine(0, 360), [0.0, 360.0], [1.0, 0.9]),
    ("twin, 270°", engine(0, 270), [0.0, 270.0], [1.0, 0.8]),
    ("twin, 405°", engine(0, 405), [0.0, 405.0], [1.0, 0.9]),
    ("three, even", engine(0, 240, 480), [0.0, 240.0, 480.0], [1.0, 0.9, 0.95]),
    ("four, even", engine(0, 180, 360, 540), [0.0, 180.0, 360.0, 540.0], [1.0, 0.9, 0.95, 0.85]),
    ("four, uneven", engine(0, 90, 270, 540), [0.0, 90.0, 270.0, 540.0], [1.0, 0.9, 0.95, 0.85]),
]
IDLES_RPM, SEEDS = (700, 850, 950, 1100, 1300), (1, 2)


def course(rng, idle):
    """Times and speeds: idle with a scatter of 3 %, three blips."""
    points, t = [(0.0, idle)], 0.0
    for _ in range(3):
        for _ in range(rng.integers(1, 4)):
            t += rng.uniform(0.5, 0.9)
            points.append((t, idle * rng.uniform(0.97, 1.03)))
        up, top = rng.uniform(2500, 7000), rng.uniform(2500, 5500)
        t += (top - idle) / up
        points.append((t, top))
        t += rng.uniform(0.15, 0.4)
        points.append((t, top * rng.uniform(0.98, 1.04)))
        down, end = rng.uniform(1200, 3500), idle * rng.uniform(1.0, 1.6)
        t += (top - end) / down
        points.append((t, end))
        t += rng.uniform(0.4, 1.0)
        points.append((t, idle * rng.uniform(1.0, 1.1)))
    return points + [(t + 1.0, idle)]


def main():
    program = sys.argv[1]
    totals = {}
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        for k, (name, text, fires, loud) in enumerate(ENGINES):
            (folder / "machine.toml").write_text(text)
            for idle in IDLES_RPM:
                for seed in SEEDS:
                    counts = one(program, folder, np.random.default_rng(1000 * k + idle + 77777 * seed), fires, loud, idle)
                    for what in (name, f"{idle} rpm", "all"):
                        totals[what] = totals.get(what, 0) + counts
    for what, counts in totals.items():
        tell(what, counts)


def one(program, folder, rng, fires, loud, idle):
    """Moments of one recording: all, near, trusted, both, trusted and wrong."""
    crank = make.Crank(course(rng, idle))
    _, wave = make.exhaust_wave(crank, fires, loud, RATE, rng)
    wave = make.noisy(wave, NOISE_DB, rng)
    wavfile.write(folder / "sound.wav", RATE, (wave / np.abs(wave).max() * 26000).astype(np.int16))
    command = [program, "recording", folder / "sound.wav", "--machine", folder / "machine.toml", "--exhaust", "--json"]
    found = json.loads(subprocess.run(command, capture_output=True, check=True).stdout)["exhaust"]["course"]
    t, rpm, trusted = (np.array(x) for x in zip(*found))
    inside = t < crank.end
    off = np.abs(rpm / (crank.speed(t) * 30 / np.pi) - 1.0)[inside]
    trusted = trusted[inside].astype(bool)
    near = off < NEAR
    return np.array([len(near), near.sum(), trusted.sum(), (near & trusted).sum(), (trusted & (off > WRONG)).sum()], dtype=float)


def tell(name, counts):
    of, near, trusted, both, wrong = counts
    print(f"{name}: {of:.0f} moments, {100 * near / of:.1f} % within {100 * NEAR:.0f} %; {100 * trusted / of:.1f} % trusted, of those {100 * both / trusted:.1f} %, {wrong:.0f} wrong")


if __name__ == "__main__":
    main()
