"""What is a finding?"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

from falsework.where import Where


class Level(IntEnum):
    """How much a finding matters."""

    BROKEN = 0
    REMARK = 1

    @property
    def word(self) -> str:
        """The word for people."""
        return self.name.lower()


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing worth telling.

    Attributes:
        code: what kind of finding, in a few words; see `CODES`.
        level: whether an aim is broken by it.
        says: one sentence without its full stop.
        why: the chain, in clauses.
        mend: what to do about it, one sentence without its full stop.
        where: the place in the lab file.
        things: the parts or things that it is about.
        services: the services that it hurts.
        caution: what to mind where hands or data can be hurt; empty where nothing can.
    """

    code: str
    level: Level
    says: str
    why: tuple[str, ...] = ()
    mend: str = ""
    where: Where | None = None
    things: tuple[str, ...] = ()
    services: tuple[str, ...] = ()
    caution: str = ""


CODES: dict[str, str] = {
    "aim broken": "an aim of the lab file is not met",
    "down already": "something does not stand although nothing is lost",
    "single point": "losing one part brings a service down",
    "trips": "a source of power would be asked for more than it carries",
    "too many volt-amperes": "a source of power carries the watts that are asked of it, and not the volt-amperes",
    "close to the limit": "a source of power carries more of its rating than a load that lasts may take",
    "supply too small": "a machine does not run on as few of its supplies as it says are enough",
    "too much at once": "when power returns more comes on together than a breaker bears for a moment",
    "too much heat": "a room gets more heat than its cooling carries away",
    "battery old": "a battery is at the end of its life",
    "voltage does not fit": "a supply may not take the voltage that it is plugged into",
    "stays down": "something does not come back by itself after a power cut",
    "battery too short": "a battery ends before what it carries has stopped",
    "message not delivered": "the message to stop does not arrive",
    "switched off too soon": "a battery switches its outlets off before what it carries has stopped",
    "off until a hand comes": "what was told to stop stays off if the power returns before its battery is empty",
    "one cause takes both": "drives that save each other's data share a batch",
    "backup on its source": "a backup is lost with what it backs up",
    "exists only here": "data have no backup, and would be gone for good",
    "key lost with its backup": "a backup survives a loss, and what opens it does not",
    "backup too rare": "more work can be lost than may be",
    "never proved": "a spare path, failover or restore was never seen to work",
    "not watched": "no probe sees a service that an aim is about",
    "probe sees nothing known": "nobody can know what stands if a probe is answered",
    "nobody is told": "the alarm falls with what it should tell of",
    "silence goes unseen": "nobody outside notices when no message comes any more",
    "probe in the blast": "a probe asks from a machine that falls with what it sees",
    "order": "a hand-written order of work has a slip",
    "can't be built": "nothing but what it will later serve could build it",
    "not wired": "a machine has no cable in a lab that describes its cables",
    "one address known": "a client knows only one of several addresses",
    "rack overloaded": "more is in a rack than it bears, or than its casters may have to carry",
    "rack could tip": "a rack fails a published test of stability, or tips with a machine pulled out",
    "heavy high up": "a rack's centre of gravity would lie much lower with its heavy machines at the bottom",
    "deeper than its rack": "a machine stands out of the rack that it is in",
    "too loud": "somebody stays in a room longer than a published limit on noise allows",
    "circle of switches": "switches are joined in a circle, and nothing cuts it, or nobody says what does",
    "one port is too few": "no way of plugging in machines with one port survives the loss of a switch",
    "no port left": "machines without a cable would find no free port of a switch",
    "group of two speeds": "cables that are to work as one run at different speeds",
    "traffic does not get through": "what a service sends does not get through, now or after a loss",
    "controllers out of reach": "management controllers can't be reached when they are needed",
    "pause on the wire": "services that a loss lets stand pause while the wire finds another way",
    "unreadable in a rebuild": "a rebuild with nothing to spare is likely to meet a sector that can't be read",
    "long without redundancy": "after a drive fails, days pass with nothing to spare",
    "drives not laid out": "drives belong to no store",
    "addresses run out": "a network has few fixed addresses left, or none for somebody",
    "pool too small": "fewer addresses are given out on request than are wanted",
    "address in the pool": "an address of somebody may be given to somebody else",
    "subnet kept for others": "a subnet lies in a block that is kept for something else",
    "address not kept": "who answers for names has an address that may change",
}
"""Every code with its meaning; SARIF rules and the handbook are made from it."""

POWER_CAUTION = "Defer to local electrical codes, makers' instructions and licensed practice."
DATA_CAUTION = (
    "Before you change drives or backups, make sure that a copy you have restored from exists elsewhere."
)
WEIGHT_CAUTION = "Figures are no proof of stability: load from the bottom, fix the rack to the building where you can, lift in pairs, and defer to makers' instructions and local rules."
NOISE_CAUTION = (
    "Reckoned levels are no measurement: measure where people are, and defer to local rules on noise at work."
)
HEAT_CAUTION = "Air is seldom spread evenly: measure at the inlets, and defer to makers' instructions and licensed practice."
