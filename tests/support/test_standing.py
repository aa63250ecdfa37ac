from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tests.judge import Scene, judge
from tests.lengths import many
from tests.strategies import lab_data, lab_of, text_of, texts

from falsework.analyses.verdicts import verdict_rows
from falsework.errors import QuestionError
from falsework.support.graph import Phase, Role
from falsework.support.lively import breaks, lively, slowest
from falsework.support.standing import Standing

FEW, MANY = 25, many(30, at_length=400)


def beyond(standing):
    """Whether a host of a pool waits where a hold or a router counts: see the limits in docs/explanation/verdicts.md."""
    things = standing.support.things
    hosts = {place for thing in things.values() if thing.moves for place in thing.places}
    waits = any(lean.role is Role.NEED for host in hosts for lean in things[host].leans)
    holds = any(lean.hold_s for thing in things.values() for lean in thing.leans)
    return waits and bool(holds or standing.support.routers)


def falls_late(standing):
    """Whether anything may fall late and come back: the judge lets all fall at once, tests/player.py plays it out."""
    return bool(breaks(standing.support, slowest(standing.support, lively(standing.support))))


def compare(standing, losses):
    """Hold the engine to the judge, thing by thing.

    A hold over things that need each other only to run is judged the careful way, so there the engine may say less.
    """
    support = standing.support
    assume(not beyond(standing) and not falls_late(standing))
    leans = [lean for thing in support.things.values() for lean in thing.leans]
    careful = any(lean.hold_s for lean in leans) and any(Phase.START not in lean.phases for lean in leans)
    for lost, view in zip(losses, standing.views(losses), strict=True):
        found = judge(support, lost)
        up = {name for name in support.things if view.up(name)}
        back = {name for name in support.things if view.back(name)}
        if careful:
            assert up <= found.up, lost
            assert back <= found.back, lost
        else:
            assert up == found.up, lost
            assert back == found.back, lost
        assert {name for name in support.keepings if view.kept(name)} == found.kept, lost


@given(texts(), st.randoms(use_true_random=False))
@settings(max_examples=FEW)
def test_engine_and_judge_agree_on_a_few_losses(text, random):
    """On a random lab gates and plain loops agree: no loss, each single one, and some pairs and triples."""
    standing = Standing(lab_of(text))
    more = [*combinations(standing.parts, 2), *combinations(standing.parts, 3)]
    compare(standing, [(), *((part,) for part in standing.parts), *random.sample(more, min(12, len(more)))])


@pytest.mark.slow
@pytest.mark.parametrize("theme", ["plain", "power", "wire", "storage", "pool"])
@given(data=st.data())
@settings(max_examples=MANY)
def test_engine_and_judge_agree_on_every_loss_of_up_to_three(theme, data):
    """On a random lab gates and plain loops agree on every loss of up to three parts."""
    standing = Standing(lab_of(data.draw(texts(theme=theme))))
    compare(standing, [each for size in range(4) for each in combinations(standing.parts, size)])


@given(texts(), st.randoms(use_true_random=False))
@settings(max_examples=FEW)
def test_the_clock_of_returns_is_the_judges(text, random):
    """What comes back is back at the moment from which it serves for good, when the events are played through."""
    standing = Standing(lab_of(text))
    assume(not beyond(standing) and not falls_late(standing))
    pairs = list(combinations(standing.parts, 2))
    losses = [*((part,) for part in standing.parts), *random.sample(pairs, min(8, len(pairs)))]
    views = standing.views(losses)
    returns = standing.returns(views)
    for column, (lost, view) in enumerate(zip(losses, views, strict=True)):
        scene = Scene(standing.support, frozenset(lost))
        moments = scene.returning(scene.standing())[:-1]
        for name in standing.support.things:
            if view.back(name) and not view.up(name):
                late = [number for number, (_, there) in enumerate(moments) if name not in there]
                first = moments[max(late, default=-1) + 1][0]  # of several moments at one time, the last
                assert returns[standing.row[name], column] == pytest.approx(first), (lost, name)


