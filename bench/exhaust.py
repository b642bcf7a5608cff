"""How near the speed told from the sound of an exhaust comes: seven engines idle and are blipped three times each, in sound made by NumPy, 10 dB.

    .venv/bin/python bench/exhaust.py target/release/tickover

The sound is that of `reference/recording/make.py`: each firing a push and the pipe's ring, loudness scattering by 15 % from burn to burn, pink noise. Blips go up by 2500 to
7000 rpm a second and fall by 1200 to 3500. For every engine: the share of all moments within 2 % of the truth, the share that is trusted, and of those again.
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
RATE, NOISE_DB, NEAR = 8000, 10.0, 0.02


def twin(second_deg):
    return re.sub(r'fires_at = "180°"', f'fires_at = "{second_deg}°"', CORRAN)


# Name, machine file, where the cylinders fire [degrees of 720], how loud, idle [rpm].
ENGINES = [
    ("twin, 180°", CORRAN, [0.0, 180.0], [1.0, 0.8], 1110),
    ("twin, 180°", CORRAN, [0.0, 180.0], [1.0, 0.8], 1250),
    ("single", TARN, [0.0], [1.0], 1100),
    ("twin, 360°", twin(360), [0.0, 360.0], [1.0, 0.9], 1200),
    ("twin, 180°, alike", CORRAN, [0.0, 180.0], [1.0, 1.0], 1000),
    ("twin, 270°", twin(270), [0.0, 270.0], [1.0, 0.8], 1150),
    ("single, slow", TARN, [0.0], [1.0], 950),
]


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
    totals = np.zeros(4)
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        for k, (name, text, fires, loud, idle) in enumerate(ENGINES):
            rng = np.random.default_rng(100 + k)
            crank = make.Crank(course(rng, idle))
            _, wave = make.exhaust_wave(crank, fires, loud, RATE, rng)
            wave = make.noisy(wave, NOISE_DB, rng)
            (folder / "machine.toml").write_text(text)
            wavfile.write(folder / "sound.wav", RATE, (wave / np.abs(wave).max() * 26000).astype(np.int16))
            command = [program, "recording", folder / "sound.wav", "--machine", folder / "machine.toml", "--exhaust", "--json"]
            found = json.loads(subprocess.run(command, capture_output=True, check=True).stdout)["exhaust"]["course"]
            t, rpm, trusted = (np.array(x) for x in zip(*found))
            inside = t < crank.end
            near = np.abs(rpm / (crank.speed(t) * 30 / np.pi) - 1.0)[inside] < NEAR
            trusted = trusted[inside].astype(bool)
            counts = np.array([len(near), near.sum(), trusted.sum(), (near & trusted).sum()], dtype=float)
            totals += counts
            tell(name, counts)
    tell("all", totals)


def tell(name, counts):
    of, near, trusted, both = counts
    print(f"{name}: {of:.0f} moments, {100 * near / of:.1f} % within {100 * NEAR:.0f} %; {100 * trusted / of:.1f} % trusted, of those {100 * both / trusted:.1f} %")


if __name__ == "__main__":
    main()
