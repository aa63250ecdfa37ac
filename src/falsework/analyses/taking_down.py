"""May these parts be taken down now, for upkeep, and what is to be done first?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum, StrEnum

from falsework import units
from falsework.analyses.aims import AimResult, effect_words
from falsework.analyses.aims.quick import Quick, Unasked, broken_by
from falsework.analyses.explain import Reason
from falsework.analyses.margin import Margin
from falsework.analyses.verdicts import NEVER, Effect, Loss, Verdict, losses
from falsework.errors import few
from falsework.model.parts import ThingId
from falsework.model.people import Alarm
from falsework.model.services import Data, Service
from falsework.support.standing import Standing
from falsework.units import Dimension

SHORTEST_WORK_S = 300.0
"""Nobody takes a part down, works on it and has it up again in less: what falls sooner falls."""
MOST_OUT = 4
"""Parts out beforehand that are tried as the first to bring back; each asks the whole lab again."""
MOST_GROUPS = 3
"""Further parts named as those not to touch, those that do the same counted once."""
_POWER = frozenset(("circuit", "strip", "ups", "supply", "outside"))
_DATA = frozenset(("drive", "enclosure", "node"))
_POWER_CAUTION = "Work on power only as local electrical codes and makers' instructions allow, and leave fixed wiring to licensed hands."
_DATA_CAUTION = "Before you touch drives, make sure that a copy you have restored from exists elsewhere."


class May(IntEnum):
    """The answer, from best to worst."""

    YES = 0
    BUT = 1
    NO = 2

    @property
    def word(self) -> str:
        """The word for people."""
        return ("yes", "yes, but", "no")[self]


class What(StrEnum):
    """What speaks against it."""

    DATA = "data is lost"
    FALLS = "a service falls"
    SILENT = "an alarm does not leave"
    BLINKS = "a service blinks"
    THIN = "nothing to spare"
    AIM = "an aim breaks"


@dataclass(frozen=True, slots=True, kw_only=True)
class Because:
    """One thing that speaks against taking the parts down.

    Attributes:
        what: which sort of thing.
        may: the answer that it alone would give.
        about: the services, data or aim that it is about.
        says: a clause.
        why: the chain to the parts, where there is one.
        after_s: from when on it is so, seconds; 0 for at once.
    """

    what: What
    may: May
    about: tuple[str, ...]
    says: str
    why: tuple[Reason, ...] = ()
    after_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TakingDown:
    """The answer.

    Attributes:
        parts: what would be taken down and is not out already.
        may: yes, yes but, or no.
        because: what speaks against it, worst first; empty where the answer is yes.
        first: what to do before, sentences without their full stop; the most useful first.
        within_s: how soon it has to be back, seconds; infinity where there is no hurry.
        aims: the aims that were asked.
        not_asked: those that were not, and why.
        caution: what to mind with hands on it; empty where nothing can be hurt.
    """

    parts: tuple[str, ...]
    may: May
    because: tuple[Because, ...]
    first: tuple[str, ...]
    within_s: float
    aims: tuple[str, ...]
    not_asked: tuple[Unasked, ...]
    caution: str

    @property
    def says(self) -> str:
        """The answer as one sentence without its full stop."""
        if not self.parts:
            return "yes: it is out already"
        if not self.because:
            return "yes: nothing falls, blinks or is left with nothing to spare"
        worst = [each for each in self.because if each.may is self.may]
        same = sum(1 for each in worst if each.what is worst[0].what) - 1
        verb = {What.FALLS: "fall", What.BLINKS: "blink"}.get(worst[0].what)
        said = worst[0].says
        if same and verb:
            said += f", {same} more {verb}{'s' if same == 1 else ''}"
        if worst[0].what is What.BLINKS and any(each.what is What.THIN for each in worst):
            said += ", and there is less to spare until it is back"
        return f"{self.may.word}{':' if self.may is May.NO else ''} {said}"


def taking_down(
    standing: Standing, loss: Loss, margins: Sequence[Margin], *, then: Standing | None = None
) -> TakingDown:
    """Whether parts may be taken down, on top of what is out already.

    Falls, lost data and silenced alarms say no; where the fall leaves time for the work, or upkeep hours allow it,
    the answer is yes, but. So it is where a service blinks, is left with nothing to spare, or an aim that is met
    now is not met until the parts are back.

    Args:
        standing: the lab, with what is out already.
        loss: what taking the parts down does, `thin` included.
        margins: from `margins_left` for the same parts.
        then: the lab with the parts out too, where somebody has it.

    Cost:
        The lab asked once more for the aims, and up to `MOST_OUT` times where the answer is no.
    """
    parts = tuple(part for part in loss.lost if part not in standing.out)
    if not parts:
        return TakingDown(
            parts=(),
            may=May.YES,
            because=(),
            first=(),
            within_s=NEVER,
            aims=(),
            not_asked=(),
            caution="",
        )
    aims = broken_by(standing, then or Standing(standing.lab, out=[*standing.out, *parts]))
    because = sorted(
        [*_data(standing, loss), *_hurt(standing, loss), *_thin(standing, loss, margins), *_aims(aims)],
        key=lambda each: (-each.may, list(What).index(each.what), each.after_s),
    )
    within = min(
        (each.after_s for each in because if each.what is What.FALLS and each.after_s >= SHORTEST_WORK_S),
        default=NEVER,
    )
    return TakingDown(
        parts=parts,
        may=max((each.may for each in because), default=May.YES),
        because=tuple(because),
        first=tuple(_first(standing, parts, because, margins, within)),
        within_s=within,
        aims=aims.asked,
        not_asked=aims.unasked,
        caution=_caution(standing, parts),
    )


def _data(standing: Standing, loss: Loss) -> Iterator[Because]:
    """Data of which nothing would be left."""
    for data in standing.lab.of(Data):
        kept = f"kept:{data.id}"
        if standing.baseline.kept(kept) and not loss.view.kept(kept):
            yield Because(
                what=What.DATA,
                may=May.NO,
                about=(data.id,),
                says=f"all that is left of {data.id} is on it, and no backup elsewhere",
            )


def _hurt(standing: Standing, loss: Loss) -> Iterator[Because]:
    """Services that fall or blink, those that are down already left out; alarms only where none leaves any more."""
    silent: list[Effect] = []
    alarms = 0
    for effect in loss.effects:
        if not standing.baseline.back(effect.service):
            continue
        thing = standing.lab.things.get(ThingId(effect.service))
        if isinstance(thing, Alarm):
            alarms += 1
            if effect.verdict >= Verdict.FALLS:
                silent.append(effect)
        elif effect.verdict >= Verdict.FALLS and effect.falls_s < NEVER:
            hours = thing.upkeep if isinstance(thing, Service) else ""
            late = effect.falls_s >= SHORTEST_WORK_S
            words = effect_words(effect) if effect.verdict is Verdict.FALLS else "falls"
            yield Because(
                what=What.FALLS,
                may=May.BUT if hours or late else May.NO,
                about=(effect.service,),
                says=f"{effect.service} {words}{f', which its upkeep hours allow ({hours})' if hours else ''}",
                why=loss.why(effect.service),
                after_s=effect.falls_s,
            )
        elif effect.verdict is Verdict.BLINKS:
            yield Because(
                what=What.BLINKS,
                may=May.BUT,
                about=(effect.service,),
                says=f"{effect.service} {effect_words(effect)}",
                why=loss.why(effect.service),
                after_s=effect.falls_s,
            )
    if silent:
        names = [effect.service for effect in silent]
        every = len(silent) == alarms
        after = max(effect.falls_s for effect in silent)
        yield Because(
            what=What.SILENT,
            may=May.NO if every and after < SHORTEST_WORK_S else May.BUT,
            about=tuple(names),
            says="no alarm leaves while it is out"
            if every
            else f"{few(names)} {'is' if len(names) == 1 else 'are'} silent while it is out",
            why=loss.why(names[0]),
            after_s=after,
        )


def _thin(standing: Standing, loss: Loss, margins: Sequence[Margin]) -> Iterator[Because]:
    """What one part more would bring down then, and would not now: the worst few, those that do the same together."""
    for parts, services in _critical(margins)[:MOST_GROUPS]:
        further = losses(standing, [(*loss.lost, parts[0])])[0]
        yield Because(
            what=What.THIN,
            may=May.BUT,
            about=services,
            says=f"until it is back, losing {parts[0]} too would bring down {few(services, 3)}",
            why=further.why(services[0]),
        )


def _critical(margins: Sequence[Margin]) -> list[tuple[tuple[str, ...], tuple[str, ...]]]:
    """Parts that would have become single points with the services they bring down, the most services first."""
    falls: dict[str, list[str]] = {}
    for margin in margins:
        for part in margin.singles:
            falls.setdefault(part, []).append(margin.thing)
    alike: dict[tuple[str, ...], list[str]] = {}
    for part, services in falls.items():
        alike.setdefault(tuple(services), []).append(part)
    return sorted(
        ((tuple(parts), services) for services, parts in alike.items()), key=lambda each: -len(each[1])
    )


def _aims(aims: Quick) -> Iterator[Because]:
    for aim in aims.breaks:
        yield Because(what=What.AIM, may=May.BUT, about=(aim.name,), says=_aim_says(aim))


def _aim_says(aim: AimResult) -> str:
    return f"the aim '{aim.name}' is not met until it is back ({aim.says})"


def _first(
    standing: Standing,
    parts: Sequence[str],
    because: Sequence[Because],
    margins: Sequence[Margin],
    within: float,
) -> Iterator[str]:
    """What to do before, the most useful first."""
    no = any(each.may is May.NO for each in because)
    if no:
        yield from _back_first(standing, parts)
        if len(parts) > 1 and _alone(standing, parts):
            yield "Take them down one after the other, each back before the next: alone none makes a service fall"
    by: Mapping[What, list[Because]] = {
        what: [each for each in because if each.what is what] for what in What
    }
    if by[What.DATA]:
        yield f"Make a backup of {few([each.about[0] for each in by[What.DATA]])} elsewhere, and restore from it once to prove it"
    hard = [each.about[0] for each in by[What.FALLS] if each.may is May.NO]
    if hard:
        yield f"If it has to be: tell those who use {few(hard, 3)}, and stop {'it' if len(hard) == 1 else 'them'} in order before you pull anything"
    hours = [each.about[0] for each in by[What.FALLS] if each.may is May.BUT and "upkeep hours" in each.says]
    if hours and not no:
        yield f"Wait for the upkeep hours of {few(hours, 3)}"
    if within < NEVER and not no:
        yield f"Have everything at hand: it has to be back within {units.format(within, Dimension.TIME)}"
    blinks = [each.about[0] for each in by[What.BLINKS]]
    if blinks:
        yield f"Choose a quiet hour: {few(blinks, 3)} {'is' if len(blinks) == 1 else 'are'} interrupted for a moment"
    if by[What.SILENT]:
        yield "Watch by eye until it is back: not every alarm leaves"
    critical = _critical(margins)[:MOST_GROUPS]
    if critical:
        yield f"Leave {few(_apart(part for those, _ in critical for part in those[:2]), 6)} alone until it is back"


def _apart(parts: Iterable[str]) -> list[str]:
    """Each part once, what is inside another of them left out."""
    names = list(dict.fromkeys(parts))
    return [each for each in names if not any(each.startswith(f"{other}.") for other in names)]


def _back_first(standing: Standing, parts: Sequence[str]) -> Iterator[str]:
    """Parts out beforehand of which one, if it were back, would keep everything standing."""
    for name in sorted(standing.out)[:MOST_OUT]:
        other = Standing(standing.lab, out=standing.out - {name})
        if not _falls(other, [parts])[0]:
            yield f"Bring {name} back first: with it nothing falls"
            return


def _alone(standing: Standing, parts: Sequence[str]) -> bool:
    """Whether each part by itself makes nothing fall."""
    return not any(_falls(standing, [(part,) for part in parts]))


def _falls(standing: Standing, sets: Sequence[Sequence[str]]) -> list[bool]:
    """Whether each set, taken down together, makes something fall that stands."""
    return [
        any(
            effect.verdict >= Verdict.FALLS and standing.baseline.back(effect.service)
            for effect in loss.effects
        )
        for loss in losses(standing, sets)
    ]


def _caution(standing: Standing, parts: Sequence[str]) -> str:
    words = {standing.support.things[part].word for part in parts}
    said = [_POWER_CAUTION] if words & _POWER else []
    if words & _DATA:
        said.append(_DATA_CAUTION)
    return " ".join(said)
