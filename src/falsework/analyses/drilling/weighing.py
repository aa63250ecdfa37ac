"""What speaks against doing this drill today?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from falsework.analyses.aims.losing import counts
from falsework.analyses.aims.result import about as aim_about
from falsework.analyses.aims.result import effect_words
from falsework.analyses.aims.starting import cold
from falsework.analyses.drilling.foretold import foretold
from falsework.analyses.drilling.may_result import Against, Because
from falsework.analyses.drilling.result import Foretold, Plan
from falsework.analyses.verdicts import Effect, Verdict
from falsework.errors import few
from falsework.model.parts import ThingId
from falsework.model.people import Aim, Alarm
from falsework.model.services import Data
from falsework.support.lives import TOLD_S
from falsework.support.standing import Standing
from falsework.support.stopped import Stoppable, stoppable


class Weighing:
    """One drill on one day, and all that speaks against it."""

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

    @cached_property
    def others(self) -> tuple[str, ...]:
        """The parts that the drill leaves."""
        return tuple(part for part in self.standing.parts if part not in self.taken)

    @cached_property
    def without_others(self) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """What `service_rows` tells of losing each of `others`: as things are, and while the drill lasts."""
        assert self.then is not None
        sets = [(part,) for part in self.others]
        return stoppable(self.standing).service_rows(sets), self.then.service_rows(sets)

    @cached_property
    def broken(self) -> tuple[tuple[Aim, str, str], ...]:
        """The aims that would break though the owner does not let stop what breaks them; what happens then, and why."""
        found = ((aim, *self._breaks(aim)) for aim in self.lab.aims)
        return tuple(
            (aim, says, why)
            for aim, says, why, services in found
            if says and not set(services) <= set(self.plan.may_stop)
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
        parts = self.others
        if not left or not parts or not self.plan.at_risk:
            return
        rows = [2 * len(before.support.services) + list(before.support.keepings).index(name) for name in left]
        now, then = (all_rows[rows] for all_rows in self.without_others)
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
        for aim, says, why in self.broken:
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
        """Services that fall while it lasts, and neither the plan nor the owner lets them; nor an aim tells of it."""
        told = {says for _, says, _ in self.broken}
        meant = {each.service: each for each in self.meant}
        for each in self.effects:
            before = meant.get(each.service)
            if each.verdict < Verdict.FALLS or each.service in self.plan.may_stop or self.late(each):
                continue
            if isinstance(self.lab.things[ThingId(each.service)], Alarm):
                continue  # an alarm is asked about by itself
            if before is None or before.verdict < Verdict.FALLS or before.falls_s > each.falls_s:
                sooner = " sooner than the plan says" if before and before.verdict >= Verdict.FALLS else ""
                says = f"{each.service} {effect_words(_effect(each))}{sooner}"
                if says not in told:
                    yield Because(what=Against.FALLS, about=(each.service,), says=says, why=each.why)

    def late(self, each: Foretold) -> bool:
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
            if each is None or each.verdict < Verdict.FALLS or self.late(each) or each.falls_s > told_s:
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


def covers(aim: Aim, taken: Sequence[str]) -> bool:
    """Whether an aim is about losing just these, all at once."""
    if aim.lose is None or aim.told or not taken or len(taken) > aim.at_once:
        return False
    return set(taken) <= set(aim.lose.ids)


def _effect(each: Foretold) -> Effect:
    return Effect(service=each.service, verdict=each.verdict, falls_s=each.falls_s, blinks_s=each.blinks_s)
