"""How is one thing, foretold and observed, said in a sentence?"""

from __future__ import annotations

import math
from dataclasses import replace

from falsework import units
from falsework.analyses.comparing.result import Foretold, Line, Sort, Wrong
from falsework.analyses.verdicts import Verdict
from falsework.units import Dimension


def line_says(line: Line, window_s: float, *, early: bool) -> Line:
    """The line with its sentence.

    Args:
        line: all but the sentence.
        window_s: from the action until it was put back, seconds.
        early: whether it was out already when the action came.
    """
    return replace(line, says=_says(line, window_s, early=early))


def start_says(line: Line, window_s: float) -> Line:
    """The line of a cold start with its sentence; its times count from when the power was back."""
    foretold = line.foretold
    if foretold.verdict is Verdict.BLINKS:
        told = f"{_between(foretold.lasts_s, foretold.lasts_within)} after the power"
    else:
        told = "it does not come back by itself"
    if line.sort is Sort.NOT_SEEN and math.isinf(line.falls_s):
        says = "was not out when the power came back, so nothing can be said"
    elif line.sort is Sort.NOT_SEEN:
        says = "came back while the stopwatch itself did not run"
    else:
        seen = (
            f"was back {time_words(line.lasts_s)} after the power"
            if line.ended
            else f"was not back {time_words(window_s)} after the power"
        )
        agrees = line.sort is Sort.AS_FORETOLD
        says = f"{seen}{', as foretold' if agrees else '; foretold'}: {told}"
    return replace(line, says=says)


def _says(line: Line, window_s: float, *, early: bool) -> str:
    if early:
        return "was out already when it was done, so nothing can be said"
    seen = _seen(line, window_s)
    if line.sort is Sort.NOT_SEEN:
        return f"{seen}, but the stopwatch itself did not run at that time"
    if line.sort is Sort.AS_FORETOLD:
        return f"{seen}, as foretold{_exactly(line, window_s)}"
    if line.wrong is Wrong.FELL and not line.foretold.reached:
        return f"{seen}; nothing that it leans on was lost: chance, or a need that is not written down"
    return f"{seen}; foretold: {foretold_words(line.foretold)}"


def _seen(line: Line, window_s: float) -> str:
    if math.isinf(line.falls_s):
        return "stood"
    after = f" after {time_words(line.falls_s)}" if line.falls_s >= 1.0 else " at once"
    if not line.ended:
        return f"fell{after} and was out for the remaining {time_words(max(window_s - line.falls_s, 0.0))}"
    again = f", and fell {len(line.more)} more times" if line.more else ""
    return f"fell{after} and was back {time_words(line.lasts_s)} later{again}"


def _exactly(line: Line, window_s: float) -> str:
    foretold = line.foretold
    if foretold.verdict < Verdict.BLINKS:
        return ""
    if math.isinf(line.falls_s):
        if foretold.falls_within[0] > window_s or foretold.falls_s > window_s:
            return f": it falls after {time_words(foretold.falls_s)}, and was put back before that"
        return ": so short an interruption is hardly seen"
    if not line.ended and foretold.verdict is Verdict.BLINKS:
        return f" so far: {foretold_words(foretold)}, and it was put back before that"
    return f": {foretold_words(foretold)}" if foretold.verdict is Verdict.BLINKS else ""


def foretold_words(foretold: Foretold) -> str:
    """What was foretold, in words: `falls at once, back after 40 s (25 s to 1 min 3 s)`."""
    if foretold.verdict < Verdict.BLINKS:
        return "it stands"
    falls = (
        "falls at once"
        if foretold.falls_s < 1.0
        else f"falls after {_between(foretold.falls_s, foretold.falls_within)}"
    )
    if foretold.before is not None:
        return f"{foretold_words(foretold.before)}, then {falls} and stays down"
    if foretold.verdict is not Verdict.BLINKS:
        return f"{falls} and stays down"
    return f"{falls}, back {_between(foretold.lasts_s, foretold.lasts_within)} later"


def _between(middle: float, within: tuple[float, float]) -> str:
    low, high = within
    if high - low < 0.05 * max(middle, 1e-9):
        return time_words(middle)
    return f"{time_words(middle)} ({time_words(low)} to {time_words(high)})"


def time_words(seconds: float) -> str:
    """A time as people read it."""
    if math.isinf(seconds):
        return "never"
    return units.format(round(seconds, 1) if seconds < 60 else round(seconds), Dimension.TIME)
