"""What stays off when the power comes back before a battery is empty?"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from falsework.analyses.shutdown import Shutdown
from falsework.errors import few
from falsework.findings.finding import DATA_CAUTION, Finding, Level
from falsework.support.standing import Standing
from falsework.units import format_time


def half_way(results: Sequence[Shutdown], standing: Standing) -> Iterator[Finding]:
    """At most one for each battery: machines that a short cut leaves off, and nothing wakes.

    Machines that are not set to come on with power are told of as well, but they alone are no finding here:
    where they are set to stay off a cold start tells of them.
    """
    for result in results:
        back = result.returns
        if back is None or back.window_s is None or result.unreached:
            continue  # who is not told does not stop, and that is told already
        begin, end = (format_time(at) if math.isfinite(at) else "" for at in back.window_s)
        when = f"between {begin} and {end}" if end else f"at any moment from {begin} on"
        alone = [name for name in back.off if name not in back.elsewhere]
        mends = []
        if alone:
            mends.append(
                f"let {result.ups} switch its outlets off after the stop (`then cuts`), so that they see the power return"
            )
        if back.elsewhere:
            mends.append(f"plan who switches {few(back.elsewhere)} on, and how from afar")
        yield Finding(
            code="off until a hand comes",
            level=Level.REMARK,
            says=f"power that is back {when} after a cut leaves {few(back.off)} off",
            why=(
                f"{result.ups} tells them to stop after {begin}, and what was told can't be called back",
                "what has stopped wakes only when it sees its power go and come back",
                *(
                    (f"{few(back.elsewhere)} {_has(back.elsewhere)} a cord elsewhere as well",)
                    if back.elsewhere
                    else ()
                ),
            ),
            mend="; ".join(mends),
            where=standing.support.things[result.ups].where,
            things=(result.ups, *back.off),
        )


def too_soon(results: Sequence[Shutdown], standing: Standing) -> Iterator[Finding]:
    """Batteries that switch their outlets off before what they carry has stopped."""
    for result in results:
        if result.cut_off and result.cuts_s is not None:
            last = max(result.done_s[name] for name in result.cut_off)
            yield Finding(
                code="switched off too soon",
                level=Level.REMARK,
                says=(
                    f"{result.ups} switches its outlets off {format_time(result.cuts_s)} after a cut, and "
                    f"{few(result.cut_off)} {_is(result.cut_off)} still stopping then, until {format_time(last)}"
                ),
                mend=f"`then cuts: {format_time(math.ceil((last - result.signal_s) / 60.0) * 60.0)}` or more",
                where=standing.support.things[result.ups].where,
                things=(result.ups, *result.cut_off),
                caution=DATA_CAUTION,
            )


def _has(names: Sequence[str]) -> str:
    return "has" if len(names) == 1 else "have"


def _is(names: Sequence[str]) -> str:
    return "is" if len(names) == 1 else "are"
