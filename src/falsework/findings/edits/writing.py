"""How is one key of one thing of a lab changed in the owner's own text?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from falsework.errors import QuestionError
from falsework.lab import tree
from falsework.lab.edit import add_entry, add_item, remove, set_value
from falsework.lab.find import find
from falsework.lab.quote import Value
from falsework.lab.read import read_text
from falsework.model.declare import Record
from falsework.model.lab import Lab
from falsework.model.parts import Thing
from falsework.model.sections import SECTIONS
from falsework.where import Where

Texts = Mapping[str, str]
Way = tuple[str | int, ...]

SHORT = {each.name: each.short for each in SECTIONS}
"""The key that a plain text or list stands for, by section; where that is a kind, a word for what it is may stand there too."""
FEWEST = 3
"""Steps to a key of a thing: its section, its name, the key. What is removed takes none of the first two along."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """One change to a lab file.

    Attributes:
        says: what it does, in a clause: `feed nas-1 from strip-2 too`.
        texts: the text of every file with it.
        assumes: what it costs, or takes for granted, in clauses.
        caution: what to mind where hands or data can be hurt.
        sort: what it is one way of, where there are many alike: of those one is offered.
    """

    says: str
    texts: Texts
    assumes: tuple[str, ...] = ()
    caution: str = ""
    sort: str = ""


def put(texts: Texts, thing: Record, name: str, value: Value) -> Texts:
    """The texts with another value of a thing's key, given as in the file; set where it is written, else added.

    What a kind says of it is left alone: the thing says it for itself then, if it has an entry of its own.

    Raises:
        QuestionError: it can't be done without touching more.
    """
    where = thing.where
    own = way_to(texts, where)
    attribute = name.replace(" ", "_")
    said = next((thing.places[each] for each in (attribute, f"{attribute}_") if each in thing.places), None)
    if said is not None:
        way = way_to(texts, said)
        if way[: len(own)] == own and said.file == where.file:
            return _with(texts, said.file, set_value(texts[said.file], way, value, name=said.file))
    entry = _at(texts[where.file], where.file, own)
    if isinstance(entry, tree.Mapping):
        return _with(texts, where.file, add_entry(texts[where.file], own, name, value, name=where.file))
    short = SHORT.get(str(own[0])) if len(own) == 2 else None
    if short == "kind" and not getattr(thing, "kind_name", ""):
        short = "is"
    if short is not None:
        both: Value = value if name == short else {short: _plain(entry), name: value}
        return _with(texts, where.file, set_value(texts[where.file], own, both, name=where.file))
    if said is not None:
        way = way_to(texts, said)  # a kind says it, and the thing has no entry to say it otherwise
        return _with(texts, said.file, set_value(texts[said.file], way, value, name=said.file))
    raise QuestionError("it has no entry of its own", "Write it by hand.")


def put_at(texts: Texts, where: Where, value: Value) -> Texts:
    """The texts with another value at a place."""
    return _with(
        texts, where.file, set_value(texts[where.file], way_to(texts, where), value, name=where.file)
    )


def put_under(texts: Texts, where: Where, name: str, value: Value) -> Texts:
    """The texts with one more key in the mapping at a place."""
    return _with(
        texts, where.file, add_entry(texts[where.file], way_to(texts, where), name, value, name=where.file)
    )


def put_in_section(texts: Texts, section: str, name: str, value: Value) -> Texts:
    """The texts with one more entry in a section; in the file that has it, else at the end of the last one."""
    for file, text in texts.items():
        if _root(text, file).entry(section) is not None:
            return _with(texts, file, add_entry(text, (section,), name, value, name=file))
    file = list(texts)[-1]
    return _with(texts, file, add_entry(texts[file], (), section, {name: value}, name=file))


def longer(texts: Texts, where: Where, names: Sequence[str]) -> Texts:
    """The texts with more names at a place that holds one or a list."""
    for name in names:
        way = way_to(texts, where)
        text = texts[where.file]
        node = _at(text, where.file, way)
        if isinstance(node, tree.Sequence):
            texts = _with(texts, where.file, add_item(text, way, name, name=where.file))
        else:
            both: Value = [_plain(node), name]
            texts = _with(texts, where.file, set_value(text, way, both, name=where.file))
    return texts


def appended(texts: Texts, where: Where, value: Value) -> Texts:
    """The texts with one more value at a place that holds one or a list of any."""
    way = way_to(texts, where)
    text = texts[where.file]
    if isinstance(_at(text, where.file, way), tree.Sequence):
        return _with(texts, where.file, add_item(text, way, value, name=where.file))
    return put_at(texts, where, [said_at(texts, where), value])


def removed(texts: Texts, where: Where) -> Texts:
    """The texts without the value at a place, and without what would be empty then.

    Raises:
        QuestionError: it can't be done without touching more.
    """
    way = way_to(texts, where)
    text = texts[where.file]
    while len(way) > 1:
        around = _at(text, where.file, way[:-1])
        held = around.entries if isinstance(around, tree.Mapping) else getattr(around, "items", ())
        if len(held) > 1 or len(way) <= FEWEST:
            break
        way = way[:-1]
    return _with(texts, where.file, remove(text, way, name=where.file))


def said_at(texts: Texts, where: Where) -> Value:
    """What is written at a place, as it could be written again."""
    return _as_value(tree.plain(_at(texts[where.file], where.file, way_to(texts, where))))


def _as_value(plain: object) -> Value:
    if isinstance(plain, Mapping):
        return {str(name): _as_value(each) for name, each in plain.items()}
    if isinstance(plain, list):
        return [_as_value(each) for each in plain]
    return str(plain)


def listed_at(texts: Texts, where: Where, names: Sequence[str]) -> Texts:
    """The texts with these names at a place; those that stay as they are are not touched."""
    way = way_to(texts, where)
    node = _at(texts[where.file], where.file, way)
    text = texts[where.file]
    if isinstance(node, tree.Sequence) and len(node.items) == len(names):
        for number, (item, name) in enumerate(zip(node.items, names, strict=True)):
            if tree.plain(item) != name:
                text = set_value(text, (*way, number), name, name=where.file)
        return _with(texts, where.file, text)
    value: Value = list(names) if len(names) > 1 else names[0]
    return _with(texts, where.file, set_value(text, way, value, name=where.file))


def list_around(texts: Texts, where: Where) -> Where:
    """The place of the list that a value is an entry of.

    Raises:
        QuestionError: it is in none.
    """
    way = way_to(texts, where)
    at = next((number for number in range(len(way), 0, -1) if isinstance(way[number - 1], int)), 0)
    if not at:
        raise QuestionError("it is in no list", "Write it by hand.")
    return _at(texts[where.file], where.file, way[: at - 1]).where


def text_at(texts: Texts, where: Where) -> str | None:
    """What is written at a place, if it is a single value."""
    node = _at(texts[where.file], where.file, way_to(texts, where))
    return node.text if isinstance(node, tree.Scalar) else None


def careful(edits: Iterator[Edit]) -> Iterator[Edit]:
    """Edits as they come; where one can't be written, those behind it are not."""
    while True:
        try:
            edit = next(edits, None)
        except QuestionError:
            return
        if edit is None:
            return
        yield edit


