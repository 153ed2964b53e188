"""The plan page: what can be asked about. Its data is tested in `test_planned`."""

from __future__ import annotations

from pathlib import Path

from kitplan.web.pages.plan import names_of
from tests.stored import stored_plan
from tests.web.client import client_of, project_in


def test_everything_can_be_asked_about(tmp_path: Path) -> None:
    """By its own id and label, with what the plan uses told from what it does not."""
    client, plan = client_of(project_in(tmp_path)), stored_plan("school-dance")
    names = client.get("/api/plan/names").json()
    assert names == names_of(plan)
    (shoot,) = plan.shoots.values()
    assert [each["id"] for each in names["roles"]] == [each.id for each in shoot.roles]
    used = {each["id"] for each in names["positions"] if each["is_used"]}
    assert used == {placement.position for placement in plan.placements}
    assert {"id": "wilf", "label": "Wilf", "is_used": True} in names["people"]
    owned = {unit.item for unit in plan.kit.units}
    assert {each["id"] for each in names["items"]} == owned


def test_the_page_is_there_before_any_plan(tmp_path: Path) -> None:
    """It has a button to make one; what is asked of a plan says that there is none."""
    client = client_of(project_in(tmp_path, has_plan=False))
    page = client.get("/plan")
    assert page.status_code == 200
    assert 'id="go"' in page.text
    assert client.get("/api/plan/names").status_code == 404
