"""What do the published short formulas say of redundant drives?

They are here to be looked up and to hold the chain of `falsework.engines.durability.chain` against; each says
what it leaves out.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import comb, exp, expm1, floor, log1p

from falsework.errors import QuestionError

HOURS_PER_YEAR = 8760.0
"""Hours of a year of 365 days, as data sheets and drive reports take it."""


def positive(**values: float) -> None:
    """Let numbers above 0 pass.

    Raises:
        QuestionError: one is not a finite number above 0.
    """
    for name, value in values.items():
        if not 0 < value < float("inf"):
            raise QuestionError(f"{name.replace('_', ' ')} is {value!r}", "Give a finite number above 0.")


def not_negative(**values: float) -> None:
    """Let numbers of 0 or more pass.

    Raises:
        QuestionError: one is not a finite number of 0 or more.
    """
    for name, value in values.items():
        if not 0 <= value < float("inf"):
            raise QuestionError(f"{name.replace('_', ' ')} is {value!r}", "Give a finite number, 0 or more.")


def array_mttdl(*, mttf: float, mttr: float, data: int, group: int, check: int) -> float:
    """The mean time until an array of groups that bear one fault each loses data; in the unit of `mttf`.

    MTTF^2 / ((D + C nG) (G + C - 1) MTTR), with nG = D / G groups.
    It leaves out read errors, common causes, and that a second fault may come before the first is even noticed.

    Args:
        mttf: mean time to failure of one drive.
        mttr: mean time to repair it.
        data: D, drives' worth of data in the whole array; a multiple of `group`.
        group: G, drives' worth of data in one group.
        check: C, check drives in one group; 0 for an array without redundancy: MTTF / D.

    Raises:
        QuestionError: out of bounds.

    Source:
        D. A. Patterson, G. Gibson, R. H. Katz (1988), A case for redundant arrays of inexpensive disks, SIGMOD.
    """
    positive(mttf=mttf, mttr=mttr, data=data, group=group)
    not_negative(check=check)
    if data % group:
        raise QuestionError(
            f"{data} drives of data do not make whole groups of {group}", "Give a multiple of the group."
        )
    if check == 0:
        return mttf / data
    groups = data // group
    return mttf**2 / ((data + check * groups) * (group + check - 1) * mttr)


def pair_mttdl(*, mttf: float, mttr: float) -> float:
    """The mean time until a mirrored pair loses data: MTTF^2 / (2 MTTR); in the unit of `mttf`.

    Raises:
        QuestionError: not above 0.

    Source:
        As `array_mttdl`, with one drive of data and one check drive.
    """
    return array_mttdl(mttf=mttf, mttr=mttr, data=1, group=1, check=1)


def drives_for(*, mttf: float, wanted: float) -> int:
    """How many drives without redundancy may be together for a wanted mean time to the first failure.

    Raises:
        QuestionError: not above 0.

    Source:
        Failure rates of a series add up: MTTF of n is MTTF / n.
    """
    positive(mttf=mttf, wanted=wanted)
    # A quotient that is whole but for the last bit counts as whole.
    return floor(mttf / wanted * (1 + 1e-12))


def usable_share(data: int, check: int) -> float:
    """The share of raw room that is left for data: k / (k + m).

    A mirror is 1 and 1, parity over n drives n - 1 and 1.

    Raises:
        QuestionError: no data, or less than no check piece.

    Source:
        Definition.
    """
    positive(data=data)
    not_negative(check=check)
    return data / (data + check)


def rebuild_floor_s(*, size_bytes: float, bytes_per_s: float) -> float:
    """The shortest time in which a drive can be read or written whole, seconds: size / rate.

    Raises:
        QuestionError: not above 0.

    Source:
        Definition; common practice. Real rebuilds under load take longer.
    """
    positive(size_bytes=size_bytes, bytes_per_s=bytes_per_s)
    return size_bytes / bytes_per_s


@dataclass(frozen=True, slots=True)
class YearlyRate:
    """A mean time to failure told as a rate.

    Attributes:
        linear: failures of a drive in a year, as data sheets say it: 8760 h / MTTF.
        chance: that one given drive fails within a year: 1 - exp(-linear).
    """

    linear: float
    chance: float


def yearly_rate(mttf_h: float) -> YearlyRate:
    """The annualised failure rate that a data sheet's mean time to failure stands for.

    Args:
        mttf_h: hours.

    Raises:
        QuestionError: not above 0.

    Source:
        B. Schroeder, G. A. Gibson (2007), Disk failures in the real world, FAST, abstract: 1,000,000 h are 0.88 %.
    """
    positive(mttf_h=mttf_h)
    linear = HOURS_PER_YEAR / mttf_h
    return YearlyRate(linear=linear, chance=-expm1(-linear))


def observed_rate(*, failures: float, drive_days: float) -> float:
    """Failures of a drive in a year of 365 days, from failures counted over days of running.

    Raises:
        QuestionError: less than no failure, or no day.

    Source:
        The definition that published drive reports use: failures / drive-days x 365 (from memory).
    """
    not_negative(failures=failures)
    positive(drive_days=drive_days)
    return failures / drive_days * 365


def expected_read_errors(*, bytes_read: float, per_bit: float) -> float:
    """How many sectors are expected not to be readable: bits read x rate.

    The rate on a data sheet is an upper bound, and what the field sees is disputed: say it with that.

    Raises:
        QuestionError: a negative number.

    Source:
        S. R. Hetzler (2012), storage series, part 2: 8 % for each TB at 1e-14 per bit.
    """
    not_negative(bytes_read=bytes_read, per_bit=per_bit)
    return 8 * bytes_read * per_bit


def read_error_chance(*, bytes_read: float, per_bit: float) -> float:
    """The chance of at least one unreadable sector: 1 - exp(-n), n as `expected_read_errors`.

    It takes errors to be independent; real ones come in clusters, which makes none at all more likely.

    Raises:
        QuestionError: a negative number.

    Source:
        As `expected_read_errors`; the Poisson law.
    """
    return -expm1(-expected_read_errors(bytes_read=bytes_read, per_bit=per_bit))


def bytes_per_read_error(per_bit: float) -> float:
    """How many bytes are read for each expected error.

    Raises:
        QuestionError: not above 0.

    Source:
        Definition.
    """
    positive(per_bit=per_bit)
    return 1 / (8 * per_bit)


@dataclass(frozen=True, slots=True, kw_only=True)
class Period:
    """What the period model says of pieces spread over drives.

    Attributes:
        fails: chance that one given piece is lost in one period.
        lost: chance that too many are lost in one period.
        lost_in_year: chance that this happens in some period of a year.
    """

    fails: float
    lost: float
    lost_in_year: float


def period_model(*, data: int, check: int, rate_per_year: float, period_days: float) -> Period:
    """The chance that pieces of an erasure code are lost, counted period by period.

    p = 1 - exp(-A R / 365); lost where more than m of the k + m pieces fail within one period R, at the end of which
    all are whole again; 1 - (1 - P)^(365 / R) in a year. It leaves out failures that overlap from one period into the
    next, and common causes.

    Args:
        data: k, pieces that are needed.
        check: m, pieces that may be lost.
        rate_per_year: A, failures of one drive in a year of 365 days.
        period_days: R, how long a lost piece takes to be there again.

    Raises:
        QuestionError: out of bounds.

    Source:
        The open model `erasure-coding-durability` (README): binomial over periods.
    """
    positive(data=data, period_days=period_days)
    not_negative(check=check, rate_per_year=rate_per_year)
    n = data + check
    exponent = rate_per_year * period_days / 365
    fails, stays = -expm1(-exponent), exp(-exponent)
    lost = sum(comb(n, lost) * fails**lost * stays ** (n - lost) for lost in range(check + 1, n + 1))
    periods = 365 / period_days
    in_year = -expm1(periods * log1p(-lost)) if lost < 1 else 1.0
    return Period(fails=fails, lost=lost, lost_in_year=in_year)
