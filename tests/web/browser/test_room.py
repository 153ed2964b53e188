"""The room under real hands: a browser drags, types, undoes, saves, and the file has it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from kitplan.web.project import Project
from tests.shoot.small import SHOOT, write
from tests.web.browser import DESK, PHONE, needs_browser, served

if TYPE_CHECKING:
    from playwright.sync_api import BrowserContext, Page

SIZES = {"desktop": DESK, "phone": PHONE}
SAVED, CHANGED = "#state[data-state=saved]", "#state[data-state=changed]"
ANSWERED = "#thing[aria-busy=false]"  # what stands beside the plan is from after the last step
BACK = "[data-key='positions/back']"

pytestmark = needs_browser


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Path]]:
    """Serve a small shoot; return its address and its file."""
    path = write(tmp_path_factory.mktemp("room"))
    with served(Project(path, path.with_name("shoot-plan"))) as address:
        yield address, path


@pytest.fixture
def room(small: tuple[str, Path]) -> tuple[str, Path]:
    """Return the address of the small shoot, and its file, as it was at first."""
    small[1].write_text(SHOOT)
    return small


def opened(device: Callable[..., BrowserContext], url: str, size: str) -> Page:
    """Return the room in a window of a size, with all that it shows at first."""
    page = device(viewport=SIZES[size], has_touch=size == "phone").new_page()
    page.goto(url)
    page.wait_for_selector(BACK)
    page.wait_for_selector("img.frame[src]")
    return page


def middle_of(page: Page, key: str) -> tuple[float, float]:
    """Return where a thing is in the window."""
    box = page.locator(f"{key} .lozenge").bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def dragged(page: Page, key: str, across: float, down: float) -> None:
    """Drag a thing by pixels."""
    page.locator(key).scroll_into_view_if_needed()
    x, y = middle_of(page, key)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + across / 2, y + down / 2)
    page.mouse.move(x + across, y + down)
    page.mouse.up()


def place_of(page: Page) -> list[str]:
    """Return the place of the selected thing as its numbers stand beside the plan."""
    return [field.input_value() for field in page.locator("[data-fact=at_m] input").all()]


@pytest.mark.parametrize("size", SIZES)
def test_what_hands_change_is_in_the_file_once_saved(
    device: Callable[..., BrowserContext], room: tuple[str, Path], size: str
) -> None:
    """Drag a position, type a number, undo, redo, save."""
    url, path = room
    page = opened(device, url, size)
    assert page.evaluate("document.querySelector('main').scrollWidth <= innerWidth")
    dragged(page, BACK, 40, -30)
    page.wait_for_selector(CHANGED)
    page.wait_for_selector(ANSWERED)
    across, deep = place_of(page)
    assert float(across) > -1
    assert float(deep) > -13
    assert all(len(each.partition(".")[2]) <= 1 for each in (across, deep))
    page.fill("[data-fact=lens_height_m] input", "1,75")
    page.keyboard.press("Tab")
    page.wait_for_selector(ANSWERED)
    for button in ("#undo", "#undo", "#redo", "#redo"):
        page.click(button)
    page.wait_for_selector("#redo:disabled")
    page.wait_for_selector(ANSWERED)
    assert place_of(page) == [across, deep]
    page.click("#save")
    page.wait_for_selector(SAVED)
    expected = SHOOT.replace("[-1, -13]", f"[{across}, {deep}]")
    expected = expected.replace("lens_height_m: 1.6}", "lens_height_m: 1.75}")
    assert path.read_text() == expected
    page.click("#undo")
    page.click("#undo")
    page.click("#save")
    page.wait_for_selector(SAVED)
    assert path.read_text() == SHOOT


def test_keys_alone_do(device: Callable[..., BrowserContext], room: tuple[str, Path]) -> None:
    """Tab to a thing, move it, take a lamp out, take that back, and save."""
    url, path = room
    page = opened(device, url, "desktop")
    page.locator("#plan [tabindex]").first.focus()
    for _ in range(40):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.dataset.key") == "positions/back":
            break
    page.keyboard.press("Shift+ArrowUp")
    page.keyboard.press("ArrowRight")
    name = "Position back: 0.9 m house left, 12 m into the house"
    page.wait_for_selector(f"{BACK}:focus[aria-label='{name}']")
    page.locator("[data-key='lamps/spot']").focus()
    page.keyboard.press("Delete")
    page.wait_for_selector("[data-key='lamps/spot']", state="detached")
    page.keyboard.press("Control+z")
    page.wait_for_selector("[data-key='lamps/spot']")
    page.keyboard.press("Control+s")
    page.wait_for_selector(SAVED)
    assert path.read_text() == SHOOT.replace("[-1, -13]", "[-0.9, -12]")


def test_nothing_is_lost_when_somebody_else_saves(
    device: Callable[..., BrowserContext], room: tuple[str, Path]
) -> None:
    """Both are shown; mine is done again on theirs."""
    url, path = room
    page = opened(device, url, "desktop")
    page.locator(BACK).focus()
    page.keyboard.press("ArrowUp")
    page.wait_for_selector(CHANGED)
    page.wait_for_selector(ANSWERED)
    theirs = SHOOT.replace("height_m: 6}", "height_m: 5} # measured")
    path.write_text(theirs)
    page.click("#save")
    page.wait_for_selector("#conflict:not([hidden])")
    told = page.inner_text("#conflict")
    assert "position back: at_m [-1,-12.9]" in told
    assert "obstacle pillar: height_m 5" in told
    page.get_by_role("button", name="Take theirs, and do mine again on it").click()
    page.wait_for_selector("#conflict[hidden]", state="attached")
    page.click("#save")
    page.wait_for_selector(SAVED)
    assert path.read_text() == theirs.replace("[-1, -13]", "[-1, -12.9]")


def test_a_camera_is_looked_through_and_fixed_by_hand(
    device: Callable[..., BrowserContext], room: tuple[str, Path]
) -> None:
    """Choose what is filmed, see why it is refused, keep the body there."""
    url, path = room
    page = opened(device, url, "desktop")
    page.locator("[data-key='positions/wing']").focus()
    page.select_option("select[name=pass]", "show")
    page.wait_for_selector(".reasons :text('the position is not open in this pass')")
    page.locator(BACK).focus()
    page.select_option("select[name=subject]", "stage")
    page.select_option("select[name=size]", "WS")
    page.wait_for_selector(".verdict.yes")
    page.get_by_role("button", name="Fix this by hand").click()
    page.get_by_role("button", name="Fix this", exact=True).click()
    page.wait_for_selector("#save:enabled")
    page.click("#save")
    page.wait_for_selector(SAVED)
    row = "  - {pass: show, position: back, body: cam, lens: zoom, support: legs}\n"
    assert path.read_text() == SHOOT.replace("  never:\n", f"{row}  never:\n")


def test_a_small_thing_is_taken_hold_of_in_its_middle(
    device: Callable[..., BrowserContext], room: tuple[str, Path]
) -> None:
    """A new obstacle follows the hand; corners show once it is drawn large enough for them."""
    page = opened(device, room[0], "desktop")
    page.select_option("#add", "obstacles")
    shape = page.locator("[data-key^='obstacles/'].selected .outline")
    shape.wait_for()
    page.wait_for_selector(ANSWERED)
    assert page.locator("[data-handle='0']").count() == 0
    before = shape.bounding_box()
    assert before is not None
    x, y = before["x"] + before["width"] / 2, before["y"] + before["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 50, y + 20)
    page.mouse.move(x + 100, y + 40)
    page.mouse.up()
    page.wait_for_selector(ANSWERED)
    after = shape.bounding_box()
    assert after is not None
    assert after["x"] - before["x"] > 50
    for _ in range(5):
        page.click("#larger")
    assert page.locator("[data-handle='0']").count() == 1
