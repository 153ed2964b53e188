"""The charts of the day are to scale, and nothing on them is too small or runs out of the sheet."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import datetime

import pytest

from kitplan.paper.drawings.roll_chart import LEAST_MM as LEAST_COLUMN_MM
from kitplan.paper.drawings.roll_chart import WHO_MM, RollBar, RollChart
from kitplan.paper.drawings.svg import NAMESPACE, Drawing
from kitplan.paper.drawings.text import PT_MM
from kitplan.paper.drawings.work_chart import Box, Lane, WorkChart
from kitplan.paper.pack.setting import Setting

WIDE_MM = 182.0
START = datetime(2027, 5, 15, 19, 30)
LONG = "Somebody whose name was typed in by a person with a great deal of time " * 4
TIME = Setting().time


def bar(letter: str = "A") -> RollBar:
    """Return a camera that is restarted half-way and stands still at the end."""
    return RollBar(
        letter=letter,
        is_operated=True,
        who="Ann",
        note="safety",
        clips_s=((-60, 500), (510, 900)),
        marks=((500, "R"),),
        blind_s=((900, 1000),),
        alone_s=700,
        least="clip 3:20",
    )


def chart() -> RollChart:
    """Return a chart of one camera and two songs of 500 s each, with a gap of 20 s."""
    return RollChart("rolls", START, ((1, 0, 490), (2, 510, 1000)), (bar(),))


def shapes(drawing: Drawing, tag: str) -> list[dict[str, str]]:
    """Return the attributes of all shapes of a kind."""
    root = ET.fromstring(drawing.svg())
    return [dict(element.attrib) for element in root.iter(f"{{{NAMESPACE}}}{tag}")]


def check_texts(drawing: Drawing) -> list[str]:
    """Return all texts, each checked: 8 points at least, within the sheet, clear of each other."""
    found: list[tuple[str, float, float, float]] = []
    for element in ET.fromstring(drawing.svg()).iter(f"{{{NAMESPACE}}}text"):
        x, y = float(element.attrib["x"]), float(element.attrib["y"])
        wide = float(element.attrib["textLength"])
        anchor = element.attrib.get("text-anchor", "start")
        left = {"start": x, "middle": x - wide / 2, "end": x - wide}[anchor]
        words = element.text or ""
        assert float(element.attrib["font-size"]) >= 8 * PT_MM - 0.01, words
        assert left >= -0.05, words
        assert left + wide <= drawing.width_mm + 0.05, words
        assert 0 < y < drawing.height_mm, words
        for other, start, end, base in found:
            assert abs(base - y) > 2.0 or left > end or left + wide < start, (words, other)
        found.append((words, left, left + wide, y))
    return [words for words, *_ in found]


def test_bars_lie_on_the_clock_of_the_songs() -> None:
    """From 30 s before to 30 s after 1000 s: a clip of 390 s takes 390 / 1060 of the width."""
    drawing = chart().drawing(WIDE_MM, TIME)
    grey = [s for s in shapes(drawing, "rect") if s["fill"] == "#b4b4b4" and s["height"] == "4.6"]
    room = WIDE_MM - WHO_MM - LEAST_COLUMN_MM
    assert [float(s["width"]) for s in grey] == pytest.approx(
        [room * 530 / 1060, room * 390 / 1060], abs=0.02
    )
    assert float(grey[0]["x"]) == pytest.approx(WHO_MM)  # rolled before the chart begins
    assert float(grey[1]["x"]) == pytest.approx(WHO_MM + room * 540 / 1060, abs=0.01)


def test_standing_still_is_black() -> None:
    """100 s in a song; a chart without any says nothing of it."""
    drawing = chart().drawing(WIDE_MM, TIME)
    black = [s for s in shapes(drawing, "rect") if s["fill"] == "#000" and s["height"] == "4.6"]
    room = WIDE_MM - WHO_MM - LEAST_COLUMN_MM
    assert [float(s["width"]) for s in black] == pytest.approx([room * 100 / 1060], abs=0.02)
    assert "stands still in a song" in check_texts(drawing)
    calm = replace(chart(), bars=(replace(bar(), blind_s=(), alone_s=None),))
    assert not {"stands still in a song", "untouched it stops here"} & set(
        check_texts(calm.drawing(WIDE_MM, TIME))
    )


def test_a_touch_inside_a_song_is_white_on_black() -> None:
    """The restart at 500 s lies between songs; one at 900 s stands still in a song."""
    touched = replace(bar(), marks=((500, "R"), (900, "B")))
    drawing = replace(chart(), bars=(touched,)).drawing(WIDE_MM, TIME)
    rings = [s["fill"] for s in shapes(drawing, "rect") if s.get("rx") == "1.9"]
    assert rings == ["#fff", "#000", "#fff", "#fff"]  # the last two in the key


def test_many_cameras_songs_and_long_names_find_room() -> None:
    """Fourteen cameras with endless names, forty songs of a minute and a half."""
    songs = tuple((n + 1, 100.0 * n, 100.0 * n + 90) for n in range(40))
    bars = tuple(replace(bar(chr(65 + n)), who=LONG, least=LONG, note=LONG) for n in range(14))
    texts = check_texts(RollChart("many", START, songs, bars).drawing(WIDE_MM, TIME))
    assert {"A", "N", "1"} <= set(texts)


def test_an_empty_pass_can_be_drawn() -> None:
    """No songs and no cameras: no picture worth looking at, but no error."""
    assert check_texts(RollChart("none", START, (), ()).drawing(WIDE_MM, TIME))


# -- work ------------------------------------------------------------------------------------------


def work(gate_s: float | None = 7200) -> WorkChart:
    """Return half an hour of work of two people."""
    strike = Box(0, 600, "A", "strike", "down", is_critical=True)
    build = Box(600, 1800, "B", "build", "up", is_critical=False)
    lanes = (Lane("Ann", (strike, build)), Lane("Bo", (strike,)))
    return WorkChart("work", START, lanes, 1800, gate_s, "DOORS 21:30")


def test_jobs_lie_on_the_clock() -> None:
    """A job of 20 minutes is twice as wide as one of 10; what is critical has a black foot."""
    drawing = work().drawing(WIDE_MM, TIME)
    boxes = [s for s in shapes(drawing, "rect") if s["height"] == "9.4"]
    widths = [float(s["width"]) for s in boxes]
    assert widths[1] == pytest.approx(2 * widths[0], abs=0.02)
    assert widths[0] == widths[2]  # the same job on both lanes
    feet = [s for s in shapes(drawing, "rect") if s["fill"] == "#000" and s["height"] == "1.3"]
    assert len(feet) == 3  # one on each lane, one in the key


def test_a_gate_far_off_stands_behind_a_break() -> None:
    """Two hours off it stands at the rim; ten minutes after the work, where it lies."""
    far = work(7200).drawing(WIDE_MM, TIME)
    near = work(2100).drawing(WIDE_MM, TIME)
    assert "DOORS 21:30" in check_texts(far)
    assert "DOORS 21:30" in check_texts(near)
    thick = [
        [s["d"] for s in shapes(drawing, "path") if s.get("stroke-width") == "1.2"]
        for drawing in (far, near)
    ]
    x = [float(d[0].removeprefix("M").split()[0]) for d in thick]
    box = next(s for s in shapes(near, "rect") if s["height"] == "9.4")
    ten_minutes = float(box["width"])
    assert x[0] == pytest.approx(WIDE_MM - 1)
    assert x[1] == pytest.approx(float(box["x"]) + 3.5 * ten_minutes, abs=0.05)


@pytest.mark.parametrize("gate_s", [None, 900, 1800, 1900, 2400, 90_000])
def test_words_on_the_chart_keep_clear_of_each_other(gate_s: float | None) -> None:
    """With the gate before, at, near and far after the last hand, and without one."""
    assert "last hand free" in check_texts(work(gate_s).drawing(WIDE_MM, TIME))


def test_many_people_with_long_names_find_room() -> None:
    """Fourteen lanes of jobs of a minute."""
    jobs = tuple(
        Box(60.0 * n, 60.0 * n + 60, chr(65 + n % 14), "carry over", "carry", is_critical=False)
        for n in range(90)
    )
    lanes = tuple(Lane(LONG, jobs) for _ in range(14))
    check_texts(WorkChart("many", START, lanes, 5400, None, "").drawing(WIDE_MM, TIME))
