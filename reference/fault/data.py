"""The data of the program and whom they suit, for the two scripts beside this file. Nothing here shares code with the program."""
import pathlib
import tomllib

HERE = pathlib.Path(__file__).parent
DATA = HERE.parent.parent / "crates/workshop/src/study/fault/faults.toml"
SYSTEMS = ["points", "magneto", "cdi-source", "cdi-battery", "transistor"]
# As the program's documentation says.
TWO_AT_ONCE, MISLEADS, FLAWED, OUT_OF_CONDITION, LEAST = 0.2, 0.03, 0.05, 0.35, 0.02


def read():
    return tomllib.loads(DATA.read_text())


def draw_machine(draw):
    """Ignition, strokes, cylinders."""
    return draw.choice(SYSTEMS), draw.choice([2, 4]), draw.choice([1, 2])


def fits(thing, machine, key):
    system, strokes, cylinders = machine
    return system in thing.get(key, SYSTEMS) and strokes in thing.get("strokes", [2, 4]) and cylinders >= thing.get("min_cyl", 1)


def weights_on(complaint, machine, data):
    """Weights of the causes that this machine can have."""
    causes = {c["id"]: c for c in data["cause"]}
    return {
        c["id"]: c["w"]
        for c in complaint["causes"]
        if fits(causes[c["id"]], machine, "systems") and machine[0] in c.get("only", SYSTEMS)
    }


def telling_tests(complaint, machine, weights, data):
    """Tests that can be done on it, are not barred and tell something of these causes."""
    return [
        t
        for t in data["test"]
        if fits(t, machine, "applies")
        and complaint["kind"] in t.get("kinds", [complaint["kind"]])
        and complaint["when"] in t.get("only_when", [complaint["when"]])
        and not (complaint.get("dead", False) and t.get("must_run", False))
        and t["state"] not in complaint.get("bar_states", [])
        and any(h["id"] in weights for h in t["hits"])
    ]


def chance_alone(test, complaint, cause_p):
    """Chance with one cause alone, the condition rule in it."""
    keep = OUT_OF_CONDITION if "sees" in test and complaint["when"] not in test["sees"] else 1.0
    return test["p_none"] + keep * (cause_p - test["p_none"])
