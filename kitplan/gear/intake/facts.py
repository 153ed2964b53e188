"""What one cell says: facts of an item or of its units, in our names and units."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from kitplan.gear.cells import split
from kitplan.gear.intake.amounts import (
    Unreadable,
    amount,
    day,
    dimension_of,
    money,
    number,
    span,
    stops,
    yes_or_no,
)
from kitplan.gear.intake.words import last_meaning, meaning, part_meaning
from kitplan.gear.mounts import own_name
from kitplan.gear.records import ITEM_TYPES
from kitplan.tables import table
from kitplan.wording import shown

_NAMED_FOCAL = re.compile(
    r"(?<![\d./])(\d{1,4}(?:[.,]\d)?)(?:\s*(?:mm)?\s*[-–]\s*(\d{1,4}))?\s*(?:mm\b|(?=\s*f/?\d))",
    re.I,
)
_NAMED_RANGE = re.compile(r"(?<![\d./])(\d{1,3})\s*[-–]\s*(\d{2,4})(?![\d./])")
_NAMED_STOP = re.compile(
    r"\b(?:[fF]/?|1:|T)(\d{1,2}(?:\.\d+)?(?:\s*-\s*\d{1,2}(?:\.\d+)?)?)(?![\d.])"
)
_NAMED_SLASH = re.compile(
    r"(?<![\d./])(\d{2,4})(?:\s*[-–]\s*(\d{2,4}))?(?:\s*mm)?\s*/\s*"
    r"(\d{1,2}(?:\.\d+)?(?:\s*-\s*\d{1,2}(?:\.\d+)?)?)(?![\d/])"
)
_NAMED_GB = re.compile(r"(\d+)\s*(GB|TB)\b", re.I)
_NAMED_MOUNTS = re.compile(r"([\w/-]+)(?:\s+to\s+|\s*(?:→|->)\s*|-)([\w/]+)", re.I)
_BOWL = re.compile(r"(\d{2,3})\s*mm(?:\s*(?:half\s*)?(?:bowl|ball))?")
_THREAD = re.compile(r"([13])\s*/\s*([48])")


@dataclass(frozen=True)
class Cell:
    """One cell that tells facts of an item."""

    kind: str
    fact: str
    text: str
    unit: str | None
    comma_is_decimal: bool

    def amount(self, fact: str) -> float:
        """Return its amount; one that nobody believes is refused."""
        found = amount(self.text, fact, self.unit, comma_is_decimal=self.comma_is_decimal)
        most, least = table("column_names")["most"], table("column_names")["least"]
        limit = most.get(f"{self.kind} {fact}", most.get(fact))
        if (limit is not None and found > limit) or found < least.get(f"{self.kind} {fact}", 0):
            unit = fact.rsplit("_", 1)[1]
            right = "Write the unit with it, or into the name of the column: (g), (cm) ..."
            raise Unreadable(f"{shown(self.text)}, {found:g} {unit} for a {self.kind}", right)
        return found


def fact_of(cell: Cell) -> Any:
    """Return the value of one fact."""
    fact, text = cell.fact, cell.text
    model = ITEM_TYPES[cell.kind]
    if fact in _SPECIAL:
        return _SPECIAL[fact](text)
    if dimension_of(fact) is not None:
        return cell.amount(fact)
    annotation = str(model.model_fields[fact].annotation)
    if "tuple" in annotation:
        return split(text)
    if "bool" in annotation:
        return yes_or_no(text)
    if "float" in annotation:
        return number(text, comma_is_decimal=cell.comma_is_decimal)
    return text


def _mount(text: str) -> str:
    return own_name(text) or "-".join(text.split())


def _fitting(text: str) -> str:
    """Return bowl-75 for '75 mm bowl', thread-3/8 for '3/8"'; else the text as an id."""
    folded = text.strip().casefold()
    if found := _THREAD.search(folded):
        return f"thread-{found[1]}/{found[2]}"
    if found := _BOWL.fullmatch(folded):
        return f"bowl-{found[1]}"
    return "-".join(text.split())


def _focal(cell: Cell) -> dict[str, Any]:
    low, high = span(cell.text, "focal", cell.unit, comma_is_decimal=cell.comma_is_decimal)
    return _optic(cell.kind, {"focal_min_mm": low, "focal_max_mm": high})


def _aperture(cell: Cell) -> dict[str, Any]:
    wide, tele, is_t_stop = stops(cell.text)
    found: dict[str, Any] = {"stop_wide": wide}
    found |= {"stop_tele": tele} if tele else {}
    found |= {"t_stop_loss": 0.0} if is_t_stop else {}
    return _optic(cell.kind, found)


def _optic(kind: str, found: dict[str, Any]) -> dict[str, Any]:
    """Return facts of an optic for a lens, or for the one built into a body."""
    return {f"built_in.{name}": value for name, value in found.items()} if kind == "body" else found


def _covers(cell: Cell) -> dict[str, Any]:
    """Return what a sensor format says: a body's sensor, a lens's image circle."""
    row = meaning("formats", cell.text)
    formats = table("sensor_formats")["formats"]
    if row is not None:
        width, height = formats[row]["width_mm"], formats[row]["height_mm"]
    elif found := re.fullmatch(r"([\d.,]+)\s*[x×]\s*([\d.,]+)\s*(?:mm)?", cell.text.casefold()):
        width, height = (number(found[each], comma_is_decimal=True) for each in (1, 2))
    else:
        raise Unreadable(shown(cell.text), f"Write 36x24 mm or one of {', '.join(formats)}")
    if cell.kind == "body":
        return {"sensor_width_mm": width, "sensor_height_mm": height}
    return {"image_circle_mm": round((width**2 + height**2) ** 0.5, 1)}


def _height(cell: Cell) -> dict[str, Any]:
    low, high = span(cell.text, "height", cell.unit, comma_is_decimal=cell.comma_is_decimal)
    return {"height_max_m": high} if low == high else {"height_min_m": low, "height_max_m": high}


def _clip(cell: Cell) -> dict[str, Any]:
    minutes = amount(cell.text, "clip", cell.unit, comma_is_decimal=cell.comma_is_decimal)
    return {"clip_limit_min": minutes}


def _speed(text: str) -> float:
    """Return MB/s; the speed classes printed on cards are the least they promise."""
    classes = re.fullmatch(r"(?:v|u|c|class\s*)(\d+)", text.strip().casefold())
    if classes:
        return float(classes[1]) * (10 if text.strip().casefold().startswith("u") else 1)
    return amount(text, "sustained_mb_s", None)


def _condition(text: str) -> str:
    found = meaning("conditions", text)
    if found is None:
        conditions = table("column_names")["conditions"]
        raise Unreadable(shown(text), f"Write one of {', '.join(conditions)}")
    return found


def parts_of(text: str) -> list[str]:
    return re.split(r"[,;|\n]|\s/\s", text)


def one_line(text: str) -> str:
    return " ".join(text.split())


def _share(text: str) -> float:
    """Return a share of 1, from '80%' or 0.8."""
    found = number(text.strip().removesuffix("%"))
    return found / 100 if "%" in text or found > 1 else found


UNIT_READERS: Mapping[str, Callable[[str], Any]] = {
    "owner": one_line,
    "value": money,
    "hire": money,
    "condition": _condition,
    "available_from": day,
    "available_until": day,
    "service_due": day,
    "health": _share,
    "photos": split,
    "shelf": one_line,
}
SEVERAL: Mapping[str, Callable[[Cell], dict[str, Any]]] = {
    "focal": _focal,
    "aperture": _aperture,
    "covers": _covers,
    "height": _height,
    "clip": _clip,
}
_SPECIAL: Mapping[str, Callable[[str], Any]] = {
    "mount": _mount,
    "lens_mount": _mount,
    "body_mount": _mount,
    "fitting": _fitting,
    "plate": lambda text: "-".join(text.split()),
    "fits": lambda text: "-".join(text.split()),
    "sustained_mb_s": _speed,
    "serves": lambda text: last_meaning("serves", text) or "-".join(text.casefold().split()),
    "what": lambda text: last_meaning("what", text) or text,
    "card_type": lambda text: "-".join(text.casefold().removesuffix("card").split()) or "sd",
}


def told_by_name(kind: str, name: str, item: dict[str, Any]) -> None:
    """Fill in what stands in the name and in no column: 24-70 mm, f/2.8, 64 GB, what it serves."""
    if kind == "lens":
        _named_optic(name, item)
    if kind == "body" and "sensor_width_mm" not in item and (row := part_meaning("formats", name)):
        sizes = table("sensor_formats")["formats"][row]
        item |= {"sensor_width_mm": sizes["width_mm"], "sensor_height_mm": sizes["height_mm"]}
    if kind == "media" and "capacity_gb" not in item and (found := _NAMED_GB.search(name)):
        item["capacity_gb"] = float(found[1]) * (1000 if found[2].casefold() == "tb" else 1)
    if kind == "adapter" and (found := _NAMED_MOUNTS.search(name)):
        lens, body = own_name(found[1]), own_name(found[2])
        if lens is not None and body is not None:
            item.setdefault("lens_mount", lens)
            item.setdefault("body_mount", body)
    if kind == "accessory":
        item.setdefault("serves", last_meaning("serves", name) or "other")
    if kind == "sound" and (what := last_meaning("what", name)):
        item.setdefault("what", what)


def _named_optic(name: str, item: dict[str, Any]) -> None:
    """Fill in 24-70 mm and f/2.8 from names such as '24-70 f/2.8', '24-70/2.8', '50 mm 1:1.8'."""
    slashed = _NAMED_SLASH.search(name)
    focal = slashed or _NAMED_FOCAL.search(name) or _NAMED_RANGE.search(name)
    if focal and "focal_min_mm" not in item:
        low = number(focal[1])
        item |= {"focal_min_mm": low, "focal_max_mm": number(focal[2] or focal[1])}
    stop = slashed[3] if slashed else (s[1] if (s := _NAMED_STOP.search(name)) else None)
    if stop and "stop_wide" not in item:
        wide, tele, _ = stops(stop)
        item |= {"stop_wide": wide} | ({"stop_tele": tele} if tele else {})


def looks_like_lens(name: str) -> bool:
    """Whether a name has a focal length and a stop, as only lenses do."""
    facts: dict[str, Any] = {}
    _named_optic(name, facts)
    return {"focal_min_mm", "stop_wide"} <= facts.keys()
