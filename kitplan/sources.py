"""Reading input files safely: text of known encoding, YAML with line numbers, checked records.

Whatever a file holds, the answer is its data or one `BadInput` with everything that is wrong.
YAML is version 1.2 with the core tags: 14:30 is text, 2026-05-31 is a date, `yes` is text that a
yes/no fact takes as true. The words of the problems come from `wording`.
"""

from __future__ import annotations

import errno
import os
import re
from codecs import BOM_UTF8, BOM_UTF16_BE, BOM_UTF16_LE
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from stat import S_IMODE
from types import MappingProxyType
from typing import Any, TypeVar

from pydantic import BaseModel

from kitplan.checked import validated
from kitplan.errors import BadInput, Problem, SettingError
from kitplan.wording import Place, file_name, nearest, plain, problems_of, shown

__all__ = [
    "Document",
    "build",
    "composed",
    "nearest",
    "parse_value",
    "parse_yaml",
    "problems_of",
    "read_bytes",
    "read_text",
    "read_yaml",
    "validated",
    "writable",
    "write_bytes",
    "write_text",
]

MAX_BYTES = 2_000_000
MAX_NODES = 200_000
"""Most values that a document may hold once its aliases are written out."""
MAX_DEPTH = 60

M = TypeVar("M", bound=BaseModel)

_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\x80-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff]")
_CORE = "tag:yaml.org,2002:"
_SCALARS = frozenset({"str", "int", "float", "bool", "null", "timestamp", "value"})


@dataclass(frozen=True)
class Document:
    """The plain data of one file, and where each value stands in it."""

    file: str
    """Name for messages."""
    data: Any
    lines: Mapping[Place, int]
    texts: Mapping[Place, str]
    """Numbers, dates and the like as they are written in the file."""

    def line_of(self, location: Place) -> int:
        """Return the 1-based line of a key or list entry, or of its nearest existing parent."""
        while location and location not in self.lines:
            location = location[:-1]
        return self.lines.get(location, 1)


def read_text(
    path: Path, *, fallback_encoding: str | None = None, most_bytes: int = MAX_BYTES
) -> str:
    """Return the text of a file with newlines as `\\n`.

    UTF-8 with or without byte-order mark and UTF-16 with one are accepted.

    Args:
        fallback_encoding: Tried where the file is none of these.
        most_bytes: Largest size that is read.
    Raises:
        BadInput: If the file is missing, unreadable, too large, of another encoding or holds
            control characters.
    """
    raw = read_bytes(path, most_bytes)
    try:
        if raw.startswith((BOM_UTF16_LE, BOM_UTF16_BE)):
            text = raw.decode("utf-16")
        else:
            text = raw.removeprefix(BOM_UTF8).decode("utf-8")
    except UnicodeDecodeError as error:
        try:
            if fallback_encoding is None:
                raise
            text = raw.decode(fallback_encoding)
        except UnicodeDecodeError:
            line = raw.count(b"\n", 0, error.start) + 1
            problem = Problem(
                file_name(path), line, "the text is not UTF-8", "Save the file as UTF-8"
            )
            raise BadInput([problem]) from error
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if found := _CONTROL.search(text):
        line = text.count("\n", 0, found.start()) + 1
        wrong = f"the text holds the control character U+{ord(found[0]):04X}"
        raise BadInput([Problem(file_name(path), line, wrong, "Take it out; is this a text file?")])
    return text


def read_bytes(path: Path, most_bytes: int = MAX_BYTES) -> bytes:
    """Return the bytes of an ordinary file that is not too large.

    Raises:
        BadInput: If it is none, or cannot be read.
    """
    right = "Give the path of a file"
    try:
        if path.is_file():
            with path.open("rb") as stream:
                raw = stream.read(most_bytes + 1)
            if len(raw) <= most_bytes:
                return raw
            wrong = f"the file is larger than {most_bytes // 1_000_000} MB"
            right = "Split it, or check that it is the right file"
        elif path.is_dir():
            wrong = "this is a folder"
        elif path.exists():
            wrong = "this is not an ordinary file"
        else:
            wrong, right = "there is no such file", "Check the spelling of the path"
    except OSError as error:
        wrong = f"the file cannot be read ({error.strerror or error})"
        right = "Check that you may read it"
    raise BadInput([Problem(file_name(path), 0, wrong, right)])


def write_text(path: Path, text: str) -> None:
    """Write a file as a whole: after a crash it holds either its old or its new text.

    Raises:
        SettingError: If it cannot be written.
    """
    write_bytes(path, text.encode("utf-8"))


