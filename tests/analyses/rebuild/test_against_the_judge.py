from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.analyses.rebuild.judge import ALL, Judge, fewest
from tests.rebuilding_strategies import chests
from tests.strategies import lab_of, text_of

from falsework.analyses.rebuild.asking import Asking, losses
from falsework.analyses.rebuild.result import Way
from falsework.analyses.rebuild.teardown import teardown
from falsework.support.standing import Standing


def bytes_of(size):
    """`3 GB` as bytes."""
    return float(size.removesuffix(" GB")) * 1e9


@given(chests())
@settings(deadline=None, max_examples=60)
def test_no_shorter_list_saves_all(data):
    """Of all lists, tried one after the other, none with fewer bytes or fewer things lets everything be read again."""
    found = teardown(Asking(Standing(lab_of(text_of(data)))))
    goals = [*data["data"], *(name for name, key in data.get("keys", {}).items() if "renewed by" not in key)]
    sizes = {name: bytes_of(book["size"]) for name, book in data["data"].items()}
    assert found.proven
    assert (found.size, len(found.saves)) == fewest(data, goals, sizes)
    assert set(goals) <= Judge(data, ALL, [save.thing for save in found.saves]).readable()


@given(chests(), st.data())
@settings(deadline=None, max_examples=60)
def test_every_fate_is_as_the_judge_finds_it(data, draw):
    """Whatever is lost, data and keys are gone, restored or made again just as plain reasoning says."""
    names = [
        *data["machines"],
        *data.get("stores", ()),
        *data["services"],
        *data["data"],
        *data.get("keys", ()),
    ]
    lost = draw.draw(st.lists(st.sampled_from([*names, "far"]), min_size=1, max_size=2, unique=True))
    loss = losses(Asking(Standing(lab_of(text_of(data)))), lost)
    judge = Judge(data, lost)
    there = judge.readable()
    ways = {fate.thing: fate.way for fate in loss.fates}
    for name in data["data"]:
        if name not in there:
            assert ways[name] is Way.ONLY_HERE
            continue
        assert ways.get(name) is not Way.ONLY_HERE
        if ways.get(name) is not Way.STAND_IN:
            assert (ways.get(name) is Way.RESTORED) == (not judge.in_place(name, there))
    for name, key in data.get("keys", {}).items():
        gone = name not in there and "renewed by" not in key
        assert (ways.get(name) is Way.ONLY_HERE) == gone
    for name in data["machines"]:
        assert ways.get(name) is (Way.MADE if name in lost else None)