@given(texts(), st.data())
@settings(max_examples=60)
def test_losing_more_never_helps(text, data):
    """What a larger loss leaves, a smaller one leaves too: standing, coming back, kept, and each verdict.

    Copies that must share room are left out: when an earlier one finds none any more, a later one may.
    """
    standing = Standing(lab_of(text))
    assume(not standing.support.rooms)
    parts = st.lists(st.sampled_from(standing.parts), unique=True, max_size=4)
    less = data.draw(parts)
    more = [*less, *(part for part in data.draw(parts) if part not in less)]
    before, after = standing.views([less, more])
    for name in standing.support.things:
        assert before.up(name) >= after.up(name)
        assert before.back(name) >= after.back(name)
    for name in standing.support.keepings:
        assert before.kept(name) >= after.kept(name)
    verdicts = verdict_rows(standing, standing.service_rows([less, more]))
    assert (verdicts[:, 0] <= verdicts[:, 1]).all()


@given(texts())
@settings(max_examples=60)
def test_what_stands_is_back(text):
    """Whatever stands uninterrupted stands in the end too."""
    standing = Standing(lab_of(text))
    for view in standing.views([(), *((part,) for part in standing.parts)]):
        for name in standing.support.things:
            assert view.back(name) >= view.up(name)


@given(texts())
@settings(max_examples=40)
def test_bulk_rows_say_the_same_as_views(text):
    """The graph that is cut down to services answers as the whole graph does."""
    standing = Standing(lab_of(text))
    losses = [(), *((part,) for part in standing.parts)]
    rows = standing.service_rows(losses)
    services, keepings = standing.support.services, tuple(standing.support.keepings)
    for column, view in enumerate(standing.views(losses)):
        expected = [*map(view.up, services), *map(view.back, services), *map(view.kept, keepings)]
        assert rows[:, column].tolist() == expected


def moves(text):
    """Whether anything in a lab is bound to one of several copies or hosts."""
    things = Standing(lab_of(text)).support.things.values()
    return any("now" not in lean.times for thing in things for lean in thing.leans)


@given(texts(theme="power") | texts(theme="storage") | texts(theme="wire"), st.data())
@settings(max_examples=60)
def test_out_beforehand_and_lost_now_is_lost_together(text, data):
    """Where nothing moves, a loss on top of a part out beforehand leaves what both losses together leave."""
    if moves(text):
        return
    standing = Standing(lab_of(text))
    out, lost = data.draw(st.sampled_from(standing.parts)), data.draw(st.sampled_from(standing.parts))
    then = Standing(standing.lab, out=[out]).views([[lost] if lost != out else []])[0]
    both = standing.views([{out, lost}])[0]
    assert then.lost == both.lost
    for name in standing.support.things:
        assert (then.up(name), then.back(name)) == (both.up(name), both.back(name))
    for name in standing.support.keepings:
        assert then.kept(name) == both.kept(name)


@given(lab_data())
@settings(max_examples=60)
def test_the_same_text_gives_the_same_lab(data):
    """Reading what was written gives the same lab, and so does writing and reading it in flow style or out of order."""
    once = lab_of(text_of(data))
    assert lab_of(text_of(data)) == once
    turned = {name: data[name] for name in ("falsework", "lab", *sorted(data, reverse=True))}
    again = lab_of(text_of(turned))
    assert {name: thing.IS for name, thing in again.things.items()} == {
        n: t.IS for n, t in once.things.items()
    }
    assert sorted(Standing(again).parts) == sorted(Standing(once).parts)


def test_a_host_does_not_wait_for_itself():
    """A host that needs a copy which only it could run within its own sight stays down."""
    text = """
falsework: 1
lab: x
machines: {n1..2: {is: node}, n3: {is: node, needs: [s]}, sw-1..2: {is: switch}}
wire:
  cables: [n1 -- sw-1, n2.a -- sw-1, n2.b -- sw-2, n3 -- sw-1]
  networks: {front: {over: sw-1}, rear: {over: sw-2}}
pools: {herd: {hosts: n*, restarts in: 0 s}}
services: {s: {on: herd, placed: n1}}
"""
    standing = Standing(lab_of(text))
    assert standing.baseline.up("n3")
    (view,) = standing.views([["n1", "n2.a -- sw-1.2"]])
    assert not view.back("n3")


def test_a_host_does_not_wait_for_itself_where_one_network_splits():
    """A host that needs a copy comes back while it sees another host of the pool, and not by the copy it could run."""
    text = """
falsework: 1
lab: x
machines: {n1..2: {is: node}, n3: {is: node, needs: [s]}, sw-1..2: {is: switch}}
wire: {cables: [n1 -- sw-1, n2 -- sw-2, n3 -- sw-1, sw-1 -- sw-2]}
pools: {herd: {hosts: n*, restarts in: 0 s}}
services: {s: {on: herd, placed: n1}}
"""
    standing = Standing(lab_of(text))
    near, split = standing.views([["n1"], ["n1", "sw-1.3 -- sw-2.2"]])
    assert near.back("n3")
    assert split.back("s")
    assert not split.back("n3")


