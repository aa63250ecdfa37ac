"""How long do data last in a group of drives that fail, are rebuilt and may not be readable meanwhile?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import expm1, log1p

from falsework.engines.durability.formulas import expected_read_errors, positive
from falsework.engines.durability.group import Group, rebuild_of, rebuild_s
from falsework.engines.durability.redundant import Alike
from falsework.engines.durability.solving import mean_time, within
from falsework.engines.durability.states import Out, Rules, Shock, chain_of
from falsework.units import YEAR_S


@dataclass(frozen=True, slots=True, kw_only=True)
class Durability:
    """How durable data is; all chances within `horizon_s` from a start with everything well.

    Attributes:
        horizon_s: over how long.
        mean_s: mean time until data is lost; infinite where it never is.
        lost: the chance that some data is lost: the next three together.
        alone: because one drive too many failed by itself.
        reading: because a sector could not be read when nothing was left to make it from.
        together: because a cause took several at once.
        exposed_s: mean time with no redundancy left, seconds within the horizon.
        rebuild_s: of one drive of each class while all others are there, by group and class.
    """

    horizon_s: float
    mean_s: float
    lost: float
    alone: float
    reading: float
    together: float
    exposed_s: float
    rebuild_s: tuple[tuple[float, ...], ...]


def durability(group: Group, *, reads: bool = True, horizon_s: float = YEAR_S) -> Durability:
    """How durable the data of one group is, by an exact chain of its states.

    Failures come at constant rates, rebuilds take times that are exponentially distributed around their mean. A read
    error loses data only in a rebuild that has no redundancy left (or in a copy with one good source); it then counts
    as a loss although mostly a single sector is gone. A cause in common takes all of a batch that still work.

    Args:
        group: the drives.
        reads: whether read errors are counted; the field disputes how far to trust the rates on data sheets, so
            ask for both.
        horizon_s: over how long, seconds; a year if not said.

    Raises:
        QuestionError: out of bounds.

    Cost:
        A few milliseconds for a dozen drives of three classes.

    Source:
        Standard Markov model of redundant drives, as behind D. A. Patterson, G. Gibson, R. H. Katz (1988), SIGMOD, with
        K. N. Fleming's (1974) beta factor. Our own: the branch at the last rebuild.
    """
    return series((group,), reads=reads, horizon_s=horizon_s)


def series(
    groups: Sequence[Group], *, reads: bool = True, horizon_s: float = YEAR_S, rough: bool = False
) -> Durability:
    """How durable data is that lies in stripes over several groups: losing any group loses it.

    Each group is solved by itself. Causes that would take more of some group than it bears are counted once for all of
    them, exactly; those that only weaken several groups at once are taken as if they came to each by itself. The mean
    time of several groups adds their rates of loss up, which holds as long as it is far longer than a rebuild.

    Args:
        groups: one or more; each rebuilds by itself.
        reads: as `durability`.
        horizon_s: as `durability`.
        rough: as `solved`.

    Raises:
        QuestionError: out of bounds.
    """
    positive(horizon_s=horizon_s)
    shared = batch_rates(each for group in groups for each in group.members)
    # With one group its chain holds them all, and even the mean time is exact.
    fatal = frozenset(
        name for name in shared if len(groups) > 1 and any(_is_fatal(name, group) for group in groups)
    )
    killed = sum(shared[name] for name in sorted(fatal))
    return _together(
        [
            _solved(
                group,
                tuple((name, rate) for name, rate in shared.items() if name in _batches(group)),
                fatal & _batches(group),
                reads,
                horizon_s,
                rough,
            )
            for group in groups
        ],
        killed,
        horizon_s,
    )


@lru_cache(maxsize=4096)
def _solved(
    group: Group,
    shared: tuple[tuple[str, float], ...],
    fatal: frozenset[str],
    reads: bool,
    horizon_s: float,
    rough: bool,
) -> Durability:
    """One group; kept, since many layouts have groups that are alike."""
    return solved(_rules(group, dict(shared), fatal, reads), horizon_s, rebuild_s(group), rough=rough)


def _batches(group: Group) -> frozenset[str]:
    return frozenset(each.batch for each in group.members if each.batch)


def solved(rules: Rules, horizon_s: float, each_s: tuple[float, ...], *, rough: bool = False) -> Durability:
    """How durable data is whose drives keep these rules.

    Args:
        rules: of one group or pool.
        horizon_s: over how long.
        each_s: what a rebuild takes, by class.
        rough: only from the mean time, as if losses came at one rate from the start: ten times as fast, close where
            the horizon is far longer than a rebuild; all losses are told as `alone`, and no exposed time.
    """
    chain = chain_of(rules)
    if rough:
        mean_s = mean_time(chain)
        lost = -expm1(-horizon_s / mean_s)
        return Durability(
            horizon_s=horizon_s,
            mean_s=mean_s,
            lost=lost,
            alone=lost,
            reading=0.0,
            together=0.0,
            exposed_s=0.0,
            rebuild_s=(each_s,),
        )
    after = within(chain, horizon_s)
    alone, reading, together = (float(each) for each in after.ended)
    return Durability(
        horizon_s=horizon_s,
        mean_s=mean_time(chain),
        lost=min(alone + reading + together, 1.0),
        alone=alone,
        reading=reading,
        together=together,
        exposed_s=min(after.counted, horizon_s),
        rebuild_s=(each_s,),
    )


def _together(parts: Sequence[Durability], killed: float, horizon_s: float) -> Durability:
    """Several groups as one, any of which loses, with what takes them all at a rate `killed`."""
    if len(parts) == 1:
        return parts[0]
    survives = sum(log1p(-each.lost) if each.lost < 1 else float("-inf") for each in parts)
    rate = killed + sum(1 / each.mean_s for each in parts)
    lost = -expm1(survives - killed * horizon_s)
    alone, reading = sum(each.alone for each in parts), sum(each.reading for each in parts)
    together = sum(each.together for each in parts) - expm1(-killed * horizon_s)
    # Ways overlap where several groups lose; told by way, they still add up to the whole.
    scale = lost / (alone + reading + together) if lost else 0.0
    return Durability(
        horizon_s=horizon_s,
        mean_s=1 / rate if rate else float("inf"),
        lost=lost,
        alone=alone * scale,
        reading=reading * scale,
        together=together * scale,
        exposed_s=min(sum(each.exposed_s for each in parts), horizon_s),
        rebuild_s=tuple(times for each in parts for times in each.rebuild_s),
    )


def _is_fatal(batch: str, group: Group) -> bool:
    """Whether a group that is well does not bear the loss of all that it has of a batch."""
    return sum(each.count for each in group.members if each.batch == batch) > group.tolerated


def batch_rates(classes: Iterable[Alike]) -> dict[str, float]:
    """For each batch with two members or more, how often its cause in common comes, in a second.

    The mean over its members of share x rate, as for all shared causes of a lab.
    """
    found: defaultdict[str, list[float]] = defaultdict(list)
    for each in classes:
        if each.batch:
            found[each.batch] += [each.in_common * each.rate] * each.count
    often = {name: sum(rates) / len(rates) for name, rates in found.items() if len(rates) > 1}
    return {name: rate for name, rate in often.items() if rate > 0}


def alone_rates(members: Sequence[Alike], shared: Mapping[str, float]) -> tuple[float, ...]:
    """Of each class, how often one fails by itself, in a second: what no counted cause in common takes.

    Args:
        members: by class.
        shared: the batches whose causes are counted, as `batch_rates` gives them.
    """
    return tuple(each.rate * (1 - each.in_common * (each.batch in shared)) for each in members)


def shocks(
    members: Sequence[Alike], shared: Mapping[str, float], leaving_out: Collection[str]
) -> tuple[Shock, ...]:
    """The causes in common as they come to a group, in order of their names.

    Args:
        members: by class.
        shared: as `alone_rates`.
        leaving_out: batches whose causes are counted elsewhere.
    """
    return tuple(
        Shock(rate=rate, takes=tuple(each.count * (each.batch == name) for each in members))
        for name, rate in sorted(shared.items())
        if name not in leaving_out and any(each.batch == name for each in members)
    )


def _rules(group: Group, shared: Mapping[str, float], fatal: Collection[str], reads: bool) -> Rules:
    """The group as rules of a chain."""
    members = group.members
    counts = tuple(each.count for each in members)
    alone = alone_rates(members, shared)

    def failing(out: Out) -> list[float]:
        return [(n - k) * rate for n, k, rate in zip(counts, out, alone, strict=True)]

    def rebuilding(out: Out) -> list[float]:
        there = [n - k for n, k in zip(counts, out, strict=True)]
        return [1 / rebuild_of(group, index, there) for index in range(len(members))]

    def reading(out: Out) -> float:
        if not reads:
            return 0.0
        expected = sum(
            (each.count - k) * expected_read_errors(bytes_read=each.size_bytes, per_bit=each.read_errors)
            for each, k in zip(members, out, strict=True)
        )
        return -expm1(-expected)

    return Rules(
        classes=len(members),
        tolerated=group.tolerated,
        failing=failing,
        rebuilding=rebuilding,
        reading=reading,
        fatal=1.0,
        at_once=group.at_once,
        spares=group.spares,
        spare_comes_s=group.spare_comes_s,
        shocks=shocks(members, shared, fatal),
    )
