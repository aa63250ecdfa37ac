"""May this drill be done today?

The answer is no, with what to mend first, where

- it is meant to prove an aim that, with what is out today, would break: then nothing is proved, and people are hurt;
- a service falls that the plan without today's faults does not let fall, and that the owner does not let stop;
- data would be lost, or would be lost if one part more failed meanwhile, and is not so as things are;
- data lies on what is taken out, and none of its backups was ever restored from;
- no alarm leaves while it lasts: then nobody is told of what else fails;
- what is to be taken out is out already, or a backup that is to be restored can't be reached: nothing would be tried.

What is merely interrupted as foretold, or has less to spare until it is put back, is told and does not speak against
it: a drill takes out a spare, so something always has less to spare, and no drill could ever be done.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from falsework.analyses.aims.losing import counts
from falsework.analyses.aims.result import about as aim_about
from falsework.analyses.aims.result import effect_words
from falsework.analyses.aims.starting import cold
from falsework.analyses.drilling.foretold import foretold
from falsework.analyses.drilling.result import Foretold, Plan
from falsework.analyses.drilling.stopped import Stoppable, stoppable
from falsework.analyses.verdicts import Effect, Verdict, verdict_rows
from falsework.errors import few, sentence
from falsework.model.parts import ThingId
from falsework.model.people import Aim, Alarm
from falsework.model.services import Data, Service
from falsework.support.lives import TOLD_S
from falsework.support.standing import Standing

MOST_OUT = 4
"""Parts out today that are tried as the first to bring back; each asks the whole lab again."""
MOST_GROUPS = 3
"""Further parts named that must not fail meanwhile, those that do the same counted once."""


class Against(StrEnum):
    """What speaks against a drill, worst first."""

    DATA = "data is lost"
    UNPROVED = "a backup was never restored from"
    AIM = "an aim breaks"
    FALLS = "a service falls"
    SILENT = "no alarm leaves"
    NOTHING = "nothing would be tried"


@dataclass(frozen=True, slots=True, kw_only=True)
class Because:
    """One thing that speaks against it.

    Attributes:
        what: which sort of thing.
        about: the data, aims, services, alarms or parts that it is about.
        says: a clause.
        why: the chain of reasons, a clause; empty where there is none.
    """

    what: Against
    about: tuple[str, ...]
    says: str
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MayDrill:
    """The answer.

    Attributes:
        drill: its name.
        yes: whether it may be done.
        because: what speaks against it, worst first; empty where it may be done.
        first: what to do before; sentences.
        mind: what is told and does not speak against it; sentences.
        effects: what it does today, with what is out.
        out: what is out today.
    """

    drill: str
    yes: bool
    because: tuple[Because, ...]
    first: tuple[str, ...]
    mind: tuple[str, ...]
    effects: tuple[Foretold, ...]
    out: tuple[str, ...]

    @property
    def says(self) -> str:
        """The answer as one sentence without its full stop."""
        if self.yes:
            return (
                "yes: what falls is foretold, and nothing else does" if self.falls else "yes: nothing falls"
            )
        more = len(self.because) - 1
        return f"no: {self.because[0].says}{f', and {more} more' if more else ''}"

    @property
    def falls(self) -> tuple[str, ...]:
        """The services that fall in it today."""
        return tuple(each.service for each in self.effects if each.verdict >= Verdict.FALLS)


def may_drill(standing: Standing, plan: Plan, *, planned: Standing | None = None) -> MayDrill:
    """Whether a drill may be done today, with what is known to be out.

    Args:
        standing: the lab, with what is out today.
        plan: the drill.
        planned: the same lab with nothing out, where somebody has it.

    Cost:
        Every further part lost on top of the drill, once; where the answer is no, the lab asked again for each of
        up to `MOST_OUT` parts that are out.
    """
    asking = _Asking(standing, plan, planned)
    because = asking.because()
    return MayDrill(
        drill=plan.name,
        yes=not because,
        because=because,
        first=tuple(map(sentence, asking.first(because))),
        mind=tuple(map(sentence, asking.mind())) if not because else (),
        effects=asking.effects,
        out=tuple(sorted(standing.out)),
    )


class _Asking:
    def __init__(self, standing: Standing, plan: Plan, planned: Standing | None) -> None:
        self.standing, self.plan, self.lab = standing, plan, standing.lab
        self.planned = planned or (Standing(standing.lab) if standing.out else standing)
        self.taken = tuple(name for name in (*plan.lost, *plan.stops) if name not in standing.out)
        self.out = tuple(name for name in plan.lost if name in standing.out)
        self.effects = foretold(standing, plan.tries, self.taken)
        self.meant = (
            self.effects
            if self.planned is standing
            else foretold(self.planned, plan.tries, (*plan.lost, *plan.stops))
        )
        self.then: Stoppable | None = (
            Stoppable(standing.lab, out=[*standing.out, *self.taken]) if self.taken else None
        )

    # -- against ----------------------------------------------------------------------------------

    def because(self) -> tuple[Because, ...]:
        """All that speaks against it, worst first."""
        found = [
            *self._data(),
            *self._unproved(),
            *self._aims(),
            *self._falls(),
            *self._silent(),
            *self._nothing(),
        ]
        return tuple(sorted(found, key=lambda each: list(Against).index(each.what)))

    def _data(self) -> Iterator[Because]:
        """Data that is lost, or hangs by what one more part would take."""
        if self.then is None:
            return
        before, after = stoppable(self.standing), self.then
        kept = [name for name in before.support.keepings if name.startswith("kept:")]
        whole = [name for name in kept if before.baseline.kept(name)]
        gone = [name for name in whole if not after.baseline.kept(name)]
        for name in gone:
            data = name.removeprefix("kept:")
            yield Because(
                what=Against.DATA,
                about=(data,),
                says=f"all that is left of {data} is on it, and no backup elsewhere",
            )
        left = [name for name in whole if name not in gone]
        parts = [part for part in self.standing.parts if part not in self.taken]
        if not left or not parts or not self.plan.at_risk:
            return
        rows = [2 * len(before.support.services) + list(before.support.keepings).index(name) for name in left]
        sets = [(part,) for part in parts]
        now, then = before.service_rows(sets)[rows], after.service_rows(sets)[rows]
        for row, name in enumerate(left):
            new = np.flatnonzero(now[row] & ~then[row])
            if len(new):
                data = name.removeprefix("kept:")
                yield Because(
                    what=Against.DATA,
                    about=(data,),
                    says=f"{data} would be lost if {parts[int(new[0])]} failed meanwhile",
                )

    def _unproved(self) -> Iterator[Because]:
        """Data at stake of which no backup was ever restored from."""
        cold_start = self.plan.tries == "cold start"
        for data in self.lab.of(Data):
            if not data.backed_up or not (cold_start or data.id in self.plan.at_risk):
                continue
            if all(backup.restored is None for backup in data.backed_up):
                yield Because(
                    what=Against.UNPROVED,
                    about=(data.id,),
                    says=f"{data.id} is at stake, and none of its backups was ever restored from",
                )

    def _aims(self) -> Iterator[Because]:
        """Aims that the drill is about and that would break today, whoever is to blame."""
        for aim in self.lab.aims:
            says, why, services = self._breaks(aim)
            if says and not set(services) <= set(self.plan.may_stop):
                yield Because(
                    what=Against.AIM,
                    about=(aim.name,),
                    says=f"the aim '{aim.name}' would break: {says}",
                    why=why,
                )

    def _breaks(self, aim: Aim) -> tuple[str, str, tuple[str, ...]]:
        """What breaks an aim in this drill, why, and the services that it happens to."""
        nothing = ("", "", ())
        if self.plan.tries == "cold start":
            if not aim.cold_start:
                return nothing
            result = cold(aim, self.standing)
            stuck = tuple(each.service for each in self.effects if each.verdict >= Verdict.FALLS)
            return nothing if result.met else (result.says, "; ".join(result.why), stuck or ("",))
        if not covers(aim, self.taken):
            return nothing
        services, _ = aim_about(aim, self.standing)
        allowed = Verdict[aim.at_most.upper()]
        effects = {each.service: each for each in self.effects}
        hit = [
            (effect, effects[name].why)
            for name in services
            if name in effects and counts(aim, effect := _effect(effects[name]), allowed)
        ]
        if not hit:
            return nothing
        effect, why = max(hit, key=lambda each: (each[0].verdict, -each[0].falls_s))
        return f"{effect.service} {effect_words(effect)}", why, tuple(each.service for each, _ in hit)

    def _falls(self) -> Iterator[Because]:
        """Services that fall while it lasts, and neither the plan nor the owner lets them."""
        meant = {each.service: each for each in self.meant}
        for each in self.effects:
            before = meant.get(each.service)
            if each.verdict < Verdict.FALLS or each.service in self.plan.may_stop or self._late(each):
                continue
            if isinstance(self.lab.things[ThingId(each.service)], Alarm):
                continue  # an alarm is asked about by itself
            if before is None or before.verdict < Verdict.FALLS or before.falls_s > each.falls_s:
                sooner = " sooner than the plan says" if before and before.verdict >= Verdict.FALLS else ""
                yield Because(
                    what=Against.FALLS,
                    about=(each.service,),
                    says=f"{each.service} {effect_words(_effect(each))}{sooner}",
                    why=each.why,
                )

    def _late(self, each: Foretold) -> bool:
        """Whether it happens only after the drill is given up."""
        return self.plan.stop_after_s is not None and each.falls_s >= self.plan.stop_after_s

    def _silent(self) -> Iterator[Because]:
        """No alarm leaves; in a cold start none can."""
        alarms = self.lab.of(Alarm)
        if not alarms or self.plan.tries == "cold start":
            return
        effects = {each.service: each for each in self.effects}
        for alarm in alarms:
            if not self.standing.baseline.back(alarm.id):
                continue
            each = effects.get(alarm.id)
            told_s = TOLD_S if alarm.told_in is None else alarm.told_in
            if each is None or each.verdict < Verdict.FALLS or self._late(each) or each.falls_s > told_s:
                return
        names = tuple(alarm.id for alarm in alarms)
        first = effects.get(names[0])
        now = not any(self.standing.baseline.back(name) for name in names)
        yield Because(
            what=Against.SILENT,
            about=names,
            says=f"no alarm leaves{', even now' if now else ' while it lasts'}",
            why=first.why if first else "",
        )

    def _nothing(self) -> Iterator[Because]:
        if self.out:
            yield Because(
                what=Against.NOTHING,
                about=self.out,
                says=f"{few(self.out)} {'is' if len(self.out) == 1 else 'are'} out already",
            )
        if self.plan.tries != "restore" or len(self.plan.of) < 2:
            return
        data = self.lab.things[ThingId(self.plan.of[0])]
        backups = data.backed_up if isinstance(data, Data) else ()
        for backup in backups:
            if self.plan.of[1] not in backup.to.ids:
                continue
            wanted = (*backup.to.ids, *(backup.needs.ids if backup.needs else ()))
            things = self.standing.support.things
            missing = tuple(
                name for name in wanted if name in things and not self.standing.baseline.back(name)
            )
            if missing:
                yield Because(
                    what=Against.NOTHING,
                    about=missing,
                    says=f"{few(missing)}, which the restore needs, {'is' if len(missing) == 1 else 'are'} down",
                )

    # -- what to do first, and what to mind --------------------------------------------------------

    def first(self, because: Sequence[Because]) -> Iterator[str]:
        """What to do before, the most useful first."""
        whats = {each.what for each in because}
        about = {
            what: [name for each in because if each.what is what for name in each.about] for what in whats
        }
        if whats & {Against.AIM, Against.FALLS, Against.DATA, Against.SILENT} and self.standing.out:
            back = self._back_first()
            yield (
                f"Bring {back} back first: with it this drill may be done"
                if back
                else f"Mend what is out ({few(sorted(self.standing.out))}), and ask again"
            )
        elif Against.AIM in whats or Against.FALLS in whats:
            yield "Mend the plan first: it does not hold this even with nothing out (`falsework check`)"
        if Against.DATA in whats:
            yield f"Make a backup of {few(about[Against.DATA])} elsewhere, and restore from it once to prove it"
        if Against.UNPROVED in whats:
            yield f"Restore {few(about[Against.UNPROVED])} from a backup first, and write the day into the lab file"
        if Against.SILENT in whats and not self.standing.out:
            yield "Give the lab a second way for an alarm to leave that this drill does not touch"
        if Against.NOTHING in whats:
            yield f"Bring {few(about[Against.NOTHING])} back first"

    def _back_first(self) -> str:
        """A part out today with which, were it back, nothing would speak against it."""
        for name in sorted(self.standing.out)[:MOST_OUT]:
            other = Standing(self.lab, out=self.standing.out - {name})
            if not _Asking(other, self.plan, self.planned).because():
                return name
        return ""

    def mind(self) -> Iterator[str]:
        """What is told and does not speak against it."""
        falls = [each for each in self.effects if each.verdict >= Verdict.FALLS and not self._late(each)]
        services = [
            each.service for each in falls if isinstance(self.lab.things[ThingId(each.service)], Service)
        ]
        if services and self.plan.tries != "cold start":
            yield f"As the plan says, {few(services)} {'falls' if len(services) == 1 else 'fall'} in it"
        blinks = [each.service for each in self.effects if each.verdict is Verdict.BLINKS]
        if self.plan.tries == "cold start":
            yield "Everything stops in it: choose a time when nobody needs any of it"
        elif blinks:
            yield f"Choose a quiet hour: {few(blinks)} {'is' if len(blinks) == 1 else 'are'} interrupted"
        if self.standing.out:
            yield f"Already out: {few(sorted(self.standing.out))}"
        if not self.lab.of(Alarm):
            yield "The lab has no alarm: watch by eye until all is back"
        for parts, services in self._critical():
            yield f"While it lasts, losing {_either(parts)} too would bring down {few(services, 3)}"

    def _critical(self) -> list[tuple[list[str], list[str]]]:
        """Parts that are single points while it lasts and are not now, with the services that they bring down."""
        if self.then is None:
            return []
        before = stoppable(self.standing)
        parts = [part for part in self.standing.parts if part not in self.taken]
        sets = [(part,) for part in parts]
        now = verdict_rows(before, before.service_rows(sets))
        then = verdict_rows(self.then, self.then.service_rows(sets))
        stands = np.array([self.then.baseline.back(name) for name in before.support.services])
        new = (then >= Verdict.FALLS) & (now < Verdict.FALLS) & stands[:, np.newaxis]
        alike: dict[tuple[str, ...], list[str]] = {}
        for column in np.flatnonzero(new.any(axis=0)).tolist():
            hurt = tuple(before.support.services[row] for row in np.flatnonzero(new[:, column]).tolist())
            alike.setdefault(hurt, []).append(parts[column])
        groups = sorted(alike.items(), key=lambda each: -len(each[0]))[:MOST_GROUPS]
        return [(those, list(hurt)) for hurt, those in groups]


def _either(parts: Sequence[str]) -> str:
    more = f" (or {len(parts) - 2} more)" if len(parts) > 2 else ""
    return f"{' or '.join(parts[:2])}{more}"


def covers(aim: Aim, taken: Sequence[str]) -> bool:
    """Whether an aim is about losing just these, all at once."""
    if aim.lose is None or aim.told or not taken or len(taken) > aim.at_once:
        return False
    return set(taken) <= set(aim.lose.ids)


def _effect(each: Foretold) -> Effect:
    return Effect(service=each.service, verdict=each.verdict, falls_s=each.falls_s, blinks_s=each.blinks_s)
