"""Which single parts hurt most? Held against `lose`, part by part."""

from hypothesis import given, settings
from tests.strategies import lab_of, texts

from falsework.analyses.verdicts import Verdict, lose
from falsework.analyses.worst import worst_parts
from falsework.support.standing import Standing

LAB = """\
falsework: 1
lab: Shelf
power: {strip: {is: strip}}
machines:
  hub: {is: switch, fed by: strip}
  a..b: {is: node, fed by: strip}
wire: {cables: [a -- hub, b -- hub]}
services:
  names: a
  mail: [a, b]
"""


def test_the_part_that_brings_down_the_most_comes_first_and_stands_for_those_like_it():
    """The strip brings down both, as the hub does, which is fed by it; then comes the node of the single copy."""
    first, second = worst_parts(Standing(lab_of(LAB)))
    assert (first.part, first.services) == ("strip", ("names", "mail"))
    assert first.alike >= 1
    assert (second.part, second.services) == ("a", ("names",))


def test_what_is_down_already_is_not_counted():
    """With the node out, its service can't fall again."""
    found = worst_parts(Standing(lab_of(LAB), out=["a"]))
    assert all("names" not in each.services for each in found)


@given(text=texts())
@settings(max_examples=30)
def test_every_part_told_does_what_is_said_and_none_does_more(text):
    """The list agrees with losing each part by itself."""
    standing = Standing(lab_of(text))
    falls = {
        part: tuple(
            each.service
            for each in lose(standing, [part], thin=False).effects
            if each.verdict >= Verdict.FALLS and standing.baseline.back(each.service)
        )
        for part in standing.parts
    }
    found = worst_parts(standing)
    for each in found:
        assert each.services == falls[each.part]
        assert each.alike == sum(other == each.services for other in falls.values()) - 1
    counts = sorted(
        {services: len(services) for services in falls.values() if services}.values(), reverse=True
    )
    assert [len(each.services) for each in found] == counts[:3]
