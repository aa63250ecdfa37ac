from __future__ import annotations

import textwrap
from functools import cache
from itertools import combinations, pairwise, permutations
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from tests.raising_strategies import bare_texts
from tests.strategies import lab_of

from falsework.analyses.loops import KINDS, Loops, loops
from falsework.analyses.loops.rings import smallest_rings
from falsework.analyses.loops.waiting import waits
from falsework.analyses.raising.plan import plan
from falsework.model.build import load
from falsework.support.standing import Standing

LABS = Path(__file__).parents[2] / "labs" / "raising"
SHEETS = sorted(LABS.glob("*/expect.yaml"))


def expectations() -> list[Any]:
    """Every word of the traps on loops."""
    return [
        pytest.param(sheet.parent / f"{entry['file']}.yaml", entry, id=f"{sheet.parent.name}-{number}")
        for sheet in SHEETS
        for number, entry in enumerate(yaml.safe_load(sheet.read_text(encoding="utf-8")))
        if "loop" in entry or "no loop" in entry
    ]


@cache
def of_file(path: Path) -> Loops:
    """The loops of a lab file."""
    return loops(Standing(load(path)))


def of_text(text: str) -> Loops:
    """The loops of a text."""
    return loops(Standing(lab_of(text)))


def rings(found: Loops, kind: str) -> list[tuple[str, ...]]:
    """The rings of one kind."""
    return [loop.ring for loop in found.of(kind)]


@pytest.mark.parametrize(("path", "entry"), expectations())
def test_the_traps_on_loops(path, entry):
    """The loop that is there is found, through these things; where there is none, none is told."""
    found = of_file(path)
    if "no loop" in entry:
        assert found.of(entry["no loop"]) == ()
        return
    wanted = entry["through"]
    assert any(set(wanted) <= set(ring) for ring in rings(found, entry["loop"]))


LAB = """
falsework: 1
lab: Loops
machines: {n1..3: {is: node}}
services:
"""


def test_two_that_need_each_other_to_start():
    """Neither comes back once both are down; the smallest ring, its needs in words, and what would cut it."""
    found = of_text(LAB + "  a: {on: n1, needs: {to start: [b]}}\n  b: {on: n2, needs: {to start: [a]}}\n")
    (loop,) = found.of("to start")
    assert loop.ring == ("a", "b", "a")
    assert loop.says == "a needs to start b; b needs to start a"
    assert [cut.says for cut in loop.cuts[:2]] == [
        "keep on a itself what it needs of b",
        "keep on b itself what it needs of a",
    ]
    assert loop.links[0].where is not None
    (cuts,) = found.cheapest
    assert (cuts.kind, cuts.costs_s, cuts.proven, len(cuts.cuts)) == ("to start", 7200.0, True, 1)


def test_an_alternative_outside_breaks_the_loop():
    """With a second provider that needs neither there is nothing to tell."""
    text = "  a: {on: n1, needs: {to start: [{of: [b, c]}]}}\n  b: {on: n2, needs: {to start: [a]}}\n  c: {on: n3}\n"
    assert of_text(LAB + text).loops == ()


def test_needs_to_run_hold_and_say_what_they_mean():
    """A loop to run is no fault: each begins without the other."""
    found = of_text(LAB + "  a: {on: n1, needs: {to run: [b]}}\n  b: {on: n2, needs: {to run: [a]}}\n")
    assert found.stops == ()
    (loop,) = found.of("to run")
    assert loop.ring == ("a", "b", "a")
    assert "each begins by itself" in loop.means


def test_a_need_to_start_through_a_need_to_run_stops():
    """A needs B to start, and B does not serve without A."""
    found = of_text(LAB + "  a: {on: n1, needs: {to start: [b]}}\n  b: {on: n2, needs: {to run: [a]}}\n")
    assert rings(found, "to start") == [("a", "b", "a")]


def test_a_node_that_is_made_by_what_runs_on_it():
    """The installer on the node that it installs: to build, not to start; the owner's stand-in is the cheapest way out."""
    text = LAB.replace("n1..3: {is: node}", "n1: {is: node, needs: {to build: [maker]}}")
    found = of_text(text + "  maker: {on: n1}\nstand-ins: {lent: {for: maker, costs: 1 h}}\n")
    assert rings(found, "to build") == [("n1", "maker", "n1")]
    assert found.of("to start") == ()
    (cuts,) = found.cheapest
    assert [cut.stand_in for cut in cuts.cuts] == ["lent"]
    assert (cuts.costs_s, cuts.proven) == (3600.0, True)


def test_what_mends_a_thing_falls_with_it():
    """The node that runs the installer can't be made again by it; a second copy elsewhere would do."""
    text = LAB.replace("n1..3: {is: node}", "n1: {is: node, needs: {to mend: [maker]}}, n2..3: {is: node}")
    assert rings(of_text(text + "  maker: {on: n1}\n"), "to mend") == [("n1", "maker", "n1")]
    assert of_text(text + "  maker: {on: [n1, n2]}\n").of("to mend") == ()


