"""How do the probes of a run look on paper: a ruled strip each, outages hatched, what was foretold as ticks under it?"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from falsework import units
from falsework.analyses.drilling.result import Foretold
from falsework.faces.report.hatching import box, hatch
from falsework.faces.report.ink import sheet
from falsework.faces.report.svg import Svg, join, label, line, path, tag, title, width_of
from falsework.record.observed import Observed, Outage, ProbeSeen
from falsework.record.seen import Gap, Mark, Told
from falsework.units import Dimension

WIDTH, NAMES, RIGHT = 1160.0, 210.0, 24.0
ROW, STRIP = 40.0, 13.0
_TOP, _BOTTOM = 54.0, 40.0
_LEAST = 2.4
"""No outage is drawn narrower: a tenth of a second in an hour has to be seen."""
MOST_ROWS, MOST_DRAWN = 40, 300
KEY = (
    "A strip is a probe. Hatched: not answered; crossed: answered, but not well; dots: the stopwatch itself did not "
    "run, and nobody knows. A bracket under a strip: out from there to there, as foretold."
)
"""What the signs mean, for those who read."""
_STEPS = (1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 10800, 21600, 43200, 86400, 172800)
_MOST_TICKS = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class Strips:
    """What is drawn.

    Attributes:
        seen: a run.
        effects: what was foretold, by service; empty where nothing was.
        from_s: from when on it is drawn, seconds since the run began.
        until_s: up to when.
    """

    seen: Observed
    effects: Mapping[str, Foretold]
    from_s: float
    until_s: float

    def x(self, at_s: float) -> float:
        """Where a moment lies, within the drawing."""
        share = (at_s - self.from_s) / max(self.until_s - self.from_s, 1e-9)
        return NAMES + min(max(share, 0.0), 1.0) * (WIDTH - NAMES - RIGHT)

    def shows(self, from_s: float, until_s: float) -> bool:
        """Whether any of a time lies within the drawing."""
        return until_s >= self.from_s and from_s <= self.until_s


def strips_svg(strips: Strips, *, says: str) -> Svg:
    """The drawing, on a page that has colours and hatching.

    Args:
        strips: what is drawn.
        says: what a reader is told who does not see it; the table beside has the figures.
    """
    height, drawn = _drawn(strips)
    return tag(
        "svg",
        join([title(says), *drawn]),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {WIDTH:g} {height:g}",
        role="img",
        font_family="inherit",
        class_="strips",
    )


def strips_sheet(strips: Strips, *, says: str, prefix: str) -> str:
    """The same on a sheet of its own that needs nothing else; the same run gives the same picture.

    Args:
        strips: what is drawn.
        says: what a reader is told who does not see it.
        prefix: of ids on a page.
    """
    height, drawn = _drawn(strips)
    return sheet(prefix, WIDTH, height, says, *drawn)


def _drawn(strips: Strips) -> tuple[float, list[Svg]]:
    """How high it is, and all that is on it."""
    rows = first(strips.seen.probes)
    bottom = _TOP + ROW * len(rows)
    return bottom + _BOTTOM, [
        *_marks(strips, bottom),
        *(each for number, probe in enumerate(rows) for each in _row(strips, probe, _TOP + ROW * number)),
        *_axis(strips, bottom),
    ]


def first(probes: Sequence[ProbeSeen]) -> tuple[ProbeSeen, ...]:
    """The probes that are drawn: all in lab order, or if they are too many those that saw most."""
    if len(probes) <= MOST_ROWS:
        return tuple(probes)
    worst = sorted(probes, key=lambda each: -sum(min(one.lasts_s, 1e9) for one in each.outages))[:MOST_ROWS]
    return tuple(each for each in probes if each in worst)


def _row(strips: Strips, probe: ProbeSeen, top: float) -> Iterator[Svg]:
    y = top + 8
    yield label(NAMES - 14, y + STRIP - 2, probe.probe, size=13, anchor="end", room=NAMES - 20)
    left, right = strips.x(0.0), strips.x(strips.until_s)
    # A strip is a beam in elevation: two ruled lines, closed at its ends.
    yield box(left, y, right - left, STRIP, fill="stone", stroke="ink", stroke_width=0.9)
    for gap in strips.seen.run.gaps:
        if strips.shows(gap.from_s, gap.until_s):
            yield _gap(strips, gap, y)
    shown = [each for each in probe.outages if strips.shows(each.from_s, min(each.until_s, strips.until_s))]
    for outage in shown[-MOST_DRAWN:]:
        yield _outage(strips, probe, outage, y)
    effect = strips.effects.get(probe.sees)
    if effect is not None:
        yield from _foretold(strips, effect, y + STRIP)


def _outage(strips: Strips, probe: ProbeSeen, outage: Outage, y: float) -> Svg:
    begins = strips.x(max(outage.from_s, strips.from_s))
    ends = strips.x(min(outage.until_s, strips.until_s))
    width = max(ends - begins, _LEAST)
    begins = min(begins, WIDTH - RIGHT - width)
    # Slants for silence, crossed where it answered and not well.
    fill = "brick" if width < 6 else hatch("falls" if outage.told is Told.SILENT else "lost")
    lasts = "and lasts" if math.isinf(outage.until_s) else f"for {_time(outage.lasts_s)}"
    says = f": {outage.says}" if outage.says else ""
    told = f"{probe.probe} out at {_time(outage.from_s)} {lasts}{says}"
    return tag(
        "g",
        title(told),
        box(begins, y - 3, width, STRIP + 6, fill=fill, stroke="brick", stroke_width=1.4),
        data_outage=probe.probe,
    )


def _gap(strips: Strips, gap: Gap, y: float) -> Svg:
    begins, ends = strips.x(max(gap.from_s, strips.from_s)), strips.x(min(gap.until_s, strips.until_s))
    width = max(ends - begins, _LEAST)
    middle = y + STRIP / 2
    return tag(
        "g",
        title(f"the stopwatch itself did not run for {_time(gap.until_s - gap.from_s)} ({gap.why})"),
        box(begins, y - 1, width, STRIP + 2, fill="paper"),
        line(
            begins,
            middle,
            begins + width,
            middle,
            stroke="ink",
            stroke_width=2,
            stroke_dasharray="0.1 4",
            stroke_linecap="round",
        ),
        data_gap=str(gap.why),
    )


def _foretold(strips: Strips, effect: Foretold, y: float) -> Iterator[Svg]:
    """A bracket under the strip: from where it was foretold to fall, to where it was foretold to be back."""
    run = strips.seen.run
    start = run.done_s
    if start is None or math.isinf(effect.falls_s):
        return
    cold = run.tries == "cold start"
    falls = start + effect.falls_s
    waits = math.isinf(effect.back_s)
    back = run.put_back_s if waits or cold else start + effect.back_s
    if cold and not waits and back is not None:
        back += effect.back_s
    ends = strips.until_s if back is None else back
    if not strips.shows(falls, ends):
        return
    x1, x2, low = strips.x(falls), strips.x(ends), y + 9
    # Where it waits for hands nobody foretells the end: the bracket stays open there.
    close = "" if back is None or waits else f"M{x2:.1f} {y + 4:.1f}V{low:.1f}"
    yield tag(
        "g",
        title(
            f"foretold: down from {_time(effect.falls_s)} after the action"
            + (
                ", until it is put back"
                if waits
                else f", back {_time(effect.back_s)} after the power"
                if cold
                else f", back by {_time(effect.back_s)}"
            )
        ),
        path(
            f"M{x1:.1f} {y + 4:.1f}V{low:.1f}H{max(x2, x1 + _LEAST):.1f}{close}",
            fill="none",
            stroke="ink",
            stroke_width=1.2,
            stroke_dasharray="5 2" if waits else None,
        ),
        data_foretold=effect.service,
    )


def _marks(strips: Strips, bottom: float) -> Iterator[Svg]:
    """What was done and when, as a dimension line over the strips."""
    marks = [
        each
        for each in strips.seen.run.marks
        if each.mark in (Mark.DONE, Mark.PUT_BACK) and strips.shows(each.at_s, each.at_s)
    ]
    y = 32.0
    for each in marks:
        x = strips.x(each.at_s)
        yield line(x, y - 5, x, bottom, stroke="ink", stroke_width=0.9, stroke_dasharray="9 3 2 3")
        # The slash that ends a dimension line.
        yield line(x - 4, y + 4, x + 4, y - 4, stroke="ink", stroke_width=1.6)
    done = next((each for each in marks if each.mark is Mark.DONE), None)
    back = next((each for each in marks if each.mark is Mark.PUT_BACK), None)
    if done is None:
        return
    x1, x2 = strips.x(done.at_s), strips.x(back.at_s if back else strips.until_s)
    yield line(x1, y, x2, y, stroke="ink", stroke_width=0.9)
    length = (back.at_s if back else strips.until_s) - done.at_s
    said = f"out for {_time(length)}" if back else f"out since {_time(length)}"
    wide = width_of(said, 13)
    if x2 - x1 > wide + 16:
        yield label((x1 + x2) / 2, y - 6, said, size=13, anchor="middle", italic=True)
    elif x2 + wide + 12 < WIDTH:
        yield label(x2 + 10, y - 6, said, size=13, italic=True)
    else:
        yield label(x1 - 10, y - 6, said, size=13, anchor="end", italic=True)


def _axis(strips: Strips, y: float) -> Iterator[Svg]:
    """The time under the strips; in a drill it counts from the action."""
    zero = strips.seen.run.done_s or 0.0
    yield line(strips.x(strips.from_s), y, strips.x(strips.until_s), y, stroke="ink", stroke_width=0.9)
    span = strips.until_s - strips.from_s
    step = next((each for each in _STEPS if span / each <= _MOST_TICKS), _STEPS[-1])
    number = math.ceil((strips.from_s - zero) / step)
    while number * step + zero <= strips.until_s + 1e-9 and number * step <= span + abs(zero) + step:
        x = strips.x(number * step + zero)
        yield line(x, y, x, y + 6, stroke="ink", stroke_width=0.9)
        said = "0" if number == 0 else f"{'−' if number < 0 else ''}{_time(abs(number * step))}"
        yield label(x, y + 21, said, size=12, anchor="middle", fill="faint")
        number += 1


def _time(seconds: float) -> str:
    return units.format(max(seconds, 0.0), Dimension.TIME)
