"""Which time does somebody tell, who measured it with a watch of their own?"""

from __future__ import annotations

from collections.abc import Mapping

from falsework.analyses.learning.result import Measured
from falsework.errors import QuestionError, listed, nearest, sentence, shortened
from falsework.model.declare import a, declared
from falsework.model.lab import Lab
from falsework.model.parts import Thing, ThingId
from falsework.model.timed import Timed, timing_of
from falsework.model.timing import unsaid
from falsework.units import UnitError

EXAMPLE = "'keep: rebuilds in 9 h on 2026-11-26 14:30'"


def said(lab: Lab, text: str) -> Measured:
    """A measured time in words: what, which of its figures, how long, and when.

    Raises:
        QuestionError: nothing is called so, it has no such figure, or that is no time; says what would do.
    """
    name, colon, rest = text.partition(": ")
    if not colon:
        raise QuestionError(f"{shortened(text)!r} tells no time that was measured", f"Write {EXAMPLE}.")
    thing = lab.things.get(ThingId(name))
    if thing is None:
        near = nearest(name, lab.things)
        mend = f"Did you mean {near!r}?" if near else "Name something as the lab file does."
        raise QuestionError(f"nothing in the lab is called {shortened(name)!r}", mend)
    keys = _keys(thing)
    key = next((each for each in keys if rest.startswith(f"{each} ")), None)
    if key is None:
        mend = f"Its figures are {listed(keys)}." if keys else "Nothing about it takes a time that is learnt."
        raise QuestionError(f"{shortened(rest)!r} is no time of {name}, {a(thing.IS)}", mend)
    if mend := unsaid(thing, keys[key]):
        raise QuestionError(f"{name} says nothing of `{key}` in the lab file", sentence(mend))
    try:
        timing = timing_of(rest.removeprefix(key).strip())
    except UnitError as error:
        what = error.what or f"{shortened(rest)!r} tells no time that was measured"
        raise QuestionError(what, sentence(error.mend)) from None
    if not timing.on:
        raise QuestionError(
            f"{shortened(text)!r} does not tell when", f"Say the day or the moment, in UTC, as in {EXAMPLE}."
        )
    return Measured(thing=name, attribute=keys[key], timing=timing)


def _keys(thing: Thing) -> Mapping[str, str]:
    """The keys of its measured times, each with its attribute."""
    timed = declared(type(thing)).get("timed")
    records = timed.form.records() if timed is not None else ()
    return {
        key: each.attribute
        for record in records
        if issubclass(record, Timed)
        for key, each in declared(record).items()
    }
