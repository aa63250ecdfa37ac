"""How are many keys added to a lab file at once, each on a line of its own, while all around them stays?

As in `edit`, a change cuts and pastes at the offsets of the tree, and afterwards the text is read again: anything
but the change asked for refuses it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from falsework.errors import QuestionError
from falsework.lab import tree
from falsework.lab.cuts import Cut, newline
from falsework.lab.edit import add_entry, checked, opened, spliced
from falsework.lab.find import Path, Spot, find, is_flow, line_begin, line_end, pieces_of
from falsework.lab.quote import Value, written, written_key
from falsework.lab.shape import Shape, shape, shape_of, with_value


def add_section(text: str, key: str, value: Mapping[str, Mapping[str, Value]], *, name: str) -> str:
    """Return the text with one more section at its end: two steps of keys, a line each.

    Args:
        text: a whole lab file, free of faults.
        key: of a section that is not there.
        value: keys with keys with values.
        name: how the file is called in messages.

    Raises:
        LabError: the text as it is has faults.
        QuestionError: the section is there already, or the change cannot be made.
    """
    mark, body, root = opened(text, name)
    if root.entry(key) is not None or is_flow(body, root):
        return add_entry(text, (), key, value, name=name)
    line = newline(body)
    rows = [f"{key}:"]
    for outer, inner in value.items():
        rows.append(f"  {written_key(outer)}:")
        rows.extend(
            f"    {written_key(each)}: {written(said, in_flow=False)}" for each, said in inner.items()
        )
    gap = "" if body.endswith("\n") else line
    changed = f"{body}{gap}{line}{line.join(rows)}{line}"
    expected = with_value(shape(root), (key,), shape_of(value), fresh=True)
    return mark + checked(body, changed, name, expected)


def add_entries(
    text: str, path: Path, fresh: Mapping[str, Value], longer: Mapping[str, Sequence[str]], *, name: str
) -> str:
    """Return the text with more keys under a path, last among their neighbours, and some values made longer.

    Args:
        text: a whole lab file, free of faults.
        path: the way to the keys that they join.
        fresh: the new ones, in order.
        longer: values that come on top of those that are there, by key.
        name: how the file is called in messages.

    Raises:
        LabError: the text as it is has faults.
        QuestionError: there is no such place, or the change cannot be made.
    """
    mark, body, root = opened(text, name)
    spot = find(body, root, path)
    node = spot.node
    if not isinstance(node, tree.Mapping) or not node.entries:
        # The first one finds the place, the others join it.
        first, *rest = fresh
        text = add_entry(text, path, first, fresh[first], name=name)
        more = {key: fresh[key] for key in rest}
        return add_entries(text, path, more, {}, name=name) if more else text
    cuts = [cut for key, values in longer.items() for cut in _longer(body, node, key, values)]
    if fresh:
        cuts.extend(_fresh(body, spot, node, fresh))
    inner = [
        (entry.key.text, _with_more(shape(entry.value), longer.get(entry.key.text, ())))
        for entry in node.entries
    ]
    inner.extend((key, shape_of(value)) for key, value in fresh.items())
    expected = with_value(shape(root), path, ("keys", tuple(inner), None))
    return mark + checked(body, spliced(body, cuts), name, expected)


def _fresh(body: str, spot: Spot, node: tree.Mapping, fresh: Mapping[str, Value]) -> list[Cut]:
    """A line for each new key behind the last one."""
    line, last = newline(body), pieces_of(body, node)[-1]
    if not is_flow(body, node) and not spot.in_flow:
        indent = " " * (node.entries[0].key.where.column - 1)
        rows = [
            f"{indent}{written_key(key)}: {written(value, in_flow=False)}" for key, value in fresh.items()
        ]
        end = line_end(body, last.end)
        return [(end, end, f"{line}{line.join(rows)}")]
    indent = " " * (node.entries[0].key.start - line_begin(body, node.entries[0].key.start))
    rows = [f"{indent}{written_key(key)}: {written(value, in_flow=True)}" for key, value in fresh.items()]
    said = f",{line}".join(rows)
    end = line_end(body, node.end)
    behind = body[node.end : end].strip()
    closes = body[last.end : node.end].strip(" ")
    if closes == "}" and (not behind or behind.startswith("#")):
        # What stands behind the brace is about what stands before it: the brace moves, the remark stays.
        return [(last.end, node.end, ","), (end, end, f"{line}{said}}}")]
    comma = re.compile(r"\s*,").match(body, last.end)
    at = comma.end() if comma else last.end
    return [(at, at, f"{'' if comma else ','}{line}{said}{',' if comma else ''}")]


def _longer(body: str, node: tree.Mapping, key: str, values: Sequence[str]) -> list[Cut]:
    """One value becomes a list of several, or a list gets more."""
    held = node.get(key)
    said = ", ".join(written(each, in_flow=True) for each in values)
    if isinstance(held, tree.Scalar) and not held.is_empty:
        return [(held.start, held.start, "["), (held.end, held.end, f", {said}]")]
    if isinstance(held, tree.Sequence) and held.items and is_flow(body, held):
        return [(held.items[-1].end, held.items[-1].end, f", {said}")]
    raise QuestionError(f"the value of '{key}' can't be made longer as it is written", "Do it by hand.")


def _with_more(held: Shape, values: Sequence[str]) -> Shape:
    if not values:
        return held
    before = held[1] if held[0] == "list" and isinstance(held[1], tuple) else (held,)
    return ("list", (*before, *(shape_of(each) for each in values)), None)
