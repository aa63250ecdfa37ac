"""How is one thing in a lab file changed while everything its owner wrote around it stays?

A change cuts and pastes at the offsets of the tree, so comments, blank lines, order and alignment elsewhere
stay as they are, byte for byte.
Afterwards the text is read again, and anything but the change asked for refuses it.
"""

from collections.abc import Iterable

from falsework.errors import LabError, QuestionError, shortened
from falsework.lab import tree
from falsework.lab.cuts import Cut, Cuts, additions, block_removal, flow_removal, item_additions
from falsework.lab.find import Path, content_end, find, is_block, line_begin, past_line, pieces_of, way
from falsework.lab.quote import LONGEST_KEY, Value, written
from falsework.lab.read import read_text
from falsework.lab.save import difference as difference
from falsework.lab.save import write_safely as write_safely
from falsework.lab.shape import Shape, shape, shape_of, with_value, without

_MARK = "\ufeff"


def set_value(text: str, path: Path, value: Value, *, name: str = "lab.yaml") -> str:
    """Return the text with another value at a path.

    Args:
        text: a whole lab file, free of faults.
        path: the way to an existing value.
        value: text is quoted where it must be; lists and keys are written on one line.
        name: how the file is called in messages.

    Raises:
        LabError: the text as it is has faults.
        QuestionError: there is no such place, or the change cannot be made without touching more.
    """
    mark, body, root = opened(text, name)
    if not path:
        raise QuestionError("the whole file cannot be one value", "Name a place in it.")
    spot = find(body, root, path)
    said = written(value, in_flow=spot.in_flow)
    node = spot.node
    if isinstance(node, tree.Scalar) and node.is_empty:
        keyless = spot.entry is not None and node.start == spot.entry.key.end
        cuts = [(node.start, node.start, f": {said}" if keyless else f" {said}")]
    elif spot.entry is not None and is_block(body, node) and not spot.in_flow:
        # Its lines go, and the value takes its place behind the colon, before a comment that may stand there.
        after_colon = body.index(":", spot.entry.key.end) + 1
        cuts = [
            (after_colon, after_colon, f" {said}"),
            (line_begin(body, node.start), past_line(body, node), ""),
        ]
    else:
        cuts = [(node.start, content_end(body, node), said)]
    return mark + checked(body, spliced(body, cuts), name, with_value(shape(root), path, shape_of(value)))


def add_entry(text: str, path: Path, key: str, value: Value, *, name: str = "lab.yaml") -> str:
    """Return the text with one more key, last among its neighbours and written as they are.

    Args:
        text: a whole lab file, free of faults.
        path: the way to the keys it joins; () for a new section at the end of the file.
        key: one that is not there yet.
        value: as for `set_value`.
        name: how the file is called in messages.

    Raises:
        LabError: the text as it is has faults.
        QuestionError: there is no such place, the key is there already, or the change cannot be made.
    """
    mark, body, root = opened(text, name)
    spot = find(body, root, path)
    if len(key) > LONGEST_KEY or not key.strip() or "\n" in key:
        raise QuestionError(f"'{shortened(key)}' cannot be a key", "Use a name of one line.")
    node = spot.node
    told: Value = {key: value}
    if isinstance(node, tree.Mapping) and node.entry(key) is not None:
        raise QuestionError(f"'{shortened(key)}' is there already", "Change its value instead.")
    if isinstance(node, tree.Mapping) and node.entries:
        expected = with_value(shape(root), (*path, key), shape_of(value), fresh=True)
    elif isinstance(node, tree.Mapping) or (isinstance(node, tree.Scalar) and node.is_empty):
        expected = with_value(shape(root), path, shape_of(told))
    else:
        raise QuestionError(
            f"{way(path)} holds {tree.sort_of(node)}, not keys", "Name a place that holds keys."
        )
    candidates = additions(body, spot, node, key, value, is_root=not path)
    return mark + _first_good(body, candidates, name, expected)


def add_item(text: str, path: Path, value: Value, *, name: str = "lab.yaml") -> str:
    """Return the text with one more entry at the end of a list, written as the others are.

    Args:
        text: a whole lab file, free of faults.
        path: the way to the list.
        value: as for `set_value`.
        name: how the file is called in messages.

    Raises:
        LabError: the text as it is has faults.
        QuestionError: there is no such list, or the change cannot be made.
    """
    mark, body, root = opened(text, name)
    spot = find(body, root, path)
    node = spot.node
    if isinstance(node, tree.Sequence):
        expected = with_value(shape(root), (*path, len(node.items)), shape_of(value), fresh=True)
    elif isinstance(node, tree.Scalar) and node.is_empty:
        expected = with_value(shape(root), path, shape_of([value]))
    else:
        raise QuestionError(
            f"{way(path)} holds {tree.sort_of(node)}, not a list", "Name a place that holds a list."
        )
    return mark + _first_good(body, item_additions(body, spot, node, value), name, expected)


def remove(text: str, path: Path, *, name: str = "lab.yaml") -> str:
    """Return the text without a key and its value, or without an entry of a list.

    Comments on lines of their own stay; those on the lines that go, go with them.

    Args:
        text: a whole lab file, free of faults.
        path: the way to what goes.
        name: how the file is called in messages.

    Raises:
        LabError: the text as it is has faults.
        QuestionError: there is no such place, nothing would be left, or the change cannot be made.
    """
    mark, body, root = opened(text, name)
    if not path or (len(path) == 1 and len(root) == 1):
        raise QuestionError("nothing would be left in the file", "Delete the file instead.")
    spot = find(body, root, path)
    parent = find(body, root, path[:-1])
    pieces = pieces_of(body, parent.node)
    at = next(i for i, piece in enumerate(pieces) if piece.start == spot.start)
    in_flow = spot.in_flow
    cut = flow_removal(body, parent.node, pieces, at) if in_flow else block_removal(body, pieces, at)
    left_empty = len(pieces) == 1 and not in_flow
    expected = with_value(shape(root), path[:-1], ("", False)) if left_empty else without(shape(root), path)
    return mark + checked(body, spliced(body, [cut]), name, expected)


def opened(text: str, name: str) -> tuple[str, str, tree.Mapping]:
    """Return the byte order mark of a text if it has one, the text without it, and its tree.

    Raises:
        LabError: the text has faults.
    """
    mark = _MARK if text.startswith(_MARK) else ""
    body = text.removeprefix(_MARK)
    return mark, body, read_text(body, name).root


def spliced(body: str, cuts: Iterable[Cut]) -> str:
    """Return a text with cuts made that do not overlap."""
    for start, end, said in sorted(cuts, reverse=True):
        body = body[:start] + said + body[end:]
    return body


def _first_good(body: str, candidates: Iterable[Cuts], name: str, expected: Shape) -> str:
    for cuts in candidates:
        changed = spliced(body, cuts)
        if _says(changed, name, expected):
            return changed
    raise _cannot()


def checked(body: str, changed: str, name: str, expected: Shape) -> str:
    """Return the changed text, if it says what it should.

    Raises:
        QuestionError: it says anything else.
    """
    if changed != body and not _says(changed, name, expected):
        raise _cannot()
    return changed


def _says(text: str, name: str, expected: Shape) -> bool:
    try:
        return shape(read_text(text, name).root) == expected
    except LabError:
        return False


def _cannot() -> QuestionError:
    return QuestionError(
        "this change cannot be made without touching what is written around it",
        "Make it by hand in an editor.",
    )
