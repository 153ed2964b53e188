"""A bundled shoot whose gear lies in an inventory, for pages on phones."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from httpx import Response
from starlette.testclient import TestClient

from kitplan.gear.store import Store
from kitplan.web.project import Project
from tests.stored import stored_plan
from tests.web.client import project_in


def project_with_gear(folder: Path, name: str = "school-dance") -> Project:
    """Return a project with its plan, and its kit in an inventory."""
    db = folder / "gear.sqlite"
    db.write_bytes(_inventory(name))
    return replace(project_in(folder, name), db=db)


@cache
def _inventory(name: str) -> bytes:
    """Return the inventory with the kit of a bundled shoot."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "gear.sqlite"
        with Store.open(path, writing=True, who="the owner") as store:
            store.save_kit(stored_plan(name).kit, replace=False)
        return path.read_bytes()


def press(client: TestClient, what: str, **data: Any) -> Response:
    """Press a button of the gear pages; by Thea unless somebody else is named."""
    answer: Response = client.post(f"/api/gear/{what}", json={"who": "Thea", **data})
    return answer
