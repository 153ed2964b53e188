"""Pictures and samples of README and docs are what the stored plans say."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from PIL import ImageDraw

from tests.pictures import DOTS_PER_INCH, FOLDER, PICTURES, committed, differs, picture
from tests.samples import README, SAMPLES, with_samples

MOST_BYTES = 150_000
AGAIN = "make them again with `python -m tests.pictures`"


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_is_what_its_plan_says(name: str) -> None:
    """Pixel by pixel."""
    assert not differs(picture(name), committed(name)), AGAIN


def test_the_smallest_change_is_seen() -> None:
    """A full stop of the smallest type, put anywhere."""
    image = committed("frame")
    changed = image.copy()
    wide = round(0.2 / 25.4 * DOTS_PER_INCH)
    ImageDraw.Draw(changed).rectangle((40, 100, 40 + wide, 100 + wide), fill=0)
    assert differs(image, changed)
    assert differs(image, image.crop((0, 0, image.width - 1, image.height)))
    assert not differs(image, image.point([min(level + 17, 255) for level in range(256)]))


def test_pictures_are_small_and_all_are_used() -> None:
    """Nothing lies about that no page shows."""
    pages = [README, *sorted((README.parent / "docs").glob("*.md"))]
    shown = {
        Path(link).name
        for page in pages
        for link in re.findall(r"!\[[^]]+\]\((\S+\.png)\)", page.read_text(encoding="utf-8"))
    }
    files = sorted(FOLDER.iterdir())
    assert {each.name for each in files} == {f"{name}.png" for name in PICTURES} == shown
    assert all(each.stat().st_size <= MOST_BYTES for each in files)


def test_the_samples_of_the_readme_are_current() -> None:
    """Nobody pastes them by hand."""
    readme = README.read_text(encoding="utf-8")
    assert with_samples(readme) == readme, AGAIN


@pytest.mark.parametrize("name", SAMPLES)
def test_an_old_sample_is_made_anew(name: str) -> None:
    """Between its marker and the end of its block, and nothing else."""
    readme = README.read_text(encoding="utf-8")
    begin = readme.index(f"<!-- sample: {name} -->")
    end = readme.index("```\n", begin + len(name) + 40)
    old = readme[:begin] + f"<!-- sample: {name} -->\n```text\nold\n" + readme[end:]
    assert with_samples(old) == readme


def test_a_sample_without_a_place_is_refused() -> None:
    """A marker that was lost would leave it to rot."""
    readme = README.read_text(encoding="utf-8").replace("<!-- sample: packing -->", "")
    with pytest.raises(ValueError, match="the README has places for"):
        with_samples(readme)
