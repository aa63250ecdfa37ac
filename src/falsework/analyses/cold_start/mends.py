"""What could be done about a thing that stays down, and what would the lab be then?"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from falsework.analyses.cold_start.blocked import How, Mend, Reason, Why
from falsework.analyses.cold_start.blockers import counted
from falsework.analyses.cold_start.scene import Reached, Scene
from falsework.errors import few
from falsework.model.lab import Lab
from falsework.model.needs import Need
from falsework.model.parts import ThingId
from falsework.model.people import StandIn
from falsework.model.services import Copy, Service, owner
from falsework.support.graph import Lean, Phase, Role, Support
from falsework.where import Where

RUN_ONLY = frozenset((Phase.RUN,))


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """A mend, and the lab with it."""

    mend: Mend
    apply: Callable[[Scene], Scene]


def of_cause(why: Why, name: str, scene: Scene, lab: Lab) -> Trial | None:
    """What takes away the cause of one thing that stays down by itself."""
    thing = scene.support.things[name]
    where = thing.where
    service = owner(lab.things, name)
    if why is Why.OFF:
        return _trial(How.SWITCH_ON, (name,), f"switch on {name}", where, lambda now: _woken(now, (name,)))
    if why is Why.FIRST:
        copies = _copies(service, lab)
        says = f"pick the copy of {service} that stopped last, and start it first"
        return _trial(How.START_FIRST, copies, says, where, lambda now: _woken(now, copies))
    if why is Why.EARLY:
        return _trial(
            How.START_AGAIN,
            (name,),
            f"start {name} again once what it needs is up",
            where,
            lambda now: _changed(now, (name,), lambda each: replace(each, tries_once=False)),
        )
    if why is Why.EXPIRED:
        return _trial(
            How.RENEW,
            (name,),
            f"renew {name} by hand; nothing is said to renew it",
            where,
            lambda now: replace(now, spent=now.spent - {name}),
        )
    if why is Why.NOBODY:
        return _trial(How.COME, (name,), f"have {name} there", where, lambda now: _given(now, (name,)))
    if why is Why.OUTSIDE:
        says = f"wait until {name} is there again"
        return _trial(How.OUTSIDE, (name,), says, where, lambda now: _given(now, (name,)))
    if why is Why.OUT:
        return _trial(
            How.REPAIR, (name,), f"repair or replace {name}", where, lambda now: _given(now, (name,))
        )
    return None


def of_knot(reasons: Iterable[Reason], scene: Scene, reached: Reached, lab: Lab) -> Iterator[Trial]:
    """What could cut circles: one trial for each place of the lab file, and each stand-in, that could do it."""
    listed = list(reasons)
    for stand_in in lab.of(StandIn):
        covered = tuple(
            each for each in (stand_in.for_.ids if stand_in.for_ else ()) if each in {r.on for r in listed}
        )
        if covered and _stands(stand_in, reached):
            yield _trial(
                How.STAND_IN,
                covered,
                f"set up {stand_in.id} in place of {few(covered)}",
                stand_in.where,
                lambda now, covered=covered: _given(now, covered),  # type: ignore[misc]
            )
    tried: set[tuple[object, ...]] = set()
    for reason in listed:
        thing = scene.support.things[reason.thing]
        for lean in thing.leans:
            key = (lean.on, lean.role, lean.where, owner(lab.things, thing.id))
            if reason.on in lean.on and counted(lean) and key not in tried:
                tried.add(key)
                yield from _cut(lean, reason, scene, reached, lab)
        if reason.on in thing.after_all and ("last", owner(lab.things, thing.id)) not in tried:
            tried.add(("last", owner(lab.things, thing.id)))
            copies = _copies(owner(lab.things, thing.id), lab)
            yield _trial(
                How.KNOW_LAST,
                copies,
                f"find out which copy of {owner(lab.things, thing.id)} stopped last, and start that one first",
                thing.where,
                lambda now, copies=copies: _changed(  # type: ignore[misc]
                    now, copies, lambda each: replace(each, after_all=())
                ),
                on=reason.on,
            )


def _cut(lean: Lean, reason: Reason, scene: Scene, reached: Reached, lab: Lab) -> Iterator[Trial]:
    """A change to one place of the lab file that stops somebody from waiting."""
    things = scene.support.things
    asks = owner(lab.things, reason.thing)
    if lean.role is Role.KEPT:
        short = lean.enough - sum(each in reached.back for each in lean.on)
        shares = (
            "" if lean.enough == 1 else f"{'one more share' if short == 1 else f'{short} more shares'} of "
        )
        yield _trial(
            How.KEEP_ELSEWHERE,
            (reason.thing,),
            f"keep {shares}{reason.thing} also where it can be read while all is down, such as on paper",
            lean.where,
            lambda now: _loosened(now, (reason.thing,), lean, lean.enough - short),
            on=reason.on,
        )
    if lean.role is not Role.NEED:
        return
    among = {reason.thing, *_copies(asks, lab)}
    by_place: dict[Where | None, str] = {
        each.place("named"): each.id for each in lab.of(Service) if each.named is not None
    }
    named = by_place.get(lean.where)
    if named is not None:
        how, says = (
            How.FIXED_ADDRESS,
            f"let {asks} reach {named} by a fixed address, so that it need not ask {reason.on}",
        )
    elif things[reason.thing].word == "key":
        how, says = How.RENEW, f"renew {reason.thing} by hand, without {reason.on}"
    elif any(
        (node := lab.things.get(ThingId(place))) is not None
        and getattr(node, "clock_from", None) is not None
        and node.place("clock_from") == lean.where
        for place in things[reason.thing].places
    ):
        among = {name for name, each in things.items() if any(it.where == lean.where for it in each.leans)}
        hosts = few(things[reason.thing].places)
        how, says = How.OWN_TIME, f"let {hosts} have the time from somewhere else than {reason.on}"
    else:
        among |= {
            name
            for name, each in things.items()
            if lean.where is not None and any(it.where == lean.where for it in each.leans)
        }
        owners = dict.fromkeys(owner(lab.things, each) for each in things if each in among)
        how, says = (
            How.DO_WITHOUT,
            f"let {few(tuple(owners))} start without {few(lean.on)}, or from a copy of its own",
        )
    yield _trial(
        how,
        tuple(name for name in things if name in among),
        says,
        lean.where,
        lambda now: _loosened(now, tuple(among), lean, 0),
        on=reason.on,
    )


def _trial(
    how: How,
    things: tuple[str, ...],
    says: str,
    where: Where | None,
    apply: Callable[[Scene], Scene],
    *,
    on: str = "",
) -> Trial:
    by_hand = how in (
        How.SWITCH_ON,
        How.START_FIRST,
        How.START_AGAIN,
        How.COME,
        How.RENEW,
        How.OUTSIDE,
        How.REPAIR,
        How.STAND_IN,
        How.KNOW_LAST,
    )
    return Trial(
        mend=Mend(how=how, things=things, on=on, says=says, where=where, by_hand=by_hand),
        apply=apply,
    )


def _copies(service: str, lab: Lab) -> tuple[str, ...]:
    return tuple(each.id for each in lab.of(Copy) if each.service == service)


def _changed(scene: Scene, names: Iterable[str], change: Callable[[Support], Support]) -> Scene:
    things: dict[str, Support] = dict(scene.support.things)
    for name in names:
        things[name] = change(things[name])
    return _with(scene, things)


def _with(scene: Scene, things: Mapping[str, Support]) -> Scene:
    return replace(scene, support=replace(scene.support, things=things))


def _woken(scene: Scene, names: tuple[str, ...]) -> Scene:
    """Hands switch them on, once they are there."""
    return _changed(
        scene, names, lambda each: replace(each, stays_off=False, wakes_s=each.wakes_s + scene.hands_s)
    )


def _given(scene: Scene, names: tuple[str, ...]) -> Scene:
    """Whatever leans on them finds them there; that it also sees them is taken for granted."""
    gone = frozenset(names)

    def freed(thing: Support) -> Support:
        leans = []
        for lean in thing.leans:
            enough = lean.enough - sum(each in gone for each in lean.on)
            on = tuple(each for each in lean.on if each not in gone)
            if enough > 0:
                leans.append(replace(lean, on=on, enough=enough))
        waits = tuple(each for each in thing.after_all if each not in gone)
        return replace(thing, leans=tuple(leans), after_all=waits)

    return _with(scene, {name: freed(thing) for name, thing in scene.support.things.items()})


def _loosened(scene: Scene, names: Iterable[str], like: Lean, enough: int) -> Scene:
    """They need only so many of what they lean on to start; what they need to run, they still do."""

    def eased(lean: Lean) -> Iterator[Lean]:
        if (lean.on, lean.role, lean.where) != (like.on, like.role, like.where):
            yield lean
        elif enough:
            yield replace(lean, enough=enough)
        elif Phase.RUN in lean.phases and like.role is not Role.KEPT:
            yield replace(lean, phases=RUN_ONLY)

    return _changed(
        scene,
        names,
        lambda each: replace(each, leans=tuple(new for lean in each.leans for new in eased(lean))),
    )


def _stands(stand_in: StandIn, reached: Reached) -> bool:
    """Whether what a stand-in needs is up."""
    needs: tuple[Need, ...] = ()
    if stand_in.needs is not None:
        needs = (*stand_in.needs.run_and_start, *stand_in.needs.to_start, *stand_in.needs.awaited)
    hosted = stand_in.on is None or any(each in reached.back for each in stand_in.on.ids)
    return hosted and all(
        need.soft or sum(each in reached.back for each in need.of.ids) >= (need.enough or 1) for need in needs
    )
