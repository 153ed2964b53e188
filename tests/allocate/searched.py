"""A shoot searched for the best plan, with the model that the answer is of."""

from kitplan.allocate.model import Allocation
from kitplan.allocate.search import search
from kitplan.allocate.solver import Found, Limits
from kitplan.options.spots import find_options
from kitplan.shoot.brief import Brief


def searched(brief: Brief, limits: Limits) -> tuple[Allocation, Found]:
    """Return the model with all goals, and its best answer within the limits."""
    result = search(find_options(brief), limits)
    assert result.allocation is not None
    return result.allocation, result
