"""What does every single loss do, and every cause that several parts share, with those that do the same together?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from falsework.analyses.verdicts import Singles, verdict_rows
from falsework.model.parts import Part
from falsework.support.standing import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Alike:
    """Losses that do the same.

    Attributes:
        losses: ids of parts, or names of causes; any one of them is the loss.
        verdicts: values of `Verdict` for each service.
    """

    losses: tuple[str, ...]
    verdicts: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Failures:
    """Everything that can be lost by one cause.

    Attributes:
        services: in lab order.
        alike: all losses, by what they do; what does nothing too.
        words: what each loss is: `node`, `cable`, `batch`, ...
        members: the parts that a shared cause takes away together.
    """

    services: tuple[str, ...]
    alike: tuple[Alike, ...]
    words: Mapping[str, str]
    members: Mapping[str, tuple[str, ...]]


def failures(standing: Standing, singles: Singles) -> Failures:
    """The single losses of `singles`, and the loss of all parts of one batch or of one firmware at once.

    Args:
        standing: the lab.
        singles: what losing each part by itself does.
    """
    members = causes(standing)
    groups: dict[tuple[int, ...], list[str]] = {}
    for part, column in zip(singles.parts, singles.verdicts.T.tolist(), strict=True):
        groups.setdefault(tuple(column), []).append(part)
    sets = [list(parts) for parts in members.values()]
    if sets:
        rows = verdict_rows(standing, standing.service_rows(sets))
        for name, column in zip(members, rows.T.tolist(), strict=True):
            groups.setdefault(tuple(column), []).append(name)
    things = standing.support.things
    return Failures(
        services=singles.services,
        alike=tuple(Alike(losses=tuple(losses), verdicts=verdicts) for verdicts, losses in groups.items()),
        words={
            **{part: things[part].word for part in singles.parts},
            **{name: name.split(" ", 1)[0] for name in members},
        },
        members=members,
    )


def causes(standing: Standing) -> Mapping[str, tuple[str, ...]]:
    """The parts of each batch and of each firmware, where there are several that are not out."""
    found: dict[str, list[str]] = {}
    known = frozenset(standing.parts)
    for part in standing.lab.of(Part):
        for word, of in (("batch", part.batch), ("firmware", part.firmware)):
            if of and part.id in known:
                found.setdefault(f"{word} {of}", []).append(part.id)
    return {name: tuple(parts) for name, parts in found.items() if len(parts) > 1 and name not in known}