def write_bytes(path: Path, raw: bytes) -> None:
    """Write a file as a whole; see `write_text`. Who may read it stays as it was.

    Raises:
        SettingError: If it cannot be written, or somebody has made it read-only.
    """
    target = path.resolve()
    scratch = target.with_name(f".{target.name}.{os.getpid()}.tmp")
    fix = "Check that the folder exists and that you may write there"
    try:
        if target.exists() and not os.access(target, os.W_OK):  # replacing it would not ask
            fix = "Let it be written to, if that is what you want"
            raise PermissionError(errno.EACCES, "it is read-only")
        with scratch.open("wb") as stream:
            if target.is_file():
                scratch.chmod(S_IMODE(target.stat().st_mode))
            stream.write(raw)
            stream.flush()
            os.fsync(stream.fileno())
        scratch.replace(target)
    except OSError as error:
        with suppress(OSError):  # a name that is too long is so for this as well
            scratch.unlink(missing_ok=True)
        if error.errno in (errno.ENOSPC, errno.EDQUOT):
            fix = "Free some space and try again"
        raise SettingError(
            f"the file cannot be written ({error.strerror or error})",
            where=file_name(path),
            fix=fix,
        ) from error


def writable(folder: Path, option: str) -> Path:
    """Return a folder that can be written to, made if need be: known before work begins.

    Args:
        option: Which option names another one.
    Raises:
        SettingError: If it cannot.
    """
    fix = f"Choose another folder with {option}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        is_file = isinstance(error, FileExistsError)
        reason = "it is a file" if is_file else error.strerror or str(error)
        raise SettingError(
            f"the folder cannot be made ({reason})", where=str(folder), fix=fix
        ) from error
    if not os.access(folder, os.W_OK):
        raise SettingError("the folder cannot be written to", where=str(folder), fix=fix)
    return folder


def read_yaml(path: Path) -> Document:
    """Return the document of a YAML file.

    Raises:
        BadInput: If it is not a readable YAML document of plain data; see `parse_yaml`.
    """
    return parse_yaml(read_text(path), file_name(path))


def parse_yaml(text: str, file: str) -> Document:
    """Return the document that a YAML text describes.

    Raises:
        BadInput: If it is empty, no YAML 1.2, holds several documents, duplicate or non-text keys,
            tags beyond the core ones, aliases that run in circles or explode, or is too deep.
    """
    root = composed(text, file)
    if root is None:
        raise BadInput([Problem(file, 0, "the file is empty", "Fill it in, or give another file")])
    flattening = _Flattening(file)
    data = flattening.value(root, ())
    if flattening.problems:
        raise BadInput(flattening.problems)
    lines = MappingProxyType(flattening.lines)
    return Document(file, data, lines, MappingProxyType(flattening.texts))


def parse_value(text: str, name: str) -> Any:
    """Return a value typed on the command line: a word, or YAML's [..], {..} or quotes.

    Words stay text, so that a record reads them by the type it wants; nothing at all, `~` and
    `null` are None.

    Raises:
        BadInput: If brackets or quotes do not match.
    """
    if not text.lstrip().startswith(("[", "{", "'", '"')):
        return None if text.strip() in {"", "~", "null"} else text
    document = parse_yaml(text, f"--set {plain(name)}")
    return _as_written(document, document.data, ())


def _as_written(document: Document, value: Any, place: Place) -> Any:
    if isinstance(value, dict):
        return {key: _as_written(document, one, (*place, key)) for key, one in value.items()}
    if isinstance(value, list):
        return [_as_written(document, one, (*place, i)) for i, one in enumerate(value)]
    return None if value is None else document.texts.get(place, value)


def composed(text: str, file: str) -> Any:
    """Return the node tree of the one document in a text, aliases pointing at shared nodes.

    Nodes are those of ruamel.yaml; each knows where it begins and ends in the text.

    Raises:
        BadInput: If the text is no YAML 1.2, holds several documents, or is too deep or too large.
    """
    from ruamel.yaml import YAML
    from ruamel.yaml.composer import Composer, ComposerError
    from ruamel.yaml.error import MarkedYAMLError

    class ShallowComposer(Composer):
        """Refuses deep nesting before Python's own stack does, and foreign YAML versions."""

        def __init__(self, loader: Any = None) -> None:
            super().__init__(loader)
            self.warn_double_anchors = False
            self.level = self.num_nodes = 0

        def compose_document(self) -> Any:
            event = self.parser.peek_event()
            if event.version not in (None, (1, 2)):
                raise ComposerError(None, None, "only YAML 1.2 is read", event.start_mark)
            return super().compose_document()

        def compose_node(self, parent: Any, index: Any) -> Any:
            self.level += 1
            self.num_nodes += 1
            if self.level > MAX_DEPTH or self.num_nodes > MAX_NODES:
                is_deep = self.level > MAX_DEPTH
                what = f"nested deeper than {MAX_DEPTH} levels" if is_deep else "too many values"
                raise ComposerError(None, None, what, self.parser.peek_event().start_mark)
            node = super().compose_node(parent, index)
            self.level -= 1
            return node

    yaml = YAML(typ="safe", pure=True)
    yaml.Composer = ShallowComposer
    try:
        root = yaml.compose(text)
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line = mark.line + 1 if mark else 0
        wrong = f"this is not plain YAML ({error.problem or error.context})"
        raise BadInput([Problem(file, line, wrong, _syntax_remedy(error))]) from error
    except Exception as error:
        # The parser is not ours and the text may be anything: whatever else it trips over
        # (assertions and look-ups on broken text) is a fault of the text too.
        wrong = f"this is not plain YAML ({type(error).__name__})"
        raise BadInput([Problem(file, 0, wrong, "Write it as keys, lists and values")]) from error
    return root


