"""What is said of a fault tree?"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class TreeCut:
    """A minimal cut set.

    Attributes:
        events: names, in the order of the file.
        chance: that all of them happen; None where one has no probability.
    """

    events: tuple[str, ...]
    chance: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class EventWeight:
    """How much an event matters; the figures are those of `falsework.engines.importance`.

    Attributes:
        event: its name.
        chance: its own probability.
        birnbaum: how much the top event's probability changes with it.
        criticality: the share of the top event's probability that goes where it can't happen.
        diagnosis: the chance that it has happened, given the top event (Fussell-Vesely in one usage).
        achievement: risk achievement worth.
        reduction: risk reduction worth; infinity where the top event can't happen without it.
    """

    event: str
    chance: float
    birnbaum: float
    criticality: float
    diagnosis: float
    achievement: float
    reduction: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TreeAnswer:
    """Everything that was found out.

    Attributes:
        name: of the tree.
        top: name of its top event.
        events: how many basic events the top leans on.
        gates: how many gates.
        unreached: what the file defines and the top does not lean on.
        coherent: whether no gate negates.
        chance: of the top event; None where only bounds are known, or not even they.
        lower, upper: proven bounds of it; equal to it where it is exact; None where probabilities are missing.
        lacking: events without a probability.
        total: minimal cut sets, exactly; None where they could not be counted.
        by_order: how many have one event, two, ...; empty where they could not be counted.
        likeliest: the likeliest of them, likeliest first; without probabilities, the smallest.
        weights: of each event, by criticality, the largest first; empty where the chance is not exact.
        left: why something is not told: which bound was hit; empty where nothing is missing.
    """

    name: str
    top: str
    events: int
    gates: int
    unreached: tuple[str, ...]
    coherent: bool
    chance: float | None
    lower: float | None
    upper: float | None
    lacking: tuple[str, ...]
    total: int | None
    by_order: tuple[int, ...]
    likeliest: tuple[TreeCut, ...]
    weights: tuple[EventWeight, ...]
    left: str
