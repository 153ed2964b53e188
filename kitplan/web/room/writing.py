"""The steps done to the text of a shoot file: every other byte of it stays, comments included.

Rows keep their form: facts on one line or each on a line of its own; new rows take the form of the
last one of their list.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any

from kitplan.sources import Document
from kitplan.web.room.applying import apply, as_meant, inside, naming_places, place_of
from kitplan.web.room.operations import PLACES, Add, Delete, Operation, Rename, Set
from kitplan.web.room.tree import (
    WIDEST,
    Splice,
    Tree,
    block_row,
    flow,
    flow_row,
    scalar,
    spliced,
)
from kitplan.wording import Place

Data = dict[str, Any]


def written(document: Document, text: str, operations: Sequence[Operation]) -> str:
    """Return the text of a shoot file after some steps.

    Args:
        document: The same text, read.
    Raises:
        BadInput: If a step cannot be done, or the text is written so that the page cannot do it.
    """
    data, file = as_meant(document), document.file
    for is_set, group in groupby(operations, key=lambda each: isinstance(each, Set)):
        if is_set:
            text = _set(text, data, [each for each in group if isinstance(each, Set)], file)
            continue
        for operation in group:
            tree = Tree(text, file)
            if isinstance(operation, Add):
                text = spliced(text, _added(tree, PLACES[operation.of], operation.facts))
            elif isinstance(operation, Rename):
                text = spliced(text, _renamed(tree, data, operation))
            elif isinstance(operation, Delete):
                *above, number = place_of(data, operation, file)
                assert isinstance(number, int)  # the stage is never deleted
                text = spliced(text, _taken_out(tree, tuple(above), number, 1))
            apply(data, operation, file)
    return text


# -- facts -----------------------------------------------------------------------------------------


def _set(text: str, data: Data, steps: Sequence[Set], file: str) -> str:
    """Do steps that follow each other and only change facts: together, since they are many."""
    facts_by_place: dict[Place, Data] = {}
    for step in steps:
        facts_by_place.setdefault(place_of(data, step, file), {}).update(step.facts)
    tree = Tree(text, file)
    splices: list[Splice] = []
    for place, facts in facts_by_place.items():
        kept = {name: value for name, value in facts.items() if value is not None}
        splices += _changed_facts(tree, inside(data, place), place, kept)
    text = spliced(text, splices)
    for place, facts in facts_by_place.items():
        for name, value in facts.items():
            if value is None and name in inside(data, place):
                text = spliced(text, _without_fact(Tree(text, file), (*place, name)))
    for step in steps:
        apply(data, step, file)
    return text


def _changed_facts(tree: Tree, row: Data, place: Place, facts: Data) -> Iterator[Splice]:
    new = {name: value for name, value in facts.items() if name not in row}
    for name, value in facts.items():
        if name in row:
            yield from _changed(tree, (*place, name), row[name], value)
    if new:
        yield _with_facts(tree, tree.at(place), new)


def _changed(tree: Tree, place: Place, old: Any, new: Any) -> Iterator[Splice]:
    """Yield what turns one value into another, number by number where they are alike in form."""
    if old == new and isinstance(old, bool) == isinstance(new, bool):
        return
    if isinstance(old, list) and isinstance(new, list) and old and new:
        yield from _changed_list(tree, place, old, new)
        return
    if isinstance(old, dict) and isinstance(new, dict) and old.keys() == new.keys():
        for name in old:
            yield from _changed(tree, (*place, name), old[name], new[name])
        return
    node = tree.at(place)
    if tree.is_empty(node):
        start = tree.after_colon(tree.pair(place)[0])
        yield Splice(start, start, f" {flow(new)}")
    elif node.id == "scalar" or node.flow_style or isinstance(place[-1], int):
        yield Splice(node.start_mark.index, tree.end(node), flow(new))
    else:
        yield Splice(tree.after_colon(tree.pair(place)[0]), tree.end(node), f" {flow(new)}")


def _changed_list(tree: Tree, place: Place, old: list[Any], new: list[Any]) -> Iterator[Splice]:
    """Yield what changes, adds or takes out entries between those that stay."""
    shorter = min(len(old), len(new))
    before = next((n for n in range(shorter) if old[n] != new[n]), shorter)
    after = next((n for n in range(shorter - before) if old[-1 - n] != new[-1 - n]), None)
    after = shorter - before if after is None else after
    same = shorter - before - after
    for number in range(before, before + same):
        yield from _changed(tree, (*place, number), old[number], new[number])
    first = before + same
    if len(old) > len(new):
        yield from _taken_out(tree, place, first, len(old) - len(new))
    elif len(new) > len(old):
        more = new[first : first + len(new) - len(old)]
        yield _with_entries(tree, tree.at(place), first, more)


def _with_facts(tree: Tree, mapping: Any, facts: Data) -> Splice:
    """Return what adds facts at the end of a row."""
    words = [f"{scalar(name)}: {flow(value)}" for name, value in facts.items()]
    if not mapping.flow_style:
        end = tree.line_end(tree.end(mapping))
        indent = " " * tree.column(mapping.value[0][0].start_mark.index)
        return Splice(end, end, "".join(f"\n{indent}{word}" for word in words))
    if not mapping.value:
        start = mapping.start_mark.index + 1
        return Splice(start, start, ", ".join(words))
    end = tree.pair_end(*mapping.value[-1])
    return Splice(end, end, _continued(tree, mapping, end, words))


def _continued(tree: Tree, node: Any, end: int, words: Sequence[str]) -> str:
    """Return words that go on after the last one of a row, on a new line where they have to."""
    indent = tree.column(node.start_mark.index) + 1
    column, rest = tree.column(end), len(tree.text[end : tree.line_end(end)].split("#")[0].rstrip())
    text = ""
    for word in words:
        if column + 2 + len(word) + rest > WIDEST:
            text += f",\n{' ' * indent}{word}"
            column = indent + len(word)
        else:
            text += f", {word}"
            column += 2 + len(word)
    return text


def _without_fact(tree: Tree, place: Place) -> Iterator[Splice]:
    """Yield what takes a fact out of its row."""
    mapping, (key, value) = tree.at(place[:-1]), tree.pair(place)
    number = next(n for n, pair in enumerate(mapping.value) if pair[0] is key)
    start, end = key.start_mark.index, tree.pair_end(key, value)
    following = mapping.value[number + 1][0].start_mark.index if mapping.value[number + 1 :] else 0
    previous = tree.pair_end(*mapping.value[number - 1]) if number else 0
    if mapping.flow_style:
        yield _cut(tree, start, end, previous, following)
    elif number:
        yield Splice(tree.line_start(start) - 1, tree.line_end(end), "")
    elif following and "#" not in tree.text[end:following]:
        yield Splice(start, following, "")
    else:
        raise tree.refusal(key, "the first fact of a row is bound to what surrounds it")


def _cut(tree: Tree, start: int, end: int, previous: int, following: int) -> Splice:
    """Return what takes something out of a row or list on one line, with one of its commas.

    Args:
        previous: Where the one before it ends, 0 where there is none.
        following: Where the next one begins, 0 where there is none.
    """
    text = tree.text
    if previous and "#" not in text[previous:start]:
        return Splice(previous, end, "")
    if following and "#" not in text[end:following]:
        return Splice(start, following, "")
    comma = len(text[end:]) - len(text[end:].lstrip())
    has_comma = text[end + comma : end + comma + 1] == ","
    return Splice(start, end + comma + 1 if has_comma else end, "")


# -- rows ------------------------------------------------------------------------------------------


def _added(tree: Tree, place: Place, row: Data) -> Iterator[Splice]:
    """Yield what adds a row at the end of a list, which need not be there yet."""
    node = tree.at(place)
    if node is not None and node.id == "sequence" and node.value:
        yield _with_entries(tree, node, len(node.value), [row])
        return
    above = tree.at(place[:-1])
    if above is not None and above.id == "mapping" and above.value:
        yield from _started(tree, place, above, row)
    else:
        yield from _started(tree, place[:-1], tree.at(place[:-2]), {str(place[-1]): [row]})


def _started(tree: Tree, place: Place, above: Any, content: Data) -> Iterator[Splice]:
    """Yield what begins a list, or a part of the file with its list, below a key."""
    has_key = any(key.value == place[-1] for key, _ in above.value)
    if above.flow_style:
        is_part = any(isinstance(value, list) for value in content.values())
        value = content if is_part and place != PLACES["keep"] else [content]
        if has_key:
            yield from _changed(tree, place, None, value)
        else:
            yield _with_facts(tree, above, {str(place[-1]): value})
        return
    indent = tree.column(above.value[0][0].start_mark.index)
    lines = _rows_below(content, indent + 2)
    if has_key:
        key, value = tree.pair(place)
        if not tree.is_empty(value):
            yield Splice(tree.after_colon(key), tree.end(value), "")
        end = tree.line_end(tree.pair_end(key, value))
        yield Splice(end, end, f"\n{lines}")
    else:
        end = tree.line_end(tree.end(above))
        yield Splice(end, end, f"\n{' ' * indent}{place[-1]}:\n{lines}")


def _rows_below(content: Data, indent: int) -> str:
    """Return one row, or a key with its one row, indented."""
    for name, value in content.items():
        if isinstance(value, list) and value and isinstance(value[0], dict):
            return f"{' ' * indent}{name}:\n{flow_row(value[0], indent + 2)}"
    return flow_row(content, indent)


def _with_entries(tree: Tree, sequence: Any, number: int, entries: Sequence[Any]) -> Splice:
    """Return what puts entries before entry `number` of a list that is not empty."""
    if sequence.flow_style:
        words = [flow(each) for each in entries]
        if number:
            end = tree.end(sequence.value[number - 1])
            return Splice(end, end, _continued(tree, sequence, end, words))
        start = sequence.value[0].start_mark.index
        return Splice(start, start, "".join(f"{word}, " for word in words))
    indent = tree.column(tree.dash(sequence, 0))
    last = sequence.value[-1]
    is_block = last.id == "mapping" and not last.flow_style
    rows = [_row(each, indent, is_block=is_block) for each in entries]
    if number:
        end = tree.line_end(tree.end(sequence.value[number - 1]))
        return Splice(end, end, "".join(f"\n{row}" for row in rows))
    start = tree.line_start(tree.dash(sequence, 0))
    return Splice(start, start, "".join(f"{row}\n" for row in rows))


def _row(entry: Any, indent: int, *, is_block: bool) -> str:
    if isinstance(entry, dict):
        return block_row(entry, indent) if is_block else flow_row(entry, indent)
    return f"{' ' * indent}- {flow(entry)}"


def _taken_out(tree: Tree, place: Place, first: int, number: int) -> Iterator[Splice]:
    """Yield what takes entries out of a list; an empty one stays as []."""
    sequence = tree.at(place)
    nodes = sequence.value
    last = first + number - 1
    start, end = nodes[first].start_mark.index, tree.end(nodes[last])
    if sequence.flow_style:
        if number == len(nodes):
            yield Splice(sequence.start_mark.index, tree.end(sequence), "[]")
            return
        previous = tree.end(nodes[first - 1]) if first else 0
        following = nodes[last + 1].start_mark.index if nodes[last + 1 :] else 0
        yield _cut(tree, start, end, previous, following)
        return
    begin = tree.line_start(tree.dash(sequence, first))
    yield Splice(max(begin - 1, 0), tree.line_end(end), "")
    if number == len(nodes):
        colon = tree.after_colon(tree.pair(place)[0])
        yield Splice(colon, colon, " []")


# -- ids -------------------------------------------------------------------------------------------


def _renamed(tree: Tree, data: Data, operation: Rename) -> Iterator[Splice]:
    """Yield what changes an id, there and wherever it is named."""
    place = place_of(data, operation, tree.file)
    for each in (*naming_places(data, operation, tree.file), (*place, "id")):
        node = tree.at(each)
        yield Splice(node.start_mark.index, tree.end(node), scalar(operation.to))
