"""Facts of lenses and bodies by name, from the open lens data (lensfun, CC BY-SA 3.0) in lensfunpy.

The data know mounts, focal lengths, widest stops and crop factors. They have no masses, no closest
focus, no recording modes: those stay to be asked. What came from them is named in `looked_up` of
the item and never counts as measured. The only room that imports lensfunpy, an optional extra.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass, field
from typing import Any

from kitplan.checked import validated
from kitplan.errors import SettingError
from kitplan.gear.checks import OWN_MOUNT
from kitplan.gear.intake.amounts import Unreadable, stops
from kitplan.gear.intake.guesses import completed
from kitplan.gear.intake.ids import identifier
from kitplan.gear.mounts import own_name
from kitplan.gear.records import ITEM_TYPES, AnyItem, Battery
from kitplan.optics.lens import crop_factor
from kitplan.tables import table

FULL_FRAME_DIAGONAL_MM = 43.267
FULL_FRAME_WIDTH_MM, FULL_FRAME_HEIGHT_MM = 36.0, 24.0
SAME_CROP = 0.02
"""Relative difference within which a crop factor stands for a format of shared/."""
_WORD = re.compile(r"\d+(?:\.\d+)?|[a-z]+")
_F_NUMBER = re.compile(r"\bf/?(?=\d)")
_NAMED_STOPS = re.compile(r"\b[fF]/?(\d+(?:\.\d+)?\s*-\s*\d+(?:\.\d+)?)")
_LEAST_LIKENESS = 0.6
_AS_LIKELY = 0.2
_ANY_MOUNT = "Generic"
_BATTERY_OF = "battery-for-"


@dataclass(frozen=True)
class Candidate:
    """A lens or body of the open lens data that may be meant."""

    kind: str
    name: str
    facts: dict[str, Any] = field(hash=False)
    """Those that the data know, by our names; `built_in` of a body is a block."""


def candidates(words: str, *, kind: str | None = None, most: int = 10) -> list[Candidate]:
    """Return what the data have under a name, likeliest first.

    Args:
        words: As the user calls it: '24-70 2.8', in any order.
        kind: Only lenses or only bodies.
    Raises:
        SettingError: If the data are not installed, or there is no word to look for.
    """
    wanted = _words(words)
    if not wanted:
        raise SettingError(
            "there is no word to look for", where="lookup", fix="Give a name such as '24-70 2.8'"
        )
    found = []
    for candidate in _all(kind):
        own = _words(f"{candidate.name} {candidate.facts.get('mount', '')}")
        likeness = sum(_is_among(word, own) for word in wanted) / len(wanted)
        if likeness >= _LEAST_LIKENESS:
            found.append((-likeness, len(own), candidate.name, candidate))
    found.sort(key=lambda each: each[:3])
    best = found[0][0] if found else 0.0
    likely = [each[3] for each in found if each[0] <= best + _AS_LIKELY]
    on_mount = [each for each in likely if each.facts.get("mount", "").casefold() in wanted]
    return (on_mount or likely)[:most]


def item_of(
    candidate: Candidate, item_id: str, name: str, told: dict[str, Any]
) -> tuple[AnyItem, ...]:
    """Return the item of a candidate, with the battery that a body needs.

    Args:
        told: Facts that the user adds; they count more than the data.
    Raises:
        BadInput: If a fact is wrong, or one is missing that is never guessed.
    """
    facts = candidate.facts | {fact: value for fact, value in told.items() if value is not None}
    data = {"id": item_id, "kind": candidate.kind, "name": name} | facts
    data["looked_up"] = [fact for fact in candidate.facts if fact not in told]
    if "built_in" in data["looked_up"]:
        data["to_ask"] = ["built_in.closest_focus_m"]
    needs_battery = candidate.kind == "body" and not {"battery", "runs_on_mains"} & facts.keys()
    if needs_battery:
        data["battery"] = identifier(f"{_BATTERY_OF}{item_id}")
    model: Any = ITEM_TYPES[candidate.kind]
    item: AnyItem = validated(
        model,
        completed(candidate.kind, data),
        file="lookup",
        line_of=lambda _: 0,
    )
    if not needs_battery:
        return (item,)
    battery = {"id": data["battery"], "kind": "battery", "name": f"battery for the {name}"}
    return item, Battery.model_validate(completed("battery", battery))


def _words(text: str) -> list[str]:
    return _WORD.findall(_F_NUMBER.sub("", text.casefold().replace(",", ".")))


def _is_among(word: str, own: Sequence[str]) -> bool:
    """Whether a name has a word, or one that begins with it; numbers count as numbers."""
    if word[0].isdigit():
        return any(each[0].isdigit() and float(each) == float(word) for each in own)
    return any(each == word or (len(word) > 2 and each.startswith(word)) for each in own)


def _all(kind: str | None) -> Iterator[Candidate]:
    database = _database()
    lenses = database.lenses
    # All other mounts are names of bodies with a lens built in.
    mounted = {mount.name for mount in database.mounts} - {_ANY_MOUNT}
    if kind in (None, "lens"):
        for lens in lenses:
            yield from _lens(lens, mounted)
    if kind in (None, "body"):
        by_mount = {mount: lens for lens in lenses for mount in lens.mounts if mount not in mounted}
        for camera in database.cameras:
            body = _body(camera, by_mount.get(camera.mount))
            if body is not None:
                yield body


def _database() -> Any:
    """Return the open lens data.

    Raises:
        SettingError: If they are not installed.
    """
    try:
        import lensfunpy
    except ImportError as error:
        raise SettingError(
            "the open lens data are not installed",
            where="lookup",
            fix="In the folder of kitplan: pip install '.[lookup]'. Or add the item by hand",
        ) from error
    return lensfunpy.Database()


def _lens(lens: Any, mounted: Set[str]) -> Iterator[Candidate]:
    """Yield a lens once for each mount that it is made in; nothing of one that is built in."""
    optic = _optic(lens)
    if optic is None:
        return
    names = set(lens.mounts) & mounted
    mounts = {own_name(mount) or f"{OWN_MOUNT}{identifier(mount)}" for mount in names}
    for mount in sorted(mounts):
        circle_mm = round(FULL_FRAME_DIAGONAL_MM / lens.crop_factor, 1) if lens.crop_factor else 0
        circle = {"image_circle_mm": circle_mm} if circle_mm else {}
        yield Candidate("lens", _full_name(lens), {"mount": mount} | optic | circle)


def _optic(lens: Any) -> dict[str, Any] | None:
    """Return focal lengths and stops; None where the data lack them."""
    if not lens.min_focal or not lens.max_focal:
        return None
    focal = {"focal_min_mm": round(lens.min_focal, 2), "focal_max_mm": round(lens.max_focal, 2)}
    named = _NAMED_STOPS.search(lens.model)
    try:
        wide, tele, _ = stops(named[1]) if named else (0.0, None, False)
    except Unreadable:
        wide, tele = 0.0, None
    wide = round(lens.min_aperture or wide, 2)
    if not wide:
        return None
    found: dict[str, Any] = focal | {"stop_wide": wide}
    if tele is not None and tele > wide:
        found["stop_tele"] = tele
    if lens.max_aperture and lens.max_aperture > wide:
        found["least_stop"] = round(lens.max_aperture, 1)
    return found


def _body(camera: Any, built_in: Any | None) -> Candidate | None:
    if not camera.crop_factor:
        return None
    facts: dict[str, Any] = _sensor(camera.crop_factor)
    if built_in is None:
        mount = own_name(camera.mount)
        if mount is None:
            return None
        return Candidate("body", _full_name(camera), facts | {"mount": mount})
    optic = _optic(built_in)
    if optic is None:
        return None
    closest = completed("lens", optic)["closest_focus_m"]
    return Candidate(
        "body", _full_name(camera), facts | {"built_in": optic | {"closest_focus_m": closest}}
    )


def _sensor(crop: float) -> dict[str, float]:
    """Return the sensor of a crop factor: a known format, or one of 3:2 with that diagonal."""
    formats = table("sensor_formats")["formats"].values()
    near = min(
        formats, key=lambda row: abs(crop_factor(row["width_mm"], row["height_mm"]) / crop - 1)
    )
    width_mm, height_mm = near["width_mm"], near["height_mm"]
    if abs(crop_factor(width_mm, height_mm) / crop - 1) > SAME_CROP:
        width_mm = round(FULL_FRAME_WIDTH_MM / crop, 1)
        height_mm = round(FULL_FRAME_HEIGHT_MM / crop, 1)
    return {"sensor_width_mm": width_mm, "sensor_height_mm": height_mm}


def _full_name(record: Any) -> str:
    maker, model = " ".join(record.maker.split()), " ".join(record.model.split())
    return model if model.casefold().startswith(maker.casefold()) else f"{maker} {model}"
