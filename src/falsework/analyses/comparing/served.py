"""When was a thing not to be reached, by everything that its probes saw?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from falsework.model.drilling import Probe
from falsework.model.parts import ThingId
from falsework.record.observed import Outage, ProbeSeen
from falsework.support.standing import Standing

APART = 5
"""Good answers in a row that tell two outages from one that flickers, at least."""
APART_S = 1.0
"""How long it has to be good besides, seconds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Served:
    """What was seen of one thing.

    While any of its probes is answered it serves somebody: the verdict on a service says the same. So it was out while
    all of its probes were not answered.

    Attributes:
        thing: its id.
        probes: those that count.
        every_s: how often the quickest of them asks, seconds.
        outages: when none was answered, in order; bounds as in `Outage`. One that flickers is one.
    """

    thing: str
    probes: tuple[str, ...]
    every_s: float
    outages: tuple[Outage, ...]


def by_thing(
    standing: Standing, probes: Sequence[ProbeSeen]
) -> tuple[Mapping[str, list[ProbeSeen]], tuple[str, ...]]:
    """The probes by what they see, and those that see nothing that is in the lab."""
    found: dict[str, list[ProbeSeen]] = {}
    unknown = []
    for each in probes:
        if each.sees in standing.support.things:
            found.setdefault(each.sees, []).append(each)
        elif not _is_of_a_store(standing, each.probe):
            unknown.append(each.probe)
    return found, tuple(unknown)


def _is_of_a_store(standing: Standing, name: str) -> bool:
    """Whether a probe shows if a store is whole, of which no verdict speaks."""
    probe = standing.lab.things.get(ThingId(name))
    return isinstance(probe, Probe) and probe.whole is not None


def served(thing: str, seen: Sequence[ProbeSeen]) -> Served:
    """What several probes saw of one thing; at least one probe."""
    every_s = min(each.every_s for each in seen)
    together, *others = (_joined(each.outages, each.every_s) for each in seen)
    for outages in others:
        together = tuple(_both(together, outages))
    return Served(
        thing=thing,
        probes=tuple(each.probe for each in seen),
        every_s=every_s,
        outages=together,
    )


def _joined(outages: Iterable[Outage], every_s: float) -> tuple[Outage, ...]:
    """Outages with hardly anything good between them made one."""
    found: list[Outage] = []
    for each in outages:
        last = found[-1] if found else None
        if last is not None and each.bad_s - last.last_bad_s < max(APART * every_s, APART_S):
            found[-1] = replace(
                last,
                last_bad_s=each.last_bad_s,
                good_again_s=each.good_again_s,
                unsure=last.unsure or each.unsure,
            )
        else:
            found.append(each)
    return tuple(found)


def _both(one: Sequence[Outage], other: Sequence[Outage]) -> Iterable[Outage]:
    """When both were out: from the later beginning to the sooner end; only where that is sure."""
    for first in one:
        for second in other:
            bad_s, last_bad_s = max(first.bad_s, second.bad_s), min(first.last_bad_s, second.last_bad_s)
            if bad_s <= last_bad_s:
                yield Outage(
                    good_s=max(first.good_s, second.good_s),
                    bad_s=bad_s,
                    last_bad_s=last_bad_s,
                    good_again_s=min(first.good_again_s, second.good_again_s),
                    told=first.told if first.bad_s >= second.bad_s else second.told,
                    says=first.says if first.bad_s >= second.bad_s else second.says,
                    unsure=first.unsure or second.unsure,
                )
