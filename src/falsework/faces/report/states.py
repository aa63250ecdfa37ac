"""How is each thing of a drawing, in a word, and how is that word said?"""

from __future__ import annotations

from dataclasses import dataclass

from falsework import units
from falsework.analyses.moment import Moment, Now
from falsework.analyses.verdicts import Down, Effect, Loss, Verdict
from falsework.support.standing import Standing
from falsework.units import Dimension

SOON_S = 1.0
"""Whatever falls within this time falls now."""
UPRIGHT = ("stands", "waits", "back")
"""States of what stands at the moment that is drawn: `waits` falls later, `back` was down before."""


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
        before = f", blinks {time(effect.before.back_s)} before" if effect.before else ""
        return f"falls{after or ' now'}{before}"
    if effect.verdict is Verdict.BLINKS:
        return f"blinks {time(effect.blinks_s)}{after}"
    return "thin: none to spare" if effect.verdict is Verdict.THIN else "stands"


def count_line(loss: Loss) -> str:
    """How many services each verdict meets: "1 falls · 1 blinks · 4 stand with nothing to spare · 5 stand"."""
    new = [effect for effect in loss.effects if loss.view.standing.baseline.back(effect.service)]
    counts = {verdict: sum(1 for effect in new if effect.verdict is verdict) for verdict in Verdict}
    one_many = {
        Verdict.LOST: ("loses its data", "lose their data"),
        Verdict.FALLS: ("falls", "fall"),
        Verdict.BLINKS: ("blinks", "blink"),
        Verdict.THIN: ("stands with nothing to spare", "stand with nothing to spare"),
        Verdict.STANDS: ("stands", "stand"),
    }
    parts = [f"{counts[each]} {words[counts[each] != 1]}" for each, words in one_many.items() if counts[each]]
    if len(new) < len(loss.effects):
        parts.append(f"{len(loss.effects) - len(new)} down already")
    return " · ".join(parts) or "no services"


def tally_line(moment: Moment) -> str:
    """How many services are how at a moment: "1 is down · 2 fall later · 1 is back · 9 stand"."""
    one_many = {
        Now.DOWN: ("is down", "are down"),
        Now.WAITS: ("stands and falls later", "stand and fall later"),
        Now.BACK: ("is back", "are back"),
        Now.STANDS: ("stands", "stand"),
    }
    tally = moment.tally
    parts = [f"{tally[each]} {words[tally[each] != 1]}" for each, words in one_many.items() if tally[each]]
    return " · ".join(parts) or "no services"


@dataclass(frozen=True, slots=True, kw_only=True)
class States:
    """How everything is after a loss, or as the lab stands.

    Attributes:
        standing: the lab.
        loss: what was lost; None for the lab as it stands.
        moment: the moment after the loss that is drawn; None once all has settled.
    """

    standing: Standing
    loss: Loss | None
    moment: Moment | None = None

    def of(self, name: str) -> str:
        """`stands`, `blinks` (comes back by itself), `falls`, `lost` (is what was lost) or `out` (was out before).

        At a moment, `blinks` and `falls` are down then, `waits` falls later, and `back` was down before.
        """
        if name in self.standing.out:
            return "out"
        if self.loss is None:
            known = name in self.standing.support.things
            return "falls" if known and not self.standing.baseline.up(name) else "stands"
        if name in self.loss.lost:
            return "lost"
        down = self.loss.down.get(name)
        if down is None:
            return "stands"
        if self.moment is not None and (now := self.moment.of(name)) is not Now.DOWN:
            return {Now.WAITS: "waits", Now.BACK: "back"}.get(now, "stands")
        later = self.moment is not None and self.moment.at_s < down.falls_s  # it comes back before it falls
        return "blinks" if later or down.back_s < float("inf") else "falls"

    @property
    def gone(self) -> frozenset[str]:
        """What is out: lost now, or out before."""
        lost = frozenset(self.loss.lost) if self.loss is not None else frozenset()
        return frozenset(self.standing.out) | lost

    def already(self, name: str) -> bool:
        """Whether a thing is down as the lab stands, without the loss."""
        standing = self.standing
        return name in standing.support.things and not standing.baseline.back(name)

    def says(self, name: str) -> str:
        """The state as the end of a title."""
        state = self.of(name)
        if self.loss is not None and state == "falls" and self.already(name):
            return "down already"
        down = self.loss.down.get(name) if self.loss is not None else None
        if down is None or state not in ("falls", "blinks", "waits", "back"):
            return {"out": "was out before", "lost": "lost", "falls": "does not stand"}.get(state, "stands")
        back = (
            f", back {time(down.falls_s + down.back_s)} after the loss" if down.back_s < float("inf") else ""
        )
        if self.moment is not None:
            return self._then(name, down) + (back if state == "waits" else "")
        return (
            f"falls after {time(down.falls_s)}" if SOON_S <= down.falls_s < float("inf") else "falls now"
        ) + back

    def _then(self, name: str, down: Down) -> str:
        """How a thing is at the moment that is drawn, with how long it is so already or yet."""
        moment = self.moment
        now = moment.of(name) if moment is not None else Now.STANDS
        at = moment.at_s if moment is not None else 0.0
        if now is Now.WAITS:
            return f"falls in {time(down.falls_s - at)}"
        if down.before is not None and at < down.falls_s:
            down = down.before
        back = down.falls_s + down.back_s
        if now is Now.BACK:
            return f"back for {time(at - back)}" if at - back >= SOON_S else "back now"
        if back < float("inf"):
            return f"down, back in {time(back - at)}"
        return f"down for {time(at - down.falls_s)}" if at - down.falls_s >= SOON_S else "falls now"

    def verdict(self, effect: Effect) -> tuple[str, str]:
        """How a service is and what happens to it, in a few words."""
        down = self.loss.down.get(effect.service) if self.loss is not None else None
        if self.already(effect.service) and effect.verdict is Verdict.FALLS:
            return effect.verdict.word, "down already"
        if self.moment is None or down is None or effect.verdict is Verdict.LOST:
            return effect.verdict.word, said(effect)
        state = self.of(effect.service)
        if state == "waits":
            at = time(down.falls_s)
            blinks = effect.verdict is Verdict.BLINKS
            return state, f"blinks at {at} for {time(effect.blinks_s)}" if blinks else f"falls at {at}"
        return state, self._then(effect.service, down)

    def aside(self, name: str) -> str:
        """The state as a few letters behind a name; none where there is nothing to say."""
        state = self.of(name)
        down = self.loss.down.get(name) if self.loss is not None else None
        if state == "waits" and down is not None:
            return f", {self._then(name, down)}"
        return {
            "stands": "",
            "lost": ", lost",
            "out": ", out",
            "blinks": ", comes back",
            "back": ", back",
        }.get(state, ", down")
