"""How runs of `allocate` stand against each other in the strict order of goals, and the aims."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from statistics import median
from typing import Any

from tabulate import tabulate

GOALS = ("musts", "wants", "thinnest", "viewpoints", "variety", "quality", "economy")
AIMS = {
    "S": ("all goals proven, median 3 s", None),
    "M": ("musts proven and viewpoints within 3 % of the bound in 60 s", (60.0, 0.03)),
    "L": ("musts proven and viewpoints within 4 % of the bound in 120 s", (120.0, 0.04)),
}
MOST_MB, MOST_MB_FAMILY, PROOF_S = 2048.0, "L", 3.0
LEAST_AHEAD, MOST_LAG = 0.9, 0.02


@dataclass(frozen=True)
class Run:
    """What one contender reached on one shoot."""

    family: str
    seed: int
    seconds: float
    contender: str
    result: dict[str, Any]

    @property
    def goals(self) -> dict[str, list[Any]]:
        """By goal: value, bound or None, whether it is proven, at which second."""
        found: dict[str, list[Any]] = self.result.get("goals", {})
        return found

    @property
    def values(self) -> tuple[float, ...]:
        """Values in strict order; nothing found is worse than anything."""
        return tuple(self.goals[goal][0] for goal in GOALS) if self.goals else (-inf,) * len(GOALS)

    @property
    def proven_s(self) -> float:
        """Seconds until every goal was proven."""
        rows = self.goals.values()
        is_proven = bool(self.goals) and all(row[2] for row in rows)
        return max(row[3] for row in rows) if is_proven else inf

    @property
    def key(self) -> tuple[str, int, float]:
        """Shoot and time."""
        return (self.family, self.seed, self.seconds)


def lag(ours: Run, peer: Run) -> tuple[int, float]:
    """Return the place of the first goal that differs, and by which share of the peer's value ours
    is behind there; negative is ahead, and a place past the end means equal.
    """
    for place, (mine, other) in enumerate(zip(ours.values, peer.values, strict=True)):
        if mine != other:
            if inf in (abs(mine), abs(other)):
                return place, inf if mine < other else -inf
            return place, (other - mine) / max(abs(other), 1)
    return len(GOALS), 0.0


def run_table(runs: list[Run]) -> str:
    """Return the values of every run of one shoot and time: value, * where proven, else /bound."""
    rows = [
        [run.contender, *(_cell(run.goals.get(goal)) for goal in GOALS), _seconds(run.proven_s),
         f"{run.result.get('took_s', 0):.1f}", f"{run.result['peak_mb']:.0f}", _pace(run),
         _remark(run)]
        for run in runs
    ]  # fmt: skip
    heads = ["", *GOALS, "all proven s", "took s", "MB", "pace", ""]
    return tabulate(rows, headers=heads, tablefmt="github", disable_numparse=True)


def _cell(row: list[Any] | None) -> str:
    if row is None:
        return "none"
    value, bound, is_proven, _ = row
    return f"{value:g}*" if is_proven else f"{value:g}" + ("" if bound is None else f" /{bound:g}")


def _pace(run: Run) -> str:
    return f"{run.result['pace_s']:.2f}" if "pace_s" in run.result else ""


def _seconds(value: float) -> str:
    return "-" if value == inf else f"{value:.1f}"


def _remark(run: Run) -> str:
    faults = run.result.get("faults") or []
    cut = ["cut short"] if run.result.get("cut_short") else []
    return "; ".join([*faults, *cut, *([run.result["error"]] if "error" in run.result else [])])


def family_table(runs: list[Run]) -> str:
    """Return for each contender how ours stands against it, its proofs and its memory."""
    ours = {run.key: run for run in runs if run.contender == "ours"}
    rows = []
    for name in dict.fromkeys(run.contender for run in runs):
        mine = [run for run in runs if run.contender == name]
        pairs = [lag(ours[run.key], run) for run in mine if run.key in ours]
        ahead = sum(share < 0 for _, share in pairs)
        equal = sum(place == len(GOALS) for place, _ in pairs)
        behind = [pair for pair in pairs if pair[1] > 0]
        proofs = median(run.proven_s for run in mine)
        stand = ["", "", "", ""] if name == "ours" or not pairs else [
            f"{ahead} of {len(pairs)}", f"{equal} of {len(pairs)}",
            f"{(ahead + equal) / len(pairs):.0%}", _worst(behind),
        ]  # fmt: skip
        rows.append([name, *stand, _seconds(proofs),
                     f"{max(run.result['peak_mb'] for run in mine):.0f}"])  # fmt: skip
    heads = ["", "ours ahead", "equal", "ahead or equal", "worst lag of ours",
             "median s to all proofs", "peak MB"]  # fmt: skip
    return tabulate(rows, headers=heads, tablefmt="github", disable_numparse=True)


def _worst(behind: list[tuple[int, float]]) -> str:
    if not behind:
        return "none"
    place, share = min(behind, key=lambda pair: (pair[0], -pair[1]))
    return f"{GOALS[place]} " + ("(no plan)" if share == inf else f"{share:.1%}")


# -- aims ------------------------------------------------------------------------------------------


def against_all(runs: list[Run]) -> str:
    """Return how often ours is ahead of or equal to all others at once, and where it lags most."""
    lags: dict[tuple[str, int, float], list[tuple[int, float]]] = {}
    ours = {run.key: run for run in runs if run.contender == "ours"}
    for run in runs:
        if run.contender != "ours" and run.key in ours:
            lags.setdefault(run.key, []).append(lag(ours[run.key], run))
    behind = [[pair for pair in pairs if pair[1] > 0] for pairs in lags.values()]
    good, all_behind = sum(not pairs for pairs in behind), [p for pairs in behind for p in pairs]
    is_met = good >= LEAST_AHEAD * len(lags) and all(share <= MOST_LAG for _, share in all_behind)
    return (
        f"- ahead of or equal to every other on {LEAST_AHEAD:.0%} of shoots and times, never more "
        f"than {MOST_LAG:.0%} behind: {_verdict(is_met)}, {good} of {len(lags)}, worst lag "
        f"{_worst(all_behind)}"
    )


def aims(family: str, runs: list[Run]) -> list[str]:
    """Return what is aimed at for a family beside what was measured, missed or not."""
    ours = [run for run in runs if run.contender == "ours" and run.family == family]
    lines = []
    if family in AIMS:
        words, within = AIMS[family]
        lines.append(f"- {words}: {_all_proven(ours) if within is None else _near(ours, *within)}")
    if family == MOST_MB_FAMILY:
        peak = max((run.result["peak_mb"] for run in ours), default=inf)
        lines.append(f"- at most {MOST_MB:.0f} MB: {_verdict(peak <= MOST_MB)}, {peak:.0f} MB")
    return lines


def _verdict(is_met: bool) -> str:
    return "met" if is_met else "MISSED"


def _all_proven(ours: list[Run]) -> str:
    most = max((run.seconds for run in ours), default=0.0)
    times = [run.proven_s for run in ours if run.seconds == most]
    if not times:
        return "not measured"
    found = median(times)
    proven = sum(time < inf for time in times)
    middle = "median not proven" if found == inf else f"median {found:.1f} s"
    return f"{_verdict(found <= PROOF_S)}, {middle}; {proven} of {len(times)} proven in {most:g} s"


def _near(ours: list[Run], seconds: float, share: float) -> str:
    there = [run for run in ours if run.seconds == seconds]
    if not there:
        return "not measured with this time"
    gaps = [_gap(run) for run in there]
    met = sum(gap <= share for gap in gaps)
    worst = "no plan or musts open" if max(gaps) == inf else f"worst {max(gaps):.1%}"
    return f"{_verdict(met == len(there))}, {met} of {len(there)}, {worst}"


def _gap(run: Run) -> float:
    """By which share of its bound viewpoints are short; musts, if open, are short of everything."""
    if not run.goals or not run.goals["musts"][2] or run.goals["viewpoints"][1] is None:
        return inf
    value, bound, *_ = run.goals["viewpoints"]
    return float((bound - value) / max(bound, 1))
