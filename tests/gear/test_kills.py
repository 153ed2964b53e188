"""Writers that are killed, and writers at once: nothing is lost, half done, or in two hands."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path
from random import Random

import pytest

from kitplan.gear.store import Store
from tests.gear.changing import changing, findings, kit

if sys.platform == "win32":
    pytest.skip("forks and kills by signal", allow_module_level=True)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """An inventory file with the kit that is changed."""
    file = tmp_path / "inventory.sqlite"
    with Store.open(file, writing=True) as store:
        store.save_kit(kit(), replace=False)
    return file


# -- kills -----------------------------------------------------------------------------------------


def _killed_run(server: subprocess.Popen[str], seed: int) -> list[tuple[int, int, int]]:
    """Let a process change the inventory, kill it somewhere, and return what it had committed:
    number, size and last entry of each change.
    """
    assert server.stdin is not None
    assert server.stdout is not None
    rng = Random(seed)
    print(seed, file=server.stdin, flush=True)
    child = int(server.stdout.readline().split()[1])
    lines = []
    for _ in range(rng.randint(0, 6)):
        lines.append(server.stdout.readline())
    time.sleep(rng.uniform(0, 0.02))
    os.kill(child, signal.SIGKILL)
    lines += iter(server.stdout.readline, "over\n")
    whole = [line.split() for line in lines if line.endswith("\n")]
    return [(int(a), int(b), int(c)) for a, b, c in whole]


def _require_whole(path: Path, committed: list[tuple[int, int, int]]) -> None:
    """Check that all that was committed is there, and every change is whole."""
    with Store.open(path, writing=False) as store:
        entries = store.ledger.entries()
    sizes = Counter(entry.change for entry in entries)
    for change, size, last in committed:
        assert sizes[change] == size
        assert change + size - 1 == last
    firsts = {entry.change: entry for entry in reversed(entries)}
    for change, entry in firsts.items():
        note = (entry.after or {}).get("note", "")
        if entry.before is None and entry.what == "signed out":
            assert sizes[change] == int(note)
        if entry.before is None and entry.id.startswith("n"):
            assert sizes[change] == int(note)


def _survives(path: Path, runs: int, *, first_seed: int = 0) -> None:
    server = changing("churn", path)
    committed: list[tuple[int, int, int]] = []
    try:
        for seed in range(first_seed, first_seed + runs):
            committed += _killed_run(server, seed)
            assert findings(path) == []
            _require_whole(path, committed)
    finally:
        assert server.stdin is not None
        server.stdin.close()
        assert server.wait(timeout=120) == 0
        assert server.stdout is not None
        server.stdout.close()
    assert len(committed) > runs


def test_a_killed_writer_loses_nothing_and_leaves_no_half_change(path: Path) -> None:
    """Twenty writers, killed anywhere: what they said they had done is there, whole."""
    _survives(path, 20)


@pytest.mark.long
@pytest.mark.parametrize("group", range(10))
def test_five_hundred_killed_writers_lose_nothing(path: Path, group: int) -> None:
    """The same, often enough to meet rare moments: fifty writers on each of ten files."""
    _survives(path, 50, first_seed=100 * (group + 1))


# -- at once ---------------------------------------------------------------------------------------


def _all_at_once(path: Path, processes: int, each: int) -> None:
    """Let processes sign out and back at once; none fails, no entry is lost, and at no time is a
    unit in two hands.
    """
    program = changing("hands", path, processes, each)
    words, _ = program.communicate()
    assert program.returncode == 0
    tallies = [json.loads(line) for line in words.splitlines()]
    assert len(tallies) == processes
    assert all(sum(t.get(w, 0) for w in ("out", "back", "refused", "had")) == each for t in tallies)
    with Store.open(path, writing=False) as store:
        entries = [entry for entry in store.ledger.entries() if entry.part == "loans"]
        out = store.loans.open()
    holders: dict[str, str] = {}
    for entry in entries:
        loan = entry.after
        assert loan is not None
        assert entry.who == loan["person"]
        if entry.before is None:
            assert loan["unit"] not in holders
            holders[loan["unit"]] = loan["person"]
        else:
            assert holders.pop(loan["unit"]) == loan["person"]
    assert holders == {loan.unit: loan.person for loan in out}
    told = Counter((entry.who, "out" if entry.before is None else "back") for entry in entries)
    assert told == Counter(
        {(t["person"], word): t[word] for t in tallies for word in ("out", "back") if t.get(word)}
    )
    assert findings(path) == []


def test_three_people_at_once_never_share_a_unit(path: Path) -> None:
    """Each opens the file for every change, as a command does."""
    _all_at_once(path, 3, 20)


@pytest.mark.long
def test_eight_people_at_once_never_share_a_unit(path: Path) -> None:
    """Five hundred changes each, without a pause."""
    _all_at_once(path, 8, 500)


def test_of_two_who_want_the_last_unit_one_gets_it(path: Path) -> None:
    """The other is told who has it, in one sentence, with status 1."""
    command = [sys.executable, "-m", "kitplan", "gear", "out", "i0-0", "--db", str(path), "--to"]
    both = [
        subprocess.Popen(
            [*command, name], stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        for name in ("Ana", "Ben")
    ]
    told = [program.communicate() for program in both]
    status_by_name = {
        name: each.returncode for name, each in zip(("Ana", "Ben"), both, strict=True)
    }
    assert sorted(status_by_name.values()) == [0, 1]
    (winner,) = (name for name, status in status_by_name.items() if status == 0)
    with Store.open(path, writing=False) as store:
        assert [loan.person for loan in store.loans.open()] == [winner]
    refusal = "".join(words[1] for words in told)
    assert f"Nothing is signed out: i0-0 is with {winner} since" in refusal
    assert "locked" not in refusal
