"""Finished plans of the bundled shoots, with their day, for tests and pictures that only read one.

They are made by `python -m tests.stored [NAME]...` with the usual command line, and have to be made
again where a bundled shoot, a kit or the form of the plan changes: `test_stored` says so.
"""

from __future__ import annotations

import gzip
import subprocess
import sys
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from kitplan.plan.records import Plan
from kitplan.tables import scenario

FOLDER = Path(__file__).parent / "data" / "plans"
SECONDS = {"school-dance": 30, "depot-brass": 90, "harbour-festival": 150}


@cache
def stored_plan(name: str) -> Plan:
    """Return the stored plan of a bundled shoot."""
    return Plan.model_validate_json(gzip.decompress(path_of(name).read_bytes()))


def path_of(name: str) -> Path:
    """Return where the plan of a bundled shoot is stored."""
    return FOLDER / f"{name}.json.gz"


def make(name: str) -> None:
    """Plan a bundled shoot anew and store the plan."""
    with TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "kitplan", "plan", str(scenario(name))]
        command += ["--alternatives", "0", "--seconds", str(SECONDS[name]), "--out", folder]
        subprocess.run(command, check=True)
        text = (Path(folder) / f"{name}.json").read_bytes()
    FOLDER.mkdir(parents=True, exist_ok=True)
    path_of(name).write_bytes(gzip.compress(text, mtime=0))


if __name__ == "__main__":
    for each in sys.argv[1:] or SECONDS:
        make(each)