def alike(lab: Lab, thing: Thing) -> tuple[str, ...]:
    """Who else the entry of a thing is about, as `desk-1..2: {...}` is about two; itself included."""
    return tuple(each.id for each in lab.things.values() if each.where == thing.where and each.IS == thing.IS)


def touched(lab: Lab, thing: Thing, name: str) -> tuple[str, ...]:
    """Whom `put` changes with a thing: those of its entry, or all of the kind that says it where it has none.

    Raises:
        QuestionError: its text is not at hand.
    """
    own = way_to(lab.files, thing.where)
    entry = _at(lab.files[thing.where.file], thing.where.file, own)
    said = thing.places.get(name.replace(" ", "_"))
    if said is None or isinstance(entry, tree.Mapping) or way_to(lab.files, said)[: len(own)] == own:
        return alike(lab, thing)
    return tuple(each.id for each in lab.things.values() if each.places.get(name.replace(" ", "_")) == said)


def way_to(texts: Texts, where: Where) -> Way:
    """The way to the value at a place.

    Raises:
        QuestionError: its text is not at hand, or nothing begins there.
    """
    if where.file not in texts:
        raise QuestionError("its text is not at hand", "Write it by hand.")
    way = _ways(texts[where.file], where.file).get((where.line, where.column))
    if way is None:
        raise QuestionError("it has no place of its own in the file", "Write it by hand.")
    return way


@lru_cache(maxsize=64)
def _ways(text: str, file: str) -> Mapping[tuple[int, int], Way]:
    """The way to every value of a file, by its line and column; of values that begin together the outermost."""
    found: dict[tuple[int, int], Way] = {}
    waiting: list[tuple[Way, tree.Node]] = [((), _root(text, file))]
    for way, node in waiting:
        found.setdefault((node.where.line, node.where.column), way)
        if isinstance(node, tree.Mapping):
            waiting.extend(((*way, entry.key.text), entry.value) for entry in node.entries)
        elif isinstance(node, tree.Sequence):
            waiting.extend(((*way, number), item) for number, item in enumerate(node.items))
    return found


@lru_cache(maxsize=64)
def _root(text: str, file: str) -> tree.Mapping:
    return read_text(text, file).root


def _at(text: str, file: str, way: Way) -> tree.Node:
    return find(text, _root(text, file), way).node


def _plain(node: tree.Node) -> Value:
    plain = tree.plain(node)
    return [str(each) for each in plain] if isinstance(plain, list) else str(plain)


def _with(texts: Texts, file: str, text: str) -> Texts:
    return {**texts, file: text}
