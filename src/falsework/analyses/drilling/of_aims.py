"""What do the aims of a lab promise, loss by loss?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import inf

from falsework import units
from falsework.analyses.aims.losing import counts
from falsework.analyses.aims.result import about as aim_about
from falsework.analyses.aims.result import effect_words
from falsework.analyses.drilling.promises import Promise, Promised, grouped, promise
from falsework.analyses.drilling.result import Broken, Sort
from falsework.analyses.drilling.scene import Lost, Scene, Tried
from falsework.analyses.drilling.together import together
from falsework.analyses.drilling.ways import Use
from falsework.analyses.verdicts import Verdict
from falsework.errors import few
from falsework.model.parts import ThingId
from falsework.model.people import Aim, Alarm
from falsework.support.lives import TOLD_S
from falsework.units import Dimension


@dataclass(slots=True)
class _Found:
    promises: list[Promise] = field(default_factory=list)
    broken: list[Broken] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)
    held: set[tuple[str, int]] = field(default_factory=set)


def of_aims(scene: Scene) -> Promised:
    """A promise for each loss that an aim covers and that does no worse than the aim allows.

    Of losses that an aim speaks of and that nobody can tell apart the first stands for all. Several parts at once
    are a promise of their own only where they do more together than each alone; each alone is one too.
    """
    found = _Found()
    for aim in scene.lab.aims:
        if aim.told:
            _told(scene, aim, found)
        elif aim.lose is not None:
            _losses(scene, aim, found)
        if aim.room_without is not None:
            _room(scene, aim, found)
    return Promised(
        promises=tuple(found.promises), broken=tuple(found.broken), left_out=tuple(found.left_out)
    )


def _candidates(scene: Scene, aim: Aim) -> list[str]:
    return [name for name in (aim.lose.ids if aim.lose else scene.parts) if name not in scene.standing.out]


def _losses(scene: Scene, aim: Aim, found: _Found) -> None:
    services, data = aim_about(aim, scene.standing)
    sets: list[Lost] = [(name,) for name in _candidates(scene, aim)]
    groups = grouped(scene, sets)
    if aim.at_once > 1:
        more, left = together(scene, [lost for (lost,) in sets], services or _users(scene, data), aim.at_once)
        groups.extend(grouped(scene, more))
        if left:
            found.left_out.append(
                f"of the sets of {aim.at_once} parts that '{aim.name}' speaks of, {left:,} or more were not looked at"
            )
    allowed = Verdict[aim.at_most.upper()]
    for tried, alike in groups:
        bad = _worse(scene, aim, tried, services, data, allowed)
        what = " and ".join(tried.lost)
        if bad:
            found.broken.append(Broken(aim=aim.name, lost=tried.lost, says=f"lose {what}: {bad}"))
            continue
        found.promises.append(
            promise(
                scene,
                Sort.AIM,
                f"{aim.name}: {what}",
                _fares(aim, tried, services),
                services or _users(scene, data),
                tried,
                alike,
                aims=(aim.name,),
                worst=_worst(scene, tried),
                where=aim.where,
            )
        )
        _holds(scene, aim, tried, alike, services, found)


def _worse(
    scene: Scene, aim: Aim, tried: Tried, services: Sequence[str], data: Sequence[str], allowed: Verdict
) -> str:
    """What is worse than the aim allows, in words; empty if nothing is. Nothing to spare is not seen in a drill."""
    gone = [name for name in data if name in tried.gone]
    if gone:
        return f"{few(gone)} {'is' if len(gone) == 1 else 'are'} gone"
    hit = [
        effect
        for effect in (tried.effects.get(name) for name in services)
        if effect is not None
        and counts(aim, effect, allowed)
        and scene.standing.baseline.back(effect.service)
    ]
    if not hit:
        return ""
    worst = max(hit, key=lambda effect: (effect.verdict, -effect.falls_s))
    return f"{worst.service} {effect_words(worst)}"


def _fares(aim: Aim, tried: Tried, services: Sequence[str]) -> str:
    """How the services fare, in a sentence; only what happens in the aim's time."""
    what = " and ".join(tried.lost)
    limit = inf if aim.within is None else aim.within
    hit = [
        effect
        for effect in (tried.effects.get(name) for name in services)
        if effect is not None and effect.falls_s <= limit
    ]
    time = "" if aim.within is None else f" for {units.format(aim.within, Dimension.TIME)}"
    if not hit:
        goes = (
            f"{few(services, 3)} {'stands' if len(services) == 1 else 'stand'}"
            if services
            else "no data is lost"
        )
        return f"with {what} out, {goes}{time}"
    hit.sort(key=lambda effect: (-effect.verdict, effect.falls_s))
    said = few([f"{effect.service} {effect_words(effect)}" for effect in hit], 3)
    return f"with {what} out, {said}{', and the rest stands' if len(services) > len(hit) else ''}{time}"


