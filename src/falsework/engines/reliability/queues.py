"""How long does what is broken wait for hands that are busy?

Symbols: arrival rate a (or failure rate L of each of n machines), service rate m of one server, c servers,
room for K in all, p_j share of time with j in the system. Times between are exponential, first come first served.
All rates broadcast; c, n and K are single numbers.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from falsework.engines.reliability import checked
from falsework.engines.reliability.checked import FloatArray
from falsework.errors import LimitError, QuestionError

_MOST = 100_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Queue:
    """What a queue does in the long run; arrays in the shape of the rates.

    Attributes:
        inside: mean number in the system, waiting or served.
        waiting: mean number waiting.
        time_inside: mean time in the system, of those let in.
        time_waiting: mean time until served, of those let in.
        busy: mean number of busy servers.
        must_wait: chance that one who is let in finds all servers busy.
        refused: chance to be turned away for want of room.
    """

    inside: FloatArray
    waiting: FloatArray
    time_inside: FloatArray
    time_waiting: FloatArray
    busy: FloatArray
    must_wait: FloatArray
    refused: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Workshop:
    """Machines and their repairers in the long run; arrays in the shape of the rates.

    Attributes:
        shares: (n + 1, ...), share of time with 0, 1, ... n machines down.
        down: mean number down.
        waiting: mean number down that nobody works on.
        availability: share of machines up.
        time_down: mean time from failure to working again, W.
        time_waiting: mean time until a repairer begins.
        busy: mean number of busy repairers.
    """

    shares: FloatArray
    down: FloatArray
    waiting: FloatArray
    availability: FloatArray
    time_down: FloatArray
    time_waiting: FloatArray
    busy: FloatArray


def birth_death_shares(births: ArrayLike, deaths: ArrayLike) -> FloatArray:
    """Shares of time of states 0 to m in a row: p_j = p_0 x product over i < j of births_i / deaths_i.

    Args:
        births: (m, ...), from i to i + 1, 0 or more.
        deaths: (m, ...), from i + 1 to i, above 0.

    Returns:
        (m + 1, ...), summing to 1.

    Raises:
        QuestionError: out of bounds.

    Source:
        Any book on queues; for example L. Kleinrock, Queueing Systems I (1975), ch. 3.
    """
    up, down = checked.not_negative("birth rate", births), checked.positive("death rate", deaths)
    checked.same_shape(births=up, deaths=down)
    up, down = np.broadcast_arrays(up, down)
    with np.errstate(divide="ignore"):  # a way up that is never taken: log of 0, share 0
        logs = np.concatenate((np.zeros((1, *up.shape[1:])), np.cumsum(np.log(up) - np.log(down), axis=0)))
    # From the largest, so that none runs over.
    weights = np.exp(logs - logs.max(axis=0))
    return np.asarray(weights / weights.sum(axis=0))


def mmc(arrival: ArrayLike, service: ArrayLike, servers: int) -> Queue:
    """Random arrivals to c servers, room without end (M/M/c).

    Erlang's delay formula C = B / (1 - u (1 - B)), u = a / (c m), B by its recursion; waiting C u / (1 - u).

    Args:
        arrival: a, above 0.
        service: m, above 0.
        servers: c, 1 or more; a must be below c m.

    Raises:
        QuestionError: out of bounds, or more arrives than can be served.
        LimitError: more than 100,000 servers.

    Source:
        A. K. Erlang (1917); L. Kleinrock, Queueing Systems I (1975), sec. 3.5.
    """
    a, m, c = _asked(arrival, service, servers)
    load = np.asarray(a / m)
    use = np.asarray(load / c)
    if np.any(use >= 1):
        raise QuestionError(
            f"{np.max(load):g} servers' work arrives and there are {c}", "Give more servers, or faster ones."
        )
    blocked = np.ones_like(load)
    for j in range(1, c + 1):
        blocked = load * blocked / (j + load * blocked)
    must_wait = np.asarray(blocked / (1 - use * (1 - blocked)))
    waiting = np.asarray(must_wait * use / (1 - use))
    return Queue(
        inside=np.asarray(waiting + load),
        waiting=waiting,
        time_inside=np.asarray((waiting + load) / a),
        time_waiting=np.asarray(waiting / a),
        busy=load,
        must_wait=must_wait,
        refused=np.zeros_like(load),
    )


def mmck(arrival: ArrayLike, service: ArrayLike, servers: int, room: int) -> Queue:
    """Random arrivals to c servers with room for K in all, served ones included (M/M/c/K).

    Args:
        arrival: a, above 0; may exceed what can be served.
        service: m, above 0.
        servers: c, 1 or more.
        room: K, at least c.

    Raises:
        QuestionError: out of bounds.
        LimitError: room for more than 100,000.

    Source:
        L. Kleinrock, Queueing Systems I (1975), sec. 3.6-3.7.
    """
    a, _, c = _asked(arrival, service, servers)
    k = int(checked.count("room", room, least=1))
    if k < c:
        raise QuestionError(f"there is room for {k} and there are {c} servers", "Give room for all servers.")
    p = mmck_shares(arrival, service, servers, room)
    here = np.arange(k + 1).reshape((-1,) + (1,) * (p.ndim - 1))
    busy = np.asarray((np.minimum(here, c) * p).sum(axis=0))
    waiting = np.asarray((np.maximum(here - c, 0) * p).sum(axis=0))
    let_in = np.asarray(p[:-1].sum(axis=0))  # and not 1 - p_K, which loses digits when nearly all are refused
    return Queue(
        inside=np.asarray(busy + waiting),
        waiting=waiting,
        time_inside=np.asarray((busy + waiting) / (a * let_in)),
        time_waiting=np.asarray(waiting / (a * let_in)),
        busy=busy,
        must_wait=np.asarray(p[c:k].sum(axis=0) / let_in),
        refused=np.asarray(p[-1]),
    )


def mmck_shares(arrival: ArrayLike, service: ArrayLike, servers: int, room: int) -> FloatArray:
    """Shares of time with 0 to K in an M/M/c/K queue, (K + 1, ...).

    Args:
        arrival: as `mmck`.
        service: as `mmck`.
        servers: as `mmck`.
        room: as `mmck`.

    Raises:
        QuestionError: as `mmck`.
        LimitError: as `mmck`.
    """
    a, m, c = _asked(arrival, service, servers)
    k = int(checked.count("room", room, least=1))
    _bounded(k)
    a, m = np.broadcast_arrays(a, m)
    return birth_death_shares(np.stack([a] * k), np.stack([min(j + 1, c) * m for j in range(k)]))


def machine_repair(machines: int, rate: ArrayLike, repair_rate: ArrayLike, repairers: int) -> Workshop:
    """Any number n of machines that fail and c repairers that mend one at a time (M/M/c with a finite source).

    Birth (n - j) L, death min(j, c) m; W = down / (L (n - down)) by Little's law.

    Args:
        machines: n, 1 or more.
        rate: L of a machine that is up, above 0.
        repair_rate: m of one repairer, above 0.
        repairers: c, 1 or more.

    Raises:
        QuestionError: out of bounds.
        LimitError: more than 100,000 machines.

    Source:
        C. Palm (1947); W. Feller, An Introduction to Probability Theory I, sec. XVII.7.
    """
    n = int(checked.count("number of machines", machines, least=1))
    _bounded(n)
    often, m, c = _asked(rate, repair_rate, repairers)
    both = np.broadcast_arrays(often, m)
    births = np.stack([(n - j) * both[0] for j in range(n)])
    p = birth_death_shares(births, np.stack([min(j + 1, c) * both[1] for j in range(n)]))
    here = np.arange(n + 1).reshape((-1,) + (1,) * (p.ndim - 1))
    down = np.asarray((here * p).sum(axis=0))
    up = np.asarray(((n - here) * p).sum(axis=0))
    waiting = np.asarray((np.maximum(here - c, 0) * p).sum(axis=0))
    return Workshop(
        shares=p,
        down=down,
        waiting=waiting,
        availability=np.asarray(up / n),
        time_down=np.asarray(down / (often * up)),
        time_waiting=np.asarray(waiting / (often * up)),
        busy=np.asarray((np.minimum(here, c) * p).sum(axis=0)),
    )


def _asked(arrival: ArrayLike, service: ArrayLike, servers: int) -> tuple[FloatArray, FloatArray, int]:
    a, m = checked.positive("rate", arrival), checked.positive("service rate", service)
    checked.same_shape(rate=a, service=m)
    c = int(checked.count("number of servers", servers, least=1))
    _bounded(c)
    return a, m, c


def _bounded(number: int) -> None:
    if number > _MOST:
        raise LimitError(f"{number} are more than {_MOST}", "Ask for fewer.")
