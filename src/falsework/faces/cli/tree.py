"""How likely is a fault tree's top event, which sets of events cause it, and which matter most?"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from falsework.analyses.trees.answer import answer
from falsework.analyses.trees.result import TreeAnswer
from falsework.engines.trees.read import read
from falsework.errors import Fault, LabError, QuestionError, counted, listed
from falsework.faces.amounts import by_order_said, figure_said
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import MET
from falsework.faces.cli.table import table
from falsework.faces.plain_tree import tree_answer

MOST_SETS = 10_000
MOST_WEIGHTS = 10
LONGEST_S = 86_400.0
NOTES = (
    "Birnbaum: how much the top event's chance changes with the event's; criticality: the share of it that goes where "
    "the event can't happen; F-V (Fussell-Vesely): the chance that the event has happened, given the top event; RAW, "
    "RRW (risk achievement and reduction worth): how many times likelier the top event is once the event has "
    "happened, and how many times less likely if it can't."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the arguments and options."""

    file: Path
    time: float | None = None
    top: str | None = None
    most: int = 8
    seconds: float = 120.0
    json: bool = False


def tree_of(asked: Asked) -> int:
    """Solve a tree, print the answer, return the exit status.

    Raises:
        FalseworkError: the file, or the question.
    """
    if not 1 <= asked.most <= MOST_SETS:
        raise QuestionError(
            f"--most {asked.most} cut sets can't be shown", f"Ask for 1 to {MOST_SETS:,} of them."
        )
    if asked.time is not None and not 0.0 <= asked.time < math.inf:
        raise QuestionError(
            f"--time {asked.time:g} is no time", "Give a number from 0 up, in the unit of the file's rates."
        )
    if not 0.0 < asked.seconds <= LONGEST_S:
        raise QuestionError(
            f"--seconds {asked.seconds:g} is no time to work in",
            f"Give more than 0 and at most {LONGEST_S:,.0f}.",
        )
    with Told() as tell:
        tell("reading the tree", 0, 1)
        try:
            tree = read(asked.file, time=asked.time, top=asked.top)
        except LabError as error:
            raise _no_tree(asked.file, error) from error
        found = answer(tree, most=asked.most, seconds=asked.seconds, progress=_progress(tell))
    if asked.json:
        put_text(json.dumps(tree_answer(found, asked.time), indent=2, allow_nan=False) + "\n")
    else:
        put(lines(found))
    return MET


def _progress(tell: Told) -> Callable[[str, int, int], None]:
    """The engine says 0 where it does not know how far it goes; then it is told how far it is."""
    return lambda what, done, of: tell(what, done, of or done)


def _no_tree(path: Path, error: LabError) -> LabError:
    """The same error; where the file is a lab, who answers about labs is named first."""
    if path.suffix.lower() not in (".yaml", ".yml") or not path.is_file():
        return error
    hint = Fault(
        None,
        f"'{path}' looks like a lab file, and a fault tree is wanted",
        f"Ask `falsework odds {path}` about a lab.",
    )
    return LabError([hint])


def lines(found: TreeAnswer) -> Iterator[Line]:
    """The answer for people: how likely, how many sets, the likeliest of them, and what matters most."""
    name = f"{found.name}: " if found.name and found.name != found.top else ""
    yield Line(f"{name}{_headline(found)}", style="head")
    yield Line()
    yield _row("tree", f"{counted(found.events, 'event')}, {counted(found.gates, 'gate')}{_coherent(found)}")
    yield _row("chance", _chance(found))
    if found.total is not None:
        sorts = f": {by_order_said(found.by_order, 6, of='event')}" if found.total else ""
        yield _row("cut sets", f"{found.total:,} minimal{sorts}")
    if found.unreached:
        yield _row("left out", f"{listed(found.unreached, 6)}: the top event does not lean on them")
    if found.left:
        yield _row("limit", f"{found.left}; --seconds allows more time")
    yield from _sets(found)
    yield from _weights(found)


def _headline(found: TreeAnswer) -> str:
    top = f"{found.top} " if found.top else "the top event "
    if found.chance is not None:
        return f"{top}has probability {_figure(found.chance)}"
    if found.lower is not None and found.upper is not None:
        return f"{top}has a probability from {_figure(found.lower)} to {_figure(found.upper)}"
    return f"{top}has no known probability"


def _figure(value: float) -> str:
    return f"{value:.6g}"


def _coherent(found: TreeAnswer) -> str:
    return "" if found.coherent else "; some gate negates, so a failure may mend something"


def _chance(found: TreeAnswer) -> str:
    if found.chance is not None:
        return "exact, given the events' own and that they are independent"
    if found.lower is not None and found.upper is not None:
        return "proven to lie between these bounds, given the events' own and that they are independent"
    if found.lacking:
        return (
            f"no probability is known of {listed(found.lacking, 6)}; give them one in the file, or, where they have a "
            "failure rate, say --time"
        )
    return "no bounds are known for a tree that negates"


def _row(label: str, text: str) -> Line:
    return labelled(label, text, width=10)


def _sets(found: TreeAnswer) -> Iterator[Line]:
    if not found.likeliest:
        return
    known = found.likeliest[0].chance is not None
    yield Line()
    yield Line(f"The {'likeliest' if known else 'smallest'} sets of events that cause it:")
    if not known:
        for each in found.likeliest:
            yield labelled("", ", ".join(each.events), width=2)
        return
    yield from table(
        ("chance", "together"),
        [(figure_said(each.chance or 0.0), ", ".join(each.events)) for each in found.likeliest],
        right=(0,),
    )


def _weights(found: TreeAnswer) -> Iterator[Line]:
    if not found.weights:
        return
    shown = found.weights[:MOST_WEIGHTS]
    yield Line()
    yield Line("What each event weighs, by criticality:")
    yield from table(
        ("chance", "Birnbaum", "criticality", "F-V", "RAW", "RRW", "event"),
        [
            (
                *(
                    _known(value)
                    for value in (
                        each.chance,
                        each.birnbaum,
                        each.criticality,
                        each.diagnosis,
                        each.achievement,
                        each.reduction,
                    )
                ),
                each.event,
            )
            for each in shown
        ],
        right=range(6),
    )
    rest = len(found.weights) - len(shown)
    if rest:
        yield labelled(
            "", f"{counted(rest, 'event')} more; --json lists {'it' if rest == 1 else 'them'}", width=2
        )
    yield Line(NOTES, style="quiet")


def _known(value: float) -> str:
    return "-" if math.isnan(value) else figure_said(value)
