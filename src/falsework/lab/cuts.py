"""Which characters go and which come when something is added to a lab file or taken out of it?"""

import re
from collections.abc import Iterable, Sequence

from falsework.lab import tree
from falsework.lab.find import Piece, Spot, is_flow, line_begin, line_end, pieces_of
from falsework.lab.quote import Value, written, written_key

Cut = tuple[int, int, str]
"""From where, to where, and what comes in its place."""

Cuts = list[Cut]


def block_removal(body: str, pieces: Sequence[Piece], at: int) -> Cut:
    """Return what goes with one of several pieces, each on lines of its own."""
    piece = pieces[at]
    begin = line_begin(body, piece.start)
    if not body[begin : piece.start].strip():
        end = body.find("\n", piece.end)
        return (begin, len(body) if end < 0 else end + 1, "")
    # It shares its first line with a dash before it, as in "- a: 1".
    if at + 1 < len(pieces):
        return (piece.start, pieces[at + 1].start, "")
    return (piece.start, piece.end, "")


def flow_removal(body: str, parent: tree.Node, pieces: Sequence[Piece], at: int) -> Cut:
    """Return what goes with one of several pieces between brackets or braces; one comma goes with it."""
    piece = pieces[at]
    begin, end = line_begin(body, piece.start), line_end(body, piece.end)
    rest = body[piece.end : end].strip()
    alone = begin > parent.start and not body[begin : piece.start].strip()
    if alone and re.fullmatch(r",?\s*(#.*)?", rest) and end < parent.end:
        return (begin, min(body.index("\n", end) + 1, len(body)), "")
    if at + 1 < len(pieces):
        return (piece.start, pieces[at + 1].start, "")
    if at > 0:
        return (pieces[at - 1].end, piece.end, "")
    comma = re.compile(r"\s*,").match(body, piece.end)
    return (piece.start, comma.end() if comma else piece.end, "")


def additions(
    body: str, spot: Spot, node: tree.Node, key: str, value: Value, *, is_root: bool
) -> Iterable[Cuts]:
    """Return ways to add a key, the nicest first."""
    plain = f"{written_key(key)}: {written(value, in_flow=False)}"
    flow = f"{written_key(key)}: {written(value, in_flow=True)}"
    if isinstance(node, tree.Mapping) and not is_flow(body, node) and not spot.in_flow:
        pieces = pieces_of(body, node)
        column = node.entries[0].key.where.column - 1
        padded = f"{written_key(key)}:{_padding(node, key)}{written(value, in_flow=False)}"
        if is_root:
            ending, end = newline(body), body[node.end :]
            if all(not line.strip() or line.lstrip().startswith("#") for line in end.split("\n")[1:]):
                gap = "" if body.endswith("\n") else ending
                if len(node) > 1 and _has_blank_above(body, node.entries[-1].key.start):
                    yield [(len(body), len(body), f"{gap}{ending}{padded}{ending}")]
                yield [(len(body), len(body), f"{gap}{padded}{ending}")]
        yield [_new_line(body, pieces[-1].end, " " * column + padded)]
        yield [_new_line(body, pieces[-1].end, " " * column + plain)]
    elif isinstance(node, tree.Mapping):
        yield from _flow_additions(body, node, flow)
    elif spot.in_flow:
        yield [(node.start, node.start, f" {{{flow}}}")]
    else:
        yield from _below_empty(body, spot, node, plain, flow="{" + flow + "}")


def item_additions(body: str, spot: Spot, node: tree.Node, value: Value) -> Iterable[Cuts]:
    """Return ways to add an entry to a list, the nicest first."""
    plain, flow = written(value, in_flow=False), written(value, in_flow=True)
    if isinstance(node, tree.Sequence) and not is_flow(body, node):
        pieces = pieces_of(body, node)
        begin = pieces[-1].start
        column = begin - line_begin(body, begin)
        gap = re.compile(r"- *").match(body, pieces[0].start)
        dash = gap[0] if gap and gap[0].endswith(" ") else "- "
        yield [_new_line(body, pieces[-1].end, f"{' ' * column}{dash}{plain}")]
        yield [_new_line(body, pieces[-1].end, f"{' ' * column}- {plain}")]
    elif isinstance(node, tree.Sequence):
        yield from _flow_additions(body, node, flow)
    elif spot.in_flow:
        yield [(node.start, node.start, f" [{flow}]")]
    else:
        yield from _below_empty(body, spot, node, f"- {plain}", flow=f"[{flow}]")


def _below_empty(body: str, spot: Spot, node: tree.Node, plain: str, *, flow: str) -> Iterable[Cuts]:
    """Fill a key that has nothing yet: on the next line, else behind the colon."""
    if spot.entry is not None:
        column = spot.entry.key.where.column + 1
        yield [_new_line(body, node.end, " " * column + plain)]
    yield [(node.start, node.start, f" {flow}")]


def _flow_additions(body: str, node: tree.Mapping | tree.Sequence, said: str) -> Iterable[Cuts]:
    pieces = pieces_of(body, node)
    if not pieces:
        yield [(node.start + 1, node.start + 1, said)]
        return
    last = pieces[-1]
    comma = re.compile(r"\s*,").match(body, last.end)
    begin = line_begin(body, last.start)
    if begin > node.start and not body[begin : last.start].strip():
        # One to a line: keep it so, and let a comment stay with the entry it stands behind.
        line = body[begin : last.start] + said + ("," if comma else "")
        fresh = _new_line(body, last.end, line)
        if fresh[0] < node.end:
            yield [fresh] if comma else [(last.end, last.end, ","), fresh]
    if comma:
        yield [(comma.end(), comma.end(), f" {said}")]
    yield [(last.end, last.end, f", {said}")]


def _new_line(body: str, after: int, line: str) -> Cut:
    """Return the cut that puts a line below the one an offset lies in."""
    end = line_end(body, after)
    return (end, end, newline(body) + line)


def newline(body: str) -> str:
    """Return what ends the lines of a text."""
    first = body.find("\n")
    return "\r\n" if first > 0 and body[first - 1] == "\r" else "\n"


def _has_blank_above(body: str, at: int) -> bool:
    """Whether a blank line parts what begins at an offset, its comments included, from what is above."""
    lines = body[: line_begin(body, at)].split("\n")[:-1]
    while lines and lines[-1].lstrip().startswith("#"):
        lines.pop()
    return bool(lines) and not lines[-1].strip()


def _padding(node: tree.Mapping, key: str) -> str:
    """Return the spaces after a colon that keep a column of values in line."""
    columns = {
        (entry.value.where.column - entry.key.where.column)
        for entry in node.entries
        if entry.value.where.line == entry.key.where.line and entry.value.end > entry.value.start
    }
    room = min(columns) - len(written_key(key)) - 1 if len(columns) == 1 and len(node.entries) > 1 else 1
    return " " * max(room, 1)
