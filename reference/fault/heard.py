"""Likelihoods of what recordings say, by SciPy.

Run: python3 reference/fault/heard.py     (SciPy)
Nothing here shares code with the program. Columns: what; two numbers that are put in; the two likelihoods, of nothing amiss and of something amiss (hang: of a
computed rest speed, of any other speed). events: logarithms, scipy.stats.betabinom. segment, ratio, hang: scipy.stats.norm and uniform.
"""
import math
import pathlib

from scipy.stats import betabinom, norm, uniform

TO = pathlib.Path(__file__).with_suffix(".csv")
rows = []
for events, of in [(0, 40), (0, 6000), (1, 500), (3, 1000), (12, 1000), (90, 1500), (700, 700), (25, 30000)]:
    rows.append(("events", events, of, *(float(betabinom.logpmf(events, of, 1, b)) for b in (999, 9))))
for off_mm, by_mm in [(0.1, 0.3), (-1.2, 0.4), (4.0, 0.2), (0.0, 1.0)]:
    sd = 0.5 * by_mm * 1e-3
    rows.append(("segment", off_mm * 1e-3, by_mm * 1e-3, *(float(norm.pdf(off_mm * 1e-3, 0, s)) for s in (sd, math.hypot(sd, 3e-3)))))
for ratio, by in [(1.0, 0.02), (0.9, 0.02), (0.6, 0.05), (1.7, 0.1)]:
    sd = math.hypot(0.075, 0.5 * by / ratio)
    rows.append(("ratio", ratio, by, *(float(norm.pdf(math.log(ratio), 0, s)) for s in (sd, math.hypot(sd, 0.5)))))
for speed, by in [(228.0, 4.0), (200.0, 10.0), (300.0, 2.0), (420.0, 20.0)]:
    sd = math.hypot(0.14, 0.5 * by / speed)
    even = uniform.pdf(math.log(speed), math.log(150), math.log(500) - math.log(150))
    rows.append(("hang", speed, by, float(norm.pdf(math.log(speed), math.log(230), sd)), float(even)))
head = "# likelihoods of what recordings say, by scipy.stats.betabinom, norm and uniform\n# made by reference/fault/heard.py\n"
TO.write_text(head + "what,put_in,beside,first,second\n" + "".join(",".join(map(str, r)) + "\n" for r in rows))
