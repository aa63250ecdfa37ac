"""What fails by itself, how often, how long, and what is only believed of it?

Every part is a source of failure, and so is every cause that several parts share: with share b of a part's
failures in common, it fails by itself at (1 - b) times its rate, and all of them together at b times
their mean rate (beta factor model: K. N. Fleming 1975; C. Kirchsteiger and others; IEC 61508-6:2010 annex D).

Opinions are what one does not know of a whole sort of things: forty equal drives share one rate, so an error in
it is an error in all forty.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from falsework.engines.reliability.latent import hidden_share
from falsework.engines.reliability.spread import Lognormal, Spread, gamma_between, latin_hypercube
from falsework.engines.staged import Outages
from falsework.model.declare import a
from falsework.model.lab import Lab
from falsework.model.parts import ThingId
from falsework.support.lives import Lives, Moving, numbered
from falsework.units import YEAR_S, Quantity

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Source:
    """Something that fails by itself.

    Attributes:
        name: id of the part, or name of the shared cause.
        parts: ids of the parts that are out while it is.
        per_year: (n_columns,) failures in a year of working. Column 0 has every opinion at its mean.
        outages: how long it is out each time, seconds.
    """

    name: str
    parts: tuple[str, ...]
    per_year: Floats
    outages: Outages


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Opinion:
    """A figure that is only believed.

    Attributes:
        of: what it is about, for people.
        names: the things it is about.
        key: the key of the lab file.
        said: whether the lab file says it.
        values: (n_columns,) column 0 its mean, the others draws.
    """

    of: str
    names: tuple[str, ...]
    key: str
    said: bool
    values: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sources:
    """All sources of a lab, and the opinions that they hang on.

    Attributes:
        sources: parts in lab order, then shared causes (`falsework.support.lives.numbered`).
        opinions: in the order of the first thing that each is about.
        stumbles: (n_columns,) of each service, the chance that a take-over or restart does not work when asked.
    """

    sources: tuple[Source, ...]
    opinions: tuple[Opinion, ...]
    stumbles: Mapping[str, Floats]


def sources(lab: Lab, lives: Lives, *, draws: int, seed: int) -> Sources:
    """The sources of a lab.

    Args:
        lab: for what was said and what assumed.
        lives: how parts fail.
        draws: how many draws of all opinions, besides their means.
        seed: of the draws (Latin hypercube).
    """
    opinions = _opinions(lab, lives, draws, seed)
    share: defaultdict[str, Floats] = defaultdict(lambda: np.zeros(draws + 1))
    for cause in lives.causes:
        for part in cause.parts:
            share[part] = np.minimum(share[part] + opinions["in common", cause.name].values, 1.0)
    found: list[Source] = []
    rate: dict[str, Floats] = {}
    of_part = numbered(lives.of, lives.causes)
    for name, life in lives.of.items():
        rate[name] = opinions["fails", name].values
        outages = Outages(
            wait=np.full(draws + 1, life.before_s),
            mean=opinions["mends in", name].values,
            sigma=life.mends.sigma if isinstance(life.mends, Lognormal) else 0.0,
        )
        alone = rate[name] * np.maximum(1.0 - share[name], 1e-9)
        found.append(Source(name=name, parts=(name,), per_year=alone, outages=outages))
    for cause in lives.causes:
        longest = max(cause.parts, key=lambda part: lives.of[part].down_s)
        often = opinions["in common", cause.name].values * np.mean(
            [rate[part] for part in cause.parts], axis=0
        )
        outages = found[of_part[longest][0]].outages
        found.append(Source(name=cause.name, parts=cause.parts, per_year=often, outages=outages))
    return Sources(
        sources=tuple(found),
        opinions=tuple(dict.fromkeys(opinions.values())),
        stumbles={
            name: _stumbles(moving, opinions["stumbles", name].values, opinions["breaks unseen", name].values)
            for name, moving in lives.moving.items()
        },
    )


def _stumbles(moving: Moving, asked: Floats, unseen: Floats) -> Floats:
    """A take-over fails because it does now and then, or because it has been broken since the last drill."""
    hidden = hidden_share(unseen / YEAR_S, moving.drilled_s)
    return np.asarray(1.0 - (1.0 - np.minimum(asked, 1.0)) * (1.0 - hidden))


def _opinions(lab: Lab, lives: Lives, draws: int, seed: int) -> dict[tuple[str, str], Opinion]:
    """Each (key, thing) with the opinion it shares with all alike things."""
    assumed: set[tuple[str, str]] = {(each.key, name) for each in lab.assumptions for name in each.things}
    alike: defaultdict[tuple[object, ...], list[str]] = defaultdict(list)
    spreads: dict[tuple[object, ...], Spread] = {}
    keys: dict[tuple[object, ...], tuple[str, bool, str]] = {}

    def put(key: str, name: str, spread: Spread, sort: str, word: str) -> None:
        said = (key, name) not in assumed
        group = (key, sort if said else word, said, repr(spread))
        alike[group].append(name)
        spreads.setdefault(group, spread)
        keys.setdefault(group, (key, said, word))

    for name, life in lives.of.items():
        sort = lab.things[ThingId(name)].kind_name or name
        put("fails", name, life.fails, sort, life.word)
        put("mends in", name, life.mends, sort, life.word)
    for cause in lives.causes:
        if not cause.said:
            assumed.add(("in common", cause.name))
        put("in common", cause.name, _spread(cause.share), cause.name, "shared cause")
    for name, moving in lives.moving.items():
        put("stumbles", name, _spread(moving.stumbles), name, "service")
        put("breaks unseen", name, _spread(moving.breaks_unseen), name, "service")
    groups = list(alike)
    generator = np.random.default_rng(seed)
    drawn = (
        latin_hypercube([spreads[group] for group in groups], draws, generator)
        if draws
        else np.empty((len(groups), 0))
    )
    found: dict[tuple[str, str], Opinion] = {}
    for group, row in zip(groups, drawn, strict=True):
        key, said, word = keys[group]
        names = tuple(alike[group])
        opinion = Opinion(
            of=_told(lab, key, names, word),
            names=names,
            key="with others" if key == "in common" else key,
            said=said,
            values=np.concatenate([[spreads[group].mean], row]),
        )
        found.update({(key, name): opinion for name in names})
    return found


def _spread(quantity: Quantity) -> Spread:
    return gamma_between(quantity.low, quantity.high)


_SAYS = {
    "fails": "how often {} fails",
    "mends in": "how long mending {} takes",
    "in common": "how much {} have in common",
    "stumbles": "how often taking over or restarting {} does not work",
    "breaks unseen": "how often taking over or restarting {} breaks unseen",
}


def _told(lab: Lab, key: str, names: tuple[str, ...], word: str) -> str:
    if key == "in common":
        return _SAYS[key].format(f"the parts of {names[0]}")
    if len(names) == 1:
        return _SAYS[key].format(names[0])
    kinds = {lab.things[ThingId(name)].kind_name for name in names}
    if len(kinds) == 1 and "" not in kinds:
        return _SAYS[key].format(a(kinds.pop()))
    return _SAYS[key].format(a(word))
