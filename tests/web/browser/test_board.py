"""What phones and laptops do with plan, gear and cards: the way of a hand from page to page."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from kitplan.gear.store import Store
from kitplan.web.project import Project
from tests.web.browser import DESK, PATIENCE_MS, PHONE, needs_browser, served, small_project
from tests.web.halls import project_with_gear

if TYPE_CHECKING:
    from playwright.sync_api import BrowserContext, Page, ViewportSize

pytestmark = needs_browser
ZOOM = "zoom-16-50-1"


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory) -> Project:
    """A dance evening with its plan, and its gear in an inventory."""
    return project_with_gear(tmp_path_factory.mktemp("hall"))


@pytest.fixture(scope="module")
def address(project: Project) -> Iterator[str]:
    """Where its page is served."""
    with served(project) as found:
        yield found


def opened(context: BrowserContext, address: str) -> Page:
    """Open a page."""
    page = context.new_page()
    page.goto(address)
    return page


def is_wider_than_its_window(page: Page) -> bool:
    """Whether somebody would have to push the page about."""
    wide: int = page.evaluate("document.documentElement.scrollWidth")
    return wide > page.viewport_size["width"]  # type: ignore[index]


def test_a_thing_goes_out_and_comes_back(
    project: Project, address: str, phone: BrowserContext
) -> None:
    """Typed once, the name stays on the phone; found by a word, signed out and back with a thumb.
    Somebody else who comes meanwhile reads who has it.
    """
    page = opened(phone, f"{address}/gear")
    page.get_by_label("Who are you?").fill("Ida")
    page.get_by_role("button", name="That is me").click()
    page.get_by_label("Find a thing").fill("16-50")
    page.locator("#found a").click()
    page.wait_for_url(f"{address}/gear/u/{ZOOM}")
    page.get_by_role("button", name="Ida takes it").click()
    page.get_by_text("Ida has it now.").wait_for()
    assert is_wider_than_its_window(page) is False
    with Store.open(project.db or Path(), writing=False) as store:
        loan = store.loans.holder(ZOOM)
    assert loan is not None
    assert loan.person == "Ida"
    other = opened(phone, f"{address}/gear")
    other.get_by_role("heading", name="Ida, 1").wait_for()
    page.get_by_role("button", name="It is back").click()
    page.get_by_text("It is back.").first.wait_for()
    page.get_by_role("button", name="Ida takes it").wait_for()


def test_a_case_is_counted_and_ticks_outlive_the_page(
    project: Project, address: str, phone: BrowserContext
) -> None:
    """Whoever closes the page finds the ticks again; what is missing has to be said twice."""
    page = opened(phone, f"{address}/gear/count/crate-1")
    page.evaluate("localStorage.setItem('kitplan-name', 'Ida')")
    boxes = page.locator(".tick input")
    for number in range(1, boxes.count()):
        boxes.nth(number).check()
    page.close()
    page = opened(phone, f"{address}/gear/count/crate-1")
    assert page.locator(".tick input:checked").count() == page.locator(".tick input").count() - 1
    lost = page.locator(".tick input").first.get_attribute("value") or ""
    page.get_by_role("button", name="Save: 1 missing").click()
    page.get_by_role("button", name="Sure? Press again").click()
    page.get_by_text(f"Missing: {lost}.").wait_for()
    with Store.open(project.db or Path(), writing=False) as store:
        assert store.units_by_id([lost])[lost].condition == "missing"


COVERED = """() => {
    const focused = document.activeElement, box = focused.getBoundingClientRect();
    const top = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
    const within = focused.contains(top) || top?.contains(focused);
    return within || top?.closest("label")?.contains(focused) ? null : focused.outerHTML;
}"""


def test_what_has_focus_is_never_covered(
    address: str, device: Callable[..., BrowserContext]
) -> None:
    """Places and Save stick to the foot of the window; keys lead down a long list, and up again."""
    page = opened(device(viewport=PHONE), f"{address}/gear/count/bag-thea")
    boxes = page.locator(".tick input")
    steps = boxes.count() - 1
    assert steps > 10
    for width, height in ((PHONE["width"], 640), (1280, 500)):
        page.set_viewport_size({"width": width, "height": height})
        boxes.first.focus()
        for key in ["Tab"] * steps + ["Shift+Tab"] * steps:
            page.keyboard.press(key)
            assert page.evaluate(COVERED) is None


def test_a_card_once_opened_is_read_without_network(address: str, phone: BrowserContext) -> None:
    """It says whose copy it is; one that was never opened says what to do."""
    page = opened(phone, f"{address}/card/")
    page.get_by_label("Your name").fill("thea")
    page.locator("#mine a").first.click()
    page.get_by_text("Side 1 of 2").first.wait_for()
    mark = page.locator("body").get_attribute("data-mark") or ""
    assert re.fullmatch(r"[0-9A-F]{3}-[0-9A-F]{3}", mark)
    assert is_wider_than_its_window(page) is False
    kept = "async () => { for (let n = 0; n < 2400; n += 1) {"
    kept += " if (await caches.match(location.href)) return true;"
    kept += " await new Promise((done) => setTimeout(done, 25)); } return false; }"
    assert page.evaluate(kept) is True
    card = page.url
    phone.set_offline(True)
    page.goto(card.partition("?")[0])
    page.get_by_text(f"No network. Offline copy of plan {mark}").wait_for()
    assert page.get_by_text("Side 1 of 2").first.is_visible()
    assert page.evaluate("getComputedStyle(document.querySelector('.disc')).borderRadius") == "50%"
    page.goto(f"{address}/card/second-show/C")
    assert page.get_by_text("not opened on this phone before").is_visible()
    phone.set_offline(False)
    page.goto(card)
    page.locator("#told").wait_for(state="hidden")


def test_a_card_is_read_again_where_no_worker_may_run(
    address: str, device: Callable[..., BrowserContext]
) -> None:
    """As on the network of a hall, without https: what the browser keeps by itself is enough."""
    context = device(viewport=PHONE, service_workers="block")
    page = opened(context, f"{address}/card/first-show/B")
    page.locator("#told").wait_for(state="hidden")
    page.evaluate("document.fonts.ready.then(() => true)")
    card = page.url
    page.goto(f"{address}/gear")
    context.set_offline(True)
    page.goto(card)
    page.get_by_text("No network. Offline copy of plan").wait_for()
    assert page.evaluate("getComputedStyle(document.querySelector('.disc')).borderRadius") == "50%"


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_every_part_of_a_plan_is_shown(
    address: str, device: Callable[..., BrowserContext], size: ViewportSize
) -> None:
    """What is not met says who can frame it all the same; nothing is wider than the window."""
    page = opened(device(viewport=size), f"{address}/plan")
    page.locator("#shown").wait_for()
    assert page.locator("#said").inner_text() == ""
    unmet = page.locator("#unmet").inner_text()
    assert "But camera C in Second show can frame it between other shots." in unmet
    assert page.locator(".songs tbody tr").count() > 0
    assert is_wider_than_its_window(page) is False


def test_the_room_looks_through_the_cameras_of_the_plan(
    address: str, device: Callable[..., BrowserContext]
) -> None:
    """Their discs stand over the positions of the pass; whoever chooses something else has left
    the plan.
    """
    from playwright.sync_api import expect

    page = opened(device(viewport=DESK), address)
    through = page.locator("[name=through]")
    through.wait_for()
    own_id = page.locator("#sight [name=pass]").input_value()
    cameras = page.request.get(f"{address}/api/plan/cameras").json()["cameras"]
    here = [each for each in cameras if each["pass"] == own_id]
    assert page.locator("circle.camera").count() == len(here)
    hollow = sum(each["manner"] == "locked-off" for each in here)
    assert page.locator("circle.camera.locked-off").count() == hollow
    assert "as planned" in through.locator("option").first.inner_text()
    page.locator(".verdict.yes").wait_for()
    size = page.locator("#sight [name=size]")
    size.select_option(next(each for each in ("WS", "CU") if each != size.input_value()))
    expect(through).to_have_value("", timeout=PATIENCE_MS)
    through.select_option(index=0)
    first = next(each for each in here if each["letter"] == through.input_value())
    expect(size).to_have_value(first["size"], timeout=PATIENCE_MS)
    page.locator(".verdict.yes").wait_for()


def test_schedules_are_compared_to_the_end(
    device: Callable[..., BrowserContext], tmp_path: Path
) -> None:
    """Pressed at the foot of the page, told at its top, and led back to the table."""
    with served(small_project(tmp_path)) as address:
        page = opened(device(viewport=DESK), f"{address}/plan")
        page.get_by_role("button", name="Compare").click()
        page.get_by_role("link", name="See them side by side").click()
        rows = page.locator("#compare-of tbody tr")
        assert "distinct viewpoints" in rows.all_inner_texts()[2]
        assert page.locator("#work").is_visible() is False
