"""What do some runs of a lab come to?"""

from __future__ import annotations

import io
import pickle
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Any

import numpy as np

from falsework.analyses.years.blinks import blinks
from falsework.analyses.years.data import DataLoss, data_losses
from falsework.analyses.years.fallen import fallen
from falsework.analyses.years.known import Known
from falsework.analyses.years.lived import Lived, Pieces, together
from falsework.engines.renewal.hours import Floats
from falsework.engines.renewal.plan import Ints
from falsework.engines.renewal.run import simulate
from falsework.engines.renewal.spans import Spans, begun_by_year, by_year, joined
from falsework.model.lab import Lab
from falsework.support.standing import Standing
from falsework.units import YEAR_S

SKIPPED = 1
"""Years left out at the beginning of each run, which begins with everything whole."""
COUNTED = 10
"""Years counted in each run."""
MOST_RUNS = 250
"""Runs in a block, at the most: enough for whole arrays to pay."""
AT_ONCE = 40_000
"""Units times runs in a block, about: what happens in a block must fit in memory, whatever the size of the lab."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tally:
    """What a block comes to.

    Attributes:
        down_s: (n_services, runs, COUNTED) seconds down in each year.
        begun: (n_services, runs, COUNTED) outages that began in each year, short ones too.
        longest_s: (n_services,) the longest outage that began in a counted year.
        stumbled: (n_services,) how many in counted years should have ended by themselves and did not.
        losses: of data, in counted years.
        failures: (n_units,) how often each part failed in counted years.
    """

    down_s: Floats
    begun: Ints
    longest_s: Floats
    stumbled: Ints
    losses: tuple[DataLoss, ...]
    failures: Ints


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chapter:
    """Some runs, told in full.

    Attributes:
        lived: what broke and what stood.
        pieces: every outage of every service.
        stumbled: those of them that should have ended by themselves.
        losses: of data.
    """

    lived: Lived
    pieces: Pieces
    stumbled: Pieces
    losses: tuple[DataLoss, ...]

    def spans(self, service: int) -> Spans:
        """When a service was down."""
        mine = self.pieces.service == service
        return joined(self.pieces.run[mine], self.pieces.start_s[mine], self.pieces.end_s[mine])


def runs_in(n_units: int) -> int:
    """How many runs a block of a lab has: it depends on nothing else, so that a seed gives the same years anywhere."""
    return max(2, min(MOST_RUNS, AT_ONCE // max(n_units, 1)))


def chapter(known: Known, *, seed: int, number: int, runs: int) -> Chapter:
    """Live through one block of runs.

    Args:
        known: the lab, made ready.
        seed: of the whole.
        number: of the block; each has its own stream of chance, whoever works it.
        runs: how many runs.
    """
    breaking, judging = (
        np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(number, stream))) for stream in (0, 1)
    )
    outages = simulate(known.scene.plan, runs=runs, horizon_s=(SKIPPED + COUNTED) * YEAR_S, rng=breaking)
    lived = Lived(known, outages)
    worked, stumbled = blinks(lived, judging)
    losses, restores = data_losses(lived, judging)
    return Chapter(
        lived=lived,
        pieces=together([fallen(lived), worked, stumbled, *restores]),
        stumbled=stumbled,
        losses=losses,
    )


def tally(told: Chapter) -> Tally:
    """Count what happened in the counted years."""
    known, outages = told.lived.known, told.lived.outages
    runs, count = outages.runs, len(known.services)
    down = np.zeros((count, runs, COUNTED))
    begun = np.zeros((count, runs, COUNTED), dtype=np.int64)
    longest = np.zeros(count)
    for service in range(count):
        spans = told.spans(service)
        down[service] = by_year(spans, runs=runs, skip=SKIPPED, years=COUNTED)
        begun[service] = begun_by_year(spans, runs=runs, skip=SKIPPED, years=COUNTED)
        counted = spans.start_s >= SKIPPED * YEAR_S
        longest[service] = spans.length_s[counted].max(initial=0.0)
    failed = outages.unit[outages.down_s >= SKIPPED * YEAR_S]
    return Tally(
        down_s=down,
        begun=begun,
        longest_s=longest,
        stumbled=np.bincount(
            told.stumbled.service[told.stumbled.start_s >= SKIPPED * YEAR_S], minlength=count
        ),
        losses=tuple(loss for loss in told.losses if loss.at_s >= SKIPPED * YEAR_S),
        failures=np.bincount(failed, minlength=len(known.parts)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A block of work that can be sent anywhere: called with its number, it gives its tally.

    Attributes:
        lab: packed by `packed`.
        out: parts out beforehand.
        seed: of the whole.
        runs: how many runs in all; the last block may have fewer than the others.
    """

    lab: bytes
    out: tuple[str, ...]
    seed: int
    runs: int

    def __call__(self, number: int) -> Tally:
        """The tally of one block."""
        known = _known(self.lab, self.out)
        most = runs_in(len(known.parts))
        return tally(chapter(known, seed=self.seed, number=number, runs=min(most, self.runs - number * most)))


class _Packer(pickle.Pickler):
    """Read-only mappings are packed as what they show."""

    def reducer_override(self, value: object) -> Any:  # noqa: ANN401 - pickle's own contract
        if isinstance(value, MappingProxyType):
            return _read_only, (dict(value),)
        return NotImplemented


def _read_only(mapping: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(mapping)


def packed(lab: Lab) -> bytes:
    """A lab as bytes, for workers that don't share our memory."""
    stream = io.BytesIO()
    _Packer(stream).dump(lab)
    return stream.getvalue()


@lru_cache(maxsize=2)
def _known(lab: bytes, out: tuple[str, ...]) -> Known:
    return Known(Standing(pickle.loads(lab), out=out))
