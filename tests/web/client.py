"""A page of a bundled shoot in a folder of its own, and somebody who asks it."""

from __future__ import annotations

import gzip
import shutil
from pathlib import Path

from starlette.testclient import TestClient

from kitplan.tables import scenario
from kitplan.web.app import application
from kitplan.web.project import Project
from kitplan.web.sessions import Sessions
from tests.stored import path_of

HOST = "localhost:8047"
ORIGIN = f"http://{HOST}"


def project_in(folder: Path, name: str = "school-dance", *, has_plan: bool = True) -> Project:
    """Return a project with a copy of a bundled shoot, and its stored plan."""
    shutil.copytree(scenario(name).parents[1] / "catalog", folder / "catalog")
    shoot = folder / "shoots" / f"{name}.yaml"
    shoot.parent.mkdir()
    shutil.copy(scenario(name), shoot)
    plan_folder = shoot.with_name(f"{name}-plan")
    if has_plan:
        plan_folder.mkdir()
        raw = gzip.decompress(path_of(name).read_bytes())
        (plan_folder / f"{name}.json").write_bytes(raw)
    return Project(shoot, plan_folder)


def client_of(project: Project, code: str | None = None) -> TestClient:
    """Return somebody who asks from a page of ours; faults come back as answers, not as errors."""
    app = application(project, frozenset({HOST}), Sessions(code))
    headers = {"origin": ORIGIN}
    return TestClient(app, base_url=ORIGIN, headers=headers, raise_server_exceptions=False)
