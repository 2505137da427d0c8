"""Finds coefficients of the step: W-methods of order 3 in five stages that evaluate the rates at three arguments.

    python3 tests/method/find.py [STARTS]

A W-method keeps its order whatever its matrix A is (T. Steihaug and A. Wolfbrandt, Mathematics of Computation 33 (1979) 521-534).
Order 3 needs four stages then (three were tried on paper: their conditions contradict each other), but not as many
evaluations: stages may share an argument. One more stage, which costs a linear solution and no evaluation, lets the
embedded method forget what is stiff.

Asked for exactly: order 3 for any A; the last stage is the step's end (stiffly accurate), at the time of the step's end (order 3 for
differential-algebraic equations of index 1); no growth of any ringing that A knows. Made small: what is left of the 13
conditions of order 4, where J = A + N, each branch of the tree through A or N, over the tree's symmetry.

Prints the committed coefficients' residuals, those of ROS34PW2 (the method used before), and those of the minima found from random starts.
"""

import re
import sys
from itertools import product
from pathlib import Path

import numpy as np
from scipy.optimize import least_squares

ARGUMENT_OF = [0, 1, 1, 1, 2]
STAGES = len(ARGUMENT_OF)
BELOW = [(i, j) for i in range(STAGES) for j in range(i)]
# Free entries of an argument: its weights on the stages before the first that uses it.
OWN = [(a, j) for a in (1, 2) for j in range(ARGUMENT_OF.index(a))]
COUNT = len(OWN) + len(BELOW) + 1
FREQUENCIES = [0.5, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 15, 25, 60, 200]


def residuals(b, alpha, gamma):
    """What is left of the conditions up to order 3, and of those of order 4."""
    both = alpha + gamma
    matrix, sums = {"N": alpha, "A": both}, {"N": alpha.sum(1), "A": both.sum(1)}
    a = sums["N"]
    low = [b.sum() - 1, *(b @ sums[x] - 1 / 2 for x in "NA"), (b @ a**2 - 1 / 3) / 2]
    low += [b @ matrix[x] @ sums[y] - 1 / 6 for x, y in product("NA", repeat=2)]
    high = [(b @ a**3 - 1 / 4) / 6, *((b * a) @ alpha @ sums[x] - 1 / 8 for x in "NA")]
    high += [(b @ matrix[x] @ a**2 - 1 / 12) / 2 for x in "NA"]
    high += [b @ matrix[x] @ matrix[y] @ sums[z] - 1 / 24 for x, y, z in product("NA", repeat=3)]
    return np.array(low), np.array(high)


def growth(b, alpha, gamma, frequency):
    """Size after a step of y' = iωy of size 1, where A knows all of it."""
    z = 1j * frequency
    inside = np.linalg.solve(np.eye(len(b)) - z * (alpha + gamma), np.ones(len(b), complex))
    return abs(1 + z * (b @ inside))


def method(x):
    alpha, gamma = np.zeros((STAGES, STAGES)), np.zeros((STAGES, STAGES))
    for value, (argument, j) in zip(x, OWN):
        alpha[[i for i in range(STAGES) if ARGUMENT_OF[i] == argument], j] = value
    for value, entry in zip(x[len(OWN) :], BELOW):
        gamma[entry] = value
    np.fill_diagonal(gamma, x[-1])
    return (alpha + gamma)[-1], alpha, gamma


def conditions(x):
    b, alpha, gamma = method(x)
    return np.append(residuals(b, alpha, gamma)[0], alpha[-1].sum() - 1)


def weighted(x, weight):
    b, alpha, gamma = method(x)
    over = [max(0.0, growth(b, alpha, gamma, f) - 1) for f in FREQUENCIES]
    return np.concatenate([weight * conditions(x), residuals(b, alpha, gamma)[1], over, 1.5e-3 * x])


def found(start):
    x = start
    low, high = np.full(COUNT, -5.0), np.full(COUNT, 5.0)
    low[-1], high[-1] = 0.2, 0.8
    for weight in (1, 10, 100):
        x = least_squares(weighted, np.clip(x, low + 1e-9, high - 1e-9), bounds=(low, high), args=(weight,), max_nfev=60).x
    for _ in range(20):
        slopes = np.array([(conditions(x + 1e-7 * e) - conditions(x - 1e-7 * e)) / 2e-7 for e in np.eye(COUNT)]).T
        x = x - np.linalg.lstsq(slopes, conditions(x), rcond=None)[0]
    return x


def committed():
    text = (Path(__file__).parents[2] / "crates/physics/src/tableau.rs").read_text()

    def numbers(name):
        body = re.search(rf"const {name}: [^=]*=([^;]*);", text).group(1).replace("_", "").replace("GAMMA", "")
        return [float(n) for n in re.findall(r"-?\d+\.\d+(?:e-?\d+)?", body)]

    rows = np.array(numbers("ALPHA")).reshape(-1, STAGES)
    gamma = np.array(numbers("GAMMAS")).reshape(STAGES, STAGES) + np.eye(STAGES) * numbers("GAMMA")[0]
    alpha = rows[ARGUMENT_OF]
    return (alpha + gamma)[-1], alpha, gamma


def ros34pw2():
    """J. Rang and L. Angermann, BIT Numerical Mathematics 45 (2005) 761-787."""
    alpha, gamma = np.zeros((4, 4)), np.eye(4) * 4.35866521508459e-1
    alpha[1, 0], alpha[2, :2], alpha[3, 2] = 8.71733043016918e-1, (8.445706001536942e-1, -1.1299064236484185e-1), 1
    gamma[1, 0], gamma[2, :2] = -8.71733043016918e-1, (-9.033805701304408e-1, 5.4180672388095326e-2)
    gamma[3, :3] = 2.4212380706095346e-1, -1.2232505839045147, 5.452602553351021e-1
    return (alpha + gamma)[-1], alpha, gamma


def tell(name, b, alpha, gamma):
    low, high = residuals(b, alpha, gamma)
    most = max(growth(b, alpha, gamma, f) for f in np.logspace(-1.5, 4, 300))
    print(
        f"{name:12} γ {gamma[0, 0]:.4f}  order 3 within {abs(low).max():.0e}  left of order 4 {np.linalg.norm(high):.4f}"
        f"  growth of ringing at most {most - 1:+.0e}"
    )


if __name__ == "__main__":
    tell("committed", *committed())
    tell("ROS34PW2", *ros34pw2())
    random = np.random.default_rng(1)
    for n in range(int(sys.argv[1]) if len(sys.argv) > 1 else 6):
        start = np.concatenate([random.uniform(-0.3, 1, len(OWN)), random.normal(0, 0.7, len(BELOW)), [random.uniform(0.2, 0.5)]])
        tell(f"start {n + 1}", *method(found(start)))
