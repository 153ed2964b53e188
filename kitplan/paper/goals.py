"""The goals of a plan in plain words: what each came to, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass

from kitplan.paper.layout import table_text
from kitplan.plan.records import GoalReached, Plan


@dataclass(frozen=True)
class GoalWords:
    """How a goal is called, and how its figure reads."""

    name: str
    is_lost: bool = False
    """The goal counts what is lost: fewer is better."""
    digits: int = 0

    def figure(self, value: float) -> str:
        """Return a value of the goal for people."""
        shown = round(-value if self.is_lost else value, self.digits)
        return f"{shown + 0.0:.{self.digits}f}"


GOALS: dict[str, GoalWords] = {
    "musts": GoalWords("musts missed", is_lost=True),
    "wants": GoalWords("wants filled, by weight"),
    "thinnest": GoalWords("viewpoints in the thinnest song"),
    "viewpoints": GoalWords("points of distinct viewpoints", digits=1),
    "variety": GoalWords("variety of subjects, sizes, angles of view"),
    "quality": GoalWords("marks lost on picture quality", is_lost=True),
    "economy": GoalWords("points of reset work and weight", is_lost=True, digits=1),
}
RAW_SCALE = {"viewpoints": 300.0, "economy": 1000.0}
"""The solver's whole numbers: percent of thirds of a point, thousandths of a point."""
PART_SCALE = {"operated": 300.0, "locked off": 300.0, "reset tenths": 10.0, "grams": 1000.0}
PART_NAMES = {"reset tenths": "reset minutes", "grams": "kilograms"}


def goal_line(goal_id: str, value: float, bound: float) -> str:
    """Return what a goal came to in one line: 'wants filled, by weight: 7, proven best'."""
    words = GOALS[goal_id]
    return f"{words.name}: {words.figure(value)}, {certainty(goal_id, value, bound)}"


def certainty(goal_id: str, value: float, bound: float) -> str:
    """Return whether a value is proven, or how much better it could still be."""
    words = GOALS[goal_id]
    if value >= bound:
        return "proven best"
    side = "low" if words.is_lost else "high"
    return f"not proven best: could be as {side} as {words.figure(bound)}"


def goals_table(plan: Plan) -> str:
    """Return every goal with its value, how sure it is, its parts and the time it took."""
    rows = []
    passed: list[str] = []
    for goal in plan.goals:
        words = GOALS[goal.goal]
        given = f" (given {passed[0]})" if len(passed) == 1 else " (given the goals before)"
        rows.append(
            (
                words.name,
                words.figure(goal.value),
                certainty(goal.goal, goal.value, goal.bound) + (given if passed else ""),
                _parts(goal),
                f"{goal.seconds:.1f}",
            )
        )
        passed.append(f"{words.name} = {words.figure(goal.value)}")
    return table_text(("goal, in order", "value", "how sure", "made of", "at s"), rows)


def _parts(goal: GoalReached) -> str:
    parts = []
    for name, value in goal.parts.items():
        scaled = value / PART_SCALE.get(name, 1.0)
        parts.append(f"{PART_NAMES.get(name, name)} {round(scaled, 1):g}")
    return ", ".join(parts)
