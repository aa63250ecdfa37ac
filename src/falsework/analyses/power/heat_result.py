"""What is said of heat: how much of it arises where, and what carries it away?"""

from __future__ import annotations

from dataclasses import dataclass

from falsework.support.taken import Taken
from falsework.where import Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Warm:
    """Heat at one time.

    Attributes:
        watts: W.
        btu_h: the same in BTU/h.
        tons: of cooling.
        air_m3_h: air that carries it away, m3/h.
        air_cfm: the same in cubic feet a minute.
    """

    watts: float
    btu_h: float
    tons: float
    air_m3_h: float
    air_cfm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Heated:
    """A room or a rack and the heat that arises in it.

    Attributes:
        place: its name.
        word: room or rack.
        room: the room of a rack, itself for a room; empty where nobody says.
        machines: what gives heat in it, in lab order.
        rise_k: how much the air warms up on its way through, K.
        rise_said: whether the lab file says so.
        idle, usual, busy: with nothing lost but what is out.
        cools: what the cooling of a room can carry away, W; None where nobody says, and for racks.
        where: its place in the lab file.
    """

    place: str
    word: str
    room: str
    machines: tuple[str, ...]
    rise_k: float
    rise_said: bool
    idle: Warm
    usual: Warm
    busy: Warm
    cools: float | None
    where: Where | None

    @property
    def over(self) -> bool:
        """Whether more heat arises in it when all are busy than its cooling carries away."""
        return self.cools is not None and self.busy.watts > self.cools * (1 + 1e-9)

    @property
    def over_usually(self) -> bool:
        """Whether that is so on an ordinary day."""
        return self.cools is not None and self.usual.watts > self.cools * (1 + 1e-9)


@dataclass(frozen=True, slots=True, kw_only=True)
class Heat:
    """The heat of a lab.

    Attributes:
        rooms: those in which heat arises, in lab order.
        racks: the same.
        unplaced: what gives heat and is in no room that is told of.
        unplaced_w: its heat, busy, W.
        inlet_c: the recommended temperature of the air that goes in, °C, lowest and highest.
        taken: figures that were taken where the owner gave none.
    """

    rooms: tuple[Heated, ...]
    racks: tuple[Heated, ...]
    unplaced: tuple[str, ...]
    unplaced_w: float
    inlet_c: tuple[float, float]
    taken: tuple[Taken, ...]

    @property
    def bad(self) -> bool:
        """Whether any room has more heat than its cooling carries away, all machines busy."""
        return any(each.over for each in self.rooms)
