"""What does an answer on room look like to a program?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from falsework.analyses.room import (
    RESOURCES,
    After,
    Amounts,
    Heal,
    Homeless,
    More,
    PoolLeft,
    RoomLeft,
    StoreRoom,
)
from falsework.analyses.room.telling import (
    headline,
    heal_says,
    homeless_help,
    homeless_mend,
    homeless_why,
    loss_says,
    store_says,
)
from falsework.faces.errors import place
from falsework.faces.head import head
from falsework.findings.finding import DATA_CAUTION
from falsework.support.standing import Standing

Plain = dict[str, Any]


def room_answer(standing: Standing, found: RoomLeft, status: int) -> Plain:
    """The room that each loss leaves, what could be added, and the stores."""
    return {
        **head("room", standing, status),
        "fits": found.fits,
        "says": headline(found),
        "aimed": found.aimed,
        "losses": [_after(each) for each in found.after],
        "more": [_more(each) for each in found.more],
        "counted": found.counted,
        "overfull": [{"host": hole.host, "left": _amounts(hole.left)} for hole in found.overfull],
        "stores": [_store(each) for each in found.stores],
        "unsized": list(found.unsized),
        "caution": DATA_CAUTION if found.stores else "",
    }


def _after(each: After) -> Plain:
    return {
        "lost": each.lost or None,
        "says": loss_says(each) if each.homeless else "",
        "pools": [_pool(pool) for pool in each.pools],
    }


def _pool(pool: PoolLeft) -> Plain:
    return {
        "pool": pool.pool,
        "gone": list(pool.gone),
        "restarts": [{"copy": one.copy, "from": one.start, "to": one.end} for one in pool.restarts],
        "left_out": list(pool.left_out),
        "homeless": [_homeless(one) for one in pool.homeless],
        "holes": [{"host": hole.host, "left": _amounts(hole.left)} for hole in pool.holes],
        "sure": pool.sure,
    }


def _homeless(one: Homeless) -> Plain:
    return {
        "copy": one.copy,
        "service": one.service,
        "takes": _amounts(one.takes),
        "largest": _amounts(one.largest),
        "missing": _amounts(one.missing),
        "free": _amounts(one.free),
        "reason": one.reason,
        "moving_helps": one.helped,
        "fits_alone": one.alone,
        "give": {"host": one.give, "lacks": _amounts(one.lacks)} if one.give else None,
        "why": [says for says in (homeless_why(one), homeless_help(one)) if says],
        "mend": homeless_mend(one),
        "where": place(one.where),
    }


def _more(each: More) -> Plain:
    return {
        "pool": each.pool,
        "of": each.of,
        "least": each.least,
        "most": each.most,
        "hosts": list(each.hosts),
        "where": place(each.where),
    }


def _store(store: StoreRoom) -> Plain:
    return {
        "store": store.store,
        "says": store_says(store),
        "layout": store.layout,
        "apart": store.apart,
        "out": list(store.out),
        "raw_bytes": store.raw,
        "usable_bytes": store.usable,
        "used_bytes": store.used,
        "over_bytes": store.over,
        "full_in_s": store.full_in_s if math.isfinite(store.full_in_s) else None,
        "domains": [
            {"name": each.name, "bytes": each.size, "drives": list(each.drives)} for each in store.domains
        ],
        "held": [
            {"what": each.what, "sort": each.sort, "bytes": each.size, "grows_bytes_s": each.grows}
            for each in store.held
        ],
        "unsized": list(store.unsized),
        "losses": [_heal(store, each) for each in store.heals],
        "where": place(store.where),
    }


def _heal(store: StoreRoom, each: Heal) -> Plain:
    return {
        "lost": each.lost,
        "drives": list(each.drives),
        "says": heal_says(store, _one(each)),
        "survives": each.survives,
        "heals": each.heals,
        "reason": each.reason,
        "usable_bytes": each.usable,
        "rewritten_bytes": each.rewritten,
        "least_s": each.floor_s,
        "slowest": each.slowest,
    }


def _one(each: Heal) -> Sequence[Heal]:
    return (each,)


def _amounts(amounts: Amounts) -> Plain:
    """By resource, in base units; null where nobody said how much there is."""
    return {
        name: amount if math.isfinite(amount) else None
        for name, amount in zip(RESOURCES, amounts, strict=True)
    }
