"""What would a tree say after a change, places left aside?

Made from the tree before and the change alone, so that it can judge the text that came out.
"""

from collections.abc import Mapping

from falsework.lab import tree
from falsework.lab.find import Path
from falsework.lab.quote import Value

Shape = tuple[object, ...]
"""Text and whether it was meant; or the kind, and what it holds in order."""


def shape(node: tree.Node) -> Shape:
    """Return what a tree says, places left out, order kept."""
    if isinstance(node, tree.Scalar):
        return (node.text, not node.is_empty)
    if isinstance(node, tree.Sequence):
        return ("list", tuple(shape(item) for item in node.items), None)
    return ("keys", tuple((e.key.text, shape(e.value)) for e in node.entries), None)


def shape_of(value: Value) -> Shape:
    """Return what a value will say once it stands in the file."""
    if isinstance(value, str):
        return (value, True)
    if isinstance(value, Mapping):
        return ("keys", tuple((key, shape_of(inner)) for key, inner in value.items()), None)
    return ("list", tuple(shape_of(item) for item in value), None)


def with_value(shape: Shape, path: Path, new: Shape, *, fresh: bool = False) -> Shape:
    """Return a shape with another one at a path; `fresh` puts it last, where nothing was."""
    return _changed(shape, path, new, fresh=fresh)


def without(shape: Shape, path: Path) -> Shape:
    """Return a shape without what a path leads to."""
    return _changed(shape, path, None, fresh=False)


def _changed(shape: Shape, path: Path, new: Shape | None, *, fresh: bool) -> Shape:
    if not path:
        return new or ()
    step, rest = path[0], path[1:]
    kind, inner = shape[0], shape[1]
    if not isinstance(inner, tuple):
        raise AssertionError("a path was found that leads through a single value")
    parts: list[object] = []
    for place, part in enumerate(inner):
        name, held = (place, part) if kind == "list" else part
        if name != step and str(name) != str(step):
            parts.append(part)
        elif rest or new is not None:
            under = _changed(held, rest, new, fresh=fresh)
            parts.append(under if kind == "list" else (name, under))
    if fresh and not rest and new is not None:
        parts.append(new if kind == "list" else (step, new))
    return (kind, tuple(parts), None)
