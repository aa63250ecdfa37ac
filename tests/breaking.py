"""Labs whose file differs from the truth in one point, for tests of what would explain it."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

Data = dict[str, Any]


def _needs(data: Data) -> Iterator[tuple[Data, str, list[Any], int]]:
    """Every need of a service: its holder, the kind, the list it is in, and its number."""
    for thing in (*data["services"].values(), *data["machines"].values()):
        needs = thing.get("needs")
        kinds = needs if isinstance(needs, dict) else {"": needs} if needs else {}
        for kind, listed in kinds.items():
            for number in range(len(listed)):
                yield thing, kind, listed, number


def _without(thing: Data, kind: str, listed: list[Any], number: int) -> None:
    del listed[number]
    if not listed:
        if kind:
            del thing["needs"][kind]
        if not kind or not thing["needs"]:
            del thing["needs"]


def _of(need: Any) -> Data:
    if isinstance(need, dict):
        return dict(need)
    of, _, hold = need.partition(" for ")
    return {"of": [of], **({"for": hold} if hold else {})}


def variants(kind: str, data: Data) -> Iterator[tuple[Data, Data]]:
    """Pairs of a lab that is true and a file that is wrong about it in one point.

    Args:
        kind: one of `KINDS`.
        data: a lab as plain data.
    """
    yield from _VARIANTS[kind](data)


def _changed(data: Data, number: int, change: Any) -> Data:
    """A copy of a lab with one need changed in place."""
    other = copy.deepcopy(data)
    change(*list(_needs(other))[number])
    return other


def _missing(data: Data) -> Iterator[tuple[Data, Data]]:
    for number, (thing, kind, _, _) in enumerate(list(_needs(data))):
        if kind != "to take over" and "is" not in thing:
            yield data, _changed(data, number, _without)


def _no_take_over(data: Data) -> Iterator[tuple[Data, Data]]:
    for number, (_, kind, _, _) in enumerate(list(_needs(data))):
        if kind == "to take over":
            yield data, _changed(data, number, _without)


def _none_such(data: Data) -> Iterator[tuple[Data, Data]]:
    for true, said in (*_missing(data), *_no_take_over(data)):
        yield said, true


def _hold(hold: str) -> Any:
    def change(thing: Data, kind: str, listed: list[Any], number: int) -> None:
        need = _of(listed[number])
        need.pop("for", None)
        listed[number] = need | ({"for": hold} if hold else {})

    return change


def _holds(*pairs: tuple[str, str]) -> Any:
    def found(data: Data) -> Iterator[tuple[Data, Data]]:
        for number, (_, kind, _, _) in enumerate(list(_needs(data))):
            if kind in ("", "to run"):
                for truth, said in pairs:
                    yield _changed(data, number, _hold(truth)), _changed(data, number, _hold(said))

    return found


def _service(key: str, truth: Any, said: Any, *, when: Any = None, section: str = "services") -> Any:
    def found(data: Data) -> Iterator[tuple[Data, Data]]:
        for name, thing in data.get(section, {}).items():
            if when is not None and not when(thing):
                continue
            pair = []
            for value in (truth, said):
                other = copy.deepcopy(data)
                made = value(thing) if callable(value) else value
                if made is None:
                    other[section][name].pop(key, None)
                else:
                    other[section][name][key] = made
                pair.append(other)
            yield pair[0], pair[1]

    return found


def _alternative(data: Data) -> Iterator[tuple[Data, Data]]:
    for number, (_, kind, listed, at) in enumerate(list(_needs(data))):
        need = _of(listed[at])
        of = need["of"] if isinstance(need["of"], list) else [need["of"]]
        if len(of) == 2 and kind != "to take over" and "enough" not in need:

            def change(thing: Data, kind: str, listed: list[Any], number: int, of: list[str] = of) -> None:
                listed[number] = {**_of(listed[number]), "of": of[:1]}

            yield data, _changed(data, number, change)


def _elsewhere(data: Data) -> Iterator[tuple[Data, Data]]:
    nodes = [name for name, thing in data["machines"].items() if thing.get("is") == "node"]
    for name, thing in data["services"].items():
        if isinstance(thing["on"], list):
            for other in nodes:
                if other not in thing["on"]:
                    said = copy.deepcopy(data)
                    said["services"][name]["on"][0] = other
                    yield data, said


def _fed(data: Data) -> Iterator[tuple[Data, Data]]:
    for name, thing in data["machines"].items():
        if len(thing.get("fed by", [])) == 2 and "enough" not in thing:
            for source in thing["fed by"]:
                true = copy.deepcopy(data)
                true["machines"][name]["fed by"] = [source]
                yield true, data


def _several(thing: Data) -> bool:
    return (
        thing.get("serves") == "any"
        and isinstance(thing["on"], list)
        and len(thing["on"]) > 1
        and "floats" not in thing
    )


def _moves(thing: Data) -> bool:
    return "takes over" in thing


def _floating(thing: Data) -> bool:
    return "floats" in thing and "takes over" not in thing


def _in(seconds: str) -> Any:
    return lambda thing: f"{thing['floats'].partition(' in ')[0]} in {seconds}"


_VARIANTS: dict[str, Any] = {
    "a need that is not written down": _missing,
    "a take-over that needs what is lost with it": _no_take_over,
    "a need that is none": _none_such,
    "a hold that is shorter": _holds(("40 s", "10 min")),
    "a hold that is longer": _holds(("20 min", "20 s"), ("5 min", "")),
    "a take-over that takes longer": _service("takes over", "3 min", "20 s", when=_moves),
    "a take-over that is quicker": _service("takes over", "10 s", "3 min", when=_moves),
    "a take-over that is not written down": _service("takes over", "30 s", None, when=_several),
    "a floating address that moves slower": _service("floats", _in("90 s"), _in("4 s"), when=_floating),
    "a restart that takes longer": _service("restarts in", "5 min", "30 s", section="pools"),
    "an alternative that is not written down": _alternative,
    "a copy that is elsewhere": _elsewhere,
    "a plug that is elsewhere": _fed,
}
KINDS = tuple(_VARIANTS)
