"""The hardware: what stands in the room, what it weighs, draws, is wired to, keeps, and is called?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from markupsafe import Markup

from falsework.analyses.addresses import Addresses, addresses
from falsework.analyses.addresses.zones import zones
from falsework.analyses.drives.result import Drives
from falsework.analyses.drives.whole import drives
from falsework.analyses.noise.whole import noise
from falsework.analyses.power.whole import power
from falsework.analyses.rack import racks
from falsework.analyses.wire.result import Wire
from falsework.analyses.wire.whole import wire
from falsework.errors import QuestionError
from falsework.faces.cable_list import cable_list
from falsework.faces.errors import error_answer
from falsework.faces.host_list import csv_text, hosts_text
from falsework.faces.page.fragments import Tell, bared, fragment, opened, ticked
from falsework.faces.page.made import Made
from falsework.faces.plain_addresses import addresses_answer
from falsework.faces.plain_drives import drives_answer
from falsework.faces.plain_noise import noise_answer
from falsework.faces.plain_power import power_answer
from falsework.faces.plain_rack import rack_answer
from falsework.faces.plain_wire import wire_answer
from falsework.faces.report.addresses_piece import addresses_piece
from falsework.faces.report.drives_piece import drives_piece
from falsework.faces.report.noise_piece import noise_piece
from falsework.faces.report.piece import Piece
from falsework.faces.report.power_piece import power_piece
from falsework.faces.report.rack_piece import rack_piece
from falsework.faces.report.wire_piece import wire_piece
from falsework.faces.zone import next_text
from falsework.model.lab import Lab
from falsework.support.standing import Standing

STEPS = 6

RACK = "Say under `places` which rack there is (`rack: {is: rack, units: 42}`), and of machines where they stand (`in: rack`, `at: 12`) and what they weigh (`weighs`)."
POWER = "Say under `power` what feeds what: a circuit (`is: circuit`), strips and batteries with `fed by`, and of machines what they draw."
WIRE = "Say under `wire` which `cables` there are, from which port to which."
DRIVES = "Say under `stores` how data lie on drives, or under `heaps` which drives wait to be laid out."
NOISE = "Say under `places` which room there is (`is: room`), and of machines how loud they are (`noise`)."
ADDRESSES = "Say under `wire` which `networks` there are, and from which `ranges` they get addresses."


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One part of the sheet.

    Attributes:
        name: its anchor, the name of the command that tells the same.
        title: its heading.
        piece: what there is to tell; None where the lab has nothing of it.
        wants: what to write in the lab file to get it, as markup.
    """

    name: str
    title: str
    piece: Piece | None
    wants: Markup


def work(path: str, digest: str, out: tuple[str, ...], tell: Tell) -> Made:
    """Work the sheet out, in a process of its own.

    Raises:
        FalseworkError: the lab can't be read any more, or is another.
    """
    tell("reading the lab", 0, STEPS)
    standing = opened(path, digest, out)
    told = _Told(standing, tell)
    parts = tuple(told.parts())
    zones = [name for name in told.files if name.endswith(".zone")]
    html = fragment("hardware_made.html.j2", standing, out, parts=parts, files=tuple(told.files), zones=zones)
    return Made(html=html, answers=told.answers, files=told.files)


class _Told:
    """Asks one analysis after the other, and keeps what each answers to programs and to files."""

    def __init__(self, standing: Standing, tell: Tell) -> None:
        self._standing = standing
        self._tell = tell
        self.answers: dict[str, object] = {}
        self.files: dict[str, bytes] = {}

    def parts(self) -> Iterator[Part]:
        """The six, in the order in which they are read."""
        lab, standing, tell = self._standing.lab, self._standing, self._tell
        tell("weighing the racks", 0, STEPS)
        stood = racks(lab)
        self.answers["rack"] = rack_answer(lab, stood, int(stood.bad))
        yield self._part("rack", "Racks and weight", rack_piece(lab, stood), RACK)
        tell("losing each source of power", 1, STEPS)
        fed = power(standing)
        self.answers["power"] = power_answer(standing, fed, int(fed.bad))
        yield self._part("power", "Power", power_piece(lab, fed), POWER)
        tell("following the cables", 2, STEPS)
        wired = wire(standing)
        self.answers["wire"] = wire_answer(standing, wired, int(not wired.holds))
        self._cables(wired)
        yield self._part("wire", "Ports, cables and traffic", wire_piece(lab, wired), WIRE)
        tell("laying out drives", 3, STEPS)
        laid = self._drives(lab)
        yield self._part("drives", "Drives", drives_piece(lab, laid) if laid else None, DRIVES)
        tell("adding up noise", 4, STEPS)
        heard = noise(lab)
        self.answers["noise"] = noise_answer(lab, heard, int(heard.above))
        yield self._part("noise", "Noise", noise_piece(lab, heard), NOISE)
        tell("giving addresses", 5, STEPS)
        given = self._addresses(lab)
        yield self._part("addresses", "Addresses", addresses_piece(lab, given) if given else None, ADDRESSES)

    def _part(self, name: str, title: str, piece: Piece | None, wants: str) -> Part:
        if piece is not None:
            for number, figure in enumerate(piece.figures):
                self.files[f"{name}{number + 1 if number else ''}.svg"] = f"{figure.svg}\n".encode()
            piece = replace(piece, figures=bared(piece.figures))
        return Part(name=name, title=title, piece=piece, wants=ticked(wants))

    def _cables(self, found: Wire) -> None:
        if found.layout.runs:
            self.files["cables.csv"] = cable_list(found.layout.runs).encode()

    def _drives(self, lab: Lab) -> Drives | None:
        try:
            found = drives(lab)
        except QuestionError as error:  # it has none
            self.answers["drives"] = error_answer(error, command="drives")
            return None
        self.answers["drives"] = drives_answer(lab, found, int(not found.met))
        return found

    def _addresses(self, lab: Lab) -> Addresses | None:
        try:
            plan = addresses(lab)
        except QuestionError as error:  # it names no networks
            self.answers["addresses"] = error_answer(error, command="addresses")
            return None
        self.answers["addresses"] = addresses_answer(lab, plan, None, int(not plan.complete))
        self.files["addresses.csv"] = csv_text(plan).encode()
        self.files["hosts.txt"] = hosts_text(plan).encode()
        for zone in zones(lab, plan):
            self.files[zone.file] = next_text(zone, None).encode()
        return plan
