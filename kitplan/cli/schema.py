"""`kitplan schema`: the JSON Schema of kit and shoot files, for editors and other programs."""

from __future__ import annotations

import itertools
import json
import re
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any

import typer

DIALECT = "https://json-schema.org/draft/2020-12/schema"
_WHEN = r"^\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}(:\d{2}(\.\d+)?)?(Z|[+-]\d{2}:?\d{2})?$"
_RULE_LINE = re.compile(r"^(\w+):[^#]*#\s*(.+)$", re.MULTILINE)


class FileKind(StrEnum):
    """What kind of input file a schema describes."""

    KIT = "kit"
    SHOOT = "shoot"


def schema(
    what: Annotated[FileKind, typer.Argument(help="Which kind of file.", show_default=False)],
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE", help="Write it there instead of printing it."),
    ] = None,
) -> None:
    """Print the JSON Schema of a kit or shoot file.

    An editor that understands YAML then completes keys and marks mistakes while you type: write the
    schema beside your files and put this comment on their first line, which is an open convention:
    # yaml-language-server: $schema=shoot.schema.json

    Example: kitplan schema shoot --out shoot.schema.json
    """
    from kitplan.sources import write_text

    text = json.dumps(file_schema(what), ensure_ascii=False, indent=2) + "\n"
    if out is None:
        typer.echo(text, nl=False)
        return
    write_text(out, text)
    typer.echo(f"Wrote {out}.")


def file_schema(what: FileKind) -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a kind of file, as it is after YAML is read.

    It allows a little less than the program: no decimal commas and no `yes` for true.
    """
    from pydantic.json_schema import GenerateJsonSchema

    from kitplan.gear.kit import Kit
    from kitplan.gear.records import Record
    from kitplan.shoot.records import Shoot

    class Generator(GenerateJsonSchema):
        """Takes times as they are written in YAML, with a space between day and time."""

        def datetime_schema(self, schema: Any) -> dict[str, Any]:  # noqa: ARG002
            example = "A date and time such as 2026-05-31 19:30"
            return {"type": "string", "pattern": _WHEN, "description": example}

    model: type[Record] = Kit if what is FileKind.KIT else Shoot
    found = model.model_json_schema(schema_generator=Generator)
    _describe_fields(found)
    _describe_rules(found.get("$defs", {}).get("Rules", {}).get("properties", {}))
    _clean(found)
    return {"$schema": DIALECT, **found, "title": f"kitplan {what} file"}


def _describe_fields(found: dict[str, Any]) -> None:
    """Give every field the docstring that stands below it in the records' source.

    Read here instead of by the records themselves, which would cost every other command its start.
    """
    import inspect

    from kitplan.gear import kit, records
    from kitplan.shoot import records as shoot
    from kitplan.shoot import venue

    schemas = {found["title"]: found, **found.get("$defs", {})}
    for module in (records, kit, venue, shoot):
        for name, meanings in _docstrings(inspect.getsource(module)).items():
            properties = schemas.get(name, {}).get("properties", {})
            for field, meaning in meanings.items():
                if field in properties:
                    properties[field]["description"] = meaning


def _docstrings(source: str) -> dict[str, dict[str, str]]:
    """Return by class and field the string that stands below the field."""
    import ast

    found: dict[str, dict[str, str]] = {}
    for node in ast.parse(source).body:
        if isinstance(node, ast.ClassDef):
            for field, below in itertools.pairwise(node.body):
                if not isinstance(field, ast.AnnAssign) or not isinstance(below, ast.Expr):
                    continue
                if isinstance(below.value, ast.Constant):
                    name = ast.unparse(field.target)
                    meaning = " ".join(str(below.value.value).split())
                    found.setdefault(node.name, {})[name] = meaning
    return found


def _describe_rules(properties: dict[str, Any]) -> None:
    """Give every rule the comment that stands beside it in shared/rules.yaml."""
    from kitplan.tables import folder

    text = (folder("shared") / "rules.yaml").read_text(encoding="utf-8")
    for name, meaning in _RULE_LINE.findall(text):
        if name in properties:
            properties[name]["description"] = meaning


def _clean(node: Any) -> None:
    """Turn what only this program understands into what every reader of schemas does."""
    if isinstance(node, list):
        for one in node:
            _clean(one)
    elif isinstance(node, dict):
        words = node.pop("words", None)
        if isinstance(words, str):
            node.setdefault("description", words[:1].upper() + words[1:])
        node.pop("discriminator", None)  # of another standard
        kind = node.get("properties", {}).get("kind", {})
        if "const" in kind:  # it tells the kinds of item apart, so it must be there
            node["required"] = ["kind", *node.get("required", [])]
        for one in node.values():
            _clean(one)