def test_taking_over_needs_what_is_lost_with_the_active_copy():
    """The fence runs on the node whose loss it must confirm."""
    text = LAB + "  pair: {on: [n1, n2], takes over: 30 s, needs: {to take over: [fence]}}\n"
    assert rings(of_text(text + "  fence: {on: n1}\n"), "to take over") == [("pair", "fence", "n1", "pair")]
    assert of_text(text + "  fence: {on: n3}\n").of("to take over") == ()


def test_the_key_of_a_backup_kept_in_what_it_restores():
    """The only backup needs a key that is lost with the store; a second place for the key cuts it."""
    text = LAB + (
        "  vault: {on: n1}\n  keep: {on: n2}\n"
        "data: {box: {of: vault, in: vault, backed up: {to: keep, every: 1 day, needs: [key]}}}\n"
        "keys: {key: {kept in: KEPT}}\n"
    )
    (loop,) = of_text(text.replace("KEPT", "vault")).of("to restore")
    assert loop.ring == ("box", "key", "vault", "box")
    assert loop.cuts[0].says == "keep key somewhere else too, such as on paper"
    assert of_text(text.replace("KEPT", "[vault, keep]")).loops == ()


def test_the_name_that_hosts_look_up_is_cut_by_a_fixed_address():
    """The trap of the storage names: ten minutes for a fixed address, and no loop is left."""
    path = LABS / "09-storage-names" / "one.yaml"
    (cuts,) = of_file(path).cheapest
    assert all("fixed address" in cut.says for cut in cuts.cuts)
    assert cuts.proven


def test_state_on_what_runs_on_the_service_is_a_loop_to_start():
    """A service starts from its state; a store that needs it every moment never serves, so neither begins."""
    text = """
    falsework: 1
    lab: The shelf and its clerk
    machines: {n1: {is: node, drives: {d1..2: {is: drive}}}}
    stores: {shelf: {drives: n1.d*, layout: mirror, needs: {to run: [clerk]}}}
    services: {clerk: {on: n1, state in: shelf}}
    """
    found = loops(Standing(lab_of(textwrap.dedent(text))))
    assert [loop.ring for loop in found.of("to start")] == [("clerk", "shelf", "clerk")]


@given(bare_texts())
@settings(max_examples=20)
def test_loops_are_told_just_where_something_never_begins(text):
    """Links of a ring are waits that are not met; something waits for ever just where there is a loop."""
    standing = Standing(lab_of(text))
    found = loops(standing)
    assert [KINDS.index(loop.kind) for loop in found.loops] == sorted(
        KINDS.index(loop.kind) for loop in found.loops
    )
    for kind in ("to build", "to start"):
        waiting = waits(standing, kind)
        stuck = len(waiting.serving()) < len(waiting.names)
        loop_of = {"to build": ("to build", "to start"), "to start": ("to start",)}[kind]
        assert stuck == any(found.of(each) for each in loop_of)
    for loop in found.stops:
        assert loop.ring[0] == loop.ring[-1]
        assert len(set(loop.ring[:-1])) == len(loop.ring) - 1
        assert [(link.thing, link.on) for link in loop.links] == list(pairwise(loop.ring))
    for cuts in found.cheapest:
        assert cuts.proven or cuts.left


@given(bare_texts())
@settings(max_examples=15)
def test_no_way_out_costs_more_than_the_stand_ins_of_an_order(text):
    """An order that was found uses stand-ins alone; the cheapest cuts may do better, never worse."""
    standing = Standing(lab_of(text))
    found = plan(standing, from_nothing=True)
    for cuts in loops(standing).cheapest:
        if cuts.kind == "to build" and not found.stuck and not cuts.left:
            assert cuts.costs_s <= found.cost_s


def test_smallest_rings_against_all_rings():
    """Through each edge the ring is as small as the smallest of all simple rings."""
    edges = {"a": ["b", "c"], "b": ["c", "a"], "c": ["d"], "d": ["a", "d"]}
    found = smallest_rings(edges, [(one, other) for one, some in edges.items() for other in some])
    every = set()
    for size in range(1, 5):
        for some in combinations(edges, size):
            every |= set(_rings(edges, some))
    for one, some in edges.items():
        for other in some:
            least = min(len(ring) for ring in every if (one, other) in pairwise(ring))
            assert min(len(ring) for ring in found if (one, other) in pairwise(ring)) >= least
            assert any(len(ring) == least for ring in found)
    assert found[0] == ("d", "d")


def _rings(edges, some):
    """Every simple ring over just these things."""
    for order in permutations(some):
        if order[0] == min(order) and all(other in edges[one] for one, other in pairwise((*order, order[0]))):
            yield (*order, order[0])
            for turn in range(1, len(order)):
                turned = order[turn:] + order[:turn]
                yield (*turned, turned[0])
