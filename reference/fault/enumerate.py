"""Causes of complaints by plain enumeration, written beside this file.

Run: python3 reference/fault/enumerate.py     (Python 3.11 or later, nothing else)
Reads crates/workshop/src/study/fault/faults.toml, draws machines, complaints and answers, and adds up the joint of causes and of what each set-up
may do (sound, says yes to everything, says no to everything), term by term. Nothing here shares code with the program.
Columns: machine, complaint, what was done in order (a number = a reading that is positive with that chance), then the chance of every cause, of
none and of two at once with two causes at most, and the chance of every cause with any number of causes.
"""
import itertools
import random

from data import FLAWED, HERE, LEAST, MISLEADS, TWO_AT_ONCE, chance_alone, draw_machine, read, telling_tests, weights_on

CASES = 60
SEED = 812


def positive(test, complaint, causes):
    """Chance of a positive test with these causes present."""
    none = test["p_none"]
    fails = 1.0 - none
    for hit in test["hits"]:
        if hit["id"] in causes:
            fails *= (1.0 - chance_alone(test, complaint, hit["p"])) / (1.0 - none)
    return min(max(1.0 - fails, LEAST), 1.0 - LEAST)


def left(causes, mended):
    rest = causes - mended
    return rest if rest else causes


def joint(weights, other, complaint, tests, done, most):
    """Chance of each set of causes, by adding up over everything that the set-ups may do."""
    total = sum(weights.values()) + other
    share = {c: w / total for c, w in weights.items()}
    pairs = sum(share[a] * share[b] for a, b in itertools.combinations(share, 2))
    odds = TWO_AT_ONCE / (1.0 - TWO_AT_ONCE) / pairs
    setups = sorted({tests[t]["setup"] for t, _ in done if t in tests})
    chances = {}
    for n in range(most + 1):
        for each in itertools.combinations(share, n):
            causes = frozenset(each)
            p = other / total * odds if not causes else 1.0
            for c in causes:
                p *= odds * share[c]
            summed = 0.0
            for how in itertools.product(["sound", "yes", "no"], repeat=len(setups)):
                does = dict(zip(setups, how))
                term, mended = 1.0, frozenset()
                for state in how:
                    term *= 1.0 - MISLEADS if state == "sound" else MISLEADS / 2.0
                for name, said in done:
                    if said == "put-right":
                        before, mended = mended, mended | {name}
                        if causes and causes <= mended and not causes <= before:
                            term *= FLAWED
                        continue
                    test = tests[name]
                    whole = positive(test, complaint, left(causes, mended))
                    says = {"yes": 1.0, "no": 0.0, "sound": (whole - MISLEADS / 2.0) / (1.0 - MISLEADS)}[does[test["setup"]]]
                    sure = {"yes": 1.0, "no": 0.0}.get(said)
                    sure = float(said) if sure is None else sure
                    term *= says * sure + (1.0 - says) * (1.0 - sure)
                summed += term
            chances[causes] = p * summed
    whole = sum(chances.values())
    return {causes: p / whole for causes, p in chances.items()}


def case(draw, data):
    tests = {t["id"]: t for t in data["test"]}
    causes = {c["id"]: c for c in data["cause"]}
    while True:
        machine = draw_machine(draw)
        complaint = draw.choice(data["symptom"])
        weights = weights_on(complaint, machine, data)
        if machine[2] < complaint.get("min_cyl", 1) or len(weights) < 2:
            continue
        # Those that tell something, three of the same set-up among them where there are.
        telling = [t["id"] for t in telling_tests(complaint, machine, weights, data)]
        if len(telling) < 4:
            continue
        chosen = draw.sample(telling, draw.randint(1, 4))
        setup = tests[chosen[0]]["setup"]
        chosen += [t for t in telling if tests[t]["setup"] == setup and t not in chosen][:2]
        readings = [(t, repr(round(draw.uniform(0.02, 0.98), 2))) for t in chosen[3:4]]
        done = [(t, draw.choice(["yes", "no"])) for t in chosen if t not in dict(readings)]
        if draw.random() < 0.4:
            reversible = [c for c in weights if not causes[c].get("irreversible")]
            done.insert(draw.randint(0, len(done)), (draw.choice(reversible), "put-right"))
        return machine, complaint, weights, tests, readings + done


def main():
    draw = random.Random(SEED)
    data = read()
    with open(HERE / "enumerated.csv", "w") as f:
        f.write("# causes of complaints, by enumeration over sets of causes and states of set-ups, term by term\n")
        f.write("# made by reference/fault/enumerate.py\n")
        f.write("machine,complaint,done,causes,none,two,any_number\n")
        for _ in range(CASES):
            machine, complaint, weights, tests, done = case(draw, data)
            two = joint(weights, complaint["other"], complaint, tests, done, 2)
            every = joint(weights, complaint["other"], complaint, tests, done, min(len(weights), 5))
            of = lambda chances, c: sum(p for causes, p in chances.items() if c in causes)
            row = [
                " ".join(str(x) for x in machine),
                complaint["id"],
                " ".join(f"{t}={said}" for t, said in done),
                " ".join(f"{c}={of(two, c)!r}" for c in weights),
                repr(two[frozenset()]),
                repr(sum(p for causes, p in two.items() if len(causes) == 2)),
                " ".join(f"{c}={of(every, c)!r}" for c in weights),
            ]
            f.write(",".join(row) + "\n")


main()
