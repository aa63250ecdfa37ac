"""How is each thing of a drawing, in a word, and how is that word said?"""

from __future__ import annotations

from dataclasses import dataclass

from falsework import units
from falsework.analyses.verdicts import Effect, Loss, Verdict
from falsework.support.standing import Standing
from falsework.units import Dimension

SOON_S = 1.0
"""Whatever falls within this time falls now."""


def time(seconds: float) -> str:
    """A time as a drawing says it: nobody reads the seconds of half an hour."""
    for least, step in ((2 * 86400.0, 3600.0), (600.0, 60.0)):
        if least <= seconds < float("inf"):
            seconds = round(seconds / step) * step
            break
    return units.format(seconds, Dimension.TIME)


def said(effect: Effect) -> str:
    """What happens to a service, in a few words."""
    after = (
        "" if effect.falls_s < SOON_S or effect.falls_s == float("inf") else f" after {time(effect.falls_s)}"
    )
    if effect.verdict is Verdict.LOST:
        return f"data lost, falls{after or ' now'}" if effect.falls_s < float("inf") else "data lost"
    if effect.verdict is Verdict.FALLS:
        return f"falls{after or ' now'}"
    if effect.verdict is Verdict.BLINKS:
        return f"blinks {time(max(effect.blinks_s - min(effect.falls_s, effect.blinks_s), 0.0))}{after}"
    return "thin: none to spare" if effect.verdict is Verdict.THIN else "stands"


def count_line(loss: Loss) -> str:
    """How many services each verdict meets: "1 falls · 1 blinks · 4 stand with nothing to spare · 5 stand"."""
    counts = {verdict: sum(1 for effect in loss.effects if effect.verdict is verdict) for verdict in Verdict}
    one_many = {
        Verdict.LOST: ("loses its data", "lose their data"),
        Verdict.FALLS: ("falls", "fall"),
        Verdict.BLINKS: ("blinks", "blink"),
        Verdict.THIN: ("stands with nothing to spare", "stand with nothing to spare"),
        Verdict.STANDS: ("stands", "stand"),
    }
    parts = [f"{counts[each]} {words[counts[each] != 1]}" for each, words in one_many.items() if counts[each]]
    return " · ".join(parts) or "no services"


@dataclass(frozen=True, slots=True, kw_only=True)
class States:
    """How everything is after a loss, or as the lab stands.

    Attributes:
        standing: the lab.
        loss: what was lost; None for the lab as it stands.
    """

    standing: Standing
    loss: Loss | None

    def of(self, name: str) -> str:
        """`stands`, `blinks` (comes back by itself), `falls`, `lost` (is what was lost) or `out` (was out before)."""
        if name in self.standing.out:
            return "out"
        if self.loss is None:
            known = name in self.standing.support.things
            return "falls" if known and not self.standing.baseline.up(name) else "stands"
        if name in self.loss.lost:
            return "lost"
        down = self.loss.down.get(name)
        return "stands" if down is None else "blinks" if down.back_s < float("inf") else "falls"

    def says(self, name: str) -> str:
        """The state as the end of a title."""
        state = self.of(name)
        down = self.loss.down.get(name) if self.loss is not None else None
        if state in ("falls", "blinks") and down is not None:
            after = f"after {time(down.falls_s)}" if SOON_S <= down.falls_s < float("inf") else "now"
            return f"falls {after}" + (
                f", back {time(down.back_s)} after the loss" if state == "blinks" else ""
            )
        return {"out": "was out before", "lost": "lost", "falls": "does not stand"}.get(state, "stands")
