"""How does what drills taught get into the owner's own file, comments kept?"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from falsework import units
from falsework.analyses.learning import Counted, Counts, Learnt, Proof, Update
from falsework.errors import QuestionError
from falsework.findings.edits.writing import Texts, alike, appended, put, put_at, put_under, said_at
from falsework.findings.explaining.scene import written_time
from falsework.lab.quote import Value
from falsework.lab.read import read_texts
from falsework.lab.save import Changes, changes_of
from falsework.model.build import build
from falsework.model.lab import Lab
from falsework.model.parts import Thing, ThingId
from falsework.model.services import Data
from falsework.model.simple import Seen
from falsework.model.stumbling import Stumbled
from falsework.model.timed import Timing
from falsework.model.timing import timed_of
from falsework.units import Dimension
from falsework.where import Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One change of the files.

    Attributes:
        of: what it is about.
        by_hand: what would be written by hand instead.
        at: the place that it changes, or behind which it adds something.
        make: the files with it.
    """

    of: str
    by_hand: str
    at: Where
    make: Callable[[Texts], Texts]


def taught(lab: Lab, learnt: Learnt) -> Changes:
    """The lab's files with everything that was learnt, and what has to be written by hand.

    Args:
        lab: as it was read.
        learnt: of it.

    Raises:
        LabError: the lab would have a fault then.
    """
    steps = [
        *_updates(lab, learnt.updates),
        *_proofs(lab, learnt.proofs),
        *_counts(lab, learnt.counts),
        *_stumbles(lab, learnt.stumbles),
    ]
    texts, left = lab.files, []
    # The last place first: what is changed moves nothing that stands before it.
    for step in sorted(steps, key=lambda each: (each.at.file, each.at.line, each.at.column), reverse=True):
        try:
            texts = step.make(texts)
        except QuestionError:
            left.append((step.of, f"write {step.by_hand} by hand"))
    build(read_texts(texts))
    return changes_of(lab.files, texts, left)


def timing_words(timing: Timing) -> str:
    """A measured time as it stands in the file."""
    return written_time(timing.took_s) + (f" on {timing.on}" if timing.on else "")


def seen_words(seen: Seen) -> str:
    """A count as it stands in the file."""
    until = f" until {seen.until}" if seen.until else ""
    return f"{seen.failures} in {units.format(seen.watched_s, Dimension.TIME)}{until}"


def stumbled_words(stumbled: Stumbled) -> str:
    """A count of take-overs as it stands in the file."""
    return f"{stumbled.failed} of {stumbled.of}" + (f" until {stumbled.until}" if stumbled.until else "")


def _updates(lab: Lab, updates: Iterable[Update]) -> Iterator[Step]:
    """New times behind those that are there; all that a thing has none of yet, at once."""
    fresh: dict[str, dict[str, list[Value]]] = {}
    for update in updates:
        words = [timing_words(timing) for timing in update.new]
        timed = timed_of(lab.things[ThingId(update.thing)])
        said = timed.places.get(update.key.replace(" ", "_")) if timed is not None else None
        if said is None:
            fresh.setdefault(update.thing, {})[update.key] = list(words)
            continue

        def more(texts: Texts, said: Where = said, words: Sequence[str] = words) -> Texts:
            for each in words:
                texts = appended(texts, said, each)
            return texts

        yield Step(of=update.thing, by_hand=_by_hand(update.key, words), at=said, make=more)
    for name, value in fresh.items():
        yield _fresh(lab.things[ThingId(name)], value)


def _fresh(thing: Thing, value: Mapping[str, list[Value]]) -> Step:
    timed = timed_of(thing)

    def make(texts: Texts) -> Texts:
        if timed is None:
            return put(texts, thing, "timed", value)
        for key, words in value.items():
            texts = put_under(texts, timed.where, key, words)
        return texts

    words = "; ".join(_by_hand(key, each) for key, each in value.items())
    return Step(of=thing.id, by_hand=words, at=thing.where if timed is None else timed.where, make=make)


def _by_hand(key: str, words: Sequence[Value]) -> str:
    return f"`timed: {{{key}: [{', '.join(map(str, words))}]}}`"


def _proofs(lab: Lab, proofs: Iterable[Proof]) -> Iterator[Step]:
    for proof in proofs:
        thing, day = lab.things[ThingId(proof.thing)], proof.on.isoformat()
        if isinstance(thing, Data):
            at = thing.backed_up[0].place("restored") if thing.backed_up else thing.where
        else:
            at = thing.place("proved")

        def make(texts: Texts, thing: Thing = thing, day: str = day) -> Texts:
            if isinstance(thing, Data):
                return _restored(texts, thing, day)
            if len(alike(lab, thing)) > 1:
                raise QuestionError("its entry is about others too", "Say it by hand.")
            return put(texts, thing, "proved", day)

        yield Step(of=proof.thing, by_hand=f"`{proof.key}: {day}`", at=at, make=make)


def _restored(texts: Texts, data: Data, day: str) -> Texts:
    if len(data.backed_up) != 1:
        raise QuestionError("which of its backups was restored is not known", "Say it by hand.")
    backup = data.backed_up[0]
    said = backup.places.get("restored")
    if said is not None and said != backup.where:
        return put_at(texts, said, day)
    if isinstance(said_at(texts, backup.where), str):
        return put_at(texts, backup.where, {"to": backup.to.ids[0], "restored": day})
    return put_under(texts, backup.where, "restored", day)


def _counts(lab: Lab, counts: Iterable[Counted]) -> Iterator[Step]:
    for count in counts:
        thing, words = lab.things[ThingId(count.thing)], seen_words(count.after)

        def make(texts: Texts, thing: Thing = thing, words: str = words) -> Texts:
            return put(texts, thing, "seen", words)

        yield Step(of=thing.id, by_hand=f"`seen: {words}`", at=thing.place("seen"), make=make)


def _stumbles(lab: Lab, counts: Iterable[Counts]) -> Iterator[Step]:
    for count in counts:
        thing, words = lab.things[ThingId(count.thing)], stumbled_words(count.after)

        def make(texts: Texts, thing: Thing = thing, words: str = words) -> Texts:
            if len(alike(lab, thing)) > 1:
                raise QuestionError("its entry is about others too", "Say it by hand.")
            return put(texts, thing, "stumbled", words)

        yield Step(of=thing.id, by_hand=f"`stumbled: {words}`", at=thing.place("stumbled"), make=make)