def _users(scene: Scene, data: Sequence[str]) -> list[str]:
    """Who would be lost with data."""
    things = scene.lab.things
    return list(
        dict.fromkeys(
            service
            for name in data
            for service in getattr(getattr(things[ThingId(name)], "of", None), "ids", ())
        )
    )


def _worst(scene: Scene, tried: Tried) -> Verdict:
    """What happens at the worst if the promise is wrong: data is lost where a drive is, else something falls."""
    drives = any(scene.support.things[name].word == "drive" for name in tried.lost)
    return Verdict.LOST if drives else Verdict.FALLS


def _holds(
    scene: Scene, aim: Aim, tried: Tried, alike: Sequence[Lost], services: Sequence[str], found: _Found
) -> None:
    """Each hold that bridges something for what the aim is about, once."""
    cone = scene.cone(services)
    for way in sorted(tried.ways, key=lambda each: (each.thing, each.number)):
        place = (way.thing, way.number)
        begins, ends = tried.held.get(way, (inf, inf))
        if way.use is not Use.HELD or way.thing not in cone or place in found.held:
            continue
        if aim.within is not None and begins >= aim.within:
            continue  # it bridges only what is gone after the aim's time
        found.held.add(place)
        lean = scene.support.things[way.thing].leans[way.number]
        found.promises.append(
            promise(
                scene,
                Sort.HOLD,
                f"hold: {way.thing} without {few(lean.on)}",
                f"{way.thing} bridges {_span(begins, ends, lean.hold_s)} without {few(sorted(way.gone))}",
                (),
                tried,
                alike,
                aims=(aim.name,),
                where=lean.where,
                ways=frozenset((way,)),
            )
        )


def _span(begins_s: float, ends_s: float, hold_s: float) -> str:
    return units.format(min(ends_s - begins_s, hold_s), Dimension.TIME)


def _room(scene: Scene, aim: Aim, found: _Found) -> None:
    gone = aim.room_without.ids if aim.room_without else ()
    for tried, alike in grouped(scene, [(name,) for name in gone if name not in scene.standing.out]):
        for room in scene.support.rooms:
            moved = [copy for copy in room.copies if copy in tried.down]
            if not moved:
                continue
            owners = list(dict.fromkeys(copy.rpartition(".")[0] for copy in moved))
            stay = [name for name in owners if not _gone(tried, name)]
            if len(stay) < len(owners):
                bad = few([name for name in owners if name not in stay])
                found.broken.append(
                    Broken(
                        aim=aim.name,
                        lost=tried.lost,
                        says=f"lose {tried.lost[0]}: {bad} finds no room in {room.pool}",
                    )
                )
                continue
            found.promises.append(
                promise(
                    scene,
                    Sort.ROOM,
                    f"{aim.name}: {tried.lost[0]}",
                    f"with {tried.lost[0]} out, {few(owners, 3)} {'has' if len(owners) == 1 else 'have'} room in {room.pool}",
                    owners,
                    tried,
                    alike,
                    aims=(aim.name,),
                    where=aim.where,
                )
            )


def _gone(tried: Tried, service: str) -> bool:
    effect = tried.effects.get(service)
    return effect is not None and effect.verdict >= Verdict.FALLS


def _told(scene: Scene, aim: Aim, found: _Found) -> None:
    """An alarm leaves after each loss by which something falls that the aim is about."""
    services, _ = aim_about(aim, scene.standing)
    told_s = {alarm.id: TOLD_S if alarm.told_in is None else alarm.told_in for alarm in scene.lab.of(Alarm)}
    for tried, alike in grouped(scene, [(name,) for name in _candidates(scene, aim)]):
        fallen = [name for name in services if _gone(tried, name) and scene.standing.baseline.back(name)]
        if not fallen:
            continue
        # One that falls only once it has told is as good as one that stands.
        leave = [
            bell
            for bell, seconds in told_s.items()
            if not _gone(tried, bell) or tried.effects[bell].falls_s > seconds
        ]
        what = tried.lost[0]
        if not leave:
            found.broken.append(
                Broken(
                    aim=aim.name,
                    lost=tried.lost,
                    says=f"lose {what}: {few(fallen)} falls, and no alarm leaves",
                )
            )
            continue
        found.promises.append(
            promise(
                scene,
                Sort.ALARM,
                f"{aim.name}: {what}",
                f"when {what} is lost, {few(leave)} {'tells' if len(leave) == 1 else 'tell'} that {few(fallen, 3)} "
                f"{'is' if len(fallen) == 1 else 'are'} down",
                leave,
                tried,
                alike,
                aims=(aim.name,),
                where=aim.where,
            )
        )
