"""Which needs may be missing, may not be needs, or may hold longer or shorter than the file says?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.analyses.comparing import Wrong
from falsework.errors import QuestionError, few
from falsework.findings.edits.writing import (
    Edit,
    Texts,
    alike,
    appended,
    put,
    put_at,
    put_under,
    removed,
    said_at,
)
from falsework.findings.explaining.scene import Change, Seen, written_time
from falsework.lab.quote import Value
from falsework.model.needs import Need
from falsework.model.parts import Thing, ThingId
from falsework.model.services import Copy, Service

LATE_S = 5.0
"""What falls no later than this after another thing falls with it."""
OTHERS = 4
"""Alternatives that are thought of for a need."""
KINDS = ("run_and_start", "to_run", "to_start", "to_take_over")


def missing(seen: Seen, *, kinds: tuple[str, ...], rank: int) -> Iterator[Change]:
    """A need of the thing that is not written down, for each thing that was gone."""
    thing = seen.lab.things.get(ThingId(seen.line.thing))
    if thing is None:
        return
    bearers = [thing]
    if isinstance(thing, Service) and (len(seen.copies(thing)) == 1 or thing.serves == "all"):
        # Where any copy will do, no need of one host explains it.
        bearers += [seen.lab.things[ThingId(copy.host)] for copy in seen.copies(thing)]
    for number, bearer in enumerate(dict.fromkeys(each.id for each in bearers)):
        who = seen.lab.things[bearer]
        if who.id in seen.comparison.lost:
            continue
        for kind in kinds:
            if number and kind == "to_take_over":
                continue
            for on in seen.gone:
                if on.id == who.id or _is_needed(who, kind, on.id):
                    continue
                late_s = seen.line.falls_s - seen.falls_s(on.id)
                holds = ("", written_time(late_s)) if LATE_S < late_s < float("inf") else ("",)
                for hold in holds[-1:] if seen.line.wrong is Wrong.FELL else holds[:1]:
                    # What leans on each other is odd enough to be thought of later.
                    odd = 2 if seen.leans(on.id, who.id) else 0
                    yield from _with(seen, who, kind, on.id, hold, rank + number + odd)


def _is_needed(who: Thing, kind: str, name: str) -> bool:
    needs = who.needs
    return needs is not None and any(name in need.of.ids for need in getattr(needs, kind))


def _with(seen: Seen, who: Thing, kind: str, on: str, hold: str, rank: int) -> Iterator[Change]:
    value = f"{on} for {hold}" if hold else on
    when = {
        "run_and_start": "",
        "to_run": " to run",
        "to_start": " to start",
        "to_take_over": " to take over",
    }
    try:
        texts = _added(seen.lab.files, who, kind, value)
    except QuestionError:
        return
    of = few(alike(seen.lab, who))
    says = f"let {of} need {on}{when[kind]}" + (f", and do without it for {hold}" if hold else "")
    yield Change(edit=Edit(says=says, texts=texts), rank=rank)


def _added(texts: Texts, thing: Thing, kind: str, value: str) -> Texts:
    """The texts with one need more, in the form in which needs are written there."""
    where = thing.places.get("needs")
    key = kind.replace("_", " ")
    plain = kind == "run_and_start"
    if where is None:
        return put(texts, thing, "needs", [value] if plain else {key: [value]})
    needs = thing.needs
    assert needs is not None
    said = needs.places.get(kind)
    if said is not None and said != where:
        return appended(texts, said, value)
    if "run_and_start" in needs.places and needs.places["run_and_start"] == where and not plain:
        both: Value = {"run and start": said_at(texts, where), key: [value]}
        return put_at(texts, where, both)
    if plain and said is not None:
        return appended(texts, where, value)
    return put_under(texts, where, key, [value])


def written(seen: Seen) -> Iterator[tuple[Thing, str, Need]]:
    """The needs of the thing, and of all that it leans on, of something that was gone; its own first."""
    told = set()
    for thing in seen.under:
        if isinstance(thing, Copy) or thing.needs is None:
            continue
        for kind in KINDS:
            for need in getattr(thing.needs, kind):
                # Who knows one address may miss a service that stands.
                missed = bool(need.at) or bool(set(need.of.ids) & seen.gone_names)
                if need.where not in told and not need.soft and missed:
                    told.add(need.where)
                    yield thing, kind, need


def other_holds(seen: Seen, *, rank: int) -> Iterator[Change]:
    """The hold of a need shorter or longer, so that it ends when the thing was seen to fall."""
    falls_s = seen.line.falls_s
    for thing, kind, need in written(seen):
        if kind in ("to_start", "to_take_over"):
            continue
        fell_s = [seen.falls_s(name) for name in need.of.ids if name in seen.gone_names] or [0.0]
        if falls_s == float("inf"):
            # It held out to the end, or for as long as what it needs was gone.
            lasts_s = {seen.line.foretold.lasts_within[1]} - {0.0, float("inf")}
            ends = {seen.window_s, *lasts_s}
        else:
            ends = {falls_s - each for each in fell_s}
        for hold_s in sorted(ends, reverse=True):
            if hold_s < 0 or (need.for_ or 0.0) == hold_s:
                continue
            hold = written_time(hold_s) if hold_s > LATE_S else ""
            what = few(need.of.ids)
            how = f"do without {what} for {hold}" if hold else f"not do without {what}"
            if falls_s == float("inf"):
                how += " at least"
            yield from _valued(seen, thing, need, rank, f"let {few(alike(seen.lab, thing))} {how}", for_=hold)


def not_needed(seen: Seen, *, rank: int) -> Iterator[Change]:
    """A need that is none, or one that counts only to start."""
    for thing, kind, need in written(seen):
        of, what = few(alike(seen.lab, thing)), few(need.of.ids)
        try:
            texts = removed(seen.lab.files, need.where)
        except QuestionError:
            continue
        yield Change(edit=Edit(says=f"let {of} not need {what}", texts=texts), rank=rank)
        for other in ("to_start", "to_run"):
            if kind == "run_and_start":
                yield from _moved(seen, thing, need, other, rank + 1)


def _moved(seen: Seen, thing: Thing, need: Need, kind: str, rank: int) -> Iterator[Change]:
    """A need that counts every moment and to start made one that counts for one of these."""
    where = thing.places.get("needs")
    needs = thing.needs
    if where is None or needs is None or needs.places.get("run_and_start") != where:
        return
    value = _value(need, need.of.ids, None)
    left = [_value(each, each.of.ids, None) for each in needs.run_and_start if each is not need]
    whole: Value = {kind.replace("_", " "): [value], **({"run and start": left} if left else {})}
    try:
        texts = put_at(seen.lab.files, where, whole)
    except QuestionError:
        return
    when = "only to start" if kind == "to_start" else "only to run"
    says = f"let {few(alike(seen.lab, thing))} need {few(need.of.ids)} {when}"
    yield Change(edit=Edit(says=says, texts=texts), rank=rank)


def alternatives(seen: Seen, *, rank: int) -> Iterator[Change]:
    """Another thing of the same sort that would do as well."""
    for thing, _, need in written(seen):
        words = {seen.lab.things[ThingId(name)].IS for name in need.of.ids}
        others = [
            each.id
            for each in seen.lab.things.values()
            if each.IS in words
            and each.id not in need.of.ids
            and each.id not in seen.gone_names
            and each.id != thing.id
        ]
        for other in others[:OTHERS]:
            says = f"let {few(alike(seen.lab, thing))} do with {other} instead of {few(need.of.ids)}"
            yield from _valued(seen, thing, need, rank, says, of=(*need.of.ids, other))


def _valued(
    seen: Seen,
    thing: Thing,
    need: Need,
    rank: int,
    says: str,
    *,
    for_: str | None = None,
    of: tuple[str, ...] | None = None,
) -> Iterator[Change]:
    try:
        texts = put_at(seen.lab.files, need.where, _value(need, of or need.of.ids, for_))
    except QuestionError:
        return
    yield Change(edit=Edit(says=says, texts=texts), rank=rank)


def _value(need: Need, of: tuple[str, ...], for_: str | None) -> Value:
    """A need as it is written, short where it can be; `for_` of None keeps its hold, an empty one takes it away."""
    hold = (written_time(need.for_) if need.for_ else "") if for_ is None else for_
    if len(of) == 1 and len(need.at) <= 1 and not need.soft and (need.enough or 1) == 1:
        return of[0] + (f" at {need.at[0]}" if need.at else "") + (f" for {hold}" if hold else "")
    value: dict[str, Value] = {"of": list(of) if len(of) > 1 else of[0]}
    if need.enough:
        value["enough"] = str(need.enough)
    if hold:
        value["for"] = hold
    if need.at:
        value["at"] = list(need.at)
    if need.soft:
        value["soft"] = "yes"
    return value
