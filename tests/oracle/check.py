"""Solves the cases again and compares with the committed `expected.json`. Exits 1 where they differ.

    python check.py [--method LSODA|Radau|DOP853|BDF] [--rtol 1e-10]
"""

import argparse
import json
import sys

from solve import HERE, solve_all

# Two methods of SciPy at these tolerances, or one of them on two processors, agree to a tenth of this.
TIME_S = 1e-6
SHARE = 1e-6
# What is not an answer but a count of the solver's work.
WORK = {"evaluations", "stretches"}


def differences(path, expected, found, work_j=None):
    """Path, difference and whether that is allowed, of every value."""
    if isinstance(expected, dict) and isinstance(found, dict) and expected.keys() == found.keys():
        work_j = expected.get("engine_work_j", work_j)
        for name in expected.keys() - WORK:
            yield from differences(f"{path}/{name}", expected[name], found[name], work_j)
    elif isinstance(expected, list) and isinstance(found, list) and len(expected) == len(found):
        for i, (before, after) in enumerate(zip(expected, found)):
            yield from differences(f"{path}/{i}", before, after, work_j)
    elif isinstance(expected, float) and isinstance(found, float):
        by = abs(expected - found)
        if path.endswith("residual_j"):
            yield path, by / work_j, by <= SHARE * work_j
        elif any(part.endswith("_s") for part in path.split("/")):
            yield path, by, by <= TIME_S
        else:
            yield path, by / abs(expected), by <= SHARE * abs(expected)
    elif expected != found:
        yield f"{path} ({expected!r}, {found!r})", float("inf"), False


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--method", default="LSODA")
    parser.add_argument("--rtol", type=float, default=1e-10)
    args = parser.parse_args()
    committed = json.loads((HERE / "expected.json").read_text())
    again = solve_all(args.method, args.rtol, tell=lambda text: print(text, flush=True))
    if committed["versions"] != again["versions"]:
        print(f"committed with {committed['versions']}, solved again with {again['versions']}")
    failed = False
    for before, after in zip(committed["runs"], again["runs"], strict=True):
        met = sorted(differences("", before, after), key=lambda entry: -entry[1])
        print(f"{before['name']}: {len(met)} values; most in {met[0][0]}, by {met[0][1]:.1e}")
        for path, by, within in met:
            if not within:
                failed = True
                print(f"  {path} differs by {by:.1e}")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
