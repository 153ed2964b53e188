"""Random changes of an inventory through its own doors, in processes that tests kill or let meet.

    python -m tests.gear.changing churn FILE            one process after the other, to be killed
    python -m tests.gear.changing hands FILE NUMBER EACH    several at once, signing out and back

One process imports everything and forks the others, so that each begins at once.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections import Counter
from pathlib import Path
from random import Random

from kitplan.errors import NotFree, StoreError
from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import Battery
from kitplan.gear.store import Store

NUM_ITEMS, UNITS_EACH = 4, 6
PEOPLE = ("Ana", "Ben", "Cleo")


def kit() -> Kit:
    """Return the kit that is changed: a few items with some units each."""
    return Kit(
        items=tuple(Battery(id=f"i{item}", name=f"item {item}") for item in range(NUM_ITEMS)),
        units=tuple(
            Unit(id=f"i{item}-{unit}", item=f"i{item}", owner="Ana")
            for item in range(NUM_ITEMS)
            for unit in range(UNITS_EACH)
        ),
    )


def findings(path: Path) -> list[str]:
    """Return what `kitplan gear check` finds."""
    with Store.open(path, writing=False) as store:
        return list(store.trust.findings(store.load()))


def changing(*arguments: object) -> subprocess.Popen[str]:
    """Start the program that changes an inventory."""
    command = [sys.executable, "-m", "tests.gear.changing", *map(str, arguments)]
    pipe = subprocess.PIPE
    return subprocess.Popen(command, stdin=pipe, stdout=pipe, text=True, bufsize=1)


def churn(path: Path, seed: int) -> None:
    """Change an inventory at random without end; print the number, the size and the last entry of
    each change once it is committed.
    """
    rng = Random(seed)
    number = 0
    while True:
        with Store.open(path, writing=True, who=f"run {seed}") as store:
            for _ in range(rng.randint(1, 4)):
                number += 1
                before = store.ledger.entries(last=1)[0].number
                try:
                    _change(store, rng, f"{seed}-{number}")
                except NotFree:
                    continue
                (last,) = store.ledger.entries(last=1)
                if last.number > before:
                    _say(last.change, last.number - before, last.number)


def _change(store: Store, rng: Random, name: str) -> None:
    """Make one random change; of several rows where the note of the first says how many."""
    units = [unit.id for unit in store.units() if unit.condition in ("good", "worn")]
    some = rng.sample(units, min(len(units), rng.randint(1, 5)))
    match rng.randrange(6):
        case 0 | 1:
            person = rng.choice(PEOPLE)
            theirs = {loan.unit for loan in store.loans.open(person=person)}
            new_units = [unit for unit in some if unit not in theirs]
            store.loans.sign_out(new_units, person, note=str(len(new_units)))
        case 2:
            out = [loan.unit for loan in store.loans.open()]
            store.loans.sign_back(rng.sample(out, min(len(out), 5)))
        case 3:
            facts = {"health": rng.uniform(0.1, 1), "note": "1"}
            store.change_unit(rng.choice(units), facts)
        case 4:
            new = [Unit(id=f"n{name}-{n}", item=f"n{name}", owner="Ben") for n in range(3)]
            store.add_item(Battery(id=f"n{name}", name="new", note="4", mass_kg=rng.random()), new)
        case _:
            store.loans.settle(
                some[:2], missing=some[2:3], conditions=dict.fromkeys(some[3:], "worn")
            )


def hands(path: Path, seed: int, number: int) -> None:
    """Sign units out and back at random, opening the file each time as a command does; print what
    was done, and how often somebody else had it.
    """
    rng = Random(seed)
    me = f"person {seed}"
    done: Counter[str] = Counter()
    for _ in range(number):
        with Store.open(path, writing=True, who=me) as store:
            mine = [loan.unit for loan in store.loans.open(person=me)]
            try:
                if mine and rng.random() < 0.5:
                    done["back"] += len(store.loans.sign_back(rng.sample(mine, 1)))
                else:
                    unit = f"i{rng.randrange(NUM_ITEMS)}-{rng.randrange(UNITS_EACH)}"
                    found = store.loans.sign_out([unit], me)
                    done["out"] += len(found.loans)
                    done["had"] += len(found.already)
            except NotFree:
                done["refused"] += 1
    print(json.dumps({"person": me} | done), flush=True)


def _say(*words: object) -> None:
    """Print a line all at once: one that is printed word by word may be cut short by a kill, and
    what is said next would hang on it."""
    os.write(sys.stdout.fileno(), f"{' '.join(map(str, words))}\n".encode())


def _forked_churns(path: Path) -> None:
    """For each seed that comes in: fork a process, which prints its id, and wait for its end."""
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            _say("begun", os.getpid())
            churn(path, int(line))
        os.waitpid(child, 0)
        _say("over")


def _forked_hands(path: Path, processes: int, number: int) -> int:
    children = []
    for seed in range(processes):
        child = os.fork()
        if child == 0:
            status = 1
            try:
                hands(path, seed, number)
                status = 0
            except StoreError as error:
                print(error, file=sys.stderr, flush=True)
            finally:
                os._exit(status)
        children.append(child)
    return sum(os.waitpid(child, 0)[1] != 0 for child in children)


if __name__ == "__main__":
    if sys.argv[1] == "churn":
        _forked_churns(Path(sys.argv[2]))
    else:
        sys.exit(_forked_hands(Path(sys.argv[2]), *map(int, sys.argv[3:])))
