"""A small right shoot and kit as text, to be changed one line at a time."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from kitplan.errors import BadInput, Problem
from kitplan.shoot.brief import Brief
from kitplan.shoot.reading import read_brief

KIT = """\
items:
- kind: body
  id: cam
  name: camera
  mount: E
  sensor_width_mm: 36
  sensor_height_mm: 24
  max_iso: 6400
  runs_on_mains: true
  modes:
  - {name: hd, frame_width_px: 1920, frame_height_px: 1080, frame_rate_fps: 25, bit_rate_mbps: 50}
- {kind: lens, id: zoom, name: zoom, mount: E, focal_min_mm: 24, focal_max_mm: 105, stop_wide: 4,
   closest_focus_m: 0.4, image_circle_mm: 43.3}
- {kind: head, id: fluid, name: fluid head, payload_kg: 6, fitting: bowl-75}
- {kind: support, id: legs, name: legs, payload_kg: 10, fitting: bowl-75, height_min_m: 0.6,
   height_max_m: 1.8}
- {kind: support, id: clamp, name: clamp, payload_kg: 4, stands_on: [rail], height_min_m: 0.1,
   height_max_m: 0.3}
- {kind: media, id: card, name: card, capacity_gb: 64, sustained_mb_s: 90}
- {kind: case, id: crate, name: crate, volume_l: 60, most_load_kg: 20}
units:
- {id: cam-1, item: cam, owner: ana}
- {id: zoom-1, item: zoom, owner: ana}
- {id: fluid-1, item: fluid, owner: ana}
- {id: legs-1, item: legs, owner: ana}
- {id: clamp-1, item: clamp, owner: ana}
- {id: card-1, item: card, owner: ana}
"""

SHOOT = """\
title: Small evening
kit: kit.yaml
time_zone: Europe/Paris
mains_hz: 50
delivery: {frame_width_px: 1920, frame_height_px: 1080, frame_rate_fps: 25}
venue:
  name: Hall
  stage: {outline_m: [[-4, 0], [4, 0], [4, 6], [-4, 6]], height_m: 0.8}
  zones:
  - {id: riser, outline_m: [[-2, 4], [2, 4], [2, 6], [-2, 6]], height_m: 1.2}
  - {id: tower, outline_m: [[-2, -14], [2, -14], [2, -12], [-2, -12]], height_m: 0.6}
  audience:
  - {id: stalls, outline_m: [[-5, -11], [5, -11], [5, -2], [-5, -2]]}
  - {id: boxes, outline_m: [[6, -11], [8, -11], [8, -2], [6, -2]]}
  obstacles:
  - {id: desk, outline_m: [[0, -13], [2, -13], [2, -12], [0, -12]], height_m: 1.1}
  - {id: pillar, outline_m: [[5, -6], [5.4, -6], [5.4, -5.6], [5, -5.6]], height_m: 6}
  lamps:
  - {id: spot, at_m: [0, 8], height_m: 4, faces_deg: 180, passes: [show]}
  - {id: window, kind: window, at_m: [9, -5], height_m: 3}
  positions:
  - {id: back, at_m: [-1, -13], floor_height_m: 0.6, lens_height_m: 1.6}
  - {id: wing, at_m: [-3.8, 3], floor_height_m: 0.8, lens_height_m: 1.4, is_on_stage: true,
     open_in: [closed]}
  - {id: rail, at_m: [0, -15], floor_height_m: 4, lens_height_m: 0.2, stands_on: rail,
     only_people: [ana, ben]}
subjects:
- {id: stage, kind: stage}
- {id: band, kind: group, outline_m: [[-3, 1], [3, 1], [3, 3], [-3, 3]]}
- {id: singer, at_m: [0, 2], part_of: band}
- {id: child, at_m: [1, 1], posture: child, closest: FS}
- {id: piano, kind: object, at_m: [-2, 2], width_m: 1.5, height_m: 1.2}
- {id: house, kind: audience, floor_height_m: 0}
light:
- {subjects: [singer], passes: [closed], dim_lux: 500, bright_lux: 900}
- {dim_lux: 300, bright_lux: 600}
songs:
- id: one
  length_s: 300
  moments:
  - {name: solo, subject: singer, at_s: 100, length_s: 20, size: MS}
- {id: two, length_s: 240, gap_s: 30}
passes:
- id: closed
  start: 2027-05-15 14:00
  end: 2027-05-15 15:00
  house_lux: 8
  songs: {two: stopped}
  people: [ana, ben]
- id: show
  start: 2027-05-15 19:00
  doors: 2027-05-15 18:30
  has_audience: true
  is_master: true
crew:
- {id: ana, since: 2027-05-15 12:00, may_be_on_stage: true}
- {id: ben, until: 2027-05-16 01:00, performs_in: [two]}
- {id: cleo, is_operator: false}
roles:
- {id: safety, subject: stage, sizes: [WS], priority: must, in_passes: every, is_safety: true}
- {id: vocals, subject: singer, sizes: [MCU, MS], passes: [show], positions: [back]}
locks:
  keep:
  - {pass: closed, position: wing, person: ana}
  - {pass: show, position: back, body: cam, lens: zoom, head: fluid, support: legs, role: safety}
  never:
  - {position: rail, person: ben}
"""


class Case(NamedTuple):
    """A change that a check refuses, and a like one that it takes."""

    name: str
    old: str
    bad: str
    good: str
    line: str
    """Part of the line that the problem points at."""
    wrong: str
    right: str


class Found(NamedTuple):
    """A problem, and the text of the line that it points at."""

    problem: Problem
    line: str


def write(folder: Path, shoot: str = SHOOT, kit: str = KIT) -> Path:
    """Write shoot and kit into a folder and return the path of the shoot."""
    (folder / "kit.yaml").write_text(kit, encoding="utf-8")
    path = folder / "shoot.yaml"
    path.write_text(shoot, encoding="utf-8")
    return path


def changed(text: str, old: str, new: str) -> str:
    """Replace a piece that stands in the text exactly once."""
    assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in the text"
    return text.replace(old, new)


def read(folder: Path, shoot: str = SHOOT, kit: str = KIT) -> Brief:
    """Read a shoot and kit that are right."""
    return read_brief(write(folder, shoot, kit))


def found(folder: Path, shoot: str = SHOOT, kit: str = KIT) -> list[Found]:
    """Return everything that is wrong with a shoot and kit; nothing where they are right."""
    try:
        read(folder, shoot, kit)
    except BadInput as error:
        texts = {"shoot.yaml": shoot.split("\n"), "kit.yaml": kit.split("\n")}
        return [
            Found(one, texts[Path(one.file).name][one.line - 1].strip()) for one in error.problems
        ]
    return []


def assert_refused(folder: Path, case: Case, shoot: str = SHOOT) -> None:
    """What is wrong is said, with what would be right, at the line that holds it."""
    problems = found(folder, changed(shoot, case.old, case.bad))
    meant = [one for one in problems if case.wrong in one.problem.wrong]
    assert meant, [str(one.problem) for one in problems]
    assert case.right in meant[0].problem.right
    assert case.line in meant[0].line


def assert_taken(folder: Path, case: Case, shoot: str = SHOOT) -> None:
    """The like change that is right passes."""
    assert not found(folder, changed(shoot, case.old, case.good))
