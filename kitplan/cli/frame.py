"""`kitplan frame`: what a lens shows at a distance, without any file."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Annotated

import typer

from kitplan.cli.common import JsonOption, print_json

if TYPE_CHECKING:
    from kitplan.whatif.framing import Framed, Question


def number(text: str) -> float:
    """Return a number above 0; a decimal comma is taken as it is meant."""
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        value = 0.0
    if not 0 < value < 1e6:
        raise typer.BadParameter(f"{text!r} is not a number above 0, such as 2.8")
    return value


def ratio(text: str) -> float:
    """Return an aspect such as 16:9 or 1.85 as one number."""
    wide, _, high = text.partition(":")
    return number(wide) / (number(high) if high else 1.0)


def shutter_s(text: str) -> float:
    """Return the seconds of a shutter speed, written 1/50 or 50."""
    return 1 / number(text.strip().removesuffix("s").strip().removeprefix("1/"))


def _number(help_text: str, name: str, metavar: str) -> object:
    return typer.Option(name, parser=number, metavar=metavar, help=help_text, show_default=False)


def frame(
    distance_m: Annotated[
        float,
        typer.Option("--distance", parser=number, metavar="METRES", help="From lens to subject."),
    ],
    focal_mm: Annotated[float | None, _number("Focal length as engraved.", "--focal", "MM")] = None,
    size: Annotated[
        str | None,
        typer.Option(
            "--size",
            metavar="SIZE",
            help="Instead of --focal: ECU, CU, MCU, MS, MLS, FS, WS or EWS.",
        ),
    ] = None,
    sensor: Annotated[
        str,
        typer.Option(
            "--sensor", metavar="NAME", help="A trade name such as super-35, or WxH in mm."
        ),
    ] = "full-frame",
    aspect: Annotated[
        float,
        typer.Option("--aspect", parser=ratio, metavar="W:H", help="Shape of the picture."),
    ] = "16:9",  # type: ignore[assignment]
    crop: Annotated[
        float,
        typer.Option("--crop", parser=number, metavar="FACTOR", help="Crop of the recording mode."),
    ] = "1",  # type: ignore[assignment]
    stop: Annotated[float | None, _number("f-number.", "--stop", "N")] = None,
    lux: Annotated[float | None, _number("Light on the subject.", "--lux", "LUX")] = None,
    base_iso: Annotated[
        float,
        typer.Option("--base-iso", parser=number, metavar="ISO", help="Lowest ISO of the body."),
    ] = "100",  # type: ignore[assignment]
    frame_rate_fps: Annotated[
        float, typer.Option("--fps", parser=number, metavar="FPS", help="Frames per second.")
    ] = "25",  # type: ignore[assignment]
    mains_hz: Annotated[
        float, typer.Option("--mains", parser=number, metavar="HZ", help="Mains frequency.")
    ] = "50",  # type: ignore[assignment]
    shutter: Annotated[
        float | None,
        typer.Option(
            "--shutter",
            parser=shutter_s,
            metavar="1/X",
            help="Shutter speed; by default the flicker-free one nearest 180 degrees.",
            show_default=False,
        ),
    ] = None,
    stature_m: Annotated[
        float,
        typer.Option(
            "--subject-height", parser=number, metavar="METRES", help="Height of the person."
        ),
    ] = "1.75",  # type: ignore[assignment]
    as_json: JsonOption = False,
) -> None:
    """Say what a lens shows at a distance.

    Also how deep it is sharp, the shutter that does not flicker and the ISO for the light. With
    --size instead of --focal: which focal length that shot size needs.

    Example: kitplan frame --sensor super-35 --focal 85 --distance 12 --stop 2.8 --lux 400

    Example: kitplan frame --size MCU --distance 15
    """
    from kitplan.whatif.framing import Question

    question = Question(
        sensor_mm=sensor_mm(sensor),
        distance_m=distance_m,
        focal_mm=focal_mm,
        size=_known_size(size, focal_mm),
        aspect=aspect,
        crop=crop,
        stop=stop,
        lux=lux,
        base_iso=base_iso,
        frame_rate_fps=frame_rate_fps,
        mains_hz=mains_hz,
        shutter_s=shutter,
        stature_m=stature_m,
    )
    _print_answer(question, _answered(question), as_json)


def sensor_mm(text: str) -> tuple[float, float]:
    """Return width and height of a sensor given by its trade name or as WxH.

    Raises:
        SettingError: If it is neither.
    """
    from kitplan.errors import SettingError
    from kitplan.tables import table
    from kitplan.wording import hint

    formats = table("sensor_formats")["formats"]
    if text.casefold() in formats:
        row = formats[text.casefold()]
        return row["width_mm"], row["height_mm"]
    sides = re.fullmatch(r"\s*([\d.,]+)\s*[x×*]\s*([\d.,]+)\s*(mm)?\s*", text.casefold())
    if sides is None:
        fix = f"{hint(text, formats)}; or write it as 23.6x15.6"
        raise SettingError(f"there is no sensor {text!r}", where="--sensor", fix=fix)
    return number(sides[1]), number(sides[2])


def _known_size(size: str | None, focal_mm: float | None) -> str | None:
    from kitplan.errors import SettingError
    from kitplan.tables import table

    if (size is None) == (focal_mm is None):
        given = "neither --focal nor --size is given" if size is None else "both are given"
        raise SettingError(given, where="--focal", fix="Give --focal MM or --size, one of the two")
    if size is None:
        return None
    known = table("shot_sizes")["person"]
    if size.upper() not in known:
        from kitplan.wording import hint

        raise SettingError(
            f"there is no shot size {size!r}", where="--size", fix=hint(size.upper(), known)
        )
    return size.upper()


def _answered(question: Question) -> Framed:
    from kitplan.errors import SettingError
    from kitplan.optics.lens import OpticsError
    from kitplan.whatif.framing import frame as framed

    try:
        return framed(question)
    except OpticsError as error:
        raise SettingError(str(error), where="frame", fix="Change that number") from error


def _print_answer(question: Question, answer: Framed, as_json: bool) -> None:
    if as_json:
        from dataclasses import asdict

        print_json({"question": asdict(question), "answer": asdict(answer)})
        return
    from kitplan.paper.framing import framing

    typer.echo(framing(question, answer))
