"""One browser for all tests of this folder; whatever a page complains about fails its test."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import pytest

from tests.web.browser import ARGUMENTS, CHROMIUM, PATIENCE_MS, PHONE

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext


@pytest.fixture(scope="package")
def chromium() -> Iterator[Browser]:
    """A browser without a window; it ends with the last test of the folder, not of the process:
    as long as it is there, no other test can run an event loop.
    """
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        found = playwright.chromium.launch(executable_path=CHROMIUM, args=list(ARGUMENTS))
        yield found
        found.close()


@pytest.fixture
def device(chromium: Browser) -> Iterator[Callable[..., BrowserContext]]:
    """Return what makes a phone or a laptop that nobody has used yet."""
    complaints: list[str] = []
    made: list[BrowserContext] = []

    def _device(**options: Any) -> BrowserContext:
        context = chromium.new_context(**options)
        context.set_default_timeout(PATIENCE_MS)
        context.on("weberror", lambda fault: complaints.append(str(fault.error)))
        context.on(
            "console",
            lambda said: complaints.append(said.text) if "Content Security" in said.text else None,
        )
        made.append(context)
        return context

    yield _device
    for each in made:
        each.close()
    assert complaints == []


@pytest.fixture
def phone(device: Callable[..., BrowserContext]) -> BrowserContext:
    """A phone."""
    return device(viewport=PHONE, has_touch=True)
