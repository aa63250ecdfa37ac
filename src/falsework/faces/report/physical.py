"""What does the report say of drives, wire, addresses, power, noise and racks?"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from falsework.analyses.addresses import addresses
from falsework.analyses.drives.whole import drives
from falsework.analyses.noise.whole import noise
from falsework.analyses.power.whole import power
from falsework.analyses.rack import racks
from falsework.analyses.wire.whole import wire
from falsework.faces.report.addresses_piece import addresses_piece
from falsework.faces.report.drives_piece import drives_piece
from falsework.faces.report.noise_piece import noise_piece
from falsework.faces.report.piece import Piece
from falsework.faces.report.power_piece import power_piece
from falsework.faces.report.rack_piece import rack_piece
from falsework.faces.report.wire_piece import wire_piece
from falsework.model.parts import Cable, Network
from falsework.model.services import Store
from falsework.support.standing import Standing

Progress = Callable[[str, int, int], None]


def physical(standing: Standing, *, progress: Progress | None = None) -> tuple[Piece, ...]:
    """Every piece that the lab has something to tell of, in the order in which they are read.

    Args:
        standing: the lab.
        progress: told of each.
    """
    return tuple(piece for piece in _pieces(standing, progress or (lambda what, done, of: None)) if piece)


def _pieces(standing: Standing, say: Progress) -> Iterator[Piece | None]:
    lab = standing.lab
    if len(lab.heaps) + len(lab.of(Store)):
        say("laying out drives", 0, 6)
        yield drives_piece(lab, drives(lab))
    if lab.of(Cable):
        say("following the cables", 1, 6)
        yield wire_piece(lab, wire(standing))
    say("adding up power", 2, 6)
    yield power_piece(lab, power(standing))
    if lab.of(Network):
        say("giving addresses", 3, 6)
        yield addresses_piece(lab, addresses(lab))
    say("weighing the racks", 4, 6)
    yield rack_piece(lab, racks(lab))
    say("adding up noise", 5, 6)
    yield noise_piece(lab, noise(lab))
