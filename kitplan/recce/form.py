"""The recce form: what to measure on site, in the order in which one walks the room."""

from __future__ import annotations

from textwrap import fill

from kitplan.recce.questions import Known, Setting, questions
from kitplan.tables import table

WIDTH = 100


def form_text() -> str:
    """Return the form as a page of text with lines to fill in."""
    asked = {question.id: question for question in questions()}
    lines = ["Recce form", "==========", ""]
    for part in table("recce")["walk"]:
        lines += [part["title"], "-" * len(part["title"])]
        for each in part["asks"]:
            question = asked[each]
            lines.append(fill(question.ask, WIDTH))
            if question.on_site:
                lines.append(
                    fill(question.on_site, WIDTH, initial_indent="  ", subsequent_indent="  ")
                )
            lines += [f"  e.g. {question.example}", f"  {each}: {'_' * 60}", ""]
    lines += ["Look for", "--------", *(f"[ ] {note}" for note in table("recce")["look_for"])]
    return "\n".join(lines)


def answers_text(setting: Setting) -> str:
    """Return the form as a file to fill in: every question with its default."""
    asked = {question.id: question for question in questions()}
    known: Known = {}
    defaults: dict[str, str] = {}
    for question in questions():
        defaults[question.id] = question.default(known, setting)
        known[question.id] = question.read(defaults[question.id], known, setting)
    lines = [
        "# Recce form. Write behind the colon; what you leave is taken as it stands there.",
        "# Then: kitplan new my-show.yaml --answers THIS-FILE",
    ]
    for part in table("recce")["walk"]:
        lines += ["", f"# -- {part['title']}"]
        for each in part["asks"]:
            question = asked[each]
            lines.append(f"# {question.ask} E.g. {question.example}")
            if question.on_site:
                lines.append(f"# {question.on_site}")
            lines.append(f'{each}: "{defaults[each]}"')
    lines += ["", "# Look for:", *(f"# - {note}" for note in table("recce")["look_for"]), ""]
    return "\n".join(lines)