def _syntax_remedy(error: Any) -> str:
    problem = str(error.problem)
    if "\\t" in problem:
        return "Indent with spaces instead of tabs"
    if "single document" in str(error.context):
        return "Keep one document in a file: take out the lines ---"
    return "Check indentation, colons, brackets and quotes on this line and the one before"


class _Flattening:
    """Turns a node tree into plain data, noting the line and the source text of every place."""

    def __init__(self, file: str) -> None:
        from ruamel.yaml import YAML

        self.file = file
        self.lines: dict[Place, int] = {}
        self.texts: dict[Place, str] = {}
        self.problems: list[Problem] = []
        self._constructor = YAML(typ="safe", pure=True).constructor
        self._num_nodes = 0
        self._open: set[int] = set()

    def value(self, node: Any, place: Place) -> Any:
        """Return the data of a node and of everything below it."""
        line = node.start_mark.line + 1
        self.lines.setdefault(place, line)
        self._num_nodes += 1
        if self._num_nodes > MAX_NODES:
            self._give_up(line, f"the aliases (*name) make more than {MAX_NODES} values of it")
        if id(node) in self._open:
            self._give_up(line, f"the alias *{node.anchor} contains itself")
        if len(place) > MAX_DEPTH:
            self._give_up(line, f"the aliases (*name) nest deeper than {MAX_DEPTH} levels")
        tag = str(node.tag).removeprefix(_CORE)
        if tag not in {"scalar": _SCALARS, "sequence": {"seq"}, "mapping": {"map"}}[node.id]:
            self._note(line, f"the tag {plain(node.tag)} is not known here", "Take it out")
            return None
        if node.id == "scalar":
            return self._scalar(node, place, tag)
        self._open.add(id(node))
        filled = self._list(node, place) if node.id == "sequence" else self._dict(node, place)
        self._open.discard(id(node))
        return filled

    def _list(self, node: Any, place: Place) -> list[Any]:
        return [self.value(child, (*place, index)) for index, child in enumerate(node.value)]

    def _dict(self, node: Any, place: Place) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for key_node, value_node in node.value:
            line = key_node.start_mark.line + 1
            if key_node.id != "scalar" or not str(key_node.tag).endswith(":str"):
                self._note(line, *_key_fault(key_node))
                continue
            key = self._scalar(key_node, place, "str")
            if key in found:
                first = self.lines[(*place, key)]
                wrong = f"the key '{plain(key)}' stands here and on line {first}"
                self._note(line, wrong, "Keep one of the two")
                continue
            self.lines[(*place, key)] = line
            found[key] = self.value(value_node, (*place, key))
        return found

    def _scalar(self, node: Any, place: Place, tag: str) -> Any:
        if tag in {"str", "value"}:
            if found := _CONTROL.search(node.value):
                wrong = f"the text holds the control character U+{ord(found[0]):04X}"
                self._note(node.start_mark.line + 1, wrong, "Take it out")
            return node.value
        if tag != "null":
            self.texts[place] = node.value
        try:
            return self._constructor.construct_object(node)
        except Exception:  # the parser's readers of numbers and dates fail in many ways
            right = "Correct it, or put it in quotes if it is text"
            what = "date" if tag == "timestamp" else "number"
            self._note(node.start_mark.line + 1, f"{shown(node.value)} is not a {what}", right)
            return None

    def _note(self, line: int, wrong: str, right: str) -> None:
        self.problems.append(Problem(self.file, line, wrong, right))

    def _give_up(self, line: int, wrong: str) -> None:
        raise BadInput([*self.problems, Problem(self.file, line, wrong, "Write it out instead")])


def _key_fault(node: Any) -> tuple[str, str]:
    """Return what is wrong with a key that is not text, and what would be right."""
    if str(node.tag).endswith(":merge"):
        return "the merge key << is not known here", "Write the keys out"
    if str(node.tag).endswith(":int"):
        right = "Put it in quotes; a decimal number inside { } or [ ] needs a point"
        return f"the key {plain(node.value)} is a number", right
    return "a key is not text", "Put it in quotes, or write name: value"


def build(model: type[M], document: Document, *, context: Mapping[str, Any] | None = None) -> M:
    """Return the record that a document describes.

    Raises:
        BadInput: With every problem, each with its line and what would be right.
    """
    return validated(
        model,
        document.data,
        file=document.file,
        line_of=document.line_of,
        text_of=document.texts.get,
        context=context,
    )
