"""What a request asks for, checked: JSON bodies and parameters. Refusals are `KitplanError`s."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

from starlette.requests import Request

from kitplan.errors import SettingError


async def body_of(request: Request) -> dict[str, Any]:
    """Return the JSON object of a request.

    Raises:
        SettingError: If it is none.
    """
    raw = await request.body()
    try:
        data = json.loads(raw or b"{}")
    except (ValueError, RecursionError) as error:
        raise _refused("it is not JSON", "Send a JSON object") from error
    if not isinstance(data, dict):
        raise _refused("it is not a JSON object", 'Send an object such as {"seconds": 60}')
    return data


def number_in(data: dict[str, Any], name: str, usual: float, least: float, most: float) -> float:
    """Return a number of a request, or the usual one where it names none.

    Raises:
        SettingError: If it is no number between the bounds.
    """
    value = data.get(name, usual)
    if isinstance(value, bool) or not isinstance(value, int | float) or not least <= value <= most:
        wrong = f"{name} is not a number from {least:g} to {most:g}"
        raise _refused(wrong, f"Give {name} such as {usual:g}")
    return float(value)


def texts_in(data: dict[str, Any], name: str, most: int) -> list[str]:
    """Return a list of texts of a request; empty where it names none.

    Raises:
        SettingError: If it is no such list, or too long.
    """
    value = data.get(name, [])
    if not isinstance(value, list) or len(value) > most or not all(map(_is_text, value)):
        raise _refused(f"{name} is not a list of up to {most} names", f"Give {name} as a list")
    return list(value)


def text_in(data: dict[str, Any], name: str, most: int = 200) -> str:
    """Return a text of a request.

    Raises:
        SettingError: If it names none, or it is too long.
    """
    value = data.get(name)
    if not _is_text(value, most) or not str(value).strip():
        raise _refused(f"{name} is not a text of up to {most} characters", f"Give {name}")
    return str(value).strip()


def day_in(data: dict[str, Any], name: str) -> date | None:
    """Return a day of a request; None where it names none.

    Raises:
        SettingError: If it is no day.
    """
    value = data.get(name) or None
    try:
        return None if value is None else date.fromisoformat(value)
    except (TypeError, ValueError) as error:
        raise _refused(f"{name} is not a day", "Give it such as 2027-05-16") from error


def whole_from(request: Request, name: str, most: int, usual: int = 0) -> int:
    """Return a whole number of the address, or the usual one where it names none.

    Raises:
        SettingError: If it is none from 0 to the most.
    """
    text = request.query_params.get(name, str(usual))
    if not (text.isascii() and text.isdigit() and len(text) <= 4 and int(text) <= most):
        raise _refused(f"{name} is not a whole number from 0 to {most}", f"Leave {name} out")
    return int(text)


def _is_text(value: Any, most: int = 200) -> bool:
    """Whether it is a text of at most so many characters, each of which there is: JSON can name
    halves of characters, which no file takes.
    """
    if not isinstance(value, str) or len(value) > most:
        return False
    return not any("\ud800" <= sign <= "\udfff" for sign in value)


def _refused(problem: str, fix: str) -> SettingError:
    return SettingError(problem, where="the request", fix=fix)
