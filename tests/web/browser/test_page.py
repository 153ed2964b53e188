"""What only a browser shows: origins, cookies, events, the policy of the page, keys, lights."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, get_args

import pytest

from kitplan.plan.files import read_plan
from kitplan.web.solving import Stage
from tests.web.browser import needs_browser, served, small_project

if TYPE_CHECKING:
    from playwright.sync_api import BrowserContext, Page

pytestmark = needs_browser
CODE = "ABCDEFGH"
PLAN = """async () => {
    const stages = [];
    const goals = new Set();
    const send = { method: "POST", headers: { "content-type": "application/json" } };
    const start = await fetch("/api/solve", { ...send, body: JSON.stringify({ seconds: 2 }) });
    const again = await fetch("/api/solve", { ...send, body: "{}" });
    await new Promise((done) => {
        const news = new EventSource("/api/solve/events");
        news.addEventListener("state", (event) => {
            const state = JSON.parse(event.data);
            if (stages.at(-1) !== state.stage) stages.push(state.stage);
            state.goals.filter((goal) => goal.best !== null).forEach((goal) => goals.add(goal.id));
            if (state.is_over) { news.close(); done(); }
        });
    });
    const plan = await (await fetch("/api/plan")).json();
    const { title } = plan;
    return { start: start.status, again: again.status, stages, goals: [...goals], title };
}"""


@pytest.fixture
def page(phone: BrowserContext) -> Page:
    """A fresh page."""
    return phone.new_page()


def test_a_plan_is_started_followed_and_done(page: Page, tmp_path: Path) -> None:
    """From the page, as its scripts do it; the plan is there for all afterwards."""
    with served(small_project(tmp_path)) as address:
        page.goto(address)
        found = page.evaluate(PLAN)
    assert (found["start"], found["again"]) == (202, 409)
    # A stage that is over between two messages is not told: what counts is the order, and the end.
    assert found["stages"] == sorted(found["stages"], key=get_args(Stage).index)
    assert found["stages"][-1] == "done"
    assert "musts" in found["goals"]
    assert found["title"] == read_plan(tmp_path / "shoot-plan").title


def test_phones_come_in_with_the_code(page: Page, tmp_path: Path) -> None:
    """Typed into the form, since browsers have a mind of their own about its origin; scanned, the
    code stays nowhere in the address. Whoever came by a label gets to what it is on.
    """
    with served(small_project(tmp_path), CODE) as address:
        page.goto(f"{address}/gear/u/a~..~b")
        assert page.url == f"{address}/enter?to=%2Fgear%2Fu%2Fa~..~b"
        page.get_by_label("Code").fill("wrong")
        page.get_by_role("button", name="Enter").click()
        assert page.get_by_role("alert").inner_text() == "That is not the code."
        page.get_by_label("Code").fill("abcd efgh")
        page.keyboard.press("Enter")
        page.wait_for_url(f"{address}/gear/u/a~..~b")
        page.get_by_text("a/../b").wait_for()
        assert page.evaluate("document.cookie") == ""
        page.context.clear_cookies()
        page.goto(f"{address}/enter?code={CODE}")
        assert page.url == f"{address}/"
        assert page.evaluate("fetch('/api/shoot').then((answer) => answer.status)") == 200


def test_keys_lead_past_the_navigation(page: Page, tmp_path: Path) -> None:
    """The first stop is the way to the page, the next ones its places."""
    with served(small_project(tmp_path)) as address:
        page.goto(address)
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.textContent") == "To the page"
        page.keyboard.press("Enter")
        page.wait_for_selector("#main:focus")
        here = page.locator("[aria-current=page]")
        assert here.inner_text() == "Room"
        for link in page.get_by_role("navigation").get_by_role("link").all():
            box = link.bounding_box()
            assert box is not None
            assert box["height"] >= 44


def test_the_light_is_kept(page: Page, tmp_path: Path) -> None:
    """Dark, then red, in which only red leaves the screen; the next page opens in it."""
    with served(small_project(tmp_path)) as address:
        page.goto(address)
        button = page.get_by_role("button", name="Light")
        button.click()
        assert page.evaluate("document.documentElement.dataset.light") == "night"
        button.click()
        assert "red" in (button.get_attribute("aria-label") or "")
        page.goto(f"{address}/nowhere")
        assert page.evaluate("document.documentElement.dataset.light") == "red"
        gel = page.evaluate("getComputedStyle(document.body, '::after').mixBlendMode")
        assert gel == "multiply"
