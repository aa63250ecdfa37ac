"""Are the leans between what is shown those of the graph, with the rest left out between them?"""

from hypothesis import given
from hypothesis import strategies as st

from falsework.lab.read import read_text
from falsework.model.build import build
from falsework.support.graph import Lean, Role, Support, SupportGraph
from falsework.support.shown import shown_leans
from falsework.support.standing import Standing

LAB = Standing(
    build(
        read_text(
            """
falsework: 1
lab: shown
machines:
  a: {is: node, fed by: strip}
  b: {is: node, fed by: strip}
power:
  strip: {is: strip, fed by: mains}
outside:
  mains: {}
services:
  low: {on: [a, b]}
  high: {on: b, needs: {to run: low}}
""",
            "shown.yaml",
        )
    )
).support


def graph(leans):
    """A graph of things that lean as said."""
    return SupportGraph(
        things={
            name: Support(
                id=name,
                word="node",
                leans=tuple(Lean(on=(each,), enough=1, role=Role.NEED) for each in on),
            )
            for name, on in leans.items()
        },
        networks={},
    )


def test_what_is_not_shown_passes_its_leans_on():
    """Without copies and supplies, a service leans on its machines and a machine on its strip."""
    groups = [("high",), ("low",), ("a",), ("b",), ("strip",), ("mains",)]
    found = shown_leans(LAB, groups)
    assert set(found.on[0]) == {1, 3}
    assert set(found.on[1]) == {2, 3}
    assert found.on[2] == found.on[3] == (4,)
    assert found.on[4] == (5,)
    assert found.on[5] == ()
    assert found.by[4] == (2, 3)


def test_the_nearest_come_first():
    """Through others, what is one step away comes before what is two away."""
    groups = [("high",), ("low",), ("a",), ("b",), ("strip",), ("mains",)]
    found = shown_leans(LAB, groups)
    assert set(found.through(0)[:2]) == {1, 3}
    assert set(found.through(0)[2:4]) == {2, 4}
    assert found.through(0)[4:] == (5,)
    assert found.through(5, up=True)[0] == 4
    assert set(found.through(5, up=True)) == {0, 1, 2, 3, 4}


def test_a_group_leans_for_all_that_is_in_it():
    """Machines shown as one lean on the strip once, and not on each other."""
    found = shown_leans(LAB, [("a", "b"), ("strip",), ("low", "high")])
    assert found.on == ((1,), (), (0,))


def test_circles_end():
    """Things that lean on each other, shown or not, are walked once."""
    around = graph({"a": ["b"], "b": ["c"], "c": ["a"]})
    assert shown_leans(around, [("a",), ("b",), ("c",)]).through(0) == (1, 2)
    assert shown_leans(around, [("a",)]).on == ((),)


def test_what_is_no_thing_leans_on_nothing():
    """A name that only the drawing knows has no leans."""
    assert shown_leans(LAB, [("nobody",), ("a",)]).on[0] == ()


@given(
    st.dictionaries(st.sampled_from("abcdefgh"), st.lists(st.sampled_from("abcdefgh"), max_size=3)).map(
        lambda leans: {**{name: [] for name in "abcdefgh"}, **leans}
    ),
    st.sets(st.sampled_from("abcdefgh"), min_size=2),
)
def test_leaving_out_changes_nothing_between_the_rest(leans, shown):
    """Whoever leans on whom through others does so too when only some are shown, and the other way round is the same."""
    every = sorted(leans)
    whole = shown_leans(graph(leans), [(name,) for name in every])
    some = sorted(shown)
    part = shown_leans(graph(leans), [(name,) for name in some])
    for number, name in enumerate(some):
        expected = {every[each] for each in whole.through(every.index(name))} & shown
        assert {some[each] for each in part.through(number)} == expected
        for each in part.on[number]:
            assert number in part.by[each]
