"""The shoot file that answers make: complete, commented, ready to plan and to be corrected."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from io import StringIO
from typing import Any

from kitplan.recce.answers import Answers
from kitplan.recce.fitting import Fitting
from kitplan.recce.people import hides_legs, role_rows, subject_rows
from kitplan.recce.places import (
    Row,
    audience_rows,
    named_passes,
    position_rows,
    stage_row,
    unique,
    zone_rows,
)
from kitplan.tables import table

WIDEST = 104
RULE_WIDTH = 104


def shoot_text(answers: Answers, fits: Fitting, time_zone: str) -> str:
    """Return the text of a shoot file.

    Args:
        fits: What the kit can do.
        time_zone: A name of the IANA time zone database.
    """
    parts = [
        _head(answers, fits, time_zone),
        _venue(answers, fits),
        _subjects(answers),
        _light(answers),
        _songs(answers),
        _passes(answers),
        _crew(answers),
        _roles(answers),
        _rules(answers),
    ]
    return "\n".join(parts)


def _head(answers: Answers, fits: Fitting, time_zone: str) -> str:
    kind = table("performances")["kinds"][answers.kind]
    width_px, height_px = fits.frame_px
    delivery = {
        "frame_width_px": width_px,
        "frame_height_px": height_px,
        "frame_rate_fps": fits.rate_fps,
    }
    lines = [
        "# A shoot file: correct it on the recce, then `kitplan plan` it. Lengths in metres.",
        "",
        _fact("title", answers.title),
        f"performance: {kind['performance']} # decides how much crew a picture may show",
    ]
    if answers.kit is not None:
        lines.append(f"{_fact('kit', answers.kit)} # path of the kit, seen from this file")
    else:
        lines.append("# kit: none named, so the inventory is planned with (`kitplan gear list`)")
    lines += [
        _fact("time_zone", time_zone),
        f"mains_hz: {answers.mains_hz} # decides the shutter that does not flicker",
        f"delivery: {_flow(delivery)}",
        "",
    ]
    return "\n".join(lines)


def _venue(answers: Answers, fits: Fitting) -> str:
    lines = [
        _rule(
            "the place: metres; origin at the centre of the stage's front edge on the house floor"
        ),
        "# x to the right as the audience sees it, y upstage (the house has negative y), z up",
        "venue:",
        f"  {_fact('name', answers.venue)}",
        "  stage:",
        *(f"    {name}: {_flow(value)}" for name, value in stage_row(answers).items()),
    ]
    if zones := zone_rows(answers):
        lines += ["  zones:", *_rows(zones, "    ")]
    if audience := audience_rows(answers):
        lines += [
            "  # Where the audience is in passes that have one.",
            "  audience:",
            *_rows(audience, "    "),
        ]
    lines += [
        "  # Standard positions, placed from the measures: correct them; take out what cannot be.",
        "  # `floor_height_m` is what the support stands on, `lens_height_m` the lens above that,",
        "  # `room_m` the width for supports. Nothing overhead stands here: add a bar or rail only",
        "  # with the venue's word, a bond and a second person.",
        "  positions:",
    ]
    for row, notes in position_rows(answers):
        lines += [f"    # {note}" for note in notes]
        if row["lens_height_m"] > fits.tallest_m:
            wish = f"{row['lens_height_m']:g} m would clear the heads"
            lines.append(f"    # {wish}; your tallest stand holds {fits.tallest_m:g} m")
            row = row | {"lens_height_m": fits.tallest_m}
        lines += _rows([row], "    ")
    return "\n".join([*lines, ""])


def _subjects(answers: Answers) -> str:
    notes = ["# `roam_m`: how far somebody moves in a song. `closest`: the tightest size allowed."]
    if hides_legs(answers):
        notes.append(
            "# Heads hide the legs on a low stage: of the whole stage the upper part counts."
        )
    if any("closest" in row for row in subject_rows(answers)):
        notes.append("# Children: ask the school or the parents who may be filmed, and how close.")
    return "\n".join(
        [_rule("who is filmed"), *notes, "subjects:", *_rows(subject_rows(answers), "  "), ""]
    )


def _light(answers: Answers) -> str:
    row: Row = {
        "dim_lux": answers.light.dim_lux,
        "bright_lux": answers.light.bright_lux,
        "lamp": "led",
    }
    if answers.light.is_measured:
        row["measured"] = ["dim_lux", "bright_lux"]
    return "\n".join(
        [
            _rule(
                "light: lux on a face, in the dimmest state that must be usable and the brightest"
            ),
            "light:",
            *_rows([row], "  "),
            "",
        ]
    )


def _songs(answers: Answers) -> str:
    kind = table("performances")["kinds"][answers.kind]
    ids = unique([song.name for song in answers.songs])
    rows = []
    for song_id, song in zip(ids, answers.songs, strict=True):
        row: Row = {"id": song_id, "name": song.name, "length_s": song.length_s or kind["song_s"]}
        row["gap_s"] = kind["gap_s"]
        rows.append((row, "length guessed" if song.length_s is None else ""))
    lines = [
        line + (f" # {note}" if note else "") for row, note in rows for line in _rows([row], "  ")
    ]
    more = [
        "# Moments are worth naming: they get a camera that is tight enough, and a second one.",
        "#   moments: [{name: Last held note, subject: singer, at_s: 200, length_s: 15, size: MCU,",
        "#     priority: must}]",
    ]
    return "\n".join(
        [_rule("the running order: lengths and gaps in seconds"), *more, "songs:", *lines, ""]
    )


def _passes(answers: Answers) -> str:
    rows = []
    for name, run in named_passes(answers):
        row: Row = {"id": name, "name": run.name, "start": _When(f"{run.start:%Y-%m-%d %H:%M}")}
        if run.end is not None:
            row["end"] = _When(f"{run.end:%Y-%m-%d %H:%M}")
        if run.is_show and answers.audience != "none":
            row["has_audience"] = True
            if run.doors is not None:
                row["doors"] = _When(f"{run.doors:%Y-%m-%d %H:%M}")
        if not run.is_show:
            row |= {"is_in_costume": False, "is_in_show_light": False}
        rows.append(row)
    shows = [row for row, (_, run) in zip(rows, named_passes(answers), strict=True) if run.is_show]
    if shows:
        shows[-1]["is_master"] = True
    notes = [
        "# A closed pass can stand in the edit where costume, light and tempo are those of",
        "# the show (`has_click: true`: a click or a backing track); else it gives inserts.",
    ]
    return "\n".join([_rule("the runs"), *notes, "passes:", *_rows(rows, "  "), ""])


def _crew(answers: Answers) -> str:
    if not answers.crew:
        return "\n".join(
            [
                _rule("who films: nobody yet, and nothing is built or minded without somebody"),
                "crew: []",
                "",
            ]
        )
    ids = unique([person.name for person in answers.crew])
    rows = []
    for person_id, person in zip(ids, answers.crew, strict=True):
        row: Row = {"id": person_id, "name": person.name}
        if person.is_skilled:
            row["is_skilled"] = True
        if person.is_first_time:
            row["is_first_time"] = True
        if person.skills:
            row["skills"] = list(person.skills)
        if not person.is_first_time:
            row["may_be_on_stage"] = True
        rows.append(row)
    notes = [
        "# `may_be_on_stage`: rigs and films there; ask the stage manager, and take it out where",
        "# the word is no. `performs_in: [song]`, `since` and `until` say more of them.",
    ]
    return "\n".join([_rule("who films"), *notes, "crew:", *_rows(rows, "  "), ""])


def _roles(answers: Answers) -> str:
    notes = [
        "# must, want or nice; `weight` orders the wants; `positions` asks for certain places."
    ]
    return "\n".join(
        [_rule("what is asked for"), *notes, "roles:", *_rows(role_rows(answers), "  "), ""]
    )


def _rules(answers: Answers) -> str:
    kind = table("performances")["kinds"][answers.kind]
    title = _rule("rules: only what differs from the usual (`kitplan schema shoot` lists them)")
    return "\n".join([title, f"rules: {_flow({'average_shot_s': kind['shot_s']})}", ""])


# -- YAML ------------------------------------------------------------------------------------------


class _When(str):
    """A day and time: written without quotes."""


def _rule(title: str) -> str:
    return f"# -- {title} ".ljust(RULE_WIDTH, "-")


def _fact(name: str, value: str) -> str:
    return f"{name}: {_flow(value)}"


def _rows(rows: Iterable[Mapping[str, Any]], indent: str) -> list[str]:
    """Return a list of records, one a line, broken between facts where it gets too wide."""
    lines: list[str] = []
    for row in rows:
        facts = [f"{name}: {_flow(value)}" for name, value in row.items()]
        line = f"{indent}- {{"
        for number, fact in enumerate(facts):
            last = number == len(facts) - 1
            piece = fact + ("}" if last else ",")
            if len(line) + len(piece) + 1 > WIDEST and not line.endswith("{"):
                lines.append(line.rstrip())
                line = f"{indent}   "
            line += piece if line.endswith(("{", "   ")) else f" {piece}"
        lines.append(line)
    return lines


def _flow(value: Any) -> str:
    """Return a value as YAML on one line, quoted where it has to be."""
    if isinstance(value, _When):
        return str(value)
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{name}: {_flow(one)}" for name, one in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(_flow, value)) + "]"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"{value:g}"
    return _scalar(str(value))


def _scalar(text: str) -> str:
    from ruamel.yaml import YAML

    yaml = YAML()
    yaml.default_flow_style = True
    yaml.width = 100_000
    stream = StringIO()
    yaml.dump([text], stream)
    return stream.getvalue().strip()[1:-1]
