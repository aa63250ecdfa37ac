"""What is found out about a rack: what stands where, what it weighs, and whether it could tip?"""

from __future__ import annotations

from dataclasses import dataclass

from falsework.engines.mechanics import TILT_DEG, Body, Forced
from falsework.support.taken import Taken
from falsework.where import Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Mounted:
    """Something in a rack.

    Attributes:
        thing: its name.
        word: what it is.
        at: the rack unit of its lower edge, from the bottom, 1 the lowest; 0 for what stands upright behind the units.
        height: rack units it takes; 0 for what takes none.
        back: whether it is mounted from behind.
        depth_m: how deep it is.
        mass_kg: with all that is in it.
        busy_w: what it draws when busy; None where nobody says.
        noise_db: at one metre; None where nobody says.
        proposed: whether the place is ours, since the lab file names none.
        place: its centre of gravity, above the floor and forward of the middle of the rack.
        where: its place in the lab file.
    """

    thing: str
    word: str
    at: float
    height: float
    back: bool
    depth_m: float
    mass_kg: float
    busy_w: float | None
    noise_db: float | None
    proposed: bool
    place: Body
    where: Where

    @property
    def upright(self) -> bool:
        """Whether it takes no units."""
        return self.height == 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulled:
    """A machine pulled out on its rails as far as it is deep, all else in its place.

    Attributes:
        thing: the machine.
        tip_deg: the tilt at which the rack tips over its front edge then; not above 0 where it tips by itself.
        pressed: the force downwards on the end of what is pulled out.
    """

    thing: str
    tip_deg: float
    pressed: Forced

    @property
    def tips(self) -> bool:
        """Whether the rack would tip without anybody's help."""
        return self.tip_deg <= 0


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenOut:
    """A machine that is taken out before the rack is moved; those named before it are out already.

    Attributes:
        thing: the machine.
        tip_deg: the tilt at which the rack tips then.
        spare_deg: how much more than it leans on the way that is.
    """

    thing: str
    tip_deg: float
    spare_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """Where a rack is rolled: the angle of a ramp, and the height of a sill that it may meet there too."""

    ramp_deg: float = 0.0
    sill_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaning:
    """A rack on its way.

    Attributes:
        way: the way that was asked about; None for the tilt of the test, which is taken where nobody asks.
        sideways_deg, forwards_deg: how far it leans there, rolled sideways or along its depth.
        spare_deg: how much further it could lean, with all in it, either way; below 0 where it tips.
    """

    way: Way | None
    sideways_deg: float
    forwards_deg: float
    spare_deg: float

    @property
    def tips(self) -> bool:
        """Whether it tips on a way that was asked about."""
        return self.way is not None and self.spare_deg <= 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """Lifting a machine from a trolley to its place.

    Attributes:
        thing: the machine.
        mass_kg: its weight.
        hands_m: the height of the hands at the end, its lower edge.
        limit_kg: what one may lift so; 0 where nobody should.
        alone: the lifting index of one; infinite where nobody should.
        together: that of two who share the weight equally.
    """

    thing: str
    mass_kg: float
    hands_m: float
    limit_kg: float
    alone: float
    together: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Rolling:
    """The casters of a rack: how many, what each must be able to carry, what it can, if anybody says."""

    casters: int
    each_kg: float
    bears_kg: float | None

    @property
    def too_much(self) -> bool:
        """Whether a caster may have to carry more than it can."""
        return self.bears_kg is not None and self.each_kg > self.bears_kg


@dataclass(frozen=True, slots=True, kw_only=True)
class Sinks:
    """How much lower the centre of gravity could lie, in metres, and what would come down for it."""

    by_m: float
    things: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RackSheet:
    """One rack.

    Attributes:
        rack: its name.
        room: what it stands in; empty where nobody says.
        units: how many it has.
        free: stretches of units that nothing takes from either side: first and last.
        mounted: what is in it, from the bottom.
        left_over: what finds no room in it.
        lowest: whether no other way to place what has no place lies lower.
        width_m, depth_m, top_m, foot_m: of its outside; the top above the floor, its lowest unit above the floor.
        empty: the rack by itself.
        whole: all of it.
        bears_kg: what may be in it; None where nobody says.
        rolling: its casters; None where it stands on feet.
        sinks: if everything in it stood without gaps, the densest lowest, how much lower its centre of gravity would
            lie, and what comes down then, the most weighty first.
        sideways_deg, forwards_deg: the tilts at which it tips, the less of both ways.
        pushed: the push, over its shorter base.
        leaning: the rack on its way.
        pulled: each machine pulled out, the worst first.
        taken_out: what to take out before it is moved, so that it tips less; empty where it stands well as it is.
        lifts: mounting each machine, the heaviest to lift first.
        taken: figures that were taken where the owner gave none.
        where: its place in the lab file.
    """

    rack: str
    room: str
    units: float
    free: tuple[tuple[float, float], ...]
    mounted: tuple[Mounted, ...]
    left_over: tuple[str, ...]
    lowest: bool
    width_m: float
    depth_m: float
    top_m: float
    foot_m: float
    empty: Body
    whole: Body
    bears_kg: float | None
    rolling: Rolling | None
    sinks: Sinks
    sideways_deg: float
    forwards_deg: float
    pushed: Forced
    leaning: Leaning
    pulled: tuple[Pulled, ...]
    taken_out: tuple[TakenOut, ...]
    lifts: tuple[Lift, ...]
    taken: tuple[Taken, ...]
    where: Where

    @property
    def load_kg(self) -> float:
        """What is in it."""
        return self.whole.mass_kg - self.empty.mass_kg

    @property
    def tip_deg(self) -> float:
        """The less of both tilts."""
        return min(self.sideways_deg, self.forwards_deg)

    @property
    def stands(self) -> bool:
        """Whether it passes both published tests as it stands."""
        return self.tip_deg >= TILT_DEG and self.pushed.passes

    @property
    def too_heavy(self) -> bool:
        """Whether more is in it than it bears."""
        return self.bears_kg is not None and self.load_kg > self.bears_kg

    @property
    def bad(self) -> bool:
        """Whether it bears too much, or fails a test."""
        return (
            self.too_heavy
            or not self.stands
            or (self.rolling is not None and self.rolling.too_much)
            or bool(self.left_over)
            or self.leaning.tips
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Loose:
    """Something that stands in a room and in no rack: its weight, None where nobody says."""

    thing: str
    word: str
    room: str
    mass_kg: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Racks:
    """Every rack of a lab, and what stands beside them, in lab order."""

    racks: tuple[RackSheet, ...]
    loose: tuple[Loose, ...]

    @property
    def bad(self) -> bool:
        """Whether a rack bears too much, or fails a test."""
        return any(each.bad for each in self.racks)
