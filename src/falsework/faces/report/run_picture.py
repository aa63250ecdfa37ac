"""How is a run drawn: a row a probe, what was foretold as a dashed frame, what was seen hatched in it?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from falsework.analyses.comparing import Comparison, Line, Sort
from falsework.analyses.history import Past
from falsework.analyses.history.summary import outage_said, seconds_said
from falsework.analyses.verdicts import Verdict
from falsework.faces.report.hatching import box, hatch
from falsework.faces.report.ink import sheet
from falsework.faces.report.run_told import foretold_said, when_said
from falsework.faces.report.svg import Svg, join, label, line, tag, title, width_of
from falsework.record.observed import Observed, Outage, ProbeSeen, Run

MOST_ROWS = 60
_WIDTH, _LEFT, _RIGHT, _TOP, _ROW = 980.0, 232.0, 24.0, 74.0, 24.0
_NARROWEST = 2.5
"""A bar is at least so wide, or nobody sees it."""
_MARGIN_S = 5.0
_STEPS_S = (
    *(0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 30.0),
    *(60.0 * each for each in (1, 2, 5, 10, 20, 30, 60, 120, 180, 360, 720, 1440, 2880)),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scale:
    """Seconds of the run from left to right."""

    from_s: float
    until_s: float

    def x(self, at_s: float) -> float:
        share = (min(max(at_s, self.from_s), self.until_s) - self.from_s) / (self.until_s - self.from_s)
        return _LEFT + (_WIDTH - _LEFT - _RIGHT) * share


def run_picture(past: Past, *, prefix: str = "run") -> str:
    """A run as SVG; the same run gives the same picture.

    Args:
        past: the run beside what is foretold of it.
        prefix: of ids on a page.
    """
    observed = past.observed
    rows = _rows(observed, past.comparison)
    scale = _scale(observed, past.comparison)
    bottom = _TOP + _ROW * max(len(rows), 1)
    height = bottom + 58
    lines = {each.thing: each for each in past.comparison.lines} if past.comparison else {}
    drawn = [
        _axis(observed.run, scale, bottom),
        *(
            _row(observed.run, probe, lines.get(probe.sees), number, scale)
            for number, probe in enumerate(rows)
        ),
        *_gaps(observed, scale, bottom),
        *_moments(observed.run, scale, bottom),
        _key(bottom + 22, foretold=bool(lines), gaps=bool(observed.run.gaps)),
    ]
    says = f"Run {observed.run.number}: {len(rows)} probes on a time line"
    return sheet(prefix, _WIDTH, height, says, *drawn)


def caption(past: Past) -> str:
    """What the picture shows, for those who read."""
    left = len(past.observed.probes) - len(_rows(past.observed, past.comparison))
    more = f" {left} probes to which nothing happened are left out." if left else ""
    framed = " Dashed frame: the outage that was foretold." if past.comparison else ""
    band = " A band over all rows: the stopwatch itself did not run." if past.observed.run.gaps else ""
    return f"Each row is a probe. Slanted hatching: not answered well.{framed}{band}{more}"


def _rows(observed: Observed, found: Comparison | None) -> Sequence[ProbeSeen]:
    """The probes that are drawn, in their order: all, or where there are too many those to which something happened."""
    probes = observed.probes
    if len(probes) <= MOST_ROWS:
        return probes
    hit = {
        each.thing
        for each in (found.lines if found else ())
        if each.foretold.verdict >= Verdict.BLINKS or each.sort is Sort.WRONG
    }
    return [each for each in probes if each.outages or each.sees in hit][:MOST_ROWS]


def _scale(observed: Observed, found: Comparison | None) -> _Scale:
    """From a little before the first thing that happened to a little after the last; all of it where nothing did."""
    run = observed.run
    moments = [each.at_s for each in run.marks if each.mark.value in ("done", "put back")]
    for probe in observed.probes:
        for outage in probe.outages:
            moments += [max(outage.from_s, 0.0), min(outage.until_s, run.until_s)]
    for each in found.lines if found else ():
        if each.foretold.verdict >= Verdict.BLINKS and found is not None and each.probes:
            moments += [
                min(found.from_s + at_s, run.until_s)
                for at_s in (each.foretold.falls_s, each.foretold.returns_s)
                if math.isfinite(at_s)
            ]
    whole = max(run.until_s, 1.0)
    if not moments:
        return _Scale(from_s=0.0, until_s=whole)
    first, last = min(moments), max(moments)
    beside = max((last - first) * 0.06, _MARGIN_S)
    return _Scale(from_s=max(first - beside, 0.0), until_s=max(min(last + beside, whole), first + 1.0))


def _axis(run: Run, scale: _Scale, bottom: float) -> Svg:
    """Time above the rows, from the action on where there was one."""
    origin = run.done_s if run.done_s is not None else 0.0
    room = (_WIDTH - _LEFT - _RIGHT) / 96
    step = next((each for each in _STEPS_S if (scale.until_s - scale.from_s) / each <= room), _STEPS_S[-1])
    parts = [line(_LEFT, _TOP - 8, _WIDTH - _RIGHT, _TOP - 8, stroke="ink", stroke_width=1.2)]
    for number in range(
        math.ceil((scale.from_s - origin) / step), math.floor((scale.until_s - origin) / step) + 1
    ):
        x = scale.x(origin + number * step)
        said = "0" if not number else seconds_said(abs(number) * step)
        parts.append(line(x, _TOP - 12, x, _TOP - 8, stroke="ink"))
        parts.append(line(x, _TOP - 8, x, bottom, stroke="hair", stroke_width=0.7, stroke_dasharray="1 4"))
        # The last one ends with the axis, or it would run off the sheet.
        x = min(x, _WIDTH - 8 - width_of(said, 10.5) / 2)
        said = f"−{said}" if number < 0 else said
        parts.append(label(x, _TOP - 16, said, size=10.5, fill="faint", anchor="middle"))
    return join(parts)


def _row(run: Run, probe: ProbeSeen, told: Line | None, number: int, scale: _Scale) -> Svg:
    y = _TOP + _ROW * number
    about = probe.probe if probe.sees in ("", probe.probe) else f"{probe.probe} ({probe.sees})"
    parts = [
        label(8, y + 15.5, about, size=12, room=_LEFT - 20),
        line(_LEFT, y + 12, _WIDTH - _RIGHT, y + 12, stroke="hair", stroke_width=1),
    ]
    parts += [_bar(run, probe, each, y, scale) for each in probe.outages]
    if told is not None and told.foretold.verdict >= Verdict.BLINKS and run.done_s is not None:
        parts.append(_frame(run, told, y, scale))
    return tag("g", *parts)


def _bar(run: Run, probe: ProbeSeen, outage: Outage, y: float, scale: _Scale) -> Svg:
    """An outage; its bounds as whiskers."""
    left = scale.x(max(outage.from_s, 0.0))
    right = max(scale.x(min(outage.until_s, run.until_s)), left + _NARROWEST)
    says = f"{probe.probe}: out {when_said(run, max(outage.from_s, 0.0))}, for {outage_said(outage, run.until_s)}"
    fill = hatch("thin" if outage.unsure else "falls")
    parts = [title(says), box(left, y + 5, right - left, 14, fill=fill, stroke="brick", stroke_width=1.2)]
    good_s = max(outage.good_s, scale.from_s)
    again_s = min(outage.good_again_s, run.until_s)
    parts.append(line(scale.x(good_s), y + 12, left, y + 12, stroke="brick", stroke_width=1.6))
    parts.append(line(right, y + 12, max(scale.x(again_s), right), y + 12, stroke="brick", stroke_width=1.6))
    return tag("g", *parts)


def _frame(run: Run, told: Line, y: float, scale: _Scale) -> Svg:
    """What was foretold: from its fall to its return, or to when it is put back."""
    assert run.done_s is not None
    end_s = run.put_back_s if run.put_back_s is not None else run.until_s
    falls_s = run.done_s + told.foretold.falls_s
    if falls_s > scale.until_s:
        return Svg("")
    returns_s = min(run.done_s + told.foretold.returns_s, max(end_s, falls_s))
    left = scale.x(falls_s)
    right = max(scale.x(returns_s), left + _NARROWEST)
    return tag(
        "g",
        title(f"foretold: {told.thing} {foretold_said(told.foretold)}"),
        box(
            left,
            y + 2,
            right - left,
            20,
            fill="none",
            stroke="ink",
            stroke_width=1.1,
            stroke_dasharray="4 2.5",
        ),
    )


def _gaps(observed: Observed, scale: _Scale, bottom: float) -> list[Svg]:
    found = []
    for gap in observed.run.gaps:
        if gap.until_s < scale.from_s or gap.from_s > scale.until_s:
            continue
        left = scale.x(gap.from_s)
        wide = max(scale.x(gap.until_s) - left, _NARROWEST)
        says = f"the stopwatch did not run for {seconds_said(gap.until_s - gap.from_s)} ({gap.why})"
        found.append(tag("g", title(says), box(left, _TOP - 6, wide, bottom - _TOP + 6, fill=hatch("out"))))
    return found


def _moments(run: Run, scale: _Scale, bottom: float) -> list[Svg]:
    """When it was done and put back: lines through all rows, named above the axis."""
    found = []
    last = -math.inf
    for at_s, word in ((run.done_s, "done"), (run.put_back_s, "put back")):
        if at_s is None or not scale.from_s <= at_s <= scale.until_s:
            continue
        x = scale.x(at_s)
        found.append(line(x, _TOP - 11, x, bottom + 4, stroke="ink", stroke_width=1.6))
        # Names that would touch: the second goes to the right of its line, the first to the left.
        close = x - last < width_of(word, 12) + 12
        found.append(
            label(
                x + (4 if close else 0),
                _TOP - (46 if close else 32),
                word,
                size=12,
                italic=True,
                anchor="start" if close else "middle",
            )
        )
        last = x
    return found


def _key(y: float, *, foretold: bool, gaps: bool) -> Svg:
    parts = [
        box(8, y - 10, 26, 14, fill=hatch("falls"), stroke="brick", stroke_width=1.2),
        label(40, y + 1, "not answered well", size=11.5),
        box(168, y - 10, 26, 14, fill=hatch("thin"), stroke="brick", stroke_width=1.2),
        label(200, y + 1, "the same, its ends unsure", size=11.5),
    ]
    if foretold:
        parts += [
            box(376, y - 12, 26, 18, fill="none", stroke="ink", stroke_width=1.1, stroke_dasharray="4 2.5"),
            label(408, y + 1, "foretold", size=11.5),
        ]
    if gaps:
        parts += [
            box(486, y - 10, 26, 14, fill=hatch("out")),
            label(518, y + 1, "the stopwatch did not run", size=11.5),
        ]
    return join(parts)
