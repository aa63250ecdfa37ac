"""What does a thing lean on, how much can it lose, and why does it fall when parts are lost?"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from falsework.analyses.aims import effect_words
from falsework.analyses.fate import fate
from falsework.analyses.leaning import leans_told
from falsework.analyses.margin import Margin, margin
from falsework.analyses.verdicts import Effect, Loss, Verdict, lose
from falsework.errors import QuestionError, counted, listed, nearest
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.lose import opened
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET
from falsework.faces.cli.words import called, called_all, without
from falsework.faces.plain import why_answer, why_lost_answer
from falsework.support.graph import Lean, Support
from falsework.support.standing import Standing

MOST_NAMES = 10
MOST_PAIRS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the arguments and options."""

    lab: Path
    thing: str
    lose: tuple[str, ...] = ()
    out: tuple[str, ...] = ()
    json: bool = False


def why(asked: Asked) -> int:
    """Tell about one thing, print the answer, return the exit status: 1 where it falls by what is lost.

    Raises:
        FalseworkError: the file, or the question.
    """
    with Told() as tell:
        tell("reading the lab", 0, 1)
        standing = opened(asked.lab, asked.out)
        thing = known(standing, asked.thing)
        if asked.lose:
            loss = lose(standing, asked.lose)
            effect = fate(loss, thing.id)
        else:
            found = margin(
                standing, thing.id, progress=lambda done, of: tell("losing every two parts", done, of)
            )
    if asked.lose:
        status = BROKEN if effect.verdict >= Verdict.FALLS and standing.baseline.back(thing.id) else MET
        _print(
            asked,
            why_lost_answer(standing, loss, effect, thing, status),
            lost_lines(standing, loss, effect, thing, asked),
        )
        return status
    leans = tuple(leans_told(standing, thing))
    _print(asked, why_answer(standing, thing, found, leans), lines(standing, thing, found, leans))
    return MET


def known(standing: Standing, name: str) -> Support:
    """The thing of this name.

    Raises:
        QuestionError: there is none; names the nearest, or says what can be asked about.
    """
    things = standing.support.things
    if name in things:
        return things[name]
    if name in standing.lab.things:
        word = standing.lab.things[name].IS  # type: ignore[index] # ThingId is a str
        raise QuestionError(
            f"'{name}' is a {word}, which leans on nothing by itself",
            "Ask about a service, a store, a key or a part.",
        )
    near = nearest(name, things)
    raise QuestionError(
        f"nothing in the lab is called '{name}'",
        f"Did you mean '{near}'?" if near else f"Services: {listed(standing.support.services) or 'none'}.",
    )


def lines(
    standing: Standing, thing: Support, found: Margin, leans: Sequence[tuple[Lean, str]]
) -> Iterator[Line]:
    """The answer without a loss: margin first, then what it leans on."""
    yield Line(_headline(thing, found), style="head")
    if found.least == 0:
        yield from _chain(lose(standing, (), thin=False), thing.id)
    yield Line()
    yield from _leaning(leans)
    if found.singles:
        yield Line()
        yield Line(f"Each of these brings it down alone: {listed(found.singles, MOST_NAMES)}.")
    if found.n_pairs:
        yield Line()
        yield Line(
            f"{counted(found.n_pairs, 'pair')} of parts {'brings' if found.n_pairs == 1 else 'bring'} it down "
            f"only together{', for example' if found.n_pairs > MOST_PAIRS else ''}:"
        )
        for first, second in found.pairs[:MOST_PAIRS]:
            yield labelled("", f"{first} and {second}", width=8)


def lost_lines(
    standing: Standing, loss: Loss, effect: Effect, thing: Support, asked: Asked
) -> Iterator[Line]:
    """The answer with a loss: the verdict, then the chain, one step a line."""
    lost = called_all(asked.lose, standing.lab)
    out = without(standing.out)
    already = "" if standing.baseline.back(thing.id) else "; it is down already, without this loss"
    yield Line(f"lose {lost}{out}: {thing.id} {effect_words(effect)}{already}", style="head")
    if effect.verdict >= Verdict.BLINKS:
        yield from _chain(loss, thing.id)


def _chain(loss: Loss, thing: str) -> Iterator[Line]:
    yield Line()
    for reason in loss.why(thing):
        yield labelled("", f"{reason.says}{f'  ({reason.where})' if reason.where else ''}", width=8)


def _headline(thing: Support, found: Margin) -> str:
    said = called(thing.id, thing.word)
    if found.least == 0:
        return f"{said} does not stand as it is"
    if found.least == 1:
        count, other = len(found.singles), "other part" if thing.part else "part"
        each = f"one {other} brings" if count == 1 else f"each of {count} {other}s brings"
        return f"{said}: margin 1; {each} it down alone"
    if found.least == 2:
        pairs = counted(found.n_pairs, "pair")
        return f"{said}: margin 2; it survives any one part, and {pairs} {'brings' if found.n_pairs == 1 else 'bring'} it down"
    return f"{said}: margin more than 2; it survives any two parts"


def _leaning(leans: Sequence[tuple[Lean, str]]) -> Iterator[Line]:
    if not leans:
        yield Line("It leans on nothing in the lab.")
        return
    yield Line("What it leans on:")
    for lean, says in leans:
        yield labelled("", f"{says}{f'  ({lean.where})' if lean.where else ''}", width=8)


def _print(asked: Asked, answer: dict[str, object], said: Iterator[Line]) -> None:
    if asked.json:
        put_text(json.dumps(answer, indent=2, allow_nan=False) + "\n")
    else:
        put(said)
