"""The same questions put to a general library for Bayesian networks, written beside this file.

Run: python3 reference/fault/network.py     (pyagrum 2.x)
A node for each cause (present or not), a noisy-OR gate with a leak for the complaint, a node that says whether two causes at most are present, a node for
each set-up (sound, says yes, says no) and one for each test. pyagrum's lazy propagation gives the chance of every cause given the complaint, two causes at
most, and the answers; an uncertain reading is soft evidence. Nothing here shares code with the program.
"""
import itertools
import random

import pyagrum as gum

from data import HERE, LEAST, MISLEADS, TWO_AT_ONCE, chance_alone, draw_machine, read, telling_tests, weights_on

CASES = 40
SEED = 36


def network(weights, other, complaint, tests):
    total = sum(weights.values()) + other
    share = {c: w / total for c, w in weights.items()}
    odds = TWO_AT_ONCE / (1.0 - TWO_AT_ONCE) / sum(share[a] * share[b] for a, b in itertools.combinations(share, 2))
    bn = gum.BayesNet()
    for c in share:
        bn.add(gum.LabelizedVariable(c, c, 2))
        o = odds * share[c]
        bn.cpt(c).fillWith([1.0 / (1.0 + o), o / (1.0 + o)])
    bn.addNoisyORNet(gum.LabelizedVariable("complaint", "complaint", 2), odds * other / total)
    for c in share:
        bn.addWeightedArc(c, "complaint", 1.0)
    # How many there are, cause by cause: none, one, two, more.
    before = None
    for k, c in enumerate(share):
        name = f"count{k}"
        bn.add(gum.LabelizedVariable(name, name, 4))
        bn.addArc(c, name)
        if before is not None:
            bn.addArc(before, name)
        for there in (0, 1):
            for so_far in (0,) if before is None else range(4):
                now = min(so_far + there, 3)
                at = {c: there} if before is None else {c: there, before: so_far}
                bn.cpt(name)[at] = [float(now == n) for n in range(4)]
        before = name
    for test in tests:
        setup = "setup-" + test["setup"]
        if setup not in bn.names():
            bn.add(gum.LabelizedVariable(setup, setup, 3))
            bn.cpt(setup).fillWith([1.0 - MISLEADS, MISLEADS / 2.0, MISLEADS / 2.0])
        name = "test-" + test["id"]
        bn.add(gum.LabelizedVariable(name, name, 2))
        bn.addArc(setup, name)
        none = test["p_none"]
        hits = {h["id"]: chance_alone(test, complaint, h["p"]) for h in test["hits"] if h["id"] in share}
        for c in hits:
            bn.addArc(c, name)
        for there in itertools.product((0, 1), repeat=len(hits)):
            fails = 1.0 - none
            for flag, p in zip(there, hits.values()):
                fails *= (1.0 - p) / (1.0 - none) if flag else 1.0
            whole = min(max(1.0 - fails, LEAST), 1.0 - LEAST)
            sound = (whole - MISLEADS / 2.0) / (1.0 - MISLEADS)
            for state, yes in enumerate((sound, 1.0, 0.0)):
                bn.cpt(name)[{setup: state, **dict(zip(hits, there))}] = [1.0 - yes, yes]
    return bn, before


def case(draw, data):
    while True:
        machine = draw_machine(draw)
        complaint = draw.choice(data["symptom"])
        weights = weights_on(complaint, machine, data)
        can = telling_tests(complaint, machine, weights, data)
        if machine[2] < complaint.get("min_cyl", 1) or len(weights) < 3 or len(can) < 5:
            continue
        return machine, complaint, weights, draw.sample(can, 5)


def main():
    draw = random.Random(SEED)
    data = read()
    with open(HERE / "network.csv", "w") as f:
        f.write("# causes of complaints by lazy propagation in a Bayesian network of pyagrum\n")
        f.write("# made by reference/fault/network.py\n")
        f.write("machine,complaint,done,causes\n")
        for _ in range(CASES):
            machine, complaint, weights, chosen = case(draw, data)
            bn, count = network(weights, complaint["other"], complaint, chosen)
            said = [draw.choice(["yes", "no"]) for _ in chosen[:-1]] + [repr(round(draw.uniform(0.05, 0.95), 2))]
            evidence = {"complaint": 1, count: [1.0, 1.0, 1.0, 0.0]}
            for test, answer in zip(chosen, said):
                sure = {"yes": 1.0, "no": 0.0}.get(answer)
                sure = float(answer) if sure is None else sure
                evidence["test-" + test["id"]] = [1.0 - sure, sure]
            engine = gum.LazyPropagation(bn)
            engine.setEvidence(evidence)
            engine.makeInference()
            row = [
                " ".join(str(x) for x in machine),
                complaint["id"],
                " ".join(f"{t['id']}={a}" for t, a in zip(chosen[-1:] + chosen[:-1], said[-1:] + said[:-1])),
                " ".join(f"{c}={engine.posterior(c)[1]!r}" for c in weights),
            ]
            f.write(",".join(row) + "\n")


main()
