"""What is a diagnosis?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from falsework.analyses.explain import Reason

STANDS_OUT = 10.0
"""Odds against the next cause from which the first one stands out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """One thing that is known: a probe is answered or is not, a lamp is lit or dark.

    Attributes:
        name: of the probe, service or part, as it was said.
        thing: the thing of the graph that stands if the answer is yes.
        yes: whether it was answered, or lit.
        looked: whether it was looked at by eye rather than asked.
        false_alarms: chance of a no although the thing stands.
        misses: chance of a yes although it does not.
        assumed: whether nobody gave these two.
        seen: what is said of what is looked at: that it is lit, or dark; or good, or bad.
    """

    name: str
    thing: str
    yes: bool
    looked: bool
    false_alarms: float
    misses: float
    assumed: bool
    seen: tuple[str, str] = ("lit", "dark")

    @property
    def says(self) -> str:
        """A clause: "mail fails"."""
        if self.looked:
            return f"{self.name} is {self.seen[not self.yes]}"
        return f"{self.name} {'is answered' if self.yes else 'fails'}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """One set of things that may have happened, and nothing else that matters here.

    Attributes:
        parts: for each failed part, those it may be: alike in all that is known, so that any of them would do; the
            likeliest first.
        shares: of each of these the chance that it is out, given that it is this cause.
        shared: names of shared causes that took all their parts at once.
        programs: services and copies among all of these: they fail by themselves, and no part of the lab.
        lost: one part of each, and all parts of the shared causes: what is lost if it was these.
        posterior: the chance that it is this and nothing else that could matter, given all that is known.
        in_all: the chance that all of it is out, whatever else is.
        against: its odds against the next one of the list; infinite where there is none.
        explains: reports that it makes likely, by name.
        errs: reports of something that fails though it would stand, by name.
        contradicts: reports that something is answered, or lit, which would not be, as clauses.
        speaks_against: all reports that it makes unlikely, as clauses.
        brings_down: services that it brings down besides, of which nothing was said.
        chains: the reasons from each failing report to the lost parts, by the report's name.
    """

    parts: tuple[tuple[str, ...], ...]
    shares: tuple[tuple[float, ...], ...]
    shared: tuple[str, ...]
    programs: frozenset[str]
    lost: tuple[str, ...]
    posterior: float
    in_all: float
    against: float
    explains: tuple[str, ...]
    errs: tuple[str, ...]
    contradicts: tuple[str, ...]
    speaks_against: tuple[str, ...]
    brings_down: tuple[str, ...]
    chains: Mapping[str, tuple[Reason, ...]]

    @property
    def out(self) -> tuple[str, ...]:
        """Those of `lost` that are parts of the lab."""
        return tuple(name for name in self.lost if name not in self.programs)

    @property
    def nothing(self) -> bool:
        """Whether it is that nothing is out, and the answers err."""
        return not self.parts and not self.shared


@dataclass(frozen=True, slots=True, kw_only=True)
class Next:
    """One question more that could be put.

    Attributes:
        how: `probe`, `ping`, `controller`, `service`, `program`, `lamp` or `swap`.
        name: what it is put to.
        says: what to do, a clause that begins with a verb.
        option: how the answer is told on the command line, where `yes` and `no` stand for its two outcomes.
        yes: the chance that it is answered, or lit, or found good.
        gain_bits: how much it is expected to tell of which cause it was.
        minutes: how long it takes.
        hands: whether someone has to be there.
    """

    how: str
    name: str
    says: str
    option: tuple[str, str]
    yes: float
    gain_bits: float
    minutes: float
    hands: bool

    @property
    def bits_a_minute(self) -> float:
        """What it is ranked by."""
        return self.gain_bits / self.minutes


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagnosis:
    """What may have broken, likeliest first.

    Attributes:
        reports: what is known.
        causes: the likeliest few; not those that are one of them and something besides that changes nothing here.
        rest: the chance of all causes that are not listed.
        left_out: what all sets that were not worked out weigh at most, against those that were.
        tried: how many sets of parts were asked.
        chance_of: of each part that can matter here the chance that it is out.
        unseen_s: parts known to be out apart, how long ago something may have failed that nobody knows of, seconds.
        since_s: how long ago the trouble began, seconds; None if everything has settled.
        unknown_bits: how much of which parts it was is unknown.
        next: what to ask next, the most told for the least effort first.
        assumed: sentences on what was assumed.
    """

    reports: tuple[Report, ...]
    causes: tuple[Cause, ...]
    rest: float
    left_out: float
    tried: int
    chance_of: Mapping[str, float]
    unseen_s: float
    since_s: float | None
    unknown_bits: float
    next: tuple[Next, ...]
    assumed: tuple[str, ...]

    @property
    def stands_out(self) -> bool:
        """Whether the first cause does, against the next one."""
        return bool(self.causes) and self.causes[0].against >= STANDS_OUT

    @property
    def failing(self) -> tuple[Report, ...]:
        """The reports that something does not stand."""
        return tuple(report for report in self.reports if not report.yes)
