"""Count in how many random shoots each rule binds, for docs/long-suite.md.

    python -m tests.bench.binding [--seeds 500]

A rule that refuses placements binds where it is the only one that some of them break; any other
rule where the best plan comes to something else without it. By exhaustive search, no solver.
"""

from __future__ import annotations

import argparse
from collections import Counter

from tabulate import tabulate

from tests.oracle import best_plan
from tests.random_shoots import random_brief
from tests.random_shoots.relaxed import RELAXED


def main() -> None:
    """Print both tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=500)
    asked = parser.parse_args()
    refused: Counter[str] = Counter()
    changed: Counter[str] = Counter(dict.fromkeys(RELAXED, 0))
    for seed in range(asked.seeds):
        brief = random_brief(seed)
        best = best_plan(brief)
        refused.update(best.refused.keys())
        for rule, relaxed in RELAXED.items():
            other = relaxed(brief)
            if other != brief and best_plan(other).values != best.values:
                changed[rule] += 1
    for words, counts in (("refuses alone", refused), ("changes the best plan", changed)):
        rows = sorted(counts.items())
        print(tabulate(rows, headers=["rule", words], tablefmt="github"), end="\n\n")


if __name__ == "__main__":
    main()
