"""The whole way of somebody who plans a shoot on the page: one hand, page after page."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from typer.testing import CliRunner

from kitplan.cli.main import app
from kitplan.gear.store import Store
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from kitplan.plan.files import read_plan
from kitplan.plan.verify import verify
from kitplan.shoot.records import Shoot
from kitplan.web.project import Project
from tests.web.browser import DESK, PHONE, needs_browser, served, small_project

if TYPE_CHECKING:
    from playwright.sync_api import BrowserContext, Page, ViewportSize

pytestmark = needs_browser
SIZES = pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
ANSWERS = Path(__file__).parents[2] / "data" / "answers"
PLANNED_MS = 600_000
SAVED = "#state[data-state=saved]"


def test_from_the_room_to_a_signature(phone: BrowserContext, tmp_path: Path) -> None:
    """Room, plan, why, lock, the plan around it, papers, and a thing signed out."""
    project = small_project(tmp_path)
    shoot = Shoot.model_validate_json(project.shoot_path.read_text(encoding="utf-8"))
    named = shoot.model_copy(update={"kit": "kit.yaml"})  # as `new` writes it
    text = named.model_dump_json(by_alias=True, exclude_none=True)
    project.shoot_path.write_text(text, encoding="utf-8")
    project = replace(project, kit=None)
    with served(project) as address:
        walk(phone.new_page(), address, project)


@pytest.mark.long
@SIZES
def test_from_answers_to_a_signature(
    device: Callable[..., BrowserContext], tmp_path: Path, size: ViewportSize
) -> None:
    """The same with the shoot that `new` makes for a band in a pub back room."""
    path = tmp_path / "pub.yaml"
    words = ["new", str(path), "--answers", str(ANSWERS / "pub-band.yaml")]
    made = CliRunner().invoke(app, words)
    assert made.exit_code == 0, made.output
    project = Project(path, tmp_path / "pub-plan")
    with served(project) as address:
        walk(device(viewport=size, has_touch=size == PHONE).new_page(), address, project)


def walk(page: Page, address: str, project: Project) -> None:
    """Go from the room to the gear of a project that has no plan yet."""
    page.goto(address)
    move_a_position(page)
    go_to(page, "Plan")
    page.get_by_text("There is no plan yet").wait_for()
    plan(page)
    assert page.locator(".songs tbody tr").count() > 0
    assert page.locator("#proof .reach.proven").count() > 0
    ask_why(page)
    fix_it(page)
    go_to(page, "Plan")
    plan(page)
    made = read_plan(project.plan_folder)
    assert [each.locks.keep for each in made.shoots.values()] != [()]
    assert not verify(made)
    go_to(page, "Papers")
    take_papers(page, Source(made, Setting()).mark)
    go_to(page, "Gear")
    sign_out(page, made.placements[0].rig.units[0])
    with Store.open(next(project.shoot_path.parent.glob("*.sqlite")), writing=False) as store:
        assert [loan.person for loan in store.loans.open()] == ["Ida"]


def go_to(page: Page, name: str) -> None:
    """Go to a page by its name at the head of every page."""
    page.get_by_role("navigation", name="Pages").get_by_role("link", name=name).click()
    page.wait_for_selector(f"nav.places [aria-current=page]:text-is('{name}')")
    wide: int = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= page.viewport_size["width"]  # type: ignore[index]


def move_a_position(page: Page) -> None:
    """Move the first position a little, with keys, and save."""
    place = page.locator("[data-key^='positions/']").first
    place.focus()
    before = place.get_attribute("aria-label")
    page.keyboard.press("ArrowDown")
    page.wait_for_selector("#thing[aria-busy=false]")
    assert page.locator(":focus").get_attribute("aria-label") != before
    page.click("#save")
    page.wait_for_selector(SAVED)


def plan(page: Page) -> None:
    """Press once, and wait for the plan."""
    page.get_by_label("Time to search").select_option("20")
    page.get_by_role("button", name="Plan", exact=True).click()
    page.locator("#said", has_text="The plan is ready").wait_for(timeout=PLANNED_MS)
    page.locator(".camera").first.wait_for()


def ask_why(page: Page) -> None:
    """Ask about the first camera, and what if it breaks."""
    page.locator(".camera").first.get_by_role("button").click()
    page.get_by_role("button", name="Why, why not?").first.click()
    page.locator("#ask-answer .told", has_text="options").wait_for()
    page.get_by_role("button", name="If it breaks").first.click()
    page.get_by_role("heading", name=re.compile("^Without ")).wait_for()
    assert "before" in page.locator("#ask-answer .told pre").first.inner_text()


def fix_it(page: Page) -> None:
    """Fix that camera by hand, in the room, and save."""
    page.get_by_role("link", name="I want this here").click()
    lock = page.locator("form.lock")
    lock.locator("[name=of]:focus").wait_for()  # which comes last, once it is filled in
    for name in ("pass", "position", "body"):
        assert lock.locator(f"[name={name}]").input_value()
    page.get_by_role("button", name="Fix this", exact=True).click()
    page.wait_for_selector("#save:enabled")
    page.click("#save")
    page.wait_for_selector(SAVED)


def take_papers(page: Page, mark: str) -> None:
    """Look at the papers, and take the packing lists home."""
    page.get_by_text(f"Plan {mark}").wait_for(timeout=PLANNED_MS)
    with page.expect_download() as coming:
        page.get_by_role("link", name="Packing lists (PDF)").click()
    assert coming.value.path().read_bytes().startswith(b"%PDF")


def sign_out(page: Page, unit: str) -> None:
    """Make an inventory of the plain kit file, and sign one thing of the plan out of it."""
    page.get_by_label("Who are you?").fill("Ida")
    page.get_by_role("button", name="That is me").click()
    page.get_by_role("button", name="Keep it in an inventory").click()
    page.get_by_role("button", name="Keep it in an inventory").wait_for(state="detached")
    page.get_by_label("Find a thing").fill(unit)
    page.locator("#found a").first.click()
    page.get_by_role("button", name="Ida takes it").click()
    page.get_by_text("Ida has it now.").wait_for()