def test_a_pool_on_two_networks():
    """Hosts that reach a store on the rear and clients on the front serve them all, after a move as well."""
    text = """
falsework: 1
lab: x
kinds: {disk: {is: drive}}
machines:
  h1..2: {is: node}
  keep: {is: node, drives: 2 disk}
  desk: {is: node}
  sw-1..2: {is: switch}
wire:
  cables: [h1.a -- sw-1, h2.a -- sw-1, desk.a -- sw-1, h1.b -- sw-2, h2.b -- sw-2, keep.a -- sw-2]
  networks: {front: {over: sw-1}, rear: {over: sw-2}}
stores: {array: {drives: keep.d*, layout: mirror}}
pools: {herd: {hosts: h*, store: array}}
services: {s: {on: herd, placed: h1}, c: {on: desk, needs: [s for 10 min]}}
"""
    standing = Standing(lab_of(text))
    for lost in ((), ("h1",), ("h1.a -- sw-1.1",), ("h1.b -- sw-2.1",)):
        (view,) = standing.views([lost])
        assert view.back("s"), lost
        assert view.up("c"), lost
        assert view.back("c"), lost
    (view,) = standing.views([("h1.a -- sw-1.1", "h2.b -- sw-2.2")])  # neither host has both any more
    assert not view.back("c")


@pytest.mark.parametrize(
    ("name", "what", "mend"),
    [
        ("n11", "no part is called 'n11'", "Did you mean 'n1'?"),
        ("s", "'s' is no part that can be lost", None),
    ],
)
def test_losing_what_is_no_part_is_refused(name, what, mend):
    """A question about something that can't be lost names it, and the nearest part if there is one."""
    standing = Standing(lab_of("falsework: 1\nlab: x\nmachines: {n1..2: {is: node}}\nservices: {s: n1}\n"))
    with pytest.raises(QuestionError) as caught:
        standing.known([name])
    assert caught.value.what == what
    assert mend is None or caught.value.mend == mend


@pytest.mark.parametrize(
    ("many", "says"),
    [(3, "Parts: n1, n2, n3"), (8, "n7, n8"), (11, "Parts: n1, n2, n3, n4, n5, n6, n7, n8 and 3 more")],
)
def test_parts_that_are_not_listed_are_counted(many, says):
    """Where no name is near, a few are told, and how many more there are."""
    with pytest.raises(QuestionError) as caught:
        Standing(lab_of(f"falsework: 1\nlab: x\nmachines: {{n1..{many}: node}}\n")).known(["quite other"])
    assert caught.value.mend.endswith(says)


def test_losing_something_of_a_lab_without_parts_is_refused():
    """A lab of people only has nothing to lose, and that is what is said."""
    with pytest.raises(QuestionError) as caught:
        Standing(lab_of("falsework: 1\nlab: x\npeople: {ann: {}}\n")).known(["n1"])
    assert str(caught.value) == "no part is called 'n1'. The lab has no parts."


def test_a_store_stands_for_its_drives():
    """To lose a store is to lose all its drives."""
    text = """
falsework: 1
lab: x
kinds: {disk: {is: drive}}
machines: {n1: {is: node, drives: 3 disk}}
stores: {shelf: {drives: n1.*, layout: parity}}
services: {s: n1}
"""
    assert Standing(lab_of(text)).known(["shelf"]) == ("n1.d1", "n1.d2", "n1.d3")


def test_a_lab_of_nothing_is_refused():
    """A lab that is a name and nothing else has no answers: that is said, with a way to begin."""
    with pytest.raises(QuestionError) as caught:
        Standing(lab_of("falsework: 1\nlab: Bare boards\n"))
    assert caught.value.what == "'Bare boards' has nothing in it yet"
    assert "falsework start" in caught.value.mend


