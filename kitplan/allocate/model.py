"""The whole model: decisions, rules, demands and resets, put together."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass, replace
from functools import cached_property

from ortools.sat.python import cp_model

from kitplan.allocate import past, people, pictures, rigs, supply
from kitplan.allocate.demands import Demands, add_demands
from kitplan.allocate.dominance import CameraMode
from kitplan.allocate.lacking import Lacking
from kitplan.allocate.nogoods import add_no_goods
from kitplan.allocate.part import Whole
from kitplan.allocate.reset import Reset, add_resets
from kitplan.allocate.settle import fix
from kitplan.allocate.variables import Detail, Given, Variables, create_variables
from kitplan.options.spots import Options

RULES = (*rigs.RULES, *pictures.RULES, *people.RULES, *supply.RULES, *past.RULES, add_no_goods)
"""The table of contents; the order carries no meaning."""


LARGE = 20_000
"""So many decisions, counted with those of the goals taken up."""


@dataclass(frozen=True)
class Allocation:
    """A model ready to be solved."""

    model: cp_model.CpModel
    variables: Variables
    demands: Demands
    resets: list[Reset]

    @property
    def is_large(self) -> bool:
        """Whether it has too many decisions for one search to better them all at once."""
        return len(self.model.proto.variables) > LARGE

    @cached_property
    def lacking(self) -> Lacking:
        """What rigs of a plan lack."""
        return Lacking(self.variables)

    @cached_property
    def whole(self) -> Whole:
        """Its rows as arrays, to cut parts out; as they were at the last `refresh`."""
        return Whole(self.model)

    def fix(self, var: cp_model.IntVar, value: int) -> None:
        """Leave a decision one value, once the rows have been looked at as well."""
        fix(self.model, var, value)
        self.whole.fix(var.index, value)


def build(
    options: Options,
    detail: Detail = "all",
    wanted: Set[CameraMode] = frozenset(),
    *,
    model: cp_model.CpModel | None = None,
    given: Given | None = None,
    only: Mapping[tuple[str, str], Set[int]] | None = None,
) -> Allocation:
    """Return the model with all rules and demands; goals are added one by one by the search.

    Args:
        detail: How far shots are told apart; goals after it cannot be asked for.
        wanted: Cameras that are kept among the choices in any case.
        model: Where to add it all; by default a model of its own.
        given: Decisions whether the shoot has a unit on a day, where another one could have it.
        only: By key of the spots that anything may stand at, places of the cameras there.
    """
    model = cp_model.CpModel() if model is None else model
    variables = create_variables(options, model, detail, wanted, given, only)
    for add_rule in RULES:
        add_rule(variables)
    return Allocation(model, variables, add_demands(variables), add_resets(variables))


def copied(allocation: Allocation) -> Allocation:
    """Return the same model again, for another thread to add goals to."""
    model = allocation.model.clone()
    variables = replace(allocation.variables, model=model, on_offer={})
    return replace(allocation, model=model, variables=variables)
