"""The pictures and samples of README and docs, made by one command from the stored plans.

`python -m tests.pictures` writes `docs/pictures/*.png` and the samples of the README anew;
`test_pictures` says when what is committed is not what the plans say. Grey in sixteen steps keeps
the files small; drawings are black and white anyway.
"""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from pathlib import Path

from PIL import Image, ImageChops

from kitplan.paper.drawings.floor_plan import floor_plan
from kitplan.paper.drawings.frames import frame_sheet
from kitplan.paper.drawings.plan_content import Content
from kitplan.paper.drawings.png import png_of
from kitplan.paper.names import Names
from kitplan.paper.pack.out.pdf import pngs_of
from kitplan.paper.pack.papers import PAPERS
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from tests.samples import README, with_samples
from tests.stored import stored_plan

FOLDER = Path(__file__).parents[1] / "docs" / "pictures"
DOTS_PER_INCH = 140
GREYS = 16
STEP = 255 // (GREYS - 1)


def picture(name: str) -> Image.Image:
    """Return a picture as the stored plans make it."""
    image = Image.open(BytesIO(PICTURES[name]())).convert("L")
    return image.point([round(level / STEP) * STEP for level in range(256)])


def differs(one: Image.Image, other: Image.Image) -> bool:
    """Return whether two pictures show different things.

    No pixel may differ by more than one step of grey: smooth edges may come out so on another kind
    of processor, while the smallest letter that is another one changes black to white.
    """
    if one.size != other.size:
        return True
    _, most = ImageChops.difference(one, other).getextrema()
    assert isinstance(most, (int, float))  # one band has one pair
    return most > STEP


def write(name: str) -> None:
    """Write a picture as a small PNG."""
    steps = picture(name).point([level // STEP for level in range(256)])
    indexed = steps.convert("P")
    indexed.putpalette([level * STEP for level in range(GREYS) for _ in range(3)])
    indexed.save(FOLDER / f"{name}.png", optimize=True, bits=4)


def committed(name: str) -> Image.Image:
    """Return a picture as it is stored."""
    with Image.open(FOLDER / f"{name}.png") as image:
        return image.convert("L")


def _floor_plan(plan: str, pass_id: str) -> bytes:
    sheet, *_ = floor_plan(Names(stored_plan(plan)), pass_id, "")
    return png_of(sheet.drawing.svg(), sheet.drawing.width_mm, DOTS_PER_INCH)


def _frame(plan: str, pass_id: str, position: str) -> bytes:
    """The main shot from a position."""
    content = Content(Names(stored_plan(plan)), pass_id)
    (look,) = (each for each in content.looks if each.position.id == position)
    drawing = frame_sheet(content, look)
    return png_of(drawing.svg(), drawing.width_mm, DOTS_PER_INCH)


def _page(plan: str, paper_id: str, title: str) -> bytes:
    """The first page of the first sheet of a paper whose title begins so."""
    source = Source(stored_plan(plan), Setting())
    (paper,) = (each for each in PAPERS if each.id == paper_id)
    sheet = next(each for each in paper.sheets(source) if each.title.startswith(title))
    return pngs_of(source, [sheet], source.plan.title, DOTS_PER_INCH)[0]


PICTURES: dict[str, Callable[[], bytes]] = {
    "floor-plan": lambda: _floor_plan("depot-brass", "depot-brass/afternoon"),
    "frame": lambda: _frame("depot-brass", "depot-brass/afternoon", "jib-spot"),
    "packing-list": lambda: _page("depot-brass", "packing", "Packing list"),
    "camera-card": lambda: _page("depot-brass", "cards", "Show: Bram, shoot"),
    "angles": lambda: _page("depot-brass", "editor", "Editor's hand-off: angles"),
    "glossary": lambda: _page("depot-brass", "glossary", "Words"),
}

if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for each in PICTURES:
        write(each)
    README.write_text(with_samples(README.read_text(encoding="utf-8")), encoding="utf-8")
