"""What begins once others serve, the cheapest offers, and why nothing goes on."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engines.founded.systems import cheapest_by_trying, slowly, systems

from falsework.engines.founded.cheapest import cheapest
from falsework.engines.founded.growing import Growing
from falsework.engines.founded.reach import certified, reach
from falsework.engines.founded.system import Clause, Reach, System
from falsework.engines.founded.why_stuck import smallest_reason, would_do


def system(begin: dict[str, list[str]], costs: dict[str, int], serve: dict[str, list[str]]) -> System:
    """Items by name, each needing all of the named."""
    names = list(begin)

    def clauses(of: list[str]) -> tuple[Clause, ...]:
        return tuple(Clause(of=(names.index(name),), enough=1) for name in of)

    return System(
        names=tuple(names),
        begin=tuple(clauses(begin[name]) for name in names),
        serve=tuple(clauses(serve.get(name, [])) for name in names),
        costs={names.index(name): cost for name, cost in costs.items()},
    )


@settings(max_examples=300)
@given(systems(), st.data())
def test_what_is_reached_is_the_least_set_and_proves_itself(made, data):
    """The fast way and the definition agree on any small system, and the rounds are their own proof."""
    chosen = data.draw(st.sets(st.sampled_from(sorted(made.costs)))) if made.costs else set()
    found = reach(made, chosen)
    begun, serves = slowly(made, chosen)
    assert {item for item, number in enumerate(found.begun) if number >= 0} == begun
    assert {item for item, number in enumerate(found.serves) if number >= 0} == serves
    assert certified(made, chosen, found)


@settings(max_examples=200)
@given(systems(), st.data())
def test_allowing_later_is_allowing_at_once(made, data):
    """Offers that are allowed one after the other lead to the same as all at once; a copy goes its own way."""
    chosen = data.draw(st.permutations(sorted(made.costs)))
    free = [item for item in range(len(made.names)) if item not in made.costs]
    grown = Growing(made, free=free)
    before = set(grown.begun)
    other = grown.copy()
    for item in chosen:
        other.allow((item,))
    assert (other.begun, other.serves) == slowly(made, chosen)
    assert grown.begun == before
    assert other.free == frozenset(range(len(made.names)))


@pytest.mark.parametrize(
    ("begun", "serves"),
    [
        ((0, 0), (0, 0)),
        ((0, 0), (0, -1)),
        ((0, 1), (1, 1)),
        ((1, 1), (1, 1)),
        ((-1, 0), (-1, 0)),
        ((0, 1), (0, 0)),
    ],
)
def test_rounds_that_lean_on_later_ones_prove_nothing(begun, serves):
    """By hand: b needs a to begin, so a must serve in an earlier round than b begins; these rounds lie."""
    made = system({"a": [], "b": ["a"]}, {}, {})
    assert certified(made, (), Reach(begun=(0, 1), serves=(0, 1)))
    assert not certified(made, (), Reach(begun=begun, serves=serves))


def test_what_was_not_chosen_has_no_round():
    """A certificate that counts on an offer that nobody took is none."""
    made = system({"lent": [], "a": ["lent"]}, {"lent": 1}, {})
    lies = Reach(begun=(0, 1), serves=(0, 1))
    assert certified(made, (0,), lies)
    assert not certified(made, (), lies)


@settings(max_examples=150)
@given(systems())
def test_the_cheapest_offers_are_the_cheapest(made):
    """On any small system the cost is that of trying every set, proved, and the set suffices."""
    goals = [item for item in range(len(made.names)) if item not in made.costs]
    found, least = cheapest(made, goals, workers=1), cheapest_by_trying(made, goals)
    if least is None:
        assert found.stuck
        assert not found.proven
        assert set(found.stuck) == set(goals) - slowly(made, list(made.costs))[1]
    else:
        assert (found.cost, found.bound, found.proven) == (least, least, True)
        assert slowly(made, found.chosen)[1].issuperset(goals)
        assert certified(made, found.chosen, found.reach)


def test_by_hand_the_one_that_does_both_is_taken_only_where_it_is_cheaper():
    """Two rings: a and b each by its own offer for 2, or both by one for 5; and then for 3."""
    begin = {"x": ["a"], "a": ["x"], "y": ["b"], "b": ["y"], "for a": [], "for b": [], "for both": []}
    made = system(begin, {"for a": 2, "for b": 2, "for both": 5}, {})
    one = {0: ("a", "for a", "for both"), 2: ("b", "for b", "for both")}
    names = list(begin)
    begins = list(made.begin)
    for item, of in one.items():
        begins[item] = (Clause(of=tuple(names.index(name) for name in of), enough=1),)
    made = replace(made, begin=tuple(begins))
    found = cheapest(made, range(4), workers=1)
    assert [names[item] for item in found.chosen] == ["for a", "for b"]
    found = cheapest(replace(made, costs={4: 2, 5: 2, 6: 3}), range(4), workers=1)
    assert [names[item] for item in found.chosen] == ["for both"]


def test_out_of_time_it_still_suffices_and_says_how_far_off_it_may_be():
    """With no time at all the choice suffices, and the bound is below its cost or proves it."""
    begin = {f"thing {number}": [f"offer {number}"] for number in range(6)}
    begin |= {f"offer {number}": [] for number in range(6)}
    made = system(begin, {f"offer {number}": 1 + number for number in range(6)}, {})
    found = cheapest(made, range(6), seconds=0.0, workers=1)
    assert not found.stuck
    assert found.bound <= found.cost == 21
    assert slowly(made, found.chosen)[1].issuperset(range(6))


def test_the_smallest_ring_is_told():
    """Of a ring of four and a ring of two beside it the ring of two is the reason."""
    begin = {"a": ["b"], "b": ["c"], "c": ["d"], "d": ["a"], "e": ["f"], "f": ["e", "a"], "g": []}
    made = system(begin, {}, {})
    ring = [made.names[item] for item in smallest_reason(made, reach(made, ()))]
    assert ring == ["e", "f", "e"]


def test_a_ring_of_needs_to_serve_is_told_where_it_does_not_close():
    """Two serve for each other, and one of them waits for what never begins: that is the reason, not the two."""
    begin = {"a": [], "b": [], "c": ["d"], "d": ["c"]}
    made = system(begin, {}, {"a": ["b"], "b": ["a", "c"]})
    ring = {made.names[item] for item in smallest_reason(made, reach(made, ()))}
    assert ring in ({"a", "b"}, {"c", "d"})
    assert len(ring) == 2


def test_copies_count_as_what_they_are_copies_of():
    """The ring goes through the thing, not through each of its copies."""
    begin = {"desk": ["s"], "s.1": ["desk"], "s": ["s.1"]}
    made = system(begin, {}, {})
    assert [made.names[item] for item in smallest_reason(made, reach(made, ()), {1: 2})] == [
        "desk",
        "s",
        "desk",
    ]


def test_nothing_waits_where_all_serves():
    """A system that gets everywhere has no reason to tell."""
    made = system({"a": [], "b": ["a"]}, {}, {})
    assert smallest_reason(made, reach(made, ())) == ()


def test_what_one_more_offer_would_do():
    """In a ring of two either would do; with a second ring beside it neither is enough alone."""
    ring = {"a": ["b"], "b": ["a"]}
    assert would_do(system(ring, {}, {}), (0, 1), (0, 1)) == (0, 1)
    two = system({**ring, "c": ["d"], "d": ["c"]}, {}, {})
    assert would_do(two, range(4), range(4)) == ()
    hung = system({**ring, "c": ["b"]}, {}, {})
    assert would_do(hung, range(3), range(3)) == (0, 1)
