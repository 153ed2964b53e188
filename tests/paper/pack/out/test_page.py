"""The page for phones: parsed, with nothing in it that came from data but text."""

from __future__ import annotations

from collections import Counter
from functools import cache
from html.parser import HTMLParser

import pytest

from kitplan.paper.pack.blocks import Cell, Frames, Sheet
from kitplan.paper.pack.out.page import html_of
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from tests.paper.pack.out.hard import HOSTILE, LONG, all_blocks, hard_sheets, picture
from tests.plans import small_plan

VOID = {"meta", "input", "path", "rect", "circle", "use", "br"}
"""Elements that may stand without an end; SVG closes them itself."""


class Page(HTMLParser):
    """Counts elements and collects their attributes and what is to be read."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: Counter[str] = Counter()
        self.attributes: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[str] = []
        self.open: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags[tag] += 1
        self.attributes.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags[tag] += 1
        self.attributes.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        if tag not in VOID:
            assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.texts.append(data)

    def values(self, tag: str, name: str) -> list[str | None]:
        """Return an attribute of all elements of a kind."""
        return [
            attributes[name]
            for each, attributes in self.attributes
            if each == tag and name in attributes
        ]


def page(*sheets: Sheet, title: str = "Papers") -> Page:
    """Return some sheets as a parsed page."""
    return Page(html_of(Source(small_plan(), Setting()), sheets, title))


@cache
def hard() -> Page:
    """Return the hard sheets."""
    return page(*hard_sheets())


def test_it_is_one_well_formed_file_that_loads_nothing() -> None:
    """No script, no network: all it links to are places on itself."""
    assert not hard().open
    assert not hard().tags.keys() & {"script", "link", "img", "iframe", "object", "form", "base"}
    assert all(
        str(href).startswith("#") for tag in ("a", "use") for href in hard().values(tag, "href")
    )
    style = next(text for text in hard().texts if ":root" in text)
    assert "url(" not in style
    assert "@import" not in style


def test_it_says_its_language_title_and_plan() -> None:
    """For readers of all kinds."""
    source = Source(small_plan(), Setting())
    assert hard().values("html", "lang") == ["en"]
    assert "Papers" in hard().texts
    assert source.mark in hard().texts


@pytest.mark.parametrize("text", HOSTILE[:3], ids=["typst", "html", "sheet"])
def test_no_element_and_no_attribute_comes_from_data(text: str) -> None:
    """The same elements as with harmless words, and every text as it was."""
    hostile = page(Sheet("packing", text, all_blocks(text), (text,)), title=text)
    plain = page(Sheet("packing", "x", all_blocks("x"), ("x",)), title="x")
    assert hostile.tags == plain.tags
    names = [[*attributes] for _, attributes in hostile.attributes]
    assert names == [[*attributes] for _, attributes in plain.attributes]
    assert hostile.texts.count(text) >= 20


def test_controls_do_not_reach_the_page() -> None:
    """Nothing reorders or hides a line; signs of all scripts stay."""
    texts = "".join(
        page(
            Sheet("a", "b", tuple(block for text in HOSTILE[3:] for block in all_blocks(text)))
        ).texts
    )
    assert not set(texts) & set("\u202e\u2066\u200b\ufeff\u00ad\x07\x1b\x00")
    assert "Tromp\u0065\u0301te 🎺 Zoë Čapek Ωmega Жанна שלום مرحبا 漢字かな" in texts


def test_every_sheet_is_reached_from_the_contents_by_paper() -> None:
    """And every entry leads somewhere; the other side of a card has no entry of its own."""
    sides = (
        Sheet("cards", "Show: Ada", (), letter="A"),
        Sheet("cards", "Show: Ada", (), letter="A"),
    )
    found = page(*sides, Sheet("packing", LONG, ()))
    targets = found.values("section", "id")
    assert targets == ["s1", "s2", "s3"]
    links = [href for href in found.values("a", "href") if str(href).startswith("#s")]
    assert links == ["#s1", "#s3"]
    assert {"#contents", "#p-cards"} <= {str(href) for href in found.values("a", "href")}
    assert {"contents", "p-cards", "p-packing"} <= {
        str(attributes.get("id")) for _, attributes in found.attributes
    }


def test_pictures_are_inline_once_and_say_what_they_show() -> None:
    """A picture that comes again is only referred to."""
    cells = tuple(Cell(f"{n}", (), picture(words="A wide frame")) for n in range(4))
    found = page(Sheet("a", "b", (Frames(cells),)))
    assert found.tags["circle"] == 1
    assert found.tags["use"] == 3
    ids = {f"#{name}" for name in found.values("svg", "id")}
    assert set(found.values("use", "href")) == ids
    assert found.values("svg", "aria-label") == ["A wide frame"] * 4


def test_every_box_to_tick_says_what_it_ticks() -> None:
    """A label of its own, or the words beside it."""
    boxes = [
        attributes for tag, attributes in hard().attributes if attributes.get("type") == "checkbox"
    ]
    assert len(boxes) > 60
    named = [box for box in boxes if box.get("aria-label")]
    assert {"Tripod, medium 1", "battery-np-1, out"} <= {box["aria-label"] for box in named}
    assert len(boxes) - len(named) == hard().tags["label"] - len(named) - 3  # three lights


def test_light_is_changed_without_a_script() -> None:
    """Dark at first; three radio buttons, each with its label."""
    lights = [
        attributes for _, attributes in hard().attributes if attributes.get("type") == "radio"
    ]
    assert [light["id"] for light in lights if "checked" in light] == ["dark"]
    assert {str(light["id"]) for light in lights} == {"dark", "bright", "red"}
    assert {str(name) for name in hard().values("label", "for")} == {"dark", "bright", "red"}