def test_what_tries_once_is_not_back_before_a_hold_ends():
    """A copy that tries once and lost what it runs on stays down: nobody's hold bridges that."""
    text = """
falsework: 1
lab: x
machines: {n1..3: {is: node}}
services:
  first: {on: [n1, n2], takes over: 10 s}
  slow: {on: [n1, n2], takes over: 1 h}
  once: {on: n3, tries: once, restarts in: 10 s, needs: [{of: [first, slow]}]}
  again: {on: n3, restarts in: 10 s, needs: [{of: [first, slow]}]}
  third: {on: n3, needs: [once for 100 s]}
  held: {on: n3, needs: [again for 100 s]}
"""
    (view,) = Standing(lab_of(text)).views([["n1"]])
    assert not view.back("once")
    assert not view.up("third")
    assert view.up("held")


@pytest.mark.parametrize("hold", ["", " for 5 min", " for 5 h"])
def test_a_chain_of_needs_may_be_long(hold):
    """A hundred services, each in need of the next: with the first host all move and are back, with the last one none.

    Only the last of the chain waits for nothing; the chain is longer than calls may be nested.
    """
    count = 100
    services = "".join(
        f"  s-{number}: {{on: herd, takes: 1 GiB, restarts in: 1 s, needs: [s-{number + 1}{hold}]}}\n"
        for number in range(1, count)
    )
    standing = Standing(
        lab_of(
            "lab: t\nmachines: {n-1..2: {is: node, memory: 200 GiB}, hub: switch}\nwire: {cables: [n-* -- hub]}\n"
            f"pools: {{herd: {{hosts: n-*, restarts in: 1 min}}}}\nservices:\n{services}"
            f"  s-{count}: {{on: herd, takes: 1 GiB}}\n"
        )
    )
    one, both = standing.views([("n-1",), ("n-1", "n-2")])
    every = [f"s-{number}" for number in range(1, count + 1)]
    assert [name for name in every if not one.back(name)] == []
    assert [name for name in every if both.back(name)] == []


def test_a_long_hold_over_a_circle_of_quick_returns():
    """A hold of two hours over a circle that returns in steps of a minute: met through the one that stands, else not."""
    standing = Standing(
        lab_of(
            """
            lab: t
            machines: {n-1..3: {is: node, memory: 8 GiB}, box: {is: node, needs: {to run: [a for 2 h]}}}
            pools:
              quick: {hosts: n-1..2, restarts in: 1 s}
              slow: {hosts: n-1..2, restarts in: 4 h}
            services:
              a: {on: quick, takes: 1 GiB, needs: [b, {of: [c, d]}]}
              b: {on: quick, takes: 1 GiB, needs: [{of: [a, d]}]}
              c: {on: slow, takes: 1 GiB, needs: [a]}
              d: {on: n-3}
            """
        )
    )
    one, both = standing.views([("n-1",), ("n-1", "n-3")])
    assert one.up("box")
    assert one.back("c")
    assert not both.back("a")
    assert not both.up("box")


def test_backups_that_need_each_other_to_be_read():
    """Two backups outside, each read with the other's data: one data set left is enough for both, with none both are lost."""
    standing = Standing(
        lab_of(
            """
            lab: t
            outside: {far: {}}
            machines: {n-1..2: node}
            services: {s: n-1}
            data:
              d-1: {of: s, in: n-1, backed up: {to: far, needs: d-2}}
              d-2: {of: s, in: n-2, backed up: {to: far, needs: d-1}}
            """
        )
    )
    views = standing.views([(), ("n-1",), ("n-2",), ("n-1", "far"), ("n-1", "n-2")])
    kept = [[view.kept(f"kept:d-{number}") for number in (1, 2)] for view in views]
    assert kept == [[True, True], [True, True], [True, True], [False, True], [False, False]]


def test_a_lab_with_other_times_falls_and_returns_by_those():
    """It says what the lab says that is written so, and the first one still says what it said."""
    text = """
        lab: t
        machines: {{n1: node, n2: node}}
        services:
          mail: {{on: [n1, n2], takes over: {over}}}
          wiki: {{on: n2, needs: [lone for {hold}]}}
          lone: {{on: n1}}
        """
    one, other = (
        Standing(lab_of(text.format(over=over, hold=hold)))
        for over, hold in (("40 s", "10 min"), ("2 min", "1 min"))
    )

    def times(standing):
        views = standing.views([["n1"]])
        return standing.falls(views).tolist(), standing.returns(views).tolist()

    first, wanted = times(one), times(other)
    assert first != wanted
    assert times(one.retimed(other.support)) == wanted
    assert times(one) == first
