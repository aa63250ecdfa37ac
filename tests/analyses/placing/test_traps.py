"""Does a placement get out of each trap that has a way out, and say why there is none where there is not?"""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.analyses.placing.looking import hold_cuts, looked

from falsework.analyses.placing import place_lab
from falsework.lab.read import read_text
from falsework.model.build import build
from falsework.model.lab import Lab
from falsework.support.standing import Standing

LABS = Path(__file__).parents[2] / "labs" / "placing"


def lab(name: str, *changes: tuple[str, str]) -> Lab:
    """One of the labs, with words of it changed."""
    text = (LABS / f"{name}.yaml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return build(read_text(text, f"{name}.yaml"))


def found(name: str, *changes: tuple[str, str]):
    """Where its copies should run."""
    return place_lab(Standing(lab(name, *changes)), seconds=60, workers=1)


@pytest.mark.parametrize(
    ("name", "moves"),
    [
        ("01-box-and-desks", [("state", "desk-2")]),
        ("01-three-boxes", [("names", "twin-3.a")]),
        ("02-one-strip", [("web", "n2")]),
        ("02-one-circuit", [("web", "n2")]),
        ("05-a-foot-in-each", [("state", "v8")]),
        ("06-witness-on-a-strip", [("files", "witness-2")]),
    ],
)
def test_a_move_out_of_the_trap_is_found(name, moves):
    """Today an aim is broken; with as few moves as can be, none, and nothing is asked of the owner but these."""
    placing = found(name)
    assert any(aim.met is False for aim in placing.before)
    assert not placing.broken
    assert not placing.why_not
    assert [(move.service, move.end) for move in placing.moves] == moves
    assert all(move.clean for move in placing.moves)


@pytest.mark.parametrize(
    "name", ["05-three-switches", "06-witness-on-a", "11-shuffled", "11-cores-in-pieces"]
)
def test_where_several_moves_do_one_is_made(name):
    """One copy moves, whichever, and all aims are met."""
    placing = found(name)
    assert any(aim.met is False for aim in placing.before)
    assert not placing.broken
    assert len(placing.moves) == 1


@pytest.mark.parametrize(
    ("name", "reasons", "line"),
    [
        ("01-two-boxes", ("state without twin-1", "state without twin-2"), 9),
        ("02-one-strip-each", ("web without S1", "web without S2"), 12),
        ("05-two-switches", ("state without sw-1", "state without sw-2"), 12),
        ("06-only-the-pair", ("files without a", "files without b"), 10),
    ],
)
def test_where_no_placement_helps_the_reasons_are_few_and_have_their_place(name, reasons, line):
    """Both losses together are too much for any placement, and neither alone: the reasons name just these."""
    placing = found(name)
    assert placing.broken
    assert placing.smallest
    assert tuple(each.says.partition(": ")[2] for each in placing.why_not) == reasons
    assert {each.where.line for each in placing.why_not} == {line}


@pytest.mark.parametrize("name", ["07-one-controller", "07-needs-the-controller"])
def test_what_hangs_on_one_controller_is_hopeless_wherever_it_runs(name):
    """The loss that takes all is told as the one reason, and no move is proposed for it."""
    placing = found(name)
    (reason,) = placing.why_not
    assert "lose shelf.x" in reason.says
    assert reason.says.endswith("wherever the copies are")
    assert placing.smallest
    assert not placing.moves
    assert not placing.would_do


def test_room_in_pieces_is_told_with_what_takes_it():
    """Two of these copies fit on no host, so a loss leaves one out: every size counts, and the loss."""
    placing = found("11-room-in-pieces")
    assert placing.broken
    assert placing.smallest
    said = " ".join(each.says for each in placing.why_not)
    for each in (
        "room without h4",
        "small-1",
        "small-2",
        "small-3",
        "big takes 40 GiB",
        "64 GiB at the most",
    ):
        assert each in said


@pytest.mark.parametrize(
    ("name", "would_do", "changes"),
    [
        (
            "01-two-boxes",
            "one more host like twin-1.a, in an enclosure of its own",
            [
                ("twin-1..2: {is", "desk: node\n  twin-1..2: {is"),
                ("on: [twin-1, twin-2]", "on: [twin-1, twin-2, desk]"),
            ],
        ),
        (
            "02-one-strip-each",
            "a second cord for n1, so that it stays without S1",
            [
                (
                    "n1..2: {is: node, fed by: S#}",
                    "n1: {is: node, fed by: [S1, S2]}\n  n2: {is: node, fed by: S2}",
                ),
            ],
        ),
        (
            "05-two-switches",
            "a second port for v1, so that it stays without sw-1",
            [
                ("v1..8:   {", "v1: {is: node, ports: {a..b: 1 Gb/s}}\n  v2..8:   {"),
                ("v5..8.a -- sw-2", "v1.b -- sw-2, v5..8.a -- sw-2"),
            ],
        ),
        (
            "06-only-the-pair",
            "one more host like a, in an enclosure of its own",
            [
                ("  b: node", "  b: node\n  c: node"),
                ("copies: 3, on: [a, b], placed: [a, b, a]", "on: [a, b, c]"),
            ],
        ),
        (
            "11-room-in-pieces",
            "let big be left out when room is short (`sheds: yes`)",
            [
                ("takes: 40 GiB", "takes: 40 GiB, sheds: yes"),
            ],
        ),
    ],
)
def test_what_would_do_does(name, would_do, changes):
    """The change that is told, made in the lab file, lets a placement meet all aims."""
    placing = found(name)
    assert placing.would_do == (would_do,)
    assert placing.all_tried
    mended = found(name, *changes)
    assert not mended.broken
    assert mended.possible


@pytest.mark.parametrize(
    "name",
    ["false-1-shared-strips", "false-3-cheap-witness", "false-4-one-supply-spread", "07-two-controllers"],
)
def test_what_only_looks_like_a_trap_stays_as_it_is(name):
    """All aims are met today, so nothing moves."""
    placing = found(name)
    assert all(aim.met for aim in placing.before)
    assert not placing.moves
    assert not placing.why_not


@pytest.mark.parametrize("name", ["01-two-boxes", "01-three-boxes", "02-one-circuit", "06-only-the-pair"])
@pytest.mark.slow
def test_every_cut_is_true_of_all_placements(name):
    """What a broken aim is said to ask is asked by it in whatever placement."""
    assert hold_cuts(looked(lab(name)))
