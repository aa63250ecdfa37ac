"""Where in the text does the thing lie that a path leads to?

Offsets are characters from 0; a path is made of keys, and of places in lists from 0.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from falsework.errors import QuestionError, listed, nearest, shortened
from falsework.lab import tree

Path = Sequence[str | int]
"""The way to a value: keys, and places in lists from 0."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place found: the node, its entry if it has a key, and where it begins, key or dash included."""

    node: tree.Node
    entry: tree.Entry | None
    start: int
    in_flow: bool


@dataclass(frozen=True, slots=True)
class Piece:
    """One entry of a list or of keys, its dash or key included."""

    start: int
    end: int


def find(body: str, root: tree.Mapping, path: Path) -> Spot:
    """Return the place a path leads to.

    Raises:
        QuestionError: there is none; names the nearest key.
    """
    spot = Spot(root, None, root.start, False)
    for count, step in enumerate(path):
        node = spot.node
        in_flow = spot.in_flow or is_flow(body, node)
        if isinstance(node, tree.Mapping):
            entry = node.entry(str(step))
            if entry is None:
                raise _no_such(step, path[:count], [entry.key.text for entry in node.entries], node)
            spot = Spot(entry.value, entry, entry.key.start, in_flow)
        elif isinstance(node, tree.Sequence) and isinstance(step, int) and 0 <= step < len(node.items):
            item = node.items[step]
            start = item.start if in_flow else _dash(body, node, step)
            spot = Spot(item, None, start, in_flow)
        else:
            raise _no_such(step, path[:count], (), node)
    return spot


def _no_such(step: str | int, above: Path, known: Sequence[str], node: tree.Node) -> QuestionError:
    what = f"there is no '{shortened(str(step))}' under {way(above)}"
    close = nearest(str(step), known)
    if close:
        return QuestionError(what, f"Did you mean '{close}'?")
    if known:
        return QuestionError(what, f"Known: {listed(known)}.")
    if isinstance(node, tree.Sequence):
        return QuestionError(what, f"It is a list of {len(node.items)}, counted from 0.")
    return QuestionError(what, f"It holds {tree.sort_of(node)}.")


def way(path: Path) -> str:
    """Return how a path is called in messages."""
    return f"'{'.'.join(shortened(str(step)) for step in path)}'" if path else "the file"


def pieces_of(body: str, node: tree.Node) -> list[Piece]:
    """Return the entries of keys or of a list, in order; none for a single value."""
    if isinstance(node, tree.Mapping):
        return [Piece(e.key.start, content_end(body, e.value)) for e in node.entries]
    if isinstance(node, tree.Sequence) and is_flow(body, node):
        return [Piece(item.start, item.end) for item in node.items]
    if isinstance(node, tree.Sequence):
        return [Piece(_dash(body, node, at), content_end(body, item)) for at, item in enumerate(node.items)]
    return []


def _dash(body: str, node: tree.Sequence, at: int) -> int:
    """Return where the dash of an entry is: under the first one, at or above the entry's first line."""
    if at == 0:
        return node.start
    column = node.where.column - 1
    begin = line_begin(body, node.items[at].start)
    while body[begin : begin + column + 1] != " " * column + "-":
        begin = line_begin(body, begin - 1)
    return begin + column


def is_flow(body: str, node: tree.Node) -> bool:
    """Whether a node is written in brackets or braces."""
    return not isinstance(node, tree.Scalar) and body[node.start] in "[{"


def is_block(body: str, node: tree.Node) -> bool:
    """Whether a node is keys or a list, an entry to a line."""
    return not isinstance(node, tree.Scalar) and body[node.start] not in "[{"


def content_end(body: str, node: tree.Node) -> int:
    """Return where a node's last sign is; a block of text ends before its line break, not after."""
    leaf = _last_leaf(node)
    if isinstance(leaf, tree.Scalar) and leaf.quoted and body[leaf.start] in "|>":
        return leaf.start + len(body[leaf.start : leaf.end].rstrip())
    return node.end


def _last_leaf(node: tree.Node) -> tree.Node:
    while True:
        if isinstance(node, tree.Mapping) and node.entries and node.entries[-1].value.end == node.end:
            node = node.entries[-1].value
        elif isinstance(node, tree.Sequence) and node.items and node.items[-1].end == node.end:
            node = node.items[-1]
        else:
            return node


def past_line(body: str, node: tree.Node) -> int:
    """Return where the line after a node's last begins."""
    end = body.find("\n", content_end(body, node))
    return len(body) if end < 0 else end + 1


def line_begin(body: str, at: int) -> int:
    """Return where the line begins that an offset lies in."""
    return body.rfind("\n", 0, at) + 1


def line_end(body: str, at: int) -> int:
    """Return the offset of the line break that ends a line, a carriage return before it included."""
    end = body.find("\n", at)
    end = len(body) if end < 0 else end
    return end - 1 if end > at and body[end - 1] == "\r" else end
