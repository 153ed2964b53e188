"""The lifting equation and the guideline against published figures.

NIOSH: Waters, Putz-Anderson, Garg, Applications Manual for the Revised NIOSH Lifting Equation,
DHHS (NIOSH) 94-110, 1994, revised 2021; pages beside each figure, read through an independent
public transcription. HSE: the lifting and lowering filter of INDG143, as reprinted in an NHS
training booklet, 2014.
"""

from __future__ import annotations

import pytest

from kitplan.optics.lens import OpticsError
from kitplan.optics.lifting import (
    FLOOR_TO_BOOT,
    Coupling,
    Duration,
    Lift,
    coupling_factor,
    frequency_factor,
    recommended_kg,
)
from kitplan.shoot.rules import default_rules

CM_PER_IN, LB_PER_KG = 2.5, 51 / 23
"""The form of the manual in inches and pounds is the metric one at 2.5 cm an inch (10 in for 25 cm,
30 in for 75 cm, 0.0075 for 0.003, 1.8 for 4.5) and 51 lb for 23 kg: compared so."""
PRINTED = 0.025
"""The manual multiplies factors rounded to two places, and its tables are not its formulas
everywhere: printed results are met within 2.5 %."""


def lift_in(h: float, v: float, d: float, **facts: object) -> Lift:
    """Return a lift given in inches."""
    given = (h * CM_PER_IN, v * CM_PER_IN, d * CM_PER_IN)
    return Lift(*given, **facts)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("lift", "pounds"),
    [
        # example 4, figure 14, page 46: at the origin and at the destination
        (lift_in(10, 22, 37, per_min=3), 34.9),
        (lift_in(20, 59, 37, per_min=3), 15.2),
        # examples 1 (pages 33 to 37) and 3 (pages 41 to 43): figures from memory, not read
        (lift_in(23, 15, 49), 16.3),
        (lift_in(23, 64, 49), 14.5),
        (lift_in(18, 15, 21, twist_deg=45), 18.9),
    ],
)
def test_worked_examples_of_the_manual(lift: Lift, pounds: float) -> None:
    """Coupling is fair in all of them."""
    assert recommended_kg(lift) * LB_PER_KG == pytest.approx(pounds, rel=PRINTED)


@pytest.mark.parametrize(
    ("lift", "kilograms"),
    [
        (Lift(25, 75, 25, coupling="good"), 23.0),  # page 7: nothing takes off the constant
        (Lift(40, 20, 60), 10.206),  # the metric formula in full precision
        (Lift(40, 150, 75, coupling="good"), 9.314 / 0.95),
        (Lift(30, 75, 30, twist_deg=45, coupling="good"), 15.914),
        (Lift(20, 75, 20, coupling="good"), 23.0),  # nearer and shorter counts as 25 cm, page 8
        (Lift(64, 75, 30), 0.0),  # pages 8 to 12: too far, too high, too much of a turn
        (Lift(30, 176, 30), 0.0),
        (Lift(30, 75, 176), 0.0),
        (Lift(30, 75, 30, twist_deg=136), 0.0),
    ],
)
def test_the_metric_formula(lift: Lift, kilograms: float) -> None:
    """To the gram."""
    assert recommended_kg(lift) == pytest.approx(kilograms, abs=0.001)


@pytest.mark.parametrize(
    ("per_min", "duration", "factor"),
    [
        (0.0, "short", 1.0),
        (0.2, "short", 1.0),
        (1, "short", 0.94),
        (3, "short", 0.88),
        (6, "short", 0.75),
        (2.4, "short", 0.898),  # between two rows
        (0.2, "moderate", 0.95),
        (1, "moderate", 0.88),
        (3, "moderate", 0.79),
        (6, "moderate", 0.5),
        (0.2, "long", 0.85),
        (1, "long", 0.75),
        (3, "long", 0.55),
        (6, "long", 0.27),
    ],
)
def test_frequency_factors(per_min: float, duration: Duration, factor: float) -> None:
    """Table 5, page 15."""
    assert frequency_factor(per_min, duration) == pytest.approx(factor, abs=1e-9)


@pytest.mark.parametrize(
    ("coupling", "vertical_cm", "factor"),
    [("good", 20, 1), ("fair", 74.9, 0.95), ("fair", 75, 1), ("poor", 20, 0.9), ("poor", 90, 0.9)],
)
def test_coupling_factors(coupling: Coupling, vertical_cm: float, factor: float) -> None:
    """Table 7, page 18."""
    assert coupling_factor(coupling, vertical_cm) == factor


def test_the_guideline_is_the_smaller_of_equation_and_filter() -> None:
    """HSE: hands between mid lower leg and knuckle, close to the body: women 13 kg, men 20."""
    guideline = default_rules().lift_kg
    assert guideline == 13
    assert guideline <= recommended_kg(FLOOR_TO_BOOT) < guideline + 0.5


@pytest.mark.parametrize(
    "lift", [Lift(-1, 75, 30), Lift(30, 75, 30, per_min=7), Lift(30, 75, 30, per_min=-1)]
)
def test_nonsense_is_refused(lift: Lift) -> None:
    """Negative lengths, and more lifts a minute than the table has."""
    with pytest.raises(OpticsError, match="0"):
        recommended_kg(lift)
