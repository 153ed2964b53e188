"""Plan files that somebody forged: refused in one line, or read and told by `verify`."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from kitplan.errors import PlanFileError
from kitplan.plan.files import read_plan
from tests.plans import written
from tests.stored import stored_plan

Data = dict[str, Any]


def shot_of(data: Data) -> Data:
    """Return the main shot of the first camera."""
    found: Data = data["placements"][0]["shot"]
    return found


FORGERIES: dict[str, tuple[Callable[[Data], object], str]] = {
    "no-angle": (lambda data: shot_of(data).update(view_deg=0), "placements.0.shot.view_deg"),
    "no-number": (
        lambda data: shot_of(data).update(view_deg=float("nan")),
        "placements.0.shot.view_deg",
    ),
    "dark-iso": (lambda data: shot_of(data).update(iso=-100), "placements.0.shot.iso"),
    "endless-focal": (
        lambda data: shot_of(data).update(focal_mm=float("inf")),
        "placements.0.shot.focal_mm",
    ),
    "deleted": (lambda data: shot_of(data).pop("stop"), "placements.0.shot.stop"),
    "wrong-type": (lambda data: data.update(placements="many"), "placements"),
    "unknown-key": (lambda data: data.update(extra=1), "extra"),
    "null": (lambda data: data.update(kit=None), "kit"),
}


@pytest.fixture(scope="module")
def data(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return a plan file's text."""
    path = written(tmp_path_factory.mktemp("plan"), stored_plan("school-dance"))
    return path.read_text(encoding="utf-8")


@pytest.mark.parametrize(("forge", "place"), FORGERIES.values(), ids=FORGERIES.keys())
def test_what_no_plan_says_is_refused(
    data: str, tmp_path: Path, forge: Callable[[Data], object], place: str
) -> None:
    """In one line: the file, and where it is damaged."""
    forged = json.loads(data)
    forge(forged)
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(forged), encoding="utf-8")
    with pytest.raises(PlanFileError, match=f"damaged at {place} ") as error:
        read_plan(path)
    assert str(error.value).startswith(f"{path}: ")
    assert "\n" not in str(error.value)


@pytest.mark.parametrize("share", [0.0, 0.1, 0.5, 0.999])
def test_a_file_that_ends_too_early_is_refused(data: str, tmp_path: Path, share: float) -> None:
    """A copy that broke off."""
    path = tmp_path / "plan.json"
    path.write_text(data[: int(share * len(data))], encoding="utf-8")
    with pytest.raises(PlanFileError, match="is not JSON"):
        read_plan(path)
