"""What is found out about a stop on battery?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


@dataclass(frozen=True, slots=True, kw_only=True)
class Hop:
    """One thing on the way of the message, and how long it has power, seconds after the cut; infinity for always."""

    name: str
    until_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """How the message to stop comes to one machine or service.

    Attributes:
        to: whom it tells.
        sender: who sends it: the battery, or the machine that is wired to it.
        hops: sender, switches and routers in order, without the receiver; of all ways the one that stays up
            longest. Empty where nobody says how the message travels.
        until_s: how long all of them have power.
        told_s: when the message is sent.
        begins_s: when the receiver must have heard it at the latest, to stop in order.
        there: whether the wire leads there at all.
    """

    to: str
    sender: str
    hops: tuple[Hop, ...]
    until_s: float
    told_s: float
    begins_s: float
    there: bool = True

    @property
    def arrives(self) -> bool:
        """Whether it arrives when it is sent."""
        return self.there and self.until_s > self.told_s

    @property
    def lasts(self) -> bool:
        """Whether the way is still there when the receiver's turn comes."""
        return self.there and self.until_s >= self.begins_s

    @property
    def falls(self) -> tuple[Hop, ...]:
        """What on it has no power any more when it is needed, first to fall first."""
        needed = self.told_s if not self.arrives else self.begins_s
        return tuple(
            sorted(
                (hop for hop in self.hops if hop.until_s <= needed and hop.until_s < self.begins_s + 1e-6),
                key=lambda hop: (hop.until_s, hop.name),
            )
        )


class Waking(StrEnum):
    """What a machine that has stopped does when the power is back."""

    ITSELF = "comes back by itself"
    HAND = "stays off until a hand comes"
    SETTING = "is not set to come on with power"


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """One machine that is told to stop.

    Attributes:
        name: a node.
        told_by: the battery whose signal comes first.
        told_s: when; from then on it can't be called back.
        starts_s: when it begins to stop itself, what runs on it having stopped.
        done_s: when it has stopped.
        power_s: how long it has power, at constant load; infinity where another feed goes on.
        falling_s: the same at the load as it falls.
        batteries: those behind its supplies.
        elsewhere: what else its supplies hang on than the battery that tells it.
        after: what it does when the power comes back only after it was gone from the machine.
        stays_off: the moments between which a return of the power finds it off, or going off, and does not wake it;
            empty where every return does.
        from_afar: whether it has a management controller, so that a hand need not be there.
    """

    name: str
    told_by: str
    told_s: float
    starts_s: float
    done_s: float
    power_s: float
    falling_s: float
    batteries: tuple[str, ...]
    elsewhere: tuple[str, ...]
    after: Waking
    stays_off: tuple[float, float] | None
    from_afar: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Returns:
    """What happens when the power comes back before the stop on a battery is through.

    Attributes:
        window_s: the first and the last moment at which a return leaves something off that another would wake;
            the last is infinity where nothing ever takes the power away from what has stopped. None where there
            are no such moments.
        worst_s: the first moment at which a return leaves most machines off.
        off: those that stay off then, in lab order.
        elsewhere: those of them with a cord on something that the battery does not switch off at that moment: they would not
            see the power return even if it switched its outlets off.
        set_off: those that stay off whenever the power returns, since they are set to.
    """

    window_s: tuple[float, float] | None
    worst_s: float | None
    off: tuple[str, ...]
    elsewhere: tuple[str, ...]
    set_off: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shutdown:
    """A stop on one battery after a power cut. Times are seconds after the cut.

    Attributes:
        ups: the battery.
        runtime_s: when it is empty at constant load, that of other batteries that end before it included.
        load_w: what it carries at first.
        trips: whether it ends because it is asked for more than it carries.
        falling_s: when it is empty at the load as it falls, machine by machine; infinity for never.
        signal_s: when it tells the machines to stop.
        starts_s: when each thing that it carries and that is told begins to stop.
        done_s: when each of these has stopped, if all that are told hear it.
        cut_hard: those still stopping when their power ends at constant load, last to stop first.
        cut_falling: those still stopping when it ends at the load as it falls.
        cut_off: those still stopping when the battery switches its outlets off by itself.
        cuts_s: when it does that; None where it does not.
        spare_s: the least time between the end of a stop and the end of its power; negative where cut hard.
        latest_signal_s: the latest moment at which the signal would still do; negative if none would.
        unreached: things that it should tell and whose network is down by then.
        slow: things whose network is up at the signal and down when their turn comes.
        left_on: machines on it that nobody tells; they run until it is empty.
        dark: what it should tell and has no power from the cut on.
        needless: machines that are told to stop although another feed goes on.
        uncounted: machines on it whose draw nobody says.
        path: what the last thing to stop waited for, one after the other, itself at the end.
        ways: how the message travels, one for each whom it tells.
        returns: what a return of the power half-way does; None where everything comes back.
    """

    ups: str
    runtime_s: float
    load_w: float
    trips: bool
    falling_s: float
    signal_s: float
    starts_s: Mapping[str, float]
    done_s: Mapping[str, float]
    cut_hard: tuple[str, ...]
    cut_falling: tuple[str, ...]
    cut_off: tuple[str, ...]
    cuts_s: float | None
    spare_s: float
    latest_signal_s: float
    unreached: tuple[str, ...]
    slow: tuple[str, ...]
    left_on: tuple[str, ...]
    dark: tuple[str, ...]
    needless: tuple[str, ...]
    uncounted: tuple[str, ...]
    path: tuple[str, ...]
    ways: tuple[Way, ...]
    returns: Returns | None

    @property
    def broken(self) -> bool:
        """Whether something is cut hard, or not told."""
        return bool(self.cut_hard or self.cut_off or self.unreached)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """What stops on all batteries together after one cut.

    Attributes:
        cut: what is cut at second 0.
        batteries: those that signal and carry something then, in lab order.
        silent: those that carry something and never signal, with the moment at which each is empty.
        machines: everything that is told, in lab order.
        circles: things that lean on each other in a circle and are taken to stop one after another.
    """

    cut: tuple[str, ...]
    batteries: tuple[Shutdown, ...]
    silent: Mapping[str, float]
    machines: tuple[Machine, ...]
    circles: tuple[tuple[str, ...], ...]

    @property
    def broken(self) -> bool:
        """Whether something is cut hard, or not told."""
        return any(each.broken for each in self.batteries)
