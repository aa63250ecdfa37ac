"""How is a run beside what was foretold shown on a terminal?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.analyses.comparing import Comparison, Line, Sort
from falsework.analyses.verdicts import Verdict
from falsework.errors import counted, few
from falsework.faces.cli.lines import Line as Row
from falsework.faces.cli.lines import labelled

_STYLES = {Sort.WRONG: "broken", Sort.SLOWER: "open", Sort.FASTER: "open", Sort.NOT_SEEN: "quiet"}
WIDTH = 13


def comparison_lines(found: Comparison, *, every: bool = False) -> Iterator[Row]:
    """A run in short: what was otherwise, then what went as foretold.

    Args:
        found: the run beside what was foretold.
        every: a line for each thing, also for what only stood, as foretold, and for what no probe sees.
    """
    if found.why_not:
        yield Row(f"nothing to compare: {found.why_not}")
        return
    told = sorted(found.lines, key=lambda line: line.sort.rank)
    shown = [line for line in told if every or _matters(line)]
    for line in shown:
        yield labelled(
            str(line.sort), f"{line.thing} {line.says}", style=_STYLES.get(line.sort, "stands"), width=WIDTH
        )
        yield from _besides(line)
    if not every:
        stood = [line.thing for line in told if line.sort is Sort.AS_FORETOLD and line not in shown]
        if stood:
            yield labelled("as foretold", f"{few(stood)} stood", style="stands", width=WIDTH)
        blind = [line.thing for line in told if line.sort is Sort.NOT_SEEN and line not in shown]
        if blind:
            yield labelled(
                "not seen",
                f"{few(blind)}: no probe sees {'it' if len(blind) == 1 else 'them'}",
                style="quiet",
                width=WIDTH,
            )
    if found.unknown:
        yield labelled("not known", f"what {few(found.unknown)} sees: say `sees`", style="quiet", width=WIDTH)


def _matters(line: Line) -> bool:
    if line.sort is Sort.NOT_SEEN:
        return bool(line.probes) or line.foretold.verdict >= Verdict.BLINKS
    return (
        line.sort is not Sort.AS_FORETOLD
        or line.falls_s != float("inf")
        or line.foretold.verdict >= Verdict.BLINKS
    )


def _besides(line: Line) -> Iterator[Row]:
    if line.before:
        yield labelled(
            "", f"{counted(len(line.before), 'outage')} before it was done", style="quiet", width=WIDTH
        )
    if line.after:
        yield labelled(
            "", f"{counted(len(line.after), 'outage')} after it was put back", style="quiet", width=WIDTH
        )
    if line.sort is Sort.AS_FORETOLD and not line.sure:
        yield labelled("", "the stopwatch itself did not run all the time", style="quiet", width=WIDTH)


def head_words(found: Comparison) -> str:
    """A run and how it went, in a clause."""
    what = f"run {found.run}" + (f", {found.drill}" if found.drill else "")
    if found.why_not:
        return f"{what}: {found.why_not}"
    wrong, seen = len(found.sorted(Sort.WRONG)), len(found.seen)
    lost = f"{what}: {few(found.lost)} taken out" if found.lost else f"{what}: all of it off and on again"
    if not seen:
        return f"{lost}; nothing was seen of any service"
    if wrong:
        return f"{lost}; {wrong} of {counted(seen, 'thing')} seen did otherwise than foretold"
    other = len(found.sorted(Sort.SLOWER)) + len(found.sorted(Sort.FASTER))
    if other:
        return f"{lost}; as foretold but for {counted(other, 'time')}"
    return f"{lost}; all that was seen went as foretold"
