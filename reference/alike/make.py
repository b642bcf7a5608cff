"""Outside values for weighing causes, written beside this file.

Run: python3 reference/alike/make.py     (numpy 2.x, scipy 1.17)
Shares of causes by Bayes' rule, all having the same share before, and what another observation is expected to tell: the entropy of the
shares less the mean entropy of the shares after each of its outcomes, as scipy.stats.entropy has it. The program adds up mutual
information instead. Nothing here shares code with it.
"""
import pathlib
import numpy as np
from scipy.stats import entropy

HERE = pathlib.Path(__file__).parent
CASES = 24
CAUSES = 6
SEED = 46


def case(random, n):
    """Marginal likelihoods of the causes and the chances of an observation's outcomes under each."""
    likelihoods = random.lognormal(0.0, 2.0, CAUSES)
    chances = random.dirichlet(np.full(2 + n % 2, 0.4), CAUSES)
    if n % 6 == 0:
        # A cause that cannot be, and an outcome that nothing brings about.
        likelihoods[n // 6] = 0.0
        chances = np.column_stack([chances, np.zeros(CAUSES)]) if chances.shape[1] == 2 else chances
    return likelihoods, chances


def main():
    random = np.random.default_rng(SEED)
    with open(HERE / "bayes.csv", "w") as f:
        f.write("# shares of six causes from their likelihoods, even before; expected drop of their entropy by an observation [bit]\n")
        f.write("# scipy.stats.entropy before and after each outcome; chances cause by cause\n")
        f.write("# made by reference/alike/make.py\n")
        f.write("likelihoods,shares,chances,bits\n")
        for n in range(CASES):
            likelihoods, chances = case(random, n)
            shares = likelihoods / likelihoods.sum()
            of = shares @ chances
            after = [shares * chances[:, o] / of[o] for o in range(chances.shape[1]) if of[o] > 0.0]
            bits = entropy(shares, base=2) - sum(p * entropy(s, base=2) for p, s in zip(of[of > 0.0], after))
            text = [" ".join(repr(float(x)) for x in np.ravel(part)) for part in (likelihoods, shares, chances, bits)]
            f.write(",".join(text) + "\n")


main()
