"""The house's rule: each room imports only from the rooms before it, and some doors stay shut.

Read from the source with `ast`, imports inside functions included.
"""

from __future__ import annotations

import ast
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest

import kitplan

ROOT = Path(kitplan.__file__).parent
FOUNDATION = ("units", "errors", "tables", "wording", "checked", "sources")
"""Modules that everything may import; among themselves in any order that has no circle."""
ROOMS = (
    "optics",
    "stage",
    "gear",
    "shoot",
    "recce",
    "options",
    "plan",
    "allocate",
    "day",
    "produce",
    "whatif",
    "paper",
    "web",
    "cli",
)
"""Rooms in the order of the pipeline: each may import those before it."""
MODULES = sorted(path.relative_to(ROOT).as_posix() for path in ROOT.rglob("*.py"))


class Names(NamedTuple):
    """What a module names. Its syntax tree is not kept: it would slow down whatever runs after."""

    imports: frozenset[str]
    """Dotted names that it imports, `from a import b` as both a and a.b."""
    at_once: frozenset[str]
    """Those of them that are imported when it is loaded: not in functions, not for types only."""
    calls: frozenset[str]


@cache
def names_of(module: str) -> Names:
    """Return what a module imports and calls."""
    tree = ast.parse((ROOT / module).read_text(encoding="utf-8"))
    calls = {ast.unparse(node.func) for node in ast.walk(tree) if isinstance(node, ast.Call)}
    imports, at_once = _imported(module, ast.walk(tree)), _imported(module, tree.body)
    return Names(imports, at_once, frozenset(calls))


def _imported(module: str, nodes: Iterable[ast.AST]) -> frozenset[str]:
    found: set[str] = set()
    for node in nodes:
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{module}: imports are absolute in this house"
            assert node.module is not None
            found.add(node.module)
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return frozenset(found)


def room_of(module: str) -> str:
    """Return the room of a module, or the module itself where it lies beside the rooms."""
    return module.split("/")[0].removesuffix(".py")


def rooms_imported(module: str) -> set[str]:
    """Return the rooms and foundation modules that a module imports."""
    known = {*ROOMS, *FOUNDATION}
    parts = (name.split(".") for name in names_of(module).imports)
    return {part[1] for part in parts if part[0] == "kitplan" and part[1:] and part[1] in known}


def modules_of(room: str) -> list[str]:
    """Return the modules of a room."""
    return [module for module in MODULES if room_of(module) == room]


def users_of(package: str) -> set[str]:
    """Return the modules that import a package."""
    return {
        module
        for module in MODULES
        if any(name.split(".")[0] == package for name in names_of(module).imports)
    }


def test_every_module_lies_in_a_room() -> None:
    """A new room gets a place in the order."""
    known = {*ROOMS, *FOUNDATION, "__init__", "__main__"}
    assert {room_of(module) for module in MODULES} <= known


@pytest.mark.parametrize("room", ROOMS)
def test_rooms_import_only_those_before_them(room: str) -> None:
    """The order is that of the pipeline."""
    allowed = {*FOUNDATION, *ROOMS[: ROOMS.index(room) + 1]}
    wrong = {m: rooms_imported(m) - allowed for m in modules_of(room)}
    assert {module: names for module, names in wrong.items() if names} == {}


@pytest.mark.parametrize("module", FOUNDATION)
def test_the_foundation_imports_no_room(module: str) -> None:
    """It stands by itself."""
    assert rooms_imported(f"{module}.py") <= set(FOUNDATION) - {module}


def test_optics_and_stage_are_pure() -> None:
    """Numbers in, numbers out: of this house only units."""
    for room in ("optics", "stage"):
        for module in modules_of(room):
            assert rooms_imported(module) <= {room, "optics", "units"}


def test_papers_are_made_of_plans() -> None:
    """What is printed comes from the plan file (or a comparison of plans), not from the solver.

    Drawings need geometry as well: `stage` is pure.
    """
    for module in modules_of("paper"):
        shut = {"options", "allocate", "day", "produce", "stage", "sources"}
        if module.startswith("paper/drawings/"):
            shut.discard("stage")
        assert rooms_imported(module) & shut == set(), f"{module} imports {shut}"


def test_the_checker_shares_nothing_with_what_makes_plans() -> None:
    """`plan.verify` re-derives every rule from the input."""
    checkers = [module for module in MODULES if module.startswith("plan/verify/")]
    assert checkers
    for module in checkers:
        shut = rooms_imported(module) & {"options", "allocate", "day", "stage", "produce"}
        assert shut == set(), f"{module} imports {shut}"


def test_only_the_store_knows_sql() -> None:
    """sqlite3 and sqlite-utils stay behind `gear.store`."""
    users = users_of("sqlite3") | users_of("sqlite_utils")
    assert users
    assert all(module.startswith("gear/store/") for module in users)


def test_only_the_allocation_knows_the_solver() -> None:
    """OR-Tools and HiGHS stay behind `allocate` and `day`."""
    users = users_of("ortools") | users_of("highspy")
    assert users
    assert {room_of(module) for module in users} <= {"allocate", "day"}


def test_only_the_cluster_knows_the_scheduler() -> None:
    """Dask is an extra that most people do without."""
    assert users_of("distributed") | users_of("dask") == {"whatif/cluster.py"}


def test_only_single_doors_lead_to_spreadsheets_and_lens_data() -> None:
    """openpyxl and lensfunpy stay behind one module each."""
    assert users_of("openpyxl") == {"gear/workbooks.py"}
    assert users_of("lensfunpy") == {"gear/lookup.py"}


def test_only_the_page_knows_its_server() -> None:
    """The page is an extra that most commands do without; the command that serves it asks first."""
    users = users_of("starlette") | users_of("uvicorn")
    assert users
    assert {room_of(module) for module in users} == {"web"}


def test_only_the_command_line_prints() -> None:
    """Everything else returns text."""
    speakers = {
        module
        for module in MODULES
        if {"print", "sys.stdout.write", "typer.echo"} & names_of(module).calls
        or "rich" in {name.split(".")[0] for name in names_of(module).imports}
    }
    assert speakers
    assert {room_of(module) for module in speakers} == {"cli"}


def test_only_the_command_line_knows_its_library() -> None:
    """typer and click stay in `cli`."""
    assert {room_of(module) for module in users_of("typer") | users_of("click")} == {"cli"}


def test_there_is_no_circle_of_modules() -> None:
    """At import time no module waits for one that waits for it."""
    names = {m.removesuffix(".py").removesuffix("/__init__").replace("/", "."): m for m in MODULES}
    needs = {
        name: {
            other
            for other in names
            if other != name and f"kitplan.{other}" in names_of(names[name]).at_once
        }
        for name in names
    }
    done: set[str] = set()
    while ready := {name for name, others in needs.items() if others <= done} - done:
        done |= ready
    assert set(needs) - done == set()
